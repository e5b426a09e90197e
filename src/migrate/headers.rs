//! A header for every part, seam or mask: now a line each.

use toml_edit::{Document, Item, Table, Value};

use super::Drawings;
use super::lines::{Entry, in_line, key, shortened};
use super::text::{Block, Edits, blocks, values};

/// What tables of tables are written in lines.
const KINDS: [&str; 9] = [
    "part",
    "seam",
    "mask",
    "garment",
    "landmarks",
    "crop",
    "note",
    "measure",
    "chart",
];

pub(super) fn as_lines(
    text: &str,
    document: &Document<String>,
    drawings: &mut Drawings<'_>,
) -> String {
    let all = blocks(text, document);
    let mut edits = Edits::default();
    for kind in KINDS {
        let own: Vec<usize> = (0..all.len()).filter(|&k| all[k].way[0] == kind).collect();
        let Some(&first) = own.iter().find(|&&k| all[k].way.len() > 1) else {
            continue;
        };
        let header = own.iter().copied().find(|&k| all[k].way.len() == 1);
        if header.is_some_and(|header| header > first) {
            continue;
        }
        // Comments, and the line under them.
        let mut lines: Vec<(Vec<&str>, String)> = Vec::new();
        let mut seen: Vec<&str> = Vec::new();
        let mut above = String::new();
        let mut spot = header.map(|k| all[k].lines.end);
        for k in own.into_iter().filter(|&k| all[k].way.len() > 1) {
            let block = &all[k];
            let before = if k == 0 { 0 } else { all[k - 1].lines.end };
            let mut gap = before..block.lines.start;
            if spot.is_none() {
                // What stands above an empty line is not about this entry.
                let head = text[gap.clone()].rfind("\n\n").map_or(0, |at| at + 2);
                gap.start += head;
                let directives = text[gap.clone()]
                    .lines()
                    .take_while(|line| line.starts_with("#:"));
                directives.for_each(|line| above.extend([line, "\n"]));
                spot = Some(gap.start);
            }
            edits.put(gap.start..block.lines.end, "");
            let mut found = comments(&text[gap]);
            found.retain(|line| !line.starts_with("#:"));
            found.extend(inner_comments(text, block));
            let name = block.way[1];
            if seen.contains(&name) {
                // A table below an entry's own is part of it.
                lines
                    .iter_mut()
                    .last()
                    .into_iter()
                    .for_each(|(all, _)| all.append(&mut found));
                continue;
            }
            seen.push(name);
            let table = document
                .get(kind)
                .and_then(|all| all.get(name))
                .and_then(Item::as_table);
            let Some(table) = table else { continue };
            let entry = Entry {
                kind,
                name,
                keys: keys(text, table),
                drawing: document.get("drawing").and_then(Item::as_str),
                is_like: document.contains_key("like"),
            };
            lines.push((
                found,
                format!("{} = {}", key(name), shortened(entry, drawings)),
            ));
        }
        let spot = spot.unwrap_or(text.len());
        let mut new = String::new();
        if header.is_none() {
            let is_apart = spot == 0 || text[..spot].ends_with("\n\n");
            new = format!("{}{above}[{kind}]\n", if is_apart { "" } else { "\n" });
        }
        for (comments, line) in &lines {
            for line in comments.iter().copied().chain([line.as_str()]) {
                new.extend([line, "\n"]);
            }
        }
        edits.put(spot..spot, new);
    }
    edits.done(text)
}

/// The lines that are comments.
fn comments(text: &str) -> Vec<&str> {
    let lines = text.lines().map(str::trim);
    lines.filter(|line| line.starts_with('#')).collect()
}

/// Comments in the lines of a table, at their ends too.
fn inner_comments<'t>(text: &'t str, block: &Block<'_>) -> Vec<&'t str> {
    let mut spans: Vec<_> = values(block.table).filter_map(Value::span).collect();
    spans.sort_by_key(|span| span.start);
    let mut from = block.lines.start;
    let mut all = Vec::new();
    let ends = spans.iter().map(|span| (span.start, span.end));
    for (start, end) in ends.chain([(block.lines.end, block.lines.end)]) {
        if start < from || start > block.lines.end {
            continue;
        }
        for line in text[from..start].lines() {
            all.extend(line.find('#').map(|at| line[at..].trim_end()));
        }
        from = end;
    }
    all
}

/// The keys of a table with their values as they are written, tables in it in a line.
pub(super) fn keys<'d>(text: &str, table: &'d Table) -> Vec<(&'d str, String, &'d Item)> {
    let all = table.iter();
    all.filter_map(|(name, item)| {
        let value = match item {
            Item::Value(value) => text[value.span()?].to_owned(),
            Item::Table(table) => in_line(&keys(text, table)),
            _ => return None,
        };
        Some((name, value, item))
    })
    .collect()
}
