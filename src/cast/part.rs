//! `[part.<name>]`.

use indexmap::IndexMap;
use toml::de::DeValue;

use super::drawings::Drawings;
use super::field::Field;
use super::fields::Fields;
use super::limits::limits;
use super::mirror::MirrorDraft;
use super::pivot::{PivotDraft, pivot};
use super::points::{PointDraft, points};
use super::reference::{ArtRef, Base, art};
use super::report::Report;
use super::tables::{table, tables};
use super::value::{text, texts};
use super::{Setting, Space, names, setting, space};
use crate::diag::{Problem, Span, quoted};
use crate::geom::Point;

/// A part as it is written: its parent is a name and its drawings are not loaded.
#[derive(Debug)]
pub(super) struct PartDraft<'t> {
    pub name: &'t str,
    pub span: Span,
    pub art: Option<ArtRef>,
    /// `art = false`.
    pub no_art: bool,
    pub replacements: IndexMap<String, Option<ArtRef>>,
    pub parent: Option<(&'t str, Span)>,
    pub pivot: PivotDraft<'t>,
    pub tip: Option<PivotDraft<'t>>,
    pub depth: f64,
    pub limits: Option<[f64; 2]>,
    pub place: Setting,
    pub space: Space,
    pub mirror: Option<MirrorDraft<'t>>,
    pub points: IndexMap<String, PointDraft>,
    pub look: Option<Point>,
    /// True if `art` or a replacement is given, rightly or wrongly.
    pub drawn: bool,
}

/// Replacement names that every part has: its own art, and nothing.
pub(crate) const RESERVED: [&str; 2] = ["art", "none"];

/// Reads all parts.
pub(super) fn parts<'t>(
    root: &mut Fields<'t>,
    base: Base<'_>,
    place: Setting,
    drawings: &mut Drawings<'_>,
    report: &mut Report,
) -> Vec<PartDraft<'t>> {
    tables(root, "part", report)
        .into_iter()
        .map(|(field, inner)| part(&field, inner, (base, place), drawings, report))
        .collect()
}

fn part<'t>(
    declared: &Field<'t>,
    mut fields: Fields<'t>,
    (base, place): (Base<'_>, Setting),
    drawings: &mut Drawings<'_>,
    report: &mut Report,
) -> PartDraft<'t> {
    names::check(declared.name, "part", declared.name_span, report);
    let mut part = PartDraft {
        name: declared.name,
        span: declared.name_span,
        art: None,
        no_art: false,
        replacements: IndexMap::new(),
        parent: None,
        pivot: PivotDraft::Middle,
        tip: None,
        depth: 0.0,
        limits: None,
        space: Space::default(),
        mirror: None,
        points: IndexMap::new(),
        look: None,
        place,
        drawn: false,
    };
    let keys = [
        "art",
        "replacements",
        "parent",
        "pivot",
        "depth",
        "limits",
        "place",
        "tip",
        "points",
        "look",
    ];
    let said = keys.map(|key| fields.has(key));
    part.mirror = fields
        .text("mirror_of", report)
        .map(|(of, span)| MirrorDraft { of, span, said });
    match fields.take("art") {
        Some(value) if matches!(value.value, DeValue::Boolean(false)) => part.no_art = true,
        Some(value) => {
            part.drawn = true;
            part.art = drawing(&value, "\"art\"", base, report);
        }
        // A part whose name the drawing has not only carries.
        None => {
            let document = base.drawing.and_then(|file| drawings.open(file, part.span));
            if document.is_some_and(|document| document.has(part.name)) {
                part.drawn = true;
                part.art = base.drawing.map(|file| ArtRef {
                    file: file.to_path_buf(),
                    ids: vec![part.name.to_owned()],
                    span: part.span,
                });
            }
        }
    }
    let has_art = part.drawn;
    if let Some(value) = fields.take("replacements") {
        let own = part.art.as_ref();
        part.replacements = replacements(&value, own, base, drawings, report);
        part.drawn |= !part.replacements.is_empty();
    }
    part.parent = fields.text("parent", report);
    part.pivot = match fields.take("pivot") {
        Some(value) => pivot(&value, base, report).unwrap_or(PivotDraft::Middle),
        None if part.parent.is_none() => PivotDraft::Middle,
        None => PivotDraft::Shared,
    };
    let bare = part.parent.is_some() && fields.lacks("pivot") && !has_art && part.mirror.is_none();
    if bare {
        let message = format!("part {} has a parent but no \"pivot\"", quoted(part.name));
        let hint = "write pivot = [x, y], the point of the join, in canvas units";
        report.missing(Problem::error(part.span, message).hint(hint));
    }
    let tip = fields.take("tip");
    part.tip = tip.and_then(|value| pivot(&value, base, report));
    part.depth = fields.number_or("depth", report);
    if let Some(value) = fields.take("limits") {
        part.limits = limits(&value, part.name, report);
    }
    if let Some(value) = fields.take("place") {
        part.place = setting::place(&value, report);
    }
    part.space = space::of_part(&mut fields, &part, report);
    if let Some(value) = fields.take("points") {
        part.points = points(&value, base, report);
    }
    part.look = fields.pair("look", report);
    fields.finish(report);
    part
}

