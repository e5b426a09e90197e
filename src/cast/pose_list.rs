//! Pose lists.

use std::path::Path;

use indexmap::IndexMap;

use super::fields::Fields;
use super::file::read;
use super::inherit::{self, Bad, Budget};
use super::keys::FileKind;
use super::list_sheet::{self, SheetDraft};
use super::pose::{Known, PoseDraft, pose};
use super::report::Report;
use super::sheet_names::Declared;
use super::stress::{self, StressDraft};
use super::sweep::{self, SweepDraft};
use super::tables::tables;
use super::{Member, Pose, PoseList, Sweep, names, syntax};
use crate::diag::{Problem, Problems, Sources, Span, quoted};

/// Reads a pose list for a member.
///
/// Every mistake is reported. A pose or sweep with an error is left out, and so is what inherits from
/// it; the others are in the list. There is no list if nothing is left to put in it. Warnings (a turn
/// outside its limits, say) keep nothing back.
pub fn load_poses(
    path: &Path,
    member: &Member,
    sources: &mut Sources,
    problems: &mut Problems,
) -> Option<PoseList> {
    let (source, text) = read(path, None, sources, problems)?;
    let mut report = Report::new(source);
    let mut room = String::new();
    let table = syntax::parse(&text, &mut room, &mut report);
    let start = report.span(0..0);
    let mut root = Fields::of_file(FileKind::Poses, &table, &report);
    let known = Known::new(member);

    let mut poses: Vec<PoseDraft<'_>> = Vec::new();
    let mut bad: Vec<bool> = Vec::new();
    for (field, inner) in tables(&mut root, "pose", &mut report) {
        let before = report.errors();
        poses.push(pose(&field, inner, &known, &mut report));
        bad.push(report.errors() > before || report.is_hurt("pose", &field));
    }
    let by_name: IndexMap<&str, usize> = poses
        .iter()
        .enumerate()
        .map(|(at, pose)| (pose.name, at))
        .collect();
    names::check_case(
        "poses",
        poses.iter().map(|pose| (pose.name, pose.span)),
        &mut report,
    );
    let declared = tables(&mut root, "sweep", &mut report);
    let random = tables(&mut root, "stress", &mut report);
    let asked = tables(&mut root, "sheet", &mut report);
    if FileKind::Poses
        .keys()
        .iter()
        .all(|key| root.lacks(key.name))
    {
        let problem = Problem::error(start, "no poses are declared").hint("write [pose.rest]");
        report.missing(problem);
    }
    let spans = declared
        .iter()
        .map(|(field, _)| (field.name, field.name_span));
    names::check_case("sweeps", spans, &mut report);
    let mut sweeps: Vec<(&str, Span, Option<SweepDraft<'_>>)> = Vec::new();
    for (field, inner) in declared {
        let before = report.errors();
        if let Some(&pose) = by_name.get(field.name) {
            let name = quoted(field.name);
            let problem = Problem::error(field.name_span, format!("{name} is a pose and a sweep"))
                .also(poses[pose].span, "the pose")
                .hint("rename one of the two");
            report.push(problem);
        }
        let mut draft = sweep::sweep(&field, inner, &known, &mut report);
        if let Some(draft) = &mut draft {
            draft.bad = report.errors() > before || report.is_hurt("sweep", &field);
        }
        sweeps.push((field.name, field.name_span, draft));
    }
    let swept: Vec<(&str, Span)> = sweeps.iter().map(|(name, at, _)| (*name, *at)).collect();
    let mut stresses: Vec<StressDraft<'_>> = Vec::new();
    for (field, inner) in random {
        let before = report.errors();
        let pose = by_name.get(field.name).map(|&at| poses[at].span);
        let sweep = swept.iter().find(|(name, _)| *name == field.name);
        let other = pose.map(|at| ("pose", at));
        if let Some((sort, at)) = other.or(sweep.map(|(_, at)| ("sweep", *at))) {
            let message = format!("{} is a {sort} and a stress", quoted(field.name));
            let problem = Problem::error(field.name_span, message)
                .also(at, format!("the {sort}"))
                .hint("rename one of the two");
            report.push(problem);
        }
        let mut draft = stress::stress(&field, inner, &known, &mut report);
        draft.bad = report.errors() > before || report.is_hurt("stress", &field);
        stresses.push(draft);
    }
    root.finish(&mut report);
    let names = swept.iter().map(|(name, _)| *name);
    let declared = Declared::new(by_name.keys().copied(), &stresses, names);
    let asked: Vec<SheetDraft<'_>> = asked
        .into_iter()
        .map(|(field, inner)| list_sheet::sheet(&field, inner, &known, &declared, &mut report))
        .collect();
    let spans = asked.iter().map(|draft| (draft.name, draft.span));
    names::check_case("sheets", spans, &mut report);

    let mut budget = Budget::new();
    let poses = inherit::resolve(
        poses,
        bad,
        &by_name,
        &member.expressions,
        &mut budget,
        &mut report,
    );
    let sweeps: Vec<(&str, Result<Sweep, Bad>)> = sweeps
        .into_iter()
        .map(|(name, _, draft)| {
            let made = draft.ok_or(Bad::Own).and_then(|draft| {
                sweep::resolve(draft, &poses, &by_name, &mut budget, &mut report)
            });
            (name, made)
        })
        .collect();
    let stresses: Vec<(&str, Result<Vec<Pose>, Bad>)> = stresses
        .into_iter()
        .map(|draft| {
            let name = draft.name;
            let made = stress::resolve(draft, &poses, &by_name, &known, &mut budget, &mut report);
            (name, made)
        })
        .collect();
    report.finish(problems);
    let mut list = PoseList {
        key: path
            .file_stem()
            .unwrap_or_default()
            .to_string_lossy()
            .into_owned(),
        path: path.to_path_buf(),
        ..PoseList::default()
    };
    for (name, pose) in by_name.keys().zip(poses) {
        match pose {
            Ok(pose) => list.poses.push(pose),
            Err(bad) => list.left_out.push(bad.left_out(name, false)),
        }
    }
    for (name, poses) in stresses {
        match poses {
            Ok(poses) => list.poses.extend(poses),
            Err(bad) => list.left_out.push(bad.left_out(name, false)),
        }
    }
    for (name, sweep) in sweeps {
        match sweep {
            Ok(sweep) => list.sweeps.push(sweep),
            Err(bad) => list.left_out.push(bad.left_out(name, true)),
        }
    }
    let mut sheets = Vec::new();
    let names = list.poses.iter().map(|pose| pose.name.as_str());
    let poses: IndexMap<&str, usize> = names.zip(0..).collect();
    let names = list.sweeps.iter().map(|sweep| sweep.name.as_str());
    let sweeps: IndexMap<&str, usize> = names.zip(0..).collect();
    for draft in asked {
        let name = draft.name;
        match draft.resolve(&poses, &sweeps) {
            Some(sheet) => sheets.push(sheet),
            None => list.sheets_left_out.push(name.to_owned()),
        }
    }
    list.sheets = sheets;
    let empty = list.poses.is_empty() && list.sweeps.is_empty() && list.sheets.is_empty();
    (!empty).then_some(list)
}
