//! The colours as drawn were those of the first palette: now they are `[swatch]`, and palettes say what differs.

use std::collections::BTreeMap;

use toml_edit::{Document, Item, Value};

use super::text::{Block, Edits, blocks, line_end, line_start};

pub(super) fn as_drawn(text: &str, document: &Document<String>) -> String {
    let all = blocks(text, document);
    let palettes = || {
        all.iter()
            .filter(|block| block.way.first() == Some(&"palette"))
    };
    let character = all.iter().find(|block| block.way == ["character"]);
    let (Some(character), Some(first)) = (character, palettes().next()) else {
        return text.to_owned();
    };
    if document.contains_key("swatch") || palettes().any(|palette| palette.way.len() != 2) {
        return text.to_owned();
    }
    let mut edits = Edits::default();
    let name = first.way[1];
    let head = first.lines.start..line_end(text, first.lines.start);
    let header = &text[head.clone()];
    let Some(close) = header.find(']') else {
        return text.to_owned();
    };
    // It may end where the palette starts: its line comes first.
    if !character.table.contains_key("palette") {
        let last = character.lines.end;
        let line = format!("palette = {}\n", Value::from(name));
        edits.put(last..last, line);
    }
    edits.put(head.start..head.start + close + 1, "[swatch]");
    let open = if text[..first.lines.end].ends_with('\n') {
        ""
    } else {
        "\n"
    };
    let own = &header[..=close];
    edits.put(first.lines.end..first.lines.end, format!("{open}\n{own}\n"));
    let drawn = colours(first);
    for palette in palettes().skip(1) {
        let same = colours(palette);
        let same = same
            .iter()
            .filter(|(swatch, colour)| drawn.get(*swatch) == Some(*colour));
        for (swatch, _) in same {
            let span = palette.table.get(swatch).and_then(Item::span);
            let Some(span) = span else { continue };
            let line = line_start(text, span.start)..line_end(text, span.end);
            if !text[span.end..line.end].contains('#') {
                edits.put(line, "");
            }
        }
    }
    edits.done(text)
}

/// The colours of a palette, by swatch.
fn colours<'d>(palette: &Block<'d>) -> BTreeMap<&'d str, String> {
    let all = palette.table.iter();
    all.filter_map(|(name, colour)| Some((name, colour.as_str()?.to_ascii_lowercase())))
        .collect()
}
