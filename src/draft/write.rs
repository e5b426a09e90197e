//! The draft as the files that people write: TOML, with the reason where it is no more than a guess.

use std::fmt::Write as _;

use super::part::{Drawing, Part, Sure};
use super::view::View;
use super::{Draft, guides};
use crate::art::Rgb;
use crate::geom::Point;

/// Files by name, from the rig's folder, in the order in which a person reads them.
#[must_use]
pub fn texts(draft: &Draft) -> Vec<(String, String)> {
    let mut files = vec![("rig.toml".to_owned(), rig(draft))];
    if draft.views.len() > 1 || draft.views.iter().any(|v| v.name.is_some()) {
        for view in &draft.views {
            let name = view.name.as_deref().unwrap_or("view");
            let mut text = format!(
                "# {name}: drafted by layfig from {}; yours to change.\n",
                view.file
            );
            parts(draft, view, &mut text);
            files.push((format!("{name}.toml"), text));
        }
    }
    files.push(("poses.toml".to_owned(), poses(draft)));
    files
}

/// A key: bare where TOML lets it.
#[must_use]
pub fn key(name: &str) -> String {
    let bare = |c: char| c.is_ascii_alphanumeric() || matches!(c, '_' | '-');
    if !name.is_empty() && name.chars().all(bare) {
        name.to_owned()
    } else {
        quote(name)
    }
}

/// A text in quotes.
#[must_use]
pub fn quote(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' => {
                out.push('\\');
                out.push(c);
            }
            c if c.is_control() => {
                let _ = write!(out, "\\u{:04X}", u32::from(c));
            }
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

fn list(names: impl Iterator<Item = String>) -> String {
    format!("[{}]", names.collect::<Vec<_>>().join(", "))
}

impl Draft {
    /// A number with as many digits as the canvas needs.
    #[must_use]
    pub fn number(&self, v: f64) -> String {
        let digits = if self.canvas[0].max(self.canvas[1]) > 500.0 {
            1
        } else {
            2
        };
        let text = format!("{v:.digits$}");
        let short = text.trim_end_matches('0').trim_end_matches('.');
        if short == "-0" {
            "0".to_owned()
        } else {
            short.to_owned()
        }
    }

    /// A point, likewise.
    #[must_use]
    pub fn point(&self, [x, y]: Point) -> String {
        format!("[{}, {}]", self.number(x), self.number(y))
    }
}

fn rig(draft: &Draft) -> String {
    let mut text = String::new();
    let mut drawings: Vec<&str> = draft.views.iter().map(|v| v.file.as_str()).collect();
    drawings.dedup();
    let _ = writeln!(
        text,
        "# Drafted by layfig from {}. Everything here is yours to change; `layfig draft --update` adds what the drawing has",
        drawings.join(", ")
    );
    text.push_str("# got since, and leaves what stands here.\n\n[character]\n");
    let _ = writeln!(text, "name   = {}", quote(&draft.name));
    let _ = writeln!(text, "canvas = {}", draft.point(draft.canvas));
    text.push_str("grow   = true                              # the page fits the figure at rest; pictures grow where it leaves it\n");
    let measures = guides::measures(&draft.views);
    if let Some(ground) = measures.ground {
        let _ = writeln!(text, "ground = {}", draft.number(ground));
    }
    if let Some(crown) = measures.crown {
        let _ = writeln!(text, "crown  = {}", draft.number(crown));
    }
    if let Some(heads) = measures.heads {
        let _ = writeln!(text, "heads  = {heads}");
    }
    text.push_str("poses  = [\"poses.toml\"]\n");
    if !draft.swatches.is_empty() {
        text.push_str("\n[palette.drawn]\n");
        let wide = draft
            .swatches
            .iter()
            .map(|s| key(&s.name).len())
            .max()
            .unwrap_or(0);
        for swatch in &draft.swatches {
            let _ = writeln!(text, "{:<wide$} = \"{}\"", key(&swatch.name), swatch.rgb);
        }
    }
    if let [view] = draft.views.as_slice()
        && view.name.is_none()
    {
        parts(draft, view, &mut text);
    } else {
        text.push_str("\n[views]\n");
        for name in draft.views.iter().filter_map(|v| v.name.as_deref()) {
            let _ = writeln!(text, "{} = {}", key(name), quote(&format!("{name}.toml")));
        }
    }
    text
}

fn art(drawing: &Drawing) -> String {
    let mut all = drawing
        .elements
        .iter()
        .map(|e| quote(&format!("{}#{e}", drawing.file)));
    if all.len() == 1 {
        all.next().unwrap_or_default()
    } else {
        list(all)
    }
}

/// One part's table.
#[must_use]
pub fn part(draft: &Draft, view: &View, k: usize) -> String {
    let part = &view.parts[k];
    let mut text = format!("\n[part.{}]\n", key(&part.name));
    let mut line = |name: &str, value: String, why: Option<&str>| {
        let set = format!("{name:<6} = {value}");
        match why {
            Some(why) => {
                let _ = writeln!(text, "{set:<42} # {why}");
            }
            None => {
                let _ = writeln!(text, "{set}");
            }
        }
    };
    let guess = |sure: Sure, why: &str| (sure == Sure::Guess).then(|| format!("a guess: {why}"));
    line("art", art(&part.drawing), None);
    if let Some(parent) = &part.parent {
        let why = guess(parent.sure, &parent.why);
        line(
            "parent",
            quote(&view.parts[parent.value].name),
            why.as_deref(),
        );
    }
    let why = guess(part.pivot.sure, &part.pivot.why);
    line(
        "pivot",
        draft.point(part.pivot.value),
        why.as_deref().filter(|_| part.parent.is_some()),
    );
    let depth = depth(view, k);
    if depth != 0 {
        line("depth", depth.to_string(), None);
    }
    if let Some(limits) = &part.limits {
        let holds = limits
            .why
            .contains(" would be ")
            .then(|| limits.why.clone());
        let why = guess(limits.sure, &limits.why)
            .filter(|_| holds.is_none())
            .or(holds);
        line("limits", limits.value.0.clone(), why.as_deref());
    }
    if view.corner != [0.0, 0.0] {
        let move_to = draft.point(view.corner.map(|v| -v));
        line("place", format!("{{ move = {move_to} }}"), None);
    }
    if !part.replacements.is_empty() {
        let all = part.replacements.iter();
        let all: Vec<String> = all
            .map(|(name, d)| format!("{} = {}", key(name), art(d)))
            .collect();
        line("replacements", format!("{{ {} }}", all.join(", ")), None);
    }
    text
}

