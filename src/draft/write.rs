//! The draft as the files that people write: TOML, a line for each part, with the reason where it is no more than a guess.

use toml_edit::{Array, DocumentMut, InlineTable, Item, Table, Value};

use super::part::{Drawing, Part, Sure, Turns};
use super::view::View;
use super::{Draft, guides};
use crate::art::Rgb;
use crate::geom::Point;

/// A line of a table: its key, its value, and what is told beside it.
#[derive(Clone, Debug)]
pub struct Entry {
    /// Its key.
    pub name: String,
    /// What it says.
    pub value: Value,
    /// Why, where that is a guess.
    pub told: Option<String>,
}

/// A table with its lines.
pub type Lines = (&'static str, Vec<Entry>);

/// Files by name, from the rig's folder, in the order in which a person reads them.
#[must_use]
pub fn texts(draft: &Draft) -> Vec<(String, String)> {
    files(draft, true)
}

/// The same; `short` lets views be like each other.
pub(super) fn files(draft: &Draft, short: bool) -> Vec<(String, String)> {
    let mut files = vec![("rig.toml".to_owned(), rig(draft))];
    let mut said: Vec<(String, Vec<Lines>, Vec<f64>)> = Vec::new();
    for view in draft.views.iter().filter(|v| v.name.is_some()) {
        let name = view.name.as_deref().unwrap_or_default();
        let head = format!(
            "# {name}: drafted by layfig from {}; yours to change.\n",
            view.file
        );
        let whole = |depths: &[f64]| tables(draft, view, depths);
        let plain: Vec<f64> = (0..view.parts.len()).map(order).collect();
        let mut own = (String::new(), whole(&plain), plain);
        let mut text = printed(&head, draft, view, &own.1, None);
        for (other, base, depths) in said.iter().filter(|_| short) {
            let depths = alike(base, depths, view);
            let all = whole(&depths);
            let less = printed(&head, draft, view, &differing(base, &all), Some(other));
            // Worth it where much is the same.
            if 4 * less.len() < 3 * text.len() {
                text = less;
                own = (String::new(), all, depths);
            }
        }
        let file = format!("{name}.toml");
        own.0.clone_from(&file);
        said.push(own);
        files.push((file, text));
    }
    files.push(("poses.toml".to_owned(), poses(draft)));
    files
}

/// A place in an order as a number.
pub(super) fn order(k: usize) -> f64 {
    f64::from(u32::try_from(k).unwrap_or(u32::MAX))
}

fn printed(head: &str, draft: &Draft, view: &View, tables: &[Lines], like: Option<&str>) -> String {
    let mut root = Table::new();
    if let Some(like) = like {
        root.insert("like", Item::Value(like.into()));
    }
    of_view(draft, view, &mut root);
    print(tables, &mut root);
    format!("{head}{}", text(root))
}

fn text(root: Table) -> String {
    let mut document = DocumentMut::new();
    *document.as_table_mut() = root;
    document.to_string()
}

/// A line as a table of its own, for the end of a file.
pub(super) fn block(table: &str, entry: &Entry) -> String {
    let mut own = match entry.value.clone() {
        Value::InlineTable(keys) => keys.into_table(),
        parts => Table::from_iter([("parts", parts)]),
    };
    own.fmt();
    let told = entry
        .told
        .as_ref()
        .map_or(String::new(), |why| format!("# {why}\n"));
    own.decor_mut().set_prefix(format!("\n{told}"));
    let mut of = Table::from_iter([(entry.name.as_str(), Item::Table(own))]);
    of.set_implicit(true);
    text(Table::from_iter([(table, Item::Table(of))]))
}

/// The drawing, and where it goes when its page does not begin at 0 0.
fn of_view(draft: &Draft, view: &View, root: &mut Table) {
    root.insert("drawing", Item::Value(view.file.as_str().into()));
    if view.corner != [0.0, 0.0] {
        let mut place = InlineTable::new();
        place.insert("move", draft.point(view.corner.map(|v| -v)));
        root.insert("place", Item::Value(place.into()));
    }
}

fn print(tables: &[Lines], root: &mut Table) {
    for (name, entries) in tables.iter().filter(|(_, entries)| !entries.is_empty()) {
        let mut table = Table::new();
        for entry in entries {
            let mut value = entry.value.clone();
            if let Some(why) = &entry.told {
                value.decor_mut().set_suffix(format!("  # {why}"));
            }
            table.insert(&entry.name, Item::Value(value));
        }
        root.insert(name, Item::Table(table));
    }
}

/// Depths in front of each other as the drawing's are: those of another view where its order holds, others between.
fn alike(base: &[Lines], depths: &[f64], view: &View) -> Vec<f64> {
    let (_, parts) = &base[0];
    let known: Vec<Option<f64>> = view
        .parts
        .iter()
        .map(|p| Some(depths[parts.iter().position(|e| e.name == p.name)?]))
        .collect();
    // The longest row of them that grows.
    let n = known.len();
    let mut best: Vec<(usize, Option<usize>)> = vec![(0, None); n];
    for k in 0..n {
        let Some(own) = known[k] else { continue };
        let before = (0..k).filter(|&j| known[j].is_some_and(|d| d < own));
        let longest = before.max_by_key(|&j| (best[j].0, std::cmp::Reverse(j)));
        best[k] = (longest.map_or(0, |j| best[j].0) + 1, longest);
    }
    let mut at = (0..n).max_by_key(|&k| (best[k].0, std::cmp::Reverse(k)));
    let mut kept = vec![None; n];
    while let Some(k) = at.filter(|&k| best[k].0 > 0) {
        kept[k] = known[k];
        at = best[k].1;
    }
    let mut out: Vec<f64> = Vec::with_capacity(n);
    for k in 0..n {
        let next = (k..n).find_map(|j| Some((kept[j]?, j - k)));
        out.push(match (out.last(), next) {
            (_, Some((own, 0))) => own,
            (Some(last), Some((next, steps))) => last + (next - last) / (order(steps) + 1.0),
            (None, Some((next, steps))) => next - order(steps),
            (last, None) => last.map_or(0.0, |last| last + 1.0),
        });
    }
    out
}

/// What is said otherwise than in another view.
fn differing(base: &[Lines], own: &[Lines]) -> Vec<Lines> {
    let find = |tables: &[Lines], table: &str| -> Vec<Entry> {
        let found = tables.iter().find(|(name, _)| *name == table);
        found
            .map(|(_, entries)| entries.clone())
            .unwrap_or_default()
    };
    let of = |table: &'static str| {
        let (base, own) = (find(base, table), find(own, table));
        let mut out: Vec<Entry> = Vec::new();
        for entry in &own {
            let Some(other) = base.iter().find(|e| e.name == entry.name) else {
                out.push(entry.clone());
                continue;
            };
            let same = |a: &Value, b: &Value| a.to_string().trim() == b.to_string().trim();
            if same(&entry.value, &other.value) {
                continue;
            }
            let mut value = entry.value.clone();
            if let (Value::InlineTable(own), Value::InlineTable(other)) = (&mut value, &other.value)
            {
                own.retain(|key, value| !other.get(key).is_some_and(|o| same(&*value, o)));
                for (key, _) in other.iter() {
                    let gone = !entry
                        .value
                        .as_inline_table()
                        .is_some_and(|t| t.contains_key(key));
                    if gone && key == "art" {
                        own.insert(key, format!("#{}", entry.name).into());
                    } else if gone {
                        own.insert(key, false.into());
                    }
                }
            }
            out.push(Entry {
                value,
                ..entry.clone()
            });
        }
        let gone = base
            .iter()
            .filter(|e| !own.iter().any(|o| o.name == e.name));
        out.extend(gone.map(|e| Entry {
            name: e.name.clone(),
            value: false.into(),
            told: None,
        }));
        (table, out)
    };
    own.iter().map(|(table, _)| of(table)).collect()
}

