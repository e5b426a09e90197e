//! Sheets from a plan: what they say, their files, and one page at a time.

use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};

use indexmap::IndexMap;
use rayon::prelude::*;

use super::encode::{Effort, png};
use super::files::file_name;
use super::pictures::{encoded, save};
use super::plan::{Job, Model, Plan, Purpose, Section};
use super::run::{Event, Failure, Scratches, guarded, with_threads};
use crate::art::Rgb;
use crate::cast::{Pose, Sweep};
use crate::draw;
use crate::sheet::{
    self, Cell, Document, Group, Heading, Look, Sheet, Shown, Tint, TooSmall, pdf, raster,
};
use crate::solve::Puppet;

/// Pages that may wait for the encoder while the next is drawn.
const PAGES_WAITING: usize = 2;

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

/// Poses over each other that can still be told apart.
const OVERLAID: usize = 10;

/// A section with the places of its poses among the jobs.
struct Part<'a> {
    section: &'a Section,
    poses: Vec<(&'a Pose, usize)>,
    sweeps: Vec<(&'a Sweep, Vec<(&'a Pose, usize)>)>,
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
        let mut numbered = |pose| job.next().map(|at| (pose, at));
        parts.push(Part {
            section,
            poses: section.poses().filter_map(&mut numbered).collect(),
            sweeps: section
                .sweeps()
                .map(|(sweep, poses)| {
                    (sweep, poses.into_iter().filter_map(&mut numbered).collect())
                })
                .collect(),
        });
    }
    let together = |a: &Part<'_>, b: &Part<'_>| wanted.join && a.section.model == b.section.model;
    let mut sheets = Vec::new();
    for parts in parts.chunk_by(together) {
        let maker = Maker {
            parts,
            model: &plan.models[parts[0].section.model],
            rehearsal,
            window: wanted.window,
        };
        for kind in &wanted.kinds {
            if let Some((sheet, name)) = maker.sheet(*kind) {
                sheets.push(maker.planned(&sheet, name, look, out)?);
            }
        }
    }
    Ok(sheets)
}

/// Makes the sheets of one list, or of several of one view.
struct Maker<'a> {
    parts: &'a [Part<'a>],
    model: &'a Model,
    rehearsal: &'a Rehearsal,
    window: Window,
}

impl<'a> Maker<'a> {
    /// A sheet of a kind and what its files are called; `None` when there is nothing for it.
    fn sheet(&self, kind: Kind) -> Option<(Sheet, &'static str)> {
        let (mut count, mut all) = (0, 0);
        for part in self.parts {
            let list = &part.section.list;
            if kind == Kind::Range {
                count += part.sweeps.len();
                all += list.sweeps.len() + left_out(part.section, true);
            } else {
                count += part.poses.len();
                all += list.poses.len() + left_out(part.section, false);
            }
        }
        let (groups, fact, word, file, figure) = match kind {
            Kind::Pose => {
                let fact = counted(count, all, "pose");
                (self.pose_groups(), fact, "poses", "sheet", 440.0)
            }
            Kind::Range => {
                let fact = counted(count, all, "sweep");
                (self.range_groups(), fact, "sweeps", "sweeps", 260.0)
            }
            Kind::Onion => {
                let groups = self.onion_groups();
                let fact = format!(
                    "{} overlays",
                    groups.iter().map(|g| g.cells.len()).sum::<usize>()
                );
                (groups, fact, "overlays", "onion", 640.0)
            }
        };
        if groups.is_empty() {
            return None;
        }
        let mut sheet = self.headed(groups, fact, word, figure);
        sheet.strips = kind == Kind::Range;
        Some((sheet, file))
    }

    fn cell(&self, pose: &Pose, job: usize, name: String, note: Option<String>) -> Cell {
        Cell {
            name,
            note,
            figures: vec![Shown::plain(job)],
            refusal: self.rehearsal[job].as_ref().err().map(ToString::to_string),
            fault: over_limits(pose, self.model),
            key: Vec::new(),
        }
    }

    fn seen(&self, poses: &[(&Pose, usize)]) -> [f64; 4] {
        let jobs: Vec<usize> = poses.iter().map(|(_, job)| *job).collect();
        seen(&jobs, self.rehearsal, self.model, self.window)
    }

    fn pose_groups(&self) -> Vec<Group> {
        let named = self.parts.len() > 1;
        let filled = self.parts.iter().filter(|p| !p.poses.is_empty());
        filled
            .map(|part| Group {
                window: self.seen(&part.poses),
                name: named.then(|| part.section.list.key.clone()),
                cells: part
                    .poses
                    .iter()
                    .map(|&(pose, job)| {
                        self.cell(pose, job, pose.name.clone(), note(pose, self.model))
                    })
                    .collect(),
                ..Group::default()
            })
            .collect()
    }

