//! Two pictures, pixel by pixel.

use std::collections::{BTreeMap, HashMap};

use super::colour::pixel_difference;
use super::{Figures, ssim};
use crate::draw::{DrawError, Picture};
use crate::geom::joined;
use crate::solve::Figure;

/// What counts as changed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tolerance {
    /// Colour differences up to this count for nothing, CIEDE2000. 1 is about what a trained eye sees
    /// side by side (common practice, no source).
    pub colour: f64,
    /// Edges may be softer, or elsewhere, by this, pixels.
    pub edge: f64,
    /// So many changed pixels are let pass.
    pub pixels: u64,
}

impl Default for Tolerance {
    fn default() -> Self {
        Self {
            colour: 1.0,
            edge: 0.1,
            pixels: 0,
        }
    }
}

/// What became of a pixel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pixel {
    /// The same.
    Same,
    /// Within the tolerance.
    Close,
    /// Changed.
    Changed,
}

/// All that is found between two pictures of one size.
#[derive(Clone, Debug)]
pub struct PixelComparison {
    /// Row by row.
    pub pixels: Vec<Pixel>,
    /// CIEDE2000 of the changed pixels, 0 elsewhere.
    pub differences: Vec<f32>,
    /// In sum.
    pub figures: Figures,
    /// Boxes of changed pixels that hang together, the largest first: box and count.
    pub regions: Vec<([u32; 4], u64)>,
}

/// Why two pictures cannot be compared.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NotCompared {
    /// They are not of one size.
    #[error("a picture of {} x {} px cannot be compared with one of {} x {}", after[0], after[1], before[0], before[1])]
    Sizes {
        /// Width and height of the one before, pixels.
        before: [u32; 2],
        /// The same of the one after.
        after: [u32; 2],
    },
    /// One of them has more bytes than its size asks for, or fewer.
    #[error("a picture with more or fewer bytes than its size asks for")]
    Bytes,
    /// One of the figures cannot be drawn.
    #[error(transparent)]
    Draw(#[from] DrawError),
}

/// What is found between two figures.
#[derive(Clone, Debug)]
pub struct FigureComparison {
    /// Pixel by pixel.
    pub pixels: PixelComparison,
    /// For each part how many changed pixels it owned or owns, the most first; those that have none are left
    /// out.
    pub parts: Vec<(String, u64)>,
}

impl Figure {
    /// Compares the figure with an earlier one, both drawn at this scale.
    ///
    /// # Errors
    ///
    /// When one of them cannot be drawn, or the two canvases are not of one size.
    pub fn compare(
        &self,
        before: &Self,
        scale: f64,
        tolerance: &Tolerance,
    ) -> Result<FigureComparison, NotCompared> {
        let (then, owned) = before.picture_and_owners(scale)?;
        let (now, owns) = self.picture_and_owners(scale)?;
        let pixels = compare(&then, &now, tolerance)?;
        let mut counts: BTreeMap<&str, u64> = BTreeMap::new();
        let changed = pixels.pixels.iter().enumerate();
        for (at, _) in changed.filter(|(_, pixel)| **pixel == Pixel::Changed) {
            let (was, is) = (owned.owner(at), owns.owner(at));
            for part in was.into_iter().chain(is.filter(|_| is != was)) {
                *counts.entry(part).or_default() += 1;
            }
        }
        let mut parts: Vec<(String, u64)> = counts
            .into_iter()
            .map(|(part, count)| (part.to_owned(), count))
            .collect();
        parts.sort_by_key(|(_, count)| std::cmp::Reverse(*count));
        Ok(FigureComparison { pixels, parts })
    }
}

fn pixel_of(picture: &Picture, at: usize) -> [u8; 4] {
    let p = &picture.rgba[at * 4..][..4];
    [p[0], p[1], p[2], p[3]]
}

