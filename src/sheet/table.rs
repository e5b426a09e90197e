//! Small things that several sheets share: swatches with names, rows of numbers, numbers in words.

use super::form::Form;
use super::layout::{Area, PageSize};
use super::page::{Page, Stroke};
use super::text::{self, Style};
use super::theme::{Colours, Sizes};
use super::{Document, Heading, Look};
use crate::art::Rgb;

/// A colour with its name.
pub type Swatch = (String, Rgb);

/// One page, for kinds of sheet that have only one.
pub(super) struct Single {
    pub sizes: Sizes,
    pub colours: Colours,
    pub page: Page,
    /// What is left for content.
    pub inner: Area,
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
        let mut page = form.blank(size);
        form.set(&mut page, 1, 1);
        let mut inner = form.inner(size);
        // A page that its own title fills holds nothing else; figures then take what there is.
        inner.w = inner.w.max(1);
        inner.h = inner.h.max(1);
        Self {
            sizes,
            colours: look.paper.colours(),
            page,
            inner,
        }
    }

    pub fn done(self, heading: &Heading) -> Document {
        Document {
            name: heading.sheet.clone(),
            pages: vec![self.page],
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

/// A share of a whole: `1/8` where it is that to within a hundredth of itself, else percent.
#[must_use]
pub fn share(value: f64) -> String {
    for over in 1..=4_u32 {
        let under = libm::round(f64::from(over) / value);
        let plain = (2.0..=12.0).contains(&under) && under > f64::from(over);
        if plain && (value * under / f64::from(over) - 1.0).abs() < 0.01 {
            return format!("{over}/{}", number(under, 0));
        }
    }
    format!("{} %", number(value * 100.0, 1))
}

/// `#rrggbb`.
#[must_use]
pub fn hex(Rgb([r, g, b]): Rgb) -> String {
    format!("#{r:02x}{g:02x}{b:02x}")
}

/// A grid of swatches with their names and codes, for a width.
pub(super) struct Swatches<'a> {
    all: &'a [Swatch],
    columns: i32,
    cell: [i32; 2],
    chip: [i32; 2],
    sizes: Sizes,
}

impl<'a> Swatches<'a> {
    /// As many columns as fit.
    pub fn new(all: &'a [Swatch], width: i32, sizes: Sizes) -> Self {
        let chip = [sizes.px(54.0), sizes.px(44.0)];
        let gap = sizes.px(22.0);
        let widest = all
            .iter()
            .map(|(name, colour)| {
                let name = text::width(&spoken(name), sizes.note());
                #[expect(clippy::cast_possible_truncation, reason = "a line of text")]
                let wide = name.max(text::width(&hex(*colour), sizes.caption())).ceil() as i32;
                wide
            })
            .max()
            .unwrap_or(0);
        let wanted = chip[0] + sizes.px(12.0) + widest + gap;
        let columns = ((width + gap) / wanted.max(1)).max(1);
        let text = sizes.note().leading() + sizes.caption().leading();
        Self {
            all,
            columns,
            cell: [
                (width / columns).min(wanted + sizes.px(60.0)),
                text.max(chip[1]) + sizes.px(12.0),
            ],
            chip,
            sizes,
        }
    }

    fn rows(&self) -> i32 {
        let count = i32::try_from(self.all.len()).unwrap_or(i32::MAX);
        (count + self.columns - 1) / self.columns
    }

    pub fn height(&self) -> i32 {
        self.rows() * self.cell[1]
    }

    /// Column by column, so that neighbours in the rig stay neighbours.
    pub fn set(&self, page: &mut Page, [left, top]: [i32; 2], colours: Colours) {
        let rows = self.rows().max(1);
        let line = self.sizes.hairline();
        for (at, (name, colour)) in self.all.iter().enumerate() {
            let at = i32::try_from(at).unwrap_or(0);
            let (column, row) = (at / rows, at % rows);
            let (x, y) = (left + column * self.cell[0], top + row * self.cell[1]);
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
            let room = (self.cell[0] - w - self.sizes.px(16.0)).max(1) as f32;
            let note = self.sizes.note();
            let name = text::shortened(&spoken(name), note, room);
            page.write(&name, note, colours.text, [x, y - self.sizes.px(3.0)]);
            let y = y + note.leading() - self.sizes.px(3.0);
            page.write(&hex(*colour), self.sizes.caption(), colours.quiet, [x, y]);
        }
    }
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
