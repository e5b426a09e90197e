//! The draw list, put on pixels.

use std::collections::BTreeMap;
use std::rc::Rc;
use std::sync::Arc;

use tiny_skia::{Pixmap, PixmapMut};

use super::coverage::Coverage;
use super::fill::Filler;
use super::frame::{DrawError, Frame, MOST_SIDE, OwnerMap, Viewport};
use super::gradient;
use super::stroke::{Colouring, Stroke, Target};
use crate::art::{Outline, Rgb, Shape, Source};
use crate::cast::{Keep, PartId};
use crate::geom::{Affine, Region};
use crate::solve::{Area, Cut, CutArea, Detail, Figure, Layer, Term, Trim};

/// Bytes of what waits to be put on the pixels, at most, roughly.
const MOST_HELD: usize = 32 << 20;

/// Buffers kept from picture to picture; one per thread.
#[derive(Debug, Default)]
pub struct Scratch {
    filler: Filler,
    /// Coverages that are done with, for their buffers.
    spare: Vec<Coverage>,
}

/// Draws a figure into a new picture; transparent where `background` is `None`.
///
/// # Errors
///
/// When the picture would be empty or too large.
pub fn draw(
    figure: &Figure,
    viewport: &Viewport,
    background: Option<Rgb>,
    owners: bool,
    scratch: &mut Scratch,
) -> Result<Frame, DrawError> {
    viewport.check()?;
    let Viewport {
        width,
        height,
        to_pixels,
    } = *viewport;
    let limit = MOST_SIDE;
    let mut pixels = Pixmap::new(width, height).ok_or(DrawError::TooLarge {
        width,
        height,
        limit,
    })?;
    if let Some(Rgb([r, g, b])) = background {
        pixels.fill(tiny_skia::Color::from_rgba8(r, g, b, 255));
    }
    let mut map = owners.then(|| vec![0_u16; width as usize * height as usize]);
    let target = Target {
        data: pixels.data_mut(),
        width,
        height,
        owners: map.as_deref_mut(),
    };
    Painter::new(figure, to_pixels, target, scratch).all();
    let owners = map.map(|owners| OwnerMap {
        width,
        height,
        owners,
    });
    Ok(Frame { pixels, owners })
}

/// Draws a figure over what `pixels` holds.
///
/// # Errors
///
/// When the picture is larger than one that [`draw`] makes; it stays as it is.
pub fn draw_onto(
    figure: &Figure,
    to_pixels: Affine,
    pixels: &mut PixmapMut<'_>,
    scratch: &mut Scratch,
) -> Result<(), DrawError> {
    let (width, height) = (pixels.width(), pixels.height());
    let viewport = Viewport {
        width,
        height,
        to_pixels,
    };
    viewport.check()?;
    let target = Target {
        data: pixels.data_mut(),
        width,
        height,
        owners: None,
    };
    Painter::new(figure, to_pixels, target, scratch).all();
    Ok(())
}

struct Painter<'a> {
    figure: &'a Figure,
    to_pixels: Affine,
    detail: Arc<Detail>,
    target: Target<'a>,
    scratch: &'a mut Scratch,
    /// What is yet to be put on the pixels, back to front.
    strokes: Vec<Stroke>,
    /// Bytes that these hold, roughly.
    held: usize,
    /// Coverage of cuts that several layers share.
    cuts: BTreeMap<Cut, (Keep, Rc<Coverage>)>,
    /// Coverage of garments, for trims.
    worn: BTreeMap<PartId, Rc<Coverage>>,
}

impl<'a> Painter<'a> {
    fn new(
        figure: &'a Figure,
        to_pixels: Affine,
        target: Target<'a>,
        scratch: &'a mut Scratch,
    ) -> Self {
        let detail = figure.detail(to_pixels.max_scale());
        Self {
            figure,
            to_pixels,
            detail,
            target,
            scratch,
            strokes: Vec::new(),
            held: 0,
            cuts: BTreeMap::new(),
            worn: BTreeMap::new(),
        }
    }

    fn all(&mut self) {
        for layer in self.figure.layers() {
            self.layer(layer);
            if self.held > MOST_HELD {
                self.put_down();
            }
        }
        self.put_down();
        let shared = std::mem::take(&mut self.cuts).into_values().map(|(_, c)| c);
        let worn = std::mem::take(&mut self.worn).into_values();
        self.scratch
            .spare
            .extend(shared.chain(worn).filter_map(|c| Rc::try_unwrap(c).ok()));
    }

