//! The size of cells: what was asked for, or what fills pages best.

use super::super::block::Block;
use super::super::form::Form;
use super::super::layout::{
    self, Grid, GridRequest, GroupRequest, GroupSizes, PageBoxes, PageSize, PagesRequest, Spacing,
    TooSmall,
};
use super::super::page::Document;
use super::super::theme::{Colours, Sizes};
use super::set::{CUT, Lines, Setting, WHOLE, heading, label};
use super::{Look, Sheet};

/// Sizes that are laid out in full, of those that look best by the size of their labels alone.
const TRIED: usize = 5;

/// Lays a sheet out.
///
/// # Errors
///
/// When a page cannot hold even one row of small figures.
pub fn lay_out(sheet: &Sheet, look: &Look) -> Result<Document, TooSmall> {
    let fitting = Fitting::new(sheet, look);
    let fixed = matches!(look.page, PageSize::Exactly { .. });
    let filled = fixed && look.cell.is_none();
    for lines in [WHOLE, CUT] {
        if filled && let Some(document) = fitting.filled(lines) {
            return Ok(document);
        }
        if let Ok(document) = fitting.shrunk(lines) {
            return Ok(document);
        }
    }
    fitting.shrunk(CUT)
}

/// A sheet and all that does not change with the size of its cells.
struct Fitting<'a> {
    sheet: &'a Sheet,
    look: &'a Look,
    sizes: Sizes,
    colours: Colours,
    spacing: Spacing,
    wanted: Vec<GroupRequest>,
    /// Height of the middle one of the windows to aim for, pixels.
    target: i32,
}

/// Cells of one size, measured.
struct Measured {
    grid: Grid,
    form: Form,
    labels: Vec<Vec<Block>>,
    headings: Vec<[Block; 2]>,
}

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

impl<'a> Fitting<'a> {
    fn new(sheet: &'a Sheet, look: &'a Look) -> Self {
        let sizes = look.sizes();
        let mut spacing = sizes.spacing();
        spacing.beside = sheet.groups.len() > 1;
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
        let figure = sheet.figure * tallness(layout::middle(&wanted));
        Self {
            sheet,
            look,
            sizes,
            colours: look.paper.colours(),
            spacing,
            target: look.cell.unwrap_or_else(|| sizes.px(figure)),
            wanted,
        }
    }

