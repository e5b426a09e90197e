//! Sheets of labelled cells: poses, sweeps, replacements.

use super::form::{Block, Form, Heading, Imprint};
use super::layout::{
    self, Area, CellBox, Grid, GridRequest, GroupRequest, GroupSizes, PageBoxes, PageSize,
    PagesRequest, TooSmall,
};
use super::page::{self, Bookmark, Document, Item, Page, Placement, Tint};
use super::text;
use super::theme::{Colours, Sizes};
use crate::art::Rgb;
use crate::cast::Paper;
use crate::geom::Affine;

/// What a sheet of cells shows.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// What it says of itself.
    pub heading: Heading,
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

/// A figure, or several over each other, and a label.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Cell {
    /// Bold.
    pub name: String,
    /// Small, under the name.
    pub note: Option<String>,
    /// Back to front.
    pub figures: Vec<Shown>,
    /// Why there is no figure.
    pub refusal: Option<String>,
    /// What is wrong with what it shows: framed, and said under the name.
    pub fault: Option<String>,
    /// What its tints stand for, under the name.
    pub key: Vec<(Rgb, String)>,
}

/// A figure of a cell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shown {
    /// The place of its pose in the list of jobs.
    pub figure: usize,
    /// Colours in place of its own.
    pub tint: Option<Tint>,
    /// 0 to 1.
    pub opacity: f32,
}

impl Shown {
    /// A figure in its own colours.
    #[must_use]
    pub const fn plain(figure: usize) -> Self {
        Self {
            figure,
            tint: None,
            opacity: 1.0,
        }
    }
}

/// How a sheet looks.
#[derive(Clone, Debug, PartialEq)]
pub struct Look {
    /// Size of the pages.
    pub page: PageSize,
    /// Exact size on paper of pages of one size, 1/72 inch.
    pub points: Option<[f64; 2]>,
    /// Pixels to the inch.
    pub dpi: f64,
    /// Around the page's content, pixels; else what suits.
    pub margin: Option<i32>,
    /// Cells of a row, else as many as suit.
    pub columns: Option<i32>,
    /// Height of the figures, pixels, else what suits.
    pub cell: Option<i32>,
    /// Colours.
    pub paper: Paper,
    /// For the title block.
    pub imprint: Imprint,
}

impl Default for Look {
    fn default() -> Self {
        Self {
            page: PageSize::UpTo {
                width: 2400,
                height: 3200,
            },
            points: None,
            dpi: 200.0,
            margin: None,
            columns: None,
            cell: None,
            paper: Paper::Light,
            imprint: Imprint::default(),
        }
    }
}

impl Look {
    /// Sizes of letters and distances.
    #[must_use]
    pub fn sizes(&self) -> Sizes {
        Sizes::for_page(self.page, self.margin)
    }
}

/// How many lines labels may take; more end in an ellipsis.
#[derive(Clone, Copy)]
struct Lines {
    name: usize,
    note: usize,
}

/// Nothing is cut.
const WHOLE: Lines = Lines {
    name: usize::MAX,
    note: usize::MAX,
};
/// Where whole labels leave no page any room for figures.
const CUT: Lines = Lines { name: 4, note: 9 };

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

