//! How ink that a cut ends is seen to end: in half discs, as slivers, as islands.

use super::Found;
use super::borders::scale;
use super::scene::{Piece, Placed, Scene};
use crate::art::Role;
use crate::cast::{Keep, Measure, PartId};
use crate::geom::{Affine, Edges, Point, Region, meet, moved_box};
use crate::solve::Cut;

/// Points across an end.
const ACROSS: u32 = 24;
/// A cut this many times as wide as the line is none across a line.
const UNLIKE: f64 = 2.5;
/// What is seen of a line beside a cut is a sliver when it is narrower than this, widths of the line.
const SLIVER: f64 = 0.75;
/// How far beyond an end it is looked for other ink, and how far within for its own, widths.
const NEAR: f64 = 0.3;
/// How far within it the end itself is seen, widths: the tip of a slant is thin.
const JUST: f64 = 0.01;
/// From one point to the next along and across what a cut leaves, widths.
const ALONG: f64 = 0.25;
const THROUGH: f64 = 0.05;
/// Ink lies off its own edge by more than this where it was cut, widths.
const INSIDE: f64 = 0.03;
/// A piece of ink shorter than this, widths, is an island.
const SHORT: f64 = 4.0;
/// One shorter than this cannot be seen.
const SPECK: f64 = 0.05;

/// The worst loose end and the shortest island of ink of each part.
pub(super) fn check(scene: &Scene<'_>) -> Vec<Found> {
    let mut all: Vec<Found> = Vec::new();
    for piece in scene.layers.iter().filter(|p| p.is_line()) {
        let Some(line) = Opened::new(scene, piece) else {
            continue;
        };
        for found in line.ends().into_iter().chain(line.islands()) {
            let same = |f: &&mut Found| f.measure == found.measure && f.parts == found.parts;
            match all.iter_mut().find(same) {
                Some(known) if !found.is_worse_than(known) => {}
                Some(known) => *known = found,
                None => all.push(found),
            }
        }
    }
    all
}

/// A shape of ink as seams and masks leave it.
struct Opened<'s, 'a> {
    scene: &'s Scene<'a>,
    piece: &'s Piece<'a>,
    part: PartId,
    cuts: Vec<&'s Placed>,
    left: Region,
    /// The same ink whole: its edges in art space, and how to get there.
    whole: &'s Edges,
    back: Affine,
    /// How much larger the ink is posed.
    by: f64,
    /// Its usual width, posed.
    width: f64,
}

/// A stretch of a contour along a cut, and where it is: point numbers of its ends.
struct Run {
    from: usize,
    to: usize,
}

fn sub(a: Point, b: Point) -> Point {
    [a[0] - b[0], a[1] - b[1]]
}

fn dot(a: Point, b: Point) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

fn unit(a: Point) -> Option<Point> {
    let length = libm::hypot(a[0], a[1]);
    (length > 1e-9).then(|| [a[0] / length, a[1] / length])
}

/// A point moved by a length along a way.
fn moved(p: Point, way: Point, by: f64) -> Point {
    [p[0] + way[0] * by, p[1] + way[1] * by]
}

impl<'s, 'a> Opened<'s, 'a> {
    fn new(scene: &'s Scene<'a>, piece: &'s Piece<'a>) -> Option<Self> {
        let ends = |cut: &Cut| matches!(cut, Cut::Seams { .. } | Cut::Mask { .. });
        let cuts: Vec<&Placed> = scene
            .cuts(piece)
            .filter(|(cut, _)| ends(cut))
            .map(|(_, placed)| placed)
            .collect();
        let takes = |placed: &&Placed| {
            let cut = &placed.cut;
            let near = |b| meet(moved_box(b, &cut.posed), piece.bounds());
            cut.keep == Keep::Inside || cut.region.bounds().is_some_and(near)
        };
        if !cuts.iter().any(takes) {
            return None;
        }
        let posed = piece.layer.posed;
        let ink = piece.region().transformed(&posed);
        let mut left = ink.clone();
        for placed in cuts.iter().filter(|&c| takes(c)) {
            let region = placed.cut.region.transformed(&placed.cut.posed);
            left = match placed.cut.keep {
                Keep::Inside => left.intersection(&region),
                Keep::Outside => left.difference(&region),
            };
        }
        if left.is_empty() || ink.area() - left.area() < 1e-3 {
            return None;
        }
        let border = scene.border(piece.layer.art);
        Some(Self {
            scene,
            piece,
            part: piece.layer.part,
            cuts,
            left,
            whole: border.edges(piece.layer.number, piece.region()),
            back: posed.inverse()?,
            by: scale(&posed),
            width: 2.0 * ink.area() / ink.perimeter().max(f64::MIN_POSITIVE),
        })
    }

