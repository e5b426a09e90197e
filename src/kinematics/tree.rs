//! Where each part goes: pivots, hierarchy, settings.

use super::Form;
use crate::cast::{Part, PartId, Setting, View};
use crate::geom::{Affine, Point};
use crate::pose::PartPose;

impl Setting {
    /// The part's own transform about a pivot: scale, then skew, then turn, then move. Stretch is no part of it: see
    /// [`Form`].
    #[must_use]
    pub fn about(&self, pivot: Point) -> Affine {
        let linear = self.linear();
        Affine::translate([pivot[0] + self.shift[0], pivot[1] + self.shift[1]])
            .after(linear)
            .after(Affine::translate([-pivot[0], -pivot[1]]))
    }

    /// Where it puts art on the canvas: turned, skewed and scaled about the origin, then moved.
    #[must_use]
    pub fn in_place(&self) -> Affine {
        Affine::translate(self.shift).after(self.linear())
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
pub fn parents_first(parts: &[Part]) -> Vec<PartId> {
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

/// Where a part goes: its form is taken in its own frame, then all of it is placed.
#[derive(Clone, Debug, PartialEq)]
pub struct Placed {
    /// From the rest canvas to the posed one.
    pub world: Affine,
    /// `None` for that as drawn.
    pub form: Option<Form>,
}

impl Placed {
    /// Where a point of what the part shows goes, from the rest canvas to the posed one.
    #[must_use]
    pub fn apply(&self, p: Point) -> Point {
        let formed = self.form.as_ref().map_or(p, |form| form.apply(p));
        self.world.apply(formed)
    }
}

/// Where each part goes, `root` applied last. A part rides on the deformed place of its pivot, and is not deformed by
/// what carries it, unless it is worn on that.
#[must_use]
pub fn placed(view: &View, order: &[PartId], poses: &[PartPose], root: Affine) -> Vec<Placed> {
    let plain = Placed {
        world: root,
        form: None,
    };
    let mut all = vec![plain; view.parts.len()];
    for &id in order {
        let carrier = view.parts[id.at()].parent;
        let carried = carrier.map(|carrier| &all[carrier.at()]);
        all[id.at()] = carried_by(view, poses, id, carried, root);
    }
    all
}

/// The same for one part, without a root.
#[must_use]
pub fn placed_of(view: &View, poses: &[PartPose], part: PartId) -> Placed {
    let chain: Vec<PartId> = view.upwards(part).collect();
    let step = |carried: Option<Placed>, &id: &PartId| {
        Some(carried_by(
            view,
            poses,
            id,
            carried.as_ref(),
            Affine::IDENTITY,
        ))
    };
    let found = chain.iter().rev().fold(None, step);
    found.unwrap_or(Placed {
        world: Affine::IDENTITY,
        form: None,
    })
}

fn carried_by(
    view: &View,
    poses: &[PartPose],
    id: PartId,
    carried: Option<&Placed>,
    root: Affine,
) -> Placed {
    let (part, setting) = (&view.parts[id.at()], &poses[id.at()].setting);
    let mut own = setting.about(part.pivot);
    let mut form = Form::of(part, setting);
    if let (Some(carrier), Some(over)) = (part.parent, carried.and_then(|c| c.form.as_ref())) {
        let by = over.shift(part.pivot);
        own = Affine::translate(by).after(own);
        if is_worn_on(view, id, carrier) {
            form = Some(over.after(form).moved_by(by.map(|v| -v)));
        }
    }
    Placed {
        world: carried.map_or(root, |c| c.world).after(own),
        form,
    }
}

/// Whether a part is worn on another, or on what that is worn on.
fn is_worn_on(view: &View, part: PartId, carrier: PartId) -> bool {
    let garment = |part: PartId| view.garments.iter().find(|garment| garment.part == part);
    garment(part).is_some_and(|own| own.on.contains(&carrier) || garment(carrier).is_some())
}
