//! Letters as pixels.

use skrifa::GlyphId;
use skrifa::instance::{LocationRef, Size};
use skrifa::outline::{DrawSettings, OutlinePen};
use tiny_skia::PixmapMut;

use super::shaping::{Piece, face, shape};
use super::style::{Style, whole};
use crate::art::Rgb;

/// Draws one line of text with its baseline's left end at `x`, `y`, onto opaque pixels.
pub fn draw(pixels: &mut PixmapMut<'_>, text: &str, style: Style, x: f32, y: f32, colour: Rgb) {
    let face = face(style.weight);
    let shaped = shape(text, style);
    // Letters may reach beyond their advance a little.
    let spare = style.size.ceil();
    let left = whole((x - spare).floor());
    let top = whole((y - style.size * 1.2).floor());
    let mut ink = Coverage::new(
        whole(shaped.width + 2.0 * spare + 2.0).unsigned_abs() as usize,
        whole(style.size * 1.7).unsigned_abs() as usize + 2,
    );
    let (from_x, from_y) = (x - left as f32, y - top as f32);
    let settings = || DrawSettings::unhinted(Size::unscaled(), LocationRef::default());
    for piece in &shaped.pieces {
        match piece {
            Piece::Letters { x, glyphs } => {
                let mut along = from_x + x;
                for glyph in glyphs {
                    if let Some(outline) = face.outlines.get(GlyphId::new(glyph.id)) {
                        let mut pen = Pen {
                            ink: &mut ink,
                            scale: style.size / face.units,
                            x: along + glyph.shift[0],
                            y: from_y - glyph.shift[1],
                            start: [0.0; 2],
                            at: [0.0; 2],
                        };
                        // A damaged glyph would only leave a gap; the embedded fonts have none.
                        let _ = outline.draw(settings(), &mut pen);
                    }
                    along += glyph.advance;
                }
            }
            Piece::Dots { rows, .. } => {
                for [l, t, r, b] in rows {
                    let [l, r] = [from_x + l, from_x + r];
                    let [t, b] = [from_y + t, from_y + b];
                    ink.line([l, t], [l, b]);
                    ink.line([r, b], [r, t]);
                }
            }
        }
    }
    ink.blend(pixels, left, top, colour);
}

/// Exact-area coverage of closed outlines: each cell holds the change of signed area towards its
/// right, so that a running sum along the row gives coverage.
struct Coverage {
    width: usize,
    height: usize,
    cells: Vec<f32>,
}

impl Coverage {
    fn new(width: usize, height: usize) -> Self {
        Self {
            width,
            height,
            cells: vec![0.0; (width + 2) * height],
        }
    }

    /// Adds one edge. What lies left of the box counts at its left side, what lies beyond the
    /// others does not count.
    fn line(&mut self, from: [f32; 2], to: [f32; 2]) {
        if from[1] == to[1] {
            return;
        }
        let (sign, from, to) = if from[1] < to[1] {
            (1.0, from, to)
        } else {
            (-1.0, to, from)
        };
        let slope = (to[0] - from[0]) / (to[1] - from[1]);
        let top = from[1].max(0.0);
        let bottom = to[1].min(self.height as f32);
        let mut y = top;
        while y < bottom {
            let row = whole(y.floor()).unsigned_abs() as usize;
            let next = ((row + 1) as f32).min(bottom);
            let (x0, x1) = (
                from[0] + (y - from[1]) * slope,
                from[0] + (next - from[1]) * slope,
            );
            self.span(row, x0.min(x1), x0.max(x1), sign * (next - y));
            y = next;
        }
    }

