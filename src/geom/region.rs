//! Regions of the plane as polygons that do not overlap.

use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::simplify::SimplifyShape;
use i_overlay::float::single::SingleFloatOverlay;

use super::{Affine, Point, bounds_of};

/// A region: closed contours that neither cross nor overlap, outer ones one way round and holes
/// the other. So its area, and its coverage of a pixel, is the sum of signed contour areas.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Region {
    pub(super) contours: Vec<Vec<Point>>,
}

impl Region {
    /// Nothing.
    #[must_use]
    pub const fn empty() -> Self {
        Self {
            contours: Vec::new(),
        }
    }

    /// What contours enclose by the winding rule or the even-odd rule.
    #[must_use]
    pub fn from_contours(contours: &[Vec<Point>], rule: tiny_skia::FillRule) -> Self {
        let rule = match rule {
            tiny_skia::FillRule::Winding => FillRule::NonZero,
            tiny_skia::FillRule::EvenOdd => FillRule::EvenOdd,
        };
        if contours.is_empty()
            || !contours
                .iter()
                .flatten()
                .all(|p| p[0].is_finite() && p[1].is_finite())
        {
            return Self::empty();
        }
        Self::collect(contours.simplify_shape(rule))
    }

    /// A disc as a polygon whose chords stay within `tolerance`, vertices on the circle.
    #[must_use]
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "clamped"
    )]
    pub fn disc(centre: Point, radius: f64, tolerance: f64) -> Self {
        if radius.is_nan() || radius <= 0.0 {
            return Self::empty();
        }
        // Sagitta of a chord: r (1 - cos(half angle)).
        let half = libm::acos((1.0 - tolerance / radius).clamp(-1.0, 1.0 - 1e-9));
        let n = libm::ceil(std::f64::consts::PI / half).clamp(12.0, 4000.0) as u32;
        let points = (0..n)
            .map(|i| {
                let (s, c) = super::sin_cos_degrees(360.0 * f64::from(i) / f64::from(n));
                [centre[0] + radius * c, centre[1] + radius * s]
            })
            .collect();
        Self {
            contours: vec![points],
        }
    }

    /// An upright rectangle: left, top, right, bottom.
    #[must_use]
    pub fn rect(b: [f64; 4]) -> Self {
        Self {
            contours: vec![vec![[b[0], b[1]], [b[2], b[1]], [b[2], b[3]], [b[0], b[3]]]],
        }
    }

    fn collect(shapes: Vec<Vec<Vec<Point>>>) -> Self {
        Self {
            contours: shapes
                .into_iter()
                .flatten()
                .filter(|c| c.len() > 2)
                .collect(),
        }
    }

    fn overlay(&self, other: &Self, rule: OverlayRule) -> Self {
        Self::collect(
            self.contours
                .overlay(&other.contours, rule, FillRule::NonZero),
        )
    }

    /// What lies in either.
    #[must_use]
    pub fn union(&self, other: &Self) -> Self {
        if other.is_empty() {
            return self.clone();
        }
        if self.is_empty() {
            return other.clone();
        }
        self.overlay(other, OverlayRule::Union)
    }

    /// What lies in any.
    #[must_use]
    pub fn union_all<'a>(regions: impl IntoIterator<Item = &'a Self>) -> Self {
        let (all, n) = Self::gathered(regions);
        if n < 2 {
            all
        } else {
            Self::collect(all.contours.simplify_shape(FillRule::NonZero))
        }
    }

    /// The contours of all regions, turned the same way round, and how many regions that were.
    fn gathered<'a>(regions: impl IntoIterator<Item = &'a Self>) -> (Self, usize) {
        let mut all: Vec<Vec<Point>> = Vec::new();
        let (mut n, mut turned) = (0, false);
        for region in regions.into_iter().filter(|r| !r.is_empty()) {
            let back = region.turns_back();
            if n == 0 {
                turned = back;
            }
            let first = all.len();
            all.extend(region.contours.iter().cloned());
            if back != turned {
                all[first..].iter_mut().for_each(|c| c.reverse());
            }
            n += 1;
        }
        (Self { contours: all }, n)
    }

    /// What lies in any; boxes that do not meet cost nothing.
    #[must_use]
    pub fn together(regions: impl IntoIterator<Item = Self>) -> Self {
        let all: Vec<Self> = regions.into_iter().collect();
        let boxes: Vec<[f64; 4]> = all.iter().filter_map(Self::bounds).collect();
        let meet = |a: &[f64; 4], b: &[f64; 4]| {
            a[0] <= b[2] && b[0] <= a[2] && a[1] <= b[3] && b[1] <= a[3]
        };
        let apart = (1..boxes.len()).all(|i| !boxes[..i].iter().any(|b| meet(b, &boxes[i])));
        if apart {
            Self::gathered(&all).0
        } else {
            Self::union_all(&all)
        }
    }

    /// What lies in both.
    #[must_use]
    pub fn intersection(&self, other: &Self) -> Self {
        if self.is_empty() || other.is_empty() {
            return Self::empty();
        }
        self.overlay(other, OverlayRule::Intersect)
    }

    /// What lies in this one and in none of others.
    #[must_use]
    pub fn less<'a>(&self, others: impl IntoIterator<Item = &'a Self>) -> Self {
        self.difference(&Self::gathered(others).0)
    }

    /// What lies in this one alone.
    #[must_use]
    pub fn difference(&self, other: &Self) -> Self {
        if self.is_empty() || other.is_empty() {
            return self.clone();
        }
        self.overlay(other, OverlayRule::Difference)
    }

    /// The region moved by a transform (which may mirror it: contours keep their order of points,
    /// and a negative sum of areas then means the same region).
    #[must_use]
    pub fn transformed(&self, t: &Affine) -> Self {
        Self {
            contours: self
                .contours
                .iter()
                .map(|c| c.iter().map(|&p| t.apply(p)).collect())
                .collect(),
        }
    }

    /// The contours.
    #[must_use]
    pub fn contours(&self) -> &[Vec<Point>] {
        &self.contours
    }

    /// True when the region lies on the side of its edges to which the cross product is negative.
    #[must_use]
    pub fn turns_back(&self) -> bool {
        self.signed_area() < 0.0
    }

    /// What lies in an upright rectangle: left, top, right, bottom. Contours may run along its sides more
    /// than once; what is made of the region next is right all the same.
    #[must_use]
    pub fn clipped(&self, within: [f64; 4]) -> Self {
        let mut contours = Vec::new();
        for contour in &self.contours {
            let mut points = contour.clone();
            for (axis, limit, most) in [
                (0, within[0], false),
                (0, within[2], true),
                (1, within[1], false),
                (1, within[3], true),
            ] {
                let outside = |p: &Point| (p[axis] > limit) == most && p[axis] != limit;
                if !points.iter().any(outside) {
                    continue;
                }
                let mut kept = Vec::with_capacity(points.len());
                let mut last = points[points.len() - 1];
                for &p in &points {
                    if outside(&p) != outside(&last) {
                        let t = (limit - last[axis]) / (p[axis] - last[axis]);
                        let mut met = [
                            last[0] + (p[0] - last[0]) * t,
                            last[1] + (p[1] - last[1]) * t,
                        ];
                        met[axis] = limit;
                        kept.push(met);
                    }
                    if !outside(&p) {
                        kept.push(p);
                    }
                    last = p;
                }
                points = kept;
                if points.is_empty() {
                    break;
                }
            }
            if points.len() > 2 {
                contours.push(points);
            }
        }
        Self { contours }
    }

    /// Whether two regions have anything in common: edges that cross, or one within the other.
    #[must_use]
    pub fn touches(&self, other: &Self) -> bool {
        let (Some(a), Some(b)) = (self.bounds(), other.bounds()) else {
            return false;
        };
        let within = |p: Point, q: Point, b: &[f64; 4]| {
            p[0].min(q[0]) <= b[2]
                && p[0].max(q[0]) >= b[0]
                && p[1].min(q[1]) <= b[3]
                && p[1].max(q[1]) >= b[1]
        };
        let near: Vec<(Point, Point)> = other.edges().filter(|(p, q)| within(*p, *q, &a)).collect();
        let side = |p: Point, q: Point, r: Point| {
            (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])
        };
        let crossed = self
            .edges()
            .filter(|(p, q)| within(*p, *q, &b))
            .any(|(p, q)| {
                let box_of = [
                    p[0].min(q[0]),
                    p[1].min(q[1]),
                    p[0].max(q[0]),
                    p[1].max(q[1]),
                ];
                near.iter().any(|&(r, t)| {
                    within(r, t, &box_of)
                        && side(p, q, r) * side(p, q, t) <= 0.0
                        && side(r, t, p) * side(r, t, q) <= 0.0
                })
            });
        crossed
            || self.contours.iter().any(|c| other.contains(c[0]))
            || other.contours.iter().any(|c| self.contains(c[0]))
    }

    /// True when nothing lies in it.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.contours.is_empty()
    }

    /// Area, square units.
    #[must_use]
    pub fn area(&self) -> f64 {
        self.signed_area().abs()
    }

    fn signed_area(&self) -> f64 {
        let mut sum = 0.0;
        for c in &self.contours {
            let mut last = c[c.len() - 1];
            for &p in c {
                sum += last[0] * p[1] - p[0] * last[1];
                last = p;
            }
        }
        sum * 0.5
    }

    /// Left, top, right, bottom.
    #[must_use]
    pub fn bounds(&self) -> Option<[f64; 4]> {
        bounds_of(self.contours.iter().flatten().copied())
    }

    /// True when the point lies inside (even-odd over contours that do not overlap).
    #[must_use]
    pub fn contains(&self, p: Point) -> bool {
        let mut inside = false;
        for c in &self.contours {
            let mut a = c[c.len() - 1];
            for &b in c {
                if (a[1] > p[1]) != (b[1] > p[1])
                    && p[0] < a[0] + (b[0] - a[0]) * (p[1] - a[1]) / (b[1] - a[1])
                {
                    inside = !inside;
                }
                a = b;
            }
        }
        inside
    }

    /// The region less everything within `by` of its edge.
    #[must_use]
    #[expect(
        clippy::cast_possible_truncation,
        reason = "outlines are stroked in f32"
    )]
    pub fn shrunk(&self, by: f64, tolerance: f64) -> Self {
        let mut path = tiny_skia::PathBuilder::new();
        for contour in &self.contours {
            for (i, p) in contour.iter().enumerate() {
                let (x, y) = (p[0] as f32, p[1] as f32);
                if i == 0 {
                    path.move_to(x, y);
                } else {
                    path.line_to(x, y);
                }
            }
            path.close();
        }
        let stroke = tiny_skia::Stroke {
            width: (by * 2.0) as f32,
            line_join: tiny_skia::LineJoin::Round,
            ..tiny_skia::Stroke::default()
        };
        let edge = path
            .finish()
            .and_then(|p| super::stroke_outline(&p, &stroke, (1.0 / tolerance) as f32));
        edge.map_or_else(Self::empty, |outline| {
            let contours = super::flatten(&outline, &Affine::IDENTITY, tolerance);
            self.difference(&Self::from_contours(
                &contours,
                tiny_skia::FillRule::Winding,
            ))
        })
    }

    /// The furthest that the region goes from a point.
    #[must_use]
    pub fn reach(&self, from: Point) -> f64 {
        let mut far = 0.0_f64;
        for p in self.contours.iter().flatten() {
            let (dx, dy) = (p[0] - from[0], p[1] - from[1]);
            far = far.max(dx * dx + dy * dy);
        }
        libm::sqrt(far)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(x: f64, y: f64, side: f64) -> Region {
        Region::rect([x, y, x + side, y + side])
    }

    #[test]
    fn boolean_areas_of_squares() {
        let a = square(0.0, 0.0, 10.0);
        let b = square(5.0, 5.0, 10.0);
        let near = |x: f64, y: f64| assert!((x - y).abs() < 1e-4, "{x} is not {y}");
        near(a.union(&b).area(), 175.0);
        near(a.intersection(&b).area(), 25.0);
        near(a.difference(&b).area(), 75.0);
        near(
            Region::union_all([&a, &b, &square(100.0, 0.0, 1.0)]).area(),
            176.0,
        );
    }

    #[test]
    fn mirrored_region_keeps_area() {
        let ring = square(0.0, 0.0, 10.0).difference(&square(2.0, 2.0, 6.0));
        let flipped = ring.transformed(&Affine::scale([-1.0, 1.0]));
        assert!((flipped.area() - 64.0).abs() < 1e-4);
        assert!(flipped.contains([-1.0, 1.0]) && !flipped.contains([-5.0, 5.0]));
    }

    #[test]
    fn shrunk_square() {
        let got = square(0.0, 0.0, 10.0).shrunk(1.5, 0.001);
        assert!((got.area() - 49.0).abs() < 0.01, "{}", got.area());
    }

    // E. W. Weisstein, "Circle-Circle Intersection", MathWorld, eq. 14 (R = 18, r = 14, d = 9).
    #[test]
    fn lens_area_meets_the_closed_form() {
        let a = Region::disc([0.0, 0.0], 18.0, 1e-5);
        let b = Region::disc([9.0, 0.0], 14.0, 1e-5);
        let area = a.intersection(&b).area();
        assert!((area - 502.638_113_768_4).abs() < 0.01, "{area}");
    }
}