    fn range_groups(&self) -> Vec<Group> {
        let mut groups = Vec::new();
        for part in self.parts {
            for (sweep, poses) in &part.sweeps {
                groups.push(Group {
                    window: self.seen(poses),
                    name: Some(self.named(part, &sweep.name)),
                    note: sweep.note.clone(),
                    columns: columns_of(sweep, poses.len()),
                    cells: poses
                        .iter()
                        .map(|&(pose, job)| self.cell(pose, job, step(pose), None))
                        .collect(),
                });
            }
        }
        groups
    }

    /// All overlays in cells of one size, so that they compare and fill rows.
    fn onion_groups(&self) -> Vec<Group> {
        let mut cells = Vec::new();
        let mut shown: Vec<(&'a Pose, usize)> = Vec::new();
        for part in self.parts {
            let mut add =
                |name: &str, poses: &[(&'a Pose, usize)], called: &dyn Fn(&Pose) -> String| {
                    let poses: Vec<(&'a Pose, usize)> = poses
                        .iter()
                        .filter(|p| self.rehearsal[p.1].is_ok())
                        .copied()
                        .collect();
                    if poses.len() < 2 {
                        return;
                    }
                    // Evenly split where there are more than can be told apart.
                    let times = poses.len().div_ceil(OVERLAID);
                    for part in poses.chunks(poses.len().div_ceil(times)) {
                        cells.push(overlay(name.to_owned(), part, called));
                    }
                    shown.extend(poses);
                };
            add(&part.section.list.key, &part.poses, &|pose| {
                pose.name.clone()
            });
            for (sweep, poses) in &part.sweeps {
                add(&self.named(part, &sweep.name), poses, &step);
            }
        }
        if cells.is_empty() {
            return Vec::new();
        }
        vec![Group {
            window: self.seen(&shown),
            cells,
            ..Group::default()
        }]
    }

    /// A sweep's name, with its list's where sheets have several.
    fn named(&self, part: &Part<'_>, name: &str) -> String {
        if self.parts.len() > 1 {
            format!("{} · {name}", part.section.list.key)
        } else {
            name.to_owned()
        }
    }

    fn headed(&self, groups: Vec<Group>, fact: String, word: &str, figure: f32) -> Sheet {
        let member = &self.model.member;
        let (mut subtitle, name) = match self.parts {
            [part] => (
                vec![part.section.list.key.clone()],
                part.section.name.clone(),
            ),
            _ => (Vec::new(), member.key.clone()),
        };
        subtitle.push(word.to_owned());
        if let Some(view) = self.model.view_name() {
            subtitle.push(format!("{view} view"));
        }
        // The palette that most of the sheet is in: the one that no pose's label names.
        let poses = self.parts.iter().flat_map(|p| p.section.all_poses());
        let palette = poses.map(|p| p.palette).min().unwrap_or(0);
        let palette = member.palettes.get(palette).map(|p| {
            let colours = p.swatches.values().copied().collect();
            (format!("palette {}", p.name), colours)
        });
        Sheet {
            heading: Heading {
                title: member.name.clone(),
                subtitle: subtitle.join(" · "),
                facts: vec![fact],
                palette,
                sheet: format!("{name} {word}"),
            },
            ground: member.ground,
            figure,
            strips: false,
            groups,
        }
    }

    fn planned(
        &self,
        sheet: &Sheet,
        kind: &str,
        look: &Look,
        out: &Path,
    ) -> Result<PlannedSheet, TooSmall> {
        let document = sheet::lay_out(sheet, look)?;
        let first = self.parts[0].section;
        let folder = out.join(first.folder.parent().unwrap_or(Path::new("")));
        let stem = match self.parts {
            [part] => file_name(&part.section.list.key),
            _ => "all".to_owned(),
        };
        let pages = page_names(&stem, kind, document.pages.len());
        Ok(PlannedSheet {
            name: sheet.heading.sheet.clone(),
            files: pages.into_iter().map(|f| folder.join(f)).collect(),
            pack: folder.join("sheets.pdf"),
            pack_title: sheet.heading.title.clone(),
            document,
        })
    }
}

/// Turns beyond their joints' limits, in words.
fn over_limits(pose: &Pose, model: &Model) -> Option<String> {
    let view = model.view();
    let degrees = |v: f64| format!("{v}°").replace('-', "\u{2212}");
    let over: Vec<String> = pose
        .turn
        .iter()
        .filter_map(|said| {
            let part = view.by_name.get(said.part.at()).copied().flatten()?;
            let [least, most] = view.parts[part.at()].limits?;
            let limit = if said.value < least { least } else { most };
            let name = &model.member.names[said.part.at()];
            (said.value < least || said.value > most).then(|| {
                format!(
                    "{name} {} is over its limit {}",
                    degrees(said.value),
                    degrees(limit)
                )
            })
        })
        .collect();
    (!over.is_empty()).then(|| over.join("\n"))
}

/// Poses over each other in tints that go from cold to warm.
fn overlay(name: String, poses: &[(&Pose, usize)], called: &dyn Fn(&Pose) -> String) -> Cell {
    let mut cell = Cell {
        name,
        ..Cell::default()
    };
    for (at, &(pose, job)) in poses.iter().enumerate() {
        let dark = along(at as f64 / (poses.len() - 1).max(1) as f64);
        let light = Rgb(dark.0.map(|v| 255 - (255 - v) / 6));
        cell.figures.push(Shown {
            figure: job,
            tint: Some(Tint { dark, light }),
            opacity: 0.5,
        });
        cell.key.push((dark, called(pose)));
    }
    cell
}

/// A colour of a scale from blue over green and amber to red.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped"
)]
fn along(t: f64) -> Rgb {
    const STOPS: [[f64; 3]; 4] = [
        [36.0, 80.0, 176.0],
        [22.0, 128.0, 98.0],
        [190.0, 122.0, 14.0],
        [176.0, 44.0, 40.0],
    ];
    let at = t.clamp(0.0, 1.0) * (STOPS.len() - 1) as f64;
    let from = (at as usize).min(STOPS.len() - 2);
    let share = at - from as f64;
    let mut rgb = [0; 3];
    for (k, v) in rgb.iter_mut().enumerate() {
        let mixed = STOPS[from][k] * (1.0 - share) + STOPS[from + 1][k] * share;
        *v = libm::round(mixed).clamp(0.0, 255.0) as u8;
    }
    Rgb(rgb)
}

/// How many poses, or sweeps, of the list have errors.
fn left_out(section: &Section, sweeps: bool) -> usize {
    let left_out = section.list.left_out.iter();
    left_out.filter(|entry| entry.sweep == sweeps).count()
}

/// `3 poses`, or `2 of 3 poses` where some were left out.
fn counted(count: usize, all: usize, word: &str) -> String {
    let plural = if all == 1 { "" } else { "s" };
    if count == all {
        format!("{count} {word}{plural}")
    } else {
        format!("{count} of {all} {word}{plural}")
    }
}

/// The pose's own note, and what else tells it from its neighbours.
fn note(pose: &Pose, model: &Model) -> Option<String> {
    let mut notes: Vec<String> = pose.note.iter().cloned().collect();
    if pose.palette > 0
        && let Some(palette) = model.member.palettes.get(pose.palette)
    {
        notes.push(format!("palette {}", palette.name));
    }
    if pose.mirror {
        notes.push("mirrored".to_owned());
    }
    (!notes.is_empty()).then(|| notes.join("\n"))
}

/// The angles in the name of a sweep's step: `elbow@-10,30` is `−10°, 30°`.
fn step(pose: &Pose) -> String {
    let Some((_, angles)) = pose.name.rsplit_once('@') else {
        return pose.name.clone();
    };
    let angles: Vec<String> = angles
        .split(',')
        .map(|a| format!("{}°", a.replace('-', "\u{2212}")))
        .collect();
    angles.join(", ")
}

/// A grid of two joints keeps its rows.
fn columns_of(sweep: &Sweep, chosen: usize) -> Option<usize> {
    match &sweep.axes[..] {
        [_, .., last] if chosen == sweep.poses.len() => Some(last.angles.len().max(1)),
        _ => None,
    }
}

/// What the cells of a group show, canvas units.
fn seen(jobs: &[usize], rehearsal: &Rehearsal, model: &Model, window: Window) -> [f64; 4] {
    let [w, h] = model.member.canvas;
    let canvas = [0.0, 0.0, w, h];
    if window == Window::Canvas {
        return canvas;
    }
    let mut union: Option<[f64; 4]> = None;
    for bounds in jobs
        .iter()
        .filter_map(|&job| rehearsal[job].as_ref().ok().copied().flatten())
    {
        let u = union.get_or_insert(bounds);
        *u = [
            u[0].min(bounds[0]),
            u[1].min(bounds[1]),
            u[2].max(bounds[2]),
            u[3].max(bounds[3]),
        ];
    }
    let Some(mut union) = union else {
        return canvas;
    };
    if let Some(ground) = model.member.ground {
        // The floor is seen with its line, also under a figure in the air.
        union[1] = union[1].min(ground);
        union[3] = union[3].max(ground + h * 0.01);
    }
    union
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

/// Draws every page into its file. The events are of the jobs, as their cells are drawn; the
/// results are of the pages, in order. Whatever the number of pages, only a few are held at a time.
pub fn draw_sheets(
    puppets: &[Puppet],
    sheets: &[PlannedSheet],
    jobs: &[Job<'_>],
    threads: usize,
    watch: impl FnMut(Event),
) -> Vec<Result<(), Failure>> {
    let pages: Vec<(&PlannedSheet, usize)> = sheets
        .iter()
        .flat_map(|s| (0..s.document.pages.len()).map(move |p| (s, p)))
        .collect();
    let results: Vec<Mutex<Result<(), Failure>>> = pages
        .iter()
        .map(|_| Mutex::new(Err(Failure::Fault("the page was not made".into()))))
        .collect();
    let scratches = Scratches::default();
    let work = |tell: &(dyn Fn(Event) + Sync)| {
        let waiting = AtomicUsize::new(0);
        rayon::scope(|scope| {
            for (at, &(sheet, page)) in pages.iter().enumerate() {
                let drawn = guarded(|| Ok(draw_page(puppets, sheet, page, jobs, &scratches, tell)));
                let (results, waiting) = (&results, &waiting);
                let finish = move || {
                    let result = drawn.and_then(|pixels| {
                        let bytes = encoded(png(pixels.as_ref(), true, Effort::Small))?;
                        drop(pixels);
                        save(&sheet.files[page], &bytes)
                    });
                    *results[at].lock().unwrap_or_else(PoisonError::into_inner) = result;
                };
                if waiting.fetch_add(1, Ordering::AcqRel) < PAGES_WAITING {
                    scope.spawn(move |_| {
                        finish();
                        waiting.fetch_sub(1, Ordering::AcqRel);
                    });
                } else {
                    finish();
                    waiting.fetch_sub(1, Ordering::AcqRel);
                }
            }
        });
    };
    with_threads(threads, work, watch);
    results
        .into_iter()
        .map(|r| r.into_inner().unwrap_or_else(PoisonError::into_inner))
        .collect()
}

/// Writes each PDF of the sheets: those of one member's view together. The results are in the order
/// of the files. A PDF grows in memory until it is written; its figures do not stay.
pub fn write_packs(
    puppets: &[Puppet],
    sheets: &[PlannedSheet],
    jobs: &[Job<'_>],
    threads: usize,
    watch: impl FnMut(Event),
) -> Vec<(PathBuf, Result<(), Failure>)> {
    let mut packs: IndexMap<&Path, Vec<&PlannedSheet>> = IndexMap::new();
    for sheet in sheets {
        packs.entry(&sheet.pack).or_default().push(sheet);
    }
    let packs: Vec<(&Path, Vec<&PlannedSheet>)> = packs.into_iter().collect();
    let work = |tell: &(dyn Fn(Event) + Sync)| -> Vec<Result<(), Failure>> {
        let write = |(file, sheets): &(&Path, Vec<&PlannedSheet>)| {
            let documents: Vec<&Document> = sheets.iter().map(|s| &s.document).collect();
            guarded(|| {
                let solve = |at: usize| {
                    let job: &Job<'_> = &jobs[at];
                    tell(Event::Started(at));
                    let solved =
                        guarded(|| puppets[job.model].solve(job.pose).map_err(Failure::Input));
                    tell(match &solved {
                        Ok(_) => Event::Done(at),
                        Err(failure) => Event::Failed(at, failure.clone()),
                    });
                    solved.map_err(|failure| failure.to_string())
                };
                let bytes = pdf::pdf(&sheets[0].pack_title, &documents, &solve)
                    .map_err(|why| Failure::Fault(why.to_string()))?;
                save(file, &bytes)
            })
        };
        packs.par_iter().with_max_len(1).map(write).collect()
    };
    let results = with_threads(threads, work, watch);
    let files = packs.iter().map(|(file, _)| file.to_path_buf());
    files.zip(results).collect()
}

fn draw_page(
    puppets: &[Puppet],
    sheet: &PlannedSheet,
    page: usize,
    jobs: &[Job<'_>],
    scratches: &Scratches,
    tell: &(dyn Fn(Event) + Sync),
) -> tiny_skia::Pixmap {
    let page = &sheet.document.pages[page];
    raster::draw(page, &|at, to_pixels, pixels| {
        let job = &jobs[at];
        tell(Event::Started(at));
        let drawn = guarded(|| {
            let figure = puppets[job.model].solve(job.pose).map_err(Failure::Input)?;
            scratches.lend(|scratch| draw::draw_onto(&figure, to_pixels, pixels, scratch));
            Ok(())
        });
        tell(match &drawn {
            Ok(()) => Event::Done(at),
            Err(failure) => Event::Failed(at, failure.clone()),
        });
        drawn.map_err(|failure| failure.to_string())
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_left_out_is_counted() {
        assert_eq!(counted(1, 1, "pose"), "1 pose");
        assert_eq!(counted(3, 3, "pose"), "3 poses");
        assert_eq!(counted(1, 3, "sweep"), "1 of 3 sweeps");
    }

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
