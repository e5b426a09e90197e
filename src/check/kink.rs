//! Kinks that a turn makes in the outer contour of two parts together.
//!
//! The contour passes from one part's outline to the other's where the two outlines cross. The kink of a pass
//! is the jump k of the tangent's direction there: 0 where one outline runs on in the other. Going round with
//! the inside on the same hand, a limb has a pass from parent to child on one side and one from child to
//! parent on the other; a turn by t opens the one and closes the other. Any limb that bends by t gets a corner
//! of t on the side that closes, and none on the side that opens. So of a pass counts
//!
//! `k(t) - k(0) - (|t| if the turn closes its side, else 0)`, where that is more than 0,
//!
//! with `k(0)` the largest kink of a pass of that way in the drawing at rest. Two round ends with one centre
//! that turn about it have none at any turn: the outer side runs along one circle.

use super::joint::Joint;
use crate::geom::{Affine, Circle, Point};

/// How close the outline's points are, as a share of the limb's width.
const SPACING: f64 = 1.0 / 40.0;
/// Points that are asked about at once before each is.
const RUN: usize = 8;
/// Times that the way between two points is halved to find a pass.
const HALVINGS: u32 = 12;

/// What a turn adds to the kinks of the outer contour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Kink {
    /// Beyond what the drawing has at rest and what the turn closes, degrees; 0 when nothing is.
    pub degrees: f64,
    /// Where, on the canvas with the parent at rest.
    pub at: Point,
}

/// The child's outline near the joint.
#[derive(Clone, Debug)]
pub(super) struct Walk {
    points: Vec<Point>,
    /// Whether the outline goes straight on from a point to the next.
    goes_on: Vec<bool>,
    /// A circle about each run of points and the first of the next run.
    runs: Vec<Circle>,
    /// The largest kink at rest: from parent to child, from child to parent.
    rest: [Option<f64>; 2],
}

/// A place where the contour passes from one outline to the other.
struct Pass {
    /// True from the child's to the parent's.
    to_parent: bool,
    degrees: f64,
    at: Point,
}

impl Joint {
    /// The largest kink that a turn, degrees, about a pivot adds to the outer contour near the joint where it
    /// is seen.
    #[must_use]
    pub fn kink(&self, angle: f64, pivot: Point) -> Kink {
        let walk = self.walk.get_or_init(|| self.walk());
        let mut worst = Kink {
            degrees: 0.0,
            at: pivot,
        };
        let cover = &self.cover.daylight;
        let back = Self::turned(-angle, pivot);
        for pass in self.passes(walk, &Self::turned(angle, pivot)) {
            let closes = if pass.to_parent { angle } else { -angle };
            let Some(rest) = walk.rest[usize::from(pass.to_parent)] else {
                continue;
            };
            let degrees = pass.degrees - rest - closes.max(0.0);
            if degrees > worst.degrees
                && !cover.still.contains(pass.at)
                && !cover.carried.contains(back.apply(pass.at))
            {
                worst = Kink {
                    degrees,
                    at: pass.at,
                };
            }
        }
        worst
    }

    fn walk(&self) -> Walk {
        let mut walk = Walk {
            points: Vec::new(),
            goes_on: Vec::new(),
            runs: Vec::new(),
            rest: [None; 2],
        };
        let near = |p: Point| libm::hypot(p[0] - self.pivot[0], p[1] - self.pivot[1]) <= self.width;
        let mut last = None;
        for (a, b) in self.child.body.edges() {
            let long = libm::hypot(b[0] - a[0], b[1] - a[1]);
            let n = libm::ceil(long / (self.width * SPACING)).clamp(1.0, 1000.0);
            let mut k = 0.0;
            while k < n {
                let at = |k: f64| [a[0] + (b[0] - a[0]) * k / n, a[1] + (b[1] - a[1]) * k / n];
                let (from, to) = (at(k), if k + 1.0 < n { at(k + 1.0) } else { b });
                k += 1.0;
                if !near(from) && !near(to) {
                    continue;
                }
                if last != Some(from) {
                    walk.points.push(from);
                    walk.goes_on.push(false);
                }
                if let Some(before) = walk.goes_on.last_mut() {
                    *before = true;
                }
                walk.points.push(to);
                walk.goes_on.push(false);
                last = Some(to);
            }
        }
        let mut from = 0;
        while from < walk.points.len() {
            let run = &walk.points[from..(from + RUN + 1).min(walk.points.len())];
            let centre = run[run.len() / 2];
            let off = |p: &Point| libm::hypot(p[0] - centre[0], p[1] - centre[1]);
            let radius = run.iter().map(off).fold(0.0, f64::max);
            walk.runs.push(Circle { centre, radius });
            from += RUN;
        }
        let mut rest = [None; 2];
        for pass in self.passes(&walk, &Affine::IDENTITY) {
            let known: &mut Option<f64> = &mut rest[usize::from(pass.to_parent)];
            *known = Some(known.map_or(pass.degrees, |k| k.max(pass.degrees)));
        }
        walk.rest = rest;
        walk
    }

    /// The passes of the contour with the child's outline transformed.
    fn passes(&self, walk: &Walk, turn: &Affine) -> Vec<Pass> {
        let parent = &self.parent.edges;
        // Along a contour whose area is positive a turn of more than 0 goes to the inside.
        let same = self.child.body.signed_area() * self.parent.body.signed_area() > 0.0;
        let ahead = self.child.body.signed_area() > 0.0;
        let mut passes = Vec::new();
        for (nth, about) in walk.runs.iter().enumerate() {
            if parent.depth(turn.apply(about.centre)).abs() > about.radius {
                continue;
            }
            let from = nth * RUN;
            let to = (from + RUN).min(walk.points.len() - 1);
            let mut a = turn.apply(walk.points[from]);
            let mut in_a = parent.contains(a);
            for k in from..to {
                let b = turn.apply(walk.points[k + 1]);
                let in_b = parent.contains(b);
                if walk.goes_on[k] && in_a != in_b {
                    let (mut p, mut q) = (a, b);
                    for _ in 0..HALVINGS {
                        let m = [f64::midpoint(p[0], q[0]), f64::midpoint(p[1], q[1])];
                        if parent.contains(m) == in_a {
                            p = m;
                        } else {
                            q = m;
                        }
                    }
                    if let Some([from, to]) = parent.nearest_piece(p) {
                        let own = [b[0] - a[0], b[1] - a[1]];
                        let other = [to[0] - from[0], to[1] - from[1]];
                        let sign = if same { 1.0 } else { -1.0 };
                        let cross = own[0] * other[1] - own[1] * other[0];
                        let dot = sign * (own[0] * other[0] + own[1] * other[1]);
                        passes.push(Pass {
                            to_parent: in_b == ahead,
                            degrees: libm::atan2(cross.abs(), dot).to_degrees(),
                            at: p,
                        });
                    }
                }
                (a, in_a) = (b, in_b);
            }
        }
        passes
    }
}
