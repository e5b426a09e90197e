//! A draft laid over a rig that a person has written on: what is new is put in, nothing that stands there changes.

use toml_edit::{Document, Item, Value};

use super::Draft;
use super::part::Drawing;
use super::view::View;
use super::write::{self, Entry, block};

/// What comes of it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Update {
    /// Files that change or are new, whole.
    pub files: Vec<(String, String)>,
    /// What was added, and what is gone from the drawing.
    pub told: Vec<String>,
}

type Failed = (String, String);

/// A file as it stands, and what is to be put into it.
struct File {
    name: String,
    text: String,
    document: Document<String>,
    /// Where, and what.
    within: Vec<(usize, String)>,
    at_end: String,
}

impl File {
    fn read(name: &str, text: String) -> Result<Self, Failed> {
        let bare = text.strip_prefix('\u{feff}').unwrap_or(&text);
        let document = Document::parse(bare.to_owned()).map_err(|e| {
            let why = format!("the file cannot be read as TOML: {}", e.message());
            (name.to_owned(), why)
        })?;
        Ok(Self {
            name: name.to_owned(),
            text,
            document,
            within: Vec::new(),
            at_end: String::new(),
        })
    }

    /// What it says under these keys.
    fn get(&self, keys: &[&str]) -> Option<&Item> {
        let mut item = self.document.as_item();
        for key in keys {
            item = item.get(key)?;
        }
        Some(item)
    }

    fn text_at(&self, key: &str) -> Option<&str> {
        self.get(&[key])?.as_str()
    }

    /// A line behind the last of a table, or what stands at the end of an inline one.
    fn put_into(&mut self, keys: &[&str], name: &str, value: &Value) -> Option<()> {
        let key = toml_edit::Key::new(name);
        let line = format!("{key} = {}", value.to_string().trim());
        let (at, text) = match self.get(keys)? {
            Item::Value(Value::InlineTable(table)) => {
                let inside = self.document.raw().get(table.span()?)?;
                let end = inside.strip_suffix('}')?.trim_end();
                let comma = if table.is_empty() || end.ends_with(',') {
                    " "
                } else {
                    ", "
                };
                (table.span()?.start + end.len(), format!("{comma}{line}"))
            }
            Item::Table(table) if !table.is_dotted() => {
                let last = table.iter().filter_map(|(_, item)| item.as_value()?.span());
                let end = last.map(|s| s.end).max().or(Some(table.span()?.end))?;
                let rest = self.document.raw().get(end..)?;
                let to = rest.find(['\r', '\n']).unwrap_or(rest.len());
                (end + to, format!("{}{line}", self.new_line()))
            }
            _ => return None,
        };
        self.within
            .push((at + self.text.len() - self.document.raw().len(), text));
        Some(())
    }

    fn new_line(&self) -> &'static str {
        if self.text.contains("\r\n") {
            "\r\n"
        } else {
            "\n"
        }
    }

    /// With all of it, if anything is new and the whole can still be read.
    fn done(mut self) -> Option<Result<String, String>> {
        if self.within.is_empty() && self.at_end.is_empty() {
            return None;
        }
        let line = self.new_line();
        let mut text = self.text;
        self.within.sort_by_key(|(at, _)| *at);
        for (at, new) in self.within.into_iter().rev() {
            text.insert_str(at, &new);
        }
        if !self.at_end.is_empty() {
            if !text.is_empty() && !text.ends_with('\n') {
                text += line;
            }
            text += &self.at_end.replace('\n', line);
        }
        let bare = text.strip_prefix('\u{feff}').unwrap_or(&text);
        let read = Document::parse(bare);
        Some(match read {
            Ok(_) => Ok(text),
            Err(_) => Err(self.at_end),
        })
    }
}

/// Adds to files that are there what a draft has and they have not. `old` reads them.
///
/// # Errors
///
/// When a file that is there is no TOML: its name, and why.
pub fn updated(draft: &Draft, old: impl Fn(&str) -> Option<String>) -> Result<Update, Failed> {
    let mut update = Update::default();
    let mut fresh = Vec::new();
    let short = old("rig.toml").is_none();
    for (name, new) in write::files(draft, short) {
        let Some(text) = old(&name) else {
            update.told.push(format!("{name} is new"));
            update.files.push((name, new));
            continue;
        };
        let mut file = File::read(&name, text)?;
        let view = draft.views.iter().find(|v| match &v.name {
            Some(view) => name == format!("{view}.toml"),
            None => name == "rig.toml",
        });
        if name == "poses.toml" {
            sweeps(draft, &mut file, &fresh, &mut update.told);
        } else if name == "rig.toml" && view.is_none() {
            views(draft, &mut file, &mut update.told);
        }
        if let Some(view) = view {
            let others = likes(&file, &old)?;
            of_view(
                draft,
                view,
                (&mut file, &others),
                &mut fresh,
                &mut update.told,
            );
        }
        match file.done() {
            Some(Ok(text)) => update.files.push((name, text)),
            Some(Err(left)) => update.told.push(format!(
                "{name}: the way this file is written leaves no room for what is new; put it in by hand:\n{left}"
            )),
            None => {}
        }
    }
    Ok(update)
}

