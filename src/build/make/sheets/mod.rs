//! Sheets of a plan: laid out, and drawn into their files a page at a time.

mod cells;
mod colours;
mod labels;
mod line_up;
mod model;
mod of_lists;
mod overlay;
mod turnaround;
mod write;

use std::ops::Range;
use std::path::{Path, PathBuf};

use serde::Serialize;

use crate::build::asked::SheetGroup;
use crate::build::plan::Plan;
use crate::build::run::Failure;
use crate::build::section::MemberView;
use crate::cast::{ListSheet, PageSetup, SheetKind, Stock};
use crate::diag::{Place, Problem};
use crate::sheet::{Document, Heading, Look, TooSmall, spoken};
use crate::solve::{Figure, Puppet};

pub(crate) use labels::{over_limits, targets_of};
pub use write::{draw_sheets, write_packs};

use labels::named;

/// What cells show.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub enum Window {
    /// What the figures of a group cover together.
    #[default]
    Figures,
    /// The canvas.
    Canvas,
}

/// How the pages of all sheets are set up.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Pages {
    /// What beats the sheets' own words.
    pub setup: PageSetup,
    /// What pages are cut to where nobody says.
    pub usual: Stock,
    /// Pixels to the inch.
    pub dpi: f64,
    /// What cells show, whatever a sheet says.
    pub window: Option<Window>,
}

impl Default for Pages {
    fn default() -> Self {
        Self {
            setup: PageSetup::default(),
            usual: Stock::Fit,
            dpi: 200.0,
            window: None,
        }
    }
}

impl Pages {
    /// Of a sheet that a list asks for; of any other, without one.
    #[must_use]
    pub fn look(&self, sheet: Option<&ListSheet>) -> Look {
        let setup = match sheet {
            Some(sheet) => self.setup.or(&sheet.setup),
            None => self.setup.clone(),
        };
        Look::of(&setup, self.usual, self.dpi)
    }
}

/// A sheet of a plan.
#[derive(Clone, Debug)]
pub struct PlannedSheet {
    /// Laid out; its figures are places among the plan's jobs.
    pub document: Document,
    /// `member/list sheet`, `member/kind`, or the kind.
    pub name: String,
    /// One PNG for each page.
    pub files: Vec<PathBuf>,
    /// The PDF that it goes into with its neighbours.
    pub pack: PathBuf,
    /// What the PDF is called: whose sheets these are.
    pub pack_title: String,
}

/// How figures come out before they are drawn: what they cover, or why there are none.
pub type Rehearsal = [Result<Option<[f64; 4]>, Failure>];

/// Sheets laid out, and what there is to say of them.
#[derive(Clone, Debug, Default)]
pub struct Laid {
    /// In the order of the input.
    pub sheets: Vec<PlannedSheet>,
    /// What a person must look at: landmarks that drift.
    pub findings: Vec<Problem>,
    /// Sheets that lists ask for and their pages cannot hold: name and problem.
    pub refused: Vec<(String, Problem)>,
}

/// Lays out sheets of a plan. `rehearsal` has an entry for each of its jobs; `cast` is what the line-up calls
/// the show.
///
/// # Errors
///
/// When a page cannot hold a row of cells, of a sheet that no list asks for.
pub fn lay_out_sheets(
    (plan, groups): (&Plan, &[SheetGroup]),
    puppets: &[Puppet],
    rehearsal: &Rehearsal,
    cast: &str,
    out: &Path,
    pages: &Pages,
) -> Result<Laid, TooSmall> {
    let mut next = 0;
    let jobs = plan.sections.iter().map(|section| {
        let first = next;
        next += section.all_poses().len();
        first..next
    });
    let mut laid = Laid::default();
    let maker = SheetMaker {
        plan,
        puppets,
        rehearsal,
        cast,
        out,
        pages,
        jobs: &jobs.collect::<Vec<_>>(),
    };
    for group in groups {
        let section = &plan.sections[group.sections[0]];
        match (maker.sheets(group, &mut laid.findings), section.declared()) {
            (Ok(sheets), _) => laid.sheets.extend(sheets),
            (Err(error), None) => return Err(error),
            (Err(error), Some(sheet)) => {
                let problem = Problem::error(Place::Span(sheet.span), error.to_string());
                let hint = "give \"page\" more height, or \"cell\" less";
                let name = section.name.to_string();
                laid.refused.push((name, problem.hint(hint)));
            }
        }
    }
    Ok(laid)
}

