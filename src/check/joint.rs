//! Two parts that turn about a pivot, as plain geometry: what comes out and what opens.
//!
//! Everything is kept in the frame of its own part on the rest canvas; an angle and a pivot only
//! transform points. So a measure costs little enough for a search over pivots.

use std::sync::OnceLock;

use super::stretch::{Stretch, TOUCH, beyond, furthest, stretch, way_beyond, width};
use super::walk::Walk;
use crate::geom::{
    Affine, Circle, Edges, Point, Region, Room, Wall, largest_clear, sin_cos_degrees,
};

/// Whose outline a joint hides: that of the part behind, and that which a seam opens.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Hidden {
    /// The parent's.
    pub parent: bool,
    /// The child's.
    pub child: bool,
}

impl Hidden {
    /// Both.
    pub const BOTH: Self = Self {
        parent: true,
        child: true,
    };
}

/// How far an outline that is hidden at rest comes out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Jut {
    /// The furthest that it gets from the other part, units; 0 when all stays inside.
    pub reach: f64,
    /// Where, on the canvas with the parent at rest.
    pub at: Point,
    /// True when it is the child's outline.
    pub of_child: bool,
}

/// Daylight that opens.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gap {
    /// Square units.
    pub area: f64,
    /// Diameter of the largest circle in it, units.
    pub width: f64,
    /// The circle's centre, on the canvas with the parent at rest.
    pub at: Point,
}

impl Gap {
    const NONE: Self = Self {
        area: 0.0,
        width: 0.0,
        at: [0.0, 0.0],
    };
}

/// One of the two parts.
#[derive(Clone, Debug)]
pub(super) struct Side {
    /// What it covers, as far as the joint can reach.
    pub body: Region,
    /// Its edges.
    pub edges: Edges,
    /// The part of it beyond the joint that the other part hides at rest.
    tail: Region,
    /// The stretch of its outline that the other part hides at rest.
    stretch: Stretch,
    /// The way beyond the joint, of length one.
    pub way: Point,
}

/// Two parts at rest and the pivot that the second turns about.
#[derive(Clone, Debug)]
pub struct Joint {
    /// Where the rig has the pivot, canvas units.
    pub pivot: Point,
    /// Width of the limb at the joint, units.
    pub width: f64,
    /// How far the pivot is from the middle of that width, units.
    pub off: f64,
    /// Radius of the joint's disc: the largest about the pivot that both parts cover at rest, at most
    /// somewhat more than half the limb's width.
    pub disc: f64,
    pub(super) parent: Side,
    pub(super) child: Side,
    /// What both parts cover at rest, near the joint.
    covered: Region,
    /// The joint's disc less the parent: what the child alone covers.
    open: Region,
    /// What other parts hide.
    pub(super) cover: Covers,
    /// The edges of where daylight is seen, and of what the child and what it carries hide, once they are asked
    /// for.
    seen: OnceLock<[Edges; 2]>,
    /// The child's outline, once kinks are asked for.
    pub(super) walk: OnceLock<Walk>,
}

/// What other parts hide near a joint, on the rest canvas.
#[derive(Clone, Debug, Default)]
pub struct Cover {
    /// Parts that stay with the parent.
    pub still: Region,
    /// Parts that the child carries.
    pub carried: Region,
}

/// What other parts hide of a joint.
#[derive(Clone, Debug, Default)]
pub struct Covers {
    /// Of the parent's outline.
    pub parent: Cover,
    /// Of the child's outline.
    pub child: Cover,
    /// Of daylight between them.
    pub daylight: Cover,
}

