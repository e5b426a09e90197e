//! How opened lines end: as a half disc of the line's own width where a line ends in the open, without
//! slivers, and without islands too short to be a line.

use super::chords::{Across, Asks, Chord, Crossings, Form, Line, OBLIQUE, cross, sub, unit};
use super::rim::Rim;
use crate::geom::{Point, Region, sin_cos_degrees};

/// A line is left as cut where it is this many times narrower or wider than lines of its shape are.
const UNLIKE: f64 = 2.5;
/// How far beyond a line's edge what is kept or opened of it goes, widths: edges that coincide would thin it.
const BEYOND: f64 = 0.15;
/// A piece of ink shorter than this, in widths, is an island.
const ISLAND: f64 = 2.0;
/// Degrees between the points of a half disc.
const STEP: f64 = 6.0;

/// What ends change in an opening.
#[derive(Default)]
pub(super) struct Ends {
    /// Stays closed.
    pub keep: Vec<Region>,
    /// Opens too, where paint joins.
    pub open: Vec<Region>,
    /// Islands, which go wherever they lie.
    pub islands: Vec<Region>,
}

/// What the ends of a line change.
pub(super) fn ends(line: &Line<'_>, rims: &[Rim], asks: &Asks<'_>, into: &mut Ends) {
    let Some(found) = Crossings::new(line, rims) else {
        return;
    };
    let chords = found.chords(asks);
    let mut gone = vec![false; chords.len()];
    for k in 0..chords.len() {
        if gone[k] {
            continue;
        }
        if let Some((island, with)) = island(&found, &chords, k, line.width, asks.joined) {
            into.islands.push(island);
            gone[k] = true;
            gone[with] = true;
        }
    }
    for (chord, _) in chords.iter().zip(&gone).filter(|(_, gone)| !**gone) {
        match chord.form {
            Form::Across(Across {
                middle,
                inward,
                width,
                reach,
                ..
            }) => into.cap(middle, inward, width, reach),
            Form::Bite => bite(&found, chord, line.width, into),
            Form::Rest => rest(&found, chord, line.width, into),
            Form::Left => {}
        }
    }
}

impl Ends {
    pub fn is_empty(&self) -> bool {
        self.keep.is_empty() && self.open.is_empty() && self.islands.is_empty()
    }

    /// A half disc about the middle, the line kept behind it and opened before it.
    fn cap(&mut self, middle: Point, inward: Point, width: f64, reach: f64) {
        let side = [-inward[1], inward[0]];
        let half = width / 2.0;
        let wide = half + BEYOND * width;
        let far = reach + BEYOND * width;
        let at = |s: f64, n: f64| {
            [
                middle[0] + inward[0] * s + side[0] * n,
                middle[1] + inward[1] * s + side[1] * n,
            ]
        };
        let mut kept = vec![
            at(0.0, -half),
            at(0.0, -wide),
            at(-far, -wide),
            at(-far, wide),
            at(0.0, wide),
        ];
        let mut angle = 90.0;
        while angle > -90.0 {
            let (s, c) = sin_cos_degrees(angle);
            kept.push(at(half * c, half * s));
            angle -= STEP;
        }
        self.keep.push(polygon(kept));
        let before = vec![at(0.0, -wide), at(far, -wide), at(far, wide), at(0.0, wide)];
        self.open.push(polygon(before));
    }
}

fn polygon(points: Vec<Point>) -> Region {
    Region::from_contours(&[points], tiny_skia::FillRule::Winding)
}

/// The ink outside an opening that a chord splits off, if it is too short to be a line, with the other
/// chord that ends it.
fn island(
    found: &Crossings<'_>,
    chords: &[Chord],
    k: usize,
    usual: f64,
    joined: &dyn Fn(Point) -> bool,
) -> Option<(Region, usize)> {
    let Form::Across(Across { width, .. }) = chords[k].form else {
        return None;
    };
    if width > UNLIKE * usual {
        return None;
    }
    // Where the rim enters ink, the ink's edge leaves the opening.
    let out = chords[k].enter;
    let next = found.next(out, chords);
    let other = chords
        .iter()
        .position(|c| c.leave == next && !matches!(c.form, Form::Left))?;
    let mut edge = found.run(out, chords[other].leave);
    if other == k {
        if length(&edge) >= (2.0 * ISLAND + 1.0) * width {
            return None;
        }
    } else {
        if found.next(chords[other].enter, chords) != chords[k].leave {
            return None;
        }
        let back = found.run(chords[other].enter, chords[k].leave);
        if length(&edge).max(length(&back)) >= ISLAND * width {
            return None;
        }
        edge.extend(back);
    }
    let middles = edge
        .windows(2)
        .map(|w| [(w[0][0] + w[1][0]) / 2.0, (w[0][1] + w[1][1]) / 2.0]);
    if edge.iter().copied().chain(middles).any(joined) {
        return None;
    }
    Some((grown(&edge, BEYOND * width), other))
}

