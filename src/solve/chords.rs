//! Where rims cross lines of ink, and how.

use super::rim::{RUN, Rim};
use crate::geom::{Affine, Point, Region, meet, moved_box};

/// A cut that is more oblique than this, in widths of the line along it, is left as it is.
pub(super) const OBLIQUE: f64 = 6.0;
/// So far to both sides of a rim it is asked whether the opening has its border there, widths: further than
/// the two may lie apart, and less than an opening may be wide.
const ASIDE: [f64; 2] = [0.08, 0.02];

/// A shape of ink, as it lies on an opening.
pub(super) struct Line<'a> {
    pub region: &'a Region,
    /// Boxes about runs of the edges of each contour.
    pub runs: &'a [Vec<[f64; 4]>],
    /// To the frame of the rims.
    pub placed: Affine,
    /// A box about it in that frame.
    pub bounds: [f64; 4],
    /// What its ink is wide on the whole, in that frame.
    pub width: f64,
}

/// What is to be known of points.
pub(super) struct Asks<'a> {
    /// Whether the opening has its border at a rim: asked of a point a little inside of it and one outside.
    pub border: &'a dyn Fn(usize, Point, Point) -> bool,
    /// Whether other ink or what covers takes a line up that reaches there.
    pub joined: &'a dyn Fn(Point) -> bool,
}

/// Where a rim crosses an edge of ink.
pub(super) struct Hit {
    rim: usize,
    /// Points and shares of pieces along the rim.
    along: f64,
    pub p: Point,
    /// The edge's direction, ink to the positive side.
    edge: Point,
    pub contour: usize,
    at: f64,
    /// The rim goes into the ink.
    enters: bool,
}

/// A stretch of a rim inside ink.
pub(super) struct Chord {
    pub enter: usize,
    pub leave: usize,
    /// From `enter` to `leave`.
    pub points: Vec<Point>,
    pub form: Form,
}

#[derive(Clone, Copy)]
pub(super) enum Form {
    /// Across a line.
    Across(Across),
    /// In and out over one edge of it, the edge between lying in the opening.
    Bite,
    /// The same, the edge between lying outside.
    Rest,
    /// No line.
    Left,
}

/// How a rim goes across a line.
#[derive(Clone, Copy)]
pub(super) struct Across {
    /// Where the line's middle crosses.
    pub middle: Point,
    /// The rim's direction there.
    way: Point,
    /// Where the line goes inside the opening.
    pub inward: Point,
    pub width: f64,
    /// How far along the line the cut reaches.
    pub reach: f64,
}

pub(super) fn sub(a: Point, b: Point) -> Point {
    [a[0] - b[0], a[1] - b[1]]
}

fn dot(a: Point, b: Point) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

pub(super) fn cross(a: Point, b: Point) -> f64 {
    a[0] * b[1] - a[1] * b[0]
}

pub(super) fn unit(a: Point) -> Option<Point> {
    let length = libm::hypot(a[0], a[1]);
    (length > 1e-12).then(|| [a[0] / length, a[1] / length])
}

/// Rims and a shape of ink, with where they cross.
pub(super) struct Crossings<'a> {
    rims: &'a [Rim],
    line: &'a Line<'a>,
    /// Its contours are taken the other way round: ink to the positive side of each edge.
    turned: bool,
    pub hits: Vec<Hit>,
}

