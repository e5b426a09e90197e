//! Limits narrowed to what the drawing holds, as a check would measure it.

use std::path::PathBuf;

use super::part::{Decided, Part, Sure};
use super::{Draft, write};
use crate::cast::PartId;
use crate::check::Joints;
use crate::diag::{Problems, Sources};
use crate::files::Files;
use crate::project::Reading;

/// Limits are in steps of this, degrees.
const STEP: f64 = 5.0;
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
        for (part, safe) in view.parts.iter_mut().zip(measured) {
            if let Some(safe) = safe {
                narrow(part, safe);
            }
        }
    }
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
