//! Kinds of labelled cells: expressions, and charts of replacements.

use std::ops::Range;

use super::{PlannedSheet, SheetGroup, SheetMaker};
use crate::build::shown::{self, charts, drawings, expressions};
use crate::cast::{Chart, Crop, PartId};
use crate::files::file_name;
use crate::geom::{grown, joined};
use crate::pose::ResolvedPose;
use crate::sheet::{Cell, Group, Sheet, Shown, TooSmall, lay_out, spoken};

impl SheetMaker<'_> {
    pub(super) fn expressions(&self, group: &SheetGroup) -> Result<Option<PlannedSheet>, TooSmall> {
        let section = group.sections[0];
        let model = self.of(section);
        let poses = &self.plan.sections[section].list.poses;
        let crop = self
            .declared(section)
            .and_then(|sheet| sheet.crop.as_deref());
        let crop = shown::crop(model, crop);
        let Some(window) = crop.and_then(|crop| self.window(section, crop)) else {
            return Ok(None);
        };
        let cells = poses
            .iter()
            .zip(self.jobs[section].clone())
            .map(|(pose, job)| Cell {
                name: pose.name.clone(),
                note: pose.note.clone(),
                figures: vec![Shown::plain(job)],
                refusal: self.refusal(job),
                ..Cell::default()
            });
        let count = poses.len();
        let sheet = Sheet {
            heading: self.heading(group, vec![format!("{count} expressions")]),
            ground: None,
            figure: 480.0,
            strips: false,
            groups: vec![Group {
                window,
                cells: cells.collect(),
                ..Group::default()
            }],
        };
        let document = lay_out(&sheet, &self.look(section))?;
        Ok(Some(self.planned(group, None, &sheet.heading, document)))
    }

    /// What a crop shows at rest.
    pub(super) fn window(&self, section: usize, crop: &Crop) -> Option<[f64; 4]> {
        let model = self.plan.sections[section].model;
        let [left, top, right, bottom] = match crop.area {
            Some(area) => area,
            None => {
                let rest = ResolvedPose::rest(self.of(section).view());
                let figure = self.puppets[model].solve(&rest).ok()?;
                figure.extent_from(crop.part)?
            }
        };
        let margin = (right - left).max(bottom - top) * crop.margin;
        Some([left - margin, top - margin, right + margin, bottom + margin])
    }

    /// A sheet for each chart; a list that asks for charts gets one of all of them.
    pub(super) fn charts(&self, of: &SheetGroup) -> Result<Vec<PlannedSheet>, TooSmall> {
        let section = of.sections[0];
        let model = self.of(section);
        let declared = self.declared(section);
        let charts = charts(model, declared.and_then(|sheet| sheet.charts.as_deref()));
        let each = if declared.is_some() {
            charts.len().max(1)
        } else {
            1
        };
        let mut pose = 0;
        let mut sheets = Vec::new();
        for charts in charts.chunks(each) {
            let groups: Vec<Group> = charts
                .iter()
                .flat_map(|chart| self.chart(section, chart, &mut pose))
                .collect();
            let count: usize = groups.iter().map(|group| group.cells.len()).sum();
            let mut heading = self.heading(of, Vec::new());
            let of_expressions = charts.iter().all(|chart| chart.parts.is_empty());
            let what = if of_expressions {
                "expressions"
            } else {
                "drawings"
            };
            heading.facts.insert(0, format!("{count} {what}"));
            let mut one = None;
            if declared.is_none() {
                let name = &charts[0].name;
                one = Some(format!("chart.{}", file_name(name)));
                heading.subtitle = format!("{} chart", spoken(name));
                if let Some(view) = model.view_name() {
                    heading.subtitle = format!("{} · {} view", heading.subtitle, spoken(view));
                }
                heading.sheet = format!("{}/{name}", heading.sheet);
            }
            let sheet = Sheet {
                heading,
                ground: None,
                figure: 380.0,
                strips: false,
                groups,
            };
            let document = lay_out(&sheet, &self.look(section))?;
            sheets.push(self.planned(of, one, &sheet.heading, document));
        }
        Ok(sheets)
    }

    /// The groups of a chart, one for each part; `pose` is the place of the next pose.
    fn chart(&self, section: usize, chart: &Chart, pose: &mut usize) -> Vec<Group> {
        let model = self.of(section);
        let member = &model.member;
        let crop = chart.crop.map(|at| &model.view().guides.crops[at]);
        let window = crop.and_then(|crop| self.window(section, crop));
        if chart.parts.is_empty() {
            return self.worn(section, pose);
        }
        let groups = chart.parts.iter().map(|&part| {
            let names = drawings(model, part);
            let first = *pose;
            *pose += names.len();
            let job = self.jobs[section].start + first;
            let cells = names.iter().zip(job..).map(|(name, job)| Cell {
                name: if name == "art" {
                    "as drawn".into()
                } else {
                    name.clone()
                },
                figures: vec![Shown::plain(job)],
                refusal: self.refusal(job),
                ..Cell::default()
            });
            let name = &member.names[model.view().parts[part.at()].name.at()];
            Group {
                window: window.unwrap_or_else(|| self.around(section, first..*pose, &[part])),
                name: Some(name.clone()),
                cells: cells.collect(),
                ..Group::default()
            }
        });
        groups.collect()
    }

    /// The groups of a chart of expressions: faces, as the crop for these shows them, and others by the parts that they set.
    fn worn(&self, section: usize, pose: &mut usize) -> Vec<Group> {
        let model = self.of(section);
        let view = model.view();
        let first = *pose;
        let all = expressions(model);
        *pose += all.len();
        let crop = shown::crop(model, None);
        let face = crop.and_then(|crop| Some((crop.part, self.window(section, crop)?)));
        let mut faces = Group::default();
        let mut others: Vec<(Vec<PartId>, Group)> = Vec::new();
        for (at, expression) in all.iter().enumerate() {
            let job = self.jobs[section].start + first + at;
            let cell = Cell {
                name: expression.name.clone(),
                note: expression.note.clone(),
                figures: vec![Shown::plain(job)],
                refusal: self.refusal(job),
                ..Cell::default()
            };
            let seen = expression.in_view(view.name.as_deref());
            let parts = seen.entries().filter_map(|(_, part, ..)| view.part(part));
            let mut parts: Vec<PartId> = parts.collect();
            parts.sort_unstable();
            parts.dedup();
            let on_face = |head| parts.iter().all(|&part| view.carries(head, part));
            if let Some((_, window)) = face.filter(|(head, _)| on_face(*head)) {
                faces.window = window;
                faces.cells.push(cell);
                continue;
            }
            let shown = first + at..first + at + 1;
            let window = self.around(section, shown, &parts);
            match others.iter_mut().find(|(known, _)| *known == parts) {
                Some((_, group)) => {
                    group.window = joined(group.window, window);
                    group.cells.push(cell);
                }
                None => {
                    let cells = vec![cell];
                    let group = Group {
                        window,
                        cells,
                        ..Group::default()
                    };
                    others.push((parts, group));
                }
            }
        }
        let faces = Some(faces).filter(|faces| !faces.cells.is_empty());
        let others = others.into_iter().map(|(_, group)| group);
        faces.into_iter().chain(others).collect()
    }

    /// What all drawings of parts cover, with room around.
    fn around(&self, section: usize, poses: Range<usize>, parts: &[PartId]) -> [f64; 4] {
        let extents = poses.flat_map(|pose| {
            let figure = self.solved(section, pose);
            let each = |&part: &PartId| figure.as_ref()?.extent_of(part);
            parts.iter().filter_map(each).collect::<Vec<_>>()
        });
        let all = extents.reduce(joined).unwrap_or([0.0, 0.0, 1.0, 1.0]);
        grown(all, (all[2] - all[0]).max(all[3] - all[1]) * 0.3)
    }
}