impl<'a> Crossings<'a> {
    pub fn new(line: &'a Line<'_>, rims: &'a [Rim]) -> Option<Self> {
        let turned = line.region.turns_back() != (line.placed.determinant() < 0.0);
        let near = rims.iter().enumerate();
        let near: Vec<(usize, &Rim)> = near.filter(|(_, r)| meet(r.bounds, line.bounds)).collect();
        let mut hits = Vec::new();
        let mut pieces = Vec::new();
        let contours = line.region.contours().iter().zip(line.runs);
        for (contour, (points, runs)) in contours.enumerate() {
            let n = points.len();
            let at = |i: usize| line.placed.apply(points[i % n]);
            for (run, around) in runs.iter().enumerate() {
                let around = moved_box(*around, &line.placed);
                for &(rim, met) in &near {
                    met.pieces(around, &mut pieces);
                    let edges = run * RUN..((run + 1) * RUN).min(n);
                    for i in edges.take_while(|_| !pieces.is_empty()) {
                        let (i, from, to) = if turned {
                            ((2 * n - 2 - i) % n, at(i + 1), at(i))
                        } else {
                            (i, at(i), at(i + 1))
                        };
                        crossings(&pieces, from, to, |along, p, t, enters| {
                            #[expect(clippy::cast_precision_loss, reason = "counts of points")]
                            hits.push(Hit {
                                rim,
                                along,
                                p,
                                edge: unit(sub(to, from)).unwrap_or_default(),
                                contour,
                                at: i as f64 + t,
                                enters,
                            });
                        });
                    }
                }
            }
        }
        if hits.is_empty() {
            return None;
        }
        hits.sort_by(|a, b| a.rim.cmp(&b.rim).then(a.along.total_cmp(&b.along)));
        Some(Self {
            rims,
            line,
            turned,
            hits,
        })
    }

    /// The stretches of rims inside the ink at which the opening has its border.
    pub fn chords(&self, asks: &Asks<'_>) -> Vec<Chord> {
        let mut all = Vec::new();
        for (r, rim) in self.rims.iter().enumerate() {
            let mut here: Vec<usize> = (0..self.hits.len())
                .filter(|&h| self.hits[h].rim == r)
                .collect();
            if rim.closed && here.first().is_some_and(|&h| !self.hits[h].enters) {
                here.rotate_left(1);
            }
            for pair in here.windows(2) {
                let (enter, leave) = (&self.hits[pair[0]], &self.hits[pair[1]]);
                if !enter.enters || leave.enters {
                    continue;
                }
                let points = rim.between(enter.along, leave.along, enter.p, leave.p);
                let form = form(enter, leave, &points);
                let is_border = |p: Point, way: Point| {
                    let way = unit(way).unwrap_or_default();
                    ASIDE.iter().any(|by| {
                        let aside = [-way[1], way[0]].map(|v| v * by * self.line.width);
                        let inside = [p[0] + aside[0], p[1] + aside[1]];
                        (asks.border)(r, inside, sub(p, aside))
                    })
                };
                let shows = || {
                    points.windows(2).any(|w| {
                        let way = sub(w[1], w[0]);
                        let at = |t: f64| [w[0][0] + way[0] * t, w[0][1] + way[1] * t];
                        [0.1, 0.5, 0.9].iter().any(|&t| is_border(at(t), way))
                    })
                };
                let is_end = match form {
                    // A line may end a little beside what hides its middle.
                    Form::Across(Across { middle, way, .. }) => {
                        is_border(middle, way) || (asks.joined)(middle) && shows()
                    }
                    Form::Bite | Form::Rest | Form::Left => shows(),
                };
                if is_end {
                    all.push(Chord {
                        enter: pair[0],
                        leave: pair[1],
                        points,
                        form,
                    });
                }
            }
        }
        all
    }

