//! The pose in which a rig is drawn, with some joints turned, and findings in it.

use super::finding::{Finding, around};
use super::limb::Rest;
use super::listed::Order;
use crate::cast::{Measure, PartId};
use crate::diag::Span;
use crate::geom::{Circle, Region};
use crate::pose::ResolvedPose;
use crate::solve::Puppet;

/// For each part its place in a pose's depth order; `None` for a pose that contradicts itself.
pub(super) fn ranks(puppet: &Puppet, pose: &ResolvedPose) -> Option<Vec<usize>> {
    let order = puppet.depth_order(pose).ok()?;
    let mut rank = vec![0; order.len()];
    for (at, part) in order.iter().enumerate() {
        rank[part.at()] = at;
    }
    Some(rank)
}

/// The rest pose with some joints turned, and the depths of another.
pub(super) fn posed(
    rest: &Rest<'_>,
    turns: &[(PartId, f64)],
    order: Option<&Order>,
) -> ResolvedPose {
    let plain = || ResolvedPose::rest(rest.view());
    let mut pose = order.map_or_else(plain, |order| order.pose.clone());
    for &(part, turn) in turns {
        pose.parts[part.at()].setting.turn = turn;
    }
    pose
}

/// What may be a finding at rest.
pub(super) struct AtRest<'a> {
    pub measure: Measure,
    /// The limits are those of the first.
    pub parts: &'a [PartId],
    pub value: f64,
    pub span: Span,
    pub place: Option<Circle>,
    pub message: String,
    pub hint: String,
}

impl AtRest<'_> {
    /// The finding, if the value is beyond the limits.
    pub fn judged(self, rest: &Rest<'_>) -> Option<Finding> {
        self.turned(rest, &[])
    }

    /// The same of some joints turned.
    pub fn turned(self, rest: &Rest<'_>, turns: &[(PartId, f64)]) -> Option<Finding> {
        let (severity, limit) = rest.judge(self.parts[0], self.measure, self.value)?;
        Some(Finding {
            measure: self.measure,
            severity,
            parts: self.parts.iter().map(|&p| rest.name(p)).collect(),
            turns: turns
                .iter()
                .map(|&(p, turn)| (rest.name(p), turn))
                .collect(),
            order: None,
            value: self.value,
            limit,
            message: self.message,
            hint: self.hint,
            span: Some(self.span),
            place: self.place,
            pose: posed(rest, turns, None),
        })
    }
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