/// Compares two pictures of one size.
///
/// A pixel at an edge is close when each channel changed by no more than an edge would that moved by
/// `edge` pixels: that share of what the channel spans among the pixel and its eight neighbours, in
/// both pictures.
///
/// # Errors
///
/// When the sizes are not the same.
pub fn compare(
    before: &Picture,
    after: &Picture,
    tolerance: &Tolerance,
) -> Result<PixelComparison, NotCompared> {
    let sizes = [before, after].map(|picture| [picture.width, picture.height]);
    let count = before.width as usize * before.height as usize;
    if sizes[0] != sizes[1] {
        let [before, after] = sizes;
        return Err(NotCompared::Sizes { before, after });
    }
    if [before, after]
        .iter()
        .any(|picture| picture.rgba.len() != count * 4)
    {
        return Err(NotCompared::Bytes);
    }
    let mut out = PixelComparison {
        pixels: vec![Pixel::Same; count],
        differences: vec![0.0; count],
        figures: Figures::default(),
        regions: Vec::new(),
    };
    let mut known: HashMap<([u8; 4], [u8; 4]), f64> = HashMap::new();
    let (mut covered, mut total) = (0_u64, 0.0);
    for at in 0..count {
        let (a, b) = (pixel_of(before, at), pixel_of(after, at));
        covered += u64::from(a[3] != 0 || b[3] != 0);
        if a == b {
            continue;
        }
        out.figures.unequal += 1;
        out.pixels[at] = Pixel::Close;
        if soft(before, after, at, tolerance.edge) {
            continue;
        }
        let difference = *known
            .entry((a, b))
            .or_insert_with(|| pixel_difference(a, b));
        if difference <= tolerance.colour {
            continue;
        }
        out.pixels[at] = Pixel::Changed;
        #[expect(clippy::cast_possible_truncation, reason = "0 to about 120")]
        {
            out.differences[at] = difference as f32;
        }
        out.figures.changed += 1;
        out.figures.worst = out.figures.worst.max(difference);
        total += difference;
    }
    let changed = out.figures.changed;
    if changed > 0 {
        out.figures.mean = total / changed as f64;
        out.figures.share = changed as f64 / covered.max(1) as f64;
    }
    out.figures.ssim = similarity(before, after, &out.pixels);
    out.regions = regions(&out.pixels, before.width as usize);
    Ok(out)
}

/// The channels of a pixel as they are blended: premultiplied.
fn blended([r, g, b, a]: [u8; 4]) -> [f64; 4] {
    let alpha = f64::from(a) / 255.0;
    [
        f64::from(r) * alpha,
        f64::from(g) * alpha,
        f64::from(b) * alpha,
        f64::from(a),
    ]
}

fn soft(before: &Picture, after: &Picture, at: usize, edge: f64) -> bool {
    let (a, b) = (blended(pixel_of(before, at)), blended(pixel_of(after, at)));
    let (sa, sb) = (span(before, at), span(after, at));
    (0..4).all(|c| (a[c] - b[c]).abs() <= edge * sa[c].min(sb[c]) + 1.0)
        && (0..4).any(|c| sa[c].min(sb[c]) > 8.0)
}

/// How far each channel goes among a pixel and its neighbours.
fn span(picture: &Picture, at: usize) -> [f64; 4] {
    let (w, h) = (picture.width as usize, picture.height as usize);
    let (x, y) = (at % w, at / w);
    let (mut low, mut high) = ([255.0_f64; 4], [0.0_f64; 4]);
    for y in y.saturating_sub(1)..=(y + 1).min(h - 1) {
        for x in x.saturating_sub(1)..=(x + 1).min(w - 1) {
            let p = blended(pixel_of(picture, y * w + x));
            for c in 0..4 {
                low[c] = low[c].min(p[c]);
                high[c] = high[c].max(p[c]);
            }
        }
    }
    std::array::from_fn(|c| high[c] - low[c])
}

/// Mean SSIM of the luma over white, over the box that the figure covers before or after. Windows
/// without a changed pixel give 1 and are not worked out.
fn similarity(before: &Picture, after: &Picture, pixels: &[Pixel]) -> f64 {
    let width = before.width as usize;
    let figure = bounds(pixels.len(), width, |at| {
        before.rgba[at * 4 + 3] != 0 || after.rgba[at * 4 + 3] != 0
    });
    let unequal = bounds(pixels.len(), width, |at| pixels[at] != Pixel::Same);
    let (Some(figure), Some(unequal)) = (figure, unequal) else {
        return 1.0;
    };
    let height = before.height as usize;
    // The windows of the figure's box may look beyond it, but not beyond the picture.
    let margin = ssim::WINDOW / 2;
    let grown = |b: [usize; 4], by: usize| {
        [
            b[0].saturating_sub(by),
            b[1].saturating_sub(by),
            (b[2] + by).min(width),
            (b[3] + by).min(height),
        ]
    };
    let all = grown(figure, margin);
    let looked = grown(unequal, 2 * margin);
    let windows = |b: [usize; 4]| {
        let side = |from: usize, to: usize| (to - from).saturating_sub(ssim::WINDOW - 1);
        side(b[0], b[2]) * side(b[1], b[3])
    };
    let grey = |picture: &Picture| -> Vec<f64> {
        let mut out = Vec::with_capacity((looked[2] - looked[0]) * (looked[3] - looked[1]));
        for y in looked[1]..looked[3] {
            for x in looked[0]..looked[2] {
                out.push(luma(pixel_of(picture, y * width + x)));
            }
        }
        out
    };
    let (sum, count) = ssim::sum(&grey(before), &grey(after), looked[2] - looked[0]);
    let all = windows(all).max(count);
    if all == 0 {
        return 1.0;
    }
    (sum + (all - count) as f64) / all as f64
}

/// Luma of ITU-R BT.601, over white, 0 to 255.
fn luma(p: [u8; 4]) -> f64 {
    let [r, g, b, a] = blended(p);
    0.299 * r + 0.587 * g + 0.114 * b + (255.0 - a)
}

