//! The draw list, put on pixels.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;
use std::rc::Rc;
use std::sync::Arc;

use tiny_skia::{Pixmap, PixmapMut};

use super::coverage::{ALL_ROWS, Coverage};
use super::fill::Filler;
use super::frame::{DrawError, Frame, MOST_SIDE, OwnerMap, Viewport};
use super::gradient;
use super::stroke::{Colouring, Stroke, Target};
use crate::art::{Rgb, Source};
use crate::cast::{Keep, PartId};
use crate::geom::{Affine, Point, Region, moved_box};
use crate::solve::{Area, CutArea, DrawList, Drawn, Figure, Look, Term};

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
    let list = figure.at(to_pixels.max_scale());
    Painter::new(&list, to_pixels, target, scratch).all();
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
    let list = figure.at(to_pixels.max_scale());
    Painter::new(&list, to_pixels, target, scratch).all();
    Ok(())
}

#[cfg(feature = "sheets")]
/// Fills closed contours with one colour, over what `pixels` holds; what they go round twice is filled once.
pub(crate) fn fill(pixels: &mut PixmapMut<'_>, contours: &[Vec<Point>], colour: Rgb) {
    let (width, height) = (pixels.width(), pixels.height());
    let (mut filler, spare) = (Filler::default(), Coverage::default());
    let stroke = Stroke {
        part: PartId(0),
        seen: Rc::new(filler.fill(contours, &Affine::IDENTITY, width, height, spare)),
        opacity: 255,
        colouring: Colouring::Solid(colour),
    };
    let data = pixels.data_mut();
    let owners = None;
    Target {
        data,
        width,
        height,
        owners,
    }
    .put(&[stroke]);
}

struct Painter<'a> {
    list: &'a DrawList<'a>,
    to_pixels: Affine,
    target: Target<'a>,
    scratch: &'a mut Scratch,
    /// What is yet to be put on the pixels, back to front.
    strokes: Vec<Stroke>,
    /// Bytes that these hold, roughly.
    held: usize,
    /// Coverage of the list's cuts, of those that several layers share.
    cuts: Vec<Option<(Keep, Rc<Coverage>)>>,
    /// Coverage of regions that cuts are made of, and of shapes that are drawn more than once.
    leaves: BTreeMap<LeafKey, Filled>,
    /// These shapes.
    repeated: BTreeSet<ShapeKey>,
}

/// A shape that a part shows.
type ShapeKey = (PartId, Look, usize);

/// A region's address and where it lies, bit by bit.
type LeafKey = (usize, [u64; 6]);

/// A region, kept so that no other gets its address, and its coverage.
type Filled = (Arc<Region>, Rc<Coverage>);

impl<'a> Painter<'a> {
    fn new(
        list: &'a DrawList<'a>,
        to_pixels: Affine,
        target: Target<'a>,
        scratch: &'a mut Scratch,
    ) -> Self {
        Self {
            list,
            to_pixels,
            target,
            scratch,
            strokes: Vec::new(),
            held: 0,
            cuts: list.cuts.iter().map(|_| None).collect(),
            leaves: BTreeMap::new(),
            repeated: BTreeSet::new(),
        }
    }

    fn all(&mut self) {
        let mut met = BTreeSet::new();
        let keys = self.list.layers.iter().map(shape_key);
        self.repeated = keys.filter(|&key| !met.insert(key)).collect();
        for layer in &self.list.layers {
            self.layer(layer);
            if self.held > MOST_HELD {
                self.put_down();
            }
        }
        self.put_down();
        let cuts = std::mem::take(&mut self.cuts);
        let cuts = cuts.into_iter().flatten();
        cuts.for_each(|(_, c)| self.hand_back(c));
        let leaves = std::mem::take(&mut self.leaves);
        leaves.into_values().for_each(|(_, c)| self.hand_back(c));
    }

    /// Keeps the buffers of a coverage that nobody else has.
    fn hand_back(&mut self, coverage: Rc<Coverage>) {
        self.scratch.spare.extend(Rc::try_unwrap(coverage).ok());
    }