/// Lays a sheet out.
///
/// # Errors
///
/// When a page cannot hold even one row of small figures.
pub fn lay_out(sheet: &Sheet, look: &Look) -> Result<Document, TooSmall> {
    let fixed = matches!(look.page, PageSize::Exactly { .. });
    if !fixed || look.cell.is_some() || look.columns.is_some() {
        return whole_or_cut(sheet, look, 1.0);
    }
    // A page of a given size is left half empty where rows only just miss it: sizes near the one
    // to aim for are tried, and the one that fills pages best is taken.
    let cells: usize = sheet.groups.iter().map(|g| g.cells.len()).sum();
    let mut best: Option<(f64, Document)> = None;
    let mut failed = None;
    let smaller: &[f32] = if sheet.strips {
        &[0.6, 0.54, 0.48]
    } else {
        &[]
    };
    let near = [1.0, 0.93, 1.07, 0.86, 1.15, 0.79, 1.24, 0.73, 1.34, 0.67];
    for &factor in near.iter().chain(smaller) {
        let document = match whole_or_cut(sheet, look, factor) {
            Ok(document) => document,
            Err(error) => {
                failed = Some(error);
                continue;
            }
        };
        let scale = document.pages.iter().flat_map(Page::figures).next();
        let scale = scale.map_or(1.0, |figure| figure.to_page.a);
        let filled = libm::log(scale * scale * cells as f64 / document.pages.len() as f64);
        let worth = filled - 0.3 * libm::log(f64::from(factor)).abs();
        if best.as_ref().is_none_or(|(most, _)| worth > *most + 1e-9) {
            best = Some((worth, document));
        }
    }
    match (best, failed) {
        (Some((_, document)), _) => Ok(document),
        (None, Some(error)) => Err(error),
        (None, None) => whole_or_cut(sheet, look, 1.0),
    }
}

fn whole_or_cut(sheet: &Sheet, look: &Look, factor: f32) -> Result<Document, TooSmall> {
    shrinking(sheet, look, WHOLE, factor).or_else(|_| shrinking(sheet, look, CUT, factor))
}

/// With figures as high as the page allows.
fn shrinking(sheet: &Sheet, look: &Look, lines: Lines, factor: f32) -> Result<Document, TooSmall> {
    let sizes = look.sizes();
    let mut highest = None;
    loop {
        match with(sheet, look, highest, lines, factor) {
            Ok(document) => return Ok(document),
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
    highest: Option<i32>,
    lines: Lines,
    factor: f32,
) -> Result<Document, (TooSmall, i32)> {
    let sizes = look.sizes();
    let colours = look.paper.colours();
    let mut spacing = sizes.spacing();
    if sheet.strips {
        spacing.gap = sizes.px(8.0);
        spacing.row_gap = sizes.px(26.0);
        spacing.label_gap = sizes.px(8.0);
        spacing.narrowest_cell = sizes.px(120.0);
        // All pages of strips are as wide, whatever they hold.
        if let PageSize::UpTo { width, .. } = look.page {
            spacing.narrowest_page = width;
        }
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
            .unwrap_or_else(|| sizes.px(sheet.figure * factor * tallness(middle))),
        fixed: look.cell.is_some(),
        columns: look.columns,
        highest,
        groups: &wanted,
    });
    let inner = grid.page_width - 2 * spacing.margin;
    let form = Form::new(&sheet.heading, look, grid.page_width);
    let labels: Vec<Vec<Block>> = sheet
        .groups
        .iter()
        .zip(&grid.groups)
        .map(|(g, grid)| {
            let label = |c| label(c, sizes, colours, grid.cell_width, lines);
            g.cells.iter().map(label).collect()
        })
        .collect();
    let headings: Vec<[Block; 2]> = sheet
        .groups
        .iter()
        .map(|g| [false, true].map(|again| heading(g, again, sizes, colours, inner, lines)))
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
        title: form.band(),
        footer: form.block(),
        groups: &groups,
    })
    .map_err(|error| (error, grid.highest() - 2 * spacing.pad))?;
    let set = Setting {
        sheet,
        sizes,
        colours,
        form: &form,
        grid: &grid,
        labels: &labels,
        headings: &headings,
    };
    let count = boxes.len();
    Ok(Document {
        name: sheet.heading.sheet.clone(),
        pages: boxes
            .iter()
            .enumerate()
            .map(|(at, boxes)| set.page(boxes, at + 1, count))
            .collect(),
    })
}

/// Everything measured, for putting on pages.
struct Setting<'a> {
    sheet: &'a Sheet,
    sizes: Sizes,
    colours: Colours,
    form: &'a Form,
    grid: &'a Grid,
    labels: &'a [Vec<Block>],
    headings: &'a [[Block; 2]],
}