    /// Contours with ink on the positive side of their edges.
    fn contours(&self) -> impl Iterator<Item = Vec<Point>> + '_ {
        let back = self.left.turns_back();
        self.left.contours().iter().map(move |c| {
            let mut points = c.clone();
            if back {
                points.reverse();
            }
            points
        })
    }

    /// The stretches of a contour that the ink does not have when whole.
    fn runs(&self, points: &[Point]) -> Vec<Run> {
        let n = points.len();
        let cut: Vec<bool> = (0..n)
            .map(|i| {
                let (a, b) = (points[i], points[(i + 1) % n]);
                let middle = [f64::midpoint(a[0], b[0]), f64::midpoint(a[1], b[1])];
                self.whole.depth(self.back.apply(middle)) * self.by > INSIDE * self.width
            })
            .collect();
        let Some(start) = (0..n).find(|&i| cut[i] && !cut[(i + n - 1) % n]) else {
            return Vec::new();
        };
        let mut all: Vec<Run> = Vec::new();
        for k in start..start + n {
            let i = k % n;
            if !cut[i] {
                continue;
            }
            match all.last_mut() {
                Some(last) if last.to == k => last.to = k + 1,
                _ => all.push(Run { from: k, to: k + 1 }),
            }
        }
        all
    }

    fn ends(&self) -> Vec<Found> {
        let mut all = Vec::new();
        for points in self.contours() {
            for run in self.runs(&points) {
                all.extend(self.end(&points, &run));
            }
        }
        all
    }

    /// An end or a bite, and how far its shape is from what it should be.
    fn end(&self, points: &[Point], run: &Run) -> Option<Found> {
        let n = points.len();
        let line: Vec<Point> = (run.from..=run.to).map(|k| points[k % n]).collect();
        let (a, b) = (line[0], *line.last()?);
        // The ink's own edges just before and after.
        let along = self.width * 0.5;
        let came = unit(sub(a, walked(points, run.from % n, along, false)))?;
        let goes = unit(sub(walked(points, run.to % n, along, true), b))?;
        let (value, what) = if dot(came, goes) > 0.0 {
            (self.bite(&line)?, "is left as a sliver")
        } else {
            let ahead = unit(sub(came, goes))?;
            (self.shape(&line, ahead)?, "ends in no half disc")
        };
        let name = self.scene.rest.name(self.part);
        Some(Found {
            measure: Measure::LooseEnd,
            value,
            message: format!(
                "a line of {name} {what} where it is cut: off by {value:.0} % of a half disc"
            ),
            hint: format!(
                "let the line run into other ink there: change the seam's zone, the mask, or where {name}'s paint ends"
            ),
            parts: vec![self.part],
            places: line,
        })
    }

    /// The difference from a half disc of the same width, put where it fits best, % of the half disc of the line;
    /// of what is seen of the end, and `None` where less than half of it is.
    fn shape(&self, line: &[Point], ahead: Point) -> Option<f64> {
        let (a, b) = (line[0], *line.last()?);
        let side = [-ahead[1], ahead[0]];
        let width = dot(sub(b, a), side).abs();
        if width > UNLIKE * self.width || width < 1e-6 {
            return None;
        }
        let middle = [f64::midpoint(a[0], b[0]), f64::midpoint(a[1], b[1])];
        let r = width / 2.0;
        let mut reaches = Vec::new();
        for n in offsets(r) {
            let Some((reach, out)) = reach_at(line, middle, side, ahead, n) else {
                continue;
            };
            let p = moved(moved(middle, side, n), ahead, reach);
            let within = moved(p, out, -JUST * self.width);
            let behind = moved(p, out, -NEAR * self.width);
            if self.is_open(p, out) && self.shows(within) && !self.joins(behind) {
                reaches.push((n, reach));
            }
        }
        if 2 * reaches.len() < ACROSS as usize || self.is_overlaid(a, b) {
            return None;
        }
        // What is narrower than the line has less to be off by.
        let share = (width / self.width).min(1.0);
        Some(unlike(&reaches, r) * share * share)
    }

    /// What is missing of a line beside which a cut leaves a sliver, % of a half disc: of what is seen, with all
    /// other ink.
    fn bite(&self, line: &[Point]) -> Option<f64> {
        let mut missing = 0.0;
        for w in line.windows(2) {
            let Some(way) = unit(sub(w[1], w[0])) else {
                continue;
            };
            let out = [way[1], -way[0]];
            let long = libm::hypot(w[1][0] - w[0][0], w[1][1] - w[0][1]);
            let pieces = libm::ceil(long / (ALONG * self.width)).max(1.0);
            let step = long / pieces;
            let mut at = step / 2.0;
            while at < long {
                let p = moved(w[0], way, at);
                missing += self.lacks(p, out) * step;
                at += step;
            }
        }
        let half = std::f64::consts::PI * self.width * self.width / 8.0;
        (missing > 0.0).then(|| 100.0 * missing / half)
    }

    /// How much the ink that is seen behind a cut is thinner than the line is whole; 0 where it is no sliver.
    fn lacks(&self, p: Point, out: Point) -> f64 {
        let most = SLIVER * self.width;
        let step = THROUGH * self.width;
        if !self.is_open(p, out) || !self.shows(moved(p, out, -step / 2.0)) {
            return 0.0;
        }
        let reach = |inks: &dyn Fn(Point) -> bool, way: f64, most: f64| {
            let mut far = step;
            while far < most && inks(moved(p, out, way * far)) {
                far += step;
            }
            far
        };
        let thick = reach(&|q| self.scene.is_ink(q), -1.0, most);
        if thick >= most {
            return 0.0;
        }
        let drawn = |q: Point| self.piece.region().contains(self.back.apply(q));
        let whole = (thick + reach(&drawn, 1.0, self.width)).min(self.width);
        if thick < SLIVER * whole {
            whole - thick
        } else {
            0.0
        }
    }

    /// Whether a cut, and nothing in front, ends the ink at a point of its edge.
    fn is_open(&self, p: Point, out: Point) -> bool {
        let beyond = moved(p, out, NEAR * self.width);
        self.cuts.iter().any(|cut| !cut.lets(beyond)) && !self.covered(beyond)
    }

    /// Whether an end lies along an edge between two paints that goes on beside the line: fur that lies over it.
    fn is_overlaid(&self, a: Point, b: Point) -> bool {
        [[a, b], [b, a]].into_iter().any(|[corner, other]| {
            let Some(out) = unit(sub(corner, other)) else {
                return false;
            };
            let q = moved(corner, out, NEAR * self.width);
            let aside = |by: f64| self.scene.top(moved(q, [-out[1], out[0]], by * self.width));
            let (one, two) = (aside(NEAR), aside(-NEAR));
            let is_ink = |p: Option<&Piece<'_>>| p.is_some_and(|p| p.role == Role::Ink);
            !is_ink(one) && !is_ink(two) && !Scene::same_paint(one, two)
        })
    }

    /// Whether other ink is seen at a point, or something in front of the part.
    fn covered(&self, p: Point) -> bool {
        self.scene.top(p).is_some_and(|piece| {
            let figure = self.scene.figure;
            piece.role == Role::Ink
                || figure.rank(piece.layer.part) > figure.rank(self.part)
                    && !self.scene.joined(piece.layer.part, self.part)
        })
    }

    /// Whether other ink lies at a point too, under or over: two lines that run into each other.
    fn joins(&self, p: Point) -> bool {
        self.scene.has_other_ink(p, self.piece)
    }

    /// Whether the part's own ink is seen at a point.
    fn shows(&self, p: Point) -> bool {
        let top = self.scene.top(p);
        top.is_some_and(|piece| piece.role == Role::Ink && piece.layer.part == self.part)
    }

    /// Pieces of ink that an opening split off and that are short.
    fn islands(&self) -> Vec<Found> {
        let mut all = Vec::new();
        for points in self.contours() {
            if self.runs(&points).is_empty() {
                continue;
            }
            let piece =
                Region::from_contours(std::slice::from_ref(&points), tiny_skia::FillRule::Winding);
            let value = piece.area() / (self.width * self.width);
            if !(SPECK..=SHORT).contains(&value) {
                continue;
            }
            let Some(middle) = piece.centroid() else {
                continue;
            };
            let reached = points.iter().any(|&p| {
                let way = unit(sub(p, middle)).unwrap_or([0.0, 0.0]);
                let by = NEAR * self.width;
                let beside = [p[0] + way[0] * by, p[1] + way[1] * by];
                self.covered(beside) || self.joins(beside)
            });
            if reached || !self.shows(middle) {
                continue;
            }
            let name = self.scene.rest.name(self.part);
            all.push(Found {
                measure: Measure::Island,
                value,
                message: format!(
                    "a bit of {name}'s ink is left by itself where a seam opens it, {value:.1} line widths long"
                ),
                hint: "widen the seam's zone, or draw the paint so that the line goes on".to_owned(),
                parts: vec![self.part],
                places: points,
            });
        }
        all
    }
}

