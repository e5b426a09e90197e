//! What there is to draw of a figure at one scale, with nothing left to look up.

use std::cell::OnceCell;
use std::collections::BTreeMap;
use std::sync::Arc;

use super::detail::Detail;
use super::figure::{Cut, CutArea, CutRegion, Figure, Layer, Look};
use super::regions::ArtRegions;
use crate::art::{Colour, Gradient, Outline, RasterArt, Rgb, Shape, Source};
use crate::cast::PartId;
use crate::geom::{Affine, Region};

/// What there is to draw of a figure at one scale. Geometry is made when it is first asked for, once for all layers.
pub(crate) struct DrawList<'a> {
    figure: &'a Figure,
    detail: Arc<Detail>,
    /// Back to front.
    pub layers: Vec<Drawn<'a>>,
    pub cuts: Vec<SharedCut<'a>>,
    /// For each part what it shows.
    seen: Vec<OnceCell<(Arc<Region>, Affine)>>,
}

/// A layer of it.
pub(crate) struct Drawn<'a> {
    /// The part that owns the pixels.
    pub part: PartId,
    pub art: Look,
    /// Number of the shape in the drawing.
    pub number: usize,
    pub shape: &'a Shape,
    /// What fills it, in the colours of the pose.
    pub source: Source,
    /// The same of art that is drawn as pixels.
    pub raster: Option<&'a RasterArt>,
    /// From art space to the posed canvas.
    pub posed: Affine,
    /// Which of the list's cuts must let a point through: all of them.
    pub cuts: Vec<usize>,
    layer: &'a Layer,
    regions: OnceCell<Arc<ArtRegions>>,
}

/// A cut that layers share.
pub(crate) struct SharedCut<'a> {
    pub cut: Cut,
    /// How many of them.
    pub layers: usize,
    first: &'a Layer,
    area: OnceCell<Option<CutArea>>,
    region: OnceCell<Option<CutRegion>>,
}

impl Figure {
    /// What there is to draw at a picture scale, pixels per canvas unit.
    pub(crate) fn at(&self, scale: f64) -> DrawList<'_> {
        DrawList::new(self, self.detail(scale))
    }
}

impl<'a> DrawList<'a> {
    /// With the geometry of a level of detail.
    pub fn new(figure: &'a Figure, detail: Arc<Detail>) -> Self {
        let mut cuts: Vec<SharedCut<'a>> = Vec::new();
        let mut known = BTreeMap::new();
        let mut number = |first: &'a Layer, cut: Cut| {
            let next = cuts.len();
            let at = match cut {
                // A matter of one drawing; the others hold for the whole figure.
                Cut::LaterPaint { .. } => next,
                _ => *known.entry(cut).or_insert(next),
            };
            if at == next {
                cuts.push(SharedCut {
                    cut,
                    layers: 0,
                    first,
                    area: OnceCell::new(),
                    region: OnceCell::new(),
                });
            }
            cuts[at].layers += 1;
            at
        };
        let (model, palette) = (figure.model(), figure.palette());
        let layers = figure.layers().iter().map(|layer| {
            let shape = figure.shape(layer);
            Drawn {
                part: layer.part,
                art: layer.art,
                number: layer.shape,
                shape,
                source: recoloured(&shape.source, |colour| model.colour(colour, palette)),
                raster: match &shape.outline {
                    Outline::Raster(raster) => {
                        Some(model.raster(layer.art.id, layer.shape, raster, palette))
                    }
                    _ => None,
                },
                posed: layer.posed,
                cuts: layer.cuts.iter().map(|&cut| number(layer, cut)).collect(),
                layer,
                regions: OnceCell::new(),
            }
        });
        let layers = layers.collect();
        Self {
            seen: figure.order().iter().map(|_| OnceCell::new()).collect(),
            figure,
            detail,
            layers,
            cuts,
        }
    }

    /// What a layer covers but for its cuts, in art space.
    pub fn region<'s>(&self, layer: &'s Drawn<'_>) -> &'s Arc<Region> {
        let regions = || self.figure.regions(&self.detail, layer.art);
        &layer.regions.get_or_init(regions).shapes[layer.number]
    }

    /// The area of a cut; `None` where there is nothing to cut with.
    pub fn cut_area(&self, cut: usize) -> Option<&CutArea> {
        let of = &self.cuts[cut];
        let area = || self.figure.cut_area(&self.detail, of.first, of.cut);
        of.area.get_or_init(area).as_ref()
    }

    /// The same as polygons.
    pub fn cut_region(&self, cut: usize) -> Option<&CutRegion> {
        let of = &self.cuts[cut];
        let made = || {
            // What a part's seams open rides on it.
            let frame = match of.cut {
                Cut::Seams { of } => self.figure.world(of),
                _ => Affine::IDENTITY,
            };
            let CutArea { keep, area, .. } = self.cut_area(cut)?;
            let (region, posed) = area.region(frame)?;
            Some(CutRegion {
                keep: *keep,
                region,
                posed,
            })
        };
        of.region.get_or_init(made).as_ref()
    }

    /// Where garments recolour a layer's ink; the later recolours the earlier.
    pub fn trims(&self, layer: &Drawn<'a>) -> impl Iterator<Item = (&(Arc<Region>, Affine), Rgb)> {
        let trims = layer.layer.trims.iter();
        trims.map(|trim| (self.seen(trim.garment), trim.colour))
    }

    /// A part's silhouette less what its masks hide.
    pub fn seen(&self, part: PartId) -> &(Arc<Region>, Affine) {
        self.seen[part.at()].get_or_init(|| self.figure.visible(&self.detail, part))
    }

    /// What a part covers for good; `None` where it shows nothing.
    pub fn cover(&self, part: PartId) -> Option<(Arc<Region>, Affine)> {
        self.figure.cover(&self.detail, part)
    }
}

fn recoloured(source: &Source, colour: impl Fn(&Colour) -> Rgb) -> Source {
    let new = |old: &Colour| Colour {
        rgb: colour(old),
        swatch: None,
    };
    let stops = |old: &Gradient| {
        let stops = old.stops.iter();
        Arc::new(Gradient {
            stops: stops.map(|(at, c, alpha)| (*at, new(c), *alpha)).collect(),
            ..old.clone()
        })
    };
    match source {
        Source::Solid(colour) => Source::Solid(new(colour)),
        Source::Linear(gradient, line) => Source::Linear(stops(gradient), *line),
        Source::Radial(gradient, circles) => Source::Radial(stops(gradient), *circles),
    }
}
