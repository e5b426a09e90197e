//! What poses do that the rig does not allow for: turns beyond limits, art moved out of where it belongs.

use super::at_rest::circle;
use super::finding::{Finding, around};
use super::limb::Rest;
use super::listed::ListedPose;
use crate::cast::{Measure, PartId, Setting};
use crate::geom::{Affine, Region};
use crate::pose::{ResolvedPose, Told};

/// A part with at least this share inside another lies in it.
const INSIDE: f64 = 0.6;
/// What is this many times as large is no frame, but a body that things lie on.
const FRAME: f64 = 8.0;

/// Checks the poses of lists.
pub(super) fn check(rest: &Rest<'_>, poses: &[ListedPose<'_>]) -> Vec<Finding> {
    let mut found = Vec::new();
    for part in rest.view().ids() {
        found.extend(over(rest, part, poses));
        found.extend(apart(rest, part, poses));
        found.extend(spill(rest, part, poses));
    }
    found
}

/// The pose that turns a joint furthest beyond its limits.
fn over(rest: &Rest<'_>, part: PartId, poses: &[ListedPose<'_>]) -> Option<Finding> {
    let own = rest.model().part(part);
    let [least, most] = own.limits?;
    let turns = poses.iter().filter_map(|listed| {
        let said = listed.written.turn.iter().find(|t| t.part == own.name);
        let turn = listed.pose.parts[part.at()].setting.turn;
        // Rest, which limits may leave out, is nobody's doing.
        let is_asked = said.is_some() || turn != 0.0;
        let span = said.and_then(|t| t.span).or(listed.written.span);
        is_asked.then_some((turn, span, listed))
    });
    let beyond = |angle: f64| (least - angle).max(angle - most);
    let (angle, span, listed) = turns.max_by(|a, b| beyond(a.0).total_cmp(&beyond(b.0)))?;
    let (severity, limit) = rest.judge(part, Measure::Over, beyond(angle))?;
    let name = rest.name(part);
    Some(Finding {
        measure: Measure::Over,
        severity,
        message: format!(
            "pose {} turns {name} to {} degrees, {:.1} beyond its limits ({least} to {most})",
            listed.name(),
            (angle * 10.0).round() / 10.0,
            beyond(angle),
        ),
        hint: format!("turn {name} less, or widen its limits and check what shows"),
        parts: vec![name.clone()],
        turns: vec![(name, angle)],
        order: Some(listed.name()),
        value: beyond(angle),
        limit,
        span,
        place: place(rest, part, &listed.pose),
        pose: listed.pose.clone(),
    })
}

/// The pose in which the end of a limb is farthest from where it should be.
fn apart(rest: &Rest<'_>, part: PartId, poses: &[ListedPose<'_>]) -> Option<Finding> {
    let all = poses.iter().flat_map(|listed| {
        let own = listed.notes.iter().filter(|note| note.part == part);
        own.filter_map(move |note| match note.told {
            Told::OutOfReach(left) => Some((left, note.span, listed)),
            _ => None,
        })
    });
    let (left, span, listed) = all.max_by(|a, b| a.0.total_cmp(&b.0))?;
    let (severity, limit) = rest.judge(part, Measure::Reach, left)?;
    let name = rest.name(part);
    Some(Finding {
        measure: Measure::Reach,
        severity,
        message: format!(
            "{name} ends {left:.1} units from where pose {} says it goes",
            listed.name()
        ),
        hint: "move what carries it or what it goes to, widen limits, or allow it some \"stretch\""
            .to_owned(),
        parts: vec![name],
        turns: Vec::new(),
        order: Some(listed.name()),
        value: left,
        limit,
        span: span.or(listed.written.span),
        place: place(rest, part, &listed.pose),
        pose: listed.pose.clone(),
    })
}

/// Where a joint is in a pose.
fn place(rest: &Rest<'_>, part: PartId, pose: &ResolvedPose) -> Option<crate::geom::Circle> {
    let figure = rest.puppet.solve(pose).ok()?;
    let limb = rest.limb(part)?;
    let pivot = rest.pivot(part);
    let radius = (limb.silhouette.reach(pivot) * 0.6).max(20.0);
    Some(around(figure.world(part).apply(pivot), radius))
}

/// Art that lies in other art at rest, is moved by poses, and has no mask to keep it there.
fn spill(rest: &Rest<'_>, part: PartId, poses: &[ListedPose<'_>]) -> Option<Finding> {
    let view = rest.view();
    let own = rest.model().part(part);
    if view.masks.iter().any(|m| m.part == part) || rest.worn(part) {
        return None;
    }
    let moved = |listed: &&ListedPose<'_>| {
        let Setting { shift, scale, .. } = listed.pose.parts[part.at()].setting;
        [shift, scale] != [Setting::REST.shift, Setting::REST.scale]
    };
    if !poses.iter().any(|listed| moved(&listed)) {
        return None;
    }
    let limb = rest.limb(part)?;
    let area = limb.silhouette.area();
    let frame = view
        .ids()
        .filter(|&other| other != part && rest.model().part(other).parent == own.parent)
        .filter(|&other| rest.rank[other.at()] < rest.rank[part.at()])
        // What lies behind the part that carries both is not seen around anything.
        .filter(|&other| {
            own.parent
                .is_none_or(|p| rest.rank[other.at()] > rest.rank[p.at()])
        })
        .filter_map(|other| Some((other, rest.limb(other)?)))
        .filter(|(_, l)| l.silhouette.area() < FRAME * area)
        .filter(|(_, l)| l.silhouette.intersection(&limb.silhouette).area() >= INSIDE * area)
        .max_by_key(|(other, _)| rest.rank[other.at()])?;
    let mut worst: Option<(f64, Region, &ListedPose<'_>)> = None;
    for listed in poses.iter().filter(moved) {
        let set = |part: PartId| setting(rest, part, &listed.pose);
        let there = limb.silhouette.transformed(&set(part));
        let out = there.difference(&frame.1.silhouette.transformed(&set(frame.0)));
        let share = 100.0 * out.area() / there.area();
        if worst.as_ref().is_none_or(|w| share > w.0) {
            worst = Some((share, out, listed));
        }
    }
    let (share, out, listed) = worst?;
    let (severity, limit) = rest.judge(part, Measure::Spill, share)?;
    let names = [part, frame.0].map(|p| rest.name(p));
    let figure = rest.puppet.solve(&listed.pose).ok()?;
    let carried = own.parent.map_or(Affine::IDENTITY, |p| figure.world(p));
    let out = out.transformed(&carried);
    Some(Finding {
        measure: Measure::Spill,
        severity,
        message: format!(
            "{share:.0} % of {} shows outside {} in pose {}, and no mask keeps it inside",
            names[0],
            names[1],
            listed.name()
        ),
        hint: format!(
            "write a [mask.*] with part = \"{}\", keep = \"inside\" and of = [\"{}\"]",
            names[0], names[1]
        ),
        parts: names.to_vec(),
        turns: Vec::new(),
        order: Some(listed.name()),
        value: share,
        limit,
        span: Some(own.span),
        place: circle(&out),
        pose: listed.pose.clone(),
    })
}

/// How a pose moves and scales a part within what carries it.
fn setting(rest: &Rest<'_>, part: PartId, pose: &ResolvedPose) -> Affine {
    let pivot = rest.pivot(part);
    let Setting { shift, scale, .. } = pose.parts[part.at()].setting;
    let scaled = Affine::translate(pivot).after(Affine::scale(scale));
    Affine::translate(shift).after(scaled.after(Affine::translate([-pivot[0], -pivot[1]])))
}
