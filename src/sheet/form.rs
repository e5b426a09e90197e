//! What stands around the content of every page of a sheet: the title band above, the title block
//! with its sign-off box below.

use super::block::{Block, LINES};
use super::grid::Look;
use super::heading::{Heading, TitleBlock};
use super::layout::{Area, PageSize};
use super::page::Page;
use super::theme::{Colours, Sizes};
use crate::art::Rgb;
use crate::text;

/// The title band and the title block of a sheet, measured.
#[derive(Clone, Debug)]
pub struct Form {
    sizes: Sizes,
    colours: Colours,
    page: PageSize,
    points: Option<[f64; 2]>,
    dpi: f64,
    band: Band,
    block: Vec<Vec<Field>>,
}

/// The title band: who and what on the left; facts and palette on the right.
#[derive(Clone, Debug)]
struct Band {
    left: Block,
    facts: Block,
    palette: Option<(Block, Vec<Rgb>)>,
    side: i32,
}

/// One box of the title block.
#[derive(Clone, Debug)]
struct Field {
    caption: &'static str,
    /// `None`: the page's number.
    value: Option<Block>,
    x: i32,
    w: i32,
}

/// As many lines of a title as leave a page of a given size room for more than its title.
fn lines(look: &Look) -> usize {
    match look.page {
        PageSize::Exactly { height, .. } => {
            let most = height / 6 / look.sizes().member().leading();
            usize::try_from(most).unwrap_or(0).max(2)
        }
        PageSize::UpTo { .. } => LINES,
    }
}

impl Form {
    /// Measures what stands around a sheet's content, on pages `width` pixels wide.
    #[must_use]
    pub fn new(heading: &Heading, look: &Look, width: i32) -> Self {
        let sizes = look.sizes();
        let colours = look.paper.colours();
        let margin = sizes.spacing().margin;
        let inner = (width - 2 * margin).max(1);
        Self {
            sizes,
            colours,
            page: look.page,
            points: look.points,
            dpi: look.dpi,
            band: Band::new(heading, sizes, colours, inner, lines(look)),
            block: fields(heading, &look.title_block, sizes, colours, [margin, inner]),
        }
    }

    /// Height of the title band.
    #[must_use]
    pub fn band(&self) -> i32 {
        self.band.height(self.sizes)
    }

    /// Height of the title block.
    #[must_use]
    pub fn block(&self) -> i32 {
        let line = self.sizes.hairline();
        self.block
            .iter()
            .map(|row| self.row_height(row))
            .sum::<i32>()
            + line
    }

    fn row_height(&self, row: &[Field]) -> i32 {
        let values = row
            .iter()
            .map(|f| f.value.as_ref().map_or(0, |b| b.height))
            .max()
            .unwrap_or(0)
            .max(self.sizes.value().leading());
        // Room to sign.
        let least = self.sizes.px(88.0);
        (2 * self.pad() + self.sizes.caption().leading() + values).max(least)
    }

    fn pad(&self) -> i32 {
        self.sizes.px(9.0)
    }

    /// What is left for content on a page of a size.
    #[must_use]
    pub fn inner(&self, [width, height]: [i32; 2]) -> Area {
        let spacing = self.sizes.spacing();
        let y = spacing.margin + self.band() + spacing.band_gap;
        let bottom = height - spacing.margin - self.block() - spacing.band_gap;
        Area {
            x: spacing.margin,
            y,
            w: width - 2 * spacing.margin,
            h: bottom - y,
        }
    }

    /// A page with nothing on it.
    #[must_use]
    pub fn blank(&self, [width, height]: [i32; 2]) -> Page {
        let exact = match self.page {
            PageSize::Exactly { .. } => self.points,
            PageSize::UpTo { .. } => None,
        };
        let points =
            exact.unwrap_or_else(|| [width, height].map(|v| f64::from(v) * 72.0 / self.dpi));
        let alarm = (self.sizes.note(), self.colours.alarm);
        Page::new([width, height], points, self.colours.paper, alarm)
    }

    /// Adds title band and title block to a page.
    pub fn set(&self, page: &mut Page, number: usize, count: usize) {
        let spacing = self.sizes.spacing();
        let inner = page.width - 2 * spacing.margin;
        let band = Area {
            x: spacing.margin,
            y: spacing.margin,
            w: inner,
            h: self.band(),
        };
        self.band.set(page, band, self.sizes, self.colours);
        self.set_block(page, number, count);
    }