    fn request(&self, highest: Option<i32>) -> GridRequest<'_> {
        GridRequest {
            page: self.look.page,
            spacing: self.spacing,
            target: self.target,
            fixed: self.look.cell.is_some(),
            columns: self.look.columns,
            highest,
            groups: &self.wanted,
        }
    }

    /// The size that fills pages of a given size best, or nothing that fits.
    fn filled(&self, lines: Lines) -> Option<Document> {
        let request = self.request(None);
        let aim = f64::from(self.target) / layout::middle(&self.wanted)[1];
        let mut base = aim;
        let grid = loop {
            if let Some(grid) = layout::grid_at(&request, base) {
                break grid;
            }
            base *= 0.9;
            if base < aim * 0.1 {
                return None;
            }
        };
        let near = self.measured(grid, lines);
        let sizes = near.sizes();
        let [width, height] = self.page();
        let room = near.form.inner([width, height]).h;
        let label = nominal(&sizes, self.spacing);
        let pages = |grid: &Grid| {
            let sizes: Vec<GroupSizes> = sizes
                .iter()
                .zip(&grid.groups)
                .map(|(sizes, grid)| GroupSizes {
                    grid: *grid,
                    ..sizes.clone()
                })
                .collect();
            self.boxes(&near.form, width, &sizes).ok()
        };
        // How much of the pages figures cover; less for sizes far from the one to aim for, and where
        // there is a page to turn. Strips are read as rows, however small.
        let usual = if self.sheet.strips { aim * 0.6 } else { aim };
        let broken = |grid: &Grid| {
            if !self.sheet.strips || self.look.columns.is_some() {
                return 0.0;
            }
            let groups = self.wanted.iter().zip(&grid.groups);
            let broken = groups.filter(|(wanted, grid)| {
                wanted.likes.is_none()
                    && usize::try_from(grid.columns).is_ok_and(|n| n < wanted.cells)
            });
            broken.count() as f64 / self.wanted.len().max(1) as f64
        };
        let worth = |grid: &Grid, pages: &[PageBoxes]| {
            let bent = libm::log(grid.scale / usual);
            let more = if pages.len() > 1 { 0.3 } else { 0.0 } + 0.8 * broken(grid);
            let covered = 2.0 * libm::log(grid.scale) - 1.25 * libm::log(pages.len() as f64);
            covered - 1.2 * bent * bent - more - 0.6 * empty(pages, room)
        };
        let mut likely: Vec<(f64, f64)> = layout::scales(&request, room, label)
            .into_iter()
            .filter_map(|scale| {
                let grid = layout::grid_at(&request, scale)?;
                Some((worth(&grid, &pages(&grid)?), scale))
            })
            .collect();
        likely.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut best: Option<(f64, Measured, Vec<PageBoxes>)> = None;
        for (at, (_, scale)) in likely.into_iter().enumerate() {
            if at >= TRIED && best.is_some() {
                break;
            }
            let Some(grid) = layout::grid_at(&request, scale) else {
                continue;
            };
            let measured = self.measured(grid, lines);
            let Ok(boxes) = self.boxes(&measured.form, width, &measured.sizes()) else {
                continue;
            };
            let worth = worth(&measured.grid, &boxes);
            if best.as_ref().is_none_or(|(most, ..)| worth > *most + 1e-9) {
                best = Some((worth, measured, boxes));
            }
        }
        best.map(|(_, measured, boxes)| self.set(&measured, &boxes))
    }

    /// With figures as high as the page allows.
    fn shrunk(&self, lines: Lines) -> Result<Document, TooSmall> {
        let mut highest = None;
        loop {
            let grid = layout::choose_grid(&self.request(highest));
            let figure = grid.highest() - 2 * self.spacing.pad;
            let width = grid.page_width;
            let measured = self.measured(grid, lines);
            let error = match self.boxes(&measured.form, width, &measured.sizes()) {
                Ok(boxes) => return Ok(self.set(&measured, &boxes)),
                Err(error) => error,
            };
            // Smaller figures may fit; below this they would show nothing.
            let less = figure - (error.needed - error.height);
            if less < self.sizes.px(60.0) || less >= figure {
                return Err(error);
            }
            highest = Some(less);
        }
    }

    const fn page(&self) -> [i32; 2] {
        match self.look.page {
            PageSize::Exactly { width, height } | PageSize::UpTo { width, height } => {
                [width, height]
            }
        }
    }

    fn measured(&self, grid: Grid, lines: Lines) -> Measured {
        let inner = grid.page_width - 2 * self.spacing.margin;
        let (sizes, colours) = (self.sizes, self.colours);
        let groups = || self.sheet.groups.iter().zip(&grid.groups);
        let labels = groups()
            .map(|(group, grid)| {
                let label = |cell| {
                    label(
                        cell,
                        sizes,
                        colours,
                        grid.cell_width - sizes.px(10.0),
                        lines,
                    )
                };
                group.cells.iter().map(label).collect()
            })
            .collect();
        let headings = groups()
            .map(|(group, grid)| {
                // A group that others stand beside keeps to its own width.
                let cells = group.cells.len();
                let lone = usize::try_from(grid.columns).is_ok_and(|columns| cells <= columns);
                let width = if self.spacing.beside && lone {
                    grid.width(cells, self.spacing)
                } else {
                    inner
                };
                [false, true].map(|again| heading(group, again, sizes, colours, width, lines))
            })
            .collect();
        Measured {
            form: Form::new(&self.sheet.heading, self.look, grid.page_width),
            labels,
            headings,
            grid,
        }
    }

    fn boxes(
        &self,
        form: &Form,
        width: i32,
        groups: &[GroupSizes],
    ) -> Result<Vec<PageBoxes>, TooSmall> {
        layout::lay_out(&PagesRequest {
            page: self.look.page,
            spacing: self.spacing,
            width,
            title: form.band(),
            footer: form.block(),
            groups,
        })
    }

    fn set(&self, measured: &Measured, boxes: &[PageBoxes]) -> Document {
        let set = Setting {
            sheet: self.sheet,
            sizes: self.sizes,
            colours: self.colours,
            form: &measured.form,
            grid: &measured.grid,
            labels: &measured.labels,
            headings: &measured.headings,
        };
        let count = boxes.len();
        let pages = boxes.iter().enumerate();
        Document {
            name: self.sheet.heading.sheet.clone(),
            pages: pages
                .map(|(at, boxes)| set.page(boxes, at + 1, count))
                .collect(),
        }
    }
}

impl Measured {
    fn sizes(&self) -> Vec<GroupSizes> {
        let grids = self.grid.groups.iter();
        grids
            .zip(&self.labels)
            .zip(&self.headings)
            .map(|((grid, labels), headings)| GroupSizes {
                heading: headings[0].height.max(headings[1].height),
                grid: *grid,
                labels: labels.iter().map(|b| b.height).collect(),
            })
            .collect()
    }
}

/// How much of the height of pages is left below what they hold, but for the last of several.
fn empty(pages: &[PageBoxes], room: i32) -> f64 {
    let full = &pages[..pages.len().saturating_sub(1).max(1).min(pages.len())];
    let left = full.iter().map(|page| {
        let top = page
            .cells
            .iter()
            .map(|cell| cell.figure.y)
            .min()
            .unwrap_or(0);
        let end = |cell: &layout::CellBox| cell.figure.bottom().max(cell.label.bottom());
        let used = page.cells.iter().map(end).max().unwrap_or(top) - top;
        (1.0 - f64::from(used) / f64::from(room.max(1))).clamp(0.0, 1.0)
    });
    left.sum::<f64>() / full.len().max(1) as f64
}

/// What a row usually needs beside its figures, pixels.
fn nominal(groups: &[GroupSizes], spacing: Spacing) -> i32 {
    let mut labels: Vec<i32> = groups
        .iter()
        .flat_map(|g| g.labels.iter().copied())
        .collect();
    labels.sort_unstable();
    let label = labels.get(labels.len() * 3 / 4).copied().unwrap_or(0);
    let heading = groups.iter().map(|g| g.heading).max().unwrap_or(0);
    let headed = if heading > 0 && groups.len() > 1 {
        heading + spacing.heading_gap + spacing.group_gap - spacing.row_gap
    } else {
        0
    };
    label + spacing.label_gap + headed
}