/// Everything that laying out needs.
struct SheetMaker<'a> {
    plan: &'a Plan,
    puppets: &'a [Puppet],
    rehearsal: &'a Rehearsal,
    cast: &'a str,
    out: &'a Path,
    pages: &'a Pages,
    /// The jobs of each section.
    jobs: &'a [Range<usize>],
}

impl SheetMaker<'_> {
    /// The sheets of a group; none where there is nothing for them.
    fn sheets(
        &self,
        group: &SheetGroup,
        findings: &mut Vec<Problem>,
    ) -> Result<Vec<PlannedSheet>, TooSmall> {
        let made = match group.kind {
            SheetKind::Charts => return self.charts(group),
            SheetKind::Pose | SheetKind::Range | SheetKind::Onion => self.of_lists(group)?,
            SheetKind::Expressions => self.expressions(group)?,
            SheetKind::Model => self.model(group),
            SheetKind::Turnaround => self.turnaround(group, findings),
            SheetKind::LineUp => self.line_up(group),
            SheetKind::Colours => self.colours(group),
        };
        Ok(made.into_iter().collect())
    }

    fn of(&self, section: usize) -> &MemberView {
        &self.plan.models[self.plan.sections[section].model]
    }

    /// The figure of a section's pose; `None` where it cannot be solved, which is told elsewhere.
    fn solved(&self, section: usize, pose: usize) -> Option<Figure> {
        let section = &self.plan.sections[section];
        self.puppets[section.model]
            .figure(&section.list.poses[pose])
            .ok()
    }

    fn refusal(&self, job: usize) -> Option<String> {
        self.rehearsal[job].as_ref().err().map(ToString::to_string)
    }

    /// The sheet that a list asks for, where the section is for one.
    fn declared(&self, section: usize) -> Option<&ListSheet> {
        self.plan.sections[section].declared()
    }

    fn look(&self, section: usize) -> Look {
        self.pages.look(self.declared(section))
    }

    fn heading(&self, group: &SheetGroup, mut facts: Vec<String>) -> Heading {
        let section = group.sections[0];
        let model = self.of(section);
        let declared = self.declared(section);
        let mut subtitle = declared.map_or_else(|| group.kind.spec().title.to_owned(), named);
        if let Some(view) = model.view_name()
            && group.kind != SheetKind::Turnaround
        {
            subtitle = format!("{subtitle} · {} view", spoken(view));
        }
        facts.extend(declared.and_then(|sheet| sheet.note.clone()));
        Heading {
            title: model.member.name.clone(),
            subtitle,
            facts,
            palette: None,
            sheet: self.plan.sections[section].name.to_string(),
        }
    }

    /// A sheet of a group with its files; of several this one.
    fn planned(
        &self,
        group: &SheetGroup,
        one: Option<String>,
        heading: &Heading,
        document: Document,
    ) -> PlannedSheet {
        let (folder, stem, ending) = self.plan.sheet_place(group);
        let folder = self.out.join(folder);
        let files = page_names(&one.unwrap_or(stem), ending, document.pages.len());
        PlannedSheet {
            pack: folder.join("sheets.pdf"),
            pack_title: heading.title.clone(),
            files: files.into_iter().map(|file| folder.join(file)).collect(),
            name: heading.sheet.clone(),
            document,
        }
    }
}

/// `list.sheet.png`, or with several pages `list.sheet.1.png` and so on.
fn page_names(stem: &str, kind: &str, pages: usize) -> Vec<String> {
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
