//! One pose in every palette.

use super::{KindMaker, Made, MemberKind};
use crate::cast::Palette;
use crate::sheet::{ColourSheet, Coloured, Swatch, colour_sheet};

impl KindMaker<'_> {
    pub(in crate::batch) fn colours(&self, section: usize) -> Option<Made> {
        let model = self.of(section);
        let member = &model.member;
        let figure = self.solved(section, 0)?;
        let fact = match member.palettes.len() {
            1 => "1 palette".to_owned(),
            n => format!("{n} palettes"),
        };
        let sheet = ColourSheet {
            heading: self.heading(section, MemberKind::Colours, vec![fact]),
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
        Some(self.made(section, "colours", colour_sheet(&sheet, self.look)))
    }
}

pub(super) fn swatches(palette: &Palette) -> Vec<Swatch> {
    let all = palette.swatches.iter();
    all.map(|(name, colour)| (name.clone(), *colour)).collect()
}