fn bounds(count: usize, width: usize, is: impl Fn(usize) -> bool) -> Option<[usize; 4]> {
    let pixels = (0..count).filter(|&at| is(at));
    let places = pixels.map(|at| (at % width, at / width));
    places.map(|(x, y)| [x, y, x + 1, y + 1]).reduce(joined)
}

/// Pixels whose blocks of this side touch hang together.
const BLOCK: usize = 4;

fn regions(pixels: &[Pixel], width: usize) -> Vec<([u32; 4], u64)> {
    let height = pixels.len() / width.max(1);
    let (bw, bh) = (width.div_ceil(BLOCK), height.div_ceil(BLOCK));
    let mut blocks: Vec<Option<([u32; 4], u64)>> = vec![None; bw * bh];
    for (at, _) in pixels
        .iter()
        .enumerate()
        .filter(|(_, p)| **p == Pixel::Changed)
    {
        let (x, y) = (at % width, at / width);
        let block = &mut blocks[(y / BLOCK) * bw + x / BLOCK];
        let small = |v: usize| u32::try_from(v).unwrap_or(u32::MAX);
        let (x, y) = (small(x), small(y));
        let (area, count) = block.get_or_insert(([x, y, x + 1, y + 1], 0));
        *area = joined(*area, [x, y, x + 1, y + 1]);
        *count += 1;
    }
    let mut out = Vec::new();
    for start in 0..blocks.len() {
        let Some(mut region) = blocks[start].take() else {
            continue;
        };
        let mut wait = vec![start];
        while let Some(at) = wait.pop() {
            let (x, y) = (at % bw, at / bw);
            for y in y.saturating_sub(1)..=(y + 1).min(bh - 1) {
                for x in x.saturating_sub(1)..=(x + 1).min(bw - 1) {
                    if let Some((area, count)) = blocks[y * bw + x].take() {
                        region = (joined(region.0, area), region.1 + count);
                        wait.push(y * bw + x);
                    }
                }
            }
        }
        out.push(region);
    }
    out.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(&b.0)));
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plain(width: u32, height: u32, pixel: [u8; 4]) -> Picture {
        let count = (width * height) as usize;
        Picture {
            width,
            height,
            rgba: pixel.repeat(count),
        }
    }

    fn set(picture: &mut Picture, x: u32, y: u32, pixel: [u8; 4]) {
        let at = ((y * picture.width + x) * 4) as usize;
        picture.rgba[at..at + 4].copy_from_slice(&pixel);
    }

    #[test]
    fn the_same_pictures_have_no_differences() {
        let p = plain(20, 20, [9, 9, 9, 255]);
        let found = compare(&p, &p, &Tolerance::default()).unwrap();
        assert_eq!(found.figures.unequal, 0);
        assert_eq!(found.figures.ssim, 1.0);
        assert!(found.regions.is_empty());
    }

    #[test]
    fn an_edge_that_moved_a_little_is_close_and_one_that_moved_more_is_not() {
        let edge = |cover: u8| {
            let mut p = plain(20, 4, [0; 4]);
            for y in 0..4 {
                for x in 0..10 {
                    set(&mut p, x, y, [200, 60, 40, 255]);
                }
                set(&mut p, 10, y, [200, 60, 40, cover]);
            }
            p
        };
        let changed = |a: u8, b: u8| {
            compare(&edge(a), &edge(b), &Tolerance::default())
                .unwrap()
                .figures
                .changed
        };
        assert_eq!(changed(100, 120), 0, "0.08 px");
        assert_eq!(changed(100, 140), 4, "0.16 px");
    }

    #[test]
    fn a_flat_change_of_colour_is_no_soft_edge() {
        let (a, mut b) = (
            plain(20, 20, [200, 60, 40, 255]),
            plain(20, 20, [200, 60, 40, 255]),
        );
        for x in 3..9 {
            set(&mut b, x, 5, [200, 90, 40, 255]);
        }
        let found = compare(&a, &b, &Tolerance::default()).unwrap();
        assert_eq!(found.figures.changed, 6);
        assert_eq!(found.regions, [([3, 5, 9, 6], 6)]);
        assert!(found.figures.ssim < 1.0);
        let blind = Tolerance {
            colour: 100.0,
            ..Tolerance::default()
        };
        assert_eq!(compare(&a, &b, &blind).unwrap().figures.changed, 0);
    }

    #[test]
    fn regions_are_apart_when_they_are_far_apart() {
        let (a, mut b) = (plain(60, 20, [0; 4]), plain(60, 20, [0; 4]));
        for (x, y) in [(2, 2), (6, 5), (50, 10)] {
            set(&mut b, x, y, [0, 0, 0, 255]);
        }
        let found = compare(&a, &b, &Tolerance::default()).unwrap();
        assert_eq!(found.regions, [([2, 2, 7, 6], 2), ([50, 10, 51, 11], 1)]);
    }
}
