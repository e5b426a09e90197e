//! Whether a garment reaches the ink that it is to recolour, along the sides of the limb that wears it.

use super::at_rest::AtRest;
use super::finding::Finding;
use super::limb::{Limb, Rest};
use crate::cast::{Garment, Measure, PartId};
use crate::geom::{Circle, Point, Region, distance2_to_piece};

/// How closely edges are walked along, units.
const STEP: f64 = 2.0;
/// A garment's own end may cross the ink aslant: shorter runs than this many line widths are no fault.
const ASLANT: f64 = 2.5;
/// This many line widths inside the host's edge a garment counts as running along it.
const BESIDE: f64 = 1.75;
/// Up to this share of the limb's width from its edge a garment's edge is meant to lie on it.
const STRIP: f64 = 0.45;

/// The stretches of a host's edge that a garment runs along without reaching the ink: the ink there keeps the
/// host's colour, and the host's paint shows as a rim.
pub(super) fn check(rest: &Rest<'_>, garment: &Garment, found: &mut Vec<Finding>) {
    let Some(worn) = rest.garment(garment.part) else {
        return;
    };
    for &host in &garment.on {
        let Some(limb) = rest.limb(host).filter(|l| l.line > 0.0) else {
            continue;
        };
        let near = walk(limb, &worn.silhouette);
        // What several parts wear, a vest, ends along them where it was drawn to end.
        let wide = if garment.on.len() == 1 {
            Strips::new(rest, garment, host, limb).walk(&worn.silhouette)
        } else {
            Run::NONE
        };
        let (along, short) = (near.along + wide.along, near.short + wide.short);
        if along <= 0.0 {
            continue;
        }
        let at = if wide.short > near.short {
            wide.at
        } else {
            near.at
        };
        let names = [garment.part, host].map(|p| rest.name(p));
        let message = format!(
            "garment {} stops short of the ink of {} for {short:.0} of the {along:.0} units that it runs along it: the trim is missing there",
            garment.name, names[1]
        );
        let hint = format!(
            "draw {} wider than {}, or put it in its place",
            names[0], names[1]
        );
        let place = Circle {
            centre: at,
            radius: (6.0 * limb.line).max(12.0),
        };
        found.extend(
            AtRest {
                measure: Measure::Edge,
                parts: &[garment.part, host],
                value: 100.0 * short / along,
                span: garment.span,
                place: Some(place),
                message,
                hint,
            }
            .judged(rest),
        );
    }
}

/// How long a garment runs along a host's edge, how much of that it stops short of the ink, and where most.
struct Run {
    along: f64,
    short: f64,
    at: Point,
}

impl Run {
    const NONE: Self = Self {
        along: 0.0,
        short: 0.0,
        at: [0.0, 0.0],
    };
}

/// Points along a piece of line, the step between them, and its direction.
fn steps(a: Point, b: Point) -> impl Iterator<Item = (Point, f64, Point)> {
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    let length = libm::hypot(dx, dy);
    let n = if length <= 1e-9 {
        0.0
    } else {
        libm::ceil(length / STEP).clamp(1.0, 500.0)
    };
    let mut k = 0.5;
    std::iter::from_fn(move || {
        if k >= n {
            return None;
        }
        let p = [a[0] + dx * k / n, a[1] + dy * k / n];
        k += 1.0;
        Some((p, length / n, [dx / length, dy / length]))
    })
}

/// Within a few lines of the ink, from the host's edge inwards.
fn walk(limb: &Limb, worn: &Region) -> Run {
    let (mut along, mut short) = (0.0, 0.0);
    let (mut run, mut start) = (0.0, [0.0, 0.0]);
    let mut longest = (0.0, [0.0, 0.0]);
    let mut end = |run: &mut f64, start: Point, to: Point| {
        if *run > ASLANT * limb.line {
            short += *run;
            if *run > longest.0 {
                longest = (*run, [(start[0] + to[0]) / 2.0, (start[1] + to[1]) / 2.0]);
            }
        }
        *run = 0.0;
    };
    for (a, b) in limb.silhouette.edges() {
        for (p, step, way) in steps(a, b) {
            let beside = |by: f64| [p[0] - way[1] * by, p[1] + way[0] * by];
            // Which side is inside depends on the way the contour goes round.
            let side = if limb.silhouette.contains(beside(0.25 * limb.line)) {
                1.0
            } else {
                -1.0
            };
            if !worn.contains(beside(side * BESIDE * limb.line)) {
                end(&mut run, start, p);
                continue;
            }
            along += step;
            if worn.contains(beside(side * 0.5 * limb.line)) {
                end(&mut run, start, p);
            } else {
                if run == 0.0 {
                    start = p;
                }
                run += step;
            }
        }
    }
    end(&mut run, start, start);
    Run {
        along,
        short,
        at: longest.1,
    }
}

