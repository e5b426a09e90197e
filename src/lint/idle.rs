//! Reaches, and planted feet, that change nothing of a pose.

use std::collections::BTreeSet;

use super::finding::{Check, LintFinding};
use super::subject::Subject;
use crate::cast::{Pose, PoseEntry, Reach};
use crate::diag::{Span, quoted};
use crate::pose::ResolvedPose;

type Table = fn(&mut Pose) -> &mut Vec<PoseEntry<Option<Reach>>>;

/// What is looked at once for each entry, wherever it is taken over: it changes something in some pose of some view.
pub(super) fn check(subject: &Subject<'_>, found: &mut Vec<LintFinding>) {
    let tables: [(&str, Table); 2] = [
        ("plant", |pose| &mut pose.plant),
        ("reach", |pose| &mut pose.reach),
    ];
    let mut idle: Vec<(Span, &str, usize)> = Vec::new();
    let mut at_work: BTreeSet<(u32, u32)> = BTreeSet::new();
    let poses = subject.lists.iter().flat_map(|list| list.all());
    for pose in poses.filter(|pose| !pose.is_plain()) {
        for (key, table) in tables {
            for view in &subject.member.views {
                let seen = pose.in_view(view.name.as_deref()).into_owned();
                for at in 0..table(&mut seen.clone()).len() {
                    let mut without = seen.clone();
                    let entry = table(&mut without).remove(at);
                    let (Some(span), Some(_)) = (entry.span, &entry.value) else {
                        continue;
                    };
                    if view.part(entry.part).is_none() {
                        continue;
                    }
                    let name = entry.part.at();
                    if ResolvedPose::new(&seen, view) == ResolvedPose::new(&without, view) {
                        idle.push((span, key, name));
                    } else {
                        at_work.insert((span.source.0, span.start));
                    }
                }
            }
        }
    }
    let mut told = BTreeSet::new();
    for (span, key, name) in idle {
        let place = (span.source.0, span.start);
        if at_work.contains(&place) || !told.insert((place, name)) {
            continue;
        }
        let name = &subject.member.names[name];
        let message = format!("the {key} of {} changes nothing", quoted(name));
        let hint = "leave it out, or look at its chain: nothing turns for it";
        found.push(LintFinding::warning(
            Check::IdleReach,
            name,
            span,
            message,
            hint,
        ));
    }
}
