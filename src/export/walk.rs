//! A figure's cuts and trims as clip paths, for whatever sort of document.

use std::sync::Arc;

use tiny_skia::{FillRule, LineJoin, Path, Pixmap, Stroke};

use crate::art::{ClipShape, Colour, Outline, RasterArt, Rgb, Source};
use crate::cast::{Keep, PartId};
use crate::geom::{Affine, Region};
use crate::solve::{DrawList, Drawn};

/// Raster art is drawn for a picture this many times the document's size.
const RASTER: f64 = 2.0;
/// How far ink in its own colour runs on under a trim, document pixels: edges that only meet would let what lies
/// beneath shine through.
const LAP: f64 = 0.75;

/// A document that is being written.
pub(super) trait Sink {
    /// A clip path of it.
    type Clip: Clone;

    /// What comes next is of a part.
    fn begin(&mut self, _part: PartId) {}

    /// A side of a region that is not empty; `None` where nothing passes.
    fn clip(&mut self, keep: Keep, region: &Arc<Region>, posed: &Affine) -> Option<Self::Clip>;

    /// A clip path of the art.
    fn art_clip(&mut self, clip: &ClipShape, posed: &Affine) -> Option<Self::Clip>;

    /// Draws something within all these: the cuts of its layer, which the layers beside it may have too, and its own.
    fn put(&mut self, piece: &Piece<'_>, cuts: &[Self::Clip], own: &[Self::Clip]);
}

/// What is drawn.
pub(super) struct Piece<'a> {
    pub form: Form<'a>,
    pub source: &'a Source,
    pub opacity: f32,
    pub crisp: bool,
    /// From the form's coordinates to the canvas.
    pub posed: Affine,
}

/// What it covers.
pub(super) enum Form<'a> {
    Fill(&'a Path, FillRule),
    Line(&'a Path, &'a Stroke, Option<&'a (Vec<f32>, f32)>),
    /// The outline of a line whose joins documents have not.
    Region(&'a Region),
    /// So many to the canvas unit, and where their corner lies there.
    Pixels(Pixmap, f64, [f64; 2]),
}

/// Writes all layers into a document of so many pixels to the unit; `area` is what of the canvas it shows: left, top,
/// right, bottom.
pub(super) fn walk<S: Sink>(list: &DrawList<'_>, scale: f64, area: [f64; 4], sink: &mut S) {
    let mut walker = Walker {
        list,
        scale,
        area,
        cuts: list.cuts.iter().map(|_| None).collect(),
        sink,
    };
    for layer in &list.layers {
        walker.sink.begin(layer.part);
        walker.layer(layer);
    }
}

/// A clip, if any is needed; `None` where nothing passes.
type Clip<S> = Option<Option<<S as Sink>::Clip>>;

struct Walker<'a, S: Sink> {
    list: &'a DrawList<'a>,
    scale: f64,
    area: [f64; 4],
    /// The list's, as far as they have been asked for.
    cuts: Vec<Option<Clip<S>>>,
    sink: &'a mut S,
}

impl<S: Sink> Walker<'_, S> {
    /// `None` where nothing of the layer is left.
    fn layer(&mut self, layer: &Drawn<'_>) -> Option<()> {
        let list = self.list;
        let mut cuts = Vec::new();
        for &at in &layer.cuts {
            cuts.extend(self.cut(at)?);
        }
        let clips = layer.shape.clips.iter();
        let clips = clips.map(|clip| self.sink.art_clip(clip, &layer.posed));
        let clips: Vec<S::Clip> = clips.collect::<Option<_>>()?;
        // Ink in its own colour stops a little inside the garments; each trim stops a little inside the later ones.
        let trims: Vec<_> = list.trims(layer).collect();
        let beyond = trims.iter().map(|((region, posed), _)| {
            let lap = LAP / (self.scale * posed.max_scale().max(1e-6));
            let less = Arc::new(region.shrunk(lap, 0.05 / self.scale));
            self.clip(Keep::Outside, &less, posed)
        });
        let beyond: Vec<Clip<S>> = beyond.collect();
        for k in 0..=trims.len() {
            let trim = k.checked_sub(1).map(|j| trims[j]);
            let mut own = clips.clone();
            let mut narrow = || {
                if let Some(((region, posed), _)) = trim {
                    own.extend(self.clip(Keep::Inside, region, posed)?);
                }
                for later in &beyond[k..] {
                    own.extend(later.clone()?);
                }
                Some(())
            };
            if narrow().is_some() {
                self.put(layer, trim.map(|(_, rgb)| rgb), &cuts, &own);
            }
        }
        Some(())
    }

    fn cut(&mut self, at: usize) -> Clip<S> {
        if let Some(known) = &self.cuts[at] {
            return known.clone();
        }
        let list = self.list;
        let clip = list.cut_region(at).map_or(Some(None), |cut| {
            self.clip(cut.keep, &cut.region, &cut.posed)
        });
        self.cuts[at] = Some(clip.clone());
        clip
    }

    fn clip(&mut self, keep: Keep, region: &Arc<Region>, posed: &Affine) -> Clip<S> {
        match keep {
            Keep::Outside if region.is_empty() => Some(None),
            Keep::Inside if region.is_empty() => None,
            _ => self.sink.clip(keep, region, posed).map(Some),
        }
    }

    /// Draws a layer; `trim` overrides its own colour.
    fn put(&mut self, layer: &Drawn<'_>, trim: Option<Rgb>, cuts: &[S::Clip], own: &[S::Clip]) {
        let shape = layer.shape;
        let trim = trim.map(|rgb| Source::Solid(Colour { rgb, swatch: None }));
        let mut posed = layer.posed.after(shape.to_canvas);
        let form = match (&shape.outline, layer.raster) {
            (_, Some(raster)) => match self.pixels(raster, &posed) {
                Some(form) => form,
                None => return,
            },
            (Outline::Fill { path, rule }, _) => Form::Fill(path, *rule),
            (Outline::Stroke { stroke, .. }, _) if stroke.line_join == LineJoin::MiterClip => {
                posed = layer.posed;
                Form::Region(self.list.region(layer))
            }
            (Outline::Stroke { path, stroke, dash }, _) => Form::Line(path, stroke, dash.as_ref()),
            (Outline::Raster(_), None) => return,
        };
        let piece = Piece {
            form,
            source: trim.as_ref().unwrap_or(&layer.source),
            opacity: shape.opacity,
            crisp: shape.crisp,
            posed,
        };
        self.sink.put(&piece, cuts, own);
    }

    /// Raster art, drawn in its pose.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "clamped"
    )]
    fn pixels(&self, raster: &RasterArt, posed: &Affine) -> Option<Form<'static>> {
        // Pixels of what is seen alone: other places of the canvas need none.
        let [left, top, right, bottom] = self.area;
        let s = self.scale * RASTER;
        let side = |v: f64| libm::ceil(v * s).clamp(1.0, 16_384.0) as u32;
        let to_pixels = Affine::scale([s, s]).after(Affine::translate([-left, -top]));
        let (width, height) = (side(right - left), side(bottom - top));
        let drawn = raster.draw(&to_pixels.after(*posed), width, height)?;
        let at = [left + f64::from(drawn.x) / s, top + f64::from(drawn.y) / s];
        Some(Form::Pixels(drawn.pixels, s, at))
    }
}
