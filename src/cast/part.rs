//! `[part.<name>]`.

use std::path::Path;

use indexmap::IndexMap;

use super::field::Field;
use super::fields::Fields;
use super::limits::limits;
use super::reference::{ArtRef, art};
use super::report::Report;
use super::tables::{table, tables};
use super::value::{text, texts};
use super::{Setting, names, setting};
use crate::diag::{Problem, Span, quoted};
use crate::geom::Point;

/// A part as it is written: its parent is a name and its drawings are not loaded.
#[derive(Debug)]
pub(super) struct PartDraft<'t> {
    pub name: &'t str,
    pub span: Span,
    pub art: Option<ArtRef>,
    pub replacements: IndexMap<String, Option<ArtRef>>,
    pub parent: Option<(&'t str, Span)>,
    pub pivot: Option<Point>,
    pub depth: f64,
    pub limits: Option<[f64; 2]>,
    pub place: Setting,
    /// True if `art` or a replacement is given, rightly or wrongly.
    pub drawn: bool,
}

/// Replacement names that every part has: its own art, and nothing.
pub(crate) const RESERVED: [&str; 2] = ["art", "none"];

/// Reads all parts; `base` is the folder of the file, relative to the member's.
pub(super) fn parts<'t>(
    root: &mut Fields<'t>,
    base: &Path,
    report: &mut Report,
) -> Vec<PartDraft<'t>> {
    tables(root, "part", report)
        .into_iter()
        .map(|(field, inner)| part(&field, inner, base, report))
        .collect()
}

fn part<'t>(
    declared: &Field<'t>,
    mut fields: Fields<'t>,
    base: &Path,
    report: &mut Report,
) -> PartDraft<'t> {
    names::check(declared.name, "part", declared.name_span, report);
    let mut part = PartDraft {
        name: declared.name,
        span: declared.name_span,
        art: None,
        replacements: IndexMap::new(),
        parent: None,
        pivot: None,
        depth: 0.0,
        limits: None,
        place: Setting::REST,
        drawn: false,
    };
    if let Some(value) = fields.take("art") {
        part.drawn = true;
        part.art = drawing(&value, "\"art\"", base, report);
    }
    if let Some(value) = fields.take("replacements") {
        part.replacements = replacements(&value, base, report);
        part.drawn |= !part.replacements.is_empty();
    }
    part.parent = fields.text("parent", report);
    part.pivot = fields.pair("pivot", report);
    if part.parent.is_some() && fields.lacks("pivot") {
        let message = format!("part {} has a parent but no \"pivot\"", quoted(part.name));
        let hint = "write pivot = [x, y], the point of the join, in canvas units";
        report.missing(Problem::error(part.span, message).hint(hint));
    }
    part.depth = fields.number_or("depth", report);
    if let Some(value) = fields.take("limits") {
        part.limits = limits(&value, part.name, report);
    }
    if let Some(value) = fields.take("place") {
        part.place = setting::place(&value, report);
    }
    fields.finish(report);
    part
}

/// Reads a reference to a drawing, or a list of elements of one file that make one.
pub(super) fn drawing(
    value: &Field<'_>,
    what: &str,
    base: &Path,
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
    base: &Path,
    report: &mut Report,
) -> IndexMap<String, Option<ArtRef>> {
    let Some(fields) = table(value, "\"replacements\"", report) else {
        return IndexMap::new();
    };
    let mut all = IndexMap::new();
    for field in fields.all() {
        names::check(field.name, "replacement", field.name_span, report);
        if RESERVED.contains(&field.name) {
            let message = format!("a replacement cannot be called {}", quoted(field.name));
            let hint = "every part has \"art\", its own drawing, and \"none\"; choose another name";
            report.push(Problem::error(field.name_span, message).hint(hint));
        }
        let what = format!("replacement {}", quoted(field.name));
        let drawing = drawing(&field, &what, base, report);
        all.insert(field.name.to_owned(), drawing);
    }
    all
}
