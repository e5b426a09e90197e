//! Kinds of labelled cells: expressions, and charts of replacements.

use std::ops::Range;

use super::poses::{charts, drawings, head, rest};
use super::{Desk, Made, MemberKind};
use crate::batch::files::file_name;
use crate::cast::{Crop, PartId};
use crate::sheet::{Cell, Group, Sheet, Shown, TooSmall, lay_out, spoken};

impl Desk<'_> {
    pub(super) fn expressions(&self, section: usize) -> Result<Option<Made>, TooSmall> {
        let model = self.of(section);
        let poses = &self.plan.sections[section].list.poses;
        let Some(window) = head(model).and_then(|crop| self.window(section, crop)) else {
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
    pub(super) fn window(&self, section: usize, crop: &Crop) -> Option<[f64; 4]> {
        let model = self.plan.sections[section].model;
        let figure = self.puppets[model].solve(&rest("rest")).ok()?;
        let [left, top, right, bottom] = match crop.area {
            Some(area) => area,
            None => figure.extent_from(crop.part)?,
        };
        let margin = (right - left).max(bottom - top) * crop.margin;
        Some([left - margin, top - margin, right + margin, bottom + margin])
    }

    pub(super) fn charts(&self, section: usize) -> Result<Vec<Made>, TooSmall> {
        let model = self.of(section);
        let member = &model.member;
        let mut job = self.jobs[section].start;
        let mut pose = 0;
        let mut sheets = Vec::new();
        for chart in charts(model) {
            let mut groups = Vec::new();
            let mut count = 0;
            let crop = chart.crop.map(|at| &model.view().guides.crops[at]);
            let window = crop.and_then(|crop| self.window(section, crop));
            for &part in &chart.parts {
                let names = drawings(model, part);
                let own = match window {
                    Some(window) => window,
                    None => self.around(section, pose..pose + names.len(), part),
                };
                count += names.len();
                let cells = names.iter().map(|name| {
                    let cell = Cell {
                        name: if name == "art" {
                            "as drawn".into()
                        } else {
                            name.clone()
                        },
                        figures: vec![Shown::plain(job)],
                        refusal: self.refusal(job),
                        ..Cell::default()
                    };
                    job += 1;
                    cell
                });
                let name = &member.names[model.view().parts[part.at()].name.at()];
                groups.push(Group {
                    window: own,
                    name: Some(name.clone()),
                    cells: cells.collect(),
                    ..Group::default()
                });
                pose += names.len();
            }
            let mut heading = self.heading(
                section,
                MemberKind::Charts,
                vec![format!("{count} drawings")],
            );
            heading.subtitle = format!("{} chart", spoken(&chart.name));
            if let Some(view) = model.view_name() {
                heading.subtitle = format!("{} · {} view", heading.subtitle, spoken(view));
            }
            heading.sheet = format!("{}/{}", heading.sheet, chart.name);
            let sheet = Sheet {
                heading,
                ground: None,
                figure: 380.0,
                strips: false,
                groups,
            };
            let document = lay_out(&sheet, self.look)?;
            let mut made = self.made(
                section,
                &format!("chart.{}", file_name(&chart.name)),
                document,
            );
            made.name = format!("{}/{}", made.name, chart.name);
            sheets.push(made);
        }
        Ok(sheets)
    }

    /// What all drawings of a part cover, with room around.
    pub(super) fn around(&self, section: usize, poses: Range<usize>, part: PartId) -> [f64; 4] {
        let mut all: Option<[f64; 4]> = None;
        for extent in poses.filter_map(|pose| self.solved(section, pose)?.extent_of(part)) {
            let a = all.get_or_insert(extent);
            *a = [
                a[0].min(extent[0]),
                a[1].min(extent[1]),
                a[2].max(extent[2]),
                a[3].max(extent[3]),
            ];
        }
        let [left, top, right, bottom] = all.unwrap_or([0.0, 0.0, 1.0, 1.0]);
        let margin = (right - left).max(bottom - top) * 0.3;
        [left - margin, top - margin, right + margin, bottom + margin]
    }
}
