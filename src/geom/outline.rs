//! Curves to polygons, lines to their outlines.

use tiny_skia::{Path, PathSegment, Stroke};

use super::{Affine, Point};

/// More points than this per curve show nothing.
const MOST_STEPS: f64 = 500.0;

/// The contours of a path after a transform, with no chord further than `tolerance` from its
/// curve. Open contours are closed, as a fill does.
#[must_use]
pub fn flatten(path: &Path, transform: &Affine, tolerance: f64) -> Vec<Vec<Point>> {
    let mut contours: Vec<Vec<Point>> = Vec::new();
    let mut now: Vec<Point> = Vec::new();
    let put = |p: tiny_skia::Point| transform.apply([f64::from(p.x), f64::from(p.y)]);
    let mut end_contour = |now: &mut Vec<Point>| {
        if now.len() > 2 {
            contours.push(std::mem::take(now));
        } else {
            now.clear();
        }
    };
    for segment in path.segments() {
        match segment {
            PathSegment::MoveTo(p) => {
                end_contour(&mut now);
                now.push(put(p));
            }
            PathSegment::LineTo(p) => now.push(put(p)),
            PathSegment::QuadTo(c, p) => quad(&mut now, put(c), put(p), tolerance),
            PathSegment::CubicTo(c, d, p) => cubic(&mut now, put(c), put(d), put(p), tolerance),
            PathSegment::Close => {
                // A contour may go on from its start after a close without a new move.
                let start = now.first().copied();
                end_contour(&mut now);
                now.extend(start);
            }
        }
    }
    end_contour(&mut now);
    contours
}

fn length(v: Point) -> f64 {
    libm::sqrt(v[0] * v[0] + v[1] * v[1])
}

/// Steps so that chords of a curve with this greatest second difference stay within tolerance:
/// the chord error of a parabola over a step h is |f''| h^2 / 8.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to 1..=500"
)]
fn steps(second_derivative: f64, tolerance: f64) -> usize {
    let n = libm::ceil(libm::sqrt(second_derivative / (8.0 * tolerance)));
    if n.is_finite() {
        n.clamp(1.0, MOST_STEPS) as usize
    } else {
        1
    }
}

#[expect(clippy::cast_precision_loss, reason = "at most 500")]
fn quad(out: &mut Vec<Point>, c: Point, p: Point, tolerance: f64) {
    let Some(&s) = out.last() else { return };
    let bend = [
        2.0 * (s[0] - 2.0 * c[0] + p[0]),
        2.0 * (s[1] - 2.0 * c[1] + p[1]),
    ];
    let n = steps(length(bend), tolerance);
    for i in 1..n {
        let t = i as f64 / n as f64;
        let u = 1.0 - t;
        let at = |k: usize| u * u * s[k] + 2.0 * u * t * c[k] + t * t * p[k];
        out.push([at(0), at(1)]);
    }
    out.push(p);
}

#[expect(clippy::cast_precision_loss, reason = "at most 500")]
fn cubic(out: &mut Vec<Point>, c: Point, d: Point, p: Point, tolerance: f64) {
    let Some(&s) = out.last() else { return };
    let a = [
        6.0 * (s[0] - 2.0 * c[0] + d[0]),
        6.0 * (s[1] - 2.0 * c[1] + d[1]),
    ];
    let b = [
        6.0 * (c[0] - 2.0 * d[0] + p[0]),
        6.0 * (c[1] - 2.0 * d[1] + p[1]),
    ];
    let n = steps(length(a).max(length(b)), tolerance);
    for i in 1..n {
        let t = i as f64 / n as f64;
        let u = 1.0 - t;
        let at = |k: usize| {
            u * u * u * s[k] + 3.0 * u * u * t * c[k] + 3.0 * u * t * t * d[k] + t * t * t * p[k]
        };
        out.push([at(0), at(1)]);
    }
    out.push(p);
}

/// The outline of a stroked line, dashes applied; `scale` is pixels per unit at most, for curve
/// precision. To be filled by the winding rule.
#[must_use]
pub fn stroke_outline(path: &Path, stroke: &Stroke, scale: f32) -> Option<Path> {
    if let Some(dash) = &stroke.dash {
        path.dash(dash, scale)?.stroke(stroke, scale)
    } else {
        path.stroke(stroke, scale)
    }
}