/// Relative to what carries it.
#[expect(clippy::cast_possible_wrap, reason = "few parts")]
fn depth(view: &View, k: usize) -> i64 {
    let carrier = view.parts[k].parent.as_ref();
    k as i64 - carrier.map_or(0, |parent| parent.value as i64)
}

fn parts(draft: &Draft, view: &View, text: &mut String) {
    for k in 0..view.parts.len() {
        text.push_str(&part(draft, view, k));
    }
    joins(draft, view, text);
    sheets(view, text);
}

/// The comment of a guess.
fn told(sure: Sure, why: &str) -> String {
    if sure == Sure::Guess {
        format!("# a guess: {why}\n")
    } else {
        String::new()
    }
}

/// A seam's table.
#[must_use]
pub fn seam(view: &View, at: usize) -> String {
    let seam = &view.seams[at];
    let name = |k: usize| quote(&view.parts[k].name);
    format!(
        "\n{}[seam.{}]\nparts = [{}, {}]\n",
        told(seam.why.sure, &seam.why.why),
        key(&view.parts[seam.child].name),
        name(seam.parent),
        name(seam.child)
    )
}

/// A mask's table.
#[must_use]
pub fn mask(view: &View, at: usize) -> String {
    let mask = &view.masks[at];
    let part = &view.parts[mask.part];
    format!(
        "\n{}[mask.{}]\npart = {}\nkeep = \"{}\"\nof   = {}\n",
        told(mask.why.sure, &mask.why.why),
        key(&part.name),
        quote(&part.name),
        if mask.inside { "inside" } else { "outside" },
        list(mask.of.iter().map(|&k| quote(&view.parts[k].name)))
    )
}

/// A garment's table.
#[must_use]
pub fn garment(draft: &Draft, view: &View, at: usize) -> String {
    let garment = &view.garments[at];
    let part = &view.parts[garment.part];
    let mut text = format!(
        "\n{}[garment.{}]\npart = {}\non   = {}\n",
        told(garment.why.sure, &garment.why.why),
        key(&part.name),
        quote(&part.name),
        list(garment.on.iter().map(|&h| quote(&view.parts[h].name)))
    );
    if let Some(rgb) = garment.trim {
        let _ = writeln!(text, "trim = {}", quote(&swatch(draft, rgb)));
    }
    text
}

fn swatch(draft: &Draft, rgb: Rgb) -> String {
    let known = draft.swatches.iter().find(|s| s.rgb == rgb);
    known.map_or_else(|| rgb.to_string(), |s| s.name.clone())
}

fn joins(draft: &Draft, view: &View, text: &mut String) {
    for at in 0..view.seams.len() {
        text.push_str(&seam(view, at));
    }
    for at in 0..view.masks.len() {
        text.push_str(&mask(view, at));
    }
    for at in 0..view.garments.len() {
        text.push_str(&garment(draft, view, at));
    }
}

fn sheets(view: &View, text: &mut String) {
    let landmarks = guides::landmarks(view);
    if !landmarks.is_empty() {
        text.push_str("\n[landmarks]\n");
    }
    for (name, part, at) in landmarks {
        let _ = writeln!(
            text,
            "{name:<9} = {{ part = {}, at = \"{at}\" }}",
            quote(&part)
        );
    }
    for (name, part) in guides::crops(view) {
        let _ = writeln!(
            text,
            "\n[crop.{}]\npart   = {}\nmargin = 0.06",
            key(&name),
            quote(&part)
        );
    }
    for (name, part, crop) in guides::charts(view) {
        let _ = writeln!(text, "\n[chart.{}]\nparts = [{}]", key(&name), quote(&part));
        if let Some(crop) = crop {
            let _ = writeln!(text, "crop  = {}", quote(&crop));
        }
    }
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
#[must_use]
pub fn sweep(part: &Part, views: &[View]) -> String {
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
    let step = if most - least > 180.0 { 30 } else { 15 };
    let mut text = format!(
        "\n[sweep.{}]\nturn = {}\n",
        key(&part.name),
        quote(&part.name)
    );
    if limits.iter().any(|l| *l != limits[0]) {
        let _ = writeln!(text, "over = [{}, {}]", least + 0.0, most + 0.0);
    }
    let _ = writeln!(text, "step = {step}");
    text
}

fn poses(draft: &Draft) -> String {
    let mut text = String::from("[pose.rest]\n");
    let joints = joints(&draft.views);
    for part in &joints {
        text.push_str(&sweep(part, &draft.views));
    }
    if !joints.is_empty() {
        text.push_str(
            "\n# random poses within the limits\n[stress.limits]\nseed  = 1\ncount = 12\n",
        );
    }
    text
}
