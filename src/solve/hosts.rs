//! What garments are worn on, as posed.

use std::sync::Arc;

use super::area::{Area, Leaf, Term};
use super::detail::Detail;
use super::figure::{CutArea, Figure, Layer};
use crate::cast::{Keep, PartId};
use crate::geom::{Affine, Region, grown, meet, moved_box};

/// Pixels to the unit that are enough to tell where art lies.
const COARSE: f64 = 1.0;
/// How far beyond a garment its hosts matter, units.
const LAP: f64 = 4.0;

impl Figure {
    /// What a host shows garments on: its paint, or all of one that is nothing but ink, less what its masks
    /// hide.
    pub(super) fn host(&self, detail: &Detail, host: PartId) -> Option<(Arc<Region>, Affine)> {
        let (art, id, posed) = self.drawing(host)?;
        let regions = self.regions(detail, id);
        let paint = regions.paint(art);
        let seen = if paint.is_empty() {
            regions.silhouette(art)
        } else {
            paint
        };
        Some(self.masked(detail, host, Arc::clone(seen), posed))
    }

    /// All hosts of a garment together, each less what comes between it and the front one.
    pub(super) fn hosts(&self, detail: &Detail, garment: usize, front: PartId) -> CutArea {
        let given = &self.model().view().garments[garment];
        let near = self.box_of(given.part).map(|b| grown(b, LAP));
        let here = |region: (Arc<Region>, Affine)| {
            Leaf::new(region).filter(|leaf| near.is_some_and(|b| meet(leaf.bounds, b)))
        };
        let term = |&host: &PartId| {
            let between = self.between_hosts(garment, host, front);
            let between = between.filter_map(|part| self.cover(detail, part));
            let over = self.garments_over(garment, host, front);
            let over = over.map(|worn| self.visible(detail, worn));
            Some(Term {
                all: vec![here(self.host(detail, host)?)?],
                none: between
                    .chain(over)
                    .filter_map(here)
                    .map(|leaf| Arc::new(leaf.into()))
                    .collect(),
            })
        };
        CutArea {
            keep: Keep::Inside,
            area: Area(given.on.iter().filter_map(term).collect()),
            within: near,
        }
    }

    /// The parts between a host and the front one that come over the garment.
    pub(super) fn between_hosts(
        &self,
        garment: usize,
        host: PartId,
        front: PartId,
    ) -> impl Iterator<Item = PartId> + '_ {
        let given = &self.model().view().garments[garment];
        let worn = self.box_of(given.part);
        self.between(host, front).filter(move |&part| {
            let over = worn.zip(self.box_of(part)).is_some_and(|(a, b)| meet(a, b));
            over && !given.on.contains(&part)
        })
    }

    /// Whether a layer may come near what a part shows.
    pub(super) fn meets(&self, layer: &Layer, part: PartId) -> bool {
        let detail = self.model().detail(COARSE);
        let shape = self.regions(&detail, layer.art).shapes[layer.shape].bounds();
        let boxes = shape.zip(self.box_of(part));
        boxes.is_none_or(|(shape, worn)| meet(moved_box(shape, &layer.posed), worn))
    }

    /// A box about what a part shows, as posed.
    pub(super) fn box_of(&self, part: PartId) -> Option<[f64; 4]> {
        let boxes = self.boxes.get_or_init(|| {
            let detail = self.model().detail(COARSE);
            let one = |part| {
                let (art, id, posed) = self.drawing(part)?;
                Some(moved_box(self.regions(&detail, id).bounds(art)?, &posed))
            };
            self.model().view().ids().map(one).collect()
        });
        boxes[part.at()]
    }

    /// The garments that a part shows, the nearest last.
    pub(super) fn garments_on(&self, host: PartId) -> Vec<usize> {
        let garments = &self.model().view().garments;
        let mut all: Vec<usize> = (0..garments.len())
            .filter(|&g| garments[g].on.contains(&host) && self.shown(garments[g].part).is_some())
            .collect();
        all.sort_by_key(|&g| self.rank(garments[g].part));
        all
    }

    /// The garments that lie over another on a host behind the front one, and are not drawn at that.
    pub(super) fn garments_over(
        &self,
        garment: usize,
        host: PartId,
        front: PartId,
    ) -> impl Iterator<Item = PartId> + '_ {
        let garments = &self.model().view().garments;
        self.garments_on(host)
            .into_iter()
            .skip_while(move |&g| g != garment)
            .skip(1)
            .filter(move |&g| host != front && self.front_host(g) != Some(front))
            .map(|g| garments[g].part)
    }

    /// The hosts of a garment that show.
    pub(super) fn hosts_of(&self, garment: usize) -> impl Iterator<Item = PartId> + '_ {
        let on = &self.model().view().garments[garment].on;
        on.iter().copied().filter(|&h| self.shown(h).is_some())
    }

    /// The nearest of them.
    pub(super) fn front_host(&self, garment: usize) -> Option<PartId> {
        self.hosts_of(garment).max_by_key(|&h| self.rank(h))
    }
}
