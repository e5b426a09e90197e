//! Distances, lengths and the middle of regions.

use super::{Point, Region};

/// A circle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Circle {
    /// Its centre.
    pub centre: Point,
    /// Its radius, units.
    pub radius: f64,
}

/// From the nearest point of a piece of line to a point.
pub(super) fn off_piece(p: Point, a: Point, b: Point) -> Point {
    let along = [b[0] - a[0], b[1] - a[1]];
    let from = [p[0] - a[0], p[1] - a[1]];
    let length2 = along[0] * along[0] + along[1] * along[1];
    let t = if length2 > 0.0 {
        ((from[0] * along[0] + from[1] * along[1]) / length2).clamp(0.0, 1.0)
    } else {
        0.0
    };
    [from[0] - t * along[0], from[1] - t * along[1]]
}

/// From a point to a piece of line, squared.
#[must_use]
pub fn distance2_to_piece(p: Point, a: Point, b: Point) -> f64 {
    let off = off_piece(p, a, b);
    off[0] * off[0] + off[1] * off[1]
}

impl Region {
    /// The pieces of line that its edge is made of.
    pub fn edges(&self) -> impl Iterator<Item = (Point, Point)> + '_ {
        self.contours()
            .iter()
            .flat_map(|c| (0..c.len()).map(move |i| (c[i], c[(i + 1) % c.len()])))
    }

    /// From a point to the nearest edge, units; endless for an empty region.
    #[must_use]
    pub fn distance_to_edge(&self, p: Point) -> f64 {
        let mut least = f64::INFINITY;
        for (a, b) in self.edges() {
            least = least.min(distance2_to_piece(p, a, b));
        }
        libm::sqrt(least)
    }

    /// How far a point is outside, units; 0 inside.
    #[must_use]
    pub fn distance(&self, p: Point) -> f64 {
        if self.contains(p) {
            0.0
        } else {
            self.distance_to_edge(p)
        }
    }

    /// Length of all edges, units.
    #[must_use]
    pub fn perimeter(&self) -> f64 {
        self.edges()
            .map(|(a, b)| libm::hypot(b[0] - a[0], b[1] - a[1]))
            .sum()
    }

    /// The point about which the region balances; `None` when nothing lies in it.
    #[must_use]
    pub fn centroid(&self) -> Option<Point> {
        let (mut area, mut sum) = (0.0, [0.0, 0.0]);
        for (a, b) in self.edges() {
            let cross = a[0] * b[1] - b[0] * a[1];
            area += cross;
            sum[0] += (a[0] + b[0]) * cross;
            sum[1] += (a[1] + b[1]) * cross;
        }
        (area != 0.0).then(|| [sum[0] / (3.0 * area), sum[1] / (3.0 * area)])
    }
}
