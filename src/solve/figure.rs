//! A rig solved in one pose: an ordered draw list, nothing left to look up.

use std::sync::{Arc, OnceLock};

use super::area::Area;
use super::detail::Detail;
use super::formed::Formed;
use super::model::{Model, Puppet};
use super::regions::ArtRegions;
use crate::art::{ArtId, Outline, PartArt, Rgb, Shape};
use crate::cast::{Keep, PartId};
use crate::geom::{Affine, Region, bounds_of, join_to};

/// A rig solved in one pose: an ordered draw list, nothing left to look up.
#[derive(Clone, Debug)]
pub struct Figure {
    model: Arc<Model>,
    parts: Vec<Posed>,
    /// For each part what it shows, where the pose deforms it.
    formed: Vec<Option<Arc<Formed>>>,
    /// Parts back to front.
    order: Vec<PartId>,
    /// For each part its place in that order.
    rank: Vec<usize>,
    layers: Vec<Layer>,
    palette: usize,
    /// For each part a box about what it shows, once one is asked for.
    pub(super) boxes: OnceLock<Vec<Option<[f64; 4]>>>,
}

/// A part in a pose.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Posed {
    /// From the rest canvas to the posed one.
    pub world: Affine,
    /// What it shows.
    pub art: Option<ArtId>,
}

/// Which drawing, and of which part it has the form.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Look {
    pub id: ArtId,
    /// `None` where it is as drawn.
    pub form: Option<PartId>,
}

/// One shape of the draw list.
#[derive(Clone, Debug)]
pub(crate) struct Layer {
    /// The part that owns the pixels.
    pub part: PartId,
    pub art: Look,
    /// Number of the shape in the drawing.
    pub shape: usize,
    /// From art space to the posed canvas.
    pub posed: Affine,
    /// All of them must let a point through.
    pub cuts: Vec<Cut>,
    /// In order; the later recolours the earlier.
    pub trims: Vec<Trim>,
}

/// What takes something away from a layer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Cut {
    /// A mask of the view.
    Mask { mask: usize },
    /// Outside what the seams of a part open of its ink.
    Seams { of: PartId },
    /// Inside the paint of the host of a garment. The host's ink is drawn after, over this edge, so
    /// that a garment never looks out past the ink.
    Host { host: PartId },
    /// The same for all hosts of a garment up to the front one, less what comes between these.
    Hosts { garment: usize, front: PartId },
    /// Inside a garment.
    Over { garment: PartId },
    /// Outside a part that lies in front.
    Behind { part: PartId },
    /// Outside what a garment covers for good, a little within its edge.
    Worn { garment: PartId },
    /// Outside the paint that lies over this shape in the layer's own drawing.
    LaterPaint { shape: usize },
}

/// A stretch of ink in another colour.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Trim {
    /// The garment that covers it.
    pub garment: PartId,
    pub colour: Rgb,
}

/// A cut as geometry: an area of the posed canvas, and which side of it stays.
#[derive(Clone, Debug)]
pub(crate) struct CutArea {
    pub keep: Keep,
    pub area: Area,
    /// What it cuts lies in this box.
    pub within: Option<[f64; 4]>,
}

/// The same as polygons.
#[derive(Clone, Debug)]
pub(crate) struct CutRegion {
    pub keep: Keep,
    pub region: Arc<Region>,
    pub posed: Affine,
}

impl CutArea {
    fn new(keep: Keep, area: impl Into<Area>) -> Self {
        Self {
            keep,
            area: area.into(),
            within: None,
        }
    }
}

impl Figure {
    pub(super) fn new(
        model: Arc<Model>,
        parts: Vec<Posed>,
        formed: Vec<Option<Arc<Formed>>>,
        order: Vec<PartId>,
        palette: usize,
    ) -> Self {
        let mut rank = vec![0; parts.len()];
        for (at, part) in order.iter().enumerate() {
            rank[part.at()] = at;
        }
        Self {
            model,
            parts,
            formed,
            order,
            rank,
            layers: Vec::new(),
            palette,
            boxes: OnceLock::new(),
        }
    }

    pub(super) fn set_layers(&mut self, layers: Vec<Layer>) {
        self.layers = layers;
    }

    /// Parts back to front, those too that show nothing.
    pub(crate) fn order(&self) -> &[PartId] {
        &self.order
    }

    /// A part's place in that order.
    pub(crate) fn rank(&self, part: PartId) -> usize {
        self.rank[part.at()]
    }

    /// The drawing that a part shows.
    pub(crate) fn shown(&self, part: PartId) -> Option<ArtId> {
        self.parts[part.at()].art
    }

    pub(super) fn palette(&self) -> usize {
        self.palette
    }

    /// Back to front.
    pub(super) fn layers(&self) -> &[Layer] {
        &self.layers
    }

    pub(crate) fn model(&self) -> &Model {
        &self.model
    }

