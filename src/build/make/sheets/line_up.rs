//! All members on one ground.

use super::{PlannedSheet, SheetGroup, SheetMaker};
use crate::sheet::{Heading, LineUp, Standing, line_up};
use crate::solve::Figure;

impl SheetMaker<'_> {
    pub(super) fn line_up(&self, group: &SheetGroup) -> Option<PlannedSheet> {
        let members: Vec<(usize, Figure)> = group
            .sections
            .iter()
            .filter_map(|&at| Some((at, self.solved(at, 0)?)))
            .collect();
        if members.is_empty() {
            return None;
        }
        // Heights in life tell the scale where all have one; else canvases share their unit.
        let life = |at: usize| {
            let member = &self.of(at).member;
            let tall = member.ground? - member.crown?;
            Some(member.height.as_ref()?.millimetres / tall / 10.0)
        };
        let in_life = members.iter().all(|(at, _)| life(*at).is_some());
        let missing: Vec<&str> = members
            .iter()
            .filter(|(at, _)| life(*at).is_none())
            .map(|(at, _)| self.of(*at).member.name.as_str())
            .collect();
        let facts = if in_life || missing.len() == members.len() {
            Vec::new()
        } else {
            vec![format!(
                "in canvas units: no height in life is given for {}",
                missing.join(", ")
            )]
        };
        let count = members.len();
        let sheet = LineUp {
            heading: Heading {
                title: self.cast.to_owned(),
                subtitle: format!(
                    "line-up · {count} member{}",
                    if count == 1 { "" } else { "s" }
                ),
                facts,
                palette: None,
                sheet: "line-up".into(),
            },
            unit: if in_life { "cm".into() } else { String::new() },
            members: members
                .iter()
                .filter_map(|(at, figure)| {
                    let member = &self.of(*at).member;
                    let window = figure.extent()?;
                    let ground = member.ground.unwrap_or(window[3]);
                    let units = member.crown.map(|crown| ground - crown);
                    Some(Standing {
                        name: member.name.clone(),
                        figure: self.jobs[*at].start,
                        window,
                        ground,
                        crown: member.crown,
                        size: life(*at).filter(|_| in_life).unwrap_or(1.0),
                        height: match &member.height {
                            Some(height) if in_life => Some(height.text.clone()),
                            _ => units.map(|u| format!("{} units", crate::sheet::number(u, 0))),
                        },
                    })
                })
                .collect(),
        };
        let document = line_up(&sheet, &self.pages.look(None));
        Some(self.planned(group, None, &sheet.heading, document))
    }
}
