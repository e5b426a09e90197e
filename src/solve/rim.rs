//! Lines of points at which lines of ink may end.

use crate::geom::{Affine, Point, bounds_of};

/// The longest piece of a line of points that lies on one side as a whole, units.
const PIECE: f64 = 2.0;
/// So many pieces of a closed line have one box.
pub(super) const RUN: usize = 4;

/// Boxes about the runs of pieces of a closed line.
pub(super) fn run_boxes(points: &[Point]) -> Vec<[f64; 4]> {
    let n = points.len();
    let runs = (0..n).step_by(RUN);
    let boxes = runs.map(|k| {
        let run = (k..=(k + RUN).min(n)).map(|i| points[i % n]);
        bounds_of(run).unwrap_or_default()
    });
    boxes.collect()
}

/// A line at which an opening may have its border: all round a zone, an edge of paint without ink. The
/// opening lies to the side of `points` to which the cross product is positive.
#[derive(Clone, Debug)]
pub(crate) struct Rim {
    pub points: Vec<Point>,
    /// The last point goes on to the first.
    pub closed: bool,
    pub bounds: [f64; 4],
    /// About each run of pieces.
    boxes: Vec<[f64; 4]>,
}

impl Rim {
    pub fn new(points: Vec<Point>, closed: bool) -> Self {
        Self {
            boxes: run_boxes(&points),
            bounds: bounds_of(points.iter().copied()).unwrap_or_default(),
            points,
            closed,
        }
    }

    /// The rim moved.
    pub fn transformed(&self, by: &Affine) -> Self {
        let mut points: Vec<Point> = self.points.iter().map(|&p| by.apply(p)).collect();
        if by.determinant() < 0.0 {
            points.reverse();
        }
        Self::new(points, self.closed)
    }

    /// The same line, the opening on its other side.
    pub fn turned(mut self) -> Self {
        self.points.reverse();
        Self::new(self.points, self.closed)
    }

    /// Its pieces that may meet a box, with their numbers.
    pub fn pieces(&self, near: [f64; 4], into: &mut Vec<(usize, Point, Point)>) {
        into.clear();
        if apart(&self.bounds, &near) {
            return;
        }
        let n = self.points.len();
        let last = if self.closed { n } else { n.saturating_sub(1) };
        for (r, around) in self.boxes.iter().enumerate() {
            if !apart(around, &near) {
                let run = r * RUN..((r + 1) * RUN).min(last);
                into.extend(run.map(|i| (i, self.points[i], self.points[(i + 1) % n])));
            }
        }
    }

    /// The points between two places along it.
    pub fn between(&self, from: f64, to: f64, start: Point, end: Point) -> Vec<Point> {
        let n = self.points.len();
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "counts of points"
        )]
        let (first, last) = (from.floor() as usize, to.floor() as usize);
        let last = if to >= from { last } else { last + n };
        let mut out = vec![start];
        out.extend((first + 1..=last).map(|k| self.points[k % n]));
        out.push(end);
        out
    }
}

fn apart(a: &[f64; 4], b: &[f64; 4]) -> bool {
    a[2] < b[0] || a[0] > b[2] || a[3] < b[1] || a[1] > b[3]
}

/// The stretches of a contour whose pieces lie where `within` says.
pub(super) fn stretches(contour: &[Point], within: impl Fn(Point) -> bool) -> Vec<Rim> {
    let points = in_pieces(contour);
    let n = points.len();
    let next = |i: usize| points[(i + 1) % n];
    let middle = |i: usize| [0, 1].map(|k| f64::midpoint(points[i][k], next(i)[k]));
    let inside: Vec<bool> = (0..n).map(|i| within(middle(i))).collect();
    let Some(start) = (0..n).find(|&i| inside[i] && !inside[(i + n - 1) % n]) else {
        let all = inside.first() == Some(&true);
        return all.then(|| Rim::new(points, true)).into_iter().collect();
    };
    let mut out: Vec<Vec<Point>> = Vec::new();
    let mut goes_on = false;
    for i in (start..start + n).map(|i| i % n) {
        if inside[i] && !goes_on {
            out.push(vec![points[i]]);
        }
        if let (true, Some(open)) = (inside[i], out.last_mut()) {
            open.push(next(i));
        }
        goes_on = inside[i];
    }
    out.into_iter().map(|p| Rim::new(p, false)).collect()
}

/// The same contour, its long pieces divided: the middle of a straight edge may lie far from its ends.
fn in_pieces(contour: &[Point]) -> Vec<Point> {
    let n = contour.len();
    let mut out = Vec::with_capacity(n);
    for i in 0..n {
        let (a, b) = (contour[i], contour[(i + 1) % n]);
        let way = [b[0] - a[0], b[1] - a[1]];
        let count = libm::ceil(libm::hypot(way[0], way[1]) / PIECE).clamp(1.0, 1e4);
        let mut k = 0.0;
        while k < count {
            out.push([a[0] + way[0] * k / count, a[1] + way[1] * k / count]);
            k += 1.0;
        }
    }
    out
}
