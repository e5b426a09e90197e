//! What one entry says, in fewer words.

use toml_edit::{Item, TableLike, Value};

use super::Drawings;

/// A part, seam, mask and so on.
pub(super) struct Entry<'d> {
    pub kind: &'static str,
    pub name: &'d str,
    /// Its keys, with their values as they are written.
    pub keys: Vec<(&'d str, String, &'d Item)>,
    /// The view's drawing.
    pub drawing: Option<&'d str>,
    /// The view is like another: what is usual may be said against that one.
    pub is_like: bool,
}

/// Keys whose list of one part can be that part.
const LISTS: [(&str, &str); 3] = [("mask", "of"), ("garment", "on"), ("chart", "parts")];
/// What holds without being said.
const USUAL: [(&str, &str, &str); 3] = [
    ("part", "depth", "0"),
    ("seam", "zone", "\"auto\""),
    ("seam", "opens", "\"both\""),
];

/// The value of an entry's line.
pub(super) fn shortened(mut entry: Entry<'_>, drawings: &mut Drawings<'_>) -> String {
    let (kind, name) = (entry.kind, entry.name);
    if let Some(all) = every(&entry, drawings) {
        let own = entry
            .keys
            .iter_mut()
            .find(|(key, ..)| *key == "replacements");
        own.into_iter()
            .for_each(|(_, value, _)| value.clone_from(&all));
    }
    let own_art = format!("\"#{name}\"");
    let is_drawn = |drawings: &mut Drawings<'_>| {
        let drawing = entry.drawing.and_then(|file| drawings.open(file));
        drawing.is_some_and(|drawing| drawing.has(name))
    };
    let is_drawn = kind == "part" && is_drawn(drawings);
    entry.keys.retain(|(key, value, item)| {
        let named = kind == "part" && *key == "art" && *value == own_art && is_drawn;
        let same =
            ["mask", "garment"].contains(&kind) && *key == "part" && item.as_str() == Some(name);
        let usual = !entry.is_like && USUAL.contains(&(kind, key, value));
        !named && !same && !usual
    });
    for (key, value, item) in &mut entry.keys {
        let only = item
            .as_array()
            .filter(|list| LISTS.contains(&(kind, key)) && list.len() == 1);
        if let Some(only) = only
            .and_then(|list| list.get(0))
            .and_then(toml_edit::Value::as_str)
        {
            *value = toml_edit::Value::from(only).to_string();
        }
    }
    match &*entry.keys {
        [("parts", pair, item)] if kind == "seam" && item.is_array() => pair.clone(),
        keys => in_line(keys),
    }
}

/// The pattern that takes just these replacements, in their order.
fn every(entry: &Entry<'_>, drawings: &mut Drawings<'_>) -> Option<String> {
    let (_, _, item) = entry.keys.iter().find(|(key, ..)| *key == "replacements")?;
    let table: &dyn TableLike = item.as_table_like()?;
    if entry.kind != "part" || table.len() < 2 {
        return None;
    }
    let all: Option<Vec<(&str, &str)>> = table
        .iter()
        .map(|(name, art)| Some((name, art.as_str()?)))
        .collect();
    let all = all?;
    let (name, art) = all[0];
    let (file, id) = art.rsplit_once('#')?;
    let drawing = drawings.open(if file.is_empty() {
        entry.drawing?
    } else {
        file
    })?;
    let own = entry.keys.iter().find(|(key, ..)| *key == "art");
    let own = own.and_then(|(_, _, item)| item.as_str());
    let own = own.map_or_else(|| format!("{file}#{}", entry.name), str::to_owned);
    id.match_indices(name).find_map(|(at, _)| {
        let (before, after) = (&id[..at], &id[at + name.len()..]);
        let found = drawing.between(before, after).into_iter();
        let found = found.map(|(id, name)| (name, format!("{file}#{id}")));
        let found: Vec<_> = found.filter(|(_, art)| *art != own).collect();
        let same = found
            .iter()
            .map(|(name, art)| (*name, art.as_str()))
            .eq(all.iter().copied());
        same.then(|| toml_edit::Value::from(format!("{file}#{before}*{after}")).to_string())
    })
}

/// A table in a line.
pub(super) fn in_line(keys: &[(&str, String, &Item)]) -> String {
    let all = keys
        .iter()
        .map(|(name, value, _)| format!("{} = {value}", key(name)));
    let all: Vec<String> = all.collect();
    if all.is_empty() {
        "{}".to_owned()
    } else {
        format!("{{ {} }}", all.join(", "))
    }
}

/// A name as a key.
pub(super) fn key(name: &str) -> String {
    let bare = |c: char| c.is_ascii_alphanumeric() || c == '_' || c == '-';
    if !name.is_empty() && name.chars().all(bare) {
        name.to_owned()
    } else {
        Value::from(name).to_string()
    }
}
