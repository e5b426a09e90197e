//! What the sheets of pose lists say.

use super::labels::{columns_of, counted, left_out, named, note, over_limits, step};
use super::overlay::{POSES, STEPS, overlay};
use super::{PlannedSheet, Rehearsal, SheetGroup, SheetMaker, Window};
use crate::build::section::{MemberView, Section};
use crate::build::shown;
use crate::cast::{ListSheet, Pose, SheetKind, Sweep};
use crate::geom::joined;
use crate::sheet::{self, Cell, Group, Heading, Sheet, Shown, TooSmall};

impl SheetMaker<'_> {
    /// A sheet of one list, or of several of one view.
    pub(super) fn of_lists(&self, group: &SheetGroup) -> Result<Option<PlannedSheet>, TooSmall> {
        let first = group.sections[0];
        let (model, declared) = (self.of(first), self.declared(first));
        let usual = if declared.is_some_and(|sheet| sheet.canvas) {
            Window::Canvas
        } else {
            Window::Figures
        };
        let crop = match (
            declared.and_then(|sheet| sheet.crop.as_deref()),
            self.pages.window,
        ) {
            (Some(name), None) => match shown::crop(model, Some(name)) {
                Some(crop) => self.window(first, crop),
                None => return Ok(None),
            },
            _ => None,
        };
        let sections = group.sections.iter();
        let parts = sections.map(|&at| Part::new(&self.plan.sections[at], self.jobs[at].clone()));
        let maker = Maker {
            parts: &parts.collect::<Vec<_>>(),
            model,
            rehearsal: self.rehearsal,
            window: self.pages.window.unwrap_or(usual),
            crop,
            declared,
        };
        let Some(sheet) = maker.sheet(group.kind) else {
            return Ok(None);
        };
        let document = sheet::lay_out(&sheet, &self.look(first))?;
        Ok(Some(self.planned(group, None, &sheet.heading, document)))
    }
}

/// A section with the places of its poses among the jobs.
struct Part<'a> {
    section: &'a Section,
    poses: Vec<(&'a Pose, usize)>,
    sweeps: Vec<(&'a Sweep, Vec<(&'a Pose, usize)>)>,
}

impl<'a> Part<'a> {
    /// `jobs` gives the places.
    fn new(section: &'a Section, mut jobs: impl Iterator<Item = usize>) -> Self {
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

/// Makes a sheet.
struct Maker<'a> {
    parts: &'a [Part<'a>],
    model: &'a MemberView,
    rehearsal: &'a Rehearsal,
    window: Window,
    /// What cells show, in place of that.
    crop: Option<[f64; 4]>,
    /// The sheet that a list asks for.
    declared: Option<&'a ListSheet>,
}

impl<'a> Maker<'a> {
    /// A sheet of a kind; `None` when there is nothing for it.
    fn sheet(&self, kind: SheetKind) -> Option<Sheet> {
        let (mut count, mut all) = (0, 0);
        let sweeps = kind == SheetKind::Range;
        for part in self.parts {
            let list = &part.section.list;
            let (chosen, whole) = if sweeps {
                (part.sweeps.len(), list.sweeps.len())
            } else {
                (part.poses.len(), list.poses.len())
            };
            let own = self.declared.and_then(|sheet| {
                let own = if sweeps { &sheet.sweeps } else { &sheet.poses };
                Some(own.as_ref()?.len() + sheet.lacks)
            });
            count += chosen;
            all += own.unwrap_or_else(|| whole + left_out(part.section, sweeps));
        }
        let (groups, noun, figure) = match kind {
            SheetKind::Range => (self.range_groups(), "sweep", 260.0),
            SheetKind::Onion => {
                let groups = self.onion_groups();
                count = groups.iter().map(|g| g.cells.len()).sum();
                all = count;
                (groups, "overlay", 640.0)
            }
            _ => (self.pose_groups(), "pose", 440.0),
        };
        if groups.is_empty() {
            return None;
        }
        let fact = counted(count, all, noun);
        let mut sheet = self.headed(groups, fact, kind.spec().title, figure);
        sheet.strips = sweeps;
        Some(sheet)
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
        if let Some(crop) = self.crop {
            return crop;
        }
        let jobs: Vec<usize> = poses.iter().map(|(_, job)| *job).collect();
        seen(&jobs, self.rehearsal, self.model, self.window)
    }

