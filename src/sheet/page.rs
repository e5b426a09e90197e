//! A page as placed items: what layout makes and what both back ends draw.
//!
//! Lengths are pixels of the PNG page, y down; [`Page::points`] says how large the page is on paper.
//! Items are drawn in order. Nothing here measures or draws.

use super::layout::Area;
use crate::art::Rgb;
use crate::geom::Affine;
use crate::text::{self, Style};

/// One sheet, laid out: its pages in order.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Document {
    /// What a PDF's bookmark calls it.
    pub name: String,
    /// In order; at least one.
    pub pages: Vec<Page>,
}

/// One page.
#[derive(Clone, Debug, PartialEq)]
pub struct Page {
    /// Pixels.
    pub width: i32,
    /// Pixels.
    pub height: i32,
    /// Width and height on paper, 1/72 inch.
    pub points: [f64; 2],
    /// The paper.
    pub colour: Rgb,
    /// Lettering and colour for what has to be said in place of a figure.
    pub alarm: (Style, Rgb),
    /// Back to front.
    pub items: Vec<Item>,
    /// Places on this page that a PDF's outline lists, under the sheet's own.
    pub bookmarks: Vec<Bookmark>,
}

/// A place in the outline of a PDF.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bookmark {
    /// What it is called.
    pub name: String,
    /// Its height on the page.
    pub y: i32,
}

/// Something on a page.
#[derive(Clone, Debug, PartialEq)]
pub enum Item {
    /// Whole pixels in one colour.
    Fill(Fill),
    /// A polyline or polygon.
    Shape(Shape),
    /// A line of text.
    Words(Words),
    /// A figure.
    Figure(Placement),
}

/// Whole pixels in one colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Fill {
    /// Where.
    pub area: Area,
    /// What colour.
    pub colour: Rgb,
}

/// A polyline or polygon.
#[derive(Clone, Debug, PartialEq)]
pub struct Shape {
    /// Corners, page pixels.
    pub points: Vec<[f64; 2]>,
    /// True where the last corner joins the first.
    pub closed: bool,
    /// Colour inside.
    pub fill: Option<Rgb>,
    /// The line along the corners.
    pub stroke: Option<Stroke>,
}

/// A line's look. Ends are butt, corners are mitred.
#[derive(Clone, Debug, PartialEq)]
pub struct Stroke {
    /// Colour.
    pub colour: Rgb,
    /// Width, pixels.
    pub width: f64,
    /// Lengths of dash and gap, pixels.
    pub dash: Option<[f64; 2]>,
}

/// One line of text, in reading order of its characters.
#[derive(Clone, Debug, PartialEq)]
pub struct Words {
    /// What it says.
    pub text: String,
    /// How large.
    pub style: Style,
    /// Colour.
    pub colour: Rgb,
    /// Left end.
    pub x: f32,
    /// Baseline.
    pub baseline: i32,
}

/// A figure on a page.
#[derive(Clone, Debug, PartialEq)]
pub struct Placement {
    /// Which: the place of its pose in the list of jobs that the page is drawn with.
    pub figure: usize,
    /// What of the page it may cover; the rest is clipped.
    pub area: Area,
    /// From canvas units to page pixels.
    pub to_page: Affine,
    /// Colours in place of its own.
    pub tint: Option<Tint>,
    /// 0 to 1, of the figure as one.
    pub opacity: f32,
}

/// Two colours in place of all: black becomes `dark`, white becomes `light`, and what lies between
/// goes by its luma (0.299 R + 0.587 G + 0.114 B, ITU-R BT.601).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Tint {
    /// For black.
    pub dark: Rgb,
    /// For white.
    pub light: Rgb,
}

impl Page {
    /// An empty page.
    #[must_use]
    pub const fn new(size: [i32; 2], points: [f64; 2], colour: Rgb, alarm: (Style, Rgb)) -> Self {
        let [width, height] = size;
        Self {
            width,
            height,
            points,
            colour,
            alarm,
            items: Vec::new(),
            bookmarks: Vec::new(),
        }
    }

    /// The whole page.
    #[must_use]
    pub const fn area(&self) -> Area {
        Area {
            x: 0,
            y: 0,
            w: self.width,
            h: self.height,
        }
    }

    /// Adds whole pixels in one colour.
    pub fn fill(&mut self, area: Area, colour: Rgb) {
        self.items.push(Item::Fill(Fill { area, colour }));
    }

