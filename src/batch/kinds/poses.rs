//! The poses that sheets of a kind show.

use crate::batch::plan::{Model, Plan, Section};
use crate::cast::{Chart, Crop, Member, PartId, Pose, Said};
use crate::diag::{SourceId, Span};

/// The crop that expressions are shown in, where a view has it.
const HEAD: &str = "head";

/// The place of what no file says.
const NOWHERE: Span = Span {
    source: SourceId(0),
    start: 0,
    end: 0,
};

/// The rig as it is drawn.
pub(super) fn rest(name: &str) -> Pose {
    Pose {
        name: name.into(),
        span: NOWHERE,
        note: None,
        turn: Vec::new(),
        shift: Vec::new(),
        scale: Vec::new(),
        skew: Vec::new(),
        depth: Vec::new(),
        sides: Vec::new(),
        replace: Vec::new(),
        palette: 0,
        mirror: false,
        compare: crate::cast::CompareSettings::default(),
    }
}

pub(super) fn palettes(member: &Member) -> Vec<Pose> {
    let count = member.palettes.len();
    (0..count)
        .map(|palette| Pose {
            palette,
            ..rest(&member.palettes[palette].name)
        })
        .collect()
}

/// The charts of a view: those that it declares, else one of all parts with replacements.
pub(super) fn charts(model: &Model) -> Vec<Chart> {
    let view = model.view();
    if !view.guides.charts.is_empty() {
        return view.guides.charts.clone();
    }
    let parts: Vec<PartId> = (0..view.parts.len())
        .filter(|&at| !view.parts[at].replacements.is_empty())
        .map(|at| PartId(u32::try_from(at).unwrap_or(u32::MAX)))
        .collect();
    if parts.is_empty() {
        return Vec::new();
    }
    vec![Chart {
        name: "replacements".into(),
        span: NOWHERE,
        parts,
        crop: None,
    }]
}

/// What a chart shows of a part: its own drawing, then its replacements.
pub(super) fn drawings(model: &Model, part: PartId) -> Vec<String> {
    let part = &model.view().parts[part.at()];
    let own = (part.art != crate::cast::Drawing::Empty).then(|| "art".to_owned());
    own.into_iter()
        .chain(part.replacements.keys().cloned())
        .collect()
}

pub(super) fn charted(model: &Model) -> Vec<Pose> {
    let mut poses = Vec::new();
    for chart in charts(model) {
        for &part in &chart.parts {
            let name = model.view().parts[part.at()].name;
            for drawing in drawings(model, part) {
                let shown = format!("{}.{drawing}", model.member.names[name.at()]);
                let mut pose = rest(&shown);
                pose.replace.push(Said {
                    part: name,
                    value: drawing,
                    span: NOWHERE,
                });
                poses.push(pose);
            }
        }
    }
    poses
}

/// The crop for expressions: the one called `head`, else the view's only one.
pub(super) fn head(model: &Model) -> Option<&Crop> {
    let crops = &model.view().guides.crops;
    let named = crops.iter().find(|crop| crop.name == HEAD);
    named.or(match &crops[..] {
        [only] => Some(only),
        _ => None,
    })
}

/// Poses of the plan's lists that change nothing but what the head's part carries.
pub(super) fn expressions(plan: &Plan, lists: &[Section], model: usize) -> Vec<Pose> {
    let of = &plan.models[model];
    let Some(crop) = head(of) else {
        return Vec::new();
    };
    let view = of.view();
    let carried = |mut at: PartId| loop {
        if at == crop.part {
            break true;
        }
        match view.parts[at.at()].parent {
            Some(up) => at = up,
            None => break false,
        }
    };
    let on_head = |name: crate::cast::NameId| view.by_name[name.at()].is_none_or(&carried);
    let mut found: Vec<Pose> = Vec::new();
    for section in lists.iter().filter(|section| section.model == model) {
        for pose in section.poses() {
            let parts = (pose.turn.iter().map(|s| s.part))
                .chain(pose.shift.iter().map(|s| s.part))
                .chain(pose.scale.iter().map(|s| s.part))
                .chain(pose.skew.iter().map(|s| s.part))
                .chain(pose.replace.iter().map(|s| s.part))
                .chain(pose.sides.iter().map(|s| s.part));
            let plain = pose.palette == 0 && !pose.mirror;
            if plain && parts.into_iter().all(on_head) {
                found.push(pose.clone());
            }
        }
    }
    // A list of poses without a face in it has only its rest pose left.
    if found.len() < 2 { Vec::new() } else { found }
}
