//! Kinks that a turn makes in the outer contour of two parts together.
//!
//! The contour passes from one part's outline to the other's where the two outlines cross. The kink of a pass
//! is the jump k of the tangent's direction there: 0 where one outline runs on in the other. Two limbs that
//! bend by t have a corner of t in the crook wherever they turn; so kinks count only where one of the outlines is
//! an end that the other part hides at rest and that has come out, and of them
//!
//! `k(t) - k(0) - (|t| on the side that the turn closes)`, where that is more than 0,
//!
//! with `k(0)` the largest kink that the drawing has at rest on that side. A limb has two sides: going round
//! with the inside on the same hand, on one the contour passes from parent to child, on the other from child to
//! parent. Two round ends with one centre that turn about it have no kink at any turn: the outer side runs
//! along one circle.

use super::joint::Joint;
use super::stretch::{RUN, TOUCH, about};
use super::walk::Walk;
use crate::geom::{Affine, Edges, Point};

/// How close the outline's points are, as a share of the limb's width.
const SPACING: f64 = 1.0 / 40.0;
/// The direction of an outline is that of so much of it to each side, as a share of the limb's width.
const REACH: f64 = 1.0 / 200.0;
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

/// A place where the contour passes from one outline to the other.
struct Pass {
    /// True from the child's to the parent's.
    to_parent: bool,
    degrees: f64,
    at: Point,
    /// The same on the child at rest.
    own: Point,
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
        for pass in self.passes(walk, angle, pivot) {
            let closes = if pass.to_parent { angle } else { -angle };
            let Some(rest) = walk.rest[usize::from(pass.to_parent)] else {
                continue;
            };
            let degrees = pass.degrees - rest - closes.max(0.0);
            if degrees <= worst.degrees {
                continue;
            }
            let Pass { at, own, .. } = pass;
            let ends = [(at, &self.child.edges), (own, &self.parent.edges)];
            let came_out = ends.iter().zip(&walk.ends).any(|((p, other), way)| {
                let beyond = (p[0] - self.pivot[0]) * way[0] + (p[1] - self.pivot[1]) * way[1];
                beyond > 0.0 && other.depth(*p) > TOUCH
            });
            if came_out && !cover.still.contains(at) && !cover.carried.contains(own) {
                worst = Kink { degrees, at };
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
            ends: [&self.parent, &self.child].map(|side| side.way),
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
                walk.points.push(to);
                walk.goes_on.push(true);
                last = Some(to);
            }
        }
        walk.runs = walk.points.chunks(RUN).map(about).collect();
        let mut rest = [None; 2];
        for pass in self.passes(&walk, 0.0, self.pivot) {
            let known: &mut Option<f64> = &mut rest[usize::from(pass.to_parent)];
            *known = Some(known.map_or(pass.degrees, |k| k.max(pass.degrees)));
        }
        walk.rest = rest;
        walk
    }

    /// The passes of the contour with the child's outline transformed.
    fn passes(&self, walk: &Walk, angle: f64, pivot: Point) -> Vec<Pass> {
        let (turn, back) = (Self::turned(angle, pivot), Self::turned(-angle, pivot));
        let parent = &self.parent.edges;
        let mut passes = Vec::new();
        // Whether the outline was outside the parent when it last was clearly either, and the last point of which
        // that can be said at all: outlines that run along each other are no passes.
        let mut before: Option<(bool, usize)> = None;
        for (nth, about) in walk.runs.iter().enumerate() {
            let whole = parent.depth(turn.apply(about.centre));
            let whole = (whole.abs() > about.radius + TOUCH).then_some(whole);
            let from = nth * RUN;
            for k in from..(from + RUN).min(walk.points.len()) {
                let depth = whole.unwrap_or_else(|| parent.depth(turn.apply(walk.points[k])));
                let (out, clearly) = (depth < 0.0, depth.abs() > TOUCH);
                before = match before.filter(|_| walk.goes_on[k]) {
                    Some((was, _)) if was == out => Some((was, k)),
                    Some((_, last)) if clearly => {
                        let ends = [last, last + 1].map(|at| turn.apply(walk.points[at]));
                        let at = between(ends, |m| (parent.depth(m) < 0.0) == out);
                        passes.push(self.pass(at, &turn, &back));
                        Some((out, k))
                    }
                    Some(unsure) => Some(unsure),
                    None => clearly.then_some((out, k)),
                };
            }
        }
        passes
    }

    fn pass(&self, at: Point, turn: &Affine, back: &Affine) -> Pass {
        let reach = self.width * REACH;
        let own = back.apply(at);
        let [x, y] = outward(&self.child.edges, own, reach);
        let v = [turn.a * x + turn.c * y, turn.b * x + turn.d * y];
        let u = outward(&self.parent.edges, at, reach);
        let (cross, dot) = (u[0] * v[1] - u[1] * v[0], u[0] * v[0] + u[1] * v[1]);
        Pass {
            to_parent: cross > 0.0,
            degrees: libm::atan2(cross.abs(), dot).to_degrees(),
            at,
            own,
        }
    }
}

/// Where between two points `after` begins to be true.
fn between([mut a, mut b]: [Point; 2], after: impl Fn(Point) -> bool) -> Point {
    for _ in 0..HALVINGS {
        let m = [f64::midpoint(a[0], b[0]), f64::midpoint(a[1], b[1])];
        if after(m) {
            b = m;
        } else {
            a = m;
        }
    }
    b
}

/// The way out of a region near its edge, from how deep the points all round are: specks of the edge are
/// smaller.
fn outward(edges: &Edges, [x, y]: Point, reach: f64) -> Point {
    let deep = |dx: f64, dy: f64| edges.depth([x + dx, y + dy]);
    [
        deep(-reach, 0.0) - deep(reach, 0.0),
        deep(0.0, -reach) - deep(0.0, reach),
    ]
}
