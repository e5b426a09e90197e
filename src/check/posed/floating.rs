//! Parts that a seam should hold and that are seen apart from what holds them.

use super::Found;
use super::borders::{normal, scale};
use super::scene::Scene;
use crate::cast::{Measure, PartId};
use crate::geom::{Point, Region, grown, meet};

/// Of the place where two parts meet, the share that may be hidden before nobody can tell.
const HIDDEN: f64 = 0.3;
/// Parts nearer than this touch, widths of the line.
const TOUCH: f64 = 0.75;
/// Points between two parts that are apart.
const BETWEEN: u32 = 12;

/// What is seen where two parts should meet.
#[derive(Default)]
struct Meeting {
    /// Points where one is seen beside the other.
    contact: u32,
    /// Where the nearer is seen, and not the other.
    apart: Vec<(Point, Option<PartId>)>,
    /// Where something in front hides both.
    hidden: u32,
}

/// Seams whose parts are both shown and nowhere seen together, though the place is seen.
pub(super) fn check(
    scene: &Scene<'_>,
    at_rest: &dyn Fn(PartId, PartId) -> Vec<PartId>,
) -> Vec<Found> {
    let view = scene.rest.view();
    let mut all = Vec::new();
    for seam in &view.seams {
        let (parent, child) = (seam.parent, seam.child);
        // Another seam may hold it.
        let others = scene.partners(child).filter(|&p| p != parent);
        let mut held = others.filter(|&p| !scene.rest.carried(p, child));
        if held.any(|p| together(scene, p, child).is_some_and(|m| m.contact > 0)) {
            continue;
        }
        let Some(mut meeting) = together(scene, parent, child) else {
            continue;
        };
        if !meeting.apart.is_empty() {
            // What covers the place at rest too is meant to: a scarf over the neck.
            let meant = at_rest(parent, child);
            let before = meeting.apart.len();
            meeting
                .apart
                .retain(|(_, over)| !over.is_some_and(|o| meant.contains(&o)));
            meeting.hidden += u32::try_from(before - meeting.apart.len()).unwrap_or(0);
        }
        let seen = f64::from(meeting.contact) + count(&meeting.apart);
        let all_points = seen + f64::from(meeting.hidden);
        if seen <= 0.0 || f64::from(meeting.hidden) > HIDDEN * all_points {
            continue;
        }
        let value = 100.0 * count(&meeting.apart) / seen;
        let names = [child, parent].map(|p| scene.rest.name(p));
        all.push(Found {
            measure: Measure::Floating,
            value,
            message: format!(
                "{} is seen apart from {}: {value:.0} % of the place where seam {} joins them shows no contact",
                names[0], names[1], seam.name
            ),
            hint: format!(
                "move or turn {} so that it meets {}, or hide the place behind something",
                names[0], names[1]
            ),
            parts: vec![child, parent],
            places: meeting.apart.iter().map(|(p, _)| *p).collect(),
        });
    }
    all
}

fn count(points: &[(Point, Option<PartId>)]) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "counts of points")]
    let n = points.len() as f64;
    n
}

/// What is seen in place of the farther of two parts where they meet.
pub(super) fn over(scene: &Scene<'_>, parent: PartId, child: PartId) -> Vec<PartId> {
    let meeting = together(scene, parent, child);
    let apart = meeting.into_iter().flat_map(|m| m.apart);
    apart.filter_map(|(_, over)| over).collect()
}

/// How two parts meet; `None` where one does not show.
fn together(scene: &Scene<'_>, a: PartId, child: PartId) -> Option<Meeting> {
    let figure = scene.figure;
    let (far, near) = if figure.rank(a) < figure.rank(child) {
        (a, child)
    } else {
        (child, a)
    };
    let line = [far, near]
        .iter()
        .filter_map(|&p| {
            let (_, id, posed) = figure.drawing(p)?;
            Some(scene.border(id).line * scale(&posed))
        })
        .fold(0.0, f64::max);
    figure.drawing(far)?;
    figure.drawing(near)?;
    let (under, over) = (scene.silhouette(far), scene.silhouette(near));
    let (under_box, over_box) = (under.bounds()?, over.bounds()?);
    let mut meeting = Meeting::default();
    let touch = line.max(1.0) * TOUCH;
    let mut met = false;
    if meet(under_box, grown(over_box, touch)) {
        for (at, out) in marks(scene, near) {
            let off = |by: f64| [at[0] + out[0] * by, at[1] + out[1] * by];
            let beyond = off(touch);
            if !under.contains(beyond) {
                continue;
            }
            met = true;
            let inside = scene.top(off(-touch)).map(|p| p.layer.part);
            let outside = scene.top(beyond).map(|p| p.layer.part);
            let is = |seen: Option<PartId>, of| seen.is_some_and(|s| scene.belongs(s, of));
            let before =
                |seen: Option<PartId>, of| seen.is_some_and(|s| figure.rank(s) > figure.rank(of));
            if is(inside, near) && (is(outside, far) || held(scene, outside, near, far)) {
                meeting.contact += 1;
            } else if before(inside, near)
                || before(outside, near)
                // A limb that goes on behind something.
                || far == child && before(outside, far)
            {
                meeting.hidden += 1;
            } else {
                meeting.apart.push((at, outside));
            }
        }
        // One that lies wholly inside the other, without an edge over it.
        if !met && !under.intersection(&over).is_empty() {
            return None;
        }
    }
    if !met {
        let (from, to) = nearest(&over, &under)?;
        for k in 0..=BETWEEN {
            let t = f64::from(k) / f64::from(BETWEEN);
            let p = [
                from[0] + (to[0] - from[0]) * t,
                from[1] + (to[1] - from[1]) * t,
            ];
            let front = scene.top(p).map(|piece| piece.layer.part);
            match front {
                Some(s) if figure.rank(s) > figure.rank(near) && !scene.belongs(s, near) => {
                    meeting.hidden += 1;
                }
                _ => meeting.apart.push((p, None)),
            }
        }
    }
    Some(meeting)
}

/// What holds either of the two by another seam and is seen in the other's place: a coat over the hip.
fn held(scene: &Scene<'_>, seen: Option<PartId>, near: PartId, far: PartId) -> bool {
    seen.is_some_and(|s| {
        let mut by = scene.partners(far).filter(|&p| p != near);
        by.any(|p| scene.belongs(s, p))
    })
}

/// Points along a part's border, posed, with the way out.
fn marks(scene: &Scene<'_>, part: PartId) -> Vec<(Point, Point)> {
    let Some((_, id, posed)) = scene.figure.drawing(part) else {
        return Vec::new();
    };
    let border = scene.border(id);
    border
        .marks
        .iter()
        .map(|m| (posed.apply(m.at), normal(&posed, m.out)))
        .collect()
}

/// The points in which two regions that are apart are nearest.
fn nearest(a: &Region, b: &Region) -> Option<(Point, Point)> {
    let edges = crate::geom::Edges::new(b);
    let points = a.contours().iter().flatten();
    let from = *points.min_by(|p, q| edges.distance2(**p).total_cmp(&edges.distance2(**q)))?;
    Some((from, edges.nearest(from)))
}
