//! Kinds of labelled cells: expressions, and charts of replacements.

use std::ops::Range;

use super::poses::{self, charts, drawings};
use super::{KindMaker, Made, MemberKind};
use crate::batch::files::file_name;
use crate::cast::{Chart, Crop, PartId};
use crate::geom::{grown, joined};
use crate::pose::ResolvedPose;
use crate::sheet::{Cell, Document, Group, Heading, Sheet, Shown, TooSmall, lay_out, spoken};

impl KindMaker<'_> {
    pub(in crate::batch) fn expressions(&self, section: usize) -> Result<Option<Made>, TooSmall> {
        let model = self.of(section);
        let poses = &self.plan.sections[section].list.poses;
        let crop = self
            .declared(section)
            .and_then(|sheet| sheet.crop.as_deref());
        let crop = poses::crop(model, crop);
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
            heading: self.heading(
                section,
                MemberKind::Expressions,
                vec![format!("{count} expressions")],
            ),
            ground: None,
            figure: 480.0,
            strips: false,
            groups: vec![Group {
                window,
                cells: cells.collect(),
                ..Group::default()
            }],
        };
        let document = lay_out(&sheet, self.look)?;
        Ok(Some(self.made(section, "expressions", document)))
    }

    /// What a crop shows at rest.
    pub(in crate::batch) fn window(&self, section: usize, crop: &Crop) -> Option<[f64; 4]> {
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
    pub(in crate::batch) fn charts(&self, section: usize) -> Result<Vec<Made>, TooSmall> {
        let model = self.of(section);
        let declared = self.declared(section);
        let charts = charts(model, declared.and_then(|sheet| sheet.charts.as_deref()));
        let mut pose = 0;
        if declared.is_some() {
            let groups = charts
                .iter()
                .flat_map(|chart| self.chart(section, chart, &mut pose))
                .collect();
            let heading = self.heading(section, MemberKind::Charts, Vec::new());
            let document = self.charted(heading, groups)?;
            return Ok(vec![self.made(section, "", document)]);
        }
        let mut sheets = Vec::new();
        for chart in charts {
            let groups = self.chart(section, &chart, &mut pose);
            let mut heading = self.heading(section, MemberKind::Charts, Vec::new());
            heading.subtitle = format!("{} chart", spoken(&chart.name));
            if let Some(view) = model.view_name() {
                heading.subtitle = format!("{} · {} view", heading.subtitle, spoken(view));
            }
            heading.sheet = format!("{}/{}", heading.sheet, chart.name);
            let document = self.charted(heading, groups)?;
            let stem = format!("chart.{}", file_name(&chart.name));
            let mut made = self.made(section, &stem, document);
            made.name = format!("{}/{}", made.name, chart.name);
            sheets.push(made);
        }
        Ok(sheets)
    }

    fn charted(&self, mut heading: Heading, groups: Vec<Group>) -> Result<Document, TooSmall> {
        let count: usize = groups.iter().map(|group| group.cells.len()).sum();
        heading.facts.insert(0, format!("{count} drawings"));
        let sheet = Sheet {
            heading,
            ground: None,
            figure: 380.0,
            strips: false,
            groups,
        };
        lay_out(&sheet, self.look)
    }

    /// The groups of a chart, one for each part; `pose` is the place of the next pose.
    fn chart(&self, section: usize, chart: &Chart, pose: &mut usize) -> Vec<Group> {
        let model = self.of(section);
        let member = &model.member;
        let crop = chart.crop.map(|at| &model.view().guides.crops[at]);
        let window = crop.and_then(|crop| self.window(section, crop));
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
                window: window.unwrap_or_else(|| self.around(section, first..*pose, part)),
                name: Some(name.clone()),
                cells: cells.collect(),
                ..Group::default()
            }
        });
        groups.collect()
    }

    /// What all drawings of a part cover, with room around.
    fn around(&self, section: usize, poses: Range<usize>, part: PartId) -> [f64; 4] {
        let extents = poses.filter_map(|pose| self.solved(section, pose)?.extent_of(part));
        let all = extents.reduce(joined).unwrap_or([0.0, 0.0, 1.0, 1.0]);
        grown(all, (all[2] - all[0]).max(all[3] - all[1]) * 0.3)
    }
}
