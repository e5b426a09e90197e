//! What sheets, checks and comparisons depend on, beside the figures that they show. Types are taken
//! apart field by field, as in `depends.rs`.

use std::path::Path;

use super::depends::swatches;
use super::digest::{Digest, Stamp};
use crate::batch::{Model, Plan, Section, over_limits};
use crate::cast::{
    Chart, Crop, Drawing, Guides, Height, Landmark, Length, ListSheet, Member, Note, Part, Pose,
    PoseList, Said, Sweep, SweepAxis,
};
use crate::compare::{PoseRecord, RigRecord};

/// What of a section a sheet shows.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Shown {
    Poses,
    Sweeps,
    Both,
}

/// Of a section on a sheet: all that is written there of its member, its view, its list.
pub fn section(stamp: &mut Stamp, section: &Section, model: &Model, shown: Shown) {
    let member = &model.member;
    stamp.text(&section.name.to_string());
    stamp.text(&section.list.key);
    stamp.text(&format!("{:?}", section.purpose));
    // Names of views that share a sheet are in those of their sections.
    stamp.maybe(model.view_name(), Stamp::text);
    about(stamp, member);
    guides(stamp, &model.view().guides);
    // Charts show parts by the names of their drawings.
    for part in &model.view().parts {
        stamp.count(part.replacements.len());
        part.replacements.keys().for_each(|name| stamp.text(name));
    }
    stamp.maybe(section.asked(), asked);
    for pose in section.poses().filter(|_| shown != Shown::Sweeps) {
        label(stamp, pose, model);
    }
    for (sweep, poses) in section.sweeps().filter(|_| shown != Shown::Poses) {
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
        stamp.count(poses.len());
        poses.iter().for_each(|pose| label(stamp, pose, model));
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
fn label(stamp: &mut Stamp, pose: &Pose, model: &Model) {
    stamp.text(&pose.name);
    stamp.maybe(pose.note.as_deref(), Stamp::text);
    stamp.count(pose.palette);
    stamp.maybe(over_limits(pose, model).as_deref(), Stamp::text);
}

fn guides(stamp: &mut Stamp, guides: &Guides) {
    let Guides {
        landmarks,
        crops,
        notes,
        measures,
        charts,
    } = guides;
    stamp.count(landmarks.len());
    for Landmark {
        name,
        span: _,
        place,
    } in landmarks
    {
        stamp.text(name);
        stamp.text(&format!("{place:?}"));
    }
    stamp.count(crops.len());
    for Crop {
        name,
        span: _,
        part,
        area,
        margin,
    } in crops
    {
        stamp.text(name);
        stamp.count(part.at());
        stamp.maybe(area.as_ref(), |stamp, area| stamp.numbers(area));
        stamp.number(*margin);
    }
    stamp.count(notes.len());
    for Note {
        name,
        span: _,
        part,
        text,
        at,
    } in notes
    {
        stamp.text(name);
        stamp.count(part.at());
        stamp.text(text);
        stamp.maybe(at.as_ref(), |stamp, at| stamp.numbers(at));
    }
    stamp.count(measures.len());
    for Length {
        name,
        span: _,
        along,
    } in measures
    {
        stamp.text(name);
        stamp.count(along.len());
        along.iter().for_each(|point| stamp.numbers(point));
    }
    stamp.count(charts.len());
    for Chart {
        name,
        span: _,
        parts,
        crop,
    } in charts
    {
        stamp.text(name);
        stamp.count(parts.len());
        parts.iter().for_each(|part| stamp.count(part.at()));
        stamp.maybe(*crop, Stamp::count);
    }
}

/// A sheet as a list asks for it.
fn asked(stamp: &mut Stamp, sheet: &ListSheet) {
    let ListSheet {
        name,
        span: _,
        kind,
        title,
        note,
        views,
        poses,
        sweeps,
        lacks,
        charts,
        crop,
        canvas,
        palette,
        setup,
    } = sheet;
    stamp.text(name);
    stamp.text(&format!("{kind:?}"));
    stamp.maybe(title.as_deref(), Stamp::text);
    stamp.maybe(note.as_deref(), Stamp::text);
    stamp.text(&format!("{views:?} {poses:?} {sweeps:?} {lacks}"));
    stamp.text(&format!("{charts:?} {crop:?} {canvas} {palette:?}"));
    stamp.text(&format!("{setup:?}"));
}

/// Of a check: all art, names and limits, and the poses.
pub fn checked(stamp: &mut Stamp, model: &Model, lists: &[&PoseList], drawings: &[Digest]) {
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
        } = part;
        art(stamp, own);
        stamp.count(replacements.len());
        for (name, drawing) in replacements {
            stamp.text(name);
            art(stamp, drawing);
        }
        stamp.maybe(limits.as_ref(), |stamp, limits| stamp.numbers(limits));
        if let Ok(at) = u32::try_from(at) {
            let limits = model
                .member
                .check_limits(model.view, crate::cast::PartId(at));
            stamp.text(&format!("{limits:?}"));
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
            posed(stamp, pose);
        }
    }
}

/// Of a pose that a check looks at, and may show.
fn posed(stamp: &mut Stamp, pose: &Pose) {
    let Pose {
        name,
        span: _,
        note: _,
        turn,
        shift,
        scale,
        skew,
        depth,
        sides,
        replace,
        palette,
        mirror,
        compare: _,
    } = pose;
    fn all<T: std::fmt::Debug>(stamp: &mut Stamp, said: &[Said<T>]) {
        stamp.count(said.len());
        for said in said {
            stamp.count(said.part.at());
            stamp.text(&format!("{:?}", said.value));
        }
    }
    stamp.text(name);
    all(stamp, turn);
    all(stamp, shift);
    all(stamp, scale);
    all(stamp, skew);
    all(stamp, depth);
    all(stamp, sides);
    all(stamp, replace);
    stamp.text(&format!("{palette} {mirror}"));
}

/// Of a pose that is compared: what a comparison tells of it.
pub fn compared(stamp: &mut Stamp, pose: &Pose, section: &Section, model: &Model) {
    stamp.text(&pose.name);
    stamp.maybe(pose.note.as_deref(), Stamp::text);
    stamp.text(&format!("{:?}", pose.compare));
    let record = PoseRecord::of(pose, &section.list.poses, &model.member);
    stamp.text(&serde_json::to_string(&record).unwrap_or_default());
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
        let record = RigRecord::of(&model.member, model.view, &model.library);
        stamp.digest(&record.digest());
        stamp.text(&model.member.name);
        stamp.text(&format!("{:?}", model.member.compare));
    }
}
