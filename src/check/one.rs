//! Single joints as [`check`](super::check) measures them, with their pivot anywhere.

use super::at_rest::ranks;
use super::finding::Range;
use super::joint::{Hidden, Joint};
use super::limb::{Rest, SCALE};
use super::turns::{Turning, at_rest, hidden, joint, middle, seam_of};
use crate::cast::PartId;
use crate::geom::Point;
use crate::pose::ResolvedPose;
use crate::solve::Puppet;

/// A view's joints.
pub struct Joints<'a> {
    /// As a check looks at them.
    rest: Rest<'a>,
    /// The same finer.
    fine: Rest<'a>,
}

impl<'a> Joints<'a> {
    /// Of a puppet at rest; `fine` is the pixels to the unit that outlines are flattened for in
    /// [`Joints::from_middle`]. `None` when its rest contradicts itself.
    #[must_use]
    pub fn new(puppet: &'a Puppet, fine: f64) -> Option<Self> {
        let rank = ranks(puppet, &ResolvedPose::rest(puppet.0.view()))?;
        Some(Self {
            rest: Rest::new(puppet, rank.clone(), SCALE),
            fine: Rest::new(puppet, rank, fine),
        })
    }

    /// For each part its place in the depth order at rest.
    #[must_use]
    pub fn rank(&self) -> &[usize] {
        &self.rest.rank
    }

    /// The joint of two parts, parent and child, seen from the middle of what they share and not from a pivot:
    /// the same wherever that is. With it whose outline is hidden. `None` when the parts share nothing.
    #[must_use]
    pub fn from_middle(&self, joined: [PartId; 2]) -> Option<(Joint, Hidden)> {
        let [parent, child] = joined;
        let rest = &self.fine;
        let (p, c) = (rest.limb(parent)?, rest.limb(child)?);
        let from = middle(&p.silhouette, &c.silhouette)?.centre;
        let seam = seam_of(rest, parent, child).map(|(_, s)| s);
        let hidden = hidden(seam, &rest.rank, parent, child);
        let made = joint(rest, joined, from, Some(from), hidden, &rest.rank)?;
        Some((made, hidden))
    }

    /// How far a point is outside what two parts share, units; endless when they share nothing.
    #[must_use]
    pub fn outside(&self, [parent, child]: [PartId; 2], at: Point) -> f64 {
        let (Some(p), Some(c)) = (self.rest.limb(parent), self.rest.limb(child)) else {
            return f64::INFINITY;
        };
        p.silhouette.intersection(&c.silhouette).distance(at)
    }

    /// What a check would tell of the joint of two parts, parent and child, that `turns` bends within `limits`,
    /// with the pivot at a point; and the joint that it measures.
    #[must_use]
    pub fn range(
        &self,
        turns: PartId,
        joined: [PartId; 2],
        limits: [f64; 2],
        pivot: Point,
    ) -> Option<(Range, Joint)> {
        let [parent, child] = joined;
        let turning = Turning {
            rest: &self.rest,
            parent,
            child,
            turns,
            limits,
            joint: at_rest(&self.rest, joined, pivot)?,
        };
        let range = turning.range(&mut Vec::new());
        Some((range, turning.joint))
    }
}
