//! The draw list, put on pixels.

use std::collections::BTreeMap;
use std::rc::Rc;
use std::sync::Arc;

use tiny_skia::{Pixmap, PixmapMut};

use super::blend;
use super::coverage::{Coverage, mul};
use super::fill::Filler;
use super::frame::{DrawError, Frame, MOST_SIDE, OwnerMap, Viewport};
use super::gradient;
use crate::art::{Outline, Rgb, Shape, Source};
use crate::cast::{Keep, PartId};
use crate::geom::{Affine, Region};
use crate::solve::{Cut, Detail, Figure, Layer, Trim};

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

/// Draws a figure over what `pixels` holds. Sides over 32,767 px are left as they are.
pub fn draw_onto(
    figure: &Figure,
    to_pixels: Affine,
    pixels: &mut PixmapMut<'_>,
    scratch: &mut Scratch,
) {
    let (width, height) = (pixels.width(), pixels.height());
    if width > MOST_SIDE || height > MOST_SIDE {
        return;
    }
    let target = Target {
        data: pixels.data_mut(),
        width,
        height,
        owners: None,
    };
    Painter::new(figure, to_pixels, target, scratch).all();
}

struct Target<'a> {
    data: &'a mut [u8],
    width: u32,
    height: u32,
    owners: Option<&'a mut [u16]>,
}

impl Target<'_> {
    /// Gives pixels to a part; `alpha` tells, from column, row and level, how much of one it covers.
    fn own_all(&mut self, seen: &Coverage, part: PartId, alpha: impl Fn(u32, u32, u8) -> u8) {
        let Some(owners) = self.owners.as_deref_mut() else {
            return;
        };
        let number = u16::try_from(part.0 + 1).unwrap_or(u16::MAX);
        for (y, runs) in seen.rows() {
            let row = &mut owners[y as usize * self.width as usize..][..self.width as usize];
            for &run in runs {
                let levels = seen.levels(run);
                for (k, x) in (run.x..run.end()).enumerate() {
                    let alpha = alpha(u32::from(x), y, levels.map_or(255, |l| l[k]));
                    let owner = &mut row[usize::from(x)];
                    if alpha >= 128 || (*owner == 0 && alpha > 0) {
                        *owner = number;
                    }
                }
            }
        }
    }
}

