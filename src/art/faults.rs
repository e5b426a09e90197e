//! What a drawing asks for and will not get.

use roxmltree::Node;

use super::image;
use super::place::{span, start_tag};
use super::reader::Reader;
use crate::diag::{Problem, SourceId, quoted};

/// What the elements of a file ask for and will not get: text, images and links outside, ends of broken paths.
pub(super) fn faults(
    xml: &roxmltree::Document<'_>,
    text: &str,
    source: SourceId,
    reader: &Reader,
    elements: &[(String, std::ops::Range<usize>)],
) -> Vec<(usize, Problem)> {
    let mut found = Vec::new();
    for node in xml.descendants().filter(Node::is_element) {
        let at = node.range().start;
        found.extend(odd_colours(node, source).map(|fault| (at, fault)));
        let place = start_tag(text, source, node);
        let href = node
            .attributes()
            .find(|a| a.name() == "href")
            .map(|a| a.value().trim());
        let fault = match (node.tag_name().name(), href) {
            ("text", _) => Problem::warning(
                place,
                "text is not drawn: its look depends on the fonts of the machine",
            )
            .hint("turn the text into outlines in the drawing program"),
            ("image", Some(href))
                if !href.starts_with("data:") && reader.inside(href).is_none() =>
            {
                if reader.is_there(href) || href.contains("://") {
                    let message = format!("image \"{href}\" lies outside the member's folder");
                    Problem::error(place, message)
                        .hint("put the picture beside the rig, or embed it")
                } else {
                    Problem::error(place, format!("image \"{href}\" is not there"))
                        .hint("paths are relative to the SVG file")
                }
            }
            ("image", href) => match image::fault(href.unwrap_or_default(), reader) {
                Some(what) => {
                    let name = match href {
                        Some(href) if !href.starts_with("data:") => format!("image \"{href}\""),
                        _ => "this image".to_owned(),
                    };
                    Problem::error(place, format!("{name} {what}"))
                        .hint("export it again, as PNG, JPEG, GIF or WebP")
                }
                None => continue,
            },
            ("use", Some(href)) if !href.starts_with('#') => Problem::error(
                place,
                format!("\"use\" of \"{href}\": only elements of the same file can be used"),
            )
            .hint("copy the element into this file"),
            ("use", Some(href)) if !elements.iter().any(|(id, _)| id == &href[1..]) => {
                let message = format!("\"use\" of \"{href}\": no such element in this file");
                Problem::error(place, message)
            }
            ("path", _) => match broken_path(node, source) {
                Some(fault) => fault,
                None => continue,
            },
            _ => continue,
        };
        found.push((at, fault));
    }
    found
}

/// A path whose data stop making sense somewhere: SVG draws it up to there.
fn broken_path(node: Node<'_, '_>, source: SourceId) -> Option<Problem> {
    let data = node.attribute_node("d")?;
    let mut pieces = svgtypes::PathParser::from(data.value());
    let read = pieces.position(|piece| piece.is_err())?;
    let range = data.range_value();
    let place = span(source, range.start, range.end.max(range.start + 1));
    let message = format!(
        "the path data make no sense after {read} pieces, and the rest of the line is not drawn"
    );
    Some(
        Problem::warning(place, message)
            .hint("a command has a number too many or too few; draw the line again"),
    )
}

/// Colours that are none: SVG goes on without them.
fn odd_colours(node: Node<'_, '_>, source: SourceId) -> impl Iterator<Item = Problem> {
    let known = |value: &str| {
        let word = matches!(value, "initial" | "unset" | "revert");
        word || value.is_empty() || svgtypes::Paint::from_str(value).is_ok()
    };
    let mut found = Vec::new();
    for attribute in node.attributes() {
        let range = attribute.range_value();
        let said: Vec<(&str, &str)> = match attribute.name() {
            "style" => {
                let pairs = attribute.value().split(';');
                pairs.filter_map(|pair| pair.split_once(':')).collect()
            }
            name => vec![(name, attribute.value())],
        };
        for (key, value) in said {
            let value = value.trim().trim_end_matches("!important").trim_end();
            let instead = match key.trim() {
                "fill" | "stop-color" | "flood-color" => "black is drawn",
                "stroke" => "no line is drawn",
                _ => continue,
            };
            if !known(value) {
                let place = span(source, range.start, range.end.max(range.start + 1));
                let message = format!("{} is no known colour: {instead}", quoted(value));
                let hint = "write #rrggbb, or one of the colour names of SVG";
                found.push(Problem::warning(place, message).hint(hint));
            }
        }
    }
    found.into_iter()
}