    fn fill(&mut self, region: &Region, to_pixels: &Affine) -> Coverage {
        let spare = self.scratch.spare.pop().unwrap_or_default();
        let (width, height) = (self.target.width, self.target.height);
        let filler = &mut self.scratch.filler;
        filler.fill(region, to_pixels, width, height, spare)
    }

    fn layer(&mut self, layer: &Layer) {
        let shape = self.figure.shape(layer);
        let opacity = opacity(shape.opacity);
        if opacity == 0 {
            return;
        }
        let to_pixels = self.to_pixels.after(layer.posed);
        let (width, height) = (self.target.width, self.target.height);
        if let Outline::Raster(raster) = &shape.outline {
            let raster = self.figure.raster(layer, raster);
            let Some(drawn) = raster.drawn(&to_pixels.after(shape.to_canvas), width, height) else {
                return;
            };
            let Some((x, y, pixels)) = within(&drawn, width, height) else {
                return;
            };
            #[expect(clippy::cast_possible_truncation, reason = "under 32768")]
            let whole = Coverage::full(
                x as u16,
                y,
                (x + pixels.width()) as u16,
                y + pixels.height(),
            );
            let seen = self.cut(layer, whole);
            let colouring = Colouring::Pixels {
                left: x,
                top: y,
                pixels,
            };
            self.put(layer, seen, opacity, colouring);
            return;
        }
        let regions = self.figure.regions(&self.detail, layer.art);
        let mut seen = self.fill(&regions.shapes[layer.shape], &to_pixels);
        if shape.crisp {
            seen = seen.harden();
        }
        let seen = self.cut(layer, seen);
        if seen.is_empty() {
            self.scratch.spare.push(seen);
        } else {
            self.colour(layer, shape, &to_pixels, opacity, seen);
        }
    }

    /// Gives a layer its colour.
    fn colour(
        &mut self,
        layer: &Layer,
        shape: &Shape,
        to_pixels: &Affine,
        opacity: u8,
        seen: Coverage,
    ) {
        if let Source::Solid(colour) = &shape.source {
            let rgb = self.figure.colour(colour);
            let trims: Vec<(Rc<Coverage>, Rgb)> = layer
                .trims
                .iter()
                .map(|t| (self.garment_coverage(t), t.colour))
                .collect();
            let colouring = if trims.is_empty() {
                Colouring::Solid(rgb)
            } else {
                Colouring::Trimmed(rgb, trims)
            };
            self.put(layer, seen, opacity, colouring);
            return;
        }
        let Some(bounds) = seen.bounds() else { return };
        let to_pixels = to_pixels.after(shape.to_canvas);
        let Some(pixels) = gradient::pixels(
            self.figure,
            &shape.source,
            shape.opacity,
            &to_pixels,
            bounds,
        ) else {
            return;
        };
        // Trims lie over ink that has no one colour to change.
        let trims: Vec<(Coverage, Rgb)> = layer
            .trims
            .iter()
            .map(|trim| {
                let garment = self.garment_coverage(trim);
                (seen.cut(&garment, true, Coverage::default()), trim.colour)
            })
            .collect();
        let colouring = Colouring::Pixels {
            left: bounds[0],
            top: bounds[1],
            pixels,
        };
        self.put(layer, seen, 255, colouring);
        for (both, rgb) in trims {
            self.put(layer, both, opacity, Colouring::Solid(rgb));
        }
    }

    /// Has something put on the pixels over all before it.
    fn put(&mut self, layer: &Layer, seen: Coverage, opacity: u8, colouring: Colouring) {
        self.held += seen.bytes();
        if let Colouring::Pixels { pixels, .. } = &colouring {
            self.held += pixels.data().len();
        }
        self.strokes.push(Stroke {
            part: layer.part,
            seen,
            opacity,
            colouring,
        });
    }

    /// Puts on the pixels what waits for it.
    fn put_down(&mut self) {
        self.target.put(&self.strokes);
        let done = self.strokes.drain(..).map(|stroke| stroke.seen);
        self.scratch.spare.extend(done);
        self.held = 0;
    }