    /// The ink's edge from one crossing forward to another of the same contour, both included.
    pub fn run(&self, from: usize, to: usize) -> Vec<Point> {
        let (a, b) = (&self.hits[from], &self.hits[to]);
        let points = &self.line.region.contours()[a.contour];
        let n = points.len();
        let point = |k: usize| {
            let k = if self.turned { n - 1 - k % n } else { k % n };
            self.line.placed.apply(points[k])
        };
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "counts of points"
        )]
        let (first, count) = {
            let first = a.at.floor() as usize;
            let last = b.at.floor() as usize;
            let turns = if b.at >= a.at { 0 } else { n };
            (first, last + turns - first)
        };
        let mut out = vec![a.p];
        out.extend((1..=count).map(|k| point(first + k)));
        out.push(b.p);
        out
    }

    /// The next end of a chord along the ink's edge.
    pub fn next(&self, from: usize, chords: &[Chord]) -> usize {
        let a = &self.hits[from];
        let ahead = |h: &usize| {
            let off = self.hits[*h].at - a.at;
            #[expect(clippy::cast_precision_loss, reason = "counts of points")]
            let n = self.line.region.contours()[a.contour].len() as f64;
            if off > 0.0 { off } else { off + n }
        };
        let all = chords.iter().flat_map(|c| [c.enter, c.leave]);
        all.filter(|&h| self.hits[h].contour == a.contour)
            .min_by(|x, y| ahead(x).total_cmp(&ahead(y)))
            .unwrap_or(from)
    }
}

/// How a rim goes through ink from one crossing to another.
fn form(from: &Hit, to: &Hit, points: &[Point]) -> Form {
    let way = sub(to.p, from.p);
    // Where the edges go inside the opening: where the rim enters ink, the edge comes out of it.
    let (one, other) = ([-from.edge[0], -from.edge[1]], to.edge);
    if dot(one, other) < 0.0 {
        return if dot(one, way) > 0.0 {
            Form::Bite
        } else {
            Form::Rest
        };
    }
    let Some(inward) = unit([one[0] + other[0], one[1] + other[1]]) else {
        return Form::Left;
    };
    let width = cross(inward, way).abs();
    let centre = [from.p[0] + way[0] / 2.0, from.p[1] + way[1] / 2.0];
    let side = |p: Point| cross(inward, sub(p, centre));
    let crossed = points.windows(2).find_map(|w| {
        let (a, b) = (side(w[0]), side(w[1]));
        let met = (a <= 0.0) != (b <= 0.0);
        met.then(|| {
            let (t, way) = (a / (a - b), sub(w[1], w[0]));
            ([w[0][0] + way[0] * t, w[0][1] + way[1] * t], way)
        })
    });
    let Some((middle, way)) = crossed else {
        return Form::Left;
    };
    let reach = points
        .iter()
        .map(|&p| dot(inward, sub(p, middle)).abs())
        .fold(0.0, f64::max);
    if width <= 0.0 || reach > OBLIQUE * width {
        return Form::Left;
    }
    Form::Across(Across {
        middle,
        way,
        inward,
        width,
        reach,
    })
}

/// Where pieces of a rim cross an edge of ink: how far along the rim, the point, its share of the edge, and
/// whether the rim goes into the ink there.
fn crossings(
    pieces: &[(usize, Point, Point)],
    from: Point,
    to: Point,
    mut found: impl FnMut(f64, Point, f64, bool),
) {
    let edge = sub(to, from);
    let beside = |p: Point| cross(edge, sub(p, from));
    let mut last: Option<(usize, f64)> = None;
    for &(k, p, q) in pieces {
        // The ends of a piece that crosses lie on both sides of the edge's line.
        let known = last.filter(|(next, _)| *next == k);
        let (start, end) = (known.map_or_else(|| beside(p), |(_, d)| d), beside(q));
        last = Some((k + 1, end));
        if start * end > 0.0 {
            continue;
        }
        let along = sub(q, p);
        let across = cross(edge, along);
        if across == 0.0 {
            continue;
        }
        let off = sub(p, from);
        let t = cross(off, along) / across;
        let s = cross(off, edge) / across;
        // Half open, so that a point shared by two pieces is met once.
        if (0.0..1.0).contains(&t) && (0.0..1.0).contains(&s) {
            let met = [p[0] + along[0] * s, p[1] + along[1] * s];
            #[expect(clippy::cast_precision_loss, reason = "counts of points")]
            found(k as f64 + s, met, t, across > 0.0);
        }
    }
}
