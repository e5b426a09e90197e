//! What sheets, checks and comparisons depend on, beside the figures that they show. Types are taken
//! apart field by field, as in `depends.rs`.

use std::path::Path;

use super::depends::swatches;
use super::digest::{Digest, Stamp};
use crate::build::{MemberView, Pages, Plan, Purpose, Section, Window, over_limits};
use crate::cast::{
    Chart, CompareSettings, Crop, Drawing, Edge, Guides, Height, Landmark, LandmarkPlace, Length,
    ListSheet, Measure, Member, Note, PageSetup, Paper, Part, PartId, Pose, PoseEntry, PoseList,
    Side, Stock, Sweep, SweepAxis, Way,
};
use crate::compare::{PoseRecord, RigRecord};

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
    guides(stamp, &model.view().guides);
    // Charts show parts by the names of their drawings.
    for part in &model.view().parts {
        stamp.count(part.replacements.len());
        part.replacements.keys().for_each(|name| stamp.text(name));
    }
    stamp.maybe(section.declared(), list_sheet);
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
        match place {
            LandmarkPlace::Height(y) => {
                stamp.count(0);
                stamp.number(*y);
            }
            LandmarkPlace::Part(part, edge) => {
                stamp.count(match edge {
                    Edge::Top => 1,
                    Edge::Middle => 2,
                    Edge::Bottom => 3,
                    Edge::Pivot => 4,
                });
                stamp.count(part.at());
            }
        }
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
fn list_sheet(stamp: &mut Stamp, sheet: &ListSheet) {
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
    stamp.text(kind.name());
    stamp.maybe(title.as_deref(), Stamp::text);
    stamp.maybe(note.as_deref(), Stamp::text);
    for places in [views, poses, sweeps] {
        stamp.maybe(places.as_ref(), |stamp, places| {
            stamp.count(places.len());
            places.iter().for_each(|&at| stamp.count(at));
        });
    }
    stamp.count(*lacks);
    stamp.maybe(charts.as_ref(), |stamp, names| {
        stamp.count(names.len());
        names.iter().for_each(|name| stamp.text(name));
    });
    stamp.maybe(crop.as_deref(), Stamp::text);
    stamp.count(usize::from(*canvas));
    stamp.maybe(*palette, Stamp::count);
    page_setup(stamp, setup);
}

/// How the pages of all sheets are set up.
pub fn pages(stamp: &mut Stamp, pages: &Pages) {
    let Pages {
        setup,
        usual,
        dpi,
        window,
    } = pages;
    page_setup(stamp, setup);
    stock(stamp, *usual);
    stamp.number(*dpi);
    stamp.maybe(*window, |stamp, window| {
        stamp.count(match window {
            Window::Figures => 0,
            Window::Canvas => 1,
        });
    });
}

fn page_setup(stamp: &mut Stamp, setup: &PageSetup) {
    let PageSetup {
        stock: cut,
        way,
        paper,
        margin,
        columns,
        cell,
        production,
        revision,
        date,
    } = setup;
    stamp.maybe(*cut, stock);
    stamp.maybe(*way, |stamp, way| {
        stamp.count(match way {
            Way::Landscape => 0,
            Way::Portrait => 1,
        });
    });
    stamp.maybe(*paper, |stamp, paper| {
        stamp.count(match paper {
            Paper::Light => 0,
            Paper::Dark => 1,
        });
    });
    stamp.maybe(*margin, Stamp::number);
    for count in [columns, cell] {
        stamp.maybe(*count, |stamp, count| stamp.count(usize::from(count)));
    }
    for text in [production, revision, date] {
        stamp.maybe(text.as_deref(), Stamp::text);
    }
}

fn stock(stamp: &mut Stamp, stock: Stock) {
    let (sort, width, height) = match stock {
        Stock::A4 => (0, 0, 0),
        Stock::A3 => (1, 0, 0),
        Stock::Letter => (2, 0, 0),
        Stock::Tabloid => (3, 0, 0),
        Stock::Wide => (4, 0, 0),
        Stock::Fit => (5, 0, 0),
        Stock::Pixels(width, height) => (6, width, height),
    };
    stamp.count(sort);
    stamp.numbers(&[f64::from(width), f64::from(height)]);
}

/// What counts as changed.
fn compare_settings(stamp: &mut Stamp, settings: &CompareSettings) {
    let CompareSettings {
        colour,
        edge,
        pixels,
        scale,
    } = settings;
    for number in [colour, edge, pixels, scale] {
        stamp.maybe(*number, Stamp::number);
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
    fn all<T>(stamp: &mut Stamp, said: &[PoseEntry<T>], put: impl Fn(&mut Stamp, &T)) {
        stamp.count(said.len());
        for said in said {
            stamp.count(said.part.at());
            put(stamp, &said.value);
        }
    }
    stamp.text(name);
    for numbers in [turn, depth] {
        all(stamp, numbers, |stamp, v| stamp.number(*v));
    }
    for pairs in [shift, scale, skew] {
        all(stamp, pairs, |stamp, v| stamp.numbers(v));
    }
    all(stamp, sides, |stamp, (side, of)| {
        stamp.count(match side {
            Side::Behind => 0,
            Side::InFront => 1,
        });
        stamp.count(of.at());
    });
    all(stamp, replace, |stamp, name| stamp.text(name));
    stamp.count(*palette);
    stamp.count(usize::from(*mirror));
}

/// Of a pose that is compared: what a comparison tells of it.
pub fn compared(stamp: &mut Stamp, pose: &Pose, section: &Section, model: &MemberView) {
    stamp.text(&pose.name);
    stamp.maybe(pose.note.as_deref(), Stamp::text);
    compare_settings(stamp, &pose.compare);
    let record = PoseRecord::of(pose, &section.list.poses, &model.member);
    stamp.value(serde_json::to_vec(&record));
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
        stamp.value(
            record
                .digest()
                .map(|digest| digest.as_str().as_bytes().to_vec()),
        );
        stamp.text(&model.member.name);
        compare_settings(stamp, &model.member.compare);
    }
}
