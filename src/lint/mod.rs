//! What is probably wrong with a member's art and rig, though it can be drawn.

mod art;
mod colours;
mod finding;
mod marks;
mod names;
mod order;
mod shown;
mod unused;

use std::collections::BTreeSet;
use std::sync::Arc;

pub use finding::{Check, Finding};

use crate::art::{ArtId, Library};
use crate::cast::{Drawing, Garment, Member, PartId, PoseList, View};
use crate::diag::{Problem, Sources};
use crate::geom::Region;
use crate::solve::Puppet;
use marks::Marks;

/// A member, and everything that the checks look things up in.
struct Subject<'a> {
    member: &'a Member,
    library: &'a Library,
    lists: &'a [Arc<PoseList>],
    marks: Marks<'a>,
    /// Places of the views that are looked at.
    views: &'a [usize],
    /// One for each view.
    puppets: Vec<Puppet>,
}

impl Subject<'_> {
    /// The views that are looked at, with their places.
    fn views(&self) -> impl Iterator<Item = (usize, &View)> {
        self.views.iter().map(|&at| (at, &self.member.views[at]))
    }

    /// The drawings that parts of these views show.
    fn drawings(&self) -> BTreeSet<ArtId> {
        let parts = self.views().flat_map(|(_, view)| &view.parts);
        let shown = parts.flat_map(|part| part.replacements.values().chain([&part.art]));
        let ids = shown.filter_map(|drawing| match drawing {
            Drawing::Art(id) => Some(*id),
            Drawing::Empty => None,
        });
        ids.collect()
    }

    fn whole(&self) -> bool {
        self.views.len() == self.member.views.len()
    }

    fn name(&self, view: usize, part: PartId) -> &str {
        let part = &self.member.views[view].parts[part.at()];
        &self.member.names[part.name.at()]
    }

    /// What a part covers at rest, canvas units.
    fn silhouette(&self, view: usize, part: PartId) -> Region {
        let model = &self.puppets[view].0;
        match model.part(part).art {
            Drawing::Art(id) => {
                let art = &model.art[id.at()];
                let regions = model.detail(1.0);
                let regions = regions.art(model, id);
                Region::transformed(regions.silhouette(art), &model.place[part.at()])
            }
            Drawing::Empty => Region::empty(),
        }
    }

    fn garment(&self, view: usize, part: PartId) -> Option<&Garment> {
        let mut all = self.member.views[view].garments.iter();
        all.find(|g| g.part == part)
    }

    /// ` in view "front"`, for members with several.
    fn in_view(&self, view: usize) -> String {
        match &self.member.views[view].name {
            Some(name) if self.member.views.len() > 1 => format!(" in view \"{name}\""),
            _ => String::new(),
        }
    }
}

/// Runs all checks. What the rig allows is left out; an allowance that allows nothing is a finding too.
#[must_use]
pub fn lint(
    member: &Arc<Member>,
    library: &Library,
    lists: &[Arc<PoseList>],
    sources: &Sources,
) -> Vec<Finding> {
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
) -> Vec<Finding> {
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
    if subject.whole() {
        unused::check(&subject, &mut found);
    }
    let mut used = vec![false; member.allowed.len()];
    found.retain(|finding: &Finding| {
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
            found.push(Finding::new(
                Check::Allowance,
                allowed.check.as_str(),
                problem,
            ));
        }
    }
    found
}