/// The files that a view's file is like, the nearest first.
fn likes(file: &File, old: &impl Fn(&str) -> Option<String>) -> Result<Vec<File>, Failed> {
    let mut all: Vec<File> = Vec::new();
    while let Some(name) = all.last().unwrap_or(file).text_at("like") {
        let name = name.to_owned();
        let known = name == file.name || all.iter().any(|f| f.name == name);
        let Some(text) = old(&name).filter(|_| !known) else {
            break;
        };
        all.push(File::read(&name, text)?);
    }
    Ok(all)
}

/// A view's file with those that it is like.
struct Known<'a> {
    all: Vec<&'a File>,
    drawing: &'a str,
}

impl<'a> Known<'a> {
    fn new(file: &'a File, others: &'a [File]) -> Self {
        let all: Vec<&File> = std::iter::once(file).chain(others).collect();
        let drawing = all.iter().find_map(|f| f.text_at("drawing"));
        Self {
            drawing: drawing.unwrap_or_default(),
            all,
        }
    }

    fn get(&self, keys: &[&str]) -> Option<&'a Item> {
        self.all.iter().find_map(|file| file.get(keys))
    }

    fn parts(&self) -> impl Iterator<Item = &'a str> {
        let tables = self
            .all
            .iter()
            .filter_map(|file| file.get(&["part"])?.as_table_like());
        tables.flat_map(|table| table.iter().map(|(name, _)| name))
    }

    /// Whether a part names no drawing of its own, and may have none.
    fn only_carries(&self, part: &str) -> bool {
        let carried = |p: &str| {
            let on = self.get(&["part", p, "parent"]).and_then(Item::as_str);
            on == Some(part)
        };
        let plain = self.parts().any(|p| p == part) && self.get(&["part", part, "art"]).is_none();
        let drawn = self.get(&["part", part, "replacements"]).is_some();
        plain && (drawn || self.parts().any(carried))
    }

    /// A drawing as it is written, with its file.
    fn whole(&self, written: &str) -> String {
        match written.strip_prefix('#') {
            Some(element) => format!("{}#{element}", self.drawing),
            None => written.to_owned(),
        }
    }

    /// All drawings that the files name, with the parts that they stand under.
    fn drawings(&self) -> Vec<(&'a str, String)> {
        let mut found = Vec::new();
        for name in self.parts() {
            if self.get(&["part", name, "art"]).is_none() {
                found.push((name, self.whole(&format!("#{name}"))));
            }
        }
        for table in self
            .all
            .iter()
            .flat_map(|f| ["part", "seam"].map(|t| f.get(&[t])))
        {
            let Some(table) = table.and_then(Item::as_table_like) else {
                continue;
            };
            for (name, item) in table.iter() {
                let mut texts = Vec::new();
                texts_in(item, &mut texts);
                let drawn = texts.into_iter().filter(|text| text.contains('#'));
                found.extend(drawn.map(|text| (name, self.whole(text))));
            }
        }
        found
    }
}

fn texts_in<'a>(item: &'a Item, found: &mut Vec<&'a str>) {
    fn of<'a>(value: &'a Value, found: &mut Vec<&'a str>) {
        match value {
            Value::String(s) => found.push(s.value()),
            Value::Array(all) => all.iter().for_each(|v| of(v, found)),
            Value::InlineTable(all) => all.iter().for_each(|(_, v)| of(v, found)),
            _ => {}
        }
    }
    match item {
        Item::Value(value) => of(value, found),
        Item::Table(table) => table.iter().for_each(|(_, item)| texts_in(item, found)),
        _ => {}
    }
}

/// Whether a file names this drawing, by itself or with a `*`.
fn names(known: &[(&str, String)], element: &str) -> bool {
    known.iter().any(|(_, text)| match text.split_once('*') {
        Some((before, after)) => {
            let rest = element.strip_prefix(before);
            rest.is_some_and(|rest| rest.len() > after.len() && rest.ends_with(after))
        }
        None => text == element,
    })
}

fn elements(drawing: &Drawing) -> impl Iterator<Item = String> + Clone {
    drawing
        .elements
        .iter()
        .map(|e| format!("{}#{e}", drawing.file))
}

