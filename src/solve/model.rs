//! What every pose of a view shares.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use super::detail::Detail;
use crate::art::{ArtId, Colour, PartArt, RasterArt, Rgb};
use crate::cast::{Member, NameId, Part, PartId, View, swatch_of};
use crate::geom::Affine;
use crate::pose::ResolvedPose;

/// One view of one member, prepared once for all its poses. Cheap to clone.
#[derive(Clone, Debug)]
pub struct Puppet(pub(crate) Arc<Model>);

/// What every pose of a view shares.
#[derive(Debug)]
pub(crate) struct Model {
    pub member: Arc<Member>,
    pub view: usize,
    pub art: Vec<Arc<PartArt>>,
    /// Art space to the rest canvas, for each part.
    pub place: Vec<Affine>,
    /// Parents before children.
    pub(super) order: Vec<PartId>,
    /// For each part whether it is a garment.
    pub(super) worn: Vec<bool>,
    /// For each part its seams.
    pub(super) seams: Vec<Vec<usize>>,
    /// For each palette, the default palette's colours in it.
    pub(super) recolour: Vec<BTreeMap<Rgb, Rgb>>,
    /// For each drawing whether nothing shows through its paint.
    pub(super) opaque: Vec<bool>,
    /// For each drawing whether it has ink and paint.
    pub(super) whole: Vec<bool>,
    /// Raster art in other palettes, or why it cannot be drawn in one.
    pub(super) rasters: Vec<BTreeMap<(ArtId, usize), Result<RasterArt, String>>>,
    /// Radius of each seam's disc, once asked for.
    pub(super) radii: Vec<OnceLock<f64>>,
    pub(super) details: Mutex<BTreeMap<i32, Arc<Detail>>>,
}

impl Model {
    pub fn view(&self) -> &View {
        &self.member.views[self.view]
    }

    pub fn part(&self, id: PartId) -> &Part {
        &self.view().parts[id.at()]
    }

    /// Whether a pose is of this view.
    pub(super) fn fits(&self, pose: &ResolvedPose) -> bool {
        let n = self.view().parts.len();
        let drawings = pose.parts.iter().filter_map(|part| part.drawing.art());
        pose.parts.len() == n
            && drawings.map(ArtId::at).all(|at| at < self.art.len())
            && (pose.rules.iter()).all(|rule| rule.part.at().max(rule.of.at()) < n)
            && pose.palette < self.member.palettes.len().max(1)
    }

    /// Whether nothing shows through a drawing's paint.
    pub fn is_opaque(&self, art: ArtId) -> bool {
        self.opaque[art.at()]
    }

    /// Whether a drawing has ink and paint.
    pub fn has_ink_and_paint(&self, art: ArtId) -> bool {
        self.whole[art.at()]
    }

    /// Whether a part is a garment.
    pub fn wears(&self, part: PartId) -> bool {
        self.worn[part.at()]
    }

    /// Whether a seam names a part.
    pub fn is_joined(&self, part: PartId) -> bool {
        !self.seams[part.at()].is_empty()
    }

    /// Whether `by` is a part or carries it.
    pub fn carries(&self, by: PartId, part: PartId) -> bool {
        self.view().carries(by, part)
    }

    pub fn name(&self, id: PartId) -> &str {
        self.name_of(self.part(id).name)
    }

    pub(super) fn name_of(&self, id: NameId) -> &str {
        &self.member.names[id.at()]
    }

    /// The geometry at a picture scale (pixels per unit), shared by all scales up to the next
    /// quarter of an octave.
    pub fn detail(&self, scale: f64) -> Arc<Detail> {
        let tier = Detail::tier(scale);
        let mut details = self.details.lock().unwrap_or_else(PoisonError::into_inner);
        Arc::clone(
            details
                .entry(tier)
                .or_insert_with(|| Arc::new(Detail::new(tier, &self.art))),
        )
    }

    /// A colour of the art in a palette.
    pub fn colour(&self, colour: &Colour, palette: usize) -> Rgb {
        let Some(set) = self.member.palettes.get(palette) else {
            return colour.rgb;
        };
        if let Some(named) = &colour.swatch {
            let names = set.swatches.keys().map(String::as_str);
            if let Some(&rgb) = swatch_of(named, names).and_then(|name| set.swatches.get(name)) {
                return rgb;
            }
        }
        self.recolour
            .get(palette)
            .and_then(|map| map.get(&colour.rgb))
            .copied()
            .unwrap_or(colour.rgb)
    }

    pub fn raster<'a>(
        &'a self,
        art: ArtId,
        shape: usize,
        drawn: &'a RasterArt,
        palette: usize,
    ) -> &'a RasterArt {
        self.rasters
            .get(palette)
            .and_then(|map| map.get(&(art, shape))?.as_ref().ok())
            .unwrap_or(drawn)
    }
}
