//! Small things that several sheets share: swatches with names, rows of numbers, numbers in words.

use super::form::Form;
use super::layout::{Area, PageSize};
use super::page::{Page, Stroke};
use super::theme::{Colours, Sizes};
use super::{Document, Heading, Look};
use crate::art::Rgb;
use crate::text::{self, Style};

/// A colour with its name.
pub type Swatch = (String, Rgb);

/// Pages, one at a time, for kinds of sheet that usually have only one.
pub(super) struct Single {
    pub sizes: Sizes,
    pub colours: Colours,
    pub page: Page,
    /// What is left for content.
    pub inner: Area,
    form: Form,
    earlier: Vec<Page>,
}

impl Single {
    /// Of a look's page; where that follows its content, `high` pixels at width 2400.
    pub fn new(heading: &Heading, look: &Look, high: f32) -> Self {
        let sizes = look.sizes();
        let size = match look.page {
            PageSize::Exactly { width, height } => [width, height],
            PageSize::UpTo { width, height } => [width, sizes.px(high).min(height)],
        };
        let form = Form::new(heading, look, size[0]);
        let mut inner = form.inner(size);
        // A page that its own title fills holds nothing else; figures then take what there is.
        inner.w = inner.w.max(1);
        inner.h = inner.h.max(1);
        Self {
            sizes,
            colours: look.paper.colours(),
            page: form.blank(size),
            inner,
            form,
            earlier: Vec::new(),
        }
    }

    /// Goes on on a page of the same size.
    pub fn turn(&mut self) {
        let next = self.form.blank([self.page.width, self.page.height]);
        self.earlier.push(std::mem::replace(&mut self.page, next));
    }

    pub fn done(mut self, heading: &Heading) -> Document {
        self.earlier.push(self.page);
        let count = self.earlier.len();
        for (at, page) in self.earlier.iter_mut().enumerate() {
            self.form.set(page, at + 1, count);
        }
        Document {
            name: heading.sheet.clone(),
            pages: self.earlier,
        }
    }
}

/// A thin line.
pub(super) const fn thin(colour: Rgb, width: f64) -> Stroke {
    Stroke {
        colour,
        width,
        dash: None,
    }
}

/// `eye_near` as people say it.
#[must_use]
pub fn spoken(name: &str) -> String {
    name.replace('_', " ")
}

/// A number without needless digits, with a true minus sign.
#[must_use]
pub fn number(value: f64, digits: usize) -> String {
    let mut text = format!("{value:.digits$}");
    if text.contains('.') {
        text = text.trim_end_matches('0').trim_end_matches('.').to_owned();
    }
    if text == "-0" {
        text = "0".into();
    }
    text.replace('-', "\u{2212}")
}

/// Shares that are written as fractions.
const FRACTIONS: [(u8, u8); 13] = [
    (1, 2),
    (1, 3),
    (2, 3),
    (1, 4),
    (3, 4),
    (1, 5),
    (1, 6),
    (1, 7),
    (1, 8),
    (1, 9),
    (1, 10),
    (1, 11),
    (1, 12),
];

/// A share of a whole: `1/8` where it is that to within half a hundredth of itself, else percent.
#[must_use]
pub fn share(value: f64) -> String {
    let plain = FRACTIONS
        .into_iter()
        .find(|&(over, under)| (value * f64::from(under) / f64::from(over) - 1.0).abs() < 0.005);
    match plain {
        Some((over, under)) => format!("{over}/{under}"),
        None => format!("{} %", number(value * 100.0, 1)),
    }
}

/// `#rrggbb`.
#[must_use]
pub fn hex(Rgb([r, g, b]): Rgb) -> String {
    format!("#{r:02x}{g:02x}{b:02x}")
}

/// A grid of swatches with their names and codes, for a width.
pub(super) struct Swatches<'a> {
    all: &'a [Swatch],
    /// The lines of each name.
    names: Vec<Vec<String>>,
    columns: i32,
    wide: i32,
    chip: [i32; 2],
    sizes: Sizes,
}

impl<'a> Swatches<'a> {
    /// As many columns as fit.
    pub fn new(all: &'a [Swatch], width: i32, sizes: Sizes) -> Self {
        Self::sized(all, width, sizes, 1.0)
    }

