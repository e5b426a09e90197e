//! A sheet's content on its pages: words in their boxes, then pixels.

use std::sync::{Mutex, PoisonError};

use rayon::prelude::*;
use tiny_skia::{Pixmap, PixmapMut};

use super::layout::{
    self, Area, CellBox, GridRequest, GroupRequest, GroupSizes, LONGEST_SIDE, PageBoxes, PageSize,
    PagesRequest, TooSmall,
};
use super::text::{self, Style};
use super::theme::{Colours, Paper, Sizes};
use crate::art::Rgb;
use crate::geom::Affine;

/// What a sheet shows.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// Who.
    pub title: String,
    /// In what: the list, the view.
    pub subtitle: String,
    /// Short facts: how many poses, say.
    pub facts: Vec<String>,
    /// A palette's name and colours.
    pub palette: Option<(String, Vec<Rgb>)>,
    /// Small print at the foot of each page.
    pub footer: String,
    /// y of the floor, canvas units.
    pub ground: Option<f64>,
    /// How large a figure to aim for on a page 2400 px wide: the side of a square of the same area,
    /// pixels. So wide figures come in as many as tall ones.
    pub figure: f32,
    /// True where cells are steps of one thing and stand close.
    pub strips: bool,
    /// In order.
    pub groups: Vec<Group>,
}

/// Cells that belong together.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Group {
    /// What each cell shows, canvas units: left, top, right, bottom.
    pub window: [f64; 4],
    /// Heading.
    pub name: Option<String>,
    /// Under the heading.
    pub note: Option<String>,
    /// Cells of a row, where that means something.
    pub columns: Option<usize>,
    /// In order.
    pub cells: Vec<Cell>,
}

/// One figure and its label.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Cell {
    /// Bold.
    pub name: String,
    /// Small, under the name.
    pub note: Option<String>,
    /// Why there is no figure.
    pub refusal: Option<String>,
}

/// How a sheet looks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Look {
    /// Size of the pages.
    pub page: PageSize,
    /// Cells of a row, else as many as suit.
    pub columns: Option<i32>,
    /// Height of the figures, pixels, else what suits.
    pub cell: Option<i32>,
    /// Colours.
    pub paper: Paper,
}

impl Default for Look {
    fn default() -> Self {
        Self {
            page: PageSize::UpTo {
                width: 2400,
                height: 3200,
            },
            columns: None,
            cell: None,
            paper: Paper::Light,
        }
    }
}

/// Draws one figure over what the pixels hold, by group and place in the group. What it says when it
/// cannot is put in the cell.
pub type DrawFigure<'a> =
    dyn Fn(usize, usize, Affine, &mut PixmapMut<'_>) -> Result<(), String> + Sync + 'a;

/// One line of text in its place.
#[derive(Clone, Debug, PartialEq)]
struct Words {
    text: String,
    style: Style,
    colour: Rgb,
    x: f32,
    baseline: i32,
}

/// A plain rectangle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Fill {
    area: Area,
    colour: Rgb,
}

#[derive(Clone, Debug, PartialEq)]
struct Page {
    boxes: PageBoxes,
    words: Vec<Words>,
    fills: Vec<Fill>,
}

/// A sheet, ready to draw.
#[derive(Clone, Debug, PartialEq)]
pub struct Design {
    pages: Vec<Page>,
    scale: f64,
    sizes: Sizes,
    colours: Colours,
    windows: Vec<[f64; 4]>,
    ground: Option<f64>,
    refusals: Vec<Vec<Option<String>>>,
}

const NAME_LINES: usize = 4;
const NOTE_LINES: usize = 9;

/// Height of a window of area 1; what is very long or very tall counts as less so.
fn tallness([width, height]: [f64; 2]) -> f32 {
    let ratio = height / width;
    #[expect(clippy::cast_possible_truncation, reason = "between a half and two")]
    let tall = libm::sqrt(if ratio.is_finite() {
        ratio.clamp(0.25, 4.0)
    } else {
        1.0
    }) as f32;
    tall
}

