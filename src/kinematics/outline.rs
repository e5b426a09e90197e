//! Outlines moved by a form.

use tiny_skia::{Path, PathBuilder, PathSegment};

use super::Form;
use crate::geom::{Affine, Point};

/// How far an outline may stray from where its form puts it, canvas units.
const STRAY: f64 = 0.02;
/// How far a line may bend and stay one, canvas units.
const STRAIGHT: f64 = 0.005;
/// A curve is halved so often at most.
const DEEPEST: u32 = 10;
/// A curve is looked at in so many places.
const LOOKS: u32 = 8;

/// A path moved by a form; `to_form` takes its coordinates to those of the form. Open contours get their last side where
/// they are filled. `None` where nothing can be told of it: the transform flattens the plane.
#[must_use]
pub fn deformed(path: &Path, form: &Form, to_form: &Affine, filled: bool) -> Option<Path> {
    let mut out = Out {
        form,
        back: to_form.inverse()?,
        path: PathBuilder::new(),
    };
    let put = |p: tiny_skia::Point| to_form.apply([f64::from(p.x), f64::from(p.y)]);
    let (mut first, mut now) = ([0.0; 2], [0.0; 2]);
    let mut is_open = false;
    for segment in path.segments() {
        match segment {
            PathSegment::MoveTo(p) => {
                if is_open && filled {
                    out.line(now, first);
                }
                now = put(p);
                first = now;
                is_open = true;
                let [x, y] = out.placed(form.apply(now));
                out.path.move_to(x, y);
            }
            PathSegment::LineTo(p) => {
                let p = put(p);
                out.line(now, p);
                now = p;
            }
            PathSegment::QuadTo(c, p) => {
                let [c, p] = [c, p].map(put);
                let third = |a: Point| [0, 1].map(|k| a[k] + (c[k] - a[k]) * 2.0 / 3.0);
                out.curve([now, third(now), third(p), p]);
                now = p;
            }
            PathSegment::CubicTo(c, d, p) => {
                let [c, d, p] = [c, d, p].map(put);
                out.curve([now, c, d, p]);
                now = p;
            }
            PathSegment::Close => {
                out.line(now, first);
                out.path.close();
                now = first;
                is_open = false;
            }
        }
    }
    if is_open && filled {
        out.line(now, first);
    }
    out.path.finish()
}

struct Out<'a> {
    form: &'a Form,
    back: Affine,
    path: PathBuilder,
}

impl Out<'_> {
    #[expect(clippy::cast_possible_truncation, reason = "tiny-skia works in f32")]
    fn placed(&self, p: Point) -> [f32; 2] {
        self.back.apply(p).map(|v| v as f32)
    }

    fn line(&mut self, a: Point, b: Point) {
        if a != b {
            let at = |t: f64| [0, 1].map(|k| a[k] + (b[k] - a[k]) * t);
            self.curve([a, at(1.0 / 3.0), at(2.0 / 3.0), b]);
        }
    }

    fn curve(&mut self, drawn: [Point; 4]) {
        self.piece(&drawn, [0.0, 1.0], DEEPEST);
    }

    /// What becomes of a cubic between two of its places.
    fn piece(&mut self, drawn: &[Point; 4], [from, to]: [f64; 2], deepest: u32) {
        let ends = [from, to].map(|t| {
            let (p, v) = at(drawn, t);
            self.form.moved(p, v.map(|v| v * (to - from) / 3.0))
        });
        let [(a, out), (b, into)] = ends;
        let made = [
            a,
            [a[0] + out[0], a[1] + out[1]],
            [b[0] - into[0], b[1] - into[1]],
            b,
        ];
        let mut strays: f64 = 0.0;
        let mut bends: f64 = 0.0;
        for look in 1..LOOKS {
            let t = f64::from(look) / f64::from(LOOKS);
            let want = self.form.apply(at(drawn, from + (to - from) * t).0);
            let (found, _) = at(&made, t);
            strays = strays.max(libm::hypot(want[0] - found[0], want[1] - found[1]));
            bends = bends.max(off_line(want, a, b));
        }
        if bends <= STRAIGHT {
            let [x, y] = self.placed(b);
            self.path.line_to(x, y);
        } else if strays <= STRAY || deepest == 0 {
            let [c, d, p] = [made[1], made[2], b].map(|p| self.placed(p));
            self.path.cubic_to(c[0], c[1], d[0], d[1], p[0], p[1]);
        } else {
            let middle = f64::midpoint(from, to);
            self.piece(drawn, [from, middle], deepest - 1);
            self.piece(drawn, [middle, to], deepest - 1);
        }
    }
}

/// A cubic's point and its derivative.
fn at([a, b, c, d]: &[Point; 4], t: f64) -> (Point, Point) {
    let u = 1.0 - t;
    let point = |k: usize| {
        u * u * u * a[k] + 3.0 * u * u * t * b[k] + 3.0 * u * t * t * c[k] + t * t * t * d[k]
    };
    let speed = |k: usize| {
        3.0 * (u * u * (b[k] - a[k]) + 2.0 * u * t * (c[k] - b[k]) + t * t * (d[k] - c[k]))
    };
    ([0, 1].map(point), [0, 1].map(speed))
}

/// How far a point is from a piece of a line.
fn off_line(p: Point, a: Point, b: Point) -> f64 {
    libm::sqrt(crate::geom::distance2_to_piece(p, a, b))
}