impl Setting<'_> {
    fn page(&self, boxes: &PageBoxes, number: usize, count: usize) -> Page {
        let mut page = self.form.blank([boxes.width, boxes.height]);
        self.form.set(&mut page, number, count);
        for heading in &boxes.headings {
            let block = &self.headings[heading.group][usize::from(heading.continued)];
            block.set(&mut page, heading.area.x, None, heading.area.y);
            let name = self.sheet.groups[heading.group].name.clone();
            if let (Some(name), false) = (name, heading.continued) {
                page.bookmarks.push(Bookmark {
                    name,
                    y: heading.area.y,
                });
            }
        }
        for cell in &boxes.cells {
            self.panel(&mut page, cell);
        }
        for cell in &boxes.cells {
            self.figures(&mut page, cell);
        }
        for cell in &boxes.cells {
            let content = &self.sheet.groups[cell.group].cells[cell.index];
            if let Some(why) = &content.refusal {
                let words = page::refusal(why, cell.figure, page.alarm);
                page.items.extend(words.into_iter().map(Item::Words));
            }
            let label = &self.labels[cell.group][cell.index];
            label.set(&mut page, cell.label.x, None, cell.label.y);
        }
        page
    }

    fn to_page(&self, cell: &CellBox) -> Affine {
        let area = cell.figure;
        let scale = self.grid.scale;
        let [left, top, right, _] = self.sheet.groups[cell.group].window;
        // The same whole-pixel place in every cell, so that figures compare.
        let x = f64::from(area.w) * 0.5 - (right - left) * scale * 0.5;
        let pad = self.sizes.spacing().pad;
        Affine {
            a: scale,
            b: 0.0,
            c: 0.0,
            d: scale,
            e: f64::from(area.x) + libm::round(x) - left * scale,
            f: f64::from(area.y + pad) - top * scale,
        }
    }

    fn panel(&self, page: &mut Page, cell: &CellBox) {
        let area = cell.figure;
        let mut inside = area;
        if self.sheet.groups[cell.group].cells[cell.index]
            .fault
            .is_some()
        {
            page.fill(area, self.colours.alarm);
            let line = self.sizes.px(5.0);
            inside = Area {
                x: area.x + line,
                y: area.y + line,
                w: (area.w - 2 * line).max(1),
                h: (area.h - 2 * line).max(1),
            };
        }
        page.fill(inside, self.colours.panel);
        if let Some(ground) = self.sheet.ground {
            let y = libm::round(self.to_page(cell).apply([0.0, ground])[1]);
            let line = Area {
                y: layout::whole(y),
                h: self.sizes.hairline(),
                ..inside
            };
            if inside.holds(line) {
                page.fill(line, self.colours.ground);
            }
        }
    }

    fn figures(&self, page: &mut Page, cell: &CellBox) {
        let content = &self.sheet.groups[cell.group].cells[cell.index];
        if content.refusal.is_some() {
            return;
        }
        for shown in &content.figures {
            page.items.push(Item::Figure(Placement {
                figure: shown.figure,
                area: cell.figure,
                to_page: self.to_page(cell),
                tint: shown.tint,
                opacity: shown.opacity,
            }));
        }
    }
}

fn label(cell: &Cell, sizes: Sizes, colours: Colours, width: i32, lines: Lines) -> Block {
    let mut block = Block::default();
    let limit = width as f32;
    block.add(
        text::wrap(&cell.name, sizes.name(), limit, lines.name),
        sizes.name(),
        colours.text,
    );
    let notes = [(&cell.fault, colours.alarm), (&cell.note, colours.quiet)];
    for (note, colour) in notes {
        if let Some(note) = note {
            block.skip(sizes.px(3.0));
            let wrapped = text::wrap(note, sizes.note(), limit, lines.note);
            block.add(wrapped, sizes.note(), colour);
        }
    }
    if !cell.key.is_empty() {
        block.skip(sizes.px(4.0));
        block.add_key(&cell.key, sizes.note(), colours.quiet, limit);
    }
    block
}

