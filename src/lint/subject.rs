//! What checks look at.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::marks::Marks;
use crate::art::{ArtId, Library};
use crate::cast::{Garment, Member, PartId, PoseList, View};
use crate::geom::Region;
use crate::solve::Puppet;

/// A member, and everything that the checks look things up in.
pub(super) struct Subject<'a> {
    pub member: &'a Member,
    pub library: &'a Library,
    pub lists: &'a [Arc<PoseList>],
    pub marks: Marks<'a>,
    /// Places of the views that are looked at.
    pub views: &'a [usize],
    /// One for each view.
    pub puppets: Vec<Puppet>,
}

impl Subject<'_> {
    /// The views that are looked at, with their places.
    pub fn views(&self) -> impl Iterator<Item = (usize, &View)> {
        self.views.iter().map(|&at| (at, &self.member.views[at]))
    }

    /// The drawings that parts of these views show.
    pub fn drawings(&self) -> BTreeSet<ArtId> {
        let parts = self.views().flat_map(|(_, view)| &view.parts);
        let shown = parts.flat_map(|part| part.replacements.values().chain([&part.art]));
        shown.filter_map(|drawing| drawing.art()).collect()
    }

    pub fn whole(&self) -> bool {
        self.views.len() == self.member.views.len()
    }

    pub fn name(&self, view: usize, part: PartId) -> &str {
        let part = &self.member.views[view].parts[part.at()];
        &self.member.names[part.name.at()]
    }

    /// What a part covers at rest, canvas units.
    pub fn silhouette(&self, view: usize, part: PartId) -> Region {
        let model = &self.puppets[view].0;
        let Some(id) = model.part(part).art.art() else {
            return Region::empty();
        };
        let regions = model.detail(1.0);
        let region = regions.art(id).silhouette(&model.art[id.at()]);
        region.transformed(&model.place[part.at()])
    }

    pub fn garment(&self, view: usize, part: PartId) -> Option<&Garment> {
        let mut all = self.member.views[view].garments.iter();
        all.find(|g| g.part == part)
    }

    /// ` in view "front"`, for members with several.
    pub fn in_view(&self, view: usize) -> String {
        match &self.member.views[view].name {
            Some(name) if self.member.views.len() > 1 => format!(" in view \"{name}\""),
            _ => String::new(),
        }
    }
}
