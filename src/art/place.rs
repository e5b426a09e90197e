//! Places in a drawing's file.

use roxmltree::Node;

use crate::diag::{SourceId, Span};

#[expect(clippy::cast_possible_truncation, reason = "files are under 64 MiB")]
pub(super) fn span(source: SourceId, start: usize, end: usize) -> Span {
    Span {
        source,
        start: start as u32,
        end: end as u32,
    }
}

/// The start tag of an element, for a caret that is not a page long.
pub(super) fn start_tag(text: &str, source: SourceId, node: Node<'_, '_>) -> Span {
    let range = node.range();
    let tag = &text[range.clone()];
    let end = tag.find(['>', '\n']).unwrap_or(tag.len());
    span(source, range.start, range.start + end.max(1))
}
