//! What the sheets of pose lists say.

use std::path::Path;

use super::labels::{columns_of, counted, left_out, named, note, over_limits, step};
use super::overlay::{POSES, STEPS, overlay};
use super::planned::{Kind, Part, PlannedSheet, Rehearsal, Window, page_names};
use crate::batch::files::file_name;
use crate::batch::section::MemberView;
use crate::cast::{ListSheet, Pose};
use crate::geom::joined;
use crate::sheet::{self, Cell, Group, Heading, Look, Sheet, Shown, TooSmall};

/// Makes the sheets of one list, or of several of one view.
pub(in crate::batch) struct Maker<'a> {
    pub parts: &'a [Part<'a>],
    pub model: &'a MemberView,
    pub rehearsal: &'a Rehearsal,
    pub window: Window,
    /// What cells show, in place of that.
    pub crop: Option<[f64; 4]>,
    /// The sheet that a list asks for.
    pub declared: Option<&'a ListSheet>,
}

impl<'a> Maker<'a> {
    /// A sheet of a kind and what its files are called; `None` when there is nothing for it.
    pub(in crate::batch) fn sheet(&self, kind: Kind) -> Option<(Sheet, &'static str)> {
        let (mut count, mut all) = (0, 0);
        for part in self.parts {
            let list = &part.section.list;
            if kind == Kind::Range {
                count += part.sweeps.len();
                all += match self
                    .declared
                    .and_then(|sheet| Some((sheet.sweeps.as_ref()?, sheet.lacks)))
                {
                    Some((own, lacks)) => own.len() + lacks,
                    None => list.sweeps.len() + left_out(part.section, true),
                };
            } else {
                count += part.poses.len();
                all += match self
                    .declared
                    .and_then(|sheet| Some((sheet.poses.as_ref()?, sheet.lacks)))
                {
                    Some((own, lacks)) => own.len() + lacks,
                    None => list.poses.len() + left_out(part.section, false),
                };
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
                let overlays = groups.iter().map(|g| g.cells.len()).sum();
                let fact = counted(overlays, overlays, "overlay");
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
        if let Some(crop) = self.crop {
            return crop;
        }
        let jobs: Vec<usize> = poses.iter().map(|(_, job)| *job).collect();
        seen(&jobs, self.rehearsal, self.model, self.window)
    }

    fn pose_groups(&self) -> Vec<Group> {
        let named = self.parts.len() > 1;
        let palette = self.palette();
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
                            note(pose, palette, self.model),
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

    pub(super) fn planned(
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
