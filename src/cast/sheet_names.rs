//! What a sheet of a list shows, by name: poses, sweeps, charts, crops.

use std::cell::Cell;

use indexmap::{IndexMap, IndexSet};

use super::expression::EXPRESSIONS;
use super::field::Field;
use super::report::Report;
use super::stress::StressDraft;
use super::value::{text, texts};
use super::{Member, View, names};
use crate::diag::{Problem, Span, glob, quoted};

/// How many names the sheets of a list may look at, all patterns and stress tables taken together.
const MOST_NAMES: usize = 2_000_000;

/// What a list declares, for sheets to name.
pub(super) struct Declared<'a> {
    /// All poses, those of stress tables too.
    pub poses: IndexSet<String>,
    /// Stress tables, with their poses.
    pub stresses: IndexMap<&'a str, Vec<String>>,
    /// Sweeps.
    pub sweeps: IndexSet<&'a str>,
    /// What is left of the names that may be looked at.
    left: Cell<Option<usize>>,
}

impl<'a> Declared<'a> {
    /// Poses, then stress tables, and sweeps.
    pub fn new(
        poses: impl Iterator<Item = &'a str>,
        stresses: &'a [StressDraft<'a>],
        sweeps: impl Iterator<Item = &'a str>,
    ) -> Self {
        let mut all: IndexSet<String> = poses.map(str::to_owned).collect();
        let mut tables = IndexMap::new();
        for draft in stresses {
            // A list of more poses than this is refused anyway.
            let poses: Vec<String> = if all.len() < MOST_NAMES / 4 {
                draft.poses().collect()
            } else {
                Vec::new()
            };
            all.extend(poses.iter().cloned());
            tables.insert(draft.name, poses);
        }
        Self {
            poses: all,
            stresses: tables,
            sweeps: sweeps.collect(),
            left: Cell::new(Some(MOST_NAMES)),
        }
    }

    /// Takes so many names from those that may be looked at; the first time that there are not enough
    /// left, reports it.
    fn take(&self, names: usize, span: Span, report: &mut Report) -> bool {
        let Some(left) = self.left.get() else {
            return false;
        };
        let left = left.checked_sub(names);
        if left.is_none() {
            let message = "the sheets of this list name too many poses and sweeps";
            report.push(Problem::error(span, message).hint("split it into several lists"));
        }
        self.left.set(left);
        left.is_some()
    }
}

/// The poses that names, names of stress tables and patterns stand for, in order.
pub(super) fn poses(
    value: &Field<'_>,
    list: &Declared<'_>,
    report: &mut Report,
) -> Option<Vec<String>> {
    let named = texts(value, "\"poses\"", report)?;
    if named.is_empty() {
        let hint = "name some, or leave \"poses\" out for all";
        report.push(Problem::error(value.span, "\"poses\" names no pose").hint(hint));
    }
    let mut found: IndexSet<String> = IndexSet::new();
    for (name, span) in named {
        if list.poses.contains(name) {
            if !found.insert(name.to_owned()) {
                let message = format!("pose {} is named twice", quoted(name));
                report.push(Problem::error(span, message).hint("name each pose once"));
            }
        } else if let Some(poses) = list.stresses.get(name) {
            if list.take(poses.len(), span, report) {
                found.extend(poses.iter().cloned());
            }
        } else if list.take(list.poses.len(), span, report) {
            let matching = list.poses.iter().filter(|pose| glob(name, pose));
            let matching: Vec<&String> = matching.collect();
            if !matching.is_empty() {
                found.extend(matching.into_iter().cloned());
                continue;
            }
            let known =
                (list.poses.iter().map(String::as_str)).chain(list.stresses.keys().copied());
            let hint = if name.contains('*') {
                "no pose of this list has such a name".to_owned()
            } else {
                names::hint(name, known, "the list declares no poses", report)
            };
            let problem = Problem::error(span, format!("unknown pose {}", quoted(name)));
            report.undeclared(problem.hint(hint));
        }
    }
    Some(found.into_iter().collect())
}

pub(super) fn sweeps(
    value: &Field<'_>,
    list: &Declared<'_>,
    report: &mut Report,
) -> Option<Vec<String>> {
    let named = texts(value, "\"sweeps\"", report)?;
    if named.is_empty() {
        let hint = "name some, or leave \"sweeps\" out for all";
        report.push(Problem::error(value.span, "\"sweeps\" names no sweep").hint(hint));
    }
    let mut found: IndexSet<String> = IndexSet::new();
    for (name, span) in named {
        if list.sweeps.contains(name) {
            if !found.insert(name.to_owned()) {
                let message = format!("sweep {} is named twice", quoted(name));
                report.push(Problem::error(span, message).hint("name each sweep once"));
            }
            continue;
        }
        if !list.take(list.sweeps.len(), span, report) {
            continue;
        }
        let matching: Vec<&str> = list
            .sweeps
            .iter()
            .copied()
            .filter(|sweep| glob(name, sweep))
            .collect();
        if matching.is_empty() {
            let known = list.sweeps.iter().copied();
            let hint = names::hint(name, known, "the list declares no sweeps", report);
            let problem = Problem::error(span, format!("unknown sweep {}", quoted(name)));
            report.undeclared(problem.hint(hint));
        }
        found.extend(matching.into_iter().map(str::to_owned));
    }
    Some(found.into_iter().collect())
}

pub(super) fn charts(
    value: &Field<'_>,
    views: &[&View],
    member: &Member,
    report: &mut Report,
) -> Option<Vec<String>> {
    let named = texts(value, "\"charts\"", report)?;
    if named.is_empty() {
        let problem = Problem::error(value.span, "\"charts\" names no chart");
        report.push(problem.hint(value.hint()));
        return None;
    }
    let all: IndexSet<&str> = views
        .iter()
        .flat_map(|view| view.guides.charts.iter().map(|chart| chart.name.as_str()))
        .chain((!member.expressions.is_empty()).then_some(EXPRESSIONS))
        .collect();
    for (name, span) in &named {
        if !all.contains(name) {
            let none = "declare it in the rig, with [chart.name]";
            let hint = names::hint(name, all.iter().copied(), none, report);
            report
                .push(Problem::error(*span, format!("unknown chart {}", quoted(name))).hint(hint));
        }
    }
    Some(named.into_iter().map(|(name, _)| name.to_owned()).collect())
}

/// A crop of the rig: where views are named, of each of them.
pub(super) fn crop(
    value: &Field<'_>,
    views: &[&View],
    each: bool,
    report: &mut Report,
) -> Option<String> {
    let name = text(value, "\"crop\"", report)?;
    let has = |view: &&View| view.guides.crops.iter().any(|crop| crop.name == name);
    let lacking = views.iter().find(|view| !has(view));
    if !views.iter().any(has) {
        let known = views.iter().flat_map(|view| &view.guides.crops);
        let known: IndexSet<&str> = known.map(|crop| crop.name.as_str()).collect();
        let none = "declare it in the rig, with [crop.name]";
        let hint = names::hint(name, known.iter().copied(), none, report);
        report
            .push(Problem::error(value.span, format!("unknown crop {}", quoted(name))).hint(hint));
    } else if let (true, Some(view)) = (each, lacking) {
        let view = quoted(view.name.as_deref().unwrap_or_default());
        let message = format!("view {view} has no crop {}", quoted(name));
        let hint = "declare it there, or leave the view out of \"views\"";
        report.push(Problem::error(value.span, message).hint(hint));
    }
    Some(name.to_owned())
}
