//! Letters as pixels.

use skrifa::GlyphId;
use skrifa::instance::{LocationRef, Size};
use skrifa::outline::{DrawSettings, OutlinePen};
use tiny_skia::{PathBuilder, PixmapMut, Point, Rect};

use super::shaping::{Piece, face, shape};
use super::style::Style;
use crate::art::Rgb;
use crate::draw;
use crate::geom::{Affine, flatten};

/// How far a chord may lie from its curve, pixels.
const CHORD: f64 = 0.02;

/// Draws one line of text with its baseline's left end at `x0`, `y`, onto opaque pixels.
pub fn draw(pixels: &mut PixmapMut<'_>, text: &str, style: Style, x0: f32, y: f32, colour: Rgb) {
    let face = face(style.weight);
    let shaped = shape(text, style);
    let mut path = PathBuilder::new();
    let settings = || DrawSettings::unhinted(Size::unscaled(), LocationRef::default());
    for piece in &shaped.pieces {
        match piece {
            Piece::Letters { x, glyphs } => {
                let mut along = x0 + x;
                for glyph in glyphs {
                    if let Some(outline) = face.outlines.get(GlyphId::new(glyph.id)) {
                        let mut pen = Pen {
                            path: &mut path,
                            scale: style.size / face.units,
                            x: along + glyph.shift[0],
                            y: y - glyph.shift[1],
                        };
                        // A damaged glyph would only leave a gap; the embedded fonts have none.
                        let _ = outline.draw(settings(), &mut pen);
                    }
                    along += glyph.advance;
                }
            }
            Piece::Dots { rows, .. } => {
                for [l, t, r, b] in rows {
                    if let Some(dot) = Rect::from_ltrb(x0 + l, y + t, x0 + r, y + b) {
                        path.push_rect(dot);
                    }
                }
            }
        }
    }
    if let Some(path) = path.finish() {
        draw::fill(pixels, &flatten(&path, &Affine::IDENTITY, CHORD), colour);
    }
}

/// Takes a glyph's outline, font units, y up, to pixels, y down.
struct Pen<'a> {
    path: &'a mut PathBuilder,
    scale: f32,
    x: f32,
    y: f32,
}

impl Pen<'_> {
    fn at(&self, x: f32, y: f32) -> Point {
        Point::from_xy(self.x + x * self.scale, self.y - y * self.scale)
    }
}

impl OutlinePen for Pen<'_> {
    fn move_to(&mut self, x: f32, y: f32) {
        let p = self.at(x, y);
        self.path.move_to(p.x, p.y);
    }

    fn line_to(&mut self, x: f32, y: f32) {
        let p = self.at(x, y);
        self.path.line_to(p.x, p.y);
    }

    fn quad_to(&mut self, cx: f32, cy: f32, x: f32, y: f32) {
        let (c, p) = (self.at(cx, cy), self.at(x, y));
        self.path.quad_to(c.x, c.y, p.x, p.y);
    }

    fn curve_to(&mut self, cx0: f32, cy0: f32, cx1: f32, cy1: f32, x: f32, y: f32) {
        let (c, d, p) = (self.at(cx0, cy0), self.at(cx1, cy1), self.at(x, y));
        self.path.cubic_to(c.x, c.y, d.x, d.y, p.x, p.y);
    }

    fn close(&mut self) {
        self.path.close();
    }
}
