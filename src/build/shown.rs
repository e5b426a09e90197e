//! The poses that sheets of a kind show, and what of them.

use crate::build::section::MemberView;
use crate::cast::{Chart, Crop, ListSheet, NameId, PartId, Pose, PoseEntry, SheetKind};

/// The crop that expressions are shown in, where a view has it.
const HEAD: &str = "head";
/// The chart of the rig's expressions, which every member has that has some.
pub(super) const EXPRESSIONS: &str = crate::cast::EXPRESSIONS;

/// The rig as it is drawn.
pub(super) fn rest(name: &str) -> Pose {
    Pose {
        name: name.into(),
        ..Pose::rest()
    }
}

/// The poses of a sheet that no list has as they are. `sheet` is what a list says of it, `poses` are those that
/// there are.
pub(super) fn shown(
    kind: SheetKind,
    model: &MemberView,
    sheet: Option<&ListSheet>,
    poses: &[&Pose],
) -> Vec<Pose> {
    let own = sheet.and_then(|sheet| sheet.poses.as_ref());
    let own = own.map(|own| own.iter().map(|&at| poses[at].clone()).collect::<Vec<_>>());
    match kind {
        SheetKind::Expressions => {
            let name = sheet.and_then(|sheet| sheet.crop.as_deref());
            let of = |crop| own.unwrap_or_else(|| faces(model, crop, poses));
            crop(model, name).map_or_else(Vec::new, of)
        }
        SheetKind::Charts => charted(model, sheet.and_then(|sheet| sheet.charts.as_deref())),
        SheetKind::Colours => {
            let first = own.and_then(|own| own.into_iter().next());
            let pose = first.unwrap_or_else(|| rest("rest"));
            let palettes = model.member.palettes.iter().enumerate();
            let palettes = palettes.map(|(at, palette)| Pose {
                name: palette.name.clone(),
                palette: at,
                ..pose.clone()
            });
            palettes.collect()
        }
        _ => {
            let first = own.and_then(|own| own.into_iter().next());
            vec![first.unwrap_or_else(|| rest("rest"))]
        }
    }
}

/// The charts of a view with these names; without names those that it declares, else one of all parts
/// with replacements; then one of expressions.
pub(super) fn charts(model: &MemberView, names: Option<&[String]>) -> Vec<Chart> {
    let declared = &model.view().guides.charts;
    let worn = Chart {
        name: EXPRESSIONS.to_owned(),
        parts: Vec::new(),
        crop: None,
    };
    let is_own = declared.iter().any(|chart| chart.name == EXPRESSIONS);
    let worn = (!is_own && !expressions(model).is_empty()).then_some(worn);
    if let Some(names) = names {
        let all = || declared.iter().chain(&worn);
        let named = names
            .iter()
            .filter_map(|name| all().find(|chart| &chart.name == name));
        return named.cloned().collect();
    }
    let mut all = if declared.is_empty() {
        replaced(model)
    } else {
        declared.clone()
    };
    all.extend(worn);
    all
}

/// The expressions that say something of a view's parts.
pub(super) fn expressions(model: &MemberView) -> Vec<Pose> {
    let view = model.view();
    let all = model.member.expressions.values();
    let seen = all.filter(|pose| {
        let pose = pose.in_view(view.name.as_deref());
        let mut parts = pose.entries().map(|(_, part, ..)| part);
        parts.any(|part| view.part(part).is_some())
    });
    seen.cloned().collect()
}

/// A chart of all parts with replacements.
fn replaced(model: &MemberView) -> Vec<Chart> {
    let view = model.view();
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
fn charted(model: &MemberView, names: Option<&[String]>) -> Vec<Pose> {
    let mut poses = Vec::new();
    for chart in charts(model, names) {
        if chart.parts.is_empty() {
            poses.extend(expressions(model));
        }
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
pub(super) fn crop<'a>(model: &'a MemberView, name: Option<&str>) -> Option<&'a Crop> {
    let crops = &model.view().guides.crops;
    let named = crops.iter().find(|crop| crop.name == name.unwrap_or(HEAD));
    named.or(match &crops[..] {
        [only] if name.is_none() => Some(only),
        _ => None,
    })
}

/// Those of the poses that change nothing but what the crop's part carries.
fn faces(model: &MemberView, crop: &Crop, poses: &[&Pose]) -> Vec<Pose> {
    let view = model.view();
    let on_head = |name: NameId| view.by_name[name.at()].is_none_or(|p| view.carries(crop.part, p));
    let plain = |pose: &&&Pose| {
        // What only changes depth is still a face.
        let mut said = pose.entries().filter(|(table, ..)| *table != "depth");
        pose.palette == 0 && !pose.mirror && said.all(|(_, part, ..)| on_head(part))
    };
    let found: Vec<Pose> = poses.iter().filter(plain).map(|p| (*p).clone()).collect();
    // A list of poses without a face in it has only its rest pose left.
    if found.len() < 2 { Vec::new() } else { found }
}