impl Draft {
    /// A number with as many digits as the canvas needs.
    #[must_use]
    pub(super) fn rounded(&self, v: f64) -> f64 {
        let digits = if self.canvas[0].max(self.canvas[1]) > 500.0 {
            10.0
        } else {
            100.0
        };
        (v * digits).round() / digits + 0.0
    }

    /// The same as a value: whole where it is.
    pub(super) fn number(&self, v: f64) -> Value {
        number(self.rounded(v))
    }

    /// A point, likewise.
    pub(super) fn point(&self, [x, y]: Point) -> Value {
        Array::from_iter([self.number(x), self.number(y)]).into()
    }

    /// A point in words.
    #[must_use]
    pub(super) fn told_point(&self, [x, y]: Point) -> String {
        format!("{}, {}", self.rounded(x), self.rounded(y))
    }
}

#[expect(clippy::cast_possible_truncation, reason = "a whole number below 2^53")]
fn number(v: f64) -> Value {
    if v.fract() == 0.0 && v.abs() < 1e15 {
        (v as i64).into()
    } else {
        v.into()
    }
}

/// One text, or a list of several.
pub(super) fn names<'a>(all: impl Iterator<Item = &'a str>) -> Value {
    let all: Vec<&str> = all.collect();
    if all.len() == 1 {
        all[0].into()
    } else {
        Array::from_iter(all).into()
    }
}