/// A block of lines, one style after the other, top to bottom.
#[derive(Default)]
struct Block {
    lines: Vec<(String, Style, Rgb, i32)>,
    height: i32,
}

impl Block {
    fn add(&mut self, lines: Vec<String>, style: Style, colour: Rgb) {
        for line in lines {
            self.lines.push((line, style, colour, self.height));
            self.height += style.leading();
        }
    }

    fn skip(&mut self, height: i32) {
        self.height += height;
    }

    fn set(&self, words: &mut Vec<Words>, left: i32, right: Option<i32>, top: i32) {
        for (line, style, colour, y) in &self.lines {
            let x = right.map_or(left as f32, |right| {
                right as f32 - text::width(line, *style)
            });
            let baseline = top + y + style.baseline();
            words.push(Words {
                text: line.clone(),
                style: *style,
                colour: *colour,
                x,
                baseline,
            });
        }
    }
}

impl Design {
    /// Lays a sheet out.
    ///
    /// # Errors
    ///
    /// When a page cannot hold even one row of small figures.
    pub fn new(sheet: &Sheet, look: &Look) -> Result<Self, TooSmall> {
        let page_width = match look.page {
            PageSize::UpTo { width, .. } | PageSize::Exactly { width, .. } => width,
        };
        let sizes = Sizes::for_page(page_width);
        let mut highest = None;
        loop {
            match Self::with(sheet, look, sizes, highest) {
                Ok(design) => return Ok(design),
                Err((error, figure)) => {
                    // Smaller figures may fit; below this they would show nothing.
                    let less = figure - (error.needed - error.height);
                    if less < sizes.px(60.0) || less >= figure {
                        return Err(error);
                    }
                    highest = Some(less);
                }
            }
        }
    }

    fn with(
        sheet: &Sheet,
        look: &Look,
        sizes: Sizes,
        highest: Option<i32>,
    ) -> Result<Self, (TooSmall, i32)> {
        let colours = look.paper.colours();
        let mut spacing = sizes.spacing();
        if sheet.strips {
            spacing.gap = sizes.px(8.0);
            spacing.row_gap = sizes.px(26.0);
            spacing.label_gap = sizes.px(8.0);
            spacing.narrowest_cell = sizes.px(120.0);
        }
        let wanted: Vec<GroupRequest> = sheet
            .groups
            .iter()
            .map(|g| {
                let [left, top, right, bottom] = g.window;
                GroupRequest {
                    cells: g.cells.len(),
                    likes: g.columns,
                    window: [right - left, bottom - top],
                }
            })
            .collect();
        let middle = layout::middle(&wanted);
        let grid = layout::choose_grid(&GridRequest {
            page: look.page,
            spacing,
            target: look
                .cell
                .unwrap_or_else(|| sizes.px(sheet.figure * tallness(middle))),
            fixed: look.cell.is_some(),
            columns: look.columns,
            highest,
            groups: &wanted,
        });
        let inner = grid.page_width - 2 * spacing.margin;
        let band = Band::new(sheet, sizes, colours, inner);
        let labels: Vec<Vec<Block>> = sheet
            .groups
            .iter()
            .zip(&grid.groups)
            .map(|(g, grid)| {
                g.cells
                    .iter()
                    .map(|c| label(c, sizes, colours, grid.cell_width))
                    .collect()
            })
            .collect();
        let headings: Vec<[Block; 2]> = sheet
            .groups
            .iter()
            .map(|g| [false, true].map(|again| heading(g, again, sizes, colours, inner)))
            .collect();
        let groups: Vec<GroupSizes> = grid
            .groups
            .iter()
            .zip(&labels)
            .zip(&headings)
            .map(|((grid, labels), headings)| GroupSizes {
                heading: headings[0].height.max(headings[1].height),
                grid: *grid,
                labels: labels.iter().map(|b| b.height).collect(),
            })
            .collect();
        let boxes = layout::lay_out(&PagesRequest {
            page: look.page,
            spacing,
            width: grid.page_width,
            title: band.height(sizes),
            footer: sizes.px(14.0) + sizes.footer().leading(),
            groups: &groups,
        })
        .map_err(|error| (error, grid.highest() - 2 * spacing.pad))?;
        let count = boxes.len();
        let pages = boxes
            .into_iter()
            .enumerate()
            .map(|(at, boxes)| {
                let mut page = Page {
                    boxes,
                    words: Vec::new(),
                    fills: Vec::new(),
                };
                band.set(&mut page, sizes, colours, at + 1, count);
                set_footer(&mut page, &sheet.footer, sizes, colours, at + 1, count);
                for heading in &page.boxes.headings {
                    let block = &headings[heading.group][usize::from(heading.continued)];
                    block.set(&mut page.words, heading.area.x, None, heading.area.y);
                }
                for cell in &page.boxes.cells {
                    labels[cell.group][cell.index].set(
                        &mut page.words,
                        cell.label.x,
                        None,
                        cell.label.y,
                    );
                }
                page
            })
            .collect();
        let refusals = sheet
            .groups
            .iter()
            .map(|g| g.cells.iter().map(|c| c.refusal.clone()).collect())
            .collect();
        let windows = sheet.groups.iter().map(|g| g.window).collect();
        Ok(Self {
            pages,
            scale: grid.scale,
            sizes,
            colours,
            windows,
            ground: sheet.ground,
            refusals,
        })
    }

