//! Where the lines of limbs end: along them they are stretched, and their direction is how they are drawn.

use super::drawings::Drawings;
use super::mirror::across;
use super::pivot::{Pivot, middle_of};
use super::{Drawing, Part, PartId, Seam, Setting};
use crate::art::{Outline, Role, Shape};
use crate::geom::{Affine, Point, flatten};

/// How finely outlines are looked at, units.
const FINE: f64 = 0.1;
/// A shape that is not this many times as long as wide has no axis of its own.
const LONG: f64 = 1.05;
/// Shorter than this is no line, units.
const SHORT: f64 = 1e-3;

/// Puts the ends of their lines into parts whose pivots are settled.
pub(super) fn settle(
    parts: &mut [Part],
    tips: Vec<Option<Pivot>>,
    seams: &[Seam],
    place: &Setting,
    drawings: &mut Drawings<'_>,
) {
    let mut all: Vec<Option<Point>> = Vec::with_capacity(tips.len());
    for tip in &tips {
        all.push(match tip {
            Some(Pivot::At(point)) => Some(*point),
            Some(Pivot::Mark(mark)) => middle_of(mark, place, drawings),
            Some(Pivot::Of(part)) => Some(parts[part.at()].pivot),
            Some(Pivot::Across(..) | Pivot::Shared) | None => None,
        });
    }
    for (at, tip) in tips.into_iter().enumerate() {
        let said = match tip {
            Some(Pivot::Across(part, axis)) => all[part.at()].map(|tip| across(tip, axis)),
            _ => all[at],
        };
        let pivot = parts[at].pivot;
        let long = |end: &Point| apart(*end, pivot) > SHORT;
        let end = said.or_else(|| {
            let joined = joined(parts, seams, PartId::of(at)).filter(long);
            joined.or_else(|| far_end(&parts[at], drawings))
        });
        parts[at].tip = said;
        parts[at].end = end.filter(long);
    }
}

fn apart(a: Point, b: Point) -> f64 {
    libm::hypot(a[0] - b[0], a[1] - b[1])
}

/// The farthest pivot of what a part carries and is joined to.
fn joined(parts: &[Part], seams: &[Seam], part: PartId) -> Option<Point> {
    let carries = |other: PartId| {
        let up = |p: &PartId| parts[p.at()].parent;
        std::iter::successors(up(&other), up).any(|p| p == part)
    };
    let own = seams.iter().filter(|seam| seam.parent == part);
    let pivots = own.filter(|seam| carries(seam.child));
    let pivots = pivots.map(|seam| parts[seam.child.at()].pivot);
    let pivot = parts[part.at()].pivot;
    pivots.max_by(|a, b| apart(*a, pivot).total_cmp(&apart(*b, pivot)))
}

/// The middle of the far end of a part's paint, along its main axis.
fn far_end(part: &Part, drawings: &Drawings<'_>) -> Option<Point> {
    let shown = [part.art]
        .into_iter()
        .chain(part.replacements.values().copied());
    let art = shown.into_iter().find_map(Drawing::art)?;
    let shapes = &drawings.library.get(art)?.shapes;
    let place = part.place.in_place();
    let painted = outlines(shapes, &place, Some(Role::Paint));
    let points = if painted.is_empty() {
        outlines(shapes, &place, None)
    } else {
        painted
    };
    let hull = hull(points);
    let (middle, axis) = main_axis(&hull, part.pivot)?;
    let along = |p: &Point| (p[0] - middle[0]) * axis[0] + (p[1] - middle[1]) * axis[1];
    let far = hull.iter().map(along).fold(0.0, f64::max);
    Some([middle[0] + axis[0] * far, middle[1] + axis[1] * far])
}

fn outlines(shapes: &[Shape], place: &Affine, role: Option<Role>) -> Vec<Point> {
    let wanted = shapes
        .iter()
        .filter(|s| role.is_none_or(|role| s.role == role));
    let all = wanted.flat_map(|shape| {
        let to = place.after(shape.to_canvas);
        match &shape.outline {
            Outline::Fill { path, .. } | Outline::Stroke { path, .. } => {
                flatten(path, &to, FINE).into_iter().flatten().collect()
            }
            Outline::Raster(raster) => {
                let corners = raster.corners().into_iter().flatten();
                corners.map(|p| to.apply(p)).collect::<Vec<_>>()
            }
        }
    });
    all.collect()
}

fn cross(a: Point, b: Point, c: Point) -> f64 {
    (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
}

/// The smallest convex polygon about some points.
fn hull(mut points: Vec<Point>) -> Vec<Point> {
    points.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    points.dedup();
    let side = |points: &mut dyn Iterator<Item = Point>| {
        let mut side: Vec<Point> = Vec::new();
        for p in points {
            while let [.., a, b] = side[..]
                && cross(a, b, p) <= 0.0
            {
                side.pop();
            }
            side.push(p);
        }
        side.pop();
        side
    };
    let mut all = side(&mut points.iter().copied());
    all.extend(side(&mut points.iter().rev().copied()));
    all
}

/// The middle of a convex polygon, and the direction from there, away from a pivot, in which it is longest; of a shape
/// as long as wide the direction from the pivot.
fn main_axis(hull: &[Point], pivot: Point) -> Option<(Point, Point)> {
    let first = *hull.first()?;
    let (mut area, mut sum, mut square) = (0.0, [0.0; 2], [0.0; 3]);
    for pair in hull.windows(2).skip(1) {
        let [a, b] = [pair[0], pair[1]].map(|p| [p[0] - first[0], p[1] - first[1]]);
        // Moments of a triangle with a corner in the origin.
        let twice = a[0] * b[1] - a[1] * b[0];
        area += twice / 2.0;
        let of = |i: usize, j: usize| {
            let product = |p: Point, q: Point| p[i] * q[j];
            twice * (2.0 * product(a, a) + 2.0 * product(b, b) + product(a, b) + product(b, a))
                / 24.0
        };
        for k in 0..2 {
            sum[k] += twice * (a[k] + b[k]) / 6.0;
        }
        for (k, (i, j)) in [(0, 0), (0, 1), (1, 1)].into_iter().enumerate() {
            square[k] += of(i, j);
        }
    }
    if area <= 0.0 {
        return None;
    }
    let mean = sum.map(|v| v / area);
    let [xx, xy, yy] = [
        square[0] / area - mean[0] * mean[0],
        square[1] / area - mean[0] * mean[1],
        square[2] / area - mean[1] * mean[1],
    ];
    let middle = [first[0] + mean[0], first[1] + mean[1]];
    let away = [middle[0] - pivot[0], middle[1] - pivot[1]];
    let (half, apart) = ((xx + yy) / 2.0, libm::hypot((xx - yy) / 2.0, xy));
    if half + apart > (half - apart) * LONG * LONG {
        // Of the two columns of the matrix less its smaller value the longer is the axis.
        let small = half - apart;
        let (a, b) = ([xx - small, xy], [xy, yy - small]);
        let length = |v: Point| libm::hypot(v[0], v[1]);
        let axis = if length(a) >= length(b) { a } else { b };
        let long = length(axis)
            * if axis[0] * away[0] + axis[1] * away[1] < 0.0 {
                -1.0
            } else {
                1.0
            };
        return Some((middle, axis.map(|v| v / long)));
    }
    let far = libm::hypot(away[0], away[1]);
    (far > SHORT).then(|| (middle, away.map(|v| v / far)))
}