    fn fill(&mut self, region: &Region, to_pixels: &Affine) -> Coverage {
        let spare = self.scratch.spare.pop().unwrap_or_default();
        let (width, height) = (self.target.width, self.target.height);
        let filler = &mut self.scratch.filler;
        filler.fill(region.contours(), to_pixels, width, height, spare)
    }

    fn layer(&mut self, layer: &Drawn<'a>) {
        let (list, shape) = (self.list, layer.shape);
        let opacity = opacity(shape.opacity);
        if opacity == 0 {
            return;
        }
        let to_pixels = self.to_pixels.after(layer.posed);
        let (width, height) = (self.target.width, self.target.height);
        if let Some(raster) = layer.raster {
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
            let seen = self.cut(layer, Rc::new(whole));
            let colouring = Colouring::Pixels {
                left: x,
                top: y,
                pixels,
            };
            self.put(layer, seen, opacity, colouring);
            return;
        }
        let region = list.region(layer);
        let seen = if self.repeated.contains(&shape_key(layer)) {
            self.leaf(region, layer.posed)
        } else {
            Rc::new(self.fill(region, &to_pixels))
        };
        let seen = if shape.crisp {
            Rc::new(seen.harden())
        } else {
            seen
        };
        let seen = self.cut(layer, seen);
        if seen.is_empty() {
            self.hand_back(seen);
        } else {
            self.colour(layer, &to_pixels, opacity, seen);
        }
    }

    /// Gives a layer its colour.
    fn colour(&mut self, layer: &Drawn<'a>, to_pixels: &Affine, opacity: u8, seen: Rc<Coverage>) {
        let (list, shape) = (self.list, layer.shape);
        let trims = list.trims(layer);
        let trims = trims.map(|((worn, posed), rgb)| (self.leaf(worn, *posed), rgb));
        let trims: Vec<(Rc<Coverage>, Rgb)> = trims.collect();
        if let Source::Solid(colour) = &layer.source {
            let colouring = if trims.is_empty() {
                Colouring::Solid(colour.rgb)
            } else {
                Colouring::Trimmed(colour.rgb, trims)
            };
            self.put(layer, seen, opacity, colouring);
            return;
        }
        let Some(bounds) = seen.bounds() else { return };
        let to_pixels = to_pixels.after(shape.to_canvas);
        let pixels = gradient::pixels(&layer.source, shape.opacity, &to_pixels, bounds);
        let Some(pixels) = pixels else {
            return;
        };
        // Trims lie over ink that has no one colour to change.
        let both = |garment: &Coverage| seen.cut(garment, true, &ALL_ROWS, Coverage::default());
        let trims = trims
            .into_iter()
            .map(|(garment, rgb)| (both(&garment), rgb));
        let trims: Vec<(Coverage, Rgb)> = trims.collect();
        let colouring = Colouring::Pixels {
            left: bounds[0],
            top: bounds[1],
            pixels,
        };
        self.put(layer, seen, 255, colouring);
        for (both, rgb) in trims {
            self.put(layer, Rc::new(both), opacity, Colouring::Solid(rgb));
        }
    }

    /// Has something put on the pixels over all before it.
    fn put(&mut self, layer: &Drawn<'a>, seen: Rc<Coverage>, opacity: u8, colouring: Colouring) {
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
        for stroke in std::mem::take(&mut self.strokes) {
            self.hand_back(stroke.seen);
        }
        self.held = 0;
    }

    /// A layer's coverage less what its cuts take.
    fn cut(&mut self, layer: &Drawn<'a>, mut seen: Rc<Coverage>) -> Rc<Coverage> {
        for &cut in &layer.cuts {
            if seen.is_empty() {
                break;
            }
            let Some((keep, by)) = self.cut_coverage(cut, &seen) else {
                continue;
            };
            if keep == Keep::Outside && !seen.meets(&by) {
                continue;
            }
            seen = self.join(seen, by, |a, b, spare| {
                a.cut(b, keep == Keep::Inside, &ALL_ROWS, spare)
            });
        }
        seen
    }