    /// The drawing that a layer is of.
    fn drawn(&self, layer: &Layer) -> &PartArt {
        self.art(layer.art)
    }

    /// A drawing as it is in the pose.
    pub(crate) fn art(&self, look: Look) -> &PartArt {
        let formed = look.form.and_then(|part| self.formed(part));
        formed.map_or_else(|| &*self.model.art[look.id.at()], |formed| &formed.art)
    }

    /// What a part shows, where the pose deforms it.
    pub(super) fn formed(&self, part: PartId) -> Option<&Formed> {
        self.formed[part.at()].as_deref()
    }

    /// The drawing that a part shows, with its form.
    pub(super) fn look(&self, part: PartId) -> Option<Look> {
        Some(Look {
            id: self.shown(part)?,
            form: self.formed(part).map(|_| part),
        })
    }

    pub(super) fn shape(&self, layer: &Layer) -> &Shape {
        &self.drawn(layer).shapes[layer.shape]
    }

    /// The geometry for a picture scale, pixels per canvas unit.
    pub(super) fn detail(&self, scale: f64) -> Arc<Detail> {
        let most = self
            .parts
            .iter()
            .map(|p| p.world.max_scale())
            .fold(0.0, f64::max);
        self.model.detail(scale * most.clamp(1.0, 16.0))
    }

    pub(crate) fn regions(&self, detail: &Detail, look: Look) -> Arc<ArtRegions> {
        match look.form.and_then(|part| self.formed(part)) {
            Some(formed) => formed.regions(detail),
            None => Arc::clone(detail.art(look.id)),
        }
    }

    pub(crate) fn drawing(&self, part: PartId) -> Option<(&PartArt, Look, Affine)> {
        let look = self.look(part)?;
        let place = self.model.place[part.at()];
        Some((self.art(look), look, self.world(part).after(place)))
    }

    /// From the rest canvas to where a part has gone.
    pub(crate) fn world(&self, part: PartId) -> Affine {
        self.parts[part.at()].world
    }

    /// A part's silhouette less what its masks hide, posed, flattened for `scale` pixels per unit;
    /// `None` where the part shows nothing.
    pub(super) fn silhouette(&self, part: PartId, scale: f64) -> Option<Region> {
        self.parts[part.at()].art?;
        let (region, posed) = self.visible(&self.detail(scale), part);
        Some(region.transformed(&posed))
    }

    /// Where a part has gone: from the rest canvas to the posed one. `None` for a name that this
    /// view has not.
    #[must_use]
    pub fn transform_of(&self, part: &str) -> Option<Affine> {
        let name = self.model.member.names.iter().position(|n| n == part)?;
        let id = self.model.view().by_name[name]?;
        Some(self.parts[id.at()].world)
    }

    /// The radius of a seam's disc, units; `None` for a seam that this view has not, or one whose
    /// zone is drawn.
    #[must_use]
    pub fn seam_radius(&self, seam: &str) -> Option<f64> {
        use crate::cast::Zone;
        let k = self
            .model
            .view()
            .seams
            .iter()
            .position(|s| s.name == seam)?;
        match self.model.view().seams[k].zone {
            Zone::Auto => Some(self.model.radius(k, None)),
            Zone::Radius(r) => Some(self.model.radius(k, Some(r))),
            Zone::Art(_) => None,
        }
    }

    /// A part's solid paint, posed, canvas units, flattened for `scale` pixels per unit. Empty when the
    /// part does not show; `None` for a name that this view has not.
    #[must_use]
    pub fn paint_of(&self, part: &str, scale: f64) -> Option<Region> {
        let name = self.model.member.names.iter().position(|n| n == part)?;
        let id = self.model.view().by_name[name]?;
        let Some((art, drawing, posed)) = self.drawing(id) else {
            return Some(Region::empty());
        };
        let regions = self.regions(&self.detail(scale), drawing);
        Some(regions.paint(art).transformed(&posed))
    }

    /// Names of the parts, back to front, as far as they show.
    #[must_use]
    pub fn depth_order(&self) -> Vec<&str> {
        let mut out: Vec<&str> = Vec::new();
        let mut front = 0;
        for layer in &self.layers {
            // The ink of a rear host, once more over a garment, puts nothing in front.
            let rank = self.rank(layer.part);
            if !self.model.wears(layer.part) {
                if rank < front {
                    continue;
                }
                front = rank;
            }
            let name = self.model.name(layer.part);
            if out.last() != Some(&name) {
                out.push(name);
            }
        }
        out
    }

    /// The puppet it is a pose of.
    #[must_use]
    pub fn puppet(&self) -> Puppet {
        Puppet(Arc::clone(&self.model))
    }

    /// Names of the parts, by their number in the owner map less one.
    #[must_use]
    pub fn part_names(&self) -> Vec<&str> {
        self.model
            .view()
            .parts
            .iter()
            .map(|p| self.model.member.names[p.name.at()].as_str())
            .collect()
    }

