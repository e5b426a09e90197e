//! Sheets from a plan: what they say, their files, and one page at a time.

mod labels;
mod maker;
mod overlay;
mod write;

use std::path::{Path, PathBuf};

use super::plan::{Plan, Purpose, Section};
use super::run::Failure;
use crate::cast::{Pose, SheetKind, Sweep};
use crate::sheet::{Document, Look, TooSmall};

pub(crate) use labels::over_limits;
pub(super) use maker::Maker;
pub use write::{draw_sheets, write_packs};

/// What cells show.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Window {
    /// What the figures of a group cover together.
    #[default]
    Figures,
    /// The canvas.
    Canvas,
}

/// A kind of sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Poses with names and notes.
    Pose,
    /// Sweeps, each as a row, or as a grid for two joints.
    Range,
    /// Poses, and the steps of sweeps, over each other in tints.
    Onion,
}

/// Which sheets to make.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wanted {
    /// In order.
    pub kinds: Vec<Kind>,
    /// What cells show.
    pub window: Window,
    /// One sheet for all lists of a member's view, grouped by list; else one for each list.
    pub join: bool,
}

impl Default for Wanted {
    fn default() -> Self {
        Self {
            kinds: vec![Kind::Pose, Kind::Range],
            window: Window::Figures,
            join: false,
        }
    }
}

/// A sheet of a plan.
#[derive(Clone, Debug)]
pub struct PlannedSheet {
    /// Laid out; its figures are places among the plan's jobs.
    pub document: Document,
    /// `member/list sheet`, or `member/list sweeps`.
    pub name: String,
    /// One PNG for each page.
    pub files: Vec<PathBuf>,
    /// The PDF that it goes into with its neighbours.
    pub pack: PathBuf,
    /// What the PDF is called.
    pub pack_title: String,
}

/// How figures come out before they are drawn: what they cover, or why there are none.
pub type Rehearsal = [Result<Option<[f64; 4]>, Failure>];

/// A section with the places of its poses among the jobs.
pub(super) struct Part<'a> {
    section: &'a Section,
    poses: Vec<(&'a Pose, usize)>,
    sweeps: Vec<(&'a Sweep, Vec<(&'a Pose, usize)>)>,
}

impl<'a> Part<'a> {
    /// `jobs` gives the places.
    pub fn new(section: &'a Section, jobs: &mut impl Iterator<Item = usize>) -> Self {
        let mut numbered = |pose| jobs.next().map(|at| (pose, at));
        Self {
            section,
            poses: section.poses().filter_map(&mut numbered).collect(),
            sweeps: section
                .sweeps()
                .map(|(sweep, poses)| {
                    (sweep, poses.into_iter().filter_map(&mut numbered).collect())
                })
                .collect(),
        }
    }
}

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
            asked: None,
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
                .asked()
                .is_some_and(|sheet| sheet.is_of_all(kind, view))
    })
}

/// `list.sheet.png`, or with several pages `list.sheet.1.png` and so on.
pub(super) fn page_names(stem: &str, kind: &str, pages: usize) -> Vec<String> {
    if pages == 1 {
        return vec![format!("{stem}.{kind}.png")];
    }
    let digits = pages.to_string().len();
    (1..=pages)
        .map(|n| format!("{stem}.{kind}.{n:0digits$}.png"))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pages_are_numbered_so_that_they_sort() {
        assert_eq!(page_names("actions", "sheet", 1), ["actions.sheet.png"]);
        assert_eq!(
            page_names("a", "sweeps", 2),
            ["a.sweeps.1.png", "a.sweeps.2.png"]
        );
        assert_eq!(page_names("a", "sheet", 12)[8], "a.sheet.09.png");
    }
}
