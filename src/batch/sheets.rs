//! Sheets from a plan: what they say, their files, and one page at a time.

use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};

use super::encode::{Effort, png};
use super::files::file_name;
use super::pictures::{encoded, save};
use super::plan::{Job, Model, Plan, Section};
use super::run::{Event, Failure, Scratches, guarded, with_threads};
use crate::cast::{Pose, Sweep};
use crate::draw;
use crate::sheet::{self, Cell, Document, Group, Heading, Look, Sheet, Shown, TooSmall, raster};
use crate::solve::Puppet;

/// Pages that may wait for the encoder while the next is drawn.
const PAGES_WAITING: usize = 2;

/// What cells show.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Window {
    /// What the figures of a group cover together.
    Figures,
    /// The canvas.
    Canvas,
}

/// A sheet of a plan.
#[derive(Clone, Debug)]
pub struct PlannedSheet {
    /// Laid out; its figures are places among the plan's jobs.
    pub document: Document,
    /// `member/list`, or `member/list sweeps`.
    pub name: String,
    /// One for each page.
    pub files: Vec<PathBuf>,
}

/// How figures come out before they are drawn: what they cover, or why there are none.
pub type Rehearsal = [Result<Option<[f64; 4]>, Failure>];

/// Lays out the sheets of a plan: for each section its poses, then its sweeps. `rehearsal` has an
/// entry for each of the plan's jobs.
///
/// # Errors
///
/// When a page cannot hold a row of cells.
pub fn plan_sheets(
    plan: &Plan,
    rehearsal: &Rehearsal,
    out: &Path,
    look: &Look,
    window: Window,
) -> Result<Vec<PlannedSheet>, TooSmall> {
    let mut sheets = Vec::new();
    let mut job = 0;
    for section in &plan.sections {
        let model = &plan.models[section.model];
        let refusal = |job: usize| match &rehearsal[job] {
            Ok(_) => None,
            Err(failure) => Some(failure.to_string()),
        };
        let poses: Vec<&Pose> = section.poses().collect();
        let mut take = |count: usize| {
            let jobs: Vec<usize> = (job..job + count).collect();
            job += count;
            jobs
        };
        if !poses.is_empty() {
            let jobs = [take(poses.len())];
            let cells = poses.iter().zip(&jobs[0]).map(|(pose, &job)| Cell {
                name: pose.name.clone(),
                note: note(pose, model),
                figures: vec![Shown::plain(job)],
                refusal: refusal(job),
                fault: None,
            });
            let window = seen(&jobs[0], rehearsal, model, window);
            let groups = vec![Group {
                window,
                cells: cells.collect(),
                ..Group::default()
            }];
            let all = section.list.poses.len() + left_out(section, false);
            let fact = counted(poses.len(), all, "pose");
            let sheet = sheet(section, model, groups, fact, "poses", 440.0);
            sheets.push(planned(&sheet, look, section, out, "sheet")?);
        }
        let sweeps: Vec<(&Sweep, Vec<&Pose>)> = section.sweeps().collect();
        if !sweeps.is_empty() {
            let jobs: Vec<Vec<usize>> = sweeps.iter().map(|(_, poses)| take(poses.len())).collect();
            let groups = sweeps
                .iter()
                .zip(&jobs)
                .map(|((sweep, poses), jobs)| Group {
                    window: seen(jobs, rehearsal, model, window),
                    name: Some(sweep.name.clone()),
                    note: sweep.note.clone(),
                    columns: columns_of(sweep, poses.len()),
                    cells: poses
                        .iter()
                        .zip(jobs)
                        .map(|(pose, &job)| Cell {
                            name: step(pose),
                            note: None,
                            figures: vec![Shown::plain(job)],
                            refusal: refusal(job),
                            fault: None,
                        })
                        .collect(),
                })
                .collect();
            let all = section.list.sweeps.len() + left_out(section, true);
            let fact = counted(sweeps.len(), all, "sweep");
            let mut sheet = sheet(section, model, groups, fact, "sweeps", 260.0);
            sheet.strips = true;
            sheets.push(planned(&sheet, look, section, out, "sweeps")?);
        }
    }
    Ok(sheets)
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

fn sheet(
    section: &Section,
    model: &Model,
    groups: Vec<Group>,
    fact: String,
    kind: &str,
    figure: f32,
) -> Sheet {
    let mut subtitle = vec![section.list.key.clone(), kind.to_owned()];
    if let Some(view) = model.view_name() {
        subtitle.push(format!("{view} view"));
    }
    // The palette that most of the sheet is in: the one that no pose's label names.
    let palette = section
        .all_poses()
        .iter()
        .map(|p| p.palette)
        .min()
        .unwrap_or(0);
    let palette = model.member.palettes.get(palette);
    let palette = palette.map(|p| {
        let colours = p.swatches.values().copied().collect();
        (format!("palette {}", p.name), colours)
    });
    Sheet {
        heading: Heading {
            title: model.member.name.clone(),
            subtitle: subtitle.join(" · "),
            facts: vec![fact],
            palette,
            sheet: format!("{} {kind}", section.name),
        },
        ground: model.member.ground,
        figure,
        strips: false,
        groups,
    }
}

fn planned(
    sheet: &Sheet,
    look: &Look,
    section: &Section,
    out: &Path,
    kind: &str,
) -> Result<PlannedSheet, TooSmall> {
    let document = sheet::lay_out(sheet, look)?;
    let folder = section.folder.parent().unwrap_or(Path::new(""));
    let stem = file_name(&section.list.key);
    let files = page_names(&stem, kind, document.pages.len())
        .into_iter()
        .map(|f| out.join(folder).join(f))
        .collect();
    Ok(PlannedSheet {
        document,
        name: format!("{} {kind}", section.name),
        files,
    })
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