    /// What the figure covers, canvas units: left, top, right, bottom. `None` when nothing shows.
    /// Garments are seen only on their hosts, so they add nothing.
    #[must_use]
    pub fn bounds(&self) -> Option<[f64; 4]> {
        let detail = self.model.detail(0.25);
        let mut all = None;
        for layer in &self.layers {
            if self.model.wears(layer.part) {
                continue;
            }
            let shape = self.shape(layer);
            let corners = match &shape.outline {
                Outline::Raster(raster) => raster.corners(),
                _ => None,
            };
            let placed = layer.posed.after(shape.to_canvas);
            let corners = corners.into_iter().flatten().map(|p| placed.apply(p));
            let regions = self.regions(&detail, layer.art);
            let edges = regions.shapes[layer.shape].contours().iter().flatten();
            let edges = edges.map(|&p| layer.posed.apply(p));
            if let Some(one) = bounds_of(corners.chain(edges)) {
                join_to(&mut all, one);
            }
        }
        all
    }

    /// A cut as geometry. `None` when there is nothing to cut with: a mask of parts that do not show
    /// is an empty area, not `None`.
    pub(super) fn cut_area(&self, detail: &Detail, layer: &Layer, cut: Cut) -> Option<CutArea> {
        let model = &self.model;
        Some(match cut {
            Cut::Mask { mask } => {
                let given = &model.view().masks[mask];
                CutArea::new(given.keep, self.together(detail, &given.of))
            }
            Cut::Seams { of } => self.opening(detail, of)?,
            Cut::Host { host } => CutArea::new(Keep::Inside, self.host(detail, host)?),
            Cut::Hosts { garment, front } => self.hosts(detail, garment, front),
            Cut::Over { garment } => CutArea::new(Keep::Inside, self.visible(detail, garment)),
            Cut::Behind { part } => CutArea::new(Keep::Outside, self.host(detail, part)?),
            Cut::Worn { garment } => {
                let (art, id, posed) = self.drawing(garment)?;
                let covered = Arc::clone(self.regions(detail, id).worn(art));
                // A mask ends the garment without a lap: what it covers must stay.
                if covered.is_empty() || model.view().masks.iter().any(|m| m.part == garment) {
                    return None;
                }
                CutArea::new(Keep::Outside, (covered, posed))
            }
            Cut::LaterPaint { shape } => {
                let art = self.drawn(layer);
                let regions = self.regions(detail, layer.art);
                let later = Arc::clone(regions.later(art, shape));
                CutArea::new(Keep::Outside, (later, layer.posed))
            }
        })
    }

    /// What a mask's parts show together.
    fn together(&self, detail: &Detail, of: &[PartId]) -> (Arc<Region>, Affine) {
        if let [one] = *of {
            return self.visible(detail, one);
        }
        let all: Vec<Region> = of
            .iter()
            .map(|&part| {
                let (region, posed) = self.visible(detail, part);
                region.transformed(&posed)
            })
            .collect();
        (Arc::new(Region::union_all(&all)), Affine::IDENTITY)
    }

    /// A part's silhouette less what its masks hide.
    pub(super) fn visible(&self, detail: &Detail, part: PartId) -> (Arc<Region>, Affine) {
        let Some((art, id, posed)) = self.drawing(part) else {
            return (Arc::new(Region::empty()), Affine::IDENTITY);
        };
        let silhouette = Arc::clone(self.regions(detail, id).silhouette(art));
        self.masked(detail, part, silhouette, posed)
    }

    /// What a part covers for good, less what its masks hide.
    pub(super) fn cover(&self, detail: &Detail, part: PartId) -> Option<(Arc<Region>, Affine)> {
        let (art, id, posed) = self.drawing(part)?;
        let cover = Arc::clone(self.regions(detail, id).cover(art));
        Some(self.masked(detail, part, cover, posed))
    }

    /// A region of a part less what the part's masks hide. Masks never go round in a circle: the
    /// reader has seen to it.
    pub(super) fn masked(
        &self,
        detail: &Detail,
        part: PartId,
        region: Arc<Region>,
        posed: Affine,
    ) -> (Arc<Region>, Affine) {
        let masks = self.model.view().masks.iter().filter(|m| m.part == part);
        let mut seen: Option<Region> = None;
        for mask in masks {
            let from = seen.unwrap_or_else(|| region.transformed(&posed));
            let (others, others_posed) = self.together(detail, &mask.of);
            let union = others.transformed(&others_posed);
            seen = Some(match mask.keep {
                Keep::Inside => from.intersection(&union),
                Keep::Outside => from.difference(&union),
            });
        }
        seen.map_or((region, posed), |r| (Arc::new(r), Affine::IDENTITY))
    }
}
