//! What hides an element in its text, or is about it there.

use roxmltree::Node;

use super::reader::xml_options;

/// Whether an element's start tag says an opacity, a clip path, a mask, a filter or a blend mode.
pub(super) fn says_effect(element: &str) -> bool {
    let tag = &element[..element.find('>').unwrap_or(element.len())];
    ["opacity", "clip-path", "mask", "filter", "mix-blend-mode"]
        .iter()
        .flat_map(|key| tag.match_indices(key))
        .any(|(at, key)| {
            let before = tag[..at].chars().next_back();
            let after = tag[at + key.len()..].trim_start().chars().next();
            before.is_some_and(|c| c.is_whitespace() || matches!(c, '"' | '\'' | ';'))
                && matches!(after, Some('=' | ':'))
        })
}

/// The whole drawing as a group, for the id of the root element.
pub(super) fn wrapped(text: &str, id: &str) -> Option<String> {
    let xml = roxmltree::Document::parse_with_options(text, xml_options()).ok()?;
    let root = xml.root_element();
    let own = root.attribute_node("id").filter(|own| own.value() == id)?;
    let (start, end) = (
        root.first_child()?.range().start,
        root.last_child()?.range().end,
    );
    Some(format!(
        "{}{}<g {}>{}</g>{}",
        &text[..own.range().start],
        &text[own.range().end..start],
        &text[own.range()],
        &text[start..end],
        &text[end..]
    ))
}

/// The text without what hides an element.
pub(super) fn unhidden(text: &str, id: &str) -> Option<String> {
    let xml = roxmltree::Document::parse_with_options(text, xml_options()).ok()?;
    let node = xml.descendants().find(|n| n.attribute("id") == Some(id))?;
    let mut edits: Vec<(std::ops::Range<usize>, String)> = Vec::new();
    for element in node.ancestors().filter(Node::is_element) {
        for attribute in element.attributes() {
            let value = attribute.value();
            match attribute.name() {
                "display" if value.trim() == "none" => {
                    edits.push((attribute.range_value(), "inline".into()))
                }
                "style" if value.contains("display") => {
                    let kept: Vec<&str> = value
                        .split(';')
                        .filter(|d| {
                            let mut sides = d.splitn(2, ':').map(str::trim);
                            !(sides.next() == Some("display") && sides.next() == Some("none"))
                        })
                        .collect();
                    edits.push((attribute.range_value(), kept.join(";").replace('"', "'")));
                }
                _ => {}
            }
        }
        // A style sheet may hide its class; what an element says itself goes before.
        let style = element.attribute_node("style");
        if let Some(class) = element.attribute_node("class") {
            let said = style.map(|style| {
                let end = style.range_value().end;
                (end..end, ";display:inline".to_owned())
            });
            let start = class.range().start;
            edits.push(said.unwrap_or((start..start, "style=\"display:inline\" ".to_owned())));
        }
    }
    if edits.is_empty() {
        return None;
    }
    edits.sort_by_key(|(range, _)| std::cmp::Reverse((range.start, range.end)));
    let mut text = text.to_owned();
    for (range, new) in edits {
        text.replace_range(range, &new);
    }
    Some(text)
}
