//! A draft laid over a rig that a person has written on: what is new is added at the end, nothing else changes.

use toml_edit::Document;

use super::view::View;
use super::{Draft, write};

/// What comes of it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Update {
    /// Files that change or are new, whole.
    pub files: Vec<(String, String)>,
    /// What was added, and what is gone from the drawing.
    pub told: Vec<String>,
}

/// Adds to files that are there what a draft has and they have not. `old` reads them.
///
/// # Errors
///
/// When a file that is there is no TOML: its name, and why.
pub fn updated(
    draft: &Draft,
    old: impl Fn(&str) -> Option<String>,
) -> Result<Update, (String, String)> {
    let mut update = Update::default();
    let mut fresh = Vec::new();
    for (name, new) in write::texts(draft) {
        let Some(text) = old(&name) else {
            update.told.push(format!("{name} is new"));
            update.files.push((name, new));
            continue;
        };
        let view = draft.views.iter().find(|v| match &v.name {
            Some(view) => name == format!("{view}.toml"),
            None => name == "rig.toml",
        });
        let more = match (view, name.as_str()) {
            (Some(view), _) => of_view(draft, view, &name, &text, (&mut update.told, &mut fresh))?,
            (None, "poses.toml") => of_poses(draft, &name, &text, &fresh, &mut update.told)?,
            (None, _) => String::new(),
        };
        let more = match name.as_str() {
            "rig.toml" => views(draft, &name, &text, &mut update.told)? + &more,
            _ => more,
        };
        if !more.is_empty() {
            let end = if text.ends_with('\n') || text.is_empty() {
                ""
            } else {
                "\n"
            };
            update.files.push((name, format!("{text}{end}{more}")));
        }
    }
    Ok(update)
}

type Failed = (String, String);

fn read(name: &str, text: &str) -> Result<Document<String>, Failed> {
    let bare = text.strip_prefix('\u{feff}').unwrap_or(text);
    Document::parse(bare.to_owned()).map_err(|e| {
        (
            name.to_owned(),
            format!("the file cannot be read as TOML: {}", e.message()),
        )
    })
}

/// Whether a file says anything under these keys.
fn says(document: &Document<String>, keys: [&str; 2]) -> bool {
    let item = document
        .as_table()
        .get(keys[0])
        .and_then(|item| item.get(keys[1]));
    item.is_some()
}

/// All drawings that a file names, anywhere in its parts.
fn drawings(document: &Document<String>) -> Vec<String> {
    fn of(item: &toml_edit::Value, found: &mut Vec<String>) {
        match item {
            toml_edit::Value::String(s) => found.push(s.value().clone()),
            toml_edit::Value::Array(all) => all.iter().for_each(|v| of(v, found)),
            toml_edit::Value::InlineTable(all) => all.iter().for_each(|(_, v)| of(v, found)),
            _ => {}
        }
    }
    fn within(item: &toml_edit::Item, found: &mut Vec<String>) {
        if let Some(value) = item.as_value() {
            of(value, found);
        } else if let Some(table) = item.as_table() {
            table.iter().for_each(|(_, item)| within(item, found));
        }
    }
    let mut found = Vec::new();
    for table in ["part", "seam"] {
        if let Some(item) = document.as_table().get(table) {
            within(item, &mut found);
        }
    }
    found
}

fn of_view(
    draft: &Draft,
    view: &View,
    name: &str,
    text: &str,
    (told, fresh): (&mut Vec<String>, &mut Vec<String>),
) -> Result<String, Failed> {
    let document = read(name, text)?;
    let known = drawings(&document);
    let mut out = String::new();
    let mut new = vec![false; view.parts.len()];
    for (k, part) in view.parts.iter().enumerate() {
        let elements: Vec<String> = part
            .drawing
            .elements
            .iter()
            .map(|e| format!("{}#{e}", part.drawing.file))
            .collect();
        // A person may have called the part something else, or made it a drawing of another.
        let used = elements.iter().any(|e| known.contains(e));
        if says(&document, ["part", &part.name]) || used {
            for (called, drawing) in &part.replacements {
                let elements = drawing
                    .elements
                    .iter()
                    .map(|e| format!("{}#{e}", drawing.file));
                if !elements.clone().any(|e| known.contains(&e)) {
                    let all = elements.collect::<Vec<_>>().join(" and ");
                    told.push(format!("{name}: {all} looks like a new replacement \"{called}\" of {}: add it there", part.name));
                }
            }
            continue;
        }
        new[k] = true;
        fresh.push(part.name.clone());
        told.push(format!("{name}: part {} is new", part.name));
        out.push_str(&write::part(draft, view, k));
    }
    let about = |parts: &[usize]| parts.iter().any(|&k| new[k]);
    let free = |table: &str, k: usize| !says(&document, [table, &view.parts[k].name]);
    for (at, seam) in view.seams.iter().enumerate() {
        if about(&[seam.parent, seam.child]) && free("seam", seam.child) {
            out.push_str(&write::seam(view, at));
        }
    }
    for (at, mask) in view.masks.iter().enumerate() {
        if about(&[mask.part]) && free("mask", mask.part) {
            out.push_str(&write::mask(view, at));
        }
    }
    for (at, garment) in view.garments.iter().enumerate() {
        if about(&[garment.part]) && free("garment", garment.part) {
            out.push_str(&write::garment(draft, view, at));
        }
    }
    gone(draft, view, name, &known, told);
    Ok(out)
}

/// Tells drawings that a file names and the drawing has no more.
fn gone(draft: &Draft, view: &View, name: &str, known: &[String], told: &mut Vec<String>) {
    for reference in known {
        let Some((file, element)) = reference.rsplit_once('#') else {
            continue;
        };
        if file == view.file && !draft.has(file, element) {
            told.push(format!("{name}: {reference} is gone from the drawing; what stands of it stays until you take it out"));
        }
    }
}

/// Views that a rig does not name yet.
fn views(draft: &Draft, name: &str, text: &str, told: &mut Vec<String>) -> Result<String, Failed> {
    let document = read(name, text)?;
    if document.as_table().get("views").is_none() {
        return Ok(String::new());
    }
    let all = draft.views.iter().filter_map(|v| v.name.as_deref());
    for view in all.filter(|v| !says(&document, ["views", v])) {
        told.push(format!(
            "{name}: add {} = \"{view}.toml\" under [views]",
            write::key(view)
        ));
    }
    Ok(String::new())
}

/// Sweeps of joints that are new.
fn of_poses(
    draft: &Draft,
    name: &str,
    text: &str,
    fresh: &[String],
    told: &mut Vec<String>,
) -> Result<String, Failed> {
    let document = read(name, text)?;
    let mut out = String::new();
    let named = |part: &str| {
        let sweeps = document.as_table().get("sweep").and_then(|s| s.as_table());
        sweeps.is_some_and(|s| {
            s.iter()
                .any(|(_, sweep)| sweep.get("turn").and_then(|t| t.as_str()) == Some(part))
        })
    };
    for part in write::joints(&draft.views) {
        if !says(&document, ["sweep", &part.name])
            && !named(&part.name)
            && fresh.contains(&part.name)
        {
            told.push(format!("{name}: the sweep of {} is new", part.name));
            out.push_str(&write::sweep(part, &draft.views));
        }
    }
    Ok(out)
}
