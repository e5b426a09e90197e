//! What sheets, checks and comparisons depend on, beside the figures that they show. What is written on sheets
//! as it is in files counts as a whole, but for its places there; other types are taken apart field by field, as in
//! `depends.rs`.

use std::path::Path;

use super::depends::swatches;
use super::digest::{Digest, Stamp};
use crate::build::{MemberView, Plan, Purpose, Section, over_limits, targets_of};
use crate::cast::{
    Drawing, Height, Measure, Member, Part, PartId, Pose, PoseList, Sweep, SweepAxis,
};
use crate::compare::{PoseRecord, RigRecord};
use crate::pose::{Solved, solved};

/// Of a section on a sheet: all that is written there of its member, its view, its list.
///
/// Of a list as it is, its poses and its sweeps as far as they are shown.
pub fn section(
    stamp: &mut Stamp,
    section: &Section,
    model: &MemberView,
    [poses, sweeps]: [bool; 2],
) {
    let member = &model.member;
    stamp.text(&section.name.to_string());
    stamp.text(&section.list.key);
    match section.purpose {
        Purpose::List => stamp.count(0),
        Purpose::Sheet(kind) => {
            stamp.count(1);
            stamp.text(kind.name());
        }
        Purpose::Declared => stamp.count(2),
    }
    // Names of views that share a sheet are in those of their sections.
    stamp.maybe(model.view_name(), Stamp::text);
    about(stamp, member);
    stamp.value(&model.view().guides);
    // Charts show parts by the names of their drawings.
    for part in &model.view().parts {
        stamp.count(part.replacements.len());
        part.replacements.keys().for_each(|name| stamp.text(name));
    }
    stamp.maybe(section.declared(), Stamp::value);
    for pose in section.poses().filter(|_| poses) {
        label(stamp, pose, model);
    }
    for (sweep, steps) in section.sweeps().filter(|_| sweeps) {
        let Sweep {
            name,
            span: _,
            note,
            axes,
            poses: _,
        } = sweep;
        stamp.text(name);
        stamp.maybe(note.as_deref(), Stamp::text);
        stamp.count(axes.len());
        for SweepAxis { part, angles } in axes {
            stamp.text(&member.names[part.at()]);
            stamp.count(angles.len());
            stamp.numbers(angles);
        }
        stamp.count(steps.len());
        steps.iter().for_each(|pose| label(stamp, pose, model));
    }
    // How many there would be without errors is written on it.
    for sweeps in [false, true] {
        let left_out = section.list.left_out.iter();
        stamp.count(left_out.filter(|entry| entry.sweep == sweeps).count());
    }
    stamp.count(section.list.poses.len());
    stamp.count(section.list.sweeps.len());
}

/// What sheets tell of a member.
fn about(stamp: &mut Stamp, member: &Member) {
    stamp.text(&member.name);
    for number in [member.ground, member.crown, member.heads] {
        stamp.maybe(number, Stamp::number);
    }
    stamp.maybe(member.height.as_ref(), |stamp, height| {
        let Height { text, millimetres } = height;
        stamp.text(text);
        stamp.number(*millimetres);
    });
    stamp.number(member.drift);
    stamp.count(member.palettes.len());
    for palette in &member.palettes {
        stamp.text(&palette.name);
        swatches(stamp, palette);
    }
}

/// What a cell says of its pose. A limit counts where it is gone over.
fn label(stamp: &mut Stamp, pose: &Pose, model: &MemberView) {
    stamp.text(&pose.name);
    stamp.maybe(pose.note.as_deref(), Stamp::text);
    stamp.count(pose.palette);
    stamp.maybe(over_limits(pose, model).as_deref(), Stamp::text);
    for line in targets_of(pose, model) {
        stamp.text(&line);
    }
}

