//! All views of a member on one ground.

use std::sync::Arc;

use super::{PlannedSheet, SheetGroup, SheetMaker};
use crate::diag::{Place, Problem};
use crate::name::Name;
use crate::pose::ResolvedPose;
use crate::sheet::{Guide, Turnaround, TurnedView, spoken, turnaround};
use crate::solve::Figure;

impl SheetMaker<'_> {
    pub(super) fn turnaround(
        &self,
        group: &SheetGroup,
        findings: &mut Vec<Problem>,
    ) -> Option<PlannedSheet> {
        let first = group.sections[0];
        let member = Arc::clone(&self.of(first).member);
        let figures: Vec<(usize, Figure)> = group
            .sections
            .iter()
            .filter_map(|&at| Some((at, self.solved(at, 0)?)))
            .collect();
        let extents: Vec<[f64; 4]> = figures
            .iter()
            .map(|(_, f)| f.extent().unwrap_or([0.0, 0.0, 1.0, 1.0]))
            .collect();
        // In a pose landmarks go with the body.
        let turned = |&at: &usize| {
            let pose = &self.plan.sections[at].list.poses[0];
            let view = self.of(at).view();
            let pose = ResolvedPose::new(pose, view);
            pose.parts != ResolvedPose::rest(view).parts
        };
        let posed = group.sections.iter().any(turned);
        let mut names: Vec<&str> = Vec::new();
        for view in member.views.iter().filter(|_| !posed) {
            for landmark in &view.guides.landmarks {
                if !names.contains(&landmark.name.as_str()) {
                    names.push(&landmark.name);
                }
            }
        }
        let crown = if posed || names.contains(&"crown") {
            None
        } else {
            Some("crown")
        };
        let ground = if posed || names.contains(&"ground") {
            None
        } else {
            Some("ground")
        };
        let mut spans = Vec::new();
        let mut guides = Vec::new();
        for name in names.into_iter().chain(crown).chain(ground) {
            let declared = |at: usize| {
                let landmarks = &self.of(at).view().guides.landmarks;
                landmarks.iter().find(|l| l.name == name)
            };
            let drawn =
                figures
                    .iter()
                    .zip(&extents)
                    .map(|((at, figure), extent)| match declared(*at) {
                        Some(landmark) => figure.landmark(landmark),
                        None if crown == Some(name) => Some(extent[1]),
                        None if ground == Some(name) => Some(extent[3]),
                        None => None,
                    });
            let guide = Guide {
                name: name.to_owned(),
                said: match name {
                    "crown" => member.crown,
                    "ground" => member.ground,
                    _ => None,
                },
                drawn: drawn.collect(),
            };
            let place = figures.iter().find_map(|(at, _)| declared(*at));
            spans.push(
                place.map_or(Place::File(member.folder.join("rig.toml")), |l| {
                    Place::Span(l.span)
                }),
            );
            guides.push(guide);
        }
        let tall = |v: &[f64; 4]| v[3] - v[1];
        let height = match (member.crown, member.ground) {
            (Some(crown), Some(ground)) => ground - crown,
            _ => extents.iter().map(tall).fold(1e-6, f64::max),
        };
        let mut heading = self.heading(group, Vec::new());
        let pose = &self.plan.sections[first].list.poses[0];
        let drift = crate::sheet::number(member.drift * 100.0, 2);
        let about = if posed {
            heading.subtitle = format!("{} · {}", heading.subtitle, spoken(&pose.name));
            pose.note.clone()
        } else {
            Some(format!("landmarks may drift by {drift} % of the height"))
        };
        let facts = [Some(format!("{} views", figures.len())), about];
        heading.facts.splice(0..0, facts.into_iter().flatten());
        // Of no view: of the member.
        let name = Name {
            view: None,
            ..self.plan.sections[first].name.clone()
        };
        heading.sheet = name.to_string();
        let mut sheet = Turnaround {
            heading,
            views: figures
                .iter()
                .zip(&extents)
                .map(|((at, _), extent)| TurnedView {
                    name: self.of(*at).view_name().unwrap_or("view").to_owned(),
                    figure: self.jobs[*at].start,
                    window: *extent,
                })
                .collect(),
            guides,
            ground: member.ground,
            height,
            heads: member.heads,
            tolerance: member.drift,
        };
        let limit = sheet.tolerance * sheet.height;
        let guides = sheet.guides.iter().zip(&spans);
        let drifting = guides.filter(|(guide, _)| guide.drifts(limit));
        findings.extend(drifting.map(|(guide, place)| {
            Problem::warning(place.clone(), sheet.fault(guide))
                .hint("mend the art or the landmark, or allow more with \"drift\" in [character]")
        }));
        sheet.guides.sort_by(|a, b| {
            a.level()
                .partial_cmp(&b.level())
                .unwrap_or(std::cmp::Ordering::Equal)
        });
        let document = turnaround(&sheet, &self.look(first));
        Some(self.planned(group, None, &sheet.heading, document))
    }
}
