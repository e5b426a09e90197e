//! A view at rest, measured.

use super::colours::swatches;
use super::{PlannedSheet, SheetGroup, SheetMaker};
use crate::sheet::{ModelSheet, model_sheet};

impl SheetMaker<'_> {
    pub(super) fn model(&self, group: &SheetGroup) -> Option<PlannedSheet> {
        let section = group.sections[0];
        let model = self.of(section);
        let member = &model.member;
        let figure = self.solved(section, 0)?;
        let guides = &model.view().guides;
        let middle = |part| {
            let [left, top, right, bottom] = figure.extent_of(part)?;
            Some([f64::midpoint(left, right), f64::midpoint(top, bottom)])
        };
        let named = |name: &str| guides.landmarks.iter().any(|l| l.name == name);
        let mut landmarks: Vec<(String, f64)> = guides
            .landmarks
            .iter()
            .filter_map(|l| Some((l.name.clone(), figure.landmark(l)?)))
            .filter(|(name, _)| name != "ground")
            .collect();
        if let Some(crown) = member.crown.filter(|_| !named("crown")) {
            landmarks.push(("crown".into(), crown));
        }
        let sheet = ModelSheet {
            heading: self.heading(group, Vec::new()),
            figure: self.jobs[section].start,
            window: figure.extent().unwrap_or([0.0, 0.0, 1.0, 1.0]),
            ground: member.ground,
            crown: member.crown,
            heads: member.heads,
            height: member.height.as_ref().map(|h| h.text.clone()),
            landmarks,
            measures: guides
                .measures
                .iter()
                .map(|m| (m.name.clone(), m.length()))
                .collect(),
            notes: guides
                .notes
                .iter()
                .filter_map(|note| {
                    let at = note.at.or_else(|| middle(note.part))?;
                    Some((note.text.clone(), at))
                })
                .collect(),
            palette: member
                .palettes
                .first()
                .map(|p| (p.name.clone(), swatches(p))),
        };
        let document = model_sheet(&sheet, &self.look(section));
        Some(self.planned(group, None, &sheet.heading, document))
    }
}
