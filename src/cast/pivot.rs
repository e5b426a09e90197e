//! Where parts turn: points, marks in a drawing, other parts' pivots, or what a part shares with its parent.

use toml::de::DeValue;

use super::drawings::Drawings;
use super::field::Field;
use super::mirror::across;
use super::reference::{ArtRef, Base, art};
use super::report::Report;
use super::tables::table;
use super::value::{pair, text};
use super::{Part, PartId, Setting};
use crate::art::{Fineness, Shape, shape_region};
use crate::diag::{Problem, Span, quoted};
use crate::geom::{Point, Region};

/// A pivot as it is written.
#[derive(Debug)]
pub(super) enum PivotDraft<'t> {
    /// A point.
    At(Point),
    /// The middle of a mark.
    Mark(ArtRef),
    /// That of another part.
    Of(&'t str, Span),
    /// That of another part, on the other side of this axis.
    Across { of: &'t str, axis: f64 },
    /// The middle of the largest circle in what the part shares with its parent.
    Shared,
    /// The middle of the canvas.
    Middle,
}

/// A pivot whose drawings are not loaded.
#[derive(Debug)]
pub(super) enum Pivot {
    At(Point),
    Mark(ArtRef),
    Of(PartId),
    Across(PartId, f64),
    Shared,
}

/// How finely what parts share is looked at, pixels per unit.
const SCALE: f64 = 2.0;
/// The circle's radius is known to this, units.
const PRECISION: f64 = 0.01;

/// Reads a pivot or a tip.
pub(super) fn pivot<'t>(
    value: &Field<'t>,
    base: Base<'_>,
    report: &mut Report,
) -> Option<PivotDraft<'t>> {
    let what = quoted(value.name);
    match value.value {
        DeValue::String(name) => art(name, value.span, &what, base, report).map(PivotDraft::Mark),
        DeValue::Table(_) => of(value, &what, report),
        _ => pair(value, &what, report).map(PivotDraft::At),
    }
}

fn of<'t>(value: &Field<'t>, what: &str, report: &mut Report) -> Option<PivotDraft<'t>> {
    let mut fields = table(value, what, report)?;
    let named = fields.need("of", report);
    fields.finish(report);
    let named = named?;
    let name = text(&named, "\"of\"", report)?;
    Some(PivotDraft::Of(name, named.span))
}

/// Puts the pivots into parts whose drawings are loaded, but for those that are `missing`.
pub(super) fn settle(
    parts: &mut [Part],
    pivots: Vec<Pivot>,
    (names, missing): (&[&str], &[bool]),
    place: &Setting,
    drawings: &mut Drawings<'_>,
) {
    let mut left = Vec::new();
    for (at, pivot) in pivots.into_iter().enumerate() {
        let found = match pivot {
            Pivot::At(point) => Some(point),
            Pivot::Mark(mark) => middle_of(&mark, place, drawings),
            Pivot::Shared => shared(parts, at, (names, missing), drawings),
            Pivot::Of(part) => {
                left.push((at, (part.at(), None)));
                None
            }
            Pivot::Across(part, axis) => {
                left.push((at, (part.at(), Some(axis))));
                None
            }
        };
        if let Some(point) = found {
            parts[at].pivot = point;
        }
    }
    // Each follows what it is of, however the two are declared.
    let next: std::collections::HashMap<_, _> = left.iter().copied().collect();
    for (at, mut step) in left {
        let mut axes = Vec::new();
        let point = loop {
            axes.extend(step.1);
            match next.get(&step.0) {
                Some(&further) => step = further,
                None => break parts[step.0].pivot,
            }
        };
        parts[at].pivot = axes.into_iter().rev().fold(point, across);
    }
}

/// The middle of a mark's box.
pub(super) fn middle_of(
    mark: &ArtRef,
    place: &Setting,
    drawings: &mut Drawings<'_>,
) -> Option<Point> {
    let shapes = drawings.mark(mark)?;
    let [left, top, right, bottom] = region(&shapes).bounds()?;
    // Drawings are read with seven digits.
    let tidy = |at: f64| (at * 1000.0).round() / 1000.0;
    let at = [f64::midpoint(left, right), f64::midpoint(top, bottom)].map(tidy);
    Some(place.in_place().apply(at))
}

fn region(shapes: &[Shape]) -> Region {
    let fine = Fineness::new(SCALE);
    let all: Vec<Region> = shapes
        .iter()
        .map(|shape| shape_region(shape, fine))
        .collect();
    Region::union_all(&all)
}

/// What a part covers at rest; nothing for one without art.
fn covered(part: &Part, drawings: &Drawings<'_>) -> Option<Region> {
    let art = drawings.library.get(part.art.art()?)?;
    let place = part.place.in_place();
    Some(region(&art.shapes).transformed(&place))
}

/// The middle of what a part and the nearest that carries it and is drawn share.
fn shared(
    parts: &[Part],
    at: usize,
    (names, missing): (&[&str], &[bool]),
    drawings: &mut Drawings<'_>,
) -> Option<Point> {
    let name = quoted(names[at]);
    let own = covered(&parts[at], drawings);
    let mut carrier = parts[at].parent;
    let why = loop {
        let Some(part) = carrier else {
            break format!("part {name} has no \"pivot\", and nothing that carries it has art");
        };
        // What could not be loaded was told; what it covers nobody knows.
        if missing[at] || missing[part.at()] {
            return None;
        }
        if let Some(other) = covered(&parts[part.at()], drawings) {
            let common = own?.intersection(&other);
            if let Some(circle) = common.inscribed_circle(PRECISION) {
                return Some(circle.centre);
            }
            let other = quoted(names[part.at()]);
            break format!(
                "part {name} has no \"pivot\" and covers nothing of {other}, which carries it"
            );
        }
        carrier = parts[part.at()].parent;
    };
    let hint = "write pivot = [x, y], the point of the join, in canvas units";
    let problem = Problem::error(parts[at].span, why).hint(hint);
    drawings.problems.push(problem);
    None
}