/// An opening that takes something from one edge of a line: less than half of it stays closed, more
/// goes all through.
fn bite(found: &Crossings<'_>, chord: &Chord, width: f64, into: &mut Ends) {
    let (enter, leave) = (&found.hits[chord.enter], &found.hits[chord.leave]);
    if enter.contour != leave.contour {
        return;
    }
    let edge = found.run(chord.leave, chord.enter);
    let half = width / 2.0;
    let Some(way) = unit(sub(leave.p, enter.p)) else {
        return;
    };
    let off = |p: Point| cross(way, sub(p, enter.p)).abs();
    let bulge = edge.iter().map(|&p| off(p)).fold(0.0, f64::max);
    if bulge > OBLIQUE * width {
        return;
    }
    let deep: Vec<Point> = chord
        .points
        .iter()
        .copied()
        .filter(|&p| off(p) + bulge > half)
        .collect();
    let ends = deep.first().copied().zip(deep.last().copied());
    match ends {
        Some((a, b)) if libm::hypot(b[0] - a[0], b[1] - a[1]) > width => {
            let reach = libm::hypot(a[0] - enter.p[0], a[1] - enter.p[1]);
            into.cap(a, way, width, reach);
            let reach = libm::hypot(b[0] - leave.p[0], b[1] - leave.p[1]);
            into.cap(b, [-way[0], -way[1]], width, reach);
            let side = [-way[1] * width * 0.65, way[0] * width * 0.65];
            into.open.push(polygon(vec![
                [a[0] - side[0], a[1] - side[1]],
                [b[0] - side[0], b[1] - side[1]],
                [b[0] + side[0], b[1] + side[1]],
                [a[0] + side[0], a[1] + side[1]],
            ]));
        }
        _ => {
            let mut lens = chord.points.clone();
            lens.extend(beside(&edge, half));
            into.keep.push(polygon(lens));
        }
    }
}

/// What an opening leaves along one edge of a line: less than half of it opens too.
fn rest(found: &Crossings<'_>, chord: &Chord, width: f64, into: &mut Ends) {
    let (enter, leave) = (&found.hits[chord.enter], &found.hits[chord.leave]);
    if enter.contour != leave.contour {
        return;
    }
    let edge = found.run(chord.enter, chord.leave);
    let Some(way) = unit(sub(leave.p, enter.p)) else {
        return;
    };
    let off = |p: &Point| cross(way, sub(*p, enter.p)).abs();
    let deep =
        edge.iter().map(off).fold(0.0, f64::max) + chord.points.iter().map(off).fold(0.0, f64::max);
    if deep <= width / 2.0 {
        into.open.push(grown(&edge, BEYOND * width));
    }
}

/// An edge of ink moved away from the ink, and turned round.
fn beside(edge: &[Point], by: f64) -> Vec<Point> {
    let n = edge.len();
    let moved = |i: usize| {
        let way = sub(edge[(i + 1).min(n - 1)], edge[i.saturating_sub(1)]);
        let way = unit(way).unwrap_or([0.0, 0.0]);
        [edge[i][0] + way[1] * by, edge[i][1] - way[0] * by]
    };
    (0..n).map(moved).collect()
}

/// A piece of ink, a little larger.
fn grown(edge: &[Point], by: f64) -> Region {
    let piece = polygon(edge.to_vec());
    let lapped = edge.windows(2).map(|w| {
        let way = unit(sub(w[1], w[0])).unwrap_or([0.0, 0.0]);
        let (along, side) = ([way[0] * by, way[1] * by], [way[1] * by, -way[0] * by]);
        polygon(vec![
            [w[0][0] - along[0], w[0][1] - along[1]],
            [w[0][0] - along[0] + side[0], w[0][1] - along[1] + side[1]],
            [w[1][0] + along[0] + side[0], w[1][1] + along[1] + side[1]],
            [w[1][0] + along[0], w[1][1] + along[1]],
        ])
    });
    let all: Vec<Region> = std::iter::once(piece).chain(lapped).collect();
    Region::union_all(&all)
}

fn length(points: &[Point]) -> f64 {
    let off = |w: &[Point]| libm::hypot(w[1][0] - w[0][0], w[1][1] - w[0][1]);
    points.windows(2).map(off).sum()
}
