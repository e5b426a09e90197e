//! Sheets from a plan: what they say, their files, and one page at a time.

mod labels;
mod maker;
mod overlay;
mod planned;
mod write;

use std::path::Path;

use super::plan::Plan;
use super::section::{Purpose, Section};
use crate::cast::SheetKind;
use crate::sheet::{Look, TooSmall};

pub(super) use labels::named;
pub(crate) use labels::over_limits;
pub(super) use maker::Maker;
pub use planned::{Kind, PlannedSheet, Rehearsal, Wanted, Window};
pub(super) use planned::{Part, page_names};
pub use write::{draw_sheets, write_packs};

/// Lays out the sheets of a plan. `rehearsal` has an entry for each of the plan's jobs.
///
/// # Errors
///
/// When a page cannot hold a row of cells.
pub fn plan_sheets(
    plan: &Plan,
    rehearsal: &Rehearsal,
    out: &Path,
    look: &Look,
    wanted: &Wanted,
) -> Result<Vec<PlannedSheet>, TooSmall> {
    let mut job = 0..;
    let mut parts: Vec<Part<'_>> = Vec::new();
    for section in &plan.sections {
        if section.purpose != Purpose::List {
            job.by_ref().take(section.all_poses().len()).for_each(drop);
            continue;
        }
        parts.push(Part::new(section, &mut job));
    }
    let together = |a: &Part<'_>, b: &Part<'_>| wanted.join && a.section.model == b.section.model;
    let mut sheets = Vec::new();
    for parts in parts.chunk_by(together) {
        let maker = Maker {
            parts,
            model: &plan.models[parts[0].section.model],
            rehearsal,
            window: wanted.window,
            crop: None,
            declared: None,
        };
        for kind in &wanted.kinds {
            if !wanted.join && is_asked(plan, parts[0].section, *kind) {
                continue;
            }
            if let Some((sheet, name)) = maker.sheet(*kind) {
                sheets.push(maker.planned(&sheet, name, look, out)?);
            }
        }
    }
    Ok(sheets)
}

/// True where the list itself asks for a sheet of all that the usual one would show.
#[must_use]
pub fn is_asked(plan: &Plan, section: &Section, kind: Kind) -> bool {
    let kind = match kind {
        Kind::Pose => SheetKind::Pose,
        Kind::Range => SheetKind::Range,
        Kind::Onion => SheetKind::Onion,
    };
    let view = plan.models[section.model].view;
    plan.sections.iter().any(|other| {
        other.model == section.model
            && other.list.path == section.list.path
            && other
                .declared()
                .is_some_and(|sheet| sheet.is_of_all(kind, view))
    })
}