    /// The coverage of what cuts `seen`.
    fn cut_coverage(&mut self, at: usize, seen: &Coverage) -> Option<(Keep, Rc<Coverage>)> {
        if let Some((keep, known)) = &self.cuts[at] {
            return Some((*keep, Rc::clone(known)));
        }
        let list = self.list;
        let CutArea { keep, area, within } = list.cut_area(at)?;
        let rows = within.map_or(ALL_ROWS, |b| {
            let b = moved_box(b, &self.to_pixels);
            // Outside the picture nothing is covered.
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "clamped"
            )]
            let row = |y: f64| y.clamp(0.0, f64::from(u32::MAX)) as u32;
            row(b[1])..row(libm::ceil(b[3]))
        });
        // What cuts one layer alone matters only where that is.
        let alone = list.cuts[at].layers == 1;
        let made = self.area(area, &rows, alone.then_some(seen));
        if !alone {
            self.cuts[at] = Some((*keep, Rc::clone(&made)));
        }
        Some((*keep, made))
    }

    /// The coverage of an area, in these rows and near this coverage at least: inside multiplies, outside
    /// multiplies by what is left.
    fn area(&mut self, area: &Area, rows: &Range<u32>, near: Option<&Coverage>) -> Rc<Coverage> {
        let mut terms = area.0.iter();
        let first = terms.next().map(|t| self.term(t, rows, near));
        terms.fold(first.unwrap_or_default(), |whole, term| {
            let more = self.term(term, rows, near);
            if more.is_empty() {
                return whole;
            }
            self.join(whole, more, |a, b, spare| a.with(b, rows, spare))
        })
    }

    fn term(&mut self, term: &Term, rows: &Range<u32>, near: Option<&Coverage>) -> Rc<Coverage> {
        let mut leaves = term.all.iter();
        let first = leaves
            .next()
            .map(|leaf| self.leaf(&leaf.region, leaf.posed));
        let first = first.unwrap_or_default();
        let simple = term.all.len() == 1 && term.none.is_empty();
        let first = match near {
            Some(near) if !simple => {
                let spare = self.scratch.spare.pop().unwrap_or_default();
                Rc::new(first.near(near, spare))
            }
            _ => first,
        };
        let whole = leaves.fold(first, |whole, leaf| {
            if whole.is_empty() {
                return whole;
            }
            let more = self.leaf(&leaf.region, leaf.posed);
            self.join(whole, more, |a, b, spare| a.cut(b, true, rows, spare))
        });
        let none = term.none.iter().flat_map(|area| &area.0);
        none.fold(whole, |whole, term| {
            if whole.is_empty() {
                return whole;
            }
            let less = self.term(term, rows, Some(&whole));
            if whole.meets(&less) {
                self.join(whole, less, |a, b, spare| a.cut(b, false, rows, spare))
            } else {
                whole
            }
        })
    }

    /// The coverage of a region, which several cuts may be made of.
    fn leaf(&mut self, region: &Arc<Region>, posed: Affine) -> Rc<Coverage> {
        let to_pixels = self.to_pixels.after(posed);
        let Affine { a, b, c, d, e, f } = to_pixels;
        let key = (
            Arc::as_ptr(region).addr(),
            [a, b, c, d, e, f].map(f64::to_bits),
        );
        if let Some((_, known)) = self.leaves.get(&key) {
            return Rc::clone(known);
        }
        let made = Rc::new(self.fill(region, &to_pixels));
        let filled = (Arc::clone(region), Rc::clone(&made));
        self.leaves.insert(key, filled);
        made
    }

    fn join(
        &mut self,
        a: Rc<Coverage>,
        b: Rc<Coverage>,
        how: impl Fn(&Coverage, &Coverage, Coverage) -> Coverage,
    ) -> Rc<Coverage> {
        let both = how(&a, &b, self.scratch.spare.pop().unwrap_or_default());
        self.hand_back(a);
        self.hand_back(b);
        Rc::new(both)
    }
}

const fn shape_key(layer: &Drawn<'_>) -> ShapeKey {
    (layer.part, layer.art, layer.number)
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