    /// Adds a line through some points.
    pub fn line(&mut self, points: Vec<[f64; 2]>, stroke: Stroke) {
        self.items.push(Item::Shape(Shape {
            points,
            closed: false,
            fill: None,
            stroke: Some(stroke),
        }));
    }

    /// Adds one line of text with the top left of its box at `at`.
    pub fn write(&mut self, text: &str, style: Style, colour: Rgb, at: [i32; 2]) {
        self.items.push(Item::Words(Words {
            text: text.to_owned(),
            style,
            colour,
            x: at[0] as f32,
            baseline: at[1] + style.baseline(),
        }));
    }

    /// The figures, in order.
    pub fn figures(&self) -> impl Iterator<Item = &Placement> {
        self.items.iter().filter_map(|item| match item {
            Item::Figure(figure) => Some(figure),
            _ => None,
        })
    }

    /// The lines of text, in order.
    pub fn words(&self) -> impl Iterator<Item = &Words> {
        self.items.iter().filter_map(|item| match item {
            Item::Words(words) => Some(words),
            _ => None,
        })
    }
}

impl Words {
    /// The box that its letters may take.
    #[must_use]
    #[expect(clippy::cast_possible_truncation, reason = "within a page")]
    pub fn bounds(&self) -> Area {
        let x = self.x.floor() as i32;
        let right = (self.x + text::width(&self.text, self.style)).ceil() as i32;
        Area {
            x,
            y: self.baseline - self.style.baseline(),
            w: right - x,
            h: self.style.leading(),
        }
    }
}

impl Placement {
    /// A figure in its own colours.
    #[must_use]
    pub const fn plain(figure: usize, area: Area, to_page: Affine) -> Self {
        Self {
            figure,
            area,
            to_page,
            tint: None,
            opacity: 1.0,
        }
    }
}

impl Tint {
    /// The colour in place of another.
    #[must_use]
    pub fn of(self, Rgb([r, g, b]): Rgb) -> Rgb {
        let luma = (299 * u32::from(r) + 587 * u32::from(g) + 114 * u32::from(b) + 500) / 1000;
        self.at(luma, 255)
    }

    /// The colour for a luma; both are of 0 to `alpha`, as premultiplied pixels are.
    pub(super) fn at(self, luma: u32, alpha: u32) -> Rgb {
        let luma = luma.min(alpha);
        let mixed = |dark: u8, light: u8| {
            let sum = u32::from(dark) * (alpha - luma) + u32::from(light) * luma;
            u8::try_from((sum + 127) / 255).unwrap_or(255)
        };
        let (Rgb(dark), Rgb(light)) = (self.dark, self.light);
        Rgb([
            mixed(dark[0], light[0]),
            mixed(dark[1], light[1]),
            mixed(dark[2], light[2]),
        ])
    }
}

/// The lines that say, in a figure's place, why it is not there.
#[must_use]
pub fn refusal(why: &str, area: Area, (style, colour): (Style, Rgb)) -> Vec<Words> {
    let pad = style.leading() / 2;
    let limit = (area.w - 2 * pad).max(1) as f32;
    let room = usize::try_from((area.h - 2 * pad) / style.leading())
        .unwrap_or(0)
        .max(1);
    let bold = Style::bold(style.size);
    let mut lines: Vec<(String, Style)> = text::wrap("not drawn", bold, limit, 1)
        .into_iter()
        .map(|line| (line, bold))
        .collect();
    if room > 2 {
        let more = text::wrap(why, style, limit, room - 2);
        lines.extend(more.into_iter().map(|line| (line, style)));
    }
    let height = i32::try_from(lines.len()).unwrap_or(1) * style.leading();
    let mut top = area.y + ((area.h - height) / 2).max(pad);
    let mut words = Vec::new();
    for (text, style) in lines {
        words.push(Words {
            text,
            style,
            colour,
            x: (area.x + pad) as f32,
            baseline: top + style.baseline(),
        });
        top += style.leading();
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tint_goes_from_its_dark_to_its_light() {
        let tint = Tint {
            dark: Rgb([10, 20, 200]),
            light: Rgb([250, 240, 255]),
        };
        assert_eq!(tint.of(Rgb([0, 0, 0])), tint.dark);
        assert_eq!(tint.of(Rgb([255, 255, 255])), tint.light);
        let Rgb([r, g, b]) = tint.of(Rgb([128, 128, 128]));
        assert!(r.abs_diff(130) <= 1 && g.abs_diff(130) <= 1 && b.abs_diff(228) <= 1);
    }
}