    fn set_block(&self, page: &mut Page, number: usize, count: usize) {
        let spacing = self.sizes.spacing();
        let line = self.sizes.hairline();
        let rule = self.colours.rule;
        let (left, right) = (spacing.margin, page.width - spacing.margin);
        let across = |y: i32| Area {
            x: left,
            y,
            w: right - left,
            h: line,
        };
        let mut y = page.height - spacing.margin - self.block();
        for row in &self.block {
            let height = self.row_height(row);
            page.fill(across(y), rule);
            for field in row {
                let side = Area {
                    x: field.x,
                    y,
                    w: line,
                    h: height,
                };
                page.fill(side, rule);
                let x = field.x + line + self.pad();
                let mut caption = Block::default();
                let style = self.sizes.caption();
                let limit = (field.w - line - 2 * self.pad()) as f32;
                caption.add(
                    text::wrap(field.caption, style, limit, 1),
                    style,
                    self.colours.quiet,
                );
                caption.set(page, x, None, y + self.pad());
                let top = y + self.pad() + caption.height;
                match &field.value {
                    Some(value) => value.set(page, x, None, top),
                    None => {
                        let style = self.sizes.value();
                        let mut value = Block::default();
                        let pages = format!("{number} of {count}");
                        value.add(
                            text::wrap(&pages, style, limit, 2),
                            style,
                            self.colours.text,
                        );
                        value.set(page, x, None, top);
                    }
                }
            }
            let end = Area {
                x: right - line,
                y,
                w: line,
                h: height,
            };
            page.fill(end, rule);
            y += height;
        }
        page.fill(across(y), rule);
    }
}

/// What a box of the title block says: caption, value, share of the room that is left.
type FieldText<'a> = (&'static str, Option<&'a str>, i32);

/// The boxes of the title block; in two rows where one would break what they say.
fn fields(
    heading: &Heading,
    title_block: &TitleBlock,
    sizes: Sizes,
    colours: Colours,
    [left, inner]: [i32; 2],
) -> Vec<Vec<Field>> {
    let all: [FieldText<'_>; 7] = [
        ("production", Some(&title_block.production), 3),
        ("member", Some(&heading.title), 3),
        ("sheet", Some(&heading.sheet), 3),
        ("page", None, 1),
        ("revision", Some(&title_block.revision), 1),
        ("date", Some(&title_block.date), 1),
        ("approved", Some(""), 12),
    ];
    let around = sizes.hairline() + 2 * sizes.px(9.0);
    // Width of a box that breaks nothing; names of any length get no more than they can use.
    let wanted = |&(caption, value, _): &FieldText<'_>| {
        let value = value.unwrap_or("88 of 88");
        let wide = text::width(value, sizes.value()).max(text::width(caption, sizes.caption()));
        let least = if caption == "approved" { 330.0 } else { 96.0 };
        #[expect(clippy::cast_possible_truncation, reason = "clamped")]
        let wide = wide.ceil().min(1e6) as i32;
        (wide + around + sizes.px(4.0)).max(sizes.px(least))
    };
    let total: i32 = all.iter().map(|said| wanted(said).min(inner)).sum();
    let rows: Vec<&[FieldText<'_>]> = if total <= inner {
        vec![&all[..]]
    } else {
        vec![&all[..3], &all[3..]]
    };
    let place = |row: &[FieldText<'_>]| -> Vec<Field> {
        let widths = shares(&row.iter().map(wanted).collect::<Vec<_>>(), inner, row);
        let mut x = left;
        row.iter()
            .zip(widths)
            .map(|(&(caption, value, _), w)| {
                let limit = (w - around) as f32;
                let value = value.map(|value| {
                    let mut block = Block::default();
                    let style = sizes.value();
                    if !value.trim().is_empty() {
                        block.add(text::wrap(value, style, limit, LINES), style, colours.text);
                    }
                    block
                });
                x += w;
                Field {
                    caption,
                    value,
                    x: x - w,
                    w,
                }
            })
            .collect()
    };
    rows.into_iter().map(place).collect()
}