/// Of a check: all art, names and limits, and the poses.
pub fn checked(stamp: &mut Stamp, model: &MemberView, lists: &[&PoseList], drawings: &[Digest]) {
    let view = model.view();
    stamp.maybe(model.view_name(), Stamp::text);
    stamp.text(&model.member.key);
    let art = |stamp: &mut Stamp, drawing: &Drawing| match drawing {
        Drawing::Art(id) => stamp.digest(&drawings[id.at()]),
        Drawing::Empty => stamp.count(0),
    };
    for (at, part) in view.parts.iter().enumerate() {
        // Names and places are in the view's own digest.
        let Part {
            name: _,
            span: _,
            art: own,
            replacements,
            parent: _,
            pivot: _,
            depth: _,
            limits,
            place: _,
            space: _,
            points: _,
            look: _,
            tip: _,
            end: _,
        } = part;
        art(stamp, own);
        stamp.count(replacements.len());
        for (name, drawing) in replacements {
            stamp.text(name);
            art(stamp, drawing);
        }
        stamp.maybe(limits.as_ref(), |stamp, limits| stamp.numbers(limits));
        let limits = model.member.check_limits(model.view, PartId::of(at));
        for measure in Measure::ALL {
            stamp.maybe(limits.get(measure), |stamp, limits| stamp.numbers(&limits));
        }
    }
    let names = (view.seams.iter().map(|s| &s.name))
        .chain(view.masks.iter().map(|m| &m.name))
        .chain(view.garments.iter().map(|g| &g.name));
    names.for_each(|name| stamp.text(name));
    for palette in &model.member.palettes {
        swatches(stamp, palette);
    }
    for list in lists {
        stamp.text(&list.key);
        let steps = list.sweeps.iter().filter_map(|s| s.poses.first());
        for pose in list.poses.iter().chain(steps) {
            stamp.text(&pose.name);
            // A turn out of limits that leave out rest is told where a pose says it.
            stamp.count(pose.turn.len());
            pose.turn
                .iter()
                .for_each(|said| stamp.count(said.part.at()));
            let Solved { pose, notes } = solved(pose, view);
            stamp.count(notes.len());
            notes.iter().for_each(|note| stamp.text(&note.words()));
            let palette = pose.palette.to_string();
            stamp.text(&pose.words(|id| drawings[id.at()].as_str(), &palette));
        }
    }
}

/// Of a pose that is compared: what a comparison tells of it.
pub fn compared(stamp: &mut Stamp, pose: &Pose, section: &Section, model: &MemberView) {
    stamp.text(&pose.name);
    stamp.maybe(pose.note.as_deref(), Stamp::text);
    stamp.value(&pose.compare);
    let record = PoseRecord::of(pose, &section.list.poses, &model.member);
    stamp.value(&record);
}

/// Of an approved set: its manifest, and which of its files are there; false when there is no set.
/// With `verify` the files are read.
pub fn approved(stamp: &mut Stamp, folder: &Path, verify: bool) -> bool {
    let manifest = std::fs::read(folder.join("manifest.json")).ok();
    let there = manifest.is_some();
    stamp.maybe(manifest, |stamp, bytes| {
        stamp.digest(&Digest::of(&bytes));
    });
    for sort in ["pictures", "owners"] {
        let entries = std::fs::read_dir(folder.join(sort)).into_iter().flatten();
        let mut files: Vec<(String, u64)> = entries
            .flatten()
            .filter_map(|entry| {
                let about = entry.metadata().ok().filter(|about| about.is_file())?;
                Some((
                    entry.file_name().to_string_lossy().into_owned(),
                    about.len(),
                ))
            })
            .collect();
        files.sort_unstable();
        stamp.count(files.len());
        for (name, bytes) in files {
            stamp.text(&name);
            stamp.number(bytes as f64);
            // A sound file is called by the digest of its bytes.
            if verify {
                let bytes = std::fs::read(folder.join(sort).join(&name)).unwrap_or_default();
                let digest = Digest::of(&bytes);
                if name.strip_suffix(".png") != Some(digest.as_str()) {
                    stamp.digest(&digest);
                }
            }
        }
    }
    there
}

/// Of members as approved sets record them, and what counts as changed.
pub fn recorded(stamp: &mut Stamp, plan: &Plan, models: &[usize]) {
    for &at in models {
        let model = &plan.models[at];
        let record = RigRecord::of(&model.member, model.view, &model.library)
            .expect("a view with its own drawings");
        stamp.value(&record);
        stamp.text(&model.member.name);
        stamp.value(&model.member.compare);
    }
}