    /// With chips `factor` times as large as usual.
    pub fn sized(all: &'a [Swatch], width: i32, sizes: Sizes, factor: f32) -> Self {
        let chip = [sizes.px(54.0 * factor), sizes.px(44.0 * factor)];
        let (between, gap) = (sizes.px(12.0), sizes.px(22.0));
        let note = sizes.note();
        let most = sizes.px(360.0).min(width - chip[0] - between).max(1);
        let mut widest = 1;
        let mut names = Vec::new();
        for (name, colour) in all {
            let lines = text::wrap(&spoken(name), note, most as f32, usize::MAX);
            let mut wide = text::width(&hex(*colour), sizes.caption());
            for line in &lines {
                wide = wide.max(text::width(line, note));
            }
            #[expect(clippy::cast_possible_truncation, reason = "a line of text")]
            let wide = wide.ceil() as i32;
            widest = widest.max(wide.min(most));
            names.push(lines);
        }
        let wanted = chip[0] + between + widest + gap;
        let count = i32::try_from(all.len()).unwrap_or(i32::MAX).max(1);
        let fit = ((width + gap) / wanted.max(1)).max(1);
        // No column is left empty that fuller rows would need.
        let rows = (count - 1) / fit + 1;
        let columns = (count - 1) / rows + 1;
        Self {
            all,
            names,
            columns,
            wide: ((width + gap) / columns).min(wanted + sizes.px(60.0)),
            chip,
            sizes,
        }
    }

    /// The largest chips, up to twice the usual ones, with which the swatches stay within a height.
    pub fn within(all: &'a [Swatch], width: i32, height: i32, sizes: Sizes) -> Self {
        [2.0, 1.8, 1.6, 1.4, 1.2]
            .into_iter()
            .map(|factor| Self::sized(all, width, sizes, factor))
            .find(|swatches| swatches.height() <= height)
            .unwrap_or_else(|| Self::new(all, width, sizes))
    }

    fn rows(&self) -> usize {
        let columns = usize::try_from(self.columns).unwrap_or(1).max(1);
        self.all.len().div_ceil(columns)
    }

    /// Of each row: that of its highest cell.
    fn heights(&self) -> Vec<i32> {
        let rows = self.rows();
        let mut heights = vec![0; rows];
        for (at, name) in self.names.iter().enumerate() {
            let lines = i32::try_from(name.len()).unwrap_or(1);
            let text = lines * self.sizes.note().leading() + self.sizes.caption().leading();
            let height = &mut heights[at % rows];
            *height = (*height).max(text.max(self.chip[1]) + self.sizes.px(6.0));
        }
        heights
    }

    pub fn height(&self) -> i32 {
        self.heights().iter().sum()
    }

    /// Column by column, so that neighbours in the rig stay neighbours.
    pub fn set(&self, page: &mut Page, [left, top]: [i32; 2], colours: Colours) {
        let heights = self.heights();
        let rows = heights.len().max(1);
        let line = self.sizes.hairline();
        let note = self.sizes.note();
        for (at, (_, colour)) in self.all.iter().enumerate() {
            let column = i32::try_from(at / rows).unwrap_or(0);
            let x = left + column * self.wide;
            let y = top + heights[..at % rows].iter().sum::<i32>();
            let [w, h] = self.chip;
            page.fill(Area { x, y, w, h }, colours.rule);
            let inside = Area {
                x: x + line,
                y: y + line,
                w: w - 2 * line,
                h: h - 2 * line,
            };
            page.fill(inside, *colour);
            let x = x + w + self.sizes.px(12.0);
            // In the middle of a chip that is higher.
            let lines = i32::try_from(self.names[at].len()).unwrap_or(1);
            let text = lines * note.leading() + self.sizes.caption().leading();
            let mut y = y + ((h - text) / 2).max(0);
            for words in &self.names[at] {
                page.write(words, note, colours.text, [x, y]);
                y += note.leading();
            }
            page.write(&hex(*colour), self.sizes.caption(), colours.quiet, [x, y]);
        }
    }
}

/// Lines no wider than `limit`, whatever the letters: what is wider than a line by itself is left out.
pub(super) fn fitted(words: &str, style: Style, limit: f32, most: usize) -> Vec<String> {
    let lines = text::wrap(words, style, limit, most).into_iter();
    lines
        .map(|line| text::shortened(&line, style, limit))
        .collect()
}

/// Writes a line that ends at `right`.
pub(super) fn write_right(
    page: &mut Page,
    line: &str,
    style: Style,
    colour: Rgb,
    [right, top]: [i32; 2],
) {
    page.items
        .push(super::page::Item::Words(super::page::Words {
            text: line.to_owned(),
            style,
            colour,
            x: right as f32 - text::width(line, style),
            baseline: top + style.baseline(),
        }));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_are_plain_fractions_where_they_are() {
        assert_eq!(share(0.125), "1/8");
        assert_eq!(share(0.1), "1/10");
        assert_eq!(share(1.0 / 6.0), "1/6");
        assert_eq!(share(0.75), "3/4");
        assert_eq!(share(0.266), "26.6 %");
        assert_eq!(share(1.0), "100 %");
    }

    #[test]
    fn numbers_have_no_needless_digits() {
        assert_eq!(number(4.70, 2), "4.7");
        assert_eq!(number(-0.001, 1), "0");
        assert_eq!(number(-2.5, 1), "\u{2212}2.5");
        assert_eq!(number(1020.0, 0), "1020");
    }
}