    fn pose_groups(&self) -> Vec<Group> {
        let named = self.parts.len() > 1;
        let palette = self.palette();
        let targets = self.declared.is_some_and(|sheet| sheet.targets);
        let filled = self.parts.iter().filter(|p| !p.poses.is_empty());
        filled
            .map(|part| Group {
                window: self.seen(&part.poses),
                name: named.then(|| part.section.list.key.clone()),
                cells: part
                    .poses
                    .iter()
                    .map(|&(pose, job)| {
                        self.cell(
                            pose,
                            job,
                            pose.name.clone(),
                            note(pose, palette, targets, self.model),
                        )
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
            let mut add = |name: &str,
                           poses: &[(&'a Pose, usize)],
                           called: &dyn Fn(&Pose) -> String,
                           sweep: bool| {
                let poses: Vec<(&'a Pose, usize)> = poses
                    .iter()
                    .filter(|p| self.rehearsal[p.1].is_ok())
                    .copied()
                    .collect();
                if poses.len() < 2 {
                    return;
                }
                // Evenly split where there are more than can be told apart.
                let most = if sweep { STEPS } else { POSES };
                let times = poses.len().div_ceil(most);
                for part in poses.chunks(poses.len().div_ceil(times)) {
                    cells.push(overlay(name.to_owned(), part, called, sweep));
                }
                shown.extend(poses);
            };
            let name = self
                .declared
                .map_or_else(|| part.section.list.key.clone(), named);
            add(&name, &part.poses, &|pose| pose.name.clone(), false);
            for (sweep, poses) in &part.sweeps {
                add(&self.named(part, &sweep.name), poses, &step, true);
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

    /// The least palette of all poses: the one that the sheet's heading shows.
    fn palette(&self) -> usize {
        let poses = self.parts.iter().flat_map(|p| p.section.all_poses());
        poses.map(|p| p.palette).min().unwrap_or(0)
    }

    fn headed(&self, groups: Vec<Group>, fact: String, word: &str, figure: f32) -> Sheet {
        let member = &self.model.member;
        let (mut subtitle, name) = match self.parts {
            [part] => (
                vec![part.section.list.key.clone()],
                part.section.name.to_string(),
            ),
            _ => (Vec::new(), member.key.clone()),
        };
        if let Some(sheet) = self.declared {
            subtitle = vec![named(sheet)];
        } else {
            subtitle.push(word.to_owned());
        }
        if let Some(view) = self.model.view_name() {
            subtitle.push(format!("{} view", sheet::spoken(view)));
        }
        // The palette that most of the sheet is in: the one that no pose's label names.
        let palette = member.palettes.get(self.palette()).map(|p| {
            let colours = p.swatches.values().copied().collect();
            (format!("palette {}", p.name), colours)
        });
        Sheet {
            heading: Heading {
                title: member.name.clone(),
                subtitle: subtitle.join(" · "),
                facts: [
                    Some(fact),
                    self.declared.and_then(|sheet| sheet.note.clone()),
                ]
                .into_iter()
                .flatten()
                .collect(),
                palette,
                sheet: match self.declared {
                    Some(_) => name,
                    None => format!("{name} {word}"),
                },
            },
            ground: member.ground,
            figure,
            strips: false,
            groups,
        }
    }
}

/// What the cells of a group show, canvas units.
fn seen(jobs: &[usize], rehearsal: &Rehearsal, model: &MemberView, window: Window) -> [f64; 4] {
    let [w, h] = model.member.canvas;
    let canvas = [0.0, 0.0, w, h];
    if window == Window::Canvas {
        return canvas;
    }
    let all = jobs
        .iter()
        .filter_map(|&job| rehearsal[job].as_ref().ok().copied().flatten());
    let Some(mut union) = all.reduce(joined) else {
        return canvas;
    };
    if let Some(ground) = model.member.ground {
        // The floor is seen with its line, also under a figure in the air.
        union[1] = union[1].min(ground);
        union[3] = union[3].max(ground + h * 0.01);
    }
    union
}