    /// A layer's coverage less what its cuts take.
    fn cut(&mut self, layer: &Layer, mut seen: Coverage) -> Coverage {
        for &cut in &layer.cuts {
            if seen.is_empty() {
                break;
            }
            let Some((keep, by)) = self.cut_coverage(layer, cut) else {
                continue;
            };
            if keep == Keep::Outside && !seen.meets(&by) {
                continue;
            }
            let spare = self.scratch.spare.pop().unwrap_or_default();
            let rest = seen.cut(&by, keep == Keep::Inside, spare);
            self.scratch.spare.push(std::mem::replace(&mut seen, rest));
        }
        seen
    }

    fn cut_coverage(&mut self, layer: &Layer, cut: Cut) -> Option<(Keep, Rc<Coverage>)> {
        if let Some((keep, known)) = self.cuts.get(&cut) {
            return Some((*keep, Rc::clone(known)));
        }
        let CutArea { keep, area, posed } = self.figure.cut_area(&self.detail, layer, cut)?;
        let made = Rc::new(self.area(&area, &self.to_pixels.after(posed)));
        // Later paint is a matter of one drawing; the others hold for the whole figure.
        if !matches!(cut, Cut::LaterPaint { .. }) {
            self.cuts.insert(cut, (keep, Rc::clone(&made)));
        }
        Some((keep, made))
    }

    /// The coverage of an area: inside multiplies, outside multiplies by what is left.
    fn area(&mut self, area: &Area, to_pixels: &Affine) -> Coverage {
        let mut terms = area.0.iter();
        let first = terms.next().map(|t| self.term(t, to_pixels));
        terms.fold(first.unwrap_or_default(), |whole, term| {
            let more = self.term(term, to_pixels);
            self.join(whole, more, |a, b, spare| a.with(b, spare))
        })
    }

    fn term(&mut self, term: &Term, to_pixels: &Affine) -> Coverage {
        let mut regions = term.all.iter().map(|leaf| &leaf.region);
        let first = regions.next().map(|r| self.fill(r, to_pixels));
        let whole = regions.fold(first.unwrap_or_default(), |whole, region| {
            let more = self.fill(region, to_pixels);
            self.join(whole, more, |a, b, spare| a.cut(b, true, spare))
        });
        let none = term.none.iter().flat_map(|area| &area.0);
        none.fold(whole, |whole, term| {
            let less = self.term(term, to_pixels);
            self.join(whole, less, |a, b, spare| a.cut(b, false, spare))
        })
    }

    fn join(
        &mut self,
        a: Coverage,
        b: Coverage,
        how: impl Fn(&Coverage, &Coverage, Coverage) -> Coverage,
    ) -> Coverage {
        let both = how(&a, &b, self.scratch.spare.pop().unwrap_or_default());
        self.scratch.spare.extend([a, b]);
        both
    }

    fn garment_coverage(&mut self, trim: &Trim) -> Rc<Coverage> {
        if let Some(known) = self.worn.get(&trim.garment) {
            return Rc::clone(known);
        }
        let (region, posed) = self.figure.trim_region(&self.detail, trim);
        let to_pixels = self.to_pixels.after(posed);
        let made = Rc::new(self.fill(&region, &to_pixels));
        self.worn.insert(trim.garment, Rc::clone(&made));
        made
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped"
)]
fn opacity(share: f32) -> u8 {
    (share.clamp(0.0, 1.0) * 255.0 + 0.5) as u8
}

/// The part of a raster layer that lies in the picture.
fn within(drawn: &crate::art::RasterLayer, width: u32, height: u32) -> Option<(u32, u32, Pixmap)> {
    let (x, y) = (drawn.x, drawn.y);
    let (w, h) = (
        i64::from(drawn.pixels.width()),
        i64::from(drawn.pixels.height()),
    );
    let left = i64::from(x.max(0));
    let top = i64::from(y.max(0));
    let right = (i64::from(x) + w).min(i64::from(width));
    let bottom = (i64::from(y) + h).min(i64::from(height));
    if right <= left || bottom <= top {
        return None;
    }
    let crop = tiny_skia::IntRect::from_ltrb(
        i32::try_from(left - i64::from(x)).ok()?,
        i32::try_from(top - i64::from(y)).ok()?,
        i32::try_from(right - i64::from(x)).ok()?,
        i32::try_from(bottom - i64::from(y)).ok()?,
    )?;
    let pixels = drawn.pixels.clone_rect(crop)?;
    Some((u32::try_from(left).ok()?, u32::try_from(top).ok()?, pixels))
}