    /// Adds an edge of signed height `tall` that stays within one row.
    fn span(&mut self, row: usize, x0: f32, x1: f32, tall: f32) {
        let limit = self.width as f32;
        let (x0, x1) = (x0.clamp(0.0, limit), x1.clamp(0.0, limit));
        let cells = &mut self.cells[row * (self.width + 2)..][..self.width + 2];
        let first = whole(x0.floor()).unsigned_abs() as usize;
        let last = whole(x1.floor()).unsigned_abs() as usize;
        if first == last {
            let beyond = (x0 + x1) * 0.5 - first as f32;
            cells[first] += tall * (1.0 - beyond);
            cells[first + 1] += tall * beyond;
            return;
        }
        let per_x = tall / (x1 - x0);
        let mut x = x0;
        for cell in first..=last {
            let next = ((cell + 1) as f32).min(x1);
            let part = per_x * (next - x);
            let beyond = (x + next) * 0.5 - cell as f32;
            cells[cell] += part * (1.0 - beyond);
            cells[cell + 1] += part * beyond;
            x = next;
        }
    }

    fn blend(&self, pixels: &mut PixmapMut<'_>, left: i32, top: i32, colour: Rgb) {
        let (wide, high) = (i64::from(pixels.width()), i64::from(pixels.height()));
        let data = pixels.data_mut();
        for row in 0..self.height {
            let y = i64::from(top) + row as i64;
            if y < 0 || y >= high {
                continue;
            }
            let mut sum = 0.0_f32;
            for (column, change) in self.cells[row * (self.width + 2)..][..self.width]
                .iter()
                .enumerate()
            {
                sum += change;
                let cover = whole(sum.abs().min(1.0) * 255.0 + 0.5).unsigned_abs();
                let x = i64::from(left) + column as i64;
                if cover == 0 || x < 0 || x >= wide {
                    continue;
                }
                let at = usize::try_from((y * wide + x) * 4).unwrap_or(0);
                for (under, over) in data[at..at + 3].iter_mut().zip(colour.0) {
                    let mixed = u32::from(*under) * (255 - cover) + u32::from(over) * cover + 127;
                    *under = u8::try_from(mixed / 255).unwrap_or(255);
                }
            }
        }
    }
}

/// Takes a glyph's outline, font units, y up, into the coverage, pixels, y down.
struct Pen<'a> {
    ink: &'a mut Coverage,
    scale: f32,
    x: f32,
    y: f32,
    start: [f32; 2],
    at: [f32; 2],
}

impl Pen<'_> {
    fn point(&self, x: f32, y: f32) -> [f32; 2] {
        [self.x + x * self.scale, self.y - y * self.scale]
    }

    fn edge(&mut self, to: [f32; 2]) {
        self.ink.line(self.at, to);
        self.at = to;
    }
}

impl OutlinePen for Pen<'_> {
    fn move_to(&mut self, x: f32, y: f32) {
        self.start = self.point(x, y);
        self.at = self.start;
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.edge(self.point(x, y));
    }

    fn quad_to(&mut self, cx: f32, cy: f32, x: f32, y: f32) {
        let (a, b, c) = (self.at, self.point(cx, cy), self.point(x, y));
        let bend = (a[0] - 2.0 * b[0] + c[0]).abs() + (a[1] - 2.0 * b[1] + c[1]).abs();
        // The chord of a piece is off by a quarter of the bend over the square of their number.
        let steps = (bend * 4.0).sqrt().ceil().clamp(1.0, 16.0);
        for step in 1..whole(steps) {
            let t = step as f32 / steps;
            let (p, q, r) = ((1.0 - t) * (1.0 - t), 2.0 * t * (1.0 - t), t * t);
            self.edge([
                p * a[0] + q * b[0] + r * c[0],
                p * a[1] + q * b[1] + r * c[1],
            ]);
        }
        self.edge(c);
    }

    fn curve_to(&mut self, cx0: f32, cy0: f32, cx1: f32, cy1: f32, x: f32, y: f32) {
        let (a, b, c, d) = (
            self.at,
            self.point(cx0, cy0),
            self.point(cx1, cy1),
            self.point(x, y),
        );
        for step in 1..=8_u8 {
            let t = f32::from(step) / 8.0;
            let u = 1.0 - t;
            let (p, q, r, s) = (u * u * u, 3.0 * u * u * t, 3.0 * u * t * t, t * t * t);
            self.edge([
                p * a[0] + q * b[0] + r * c[0] + s * d[0],
                p * a[1] + q * b[1] + r * c[1] + s * d[1],
            ]);
        }
    }

    fn close(&mut self) {
        self.edge(self.start);
    }
}
