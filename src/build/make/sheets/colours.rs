//! One pose in every palette.

use super::{PlannedSheet, SheetGroup, SheetMaker};
use crate::cast::Palette;
use crate::sheet::{ColourSheet, Coloured, Swatch, colour_sheet};

impl SheetMaker<'_> {
    pub(super) fn colours(&self, group: &SheetGroup) -> Option<PlannedSheet> {
        let section = group.sections[0];
        let model = self.of(section);
        let member = &model.member;
        let figure = self.solved(section, 0)?;
        let fact = match member.palettes.len() {
            1 => "1 palette".to_owned(),
            n => format!("{n} palettes"),
        };
        let sheet = ColourSheet {
            heading: self.heading(group, vec![fact]),
            window: figure.extent()?,
            ground: member.ground,
            palettes: member
                .palettes
                .iter()
                .zip(self.jobs[section].clone())
                .map(|(palette, figure)| Coloured {
                    name: palette.name.clone(),
                    figure,
                    swatches: swatches(palette),
                })
                .collect(),
        };
        let document = colour_sheet(&sheet, &self.look(section));
        Some(self.planned(group, None, &sheet.heading, document))
    }
}

pub(super) fn swatches(palette: &Palette) -> Vec<Swatch> {
    let all = palette.swatches.iter();
    all.map(|(name, colour)| (name.clone(), *colour)).collect()
}