impl Joint {
    /// From what each part covers (ink and paint) on the rest canvas. `None` when the parts do not
    /// meet, or the limb has no width at the pivot.
    #[must_use]
    pub fn new(parent: &Region, child: &Region, pivot: Point, hidden: Hidden) -> Option<Self> {
        if parent.is_empty() || child.is_empty() {
            return None;
        }
        let all = parent.union(child);
        let (width, off) = width(parent, child, &all, pivot)?;
        let overlap = parent.intersection(child);
        let tail_of = |own: &Region| {
            let beyond = beyond(own, pivot)?;
            Some(overlap.intersection(&beyond))
        };
        let (tail_p, tail_c) = (tail_of(parent)?, tail_of(child)?);
        let far = tail_p.reach(pivot).max(tail_c.reach(pivot)).max(width);
        // The nearest edge to a point that came out is no further than the point itself.
        let near = Region::disc(pivot, 3.0 * far + 2.0 * width, width / 50.0);
        let (body_p, body_c) = (parent.intersection(&near), child.intersection(&near));
        let (edges_p, edges_c) = (Edges::new(&body_p), Edges::new(&body_c));
        let stretch = |own: &Region, other: &Edges, shown: bool| {
            let shown = shown.then(|| stretch(own, other, pivot, width));
            Stretch::new(shown.unwrap_or_default())
        };
        let stretch_p = stretch(&body_p, &edges_c, hidden.parent);
        let stretch_c = stretch(&body_c, &edges_p, hidden.child);
        let covered = all.intersection(&near);
        let inner = if covered.contains(pivot) {
            covered.distance_to_edge(pivot)
        } else {
            0.0
        };
        let disc = (inner - TOUCH).clamp(0.0, 0.6 * width);
        let side = |body, edges, tail, stretch| Side {
            way: way_beyond(&body, pivot).unwrap_or([0.0, 0.0]),
            body,
            edges,
            tail,
            stretch,
        };
        let mut joint = Self {
            pivot,
            width,
            off,
            disc,
            parent: side(body_p, edges_p, tail_p, stretch_p),
            child: side(body_c, edges_c, tail_c, stretch_c),
            covered,
            open: Region::empty(),
            cover: Covers::default(),
            seen: OnceLock::new(),
            walk: OnceLock::new(),
        };
        joint.open = joint.open(pivot);
        Some(joint)
    }

    /// The same joint with another stretch in place of the child's tail, in the rest canvas: for
    /// questions about a part of a limb chosen by hand.
    #[must_use]
    pub fn with_child_tail(mut self, tail: Region) -> Self {
        self.child.tail = tail;
        self
    }

    /// The same joint among other parts: what comes out or opens under them is not seen.
    #[must_use]
    pub fn with_cover(mut self, cover: Covers) -> Self {
        self.cover = cover;
        self.seen = OnceLock::new();
        self
    }

    /// The same joint with its pivot elsewhere: what the parts hide at rest stays what it is.
    #[must_use]
    pub fn with_pivot(mut self, pivot: Point) -> Self {
        self.pivot = pivot;
        self.open = self.open(pivot);
        self
    }

    /// How far from the pivot the outline that is hidden at rest goes, units; 0 when none is.
    #[must_use]
    pub fn hidden_reach(&self) -> f64 {
        let mut far2 = 0.0_f64;
        let points = self.parent.stretch.points.iter();
        for p in points.chain(&self.child.stretch.points) {
            let (dx, dy) = (p[0] - self.pivot[0], p[1] - self.pivot[1]);
            far2 = far2.max(dx * dx + dy * dy);
        }
        libm::sqrt(far2)
    }

    /// Parent and child: what each covers near the joint, and the points of its outline that are hidden at
    /// rest, all on the rest canvas.
    #[must_use]
    pub fn sides(&self) -> [(&Region, &[Point]); 2] {
        [&self.parent, &self.child].map(|side| (&side.body, side.stretch.points.as_slice()))
    }

    /// What the child's transform is at an angle, degrees, about a pivot: from the rest canvas to the
    /// canvas on which the parent rests.
    #[must_use]
    pub fn turned(angle: f64, pivot: Point) -> Affine {
        let (sin, cos) = sin_cos_degrees(angle);
        Affine {
            a: cos,
            b: sin,
            c: -sin,
            d: cos,
            e: pivot[0] - cos * pivot[0] + sin * pivot[1],
            f: pivot[1] - sin * pivot[0] - cos * pivot[1],
        }
    }

    /// How far hidden outline comes out at an angle, degrees, about a pivot.
    #[must_use]
    pub fn jut(&self, angle: f64, pivot: Point) -> Jut {
        self.jut_over(angle, pivot, 0.0)
    }

    /// [`Joint::jut`] where that is more than `least`; `least` at any place otherwise, which takes less time
    /// to tell.
    #[must_use]
    pub fn jut_over(&self, angle: f64, pivot: Point, least: f64) -> Jut {
        let turn = Self::turned(angle, pivot);
        let back = Self::turned(-angle, pivot);
        let cover = &self.cover;
        let (of_child, of_parent) = (&self.child.stretch, &self.parent.stretch);
        let (child, child_at) = furthest(of_child, &turn, &self.parent.edges, least, |p, own| {
            cover.child.still.contains(p) || cover.child.carried.contains(own)
        });
        // Of equals the child's counts; the parent's has to be further.
        let (parent, parent_at) = furthest(of_parent, &back, &self.child.edges, child, |p, own| {
            cover.parent.still.contains(own) || cover.parent.carried.contains(p)
        });
        if child >= parent {
            Jut {
                reach: child,
                at: child_at,
                of_child: true,
            }
        } else {
            Jut {
                reach: parent,
                at: turn.apply(parent_at),
                of_child: false,
            }
        }
    }