    /// How many pages there are; at least one.
    #[must_use]
    pub fn pages(&self) -> usize {
        self.pages.len()
    }

    /// The cells of a page, as group and place in the group.
    pub fn cells(&self, page: usize) -> impl Iterator<Item = (usize, usize)> {
        self.pages[page]
            .boxes
            .cells
            .iter()
            .map(|c| (c.group, c.index))
    }

    /// The boxes of a page.
    #[must_use]
    pub fn boxes(&self, page: usize) -> &PageBoxes {
        &self.pages[page].boxes
    }

    /// Pixels to the canvas unit.
    #[must_use]
    pub fn scale(&self) -> f64 {
        self.scale
    }

    /// Draws a page, its cells in parallel on the current threads.
    ///
    /// # Panics
    ///
    /// Never: pages are within the sides that a picture can have.
    pub fn draw(&self, page: usize, figure: &DrawFigure<'_>) -> Pixmap {
        let page = &self.pages[page];
        let side = |v: i32| v.clamp(1, LONGEST_SIDE).unsigned_abs();
        let mut pixels = Pixmap::new(side(page.boxes.width), side(page.boxes.height))
            .expect("sides are within bounds");
        pixels.fill(skia(self.colours.paper));
        for fill in &page.fills {
            paint(&mut pixels.as_mut(), *fill);
        }
        for words in &page.words {
            let y = words.baseline as f32;
            text::draw(
                &mut pixels.as_mut(),
                &words.text,
                words.style,
                words.x,
                y,
                words.colour,
            );
        }
        let sheet = Mutex::new(pixels);
        page.boxes
            .cells
            .par_iter()
            .with_max_len(1)
            .for_each(|cell| {
                let drawn = self.cell(cell, figure);
                let mut sheet = sheet.lock().unwrap_or_else(PoisonError::into_inner);
                copy(&drawn, &mut sheet, cell.figure);
            });
        sheet.into_inner().unwrap_or_else(PoisonError::into_inner)
    }

