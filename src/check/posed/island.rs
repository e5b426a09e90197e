//! Bits of parts that are left to be seen.

use super::Found;
use super::borders::scale;
use super::scene::Scene;
use crate::art::Role;
use crate::cast::{Measure, PartId};
use crate::geom::{Point, Region};

/// A part that is not this many times as large as the bit that is seen of it is small itself.
const LARGER: f64 = 4.0;
/// Bits up to this many line widths across are looked at.
const LOOKED_AT: f64 = 6.0;
/// A bit narrower than this, widths of the line, thickens a line and is no bit of its own.
const NARROW: f64 = 0.35;
/// Of a bit's outline, the least that is the part's own edge: else it is seen through a gap.
const OWN: f64 = 0.25;
/// A bit with this much of its own edge is drawn by itself and seen whole.
const WHOLE: f64 = 0.9;
/// What lies over a part and is no wider than this, widths of the part's line, leaves it whole to the eye.
const THIN: f64 = 2.5;
/// From one point to the next where paint is looked for, widths.
const SPOTS: f64 = 0.1;
/// An outline runs along an edge when it is no further off, widths of the line.
const OFF: f64 = 0.02;

/// The smallest bit of each part that is seen: the side of a square as large, in widths of its line.
pub(super) fn check(scene: &Scene<'_>, at_rest: &dyn Fn(PartId) -> Vec<Bit>) -> Vec<Found> {
    let parts = scene.figure.order().iter();
    parts
        .filter_map(|&part| {
            let mut bits = bits(scene, part);
            if bits.is_empty() {
                return None;
            }
            let meant = at_rest(part);
            let near = |a: &Bit, b: &Bit| {
                libm::hypot(a.own[0] - b.own[0], a.own[1] - b.own[1]) < LOOKED_AT * a.line
            };
            bits.retain(|bit| !meant.iter().any(|m| near(bit, m)));
            let least = bits
                .into_iter()
                .min_by(|a, b| a.value.total_cmp(&b.value))?;
            let name = scene.rest.name(part);
            let value = least.value;
            Some(Found {
                measure: Measure::Island,
                value,
                message: format!(
                    "a bit of {name} is left to be seen, {value:.1} line widths across"
                ),
                hint: format!("show more of {name} or hide it all: turn or move it, or change what is in front"),
                parts: vec![part],
                places: least.outline,
            })
        })
        .collect()
}

/// A bit of a part that is seen.
pub(super) struct Bit {
    value: f64,
    outline: Vec<Point>,
    /// Its middle where the part is at rest.
    own: Point,
    line: f64,
}

/// The small bits that are seen of a part, away from what it is joined to.
pub(super) fn bits(scene: &Scene<'_>, part: PartId) -> Vec<Bit> {
    let figure = scene.figure;
    if scene.rest.worn(part) {
        return Vec::new();
    }
    let Some((_, id, posed)) = figure.drawing(part) else {
        return Vec::new();
    };
    let line = scene.border(id).line * scale(&posed);
    if line <= 0.0 {
        return Vec::new();
    }
    let whole = scene.silhouette(part);
    let (Some(bounds), area) = (whole.bounds(), whole.area()) else {
        return Vec::new();
    };
    let front: Vec<Region> = figure
        .order()
        .iter()
        .skip(figure.rank(part) + 1)
        .filter(|&&other| !scene.rest.worn(other))
        .filter_map(|&other| scene.cover(other, bounds))
        .collect();
    if front.is_empty() {
        return Vec::new();
    }
    let seen = whole.difference(&Region::union_all(&front));
    let Some(back) = figure.world(part).inverse() else {
        return Vec::new();
    };
    let mut all = Vec::new();
    for outline in seen.contours() {
        // What is small is told at once.
        let (size, around) = measured(outline);
        let value = libm::sqrt(size) / line;
        let wide = 2.0 * size / around.max(f64::MIN_POSITIVE);
        if value > LOOKED_AT || size * LARGER > area || wide < NARROW * line {
            continue;
        }
        // Neither what is drawn by itself nor what is seen through a gap between others.
        let own_edge = own_edge(&whole, outline, line * OFF) / around;
        if !(OWN..=WHOLE).contains(&own_edge) {
            continue;
        }
        let bit =
            Region::from_contours(std::slice::from_ref(outline), tiny_skia::FillRule::Winding);
        let Some(middle) = bit.inscribed_circle(line * 0.1) else {
            continue;
        };
        let own = scene
            .top(middle.centre)
            .is_some_and(|piece| scene.belongs(piece.layer.part, part));
        if !own || goes_on(scene, part, outline, middle.centre, line) {
            continue;
        }
        let larger = |other: &&Vec<Point>| measured(other).0 > size * LARGER;
        let far = THIN * line;
        let beside = seen.contours().iter().filter(larger).any(|other| {
            let near = |p: &Point| {
                outline
                    .iter()
                    .any(|q| libm::hypot(p[0] - q[0], p[1] - q[1]) < far)
            };
            other.iter().any(near)
        });
        // A brow over hair: it goes on behind what is thin.
        if beside {
            continue;
        }
        // Ink alone that is thinner than a line only makes the line beside it thicker.
        if 2.0 * middle.radius < line && !shows_paint(scene, part, &bit, line) {
            continue;
        }
        all.push(Bit {
            value,
            own: back.apply(middle.centre),
            outline: outline.clone(),
            line,
        });
    }
    all
}

