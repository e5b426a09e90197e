//! Coverage and colour, put on pixels.

use std::rc::Rc;

use tiny_skia::Pixmap;

use super::blend;
use super::coverage::{Coverage, Run, mul};
use crate::art::Rgb;
use crate::cast::PartId;

/// Something to put on the pixels.
pub(super) struct Stroke {
    /// Who owns what it covers.
    pub part: PartId,
    pub seen: Rc<Coverage>,
    pub opacity: u8,
    pub colouring: Colouring,
}

/// Where a pixel's colour comes from.
pub(super) enum Colouring {
    Solid(Rgb),
    /// Ink whose colour changes under garments. One coverage, a colour for each pixel: the line is
    /// recoloured and never thickened.
    Trimmed(Rgb, Vec<(Rc<Coverage>, Rgb)>),
    /// Pixels of its own, from column `left` and row `top` on.
    Pixels {
        left: u32,
        top: u32,
        pixels: Pixmap,
    },
}

/// Bytes of pixels that are worked on at a time: what all strokes put there stays close at hand.
const BAND: usize = 1 << 16;

/// Where figures are drawn.
pub(super) struct Target<'a> {
    pub data: &'a mut [u8],
    pub width: u32,
    pub height: u32,
    pub owners: Option<&'a mut [u16]>,
}

impl Target<'_> {
    /// Puts strokes down, back to front, a band of rows after the other.
    pub fn put(&mut self, strokes: &[Stroke]) {
        let width = self.width as usize;
        let top = strokes.iter().map(|s| s.seen.top()).min().unwrap_or(0);
        let bottom = strokes.iter().map(|s| s.seen.bottom()).max().unwrap_or(0);
        let rows = u32::try_from(BAND / 4 / width.max(1)).unwrap_or(1).max(1);
        let (pixels, _) = self.data.as_chunks_mut::<4>();
        let mut from = top;
        while from < bottom {
            let to = (from + rows).min(bottom);
            for stroke in strokes {
                if stroke.seen.top() < to && stroke.seen.bottom() > from {
                    stroke.put(from, to, pixels, width);
                }
            }
            from = to;
        }
        if let Some(owners) = self.owners.as_deref_mut() {
            for stroke in strokes {
                stroke.own(owners, width);
            }
        }
    }
}

impl Stroke {
    /// Puts the rows from one to before another.
    fn put(&self, from: u32, to: u32, pixels: &mut [[u8; 4]], width: usize) {
        let rows = self.seen.rows_within(from, to);
        match &self.colouring {
            Colouring::Solid(rgb) if self.opacity == 255 => {
                for (y, runs) in rows {
                    let row = &mut pixels[y as usize * width..][..width];
                    for &run in runs {
                        self.put_whole(*rgb, run, row);
                    }
                }
            }
            Colouring::Solid(rgb) => rows.for_each(|(y, runs)| {
                let row = &mut pixels[y as usize * width..][..width];
                self.put_faint(*rgb, runs, row);
            }),
            Colouring::Trimmed(rgb, trims) => rows.for_each(|(y, runs)| {
                let row = &mut pixels[y as usize * width..][..width];
                self.put_trimmed(*rgb, trims, y, runs, row);
            }),
            Colouring::Pixels {
                left,
                top,
                pixels: own,
            } => rows.for_each(|(y, runs)| {
                let row = &mut pixels[y as usize * width..][..width];
                let start = (y - top) as usize * own.width() as usize;
                let (own, _) = own.data()[start * 4..].as_chunks::<4>();
                self.put_own(*left, own, runs, row);
            }),
        }
    }

    #[inline]
    fn put_whole(&self, rgb: Rgb, run: Run, row: &mut [[u8; 4]]) {
        let stretch = &mut row[usize::from(run.x)..usize::from(run.end())];
        match self.seen.levels(run) {
            None => blend::solid(stretch, rgb, 255),
            Some(levels) => blend::soft(stretch, rgb, levels),
        }
    }

    fn put_own(&self, left: u32, own: &[[u8; 4]], runs: &[Run], row: &mut [[u8; 4]]) {
        for &run in runs {
            let levels = self.seen.levels(run);
            let from = &own[usize::from(run.x) - left as usize..];
            let stretch = &mut row[usize::from(run.x)..usize::from(run.end())];
            for (k, (px, &s)) in stretch.iter_mut().zip(from).enumerate() {
                blend::pixel(px, s, mul(levels.map_or(255, |l| l[k]), self.opacity));
            }
        }
    }

    fn put_faint(&self, rgb: Rgb, runs: &[Run], row: &mut [[u8; 4]]) {
        for &run in runs {
            let stretch = &mut row[usize::from(run.x)..usize::from(run.end())];
            match self.seen.levels(run) {
                None => blend::solid(stretch, rgb, self.opacity),
                Some(levels) => {
                    for (px, &level) in stretch.iter_mut().zip(levels) {
                        blend::solid(std::slice::from_mut(px), rgb, mul(level, self.opacity));
                    }
                }
            }
        }
    }

    fn put_trimmed(
        &self,
        rgb: Rgb,
        trims: &[(Rc<Coverage>, Rgb)],
        y: u32,
        runs: &[Run],
        row: &mut [[u8; 4]],
    ) {
        let mut over: Vec<u8> = Vec::new();
        let mut colours: Vec<Rgb> = Vec::new();
        for &run in runs {
            if self.opacity == 255 && !trims.iter().any(|(g, _)| g.covers(y, run.x, run.end())) {
                self.put_whole(rgb, run, row);
                continue;
            }
            let len = usize::from(run.end() - run.x);
            colours.clear();
            colours.resize(len, rgb);
            over.resize(len, 0);
            for (garment, colour) in trims {
                garment.spread(y, run.x, &mut over);
                for (c, &share) in colours.iter_mut().zip(&over) {
                    *c = blend::between(*c, *colour, share);
                }
            }
            let levels = self.seen.levels(run);
            let stretch = &mut row[usize::from(run.x)..usize::from(run.end())];
            for (k, (px, &rgb)) in stretch.iter_mut().zip(&colours).enumerate() {
                let alpha = mul(levels.map_or(255, |l| l[k]), self.opacity);
                blend::solid(std::slice::from_mut(px), rgb, alpha);
            }
        }
    }

    /// Gives its pixels to its part.
    fn own(&self, owners: &mut [u16], width: usize) {
        let number = u16::try_from(self.part.0 + 1).unwrap_or(u16::MAX);
        for (y, runs) in self.seen.rows() {
            let row = &mut owners[y as usize * width..][..width];
            for &run in runs {
                let levels = self.seen.levels(run);
                for (k, x) in (run.x..run.end()).enumerate() {
                    let level = mul(levels.map_or(255, |l| l[k]), self.opacity);
                    let alpha = match &self.colouring {
                        Colouring::Pixels { left, top, pixels } => {
                            let own = pixels.pixel(u32::from(x) - left, y - top);
                            mul(own.map_or(0, |p| p.alpha()), level)
                        }
                        _ => level,
                    };
                    let owner = &mut row[usize::from(x)];
                    if alpha >= 128 || (*owner == 0 && alpha > 0) {
                        *owner = number;
                    }
                }
            }
        }
    }
}