    fn cell(&self, cell: &CellBox, figure: &DrawFigure<'_>) -> Pixmap {
        let area = cell.figure;
        let side = |v: i32| v.clamp(1, LONGEST_SIDE).unsigned_abs();
        let mut pixels = Pixmap::new(side(area.w), side(area.h)).expect("sides are within bounds");
        pixels.fill(skia(self.colours.panel));
        let pad = self.sizes.spacing().pad;
        let scale = self.scale;
        let [left, top, right, _] = self.windows[cell.group];
        // The same whole-pixel place in every cell, so that figures compare.
        let x = f64::from(area.w) * 0.5 - (right - left) * scale * 0.5;
        let to_pixels = Affine {
            a: scale,
            b: 0.0,
            c: 0.0,
            d: scale,
            e: libm::round(x) - left * scale,
            f: f64::from(pad) - top * scale,
        };
        if let Some(ground) = self.ground {
            let y = libm::round(to_pixels.apply([0.0, ground])[1]);
            if y >= 0.0 && y < f64::from(area.h) {
                let line = Area {
                    x: 0,
                    y: pixel(y),
                    w: area.w,
                    h: self.sizes.hairline(),
                };
                paint(
                    &mut pixels.as_mut(),
                    Fill {
                        area: line,
                        colour: self.colours.ground,
                    },
                );
            }
        }
        let refusal = match &self.refusals[cell.group][cell.index] {
            Some(refusal) => Err(refusal.clone()),
            None => figure(cell.group, cell.index, to_pixels, &mut pixels.as_mut()),
        };
        if let Err(refusal) = refusal {
            self.refuse(&mut pixels, &refusal, pad);
        }
        pixels
    }

    fn refuse(&self, pixels: &mut Pixmap, why: &str, pad: i32) {
        let style = self.sizes.note();
        let (w, h) = (
            pixels.width() as f32,
            i32::try_from(pixels.height()).unwrap_or(i32::MAX),
        );
        let room = (h - 2 * pad) / style.leading();
        let most = usize::try_from(room.max(1)).unwrap_or(1);
        let mut block = Block::default();
        let limit = w - 2.0 * pad as f32;
        block.add(
            text::wrap("not drawn", self.sizes.name(), limit, 1),
            self.sizes.name(),
            self.colours.alarm,
        );
        if most > 2 {
            block.add(
                text::wrap(why, style, limit, most - 2),
                style,
                self.colours.alarm,
            );
        }
        let mut words = Vec::new();
        block.set(&mut words, pad, None, ((h - block.height) / 2).max(pad));
        for w in words {
            text::draw(
                &mut pixels.as_mut(),
                &w.text,
                w.style,
                w.x,
                w.baseline as f32,
                w.colour,
            );
        }
    }
}

#[expect(clippy::cast_possible_truncation, reason = "within a picture's side")]
fn pixel(v: f64) -> i32 {
    v as i32
}

fn skia(colour: Rgb) -> tiny_skia::Color {
    let [r, g, b] = colour.0;
    tiny_skia::Color::from_rgba8(r, g, b, 255)
}

/// Fills whole pixels.
fn paint(pixels: &mut PixmapMut<'_>, fill: Fill) {
    let (wide, high) = (
        i32::try_from(pixels.width()).unwrap_or(i32::MAX),
        i32::try_from(pixels.height()).unwrap_or(i32::MAX),
    );
    let (x0, x1) = (fill.area.x.clamp(0, wide), fill.area.right().clamp(0, wide));
    let [r, g, b] = fill.colour.0;
    for y in fill.area.y.clamp(0, high)..fill.area.bottom().clamp(0, high) {
        let at = |x: i32| usize::try_from(y * wide + x).unwrap_or(0) * 4;
        for p in pixels.data_mut()[at(x0)..at(x1)].chunks_exact_mut(4) {
            p.copy_from_slice(&[r, g, b, 255]);
        }
    }
}

/// Copies a picture into a box of its own size.
fn copy(from: &Pixmap, to: &mut Pixmap, area: Area) {
    let line = from.width() as usize * 4;
    let wide = to.width() as usize;
    let (x, y) = (
        usize::try_from(area.x).unwrap_or(0),
        usize::try_from(area.y).unwrap_or(0),
    );
    for (row, pixels) in from.data().chunks_exact(line).enumerate() {
        let at = ((y + row) * wide + x) * 4;
        to.data_mut()[at..at + line].copy_from_slice(pixels);
    }
}