    /// The ink of one part that stands inside what shows of the other, with the child turned about the
    /// pivot: `ink` runs along the edge of one, `inner` is the other's paint less such ink.
    #[must_use]
    pub fn standing(&self, ink: &Region, inner: &Region, of_child: bool, angle: f64) -> Region {
        let turn = Self::turned(angle, self.pivot);
        if of_child {
            ink.transformed(&turn).intersection(inner)
        } else {
            ink.intersection(&inner.transformed(&turn))
        }
    }

    /// Area of the child's hidden end outside the parent, square units.
    #[must_use]
    pub fn jut_area(&self, angle: f64, pivot: Point) -> f64 {
        let turned = self.child.tail.transformed(&Self::turned(angle, pivot));
        turned.difference(&self.parent.body).area()
    }

    /// Area of the parent's hidden end outside the child, square units.
    #[must_use]
    pub fn jut_area_of_parent(&self, angle: f64, pivot: Point) -> f64 {
        let turned = self.parent.tail.transformed(&Self::turned(-angle, pivot));
        turned.difference(&self.child.body).area()
    }

    /// Daylight in the joint's disc about a pivot at an angle, degrees: what the parts cover at rest
    /// and do not cover then.
    #[must_use]
    pub fn gap(&self, angle: f64, pivot: Point) -> Gap {
        let daylight = self.daylight(angle, pivot);
        let area = daylight.area();
        if area < 1e-6 * self.width * self.width {
            return Gap::NONE;
        }
        // The circle need not be finer than what a person sees.
        daylight
            .inscribed_circle(self.width * 2e-4)
            .map_or(Gap::NONE, |circle| Gap {
                area,
                width: 2.0 * circle.radius,
                at: circle.centre,
            })
    }

    /// The largest circle in the daylight: what [`Joint::gap`] finds, without the daylight itself, and as
    /// closely as is asked.
    #[must_use]
    pub fn opening(&self, angle: f64, pivot: Point, room: Room) -> Option<Circle> {
        // What both cover at rest stays covered there.
        if self.disc <= 0.0 || angle == 0.0 {
            return None;
        }
        let [seen, child] = self.seen.get_or_init(|| {
            let Cover { still, carried } = &self.cover.daylight;
            let seen = Edges::new(&self.covered.difference(still));
            let child = if carried.is_empty() {
                self.child.edges.clone()
            } else {
                Edges::new(&self.child.body.union(carried))
            };
            [seen, child]
        });
        let still = |edges, inside| Wall {
            edges,
            to: Affine::IDENTITY,
            back: Affine::IDENTITY,
            inside,
        };
        let child = Wall {
            to: Self::turned(-angle, pivot),
            back: Self::turned(angle, pivot),
            ..still(child, false)
        };
        let disc = Circle {
            centre: pivot,
            radius: self.disc,
        };
        let walls = [still(&self.parent.edges, false), child, still(seen, true)];
        largest_clear(disc, &walls, room)
    }

    /// The daylight itself, on the canvas with the parent at rest.
    #[must_use]
    pub fn daylight(&self, angle: f64, pivot: Point) -> Region {
        let own;
        let open = if pivot == self.pivot {
            &self.open
        } else {
            own = self.open(pivot);
            &own
        };
        if open.is_empty() {
            return Region::empty();
        }
        let turn = Self::turned(angle, pivot);
        let Cover { still, carried } = &self.cover.daylight;
        let mut left = open.difference(&self.child.body.transformed(&turn));
        if !left.is_empty() && !still.is_empty() {
            left = left.difference(still);
        }
        if !left.is_empty() && !carried.is_empty() {
            left = left.difference(&carried.transformed(&turn));
        }
        left
    }

    fn open(&self, pivot: Point) -> Region {
        if self.disc <= 0.0 {
            return Region::empty();
        }
        let disc = Region::disc(pivot, self.disc, self.disc * 1e-4);
        disc.intersection(&self.covered)
            .difference(&self.parent.body)
    }
}
