//! Sheets of a plan: which are wanted, what is on them, how their files are called.

use std::path::PathBuf;

use crate::batch::run::Failure;
use crate::batch::section::Section;
use crate::cast::{Pose, Sweep};
use crate::sheet::Document;

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
pub(in crate::batch) struct Part<'a> {
    pub(super) section: &'a Section,
    pub(super) poses: Vec<(&'a Pose, usize)>,
    pub(super) sweeps: Vec<(&'a Sweep, Vec<(&'a Pose, usize)>)>,
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

/// `list.sheet.png`, or with several pages `list.sheet.1.png` and so on.
pub(in crate::batch) fn page_names(stem: &str, kind: &str, pages: usize) -> Vec<String> {
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
