//! Lines of text, one style after the other.

use super::layout::Area;
use super::page::{Page, Words};
use crate::art::Rgb;
use crate::text::{self, Style};

/// No text of a form is cut before it takes this many lines.
pub(super) const LINES: usize = 40;

/// One style of lines after the other, top to bottom.
#[derive(Clone, Debug, Default)]
pub(super) struct Block {
    lines: Vec<Line>,
    /// Colour samples: colour, left, top, side.
    chips: Vec<(Rgb, i32, i32, i32)>,
    pub height: i32,
}

#[derive(Clone, Debug)]
struct Line {
    text: String,
    style: Style,
    colour: Rgb,
    x: i32,
    y: i32,
}

impl Block {
    pub fn add(&mut self, lines: Vec<String>, style: Style, colour: Rgb) {
        for text in lines {
            self.lines.push(Line {
                text,
                style,
                colour,
                x: 0,
                y: self.height,
            });
            self.height += style.leading();
        }
    }

    /// Adds what colours stand for, in as many columns as fit into `limit` pixels; names too long for
    /// a column of their own are wrapped.
    pub fn add_key(&mut self, key: &[(Rgb, String)], style: Style, colour: Rgb, limit: f32) {
        let indent = style.leading();
        let widest = key
            .iter()
            .map(|(_, name)| text::width(name, style))
            .fold(0.0, f32::max);
        let whole = |v: f32| super::layout::whole(f64::from(v));
        let room = limit - indent as f32;
        let column = whole(widest.min(room)) + 1 + indent + indent / 2;
        let columns = ((whole(limit) + indent / 2) / column.max(1)).max(1);
        let columns = usize::try_from(columns).unwrap_or(1);
        let side = indent * 2 / 3;
        for row in key.chunks(columns) {
            let mut height = style.leading();
            let mut x = 0;
            for (chip, name) in row {
                let y = self.height + (style.leading() - side) / 2;
                self.chips.push((*chip, x, y, side));
                let mut y = self.height;
                for text in text::wrap(name, style, room.min(widest + 1.0), LINES) {
                    let x = x + indent;
                    self.lines.push(Line {
                        text,
                        style,
                        colour,
                        x,
                        y,
                    });
                    y += style.leading();
                }
                height = height.max(y - self.height);
                x += column;
            }
            self.height += height;
        }
    }

    pub fn skip(&mut self, height: i32) {
        self.height += height;
    }

    /// Puts the lines on a page, left-aligned, or right-aligned where a right side is given.
    pub fn set(&self, page: &mut Page, left: i32, right: Option<i32>, top: i32) {
        for &(colour, x, y, side) in &self.chips {
            let area = Area {
                x: left + x,
                y: top + y,
                w: side,
                h: side,
            };
            page.fill(area, colour);
        }
        for line in &self.lines {
            let x = right.map_or((left + line.x) as f32, |right| {
                right as f32 - text::width(&line.text, line.style)
            });
            page.items.push(super::page::Item::Words(Words {
                text: line.text.clone(),
                style: line.style,
                colour: line.colour,
                x,
                baseline: top + line.y + line.style.baseline(),
            }));
        }
    }
}