fn rig(draft: &Draft) -> String {
    let mut drawings: Vec<&str> = draft.views.iter().map(|v| v.file.as_str()).collect();
    drawings.dedup();
    let head = format!(
        "# Drafted by layfig from {}. Everything here is yours to change; `layfig draft --update` adds what the drawing has\n# got since, and leaves what stands here.\n\n",
        drawings.join(", ")
    );
    let mut root = Table::new();
    let single = draft.views.iter().find(|v| v.name.is_none());
    if let Some(view) = single {
        of_view(draft, view, &mut root);
    }
    let mut character = Table::new();
    let mut set = |key: &str, value: Value, told: &str| {
        let mut value = value;
        if !told.is_empty() {
            value.decor_mut().set_suffix(format!("  # {told}"));
        }
        character.insert(key, Item::Value(value));
    };
    set("name", draft.name.as_str().into(), "");
    set("canvas", draft.point(draft.canvas), "");
    set(
        "grow",
        true.into(),
        "the page fits the figure at rest; pictures grow where it leaves it",
    );
    let measures = guides::measures(&draft.views);
    for (key, value) in [("ground", measures.ground), ("crown", measures.crown)] {
        if let Some(value) = value {
            set(key, draft.number(value), "");
        }
    }
    if let Some(heads) = measures.heads {
        set("heads", number(heads), "");
    }
    set("poses", Array::from_iter(["poses.toml"]).into(), "");
    root.insert("character", Item::Table(character));
    let line = |name: &str, value: Value| Entry {
        name: name.to_owned(),
        value,
        told: None,
    };
    let swatches = draft
        .swatches
        .iter()
        .map(|s| line(&s.name, s.rgb.to_string().into()));
    let mut all: Vec<Lines> = vec![("swatch", swatches.collect())];
    if let Some(view) = single {
        let depths: Vec<f64> = (0..view.parts.len()).map(order).collect();
        all.extend(tables(draft, view, &depths));
    } else {
        let views = draft.views.iter().filter_map(|v| v.name.as_deref());
        all.push((
            "views",
            views
                .map(|name| line(name, format!("{name}.toml").into()))
                .collect(),
        ));
    }
    print(&all, &mut root);
    format!("{head}{}", text(root))
}

fn art(view: &View, drawing: &Drawing) -> Value {
    let file = if drawing.file == view.file {
        ""
    } else {
        &drawing.file
    };
    let all: Vec<String> = drawing
        .elements
        .iter()
        .map(|e| format!("{file}#{e}"))
        .collect();
    names(all.iter().map(String::as_str))
}

