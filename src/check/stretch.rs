//! A part's outline that the other part hides at rest, and the limb's width there.

use crate::geom::{Affine, Circle, Edges, Point, Region, sin_cos_degrees};

/// How close an outline's points are kept for measuring, as a share of the limb's width.
const SPACING: f64 = 1.0 / 60.0;
/// Outlines this near to the other part's edge are on it, not inside it, units.
pub(super) const TOUCH: f64 = 0.02;
/// Directions in which a limb's width is looked for.
const DIRECTIONS: u32 = 60;
/// Points of an outline that are asked about at once before each is.
pub(super) const RUN: usize = 8;

/// A stretch of outline as points.
#[derive(Clone, Debug, Default)]
pub(super) struct Stretch {
    pub points: Vec<Point>,
    /// A circle about each run of them.
    runs: Vec<Circle>,
}

impl Stretch {
    pub fn new(points: Vec<Point>) -> Self {
        Self {
            runs: points.chunks(RUN).map(about).collect(),
            points,
        }
    }
}

/// A circle about some points.
pub(super) fn about(run: &[Point]) -> Circle {
    let centre = run[run.len() / 2];
    let off = |p: &Point| libm::hypot(p[0] - centre[0], p[1] - centre[1]);
    let radius = run.iter().map(off).fold(0.0, f64::max);
    Circle { centre, radius }
}

/// The furthest that points get from a region, if more than `least`, and which point that is, transformed.
/// `hidden` says of a point, transformed and as it was, whether it is hidden there.
pub(super) fn furthest(
    stretch: &Stretch,
    transform: &Affine,
    from: &Edges,
    least: f64,
    hidden: impl Fn(Point, Point) -> bool,
) -> (f64, Point) {
    let (mut far, mut far2) = (least, least * least);
    let first = stretch.points.first();
    let mut at = first.map_or([0.0, 0.0], |&p| transform.apply(p));
    for (run, about) in stretch.points.chunks(RUN).zip(&stretch.runs) {
        if from.is_within(transform.apply(about.centre), about.radius, far) {
            continue;
        }
        for &point in run {
            let p = transform.apply(point);
            if let Some(near2) = from.outside2(p, far, far2)
                && !hidden(p, point)
            {
                (far, far2, at) = (libm::sqrt(near2), near2, p);
            }
        }
    }
    (far, at)
}

/// The way from the pivot to the side on which a part's bulk is not, of length one.
pub(super) fn way_beyond(own: &Region, pivot: Point) -> Option<Point> {
    let centre = own.centroid()?;
    let way = [pivot[0] - centre[0], pivot[1] - centre[1]];
    let length = libm::hypot(way[0], way[1]);
    Some(if length > 1e-6 {
        [way[0] / length, way[1] / length]
    } else {
        [0.0, -1.0]
    })
}

/// The half plane on the other side of the pivot from where a part's bulk is.
pub(super) fn beyond(own: &Region, pivot: Point) -> Option<Region> {
    let [x, y] = way_beyond(own, pivot)?;
    let far = own.reach(pivot) * 2.0 + 1.0;
    let at = |along: f64, across: f64| {
        [
            pivot[0] + along * x - across * y,
            pivot[1] + along * y + across * x,
        ]
    };
    Some(Region::from_contours(
        &[vec![
            at(0.0, -far),
            at(far, -far),
            at(far, far),
            at(0.0, far),
        ]],
        tiny_skia::FillRule::Winding,
    ))
}

/// The points of a part's outline beyond the joint that lie inside the other part.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss,
    reason = "small counts"
)]
pub(super) fn stretch(own: &Region, other: &Edges, pivot: Point, width: f64) -> Vec<Point> {
    let Some(half) = beyond(own, pivot) else {
        return Vec::new();
    };
    let spacing = width * SPACING;
    let mut out = Vec::new();
    for (a, b) in own.edges() {
        let n = libm::ceil(libm::hypot(b[0] - a[0], b[1] - a[1]) / spacing).clamp(1.0, 200.0);
        for k in 0..n as usize {
            let t = k as f64 / n;
            let p = [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t];
            // Further off than the limb is wide it is no end of the limb, but a limb along a body.
            let (dx, dy) = (p[0] - pivot[0], p[1] - pivot[1]);
            if dx * dx + dy * dy > width * width {
                continue;
            }
            if half.contains(p) && other.depth(p) > TOUCH {
                out.push(p);
            }
        }
    }
    out
}

/// The least width through the pivot, of both parts together or of the one that is narrower there, and how
/// far the pivot is from its middle.
pub(super) fn width(
    parent: &Region,
    child: &Region,
    all: &Region,
    pivot: Point,
) -> Option<(f64, f64)> {
    let mut least = chord(all, pivot)?;
    for one in [parent, child] {
        // A pivot near a part's edge says nothing about its width.
        if let Some(own) = chord(one, pivot)
            && one.distance_to_edge(pivot) > own.0 * 0.2
            && own.0 < least.0
        {
            least = own;
        }
    }
    (least.0 > 0.0).then_some(least)
}

/// The shortest line through a point that a region holds, and from the point to its middle, units; `None`
/// outside.
fn chord(region: &Region, through: Point) -> Option<(f64, f64)> {
    if !region.contains(through) {
        return None;
    }
    let mut least = (f64::INFINITY, 0.0);
    for k in 0..DIRECTIONS {
        let (sin, cos) = sin_cos_degrees(180.0 * f64::from(k) / f64::from(DIRECTIONS));
        let (mut ahead, mut behind) = (f64::INFINITY, f64::INFINITY);
        for (a, b) in region.edges() {
            let (ax, ay) = (a[0] - through[0], a[1] - through[1]);
            let (bx, by) = (b[0] - through[0], b[1] - through[1]);
            let (oa, ob) = (ay * cos - ax * sin, by * cos - bx * sin);
            if (oa > 0.0) == (ob > 0.0) {
                continue;
            }
            let t = oa / (oa - ob);
            let along = (ax + (bx - ax) * t) * cos + (ay + (by - ay) * t) * sin;
            if along >= 0.0 {
                ahead = ahead.min(along);
            } else {
                behind = behind.min(-along);
            }
        }
        if ahead + behind < least.0 {
            least = (ahead + behind, (ahead - behind).abs() / 2.0);
        }
    }
    least.0.is_finite().then_some(least)
}
