//! Where each part goes: pivots, hierarchy, settings.

use crate::cast::{Part, PartId, Setting};
use crate::geom::{Affine, Point};
use crate::pose::PartPose;

impl Setting {
    /// The part's own transform about a pivot: scale, then skew, then turn, then move.
    #[must_use]
    pub fn about(&self, pivot: Point) -> Affine {
        let linear = self.linear();
        Affine::translate([pivot[0] + self.shift[0], pivot[1] + self.shift[1]])
            .after(linear)
            .after(Affine::translate([-pivot[0], -pivot[1]]))
    }

    /// The same without its move.
    #[must_use]
    pub fn linear(&self) -> Affine {
        let mut t = Affine::IDENTITY;
        if self.turn != 0.0 {
            t = Affine::turn(self.turn);
        }
        if self.skew != [0.0, 0.0] {
            t = t.after(Affine::skew(self.skew));
        }
        if self.scale != [1.0, 1.0] {
            t = t.after(Affine::scale(self.scale));
        }
        t
    }
}

/// The parts ordered so that each comes after its parent. Parents are known to be free of cycles.
#[must_use]
pub(crate) fn parents_first(parts: &[Part]) -> Vec<PartId> {
    let mut children: Vec<Vec<usize>> = vec![Vec::new(); parts.len()];
    let mut order = Vec::with_capacity(parts.len());
    let mut wait: Vec<usize> = Vec::new();
    for (i, part) in parts.iter().enumerate() {
        match part.parent {
            Some(p) => children[p.at()].push(i),
            None => wait.push(i),
        }
    }
    wait.reverse();
    while let Some(i) = wait.pop() {
        order.push(PartId::of(i));
        wait.extend(children[i].iter().rev());
    }
    order
}

/// For each part, the transform from the rest canvas to the posed one, `root` applied last.
#[must_use]
pub(crate) fn world(
    parts: &[Part],
    order: &[PartId],
    poses: &[PartPose],
    root: Affine,
) -> Vec<Affine> {
    let mut world = vec![root; parts.len()];
    for &id in order {
        let part = &parts[id.at()];
        let base = part.parent.map_or(root, |p| world[p.at()]);
        world[id.at()] = base.after(poses[id.at()].setting.about(part.pivot));
    }
    world
}

/// The same for one part, its carriers asked one by one; without a root.
#[must_use]
pub(crate) fn world_of(parts: &[Part], poses: &[PartPose], part: PartId) -> Affine {
    let own = |id: PartId| poses[id.at()].setting.about(parts[id.at()].pivot);
    let mut world = own(part);
    let mut above = parts[part.at()].parent;
    while let Some(id) = above {
        world = own(id).after(world);
        above = parts[id.at()].parent;
    }
    world
}