/// Other drawings: every element of a name where these are all, else each by its own.
fn replacements(draft: &Draft, view: &View, part: &Part) -> Value {
    let every = || {
        let (_, first) = part.replacements.first()?;
        let file = &first.file;
        let (name, drawing) = part
            .replacements
            .iter()
            .find(|(n, d)| d.elements[0].contains(n.as_str()))?;
        let (before, after) = drawing.elements[0].rsplit_once(name.as_str())?;
        let fits = |(name, d): &(String, Drawing)| {
            d.file == *file && d.elements == [format!("{before}{name}{after}")]
        };
        let own = |id: &str| part.drawing.file == *file && part.drawing.elements == [id];
        let mut called = draft.ids.get(file)?.iter().filter(|id| {
            let star = id
                .strip_prefix(before)
                .and_then(|rest| rest.strip_suffix(after));
            star.is_some_and(|star| !star.is_empty()) && !own(id)
        });
        let known = |id: &String| {
            part.replacements
                .iter()
                .any(|(_, d)| d.elements == [id.as_str()])
        };
        let all = part.replacements.iter().all(fits) && called.all(known);
        (all && !before.is_empty() && part.replacements.len() > 1)
            .then(|| format!("{file}#{before}*{after}"))
    };
    if let Some(pattern) = every() {
        return pattern.into();
    }
    let mut table = InlineTable::new();
    for (name, drawing) in &part.replacements {
        table.insert(name, art(view, drawing));
    }
    table.into()
}

/// One part's line.
pub(super) fn part(draft: &Draft, view: &View, k: usize, depths: &[f64]) -> Entry {
    let part = &view.parts[k];
    let mut line = InlineTable::new();
    let mut told = Vec::new();
    let mut guess = |sure: Sure, why: &str| {
        if sure == Sure::Guess {
            told.push(why.to_owned());
        }
    };
    if part.drawing.file != view.file || part.drawing.elements != [part.name.as_str()] {
        line.insert("art", art(view, &part.drawing));
    }
    if !part.replacements.is_empty() {
        line.insert("replacements", replacements(draft, view, part));
    }
    if let Some(parent) = &part.parent {
        line.insert("parent", view.parts[parent.value].name.as_str().into());
        guess(parent.sure, &parent.why);
    }
    let pivot = match &part.turns {
        Turns::At => draft.point(part.pivot.value),
        Turns::Mark(mark) => format!("#{mark}").into(),
        Turns::With(other) => {
            let mut of = InlineTable::new();
            of.insert("of", view.parts[*other].name.as_str().into());
            of.into()
        }
    };
    line.insert("pivot", pivot);
    if part.parent.is_some() {
        guess(part.pivot.sure, &part.pivot.why);
    }
    let on = part.parent.as_ref().map_or(0.0, |p| depths[p.value]);
    let depth = ((depths[k] - on) * 1000.0).round() / 1000.0;
    if depth != 0.0 {
        line.insert("depth", number(depth));
    }
    if let Some(limits) = &part.limits {
        if let Ok(value) = limits.value.0.parse::<Value>() {
            line.insert("limits", value);
        }
        guess(limits.sure, &limits.why);
    }
    Entry {
        name: part.name.clone(),
        value: line.into(),
        told: (!told.is_empty()).then(|| format!("a guess: {}", told.join("; "))),
    }
}

/// A seam's line. A chin keeps its line before the neck.
pub(super) fn seam(view: &View, at: usize) -> Entry {
    let seam = &view.seams[at];
    let name = |k: usize| view.parts[k].name.as_str();
    let mut value: Value = Array::from_iter([name(seam.parent), name(seam.child)]).into();
    if view.parts[seam.child].is("head") {
        let keys = [("parts", value), ("opens", "parent".into())];
        value = InlineTable::from_iter(keys).into();
    }
    entry(name(seam.child), value, seam.why.sure, &seam.why.why)
}

/// A mask's line.
pub(super) fn mask(view: &View, at: usize) -> Entry {
    let mask = &view.masks[at];
    let mut line = InlineTable::new();
    let keep = if mask.inside { "inside" } else { "outside" };
    line.insert("keep", keep.into());
    line.insert(
        "of",
        names(mask.of.iter().map(|&k| view.parts[k].name.as_str())),
    );
    entry(
        &view.parts[mask.part].name,
        line.into(),
        mask.why.sure,
        &mask.why.why,
    )
}

/// A garment's line.
pub(super) fn garment(draft: &Draft, view: &View, at: usize) -> Entry {
    let garment = &view.garments[at];
    let mut line = InlineTable::new();
    line.insert(
        "on",
        names(garment.on.iter().map(|&h| view.parts[h].name.as_str())),
    );
    if let Some(rgb) = garment.trim {
        line.insert("trim", swatch(draft, rgb).into());
    }
    entry(
        &view.parts[garment.part].name,
        line.into(),
        garment.why.sure,
        &garment.why.why,
    )
}

