//! Whom to show, and what of the lists.

use crate::build::filter::{Filter, nearest};
use crate::cast::Member;
use crate::diag::{Place, Problem, quoted};
use crate::project::Subject;

/// Which views to show.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Views {
    /// Each member's first.
    First,
    /// All.
    All,
    /// Those that one of these names.
    Named(Vec<Filter>),
}

/// Which entries of a pose list to show.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum Only {
    /// Poses.
    Poses,
    /// Sweeps.
    Sweeps,
    /// Both.
    All,
}

/// What to take of the lists.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Choice {
    /// Which views.
    pub views: Views,
    /// Which entries.
    pub only: Only,
    /// Which poses, by name; empty for all.
    pub poses: Vec<Filter>,
}

/// The views of a member that a choice takes.
#[must_use]
pub fn chosen_views(member: &Member, views: &Views) -> Vec<usize> {
    match views {
        Views::First => vec![0],
        Views::All => (0..member.views.len()).collect(),
        Views::Named(filters) => (0..member.views.len())
            .filter(|&at| {
                let name = member.views[at].name.as_deref();
                name.is_some_and(|name| Filter::any(filters, name))
            })
            .collect(),
    }
}

pub(super) fn unmatched_views(subjects: &[Subject], views: &Views) -> Vec<Problem> {
    let Views::Named(filters) = views else {
        return Vec::new();
    };
    let mut names: Vec<&str> = Vec::new();
    for view in subjects.iter().flat_map(|s| &s.member.views) {
        names.extend(view.name.as_deref().filter(|n| !names.contains(n)));
    }
    let unused = filters
        .iter()
        .filter(|f| !names.iter().any(|n| f.matches(n)));
    unused
        .map(|f| unmatched("view", f, names.iter().copied()))
        .collect()
}

/// The problem of a filter that finds nothing.
pub(super) fn unmatched<'a>(
    what: &str,
    filter: &Filter,
    names: impl Iterator<Item = &'a str> + Clone,
) -> Problem {
    let problem = Problem::error(
        Place::Nowhere,
        format!("no {what} is called {}", quoted(filter.as_str())),
    );
    if let Some(near) = nearest(filter.as_str(), names.clone()) {
        return problem.hint(format!("did you mean {}?", quoted(near)));
    }
    let some: Vec<&str> = names.clone().take(6).collect();
    match (some.is_empty(), names.count() > some.len()) {
        (true, _) => problem.hint(format!("there are no {what}s with names")),
        (false, false) => problem.hint(format!("there are {}", some.join(", "))),
        (false, true) => problem.hint(format!("there are {} and more", some.join(", "))),
    }
}