fn heading(
    group: &Group,
    again: bool,
    sizes: Sizes,
    colours: Colours,
    width: i32,
    lines: Lines,
) -> Block {
    let mut block = Block::default();
    let limit = width as f32;
    if let Some(name) = &group.name {
        let name = if again {
            format!("{name}, continued")
        } else {
            name.clone()
        };
        block.add(
            text::wrap(&name, sizes.heading(), limit, lines.name),
            sizes.heading(),
            colours.text,
        );
    }
    if let (Some(note), false) = (&group.note, again) {
        block.skip(sizes.px(2.0));
        let wrapped = text::wrap(note, sizes.note(), limit, lines.note);
        block.add(wrapped, sizes.note(), colours.quiet);
    }
    block
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn sheet(cells: Vec<Cell>) -> Sheet {
        Sheet {
            heading: Heading {
                title: "Able Hand".into(),
                subtitle: "actions".into(),
                facts: vec![format!("{} poses", cells.len())],
                palette: Some(("palette day".into(), vec![Rgb([1, 2, 3]); 9])),
                sheet: "hand/actions".into(),
            },
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
            ..Cell::default()
        }
    }

    fn numbered(mut cells: Vec<Cell>) -> Vec<Cell> {
        for (at, cell) in cells.iter_mut().enumerate() {
            cell.figures = vec![Shown::plain(at)];
        }
        cells
    }

    /// Letters, right-to-left and joined scripts, full-width characters, and what no font has.
    fn names() -> impl Strategy<Value = String> {
        prop_oneof![
            "[a-z_]{1,60}",
            "[A-Za-z ,;-]{1,80}",
            "[א-ת ]{1,30}",
            "[ء-ي ]{1,30}",
            "[一-龥ぁ-ん가-힣]{1,30}",
            "\\PC{1,30}",
        ]
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]
        #[test]
        fn nothing_collides_leaves_the_page_or_is_lost(
            names in prop::collection::vec((names(), prop::option::of(names())), 1..30),
            split in 0_usize..30,
            title in names(),
            subtitle in names(),
            production in names(),
            width in 900_i32..5000,
            fixed in any::<bool>(),
            columns in prop::option::of(1_i32..8),
        ) {
            let cells = numbered(names.iter().map(|(n, note)| cell(n, note.as_deref())).collect());
            let count = cells.len();
            let mut sheet = sheet(cells);
            let later = sheet.groups[0].cells.split_off(split.min(count));
            sheet.groups[0].name = Some(subtitle.clone());
            if !later.is_empty() {
                let name = Some(title.clone());
                let window = [0.0, 0.0, 500.0, 300.0];
                sheet.groups.push(Group { cells: later, name, window, ..Group::default() });
            }
            sheet.groups.retain(|g| !g.cells.is_empty());
            sheet.heading.title = title;
            sheet.heading.subtitle = subtitle;
            let height = (width * 3 / 2).max(2400);
            let page = if fixed {
                PageSize::Exactly { width, height }
            } else {
                PageSize::UpTo { width, height }
            };
            let imprint = Imprint { production, revision: "4".into(), date: "2031-05-02".into() };
            let look = Look { page, columns, imprint, ..Look::default() };
            let document = lay_out(&sheet, &look).unwrap();
            let mut seen = Vec::new();
            for page in &document.pages {
                let words: Vec<(Area, &str)> =
                    page.words().map(|w| (w.bounds(), w.text.as_str())).collect();
                for (at, (one, text)) in words.iter().enumerate() {
                    prop_assert!(page.area().holds(*one), "{text:?} leaves the page");
                    for (other, text2) in &words[at + 1..] {
                        prop_assert!(!one.meets(*other), "{text:?} meets {text2:?}");
                    }
                    for figure in page.figures() {
                        prop_assert!(!one.meets(figure.area), "{text:?} meets a figure");
                    }
                }
                for figure in page.figures() {
                    prop_assert!(page.area().holds(figure.area));
                    prop_assert_eq!(figure.to_page.a, document.pages[0].figures().next().unwrap().to_page.a);
                    seen.push(figure.figure);
                }
            }
            prop_assert_eq!(seen, (0..count).collect::<Vec<_>>());
        }
    }

    fn all_words(document: &Document) -> String {
        document
            .pages
            .iter()
            .flat_map(Page::words)
            .map(|w| format!("{} ", w.text))
            .collect()
    }

    #[test]
    fn no_label_is_cut() {
        let note = "weight on the back foot, the rope runs over the shoulder and down to the deck";
        let long = note.repeat(6);
        let mut cells = vec![cell("haul_the_long_rope", Some(note)); 7];
        cells.push(cell(&"belay_".repeat(30), Some(&long)));
        let words = all_words(&lay_out(&sheet(cells), &Look::default()).unwrap());
        assert!(!words.contains('…'), "{words}");
        let flat = words.replace("_ ", "_");
        assert_eq!(flat.matches("haul_the_long_rope").count(), 7, "{words}");
        assert_eq!(flat.matches("belay_").count(), 30, "{words}");
        assert_eq!(
            words.matches("weight on the back foot").count(),
            13,
            "{words}"
        );
    }

    #[test]
    fn pages_say_which_of_how_many_they_are() {
        let document = lay_out(&sheet(vec![cell("rest", None); 90]), &Look::default()).unwrap();
        let count = document.pages.len();
        assert!(count > 1);
        for (at, page) in document.pages.iter().enumerate() {
            let said = format!("{} of {count}", at + 1);
            assert!(page.words().any(|w| w.text == said));
        }
    }

    #[test]
    fn a_low_page_gets_smaller_figures() {
        let cells = || numbered(vec![cell("rest", None); 4]);
        let exactly = |height| Look {
            page: PageSize::Exactly {
                width: 2400,
                height,
            },
            ..Look::default()
        };
        let scale = |look: &Look| {
            lay_out(&sheet(cells()), look).map(|d| d.pages[0].figures().next().unwrap().to_page.a)
        };
        assert!(scale(&exactly(700)).unwrap() < scale(&exactly(1600)).unwrap());
        assert!(scale(&exactly(240)).is_err());
    }

    #[test]
    fn the_window_is_in_the_middle_of_its_cell() {
        let document = lay_out(&sheet(numbered(vec![cell("a", None)])), &Look::default()).unwrap();
        let placement = document.pages[0].figures().next().unwrap();
        let area = placement.area;
        let to_page = placement.to_page;
        let (a, b) = (to_page.apply([0.0, 0.0]), to_page.apply([300.0, 500.0]));
        let [left, top, right, bottom] =
            [area.x, area.y, area.right(), area.bottom()].map(f64::from);
        assert!(
            a[0] >= left && a[1] >= top && b[0] <= right && b[1] <= bottom,
            "{a:?} {b:?}"
        );
        assert!(((a[0] - left) - (right - b[0])).abs() <= 1.0, "centred");
    }

    #[test]
    fn cells_with_a_fault_are_framed_and_say_so() {
        let mut faulty = cell("−20°", None);
        faulty.fault = Some("beyond the limit of −10°".into());
        let look = Look::default();
        let document = lay_out(&sheet(numbered(vec![faulty, cell("0°", None)])), &look).unwrap();
        let page = &document.pages[0];
        let alarm = look.paper.colours().alarm;
        let framed: Vec<Area> = page
            .items
            .iter()
            .filter_map(|item| match item {
                Item::Fill(fill) if fill.colour == alarm => Some(fill.area),
                _ => None,
            })
            .collect();
        let figures: Vec<Area> = page.figures().map(|f| f.area).collect();
        assert_eq!(framed, figures[..1]);
        assert!(all_words(&document).contains("beyond the limit"));
    }
}