fn entry(name: &str, value: Value, sure: Sure, why: &str) -> Entry {
    Entry {
        name: name.to_owned(),
        value,
        told: (sure == Sure::Guess).then(|| format!("a guess: {why}")),
    }
}

fn swatch(draft: &Draft, rgb: Rgb) -> String {
    let known = draft.swatches.iter().find(|s| s.rgb == rgb);
    known.map_or_else(|| rgb.to_string(), |s| s.name.clone())
}

/// All that a view's file says.
fn tables(draft: &Draft, view: &View, depths: &[f64]) -> Vec<Lines> {
    let line = |name: &str, keys: &[(&str, Value)]| {
        let mut table = InlineTable::new();
        for (key, value) in keys {
            table.insert(*key, value.clone());
        }
        Entry {
            name: name.to_owned(),
            value: table.into(),
            told: None,
        }
    };
    let landmarks = guides::landmarks(view).into_iter();
    let landmarks =
        landmarks.map(|(name, part, at)| line(name, &[("part", part.into()), ("at", at.into())]));
    let crops = guides::crops(view).into_iter();
    let crops =
        crops.map(|(name, part)| line(&name, &[("part", part.into()), ("margin", 0.06.into())]));
    let charts = guides::charts(view).into_iter().map(|(name, part, crop)| {
        let mut keys: Vec<(&str, Value)> = vec![("parts", part.into())];
        keys.extend(crop.map(|crop| ("crop", crop.into())));
        line(&name, &keys)
    });
    vec![
        (
            "part",
            (0..view.parts.len())
                .map(|k| part(draft, view, k, depths))
                .collect(),
        ),
        (
            "seam",
            (0..view.seams.len()).map(|at| seam(view, at)).collect(),
        ),
        (
            "mask",
            (0..view.masks.len()).map(|at| mask(view, at)).collect(),
        ),
        (
            "garment",
            (0..view.garments.len())
                .map(|at| garment(draft, view, at))
                .collect(),
        ),
        ("landmarks", landmarks.collect()),
        ("crop", crops.collect()),
        ("chart", charts.collect()),
    ]
}

/// Parts that turn, each once over all views.
#[must_use]
pub fn joints(views: &[View]) -> Vec<&Part> {
    let mut found: Vec<&Part> = Vec::new();
    for part in views.iter().flat_map(|v| &v.parts) {
        if part.limits.is_some() && !found.iter().any(|p| p.name == part.name) {
            found.push(part);
        }
    }
    found
}

/// A joint's sweep; where its limits are others in other views, over what all of them have.
pub(super) fn sweep(part: &Part, views: &[View]) -> Entry {
    let all = views
        .iter()
        .flat_map(|v| &v.parts)
        .filter(|p| p.name == part.name);
    let limits: Vec<[f64; 2]> = all
        .filter_map(|p| Some(p.limits.as_ref()?.value.1))
        .collect();
    let least = limits
        .iter()
        .map(|l| l[0])
        .fold(f64::NEG_INFINITY, f64::max);
    let most = limits.iter().map(|l| l[1]).fold(f64::INFINITY, f64::min);
    let mut line = InlineTable::new();
    line.insert("turn", part.name.as_str().into());
    if limits.iter().any(|l| *l != limits[0]) {
        line.insert(
            "over",
            Array::from_iter([number(least + 0.0), number(most + 0.0)]).into(),
        );
    }
    let step: i64 = if most - least > 180.0 { 30 } else { 15 };
    line.insert("step", step.into());
    Entry {
        name: part.name.clone(),
        value: line.into(),
        told: None,
    }
}

fn poses(draft: &Draft) -> String {
    let joints = joints(&draft.views);
    let sweeps: Vec<Entry> = joints
        .iter()
        .map(|part| sweep(part, &draft.views))
        .collect();
    let stress = if sweeps.is_empty() {
        ""
    } else {
        "\n# random poses within the limits\n[stress.limits]\nseed = 1\ncount = 12\n"
    };
    let mut root = Table::new();
    print(&[("sweep", sweeps)], &mut root);
    let sweeps = text(root);
    let space = if sweeps.is_empty() { "" } else { "\n" };
    format!("[pose.rest]\n{space}{sweeps}{stress}")
}