/// Evenly across a line of half-width `r`.
fn offsets(r: f64) -> impl Iterator<Item = f64> {
    (0..ACROSS).map(move |k| r * ((f64::from(k) + 0.5) * 2.0 / f64::from(ACROSS) - 1.0))
}

/// How far an end that reaches so far at offsets across it is from a half disc of radius `r`, put where it fits
/// best, % of the half disc.
fn unlike(reaches: &[(f64, f64)], r: f64) -> f64 {
    let mut off: Vec<f64> = reaches
        .iter()
        .map(|(n, reach)| reach - libm::sqrt((r * r - n * n).max(0.0)))
        .collect();
    off.sort_by(f64::total_cmp);
    // The middle one is the place that makes the sum least.
    let Some(&usual) = off.get(off.len() / 2) else {
        return 0.0;
    };
    #[expect(clippy::cast_precision_loss, reason = "counts of points")]
    let mean = off.iter().map(|o| (o - usual).abs()).sum::<f64>() / off.len() as f64;
    100.0 * mean * 2.0 * r / (std::f64::consts::PI * r * r / 2.0)
}

/// The point at a length along a contour from one of its points.
fn walked(points: &[Point], from: usize, length: f64, forward: bool) -> Point {
    let n = points.len();
    let (mut at, mut left) = (from, length);
    for _ in 0..n {
        let next = if forward {
            (at + 1) % n
        } else {
            (at + n - 1) % n
        };
        let way = sub(points[next], points[at]);
        let long = libm::hypot(way[0], way[1]);
        if long >= left && long > 0.0 {
            let t = left / long;
            return [points[at][0] + way[0] * t, points[at][1] + way[1] * t];
        }
        left -= long;
        at = next;
    }
    points[at]
}