fn of_view(
    draft: &Draft,
    view: &View,
    (file, others): (&mut File, &[File]),
    fresh: &mut Vec<String>,
    told: &mut Vec<String>,
) {
    let name = file.name.clone();
    let mut blocks: Vec<(&str, Entry)> = Vec::new();
    let mut replaced: Vec<(String, Vec<(String, Value)>)> = Vec::new();
    {
        let known = Known::new(file, others);
        let drawings = known.drawings();
        let depths: Vec<f64> = (0..view.parts.len()).map(write::order).collect();
        let mut new = vec![false; view.parts.len()];
        for (k, part) in view.parts.iter().enumerate() {
            // A person may have called the part something else, or made it a drawing of another.
            let used = elements(&part.drawing).find_map(|e| {
                let found = drawings.iter().find(|(_, text)| *text == e);
                found
                    .map(|(name, _)| *name)
                    .or_else(|| names(&drawings, &e).then_some(""))
            });
            let said = known.get(&["part", &part.name]).map(|_| part.name.as_str());
            let Some(called) = used.or(said) else {
                new[k] = true;
                fresh.push(part.name.clone());
                told.push(format!("{name}: part {} is new", part.name));
                blocks.push(("part", write::part(draft, view, k, &depths)));
                continue;
            };
            let others = part.replacements.iter();
            let others = others.filter(|(_, d)| !elements(d).any(|e| names(&drawings, &e)));
            let others = others.map(|(own, drawing)| {
                let all: Vec<String> = elements(drawing).collect();
                (own.clone(), write::names(all.iter().map(String::as_str)))
            });
            replaced.push((called.to_owned(), others.collect()));
        }
        let free = |table: &str, k: usize| known.get(&[table, &view.parts[k].name]).is_none();
        for (at, seam) in view.seams.iter().enumerate() {
            if (new[seam.parent] || new[seam.child]) && free("seam", seam.child) {
                blocks.push(("seam", write::seam(view, at)));
            }
        }
        for (at, mask) in view.masks.iter().enumerate() {
            if new[mask.part] && free("mask", mask.part) {
                blocks.push(("mask", write::mask(view, at)));
            }
        }
        for (at, garment) in view.garments.iter().enumerate() {
            if new[garment.part] && free("garment", garment.part) {
                blocks.push(("garment", write::garment(draft, view, at)));
            }
        }
        let parsed = draft.elements(&view.file);
        for (_, reference) in &drawings {
            let Some((drawing, element)) = reference.rsplit_once('#') else {
                continue;
            };
            let own = drawing == view.file && !element.contains('*');
            if own && !known.only_carries(element) && !parsed.has(element) {
                told.push(format!("{name}: {reference} is gone from the drawing; what stands of it stays until you take it out"));
            }
        }
    }
    for (part, others) in replaced
        .into_iter()
        .filter(|(_, others)| !others.is_empty())
    {
        let all: Vec<&str> = others.iter().map(|(own, _)| own.as_str()).collect();
        let all = all.join(", ");
        told.push(match add_replacements(file, &part, &others) {
            Some(()) => format!("{name}: replacement {all} of {part} is new"),
            None => {
                let at: Vec<String> = others.iter().map(|(_, v)| v.to_string()).collect();
                format!(
                    "{name}: {} looks like a new replacement {all} of {part}: add it there",
                    at.join(", ")
                )
            }
        });
    }
    for (table, entry) in blocks {
        file.at_end += &block(table, &entry);
    }
}

/// Puts drawings among a part's others, where the file has the part.
fn add_replacements(file: &mut File, part: &str, others: &[(String, Value)]) -> Option<()> {
    let keys = ["part", part, "replacements"];
    match file.get(&keys[..2])?.get(keys[2]) {
        Some(Item::Value(Value::InlineTable(_)) | Item::Table(_)) => others
            .iter()
            .try_for_each(|(own, value)| file.put_into(&keys, own, value).ok_or(()))
            .ok(),
        Some(_) => None,
        None => {
            let all = others
                .iter()
                .map(|(own, value)| (own.as_str(), value.clone()));
            let all = toml_edit::InlineTable::from_iter(all);
            file.put_into(&keys[..2], keys[2], &all.into())
        }
    }
}

/// Views that a rig does not name yet.
fn views(draft: &Draft, file: &mut File, told: &mut Vec<String>) {
    let name = file.name.clone();
    let all = draft.views.iter().filter_map(|v| v.name.as_deref());
    let new = all.filter(|v| file.get(&["views", v]).is_none());
    for view in new.collect::<Vec<_>>() {
        let value = Value::from(format!("{view}.toml"));
        told.push(match file.put_into(&["views"], view, &value) {
            Some(()) => format!("{name}: view {view} is new"),
            None => format!("{name}: move its parts into a file of a view, and name that and {view} = {value} under [views]"),
        });
    }
}

/// Sweeps of joints that are new.
fn sweeps(draft: &Draft, file: &mut File, fresh: &[String], told: &mut Vec<String>) {
    let turned = |part: &str| {
        let sweeps = file.get(&["sweep"]).and_then(Item::as_table_like);
        let turns = |item: &Item| item.get("turn").and_then(Item::as_str) == Some(part);
        sweeps.is_some_and(|s| s.iter().any(|(_, sweep)| turns(sweep)))
    };
    let new: Vec<Entry> = write::joints(&draft.views)
        .into_iter()
        .filter(|p| fresh.contains(&p.name) && !turned(&p.name))
        .filter(|p| file.get(&["sweep", &p.name]).is_none())
        .map(|p| write::sweep(p, &draft.views))
        .collect();
    for entry in new {
        told.push(format!("{}: the sweep of {} is new", file.name, entry.name));
        file.at_end += &block("sweep", &entry);
    }
}
