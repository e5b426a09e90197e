//! Pose lists.

use std::path::Path;

use indexmap::IndexMap;

use super::fields::Fields;
use super::file::read;
use super::inherit::{self, Budget};
use super::pose::{Known, PoseDraft, pose};
use super::report::Report;
use super::sweep::{self, SweepDraft};
use super::value::tables;
use super::{Member, PoseList, names, syntax};
use crate::diag::{Problem, Problems, Sources, quoted};

/// Reads a pose list for a member.
///
/// Every mistake is reported; the list is returned only if none of them is an error. Warnings
/// (a turn outside its limits, say) do not keep it back.
pub fn load_poses(
    path: &Path,
    member: &Member,
    sources: &mut Sources,
    problems: &mut Problems,
) -> Option<PoseList> {
    let (source, text) = read(path, None, sources, problems)?;
    let mut report = Report::new(source);
    let text = syntax::close(&text, &mut report);
    let table = syntax::parse(&text, &mut report);
    let start = report.span(0..0);
    let mut root = Fields::open("this file", start, &table, &report);
    let known = Known::new(member);

    let poses: Vec<PoseDraft<'_>> = tables(&mut root, "pose", &mut report)
        .into_iter()
        .map(|(field, inner)| pose(&field, inner, &known, &mut report))
        .collect();
    let by_name: IndexMap<&str, usize> = poses
        .iter()
        .enumerate()
        .map(|(at, pose)| (pose.name, at))
        .collect();
    let mut sweeps: Vec<SweepDraft<'_>> = Vec::new();
    names::check_case(
        "poses",
        poses.iter().map(|pose| (pose.name, pose.span)),
        &mut report,
    );
    let declared = tables(&mut root, "sweep", &mut report);
    if root.lacks("pose") && root.lacks("sweep") {
        let problem = Problem::error(start, "no poses are declared").hint("write [pose.rest]");
        report.missing(problem);
    }
    let spans = declared
        .iter()
        .map(|(field, _)| (field.name, field.name_span));
    names::check_case("sweeps", spans, &mut report);
    for (field, inner) in declared {
        if let Some(&pose) = by_name.get(field.name) {
            let name = quoted(field.name);
            let problem = Problem::error(field.name_span, format!("{name} is a pose and a sweep"))
                .also(poses[pose].span, "the pose")
                .hint("rename one of the two");
            report.push(problem);
        }
        sweeps.extend(sweep::sweep(&field, inner, &known, &mut report));
    }
    root.finish(&mut report);

    let mut budget = Budget::new();
    let poses = inherit::resolve(poses, &by_name, &mut budget, &mut report);
    let sweeps = sweeps
        .into_iter()
        .map(|draft| sweep::resolve(draft, &poses, &by_name, &mut budget, &mut report))
        .collect();
    let errors = report.errors();
    report.finish(problems);
    let key = path.file_stem().unwrap_or_default();
    (errors == 0).then(|| PoseList {
        key: key.to_string_lossy().into_owned(),
        path: path.to_path_buf(),
        poses,
        sweeps,
    })
}