/// How far a line goes ahead at an offset to the side, and the way out of the ink there.
fn reach_at(
    line: &[Point],
    from: Point,
    side: Point,
    ahead: Point,
    n: f64,
) -> Option<(f64, Point)> {
    let mut most: Option<(f64, Point)> = None;
    for w in line.windows(2) {
        let (p, q) = (sub(w[0], from), sub(w[1], from));
        let (a, b) = (dot(p, side) - n, dot(q, side) - n);
        if (a <= 0.0) == (b <= 0.0) {
            continue;
        }
        let t = a / (a - b);
        let s = dot(p, ahead) + (dot(q, ahead) - dot(p, ahead)) * t;
        if most.is_none_or(|(known, _)| s > known)
            && let Some(way) = unit(sub(w[1], w[0]))
        {
            most = Some((s, [way[1], -way[0]]));
        }
    }
    most
}

#[cfg(test)]
mod tests {
    use super::*;

    // Plain integrals: with s(n) = sqrt(1 - n^2) a straight cut differs from a half disc by the integral of
    // |s - sqrt(3)/2| over [-1, 1], which is sqrt(3)/2 - pi/6; a slant of slope q, q large, by that of |q n|, which
    // is q. The half disc is pi/2.
    #[test]
    fn ends_differ_from_a_half_disc_as_integrals_say() {
        let half = std::f64::consts::FRAC_PI_2;
        let end = |reach: &dyn Fn(f64) -> f64| {
            let all: Vec<(f64, f64)> = offsets(3.0).map(|n| (n, 3.0 * reach(n / 3.0))).collect();
            unlike(&all, 3.0)
        };
        let near = |got: f64, want: f64, by: f64| assert!((got - want).abs() < by, "{got}, {want}");
        near(end(&|n| libm::sqrt(1.0 - n * n) + 5.0), 0.0, 1e-9);
        let straight = libm::sqrt(3.0) / 2.0 - half / 3.0;
        near(end(&|_| 2.0), 100.0 * straight / half, 1.0);
        near(end(&|n| 40.0 * n), 100.0 * 40.0 / half, 40.0);
    }

    #[test]
    fn a_walk_along_a_square_and_a_reach_through_it() {
        let square = [[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]];
        assert_eq!(walked(&square, 0, 14.0, true), [10.0, 4.0]);
        assert_eq!(walked(&square, 0, 14.0, false), [4.0, 10.0]);
        let end = reach_at(&square, [0.0, 0.0], [1.0, 0.0], [0.0, 1.0], 4.0);
        assert_eq!(end, Some((10.0, [0.0, 1.0])));
    }
}
