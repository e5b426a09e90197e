//! What is probably wrong with a member's art and rig, though it can be drawn.

mod art;
mod colours;
mod facing;
mod finding;
mod idle;
mod marks;
mod names;
mod order;
mod shown;
mod subject;
mod unused;

use std::sync::Arc;

pub use finding::{Check, LintFinding};

use crate::art::Library;
use crate::cast::{Member, PoseList};
use crate::diag::{Problem, Sources};
use crate::solve::Puppet;
use marks::Marks;
use subject::Subject;

/// Runs all checks. What the rig allows is left out; an allowance that allows nothing is a finding too.
#[must_use]
pub fn lint(
    member: &Arc<Member>,
    library: &Library,
    lists: &[Arc<PoseList>],
    sources: &Sources,
) -> Vec<LintFinding> {
    let views: Vec<usize> = (0..member.views.len()).collect();
    lint_views(member, library, lists, sources, &views)
}

/// The same of some views, by place. What nothing uses, and allowances, are asked about where all are. Nothing
/// is found in views that the member has not, and by a library that is not its own.
#[must_use]
pub fn lint_views(
    member: &Arc<Member>,
    library: &Library,
    lists: &[Arc<PoseList>],
    sources: &Sources,
    views: &[usize],
) -> Vec<LintFinding> {
    let known = |&view: &usize| view < member.views.len();
    let views: Vec<usize> = views.iter().copied().filter(known).collect();
    let puppets: Option<Vec<Puppet>> = (0..member.views.len())
        .map(|view| Puppet::new(Arc::clone(member), view, library))
        .collect();
    let Some(puppets) = puppets else {
        return Vec::new();
    };
    let subject = Subject {
        member,
        library,
        lists,
        marks: Marks::new(sources),
        views: &views,
        puppets,
    };
    let mut found = Vec::new();
    art::check(&subject, &mut found);
    colours::check(&subject, &mut found);
    names::check(&subject, &mut found);
    order::check(&subject, &mut found);
    shown::check(&subject, &mut found);
    facing::check(&subject, &mut found);
    if subject.whole() {
        unused::check(&subject, &mut found);
        idle::check(&subject, &mut found);
    }
    let mut used = vec![false; member.allowed.len()];
    found.retain(|finding: &LintFinding| {
        let mut keep = true;
        for (allowed, used) in member.allowed.iter().zip(&mut used) {
            let about = || allowed.of.contains(&finding.about);
            if allowed.check == finding.check.name() && (allowed.of.is_empty() || about()) {
                (*used, keep) = (true, false);
            }
        }
        keep
    });
    for (allowed, used) in member.allowed.iter().zip(used) {
        if !used && subject.whole() {
            let message = format!("this allows \"{}\" where nothing is found", allowed.check);
            let problem = Problem::warning(allowed.span, message).hint("take it out");
            found.push(LintFinding::new(
                Check::Allowance,
                allowed.check.as_str(),
                problem,
            ));
        }
    }
    found
}