fn label(cell: &Cell, sizes: Sizes, colours: Colours, width: i32) -> Block {
    let mut block = Block::default();
    let limit = width as f32;
    block.add(
        text::wrap(&cell.name, sizes.name(), limit, NAME_LINES),
        sizes.name(),
        colours.text,
    );
    if let Some(note) = &cell.note {
        block.skip(sizes.px(3.0));
        block.add(
            text::wrap(note, sizes.note(), limit, NOTE_LINES),
            sizes.note(),
            colours.quiet,
        );
    }
    block
}

fn heading(group: &Group, again: bool, sizes: Sizes, colours: Colours, width: i32) -> Block {
    let mut block = Block::default();
    let limit = width as f32;
    if let Some(name) = &group.name {
        let name = if again {
            format!("{name}, continued")
        } else {
            name.clone()
        };
        block.add(
            text::wrap(&name, sizes.heading(), limit, NAME_LINES),
            sizes.heading(),
            colours.text,
        );
    }
    if let (Some(note), false) = (&group.note, again) {
        block.skip(sizes.px(2.0));
        block.add(
            text::wrap(note, sizes.note(), limit, NOTE_LINES),
            sizes.note(),
            colours.quiet,
        );
    }
    block
}

fn set_footer(
    page: &mut Page,
    footer: &str,
    sizes: Sizes,
    colours: Colours,
    number: usize,
    count: usize,
) {
    let area = page.boxes.footer;
    let style = sizes.footer();
    let number = format!("{number} / {count}");
    let space = text::width(&number, style);
    page.fills.push(Fill {
        area: Area {
            h: sizes.hairline(),
            ..area
        },
        colour: colours.rule,
    });
    let mut left = Block::default();
    left.add(
        vec![text::shortened(
            footer,
            style,
            area.w as f32 - space - style.size * 2.0,
        )],
        style,
        colours.quiet,
    );
    let mut right = Block::default();
    right.add(vec![number], style, colours.quiet);
    let top = area.bottom() - style.leading();
    left.set(&mut page.words, area.x, None, top);
    right.set(&mut page.words, area.x, Some(area.right()), top);
}

/// The title band: who and what on the left; pages, facts and palette on the right.
struct Band {
    left: Block,
    facts: Block,
    palette: Option<(Block, Vec<Rgb>)>,
    side: i32,
}