/// Widths of boxes that together are `inner`: what each wants and a share of the rest, or where there
/// is too little for all, an equal limit to the widest.
fn shares(wanted: &[i32], inner: i32, row: &[FieldText<'_>]) -> Vec<i32> {
    let mut limit = inner;
    let at_most = |limit: i32| wanted.iter().map(|w| (*w).min(limit)).sum::<i32>();
    while limit > 1 && at_most(limit) > inner {
        limit -= 1 + limit / 64;
    }
    let rest = inner - at_most(limit);
    let parts: i32 = row.iter().map(|said| said.2).sum::<i32>().max(1);
    let (mut before, mut given) = (0, 0);
    wanted
        .iter()
        .zip(row)
        .map(|(wanted, said)| {
            before += said.2;
            let share = rest * before / parts - given;
            given += share;
            (*wanted).min(limit) + share
        })
        .collect()
}

impl Band {
    fn new(heading: &Heading, sizes: Sizes, colours: Colours, inner: i32, lines: usize) -> Self {
        let side = inner * 36 / 100;
        let limit = (inner * 60 / 100) as f32;
        let mut left = Block::default();
        left.add(
            text::wrap(&heading.title, sizes.member(), limit, lines),
            sizes.member(),
            colours.text,
        );
        left.skip(sizes.px(4.0));
        left.add(
            text::wrap(&heading.subtitle, sizes.list(), limit, lines),
            sizes.list(),
            colours.quiet,
        );
        let mut facts = Block::default();
        for fact in &heading.facts {
            facts.add(
                text::wrap(fact, sizes.fact(), side as f32, lines),
                sizes.fact(),
                colours.quiet,
            );
        }
        let palette = heading.palette.as_ref().map(|(name, chips)| {
            let mut block = Block::default();
            block.add(
                text::wrap(name, sizes.fact(), side as f32, lines),
                sizes.fact(),
                colours.quiet,
            );
            (block, chips.clone())
        });
        Self {
            left,
            facts,
            palette,
            side,
        }
    }

    fn right_height(&self, sizes: Sizes) -> i32 {
        let palette = self.palette.as_ref().map_or(0, |(block, chips)| {
            block.height
                + if chips.is_empty() {
                    0
                } else {
                    sizes.px(8.0) + sizes.chip()
                }
        });
        self.facts.height + palette
    }

    fn height(&self, sizes: Sizes) -> i32 {
        self.left.height.max(self.right_height(sizes)) + sizes.px(22.0) + sizes.hairline()
    }

    fn set(&self, page: &mut Page, area: Area, sizes: Sizes, colours: Colours) {
        let bottom = area.bottom() - sizes.hairline() - sizes.px(22.0);
        page.fill(
            Area {
                y: area.bottom() - sizes.hairline(),
                h: sizes.hairline(),
                ..area
            },
            colours.rule,
        );
        // Both columns stand on the same line.
        self.left.set(page, area.x, None, bottom - self.left.height);
        let mut y = bottom - self.right_height(sizes);
        self.facts.set(page, area.x, Some(area.right()), y);
        y += self.facts.height;
        if let Some((block, chips)) = &self.palette {
            block.set(page, area.x, Some(area.right()), y);
            y += block.height + sizes.px(8.0);
            self.set_chips(page, chips, [area.right(), y], sizes, colours);
        }
    }

    fn set_chips(
        &self,
        page: &mut Page,
        chips: &[Rgb],
        [right, y]: [i32; 2],
        sizes: Sizes,
        colours: Colours,
    ) {
        if chips.is_empty() {
            return;
        }
        let count = i32::try_from(chips.len()).unwrap_or(i32::MAX);
        let wide = sizes.chip().min(self.side / count).max(1);
        let mut x = right - (wide.saturating_mul(count)).min(self.side);
        // Chips of the paper's own colour would be lost without a frame.
        let line = sizes.hairline();
        let frame = Area {
            x: x - line,
            y: y - line,
            w: right - x + 2 * line,
            h: sizes.chip() + 2 * line,
        };
        page.fill(frame, colours.rule);
        for chip in chips {
            if x + wide > right {
                break;
            }
            let area = Area {
                x,
                y,
                w: wide,
                h: sizes.chip(),
            };
            page.fill(area, *chip);
            x += wide;
        }
    }
}
