//! Limits narrowed to what the drawing holds, as a check would measure it.

use std::path::PathBuf;

use super::part::{Decided, Part, Sure};
use super::view::View;
use super::{Draft, write};
use crate::cast::PartId;
use crate::check::{Hidden, Joints, Range};
use crate::diag::{Problems, Sources};
use crate::files::Files;
use crate::fit::fit;
use crate::geom::Point;
use crate::parallel;
use crate::project::Reading;

/// Limits are in steps of this, degrees.
const STEP: f64 = 5.0;
/// A joint that holds at no turn has these all the same, degrees.
const LEAST: f64 = 10.0;
/// Where a measure is above its limit, it is so this far before, degrees.
const CLOSE: f64 = 1.0;

/// Narrows the limits of all parts; `drawings` are the files and their texts.
pub(super) fn settle(draft: &mut Draft, drawings: &[(String, String)]) {
    let rig = write::texts(draft);
    let all = rig
        .iter()
        .chain(drawings)
        .map(|(name, text)| (PathBuf::from(name), text.clone().into_bytes()));
    let Ok(files) = Files::memory(all) else {
        return;
    };
    let (mut sources, mut problems) = (Sources::of(files), Problems::default());
    let named = (None, PathBuf::from("rig.toml"));
    let Some(subject) =
        Reading::default().member(&named, &mut sources, &mut problems, &mut Vec::new())
    else {
        return;
    };
    for (at, view) in draft.views.iter_mut().enumerate() {
        let puppet = subject.puppet(at);
        let Some(joints) = Joints::new(&puppet, 1.0) else {
            continue;
        };
        let all: Vec<usize> = (0..view.parts.len()).collect();
        let seen = &*view;
        let measured: Vec<Option<Settled>> = parallel::each(&all, |&k| {
            let part = &seen.parts[k];
            let (limits, parent) = (part.limits.as_ref()?, part.parent.as_ref()?);
            let (own, on) = (PartId::of(k), PartId::of(parent.value));
            let safe = |pivot: Point| {
                let (range, _) = joints.range(own, [on, own], limits.value.1, pivot)?;
                Some(holds(&range))
            };
            let found = safe(puppet.0.part(own).pivot)?;
            Some(fitted(seen, k, found, safe).unwrap_or((found, None)))
        });
        for (part, settled) in view.parts.iter_mut().zip(measured) {
            let Some((safe, pivot)) = settled else {
                continue;
            };
            if let Some(at) = pivot {
                let why = "where fit finds that the seam holds best; in the middle of the overlap it held at no turn";
                part.pivot = Decided::new(at, Sure::Guess, why);
            }
            narrow(part, safe);
        }
    }
}

/// How far a joint turns without a finding; where that is less than half of how far it holds, that.
fn holds(range: &Range) -> [f64; 2] {
    let safe = range.safe.unwrap_or([0.0, 0.0]);
    let mut clean = safe;
    for (_, curve, limits) in &range.curves {
        let above = |value: f64| limits.is_some_and(|[warning, _]| value > warning);
        for sample in curve.samples.iter().filter(|s| above(s.value)) {
            let side = usize::from(sample.angle > 0.0);
            clean[side] = if side == 1 {
                clean[1].min(sample.angle - CLOSE).max(0.0)
            } else {
                clean[0].max(sample.angle + CLOSE).min(0.0)
            };
        }
    }
    if 2.0 * span(clean) < span(safe) {
        safe
    } else {
        clean
    }
}

/// How far a part turns and holds, and a better pivot.
type Settled = ([f64; 2], Option<Point>);

/// The pivot at which a seam holds best, where it holds at no turn about the middle of the overlap.
fn fitted(
    view: &View,
    k: usize,
    found: [f64; 2],
    safe: impl Fn(Point) -> Option<[f64; 2]>,
) -> Option<Settled> {
    let part = &view.parts[k];
    let on = part.parent.as_ref()?.value;
    let joined = view.seams.iter().any(|s| [s.parent, s.child] == [on, k]);
    if !joined || part.pivot.sure == Sure::Certain || span(found) >= LEAST {
        return None;
    }
    let (p, c) = (&view.parts[on].shown, &part.shown);
    let limits = part.limits.as_ref()?.value.1;
    let best = fit(
        &p.silhouette,
        &c.silhouette,
        part.pivot.value,
        limits,
        Hidden::BOTH,
    )?;
    let holds = safe(best.best)?;
    (best.is_better() && span(holds) > span(found)).then_some((holds, Some(best.best)))
}

fn span([least, most]: [f64; 2]) -> f64 {
    most - least
}

/// Narrows a part's limits to where it holds.
fn narrow(part: &mut Part, safe: [f64; 2]) {
    let Some(limits) = &part.limits else { return };
    let wanted = limits.value.1;
    let holds = [
        wanted[0].max((safe[0] / STEP).ceil() * STEP) + 0.0,
        wanted[1].min((safe[1] / STEP).floor() * STEP) + 0.0,
    ];
    if holds == wanted {
        return;
    }
    let decided = if span(holds) < LEAST {
        let few = [wanted[0].max(-LEAST), wanted[1].min(LEAST)];
        let why = format!("{}: but the drawing holds together at no turn", limits.why);
        Decided::new((text(few), few), Sure::Guess, why)
    } else {
        let why = format!(
            "{} would be {} to {}: the drawing holds together so far",
            limits.why, wanted[0], wanted[1]
        );
        Decided::new((text(holds), holds), limits.sure, why)
    };
    part.limits = Some(decided);
}

fn text([least, most]: [f64; 2]) -> String {
    format!("[{least}, {most}]")
}
