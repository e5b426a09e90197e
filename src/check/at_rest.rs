//! The pose in which a rig is drawn, with some joints turned, and findings in it.

use super::finding::{Finding, around};
use super::limb::Rest;
use super::order::Order;
use crate::cast::{Measure, PartId, Pose, PoseEntry};
use crate::diag::Span;
use crate::geom::{Circle, Region};
use crate::solve::Puppet;

/// For each part its place in a pose's depth order; `None` for a pose that contradicts itself.
pub(super) fn ranks(puppet: &Puppet, pose: &Pose) -> Option<Vec<usize>> {
    let order = puppet.depth_order(pose).ok()?;
    let mut rank = vec![0; order.len()];
    for (at, part) in order.iter().enumerate() {
        rank[part.at()] = at;
    }
    Some(rank)
}

/// The rest pose.
pub(super) fn rest_pose(span: Span) -> Pose {
    Pose {
        name: "rest".to_owned(),
        ..Pose::rest(span)
    }
}

/// The rest pose with some joints turned, and the depths of a pose.
pub(super) fn posed(rest: &Rest<'_>, turns: &[(PartId, f64)], order: Option<&Order>) -> Pose {
    let parts = &rest.view().parts;
    let mut pose = rest_pose(parts[0].span);
    pose.turn = turns
        .iter()
        .map(|&(part, value)| PoseEntry {
            part: parts[part.at()].name,
            value,
            span: parts[part.at()].span,
        })
        .collect();
    if let Some(order) = order {
        pose.depth.clone_from(&order.depth);
        pose.sides.clone_from(&order.sides);
    }
    pose
}

/// A finding at rest, if the value is beyond the limits of the first part.
#[expect(clippy::too_many_arguments, reason = "the fields of a finding")]
pub(super) fn judged(
    rest: &Rest<'_>,
    measure: Measure,
    parts: &[PartId],
    value: f64,
    span: Span,
    place: Option<Circle>,
    message: String,
    hint: String,
) -> Option<Finding> {
    let (severity, limit) = rest.judge(parts[0], measure, value)?;
    Some(Finding {
        measure,
        severity,
        parts: parts.iter().map(|&p| rest.name(p)).collect(),
        turns: Vec::new(),
        order: None,
        value,
        limit,
        message,
        hint,
        span,
        place,
        pose: posed(rest, &[], None),
    })
}

pub(super) fn circle(region: &Region) -> Option<Circle> {
    let b = region.bounds()?;
    let centre = [(b[0] + b[2]) / 2.0, (b[1] + b[3]) / 2.0];
    Some(around(centre, region.reach(centre).max(8.0)))
}

pub(super) fn silhouettes(rest: &Rest<'_>, of: &[PartId]) -> Region {
    let all: Vec<&Region> = of
        .iter()
        .filter_map(|&p| rest.limb(p).map(|l| &l.silhouette))
        .collect();
    Region::union_all(all)
}