/// Reads a reference to a drawing, or a list of elements of one file that make one.
pub(super) fn drawing(
    value: &Field<'_>,
    what: &str,
    base: Base<'_>,
    report: &mut Report,
) -> Option<ArtRef> {
    let several = value.items().is_some_and(|items| !items.is_empty());
    if !several {
        let reference = text(value, what, report)?;
        return art(reference, value.span, what, base, report);
    }
    let mut whole: Option<ArtRef> = None;
    for (reference, span) in texts(value, what, report)? {
        let piece = art(reference, span, what, base, report)?;
        match &mut whole {
            None => whole = Some(piece),
            Some(first) if first.file == piece.file => first.ids.extend(piece.ids),
            Some(_) => {
                let message = format!("the elements of {what} lie in several files");
                let hint = "elements of one file can be one drawing; put them into one file";
                report.push(Problem::error(span, message).hint(hint));
                return None;
            }
        }
    }
    whole
}

fn replacements(
    value: &Field<'_>,
    own: Option<&ArtRef>,
    base: Base<'_>,
    drawings: &mut Drawings<'_>,
    report: &mut Report,
) -> IndexMap<String, Option<ArtRef>> {
    if let DeValue::String(pattern) = value.value
        && pattern.contains('*')
    {
        return every(value, own, base, drawings, report).unwrap_or_default();
    }
    let Some(fields) = table(value, "\"replacements\"", report) else {
        return IndexMap::new();
    };
    let mut all = IndexMap::new();
    for field in fields.all() {
        check_replacement(field.name, field.name_span, report);
        let what = format!("replacement {}", quoted(field.name));
        let drawing = drawing(&field, &what, base, report);
        all.insert(field.name.to_owned(), drawing);
    }
    all
}

fn check_replacement(name: &str, span: Span, report: &mut Report) {
    names::check(name, "replacement", span, report);
    if RESERVED.contains(&name) {
        let message = format!("a replacement cannot be called {}", quoted(name));
        let hint = "every part has \"art\", its own drawing, and \"none\"; choose another name";
        report.push(Problem::error(span, message).hint(hint));
    }
}

/// Every element of a name but the part's own drawing.
fn every(
    value: &Field<'_>,
    own: Option<&ArtRef>,
    base: Base<'_>,
    drawings: &mut Drawings<'_>,
    report: &mut Report,
) -> Option<IndexMap<String, Option<ArtRef>>> {
    let pattern = drawing(value, "\"replacements\"", base, report)?;
    let stars = pattern.ids[0].matches('*').count();
    if stars != 1 {
        let message = format!("an id of \"replacements\" has one * in it, not {stars}");
        let hint = "write replacements = \"hands.svg#hand_*\", the names standing for the *";
        report.push(Problem::error(value.span, message).hint(hint));
        return None;
    }
    let (before, after) = pattern.ids[0].split_once('*')?;
    let document = drawings.open(&pattern.file, value.span)?;
    let found = document.between(before, after);
    if found.is_empty() {
        let file = pattern.file.display();
        let message = format!("no element of {file} is called {}", quoted(&pattern.ids[0]));
        let hint = "replacements have ids that differ only where the * stands";
        report.push(Problem::error(value.span, message).hint(hint));
    }
    let mut all = IndexMap::new();
    for (id, name) in found {
        if own.is_some_and(|own| own.file == pattern.file && own.ids == [id]) {
            continue;
        }
        check_replacement(name, value.span, report);
        let art = ArtRef {
            ids: vec![id.to_owned()],
            ..pattern.clone()
        };
        all.insert(name.to_owned(), Some(art));
    }
    Some(all)
}