impl Band {
    fn new(sheet: &Sheet, sizes: Sizes, colours: Colours, inner: i32) -> Self {
        let side = inner * 36 / 100;
        let limit = (inner * 60 / 100) as f32;
        let mut left = Block::default();
        left.add(
            text::wrap(&sheet.title, sizes.member(), limit, 2),
            sizes.member(),
            colours.text,
        );
        left.skip(sizes.px(6.0));
        left.add(
            text::wrap(&sheet.subtitle, sizes.list(), limit, 3),
            sizes.list(),
            colours.quiet,
        );
        let mut facts = Block::default();
        for fact in &sheet.facts {
            facts.add(
                text::wrap(fact, sizes.fact(), side as f32, 2),
                sizes.fact(),
                colours.quiet,
            );
        }
        let palette = sheet.palette.as_ref().map(|(name, chips)| {
            let mut block = Block::default();
            block.add(
                text::wrap(name, sizes.fact(), side as f32, 2),
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
        sizes.page().leading() + self.facts.height + palette
    }

    fn height(&self, sizes: Sizes) -> i32 {
        self.left.height.max(self.right_height(sizes)) + sizes.px(26.0) + sizes.hairline()
    }

    fn set(&self, page: &mut Page, sizes: Sizes, colours: Colours, number: usize, count: usize) {
        let area = page.boxes.title;
        let bottom = area.bottom() - sizes.hairline() - sizes.px(26.0);
        page.fills.push(Fill {
            area: Area {
                y: area.bottom() - sizes.hairline(),
                h: sizes.hairline(),
                ..area
            },
            colour: colours.rule,
        });
        // Both columns stand on the same line.
        self.left
            .set(&mut page.words, area.x, None, bottom - self.left.height);
        let mut y = bottom - self.right_height(sizes);
        let mut pages = Block::default();
        pages.add(
            vec![format!("page {number} of {count}")],
            sizes.page(),
            colours.text,
        );
        pages.set(&mut page.words, area.x, Some(area.right()), y);
        y += pages.height;
        self.facts
            .set(&mut page.words, area.x, Some(area.right()), y);
        y += self.facts.height;
        if let Some((block, chips)) = &self.palette {
            block.set(&mut page.words, area.x, Some(area.right()), y);
            y += block.height + sizes.px(8.0);
            let count = i32::try_from(chips.len()).unwrap_or(i32::MAX).max(1);
            let wide = sizes.chip().min(self.side / count).max(1);
            let mut x = area.right() - (wide.saturating_mul(count)).min(self.side);
            // Chips of the paper's own colour would be lost without a frame.
            let line = sizes.hairline();
            let frame = Area {
                x: x - line,
                y: y - line,
                w: area.right() - x + 2 * line,
                h: sizes.chip() + 2 * line,
            };
            if !chips.is_empty() {
                page.fills.push(Fill {
                    area: frame,
                    colour: colours.rule,
                });
            }
            for chip in chips {
                if x + wide > area.right() {
                    break;
                }
                page.fills.push(Fill {
                    area: Area {
                        x,
                        y,
                        w: wide,
                        h: sizes.chip(),
                    },
                    colour: *chip,
                });
                x += wide;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn sheet(cells: Vec<Cell>) -> Sheet {
        Sheet {
            title: "Able Hand".into(),
            subtitle: "actions".into(),
            facts: vec![format!("{} poses", cells.len())],
            palette: Some(("palette day".into(), vec![Rgb([1, 2, 3]); 9])),
            footer: "hand/actions".into(),
            ground: Some(480.0),
            figure: 400.0,
            strips: false,
            groups: vec![Group {
                window: [0.0, 0.0, 300.0, 500.0],
                cells,
                ..Group::default()
            }],
        }
    }

    fn cell(name: &str, note: Option<&str>) -> Cell {
        Cell {
            name: name.into(),
            note: note.map(str::to_owned),
            refusal: None,
        }
    }

    /// The box of a line of text, with the room its letters may take.
    fn words_box(words: &Words) -> Area {
        let top = words.baseline - words.style.baseline();
        let w = pixel(f64::from(text::width(&words.text, words.style).ceil()));
        Area {
            x: pixel(f64::from(words.x)),
            y: top,
            w,
            h: words.style.leading(),
        }
    }

    fn no_words_collide(design: &Design) -> Result<(), TestCaseError> {
        for page in &design.pages {
            let all = Area {
                x: 0,
                y: 0,
                w: page.boxes.width,
                h: page.boxes.height,
            };
            let boxes: Vec<(Area, &str)> = page
                .words
                .iter()
                .map(|w| (words_box(w), w.text.as_str()))
                .collect();
            for (at, (one, text)) in boxes.iter().enumerate() {
                prop_assert!(all.holds(*one), "{text:?} leaves the page");
                for (other, text2) in &boxes[at + 1..] {
                    prop_assert!(!one.meets(*other), "{text:?} meets {text2:?}");
                }
                for cell in &page.boxes.cells {
                    prop_assert!(!one.meets(cell.figure), "{text:?} meets a figure");
                }
            }
        }
        Ok(())
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]
        #[test]
        fn words_never_collide_or_leave_the_page(
            names in prop::collection::vec(("[a-z_]{1,60}", prop::option::of("[a-zA-Z ,;]{0,200}")), 1..30),
            title in "[A-Za-z ]{1,80}",
            subtitle in "[A-Za-z/_ ]{1,120}",
            width in 900_i32..5000,
            columns in prop::option::of(1_i32..8),
        ) {
            let mut sheet = sheet(names.iter().map(|(n, note)| cell(n, note.as_deref())).collect());
            sheet.title = title;
            sheet.subtitle = subtitle;
            let page = PageSize::UpTo { width, height: (width * 3 / 2).max(2400) };
            let look = Look { page, columns, ..Look::default() };
            let design = Design::new(&sheet, &look).unwrap();
            no_words_collide(&design)?;
        }
    }

    #[test]
    fn every_label_is_set_whole_when_it_fits() {
        let note = "weight on the back foot, the rope runs over the shoulder and down to the deck";
        let design = Design::new(
            &sheet(vec![cell("haul_the_long_rope", Some(note)); 7]),
            &Look::default(),
        )
        .unwrap();
        let words: String = design.pages[0]
            .words
            .iter()
            .map(|w| format!("{} ", w.text))
            .collect();
        assert!(!words.contains('…'), "{words}");
        let flat = words.replace("_ ", "_");
        assert_eq!(flat.matches("haul_the_long_rope").count(), 7, "{words}");
        assert_eq!(words.matches(note).count(), 7, "{words}");
    }

    #[test]
    fn a_low_page_gets_smaller_figures() {
        let tall = Design::new(&sheet(vec![cell("rest", None); 4]), &Look::default()).unwrap();
        let page = PageSize::Exactly {
            width: 2400,
            height: 700,
        };
        let low = Design::new(
            &sheet(vec![cell("rest", None); 4]),
            &Look {
                page,
                ..Look::default()
            },
        )
        .unwrap();
        assert!(low.scale() < tall.scale());
        let page = PageSize::Exactly {
            width: 2400,
            height: 300,
        };
        assert!(
            Design::new(
                &sheet(vec![cell("rest", None); 4]),
                &Look {
                    page,
                    ..Look::default()
                }
            )
            .is_err()
        );
    }

    #[test]
    fn figures_are_drawn_in_their_cells_and_nowhere_else() {
        let design = Design::new(
            &sheet(vec![cell("a", None), cell("b", None), cell("c", None)]),
            &Look::default(),
        )
        .unwrap();
        let red = tiny_skia::Color::from_rgba8(255, 0, 0, 255);
        let drawn = design.draw(0, &|_, index, _, pixels| {
            if index == 1 {
                return Err("no".into());
            }
            pixels.fill(red);
            Ok(())
        });
        let plain = design.draw(0, &|_, _, _, _| Ok(()));
        let boxes = design.boxes(0);
        for y in 0..boxes.height {
            for x in 0..boxes.width {
                let at = Area { x, y, w: 1, h: 1 };
                let held = boxes.cells.iter().position(|c| c.figure.holds(at));
                let pixel = drawn.pixel(x.unsigned_abs(), y.unsigned_abs()).unwrap();
                match held {
                    Some(0 | 2) => assert_eq!((pixel.red(), pixel.green()), (255, 0)),
                    Some(_) => assert_ne!((pixel.red(), pixel.green()), (255, 0)),
                    None => assert_eq!(
                        pixel,
                        plain.pixel(x.unsigned_abs(), y.unsigned_abs()).unwrap()
                    ),
                }
            }
        }
    }

    #[test]
    fn the_transform_puts_the_window_in_the_cell() {
        let design = Design::new(&sheet(vec![cell("a", None)]), &Look::default()).unwrap();
        let area = design.boxes(0).cells[0].figure;
        let seen = Mutex::new(None);
        design.draw(0, &|_, _, to_pixels, pixels| {
            *seen.lock().unwrap() = Some((to_pixels, pixels.width(), pixels.height()));
            Ok(())
        });
        let (to_pixels, w, h) = seen.into_inner().unwrap().unwrap();
        assert_eq!((w, h), (area.w.unsigned_abs(), area.h.unsigned_abs()));
        let (a, b) = (to_pixels.apply([0.0, 0.0]), to_pixels.apply([300.0, 500.0]));
        assert!(
            a[0] >= 0.0 && a[1] >= 0.0 && b[0] <= f64::from(w) && b[1] <= f64::from(h),
            "{a:?} {b:?}"
        );
        assert!((a[0] - (f64::from(w) - b[0])).abs() <= 1.0, "centred");
    }
}
