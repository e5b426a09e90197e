//! Limits narrowed to what the drawing holds, as a check would measure it.

use std::path::PathBuf;

use super::part::{Decided, Part, Sure};
use super::pivots::MIDDLE;
use super::view::View;
use super::{Draft, write};
use crate::cast::PartId;
use crate::check::Joints;
use crate::diag::{Problems, Sources};
use crate::files::Files;
use crate::fit::proposals;
use crate::geom::Point;
use crate::project::Reading;
use crate::solve::Puppet;

/// Limits are in steps of this, degrees.
const STEP: f64 = 5.0;
/// A joint that holds over less than this share of its limits may turn elsewhere.
const SHORT: f64 = 0.6;
/// A joint that holds at no turn has these all the same, degrees.
const LEAST: f64 = 10.0;

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
        let measured: Vec<Option<[f64; 2]>> = (0..view.parts.len())
            .map(|k| {
                let part = &view.parts[k];
                let (limits, parent) = (part.limits.as_ref()?, part.parent.as_ref()?);
                let (own, on) = (PartId::of(k), PartId::of(parent.value));
                let pivot = puppet.0.part(own).pivot;
                let (range, _) = joints.range(own, [on, own], limits.value.1, pivot)?;
                Some(range.safe.unwrap_or([0.0, 0.0]))
            })
            .collect();
        let better = fitted(view, &puppet, &measured);
        for (k, safe) in measured.into_iter().enumerate() {
            let moved = better.iter().find(|(part, _, _)| *part == k);
            if let Some((_, pivot, _)) = moved {
                let why = "where the two hold best, off the middle of their overlap";
                view.parts[k].pivot = Decided::new(*pivot, Sure::Likely, why);
            }
            if let Some(safe) = moved.map(|m| m.2).or(safe) {
                narrow(&mut view.parts[k], safe);
            }
        }
    }
}

fn span([least, most]: [f64; 2]) -> f64 {
    most - least
}

/// Pivots that hold much better than the middle of the overlap, and how far.
fn fitted(
    view: &View,
    puppet: &Puppet,
    measured: &[Option<[f64; 2]>],
) -> Vec<(usize, Point, [f64; 2])> {
    let poor: Vec<&str> = view
        .parts
        .iter()
        .zip(measured)
        .filter(|(part, safe)| {
            let (Some(limits), Some(safe)) = (&part.limits, safe) else {
                return false;
            };
            part.pivot.why == MIDDLE && span(*safe) < SHORT * span(limits.value.1)
        })
        .map(|(part, _)| part.name.as_str())
        .collect();
    if poor.is_empty() {
        return Vec::new();
    }
    let found = proposals(puppet, |name| poor.contains(&name), false);
    let better = found.into_iter().flatten().filter_map(|proposal| {
        let k = proposal.part.at();
        let safe = proposal.told[1].as_ref()?.range.safe?;
        let more = span(safe) > span(measured[k]?) + LEAST;
        more.then_some((k, proposal.fitted.best, safe))
    });
    better.collect()
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
