//! Every part named the file of its drawing: now the view names it once.

use std::collections::BTreeMap;

use toml_edit::{Document, Item, Value};

use super::Drawings;
use super::text::{Edits, blocks, line_end, line_start};

pub(super) fn named_once(
    text: &str,
    document: &Document<String>,
    drawings: &mut Drawings<'_>,
) -> String {
    let old = || text.to_owned();
    if ["drawing", "like", "views"]
        .iter()
        .any(|key| document.contains_key(key))
    {
        return old();
    }
    let parts = document.get("part").and_then(Item::as_table_like);
    let parts: Vec<_> = parts.iter().flat_map(|parts| parts.iter()).collect();
    // The file in which most parts are called as they are.
    let mut files: BTreeMap<&str, usize> = BTreeMap::new();
    for (name, part) in &parts {
        let art = part.get("art").and_then(Item::as_str);
        if let Some((file, id)) = art.and_then(|art| art.rsplit_once('#'))
            && id == *name
            && !file.is_empty()
        {
            *files.entry(file).or_default() += 1;
        }
    }
    let Some((&file, _)) = files.iter().max_by_key(|(_, count)| **count) else {
        return old();
    };
    let Some(drawing) = drawings.open(file) else {
        return old();
    };
    let mut edits = Edits::default();
    let (at, new) = place(text, document, &Value::from(file).to_string());
    edits.put(at..at, new);
    for (name, part) in &parts {
        // It has none, though there is now one of its name.
        if part.get("art").is_none() && drawing.has(name) {
            let Some(at) = inside(text, part) else {
                return old();
            };
            edits.put(at.0..at.0, at.1);
        }
    }
    let mut refs = Vec::new();
    for kind in ["part", "seam"] {
        let tables = document.get(kind).and_then(Item::as_table_like);
        for (_, item) in tables.iter().flat_map(|tables| tables.iter()) {
            texts(item, &mut refs);
        }
    }
    for (word, span) in refs {
        let quoted = &text[span.clone()];
        let at = quoted
            .find(file)
            .filter(|_| word.rsplit_once('#').is_some_and(|(f, _)| f == file));
        if let Some(at) = at {
            let from = span.start + at;
            edits.put(from..from + file.len(), "");
        }
    }
    edits.done(text)
}

/// All texts in a value or table, and where they are.
fn texts<'d>(item: &'d Item, all: &mut Vec<(&'d str, std::ops::Range<usize>)>) {
    if let (Some(text), Some(span)) = (item.as_str(), item.span()) {
        all.push((text, span));
    }
    let list = item.as_array().into_iter().flatten();
    all.extend(list.filter_map(|value| Some((value.as_str()?, value.span()?))));
    if let Some(table) = item.as_table() {
        table.iter().for_each(|(_, item)| texts(item, all));
    }
    if let Some(table) = item.as_inline_table() {
        in_line(table, all);
    }
}

fn in_line<'d>(
    table: &'d toml_edit::InlineTable,
    all: &mut Vec<(&'d str, std::ops::Range<usize>)>,
) {
    for (_, value) in table {
        if let (Some(text), Some(span)) = (value.as_str(), value.span()) {
            all.push((text, span));
        }
        let list = value.as_array().into_iter().flatten();
        all.extend(list.filter_map(|value| Some((value.as_str()?, value.span()?))));
        if let Some(table) = value.as_inline_table() {
            in_line(table, all);
        }
    }
}

/// Where a part says that it has no drawing, and how.
fn inside(text: &str, part: &Item) -> Option<(usize, String)> {
    let span = part.span()?;
    if let Some(table) = part.as_inline_table() {
        let more = if table.is_empty() {
            " art = false "
        } else {
            " art = false,"
        };
        return Some((span.start + 1, more.to_owned()));
    }
    let table = part
        .as_table()
        .filter(|table| !table.is_implicit() && !table.is_dotted())?;
    let start = table.span()?.start;
    Some((line_end(text, start), "art = false\n".to_owned()))
}

/// Where the line goes that names the drawing: under the other keys of the file, or its first words, above its tables.
fn place(text: &str, document: &Document<String>, file: &str) -> (usize, String) {
    let line = format!("drawing = {}\n", file.trim());
    let root = document
        .iter()
        .filter_map(|(_, item)| item.as_value()?.span());
    if let Some(last) = root.map(|span| span.end).max() {
        return (line_end(text, last), line);
    }
    let first = blocks(text, document);
    let first = first.first().map_or(text.len(), |block| block.lines.start);
    let head = &text[..first];
    let words = head.rfind("\n\n").map(|at| at + 2);
    let directive = head.starts_with("#:").then(|| line_end(text, 0));
    let at = line_start(text, words.or(directive).unwrap_or(0));
    (at, format!("{line}\n"))
}
