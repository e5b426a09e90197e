//! The largest circle that a region holds.

use std::collections::BinaryHeap;

use super::square::Square;
use super::{Circle, Edges, Point, Region};

/// With fewer edges than this it costs more to sort them than to go through them.
const SORTED: usize = 24;

impl Region {
    /// The largest circle inside, its radius known to `precision` units. `None` when nothing lies in it.
    ///
    /// Squares are halved as long as one may hold a better centre, the most hopeful first.
    #[must_use]
    pub fn inscribed_circle(&self, precision: f64) -> Option<Circle> {
        let mut best: Option<Circle> = None;
        // Pieces that only touch in a point share no circle: each contour's own box would do, but one
        // box for all finds the same.
        let [left, top, right, bottom] = self.bounds()?;
        // The same figures, sooner where there are many edges.
        let sorted = (self.edges().count() > SORTED).then(|| Edges::new(self));
        let inside = |p: Point| match &sorted {
            Some(edges) => edges.depth(p),
            None => {
                let d = self.distance_to_edge(p);
                if self.contains(p) { d } else { -d }
            }
        };
        let mut offer = |p: Point, d: f64| {
            if d > 0.0 && best.is_none_or(|b| d > b.radius) {
                best = Some(Circle {
                    centre: p,
                    radius: d,
                });
            }
            best.map_or(0.0, |b| b.radius)
        };
        let (wide, high) = (right - left, bottom - top);
        if let Some(c) = self.centroid() {
            offer(c, inside(c));
        }
        // Starts as about sixteen squares, more for long thin regions.
        let half = (wide.max(high) / 8.0)
            .min(wide.min(high).max(wide.max(high) / 32.0) / 2.0)
            .max(precision);
        let around = |centre: Point, half: f64, distance: f64| Square {
            centre,
            half,
            most: distance + half * std::f64::consts::SQRT_2,
        };
        let mut wait = BinaryHeap::new();
        let mut y = top + half;
        loop {
            let mut x = left + half;
            loop {
                let d = inside([x, y]);
                offer([x, y], d);
                wait.push(around([x, y], half, d));
                if x + half >= right {
                    break;
                }
                x += 2.0 * half;
            }
            if y + half >= bottom {
                break;
            }
            y += 2.0 * half;
        }
        let mut tried = 0_u32;
        while let Some(square) = wait.pop() {
            let known = offer(square.centre, 0.0);
            tried += 1;
            if square.most <= known + precision || tried > 20_000 {
                break;
            }
            let half = square.half / 2.0;
            for (dx, dy) in [(-1.0, -1.0), (1.0, -1.0), (-1.0, 1.0), (1.0, 1.0)] {
                let p = [square.centre[0] + dx * half, square.centre[1] + dy * half];
                let d = inside(p);
                let known = offer(p, d);
                let child = around(p, half, d);
                if child.most > known + precision {
                    wait.push(child);
                }
            }
        }
        best
    }
}