/// Where a garment's own edge runs beside the host's, further in.
struct Strips<'a> {
    limb: &'a Limb,
    /// Along the limb.
    axis: Point,
    /// What else the host wears.
    others: Region,
}

impl<'a> Strips<'a> {
    fn new(rest: &Rest<'_>, garment: &Garment, host: PartId, limb: &'a Limb) -> Self {
        let pivot = rest.pivot(host);
        let end = rest.axis(host).map(|[_, to]| to);
        let end = end.or_else(|| limb.silhouette.centroid()).unwrap_or(pivot);
        let way = [end[0] - pivot[0], end[1] - pivot[1]];
        let length = libm::hypot(way[0], way[1]).max(1e-6);
        let worn = rest.view().garments.iter();
        let others = worn
            .filter(|g| g.part != garment.part && g.on.contains(&host))
            .filter_map(|g| Some(&rest.limb(g.part)?.silhouette));
        Self {
            limb,
            axis: way.map(|v| v / length),
            others: Region::union_all(others),
        }
    }

    fn walk(&self, worn: &Region) -> Run {
        let mut short = 0.0;
        let mut at = [0.0, 0.0];
        for (a, b) in worn.edges() {
            for (p, step, way) in steps(a, b) {
                if self.is_beside(worn, p, way) {
                    if short == 0.0 {
                        at = p;
                    }
                    short += step;
                }
            }
        }
        if short <= ASLANT * self.limb.line {
            short = 0.0;
        }
        Run {
            along: short,
            short,
            at,
        }
    }

    fn is_beside(&self, worn: &Region, p: Point, way: Point) -> bool {
        if !self.limb.inner.contains(p) {
            return false;
        }
        let Some((off, inwards)) = self.nearest_side(p) else {
            return false;
        };
        let dot = |a: Point, b: Point| a[0] * b[0] + a[1] * b[1];
        // A hem crosses the limb, and the end of a limb is no side of it.
        if off <= BESIDE * self.limb.line
            || dot(way, inwards).abs() > 0.5
            || dot(inwards, self.axis).abs() > 0.7
        {
            return false;
        }
        let beside = |by: f64| [p[0] + inwards[0] * by, p[1] + inwards[1] * by];
        if !worn.contains(beside(0.5)) || worn.contains(beside(-0.5)) {
            return false;
        }
        off < STRIP * (off + self.across(p, inwards)) && !self.others.contains(beside(-0.5 * off))
    }

    /// How far the limb's edge is, and the direction from there to the point.
    fn nearest_side(&self, p: Point) -> Option<(f64, Point)> {
        let near = self.limb.silhouette.edges().min_by(|x, y| {
            distance2_to_piece(p, x.0, x.1).total_cmp(&distance2_to_piece(p, y.0, y.1))
        })?;
        let off = libm::sqrt(distance2_to_piece(p, near.0, near.1));
        let way = [near.1[0] - near.0[0], near.1[1] - near.0[1]];
        let length = libm::hypot(way[0], way[1]);
        if length <= 1e-9 || off <= 1e-9 {
            return None;
        }
        let normal = [-way[1] / length, way[0] / length];
        let from = [p[0] - near.0[0], p[1] - near.0[1]];
        let side = libm::copysign(1.0, from[0] * normal[0] + from[1] * normal[1]);
        Some((off, normal.map(|v| v * side)))
    }

    /// From a point to where a ray leaves the limb.
    fn across(&self, p: Point, way: Point) -> f64 {
        let mut least = f64::INFINITY;
        for (a, b) in self.limb.silhouette.edges() {
            let (a, b) = ([a[0] - p[0], a[1] - p[1]], [b[0] - p[0], b[1] - p[1]]);
            let (oa, ob) = (a[1] * way[0] - a[0] * way[1], b[1] * way[0] - b[0] * way[1]);
            if (oa > 0.0) == (ob > 0.0) {
                continue;
            }
            let t = oa / (oa - ob);
            let along = (a[0] + (b[0] - a[0]) * t) * way[0] + (a[1] + (b[1] - a[1]) * t) * way[1];
            if along > 0.0 {
                least = least.min(along);
            }
        }
        least
    }
}
