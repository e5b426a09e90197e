//! How a rig names an element, so that it is found again.

use roxmltree::Node;

use super::super::words::is_empty;
use super::reader::Reader;
use crate::art::{bytes_of, labels};

impl<'a, 'i: 'a> Reader<'a, 'i> {
    /// How a rig names an element.
    pub(super) fn address(&self, node: Node<'a, 'i>) -> String {
        let leads = |name: &str| {
            let safe = !name.contains(['#', '"', '\\']) && !name.chars().any(char::is_control);
            safe && !name.starts_with("element(")
                && name.trim() == name
                && bytes_of(self.xml, name) == Some(node.range())
        };
        let id = node.attribute("id");
        let said: Vec<String> = labels(node).map(std::borrow::Cow::into_owned).collect();
        let first = id.filter(|id| !is_empty(id)).map(str::to_owned);
        let names: Vec<String> = first
            .into_iter()
            .chain(said)
            .filter(|n| !is_empty(n))
            .collect();
        if let Some(name) = names.iter().find(|name| leads(name)) {
            return name.clone();
        }
        for outer in node.ancestors().skip(1) {
            if let Some(around) = self.label(outer) {
                let mut paths = names.iter().map(|name| format!("{around}/{name}"));
                if let Some(path) = paths.find(|path| leads(path)) {
                    return path;
                }
            }
        }
        if let Some(id) = id.filter(|id| leads(id)) {
            return id.to_owned();
        }
        let mut steps = Vec::new();
        for at in node.ancestors().filter(Node::is_element) {
            if let Some(id) = at
                .attribute("id")
                .filter(|id| at != node && leads_to(self.xml, id, at))
            {
                steps.push(id.to_owned());
                steps.reverse();
                return format!("element({})", steps.join("/"));
            }
            let before = at.prev_siblings().filter(Node::is_element).count();
            steps.push(before.to_string());
        }
        steps.reverse();
        format!("element(/{})", steps.join("/"))
    }
}

fn leads_to(xml: &roxmltree::Document<'_>, id: &str, node: Node<'_, '_>) -> bool {
    let safe = !id.contains(['/', ')', '(', '#', '"', '\\']) && !id.is_empty();
    safe && bytes_of(xml, id) == Some(node.range())
}
