//! Points of parts by name: a palm, a heel, the handle of a crate.

use indexmap::IndexMap;
use toml::de::DeValue;

use super::Setting;
use super::drawings::Drawings;
use super::field::Field;
use super::names;
use super::part::PartDraft;
use super::pivot::middle_of;
use super::reference::{ArtRef, Base, art};
use super::report::Report;
use super::tables::table;
use super::value::pair;
use crate::diag::quoted;
use crate::geom::Point;

/// A point as it is written.
#[derive(Clone, Debug)]
pub(super) enum PointDraft {
    /// Canvas units.
    At(Point),
    /// The middle of a mark.
    Mark(ArtRef),
}

/// Reads `points`.
pub(super) fn points(
    field: &Field<'_>,
    base: Base<'_>,
    report: &mut Report,
) -> IndexMap<String, PointDraft> {
    let Some(fields) = table(field, "\"points\"", report) else {
        return IndexMap::new();
    };
    let mut all = IndexMap::new();
    for field in fields.all() {
        names::check(field.name, "point", field.name_span, report);
        let what = format!("point {}", quoted(field.name));
        let point = match field.value {
            DeValue::String(mark) => {
                art(mark, field.span, &what, base, report).map(PointDraft::Mark)
            }
            _ => pair(&field, &what, report).map(PointDraft::At),
        };
        if let Some(point) = point {
            all.insert(field.name.to_owned(), point);
        }
    }
    all
}

/// Says of marks that they are no part of the drawings that they stand in.
pub(super) fn leave_out(drafts: &[PartDraft<'_>], drawings: &mut Drawings<'_>) {
    for point in drafts.iter().flat_map(|draft| draft.points.values()) {
        if let PointDraft::Mark(mark) = point {
            let file = drawings.folder.join(&mark.file);
            drawings.library.leave_out(&file, &mark.ids[0]);
        }
    }
}

/// Where points are; marks that cannot be found are reported.
pub(super) fn settle(
    points: IndexMap<String, PointDraft>,
    place: &Setting,
    drawings: &mut Drawings<'_>,
) -> IndexMap<String, Point> {
    let settled = points.into_iter().filter_map(|(name, point)| {
        let at = match point {
            PointDraft::At(at) => at,
            PointDraft::Mark(mark) => middle_of(&mark, place, drawings)?,
        };
        Some((name, at))
    });
    settled.collect()
}
