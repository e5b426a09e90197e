//! Places in the files: elements of the drawings, tables of the rig.

use std::path::Path;

use crate::art::{BETWEEN, bytes_of, xml_options};
use crate::diag::{Place, SourceId, Sources, Span};

/// The files of a run, to find places in.
pub(super) struct Marks<'a> {
    sources: &'a Sources,
}

/// A group at the top of a drawing.
pub(super) struct Group {
    pub id: String,
    pub span: Span,
    /// Whether a drawing is in it or around it.
    pub used: bool,
}

impl<'a> Marks<'a> {
    pub const fn new(sources: &'a Sources) -> Self {
        Self { sources }
    }

    fn source(&self, file: &Path) -> Option<(SourceId, &'a str)> {
        let id = self.sources.find(file)?;
        Some((id, &self.sources.get(id)?.text))
    }

    /// The start tag of an element; the file where there is no such id.
    pub fn element(&self, file: &Path, id: &str) -> Place {
        let found = self.source(file).and_then(|(source, text)| {
            ["\"", "'"].iter().find_map(|mark| {
                let at = text.find(&format!(" id={mark}{id}{mark}"))?;
                let start = text[..at].rfind('<')?;
                let end = text[at..].find(['>', '\n']).map_or(text.len(), |e| at + e);
                Some(Span::of(source, start..end))
            })
        });
        found.map_or_else(|| file.into(), Place::Span)
    }

    /// The groups at the top of a drawing, of which these elements are used.
    pub fn groups(&self, file: &Path, used: &[&str]) -> Vec<Group> {
        let Some((source, text)) = self.source(file) else {
            return Vec::new();
        };
        let Ok(xml) = roxmltree::Document::parse_with_options(text, xml_options()) else {
            return Vec::new();
        };
        let names = used.iter().flat_map(|name| name.split(BETWEEN));
        let used: Vec<_> = names.filter_map(|name| bytes_of(&xml, name)).collect();
        let groups = xml.root_element().children().filter(|n| n.is_element());
        groups
            .filter(|n| n.tag_name().name() == "g")
            .filter_map(|n| {
                let range = n.range();
                let tag = &text[range.clone()];
                let end = tag.find(['>', '\n']).unwrap_or(tag.len());
                Some(Group {
                    id: n.attribute("id")?.to_owned(),
                    span: Span::of(source, range.start..range.start + end),
                    used: used
                        .iter()
                        .any(|u| u.start < range.end && range.start < u.end),
                })
            })
            .collect()
    }

    /// A header or key of a TOML file by the text it starts with; the file where it is not found.
    pub fn line(&self, file: &Path, starts: &str) -> Place {
        let found = self.source(file).and_then(|(source, text)| {
            let mut at = 0;
            text.split_inclusive('\n').find_map(|line| {
                let start = at + (line.len() - line.trim_start().len());
                at += line.len();
                let here = line.trim_start().strip_prefix(starts)?;
                let whole = here.starts_with([' ', '=', ']', '\t', '\r', '\n']) || here.is_empty();
                whole.then(|| Span::of(source, start..start + starts.len()))
            })
        });
        found.map_or_else(|| file.into(), Place::Span)
    }
}
