//! What labels say of poses and sweeps.

use serde_json::Value;

use crate::build::section::{MemberView, Section};
use crate::cast::{ListSheet, Pose, Sweep};
use crate::compare::PoseRecord;
use crate::pose::{Told, solved};
use crate::sheet::spoken;

/// Turns beyond their joints' limits, and ends of limbs that do not come where they go, in words.
pub(crate) fn over_limits(pose: &Pose, model: &MemberView) -> Option<String> {
    let view = model.view();
    let degrees = |v: f64| format!("{v}°").replace('-', "\u{2212}");
    let mut over: Vec<String> = pose
        .turn
        .iter()
        .filter_map(|said| {
            let part = view.by_name.get(said.part.at()).copied().flatten()?;
            let [least, most] = view.parts[part.at()].limits?;
            let limit = if said.value < least { least } else { most };
            let name = &model.member.names[said.part.at()];
            (said.value < least || said.value > most).then(|| {
                format!(
                    "{name} {} is over its limit {}",
                    degrees(said.value),
                    degrees(limit)
                )
            })
        })
        .collect();
    if !pose.is_plain() {
        let notes = solved(pose, view).notes;
        over.extend(notes.iter().filter_map(|note| {
            let name = view.parts[note.part.at()].name;
            let name = &model.member.names[name.at()];
            match note.told {
                Told::OutOfReach(left) => Some(format!("{name} is {left:.1} units off its target")),
                _ => None,
            }
        }));
    }
    (!over.is_empty()).then(|| over.join("\n"))
}

/// How many poses, or sweeps, of the list have errors.
pub(super) fn left_out(section: &Section, sweeps: bool) -> usize {
    let left_out = section.list.left_out.iter();
    left_out.filter(|entry| entry.sweep == sweeps).count()
}

/// `3 poses`, or `2 of 3 poses` where some were left out.
pub(super) fn counted(count: usize, all: usize, word: &str) -> String {
    let plural = if all == 1 { "" } else { "s" };
    if count == all {
        format!("{count} {word}{plural}")
    } else {
        format!("{count} of {all} {word}{plural}")
    }
}

/// The pose's own note, and what else tells it from its neighbours, most of which are in a palette.
pub(super) fn note(
    pose: &Pose,
    palette: usize,
    targets: bool,
    model: &MemberView,
) -> Option<String> {
    let mut notes: Vec<String> = pose.note.iter().cloned().collect();
    if pose.palette != palette
        && let Some(palette) = model.member.palettes.get(pose.palette)
    {
        notes.push(format!("palette {}", palette.name));
    }
    if pose.mirror {
        notes.push("mirrored".to_owned());
    }
    if targets {
        notes.extend(targets_of(pose, model));
    }
    (!notes.is_empty()).then(|| notes.join("\n"))
}

/// Where hands go, which feet stay and where the eyes turn, a line each.
pub(crate) fn targets_of(pose: &Pose, model: &MemberView) -> Vec<String> {
    let pose = pose.in_view(model.view_name());
    let record = PoseRecord::of(&pose, &[], &model.member);
    let said = record.says.iter().filter_map(|(key, said)| {
        let (table, part) = key.split_once('.').unwrap_or((key, "eyes"));
        let to = match &said.value {
            Value::Bool(_) => return None,
            to => to,
        };
        let to = match to {
            Value::String(text) => text.clone(),
            other => other.to_string(),
        };
        match (table, to.as_str()) {
            ("plant", "rest") => Some(format!("{part} stays")),
            ("plant", _) => Some(format!("{part} stays: {to}")),
            ("reach" | "look", _) => Some(format!("{part} to {to}")),
            _ => None,
        }
    });
    said.collect()
}

/// The angles in the name of a sweep's step: `elbow@-10,30` is `−10°, 30°`.
pub(super) fn step(pose: &Pose) -> String {
    let Some((_, angles)) = pose.name.rsplit_once('@') else {
        return pose.name.clone();
    };
    let angles: Vec<String> = angles
        .split(',')
        .map(|a| format!("{}°", a.replace('-', "\u{2212}")))
        .collect();
    angles.join(", ")
}

/// A grid of two joints keeps its rows.
pub(super) fn columns_of(sweep: &Sweep, chosen: usize) -> Option<usize> {
    match &sweep.axes[..] {
        [_, .., last] if chosen == sweep.poses.len() => Some(last.angles.len().max(1)),
        _ => None,
    }
}

/// What a sheet that a list asks for is called.
pub(super) fn named(sheet: &ListSheet) -> String {
    let title = sheet.title.clone();
    title.unwrap_or_else(|| spoken(&sheet.name))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_left_out_is_counted() {
        assert_eq!(counted(1, 1, "pose"), "1 pose");
        assert_eq!(counted(3, 3, "pose"), "3 poses");
        assert_eq!(counted(1, 3, "sweep"), "1 of 3 sweeps");
    }
}
