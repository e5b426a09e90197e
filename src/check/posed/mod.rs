//! What poses show: edges without a line, lines that end in the open, bits that are left, parts apart.

mod bare_edge;
mod borders;
mod floating;
mod island;
mod loose_end;
#[cfg(test)]
mod named_poses;
mod scene;

use std::cell::OnceCell;

use self::borders::Borders;
use self::scene::Scene;
use super::cut_off;
use super::finding::{Finding, around};
use super::limb::Rest;
use super::listed::ListedPose;
use crate::cast::{Measure, PartId};
use crate::geom::{Circle, Point, bounds_of};
use crate::parallel::each;
use crate::pose::ResolvedPose;
use crate::solve::Figure;

/// Poses that a finding names beside the worst.
const NAMED: usize = 3;

/// Something found in one pose.
struct Found {
    measure: Measure,
    value: f64,
    message: String,
    hint: String,
    parts: Vec<PartId>,
    /// Points that show where.
    places: Vec<Point>,
}

impl Found {
    fn is_worse_than(&self, other: &Self) -> bool {
        if self.measure.is_least() {
            self.value < other.value
        } else {
            self.value > other.value
        }
    }
}

/// Checks every pose of the lists: those that go beyond the canvas; then of each measure and part the worst, with the
/// other poses that show it.
pub(super) fn check(rest: &Rest<'_>, poses: &[ListedPose<'_>]) -> Vec<Finding> {
    let borders = Borders::new(rest);
    let found = each(poses, |listed| {
        // What contradicts itself is a mistake of its own.
        let Ok(figure) = rest.puppet.solve(&listed.pose) else {
            return (None, Vec::new());
        };
        let found = of_scene(&Scene::new(rest, &borders, &figure), &listed.pose);
        (cut_off::check(rest, listed, &figure), found)
    });
    let (cut_off, found): (Vec<Option<Finding>>, Vec<Vec<Found>>) = found.into_iter().unzip();
    let mut worst: Vec<(Found, usize, Vec<usize>)> = Vec::new();
    for (at, list) in found.into_iter().enumerate() {
        for one in list {
            let same = |(known, ..): &&mut (Found, usize, Vec<usize>)| {
                known.measure == one.measure && known.parts[0] == one.parts[0]
            };
            match worst.iter_mut().find(same) {
                Some((known, pose, others)) => {
                    if one.is_worse_than(known) {
                        others.push(std::mem::replace(pose, at));
                        *known = one;
                    } else {
                        others.push(at);
                    }
                }
                None => worst.push((one, at, Vec::new())),
            }
        }
    }
    let worst = worst.into_iter().filter_map(|(one, at, mut others)| {
        others.sort_unstable();
        others.dedup();
        let others: Vec<String> = others.into_iter().map(|at| poses[at].name()).collect();
        finding(rest, one, &poses[at], &others)
    });
    cut_off.into_iter().flatten().chain(worst).collect()
}

fn of_scene(scene: &Scene<'_>, pose: &ResolvedPose) -> Vec<Found> {
    let (rest, borders) = (scene.rest, scene.borders);
    // The rest pose, with the drawings that this pose shows, is asked only where something was found.
    let as_drawn = ResolvedPose::rest(rest.view());
    let mut plain = as_drawn.clone();
    for (part, posed) in plain.parts.iter_mut().zip(&pose.parts) {
        part.drawing = posed.drawing;
    }
    let drawn: OnceCell<Option<Figure>> = OnceCell::new();
    let at_rest: OnceCell<Option<Scene<'_>>> = OnceCell::new();
    let meant = || {
        let figure = drawn
            .get_or_init(|| rest.puppet.solve(&plain).ok())
            .as_ref();
        at_rest
            .get_or_init(|| Some(Scene::new(rest, borders, figure?)))
            .as_ref()
    };
    let mut all = bare_edge::check(scene, &|part| {
        meant().map_or_else(Vec::new, |rest| bare_edge::bare_marks(rest, part))
    });
    all.extend(loose_end::check(scene));
    all.extend(island::check(scene, &|part| {
        meant().map_or_else(Vec::new, |rest| island::bits(rest, part))
    }));
    all.extend(floating::check(scene, &|parent, child| {
        // What a pose puts before the place, a crate, is not there at rest.
        let Ok(figure) = rest.puppet.solve(&as_drawn) else {
            return Vec::new();
        };
        floating::over(&Scene::new(rest, borders, &figure), parent, child)
    }));
    all.retain(|f| rest.judge(f.parts[0], f.measure, f.value).is_some());
    all
}

fn finding(
    rest: &Rest<'_>,
    found: Found,
    listed: &ListedPose<'_>,
    others: &[String],
) -> Option<Finding> {
    let (severity, limit) = rest.judge(found.parts[0], found.measure, found.value)?;
    let name = listed.name();
    let also = match others {
        [] => String::new(),
        few if few.len() <= NAMED => format!("; also in {}", few.join(", ")),
        many => format!(
            "; also in {} and {} more",
            many[..NAMED].join(", "),
            many.len() - NAMED
        ),
    };
    Some(Finding {
        measure: found.measure,
        severity,
        parts: found.parts.iter().map(|&p| rest.name(p)).collect(),
        turns: Vec::new(),
        value: found.value,
        limit,
        message: format!("pose {name}: {}{also}", found.message),
        order: Some(name),
        hint: found.hint,
        span: listed.written.span,
        place: place(&found.places),
        pose: listed.pose.clone(),
    })
}

/// A circle about points.
fn place(points: &[Point]) -> Option<Circle> {
    let b = bounds_of(points.iter().copied())?;
    let centre = [f64::midpoint(b[0], b[2]), f64::midpoint(b[1], b[3])];
    let reach = points
        .iter()
        .map(|p| libm::hypot(p[0] - centre[0], p[1] - centre[1]))
        .fold(0.0, f64::max);
    (b[0] <= b[2]).then(|| around(centre, reach.max(12.0)))
}