struct Painter<'a> {
    figure: &'a Figure,
    to_pixels: Affine,
    detail: Arc<Detail>,
    target: Target<'a>,
    scratch: &'a mut Scratch,
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
            cuts: BTreeMap::new(),
            worn: BTreeMap::new(),
        }
    }

    fn all(&mut self) {
        for layer in self.figure.layers() {
            self.layer(layer);
        }
        let shared = std::mem::take(&mut self.cuts).into_values().map(|(_, c)| c);
        let worn = std::mem::take(&mut self.worn).into_values();
        self.scratch
            .spare
            .extend(shared.chain(worn).filter_map(|c| Rc::try_unwrap(c).ok()));
    }

    fn fill(&mut self, region: &Region, to_pixels: &Affine) -> Coverage {
        let spare = self.scratch.spare.pop().unwrap_or_default();
        self.scratch.filler.fill(
            region,
            to_pixels,
            self.target.width,
            self.target.height,
            spare,
        )
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
            let Some(drawn) = raster.draw(&to_pixels.after(shape.to_canvas), width, height) else {
                return;
            };
            let Some((x, y, pixels)) = within(drawn, width, height) else {
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
            self.put_pixels(layer.part, &seen, opacity, x, y, &pixels);
            return;
        }
        let regions = self.figure.regions(&self.detail, layer.art);
        let mut seen = self.fill(&regions.shapes[layer.shape], &to_pixels);
        if shape.crisp {
            seen = seen.harden();
        }
        let seen = self.cut(layer, seen);
        if !seen.is_empty() {
            self.put(layer, shape, &to_pixels, opacity, &seen);
        }
        self.scratch.spare.push(seen);
    }

    fn put(
        &mut self,
        layer: &Layer,
        shape: &Shape,
        to_pixels: &Affine,
        opacity: u8,
        seen: &Coverage,
    ) {
        match &shape.source {
            Source::Solid(colour) => {
                let rgb = self.figure.colour(colour);
                if layer.trims.is_empty() {
                    self.put_solid(layer.part, seen, opacity, rgb);
                } else {
                    self.put_trimmed(layer, seen, opacity, rgb);
                }
            }
            source => {
                let Some(bounds) = seen.bounds() else { return };
                let to_pixels = to_pixels.after(shape.to_canvas);
                let Some(pixels) =
                    gradient::pixels(self.figure, source, shape.opacity, &to_pixels, bounds)
                else {
                    return;
                };
                self.put_pixels(layer.part, seen, 255, bounds[0], bounds[1], &pixels);
                self.put_trims_over(layer, seen, opacity);
            }
        }
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
        let region = self.figure.cut_region(&self.detail, layer, cut)?;
        let to_pixels = self.to_pixels.after(region.posed);
        let made = Rc::new(self.fill(&region.region, &to_pixels));
        // Later paint is a matter of one drawing; the others hold for the whole figure.
        if !matches!(cut, Cut::LaterPaint { .. }) {
            self.cuts.insert(cut, (region.keep, Rc::clone(&made)));
        }
        Some((region.keep, made))
    }

    fn put_solid(&mut self, part: PartId, seen: &Coverage, opacity: u8, rgb: Rgb) {
        let width = self.target.width as usize;
        let (pixels, _) = self.target.data.as_chunks_mut::<4>();
        for (y, runs) in seen.rows() {
            let row = &mut pixels[y as usize * width..][..width];
            for &run in runs {
                let stretch = &mut row[usize::from(run.x)..usize::from(run.end())];
                match seen.levels(run) {
                    None => blend::solid(stretch, rgb, opacity),
                    Some(levels) if opacity == 255 => blend::soft(stretch, rgb, levels),
                    Some(levels) => {
                        for (px, &level) in stretch.iter_mut().zip(levels) {
                            blend::solid(std::slice::from_mut(px), rgb, mul(level, opacity));
                        }
                    }
                }
            }
        }
        self.target
            .own_all(seen, part, |_, _, level| mul(level, opacity));
    }

    /// Ink whose colour changes under garments. One coverage, a colour for each pixel: the line is
    /// recoloured and never thickened.
    fn put_trimmed(&mut self, layer: &Layer, seen: &Coverage, opacity: u8, rgb: Rgb) {
        let trims: Vec<(Rc<Coverage>, Rgb)> = layer
            .trims
            .iter()
            .map(|t| (self.garment_coverage(t), t.colour))
            .collect();
        let width = self.target.width as usize;
        let (pixels, _) = self.target.data.as_chunks_mut::<4>();
        let mut over: Vec<u8> = Vec::new();
        let mut colours: Vec<Rgb> = Vec::new();
        for (y, runs) in seen.rows() {
            let row = &mut pixels[y as usize * width..][..width];
            for &run in runs {
                let len = usize::from(run.len);
                colours.clear();
                colours.resize(len, rgb);
                over.resize(len, 0);
                for (garment, colour) in &trims {
                    garment.spread(y, run.x, &mut over);
                    for (c, &share) in colours.iter_mut().zip(&over) {
                        *c = blend::between(*c, *colour, share);
                    }
                }
                let levels = seen.levels(run);
                let stretch = &mut row[usize::from(run.x)..usize::from(run.end())];
                for (k, (px, &rgb)) in stretch.iter_mut().zip(&colours).enumerate() {
                    let alpha = mul(levels.map_or(255, |l| l[k]), opacity);
                    blend::solid(std::slice::from_mut(px), rgb, alpha);
                }
            }
        }
        self.target
            .own_all(seen, layer.part, |_, _, level| mul(level, opacity));
    }

    /// Trims over ink that has no one colour to change.
    fn put_trims_over(&mut self, layer: &Layer, seen: &Coverage, opacity: u8) {
        for trim in &layer.trims {
            let garment = self.garment_coverage(trim);
            let both = seen.cut(&garment, true, Coverage::default());
            self.put_solid(layer.part, &both, opacity, trim.colour);
        }
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

    fn put_pixels(
        &mut self,
        part: PartId,
        seen: &Coverage,
        opacity: u8,
        left: u32,
        top: u32,
        over: &Pixmap,
    ) {
        let width = self.target.width as usize;
        let stride = over.width() as usize;
        let (source, _) = over.data().as_chunks::<4>();
        let (pixels, _) = self.target.data.as_chunks_mut::<4>();
        let place = |x: u32, y: u32| (y - top) as usize * stride + (x - left) as usize;
        for (y, runs) in seen.rows() {
            let row = &mut pixels[y as usize * width..][..width];
            for &run in runs {
                let levels = seen.levels(run);
                let from = &source[place(u32::from(run.x), y)..];
                let stretch = &mut row[usize::from(run.x)..usize::from(run.end())];
                for (k, (px, &s)) in stretch.iter_mut().zip(from).enumerate() {
                    blend::pixel(px, s, mul(levels.map_or(255, |l| l[k]), opacity));
                }
            }
        }
        self.target.own_all(seen, part, |x, y, level| {
            mul(source[place(x, y)][3], mul(level, opacity))
        });
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
fn within(drawn: crate::art::RasterLayer, width: u32, height: u32) -> Option<(u32, u32, Pixmap)> {
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
