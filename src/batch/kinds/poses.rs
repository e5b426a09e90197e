//! The poses that sheets of a kind show.

use crate::batch::plan::Plan;
use crate::batch::section::{MemberView, Section};
use crate::cast::{Chart, Crop, Member, NameId, PartId, Pose, PoseEntry};

/// The crop that expressions are shown in, where a view has it.
const HEAD: &str = "head";

/// The rig as it is drawn.
pub(in crate::batch) fn rest(name: &str) -> Pose {
    Pose {
        name: name.into(),
        ..Pose::rest()
    }
}

/// A pose in every palette.
pub(in crate::batch) fn palettes(member: &Member, pose: &Pose) -> Vec<Pose> {
    let count = member.palettes.len();
    (0..count)
        .map(|palette| Pose {
            name: member.palettes[palette].name.clone(),
            palette,
            ..pose.clone()
        })
        .collect()
}

/// The charts of a view with these names; without names those that it declares, else one of all parts
/// with replacements.
pub(super) fn charts(model: &MemberView, names: Option<&[String]>) -> Vec<Chart> {
    let view = model.view();
    if let Some(names) = names {
        let all = &view.guides.charts;
        let named = names
            .iter()
            .filter_map(|name| all.iter().find(|chart| &chart.name == name));
        return named.cloned().collect();
    }
    if !view.guides.charts.is_empty() {
        return view.guides.charts.clone();
    }
    let parts: Vec<PartId> = view
        .ids()
        .filter(|part| !view.parts[part.at()].replacements.is_empty())
        .collect();
    if parts.is_empty() {
        return Vec::new();
    }
    vec![Chart {
        name: "replacements".into(),
        parts,
        crop: None,
    }]
}

/// What a chart shows of a part: its own drawing, then its replacements.
pub(super) fn drawings(model: &MemberView, part: PartId) -> Vec<String> {
    let part = &model.view().parts[part.at()];
    let own = (part.art != crate::cast::Drawing::Empty).then(|| "art".to_owned());
    own.into_iter()
        .chain(part.replacements.keys().cloned())
        .collect()
}

/// The poses of the charts of these names, or of all.
pub(in crate::batch) fn charted(model: &MemberView, names: Option<&[String]>) -> Vec<Pose> {
    let mut poses = Vec::new();
    for chart in charts(model, names) {
        for &part in &chart.parts {
            let name = model.view().parts[part.at()].name;
            for drawing in drawings(model, part) {
                let shown = format!("{}.{drawing}", model.member.names[name.at()]);
                let mut pose = rest(&shown);
                pose.replace.push(PoseEntry {
                    part: name,
                    value: drawing,
                    span: None,
                });
                poses.push(pose);
            }
        }
    }
    poses
}

/// A view's crop of this name; without a name the one for expressions, called `head`, else the only one.
pub(in crate::batch) fn crop<'a>(model: &'a MemberView, name: Option<&str>) -> Option<&'a Crop> {
    let crops = &model.view().guides.crops;
    let named = crops.iter().find(|crop| crop.name == name.unwrap_or(HEAD));
    named.or(match &crops[..] {
        [only] if name.is_none() => Some(only),
        _ => None,
    })
}

/// Poses of the plan's lists that change nothing but what the head's part carries.
pub(super) fn expressions(plan: &Plan, lists: &[Section], model: usize) -> Vec<Pose> {
    let of = &plan.models[model];
    let Some(crop) = crop(of, None) else {
        return Vec::new();
    };
    let lists = lists.iter().filter(|section| section.model == model);
    faces(of, crop, lists.flat_map(Section::poses))
}

/// Those of the poses that change nothing but what the crop's part carries.
pub(in crate::batch) fn faces<'a>(
    model: &MemberView,
    crop: &Crop,
    poses: impl Iterator<Item = &'a Pose>,
) -> Vec<Pose> {
    let view = model.view();
    let on_head = |name: NameId| view.by_name[name.at()].is_none_or(|p| view.carries(crop.part, p));
    let plain = |pose: &&Pose| {
        // What only changes depth is still a face.
        let mut said = pose.entries().filter(|(table, ..)| *table != "depth");
        pose.palette == 0 && !pose.mirror && said.all(|(_, part, ..)| on_head(part))
    };
    let found: Vec<Pose> = poses.filter(plain).cloned().collect();
    // A list of poses without a face in it has only its rest pose left.
    if found.len() < 2 { Vec::new() } else { found }
}