/// Whether a spot of the part's paint is seen in a bit that is not too narrow to be one.
fn shows_paint(scene: &Scene<'_>, part: PartId, bit: &Region, line: f64) -> bool {
    let Some(bounds) = bit.bounds() else {
        return false;
    };
    let is_paint = |p: Point| {
        bit.contains(p)
            && scene.top(p).is_some_and(|piece| {
                piece.role == Role::Paint && scene.belongs(piece.layer.part, part)
            })
    };
    let round = [[1.0, 0.0], [0.7, 0.7], [0.0, 1.0], [-0.7, 0.7]];
    let half = NARROW * line / 2.0;
    let spot = |p: Point| {
        let off = |d: [f64; 2], by: f64| [p[0] + d[0] * by, p[1] + d[1] * by];
        is_paint(p)
            && round
                .iter()
                .all(|&d| is_paint(off(d, half)) && is_paint(off(d, -half)))
    };
    let step = line * SPOTS;
    let along = |from: f64, to: f64| {
        std::iter::successors(Some(from), move |x| Some(x + step)).take_while(move |x| *x <= to)
    };
    along(bounds[1], bounds[3]).any(|y| along(bounds[0], bounds[2]).any(|x| spot([x, y])))
}

/// Area and length of a contour.
fn measured(outline: &[Point]) -> (f64, f64) {
    let (mut twice, mut around) = (0.0, 0.0);
    let mut last = outline[outline.len() - 1];
    for &p in outline {
        twice += last[0] * p[1] - p[0] * last[1];
        around += libm::hypot(p[0] - last[0], p[1] - last[1]);
        last = p;
    }
    (f64::abs(twice) / 2.0, around)
}

/// How much of a contour runs along the edge of the whole.
fn own_edge(whole: &Region, outline: &[Point], off: f64) -> f64 {
    let mut own = 0.0;
    let mut last = outline[outline.len() - 1];
    for &p in outline {
        let middle = [f64::midpoint(last[0], p[0]), f64::midpoint(last[1], p[1])];
        if whole.distance_to_edge(middle) < off {
            own += libm::hypot(p[0] - last[0], p[1] - last[1]);
        }
        last = p;
    }
    own
}

/// Whether a bit is seen to go on in a part that a seam joins.
fn goes_on(scene: &Scene<'_>, part: PartId, outline: &[Point], middle: Point, line: f64) -> bool {
    let mut partners = 0;
    for p in outline {
        let way = [p[0] - middle[0], p[1] - middle[1]];
        let far = libm::hypot(way[0], way[1]).max(f64::MIN_POSITIVE);
        let beyond = 1.0 + line / far;
        let q = [middle[0] + way[0] * beyond, middle[1] + way[1] * beyond];
        let joined = scene.top(q).is_some_and(|piece| {
            let other = piece.layer.part;
            scene.partners(part).any(|b| scene.belongs(other, b))
        });
        partners += usize::from(joined);
    }
    partners * 5 > outline.len()
}
