//! Rows onto pages.

use super::{Area, GroupGrid, PageSize, Spacing};

/// Sizes of one group.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GroupSizes {
    /// Height of its heading, 0 for none.
    pub heading: i32,
    /// Its cells.
    pub grid: GroupGrid,
    /// Heights of the labels, in order.
    pub labels: Vec<i32>,
}

/// What goes on the pages.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PagesRequest<'a> {
    /// The page.
    pub page: PageSize,
    /// Distances.
    pub spacing: Spacing,
    /// Width of the page.
    pub width: i32,
    /// Height of the title band.
    pub title: i32,
    /// Height of the footer.
    pub footer: i32,
    /// In order.
    pub groups: &'a [GroupSizes],
}

/// Where one cell is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CellBox {
    /// Its group.
    pub group: usize,
    /// Its place in the group.
    pub index: usize,
    /// Where its figure goes.
    pub figure: Area,
    /// Where its label goes.
    pub label: Area,
}

/// Where a group's heading is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct HeadingBox {
    /// The group.
    pub group: usize,
    /// True when the group began on an earlier page.
    pub continued: bool,
    /// Where.
    pub area: Area,
}

/// The boxes of one page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PageBoxes {
    /// Pixels.
    pub width: i32,
    /// Pixels.
    pub height: i32,
    /// Title band.
    pub title: Area,
    /// Footer.
    pub footer: Area,
    /// Headings.
    pub headings: Vec<HeadingBox>,
    /// Cells, in order.
    pub cells: Vec<CellBox>,
}

/// The page cannot hold even one row.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "the page is too small: one row of cells needs {needed} px of height, and there are {height} px"
)]
pub struct TooSmall {
    /// Height of the page, pixels.
    pub height: i32,
    /// Height that one row needs, pixels.
    pub needed: i32,
}

/// One row of cells of one group.
#[derive(Clone, Copy)]
struct Row {
    group: usize,
    first: usize,
    count: usize,
    height: i32,
    heading: i32,
    /// True for the first row of its group.
    opens: bool,
}

/// Puts everything on as few pages as it takes, filled evenly. Order is kept, a heading stays
/// with its first row and comes again where its group goes on.
///
/// # Errors
///
/// When one row is higher than a page.
pub fn lay_out(request: &PagesRequest<'_>) -> Result<Vec<PageBoxes>, TooSmall> {
    let rows = rows(request);
    let spacing = request.spacing;
    let around = 2 * spacing.margin + request.title + request.footer + 2 * spacing.band_gap;
    let room = request.page.height() - around;
    let needed = rows.iter().map(|r| alone(*r, spacing)).max().unwrap_or(0);
    if needed > room {
        return Err(TooSmall {
            height: request.page.height(),
            needed: needed + around,
        });
    }
    let pages = fill(&rows, room, spacing);
    // The least height that gives no more pages fills them evenly.
    let (mut low, mut high) = (needed, room);
    while low < high {
        let middle = low + (high - low) / 2;
        if fill(&rows, middle, spacing).len() <= pages.len() {
            high = middle;
        } else {
            low = middle + 1;
        }
    }
    let even = fill(&rows, low, spacing);
    let pages = if even.len() <= pages.len() {
        even
    } else {
        pages
    };
    let height = |page: &[Row]| match request.page {
        PageSize::UpTo { .. } => stacked(page, spacing) + around,
        PageSize::Exactly { height, .. } => height,
    };
    Ok(pages
        .iter()
        .map(|page| place(page, request, height(page)))
        .collect())
}

fn rows(request: &PagesRequest<'_>) -> Vec<Row> {
    let mut rows = Vec::new();
    for (group, sizes) in request.groups.iter().enumerate() {
        let columns = usize::try_from(sizes.grid.columns.max(1)).unwrap_or(1);
        for (at, labels) in sizes.labels.chunks(columns).enumerate() {
            let label = labels.iter().copied().max().unwrap_or(0);
            let label = if label > 0 {
                label + request.spacing.label_gap
            } else {
                0
            };
            rows.push(Row {
                group,
                first: at * columns,
                count: labels.len(),
                height: sizes.grid.figure_height + label,
                heading: sizes.heading,
                opens: at == 0,
            });
        }
    }
    rows
}

const fn with_heading(row: Row, spacing: Spacing) -> i32 {
    if row.heading > 0 {
        row.heading + spacing.heading_gap
    } else {
        0
    }
}

/// Height of a row at the top of a page.
const fn alone(row: Row, spacing: Spacing) -> i32 {
    row.height + with_heading(row, spacing)
}

/// Height that a row adds below another.
const fn below(row: Row, spacing: Spacing) -> i32 {
    if row.opens {
        spacing.group_gap + with_heading(row, spacing) + row.height
    } else {
        spacing.row_gap + row.height
    }
}

fn stacked(rows: &[Row], spacing: Spacing) -> i32 {
    let mut height = 0;
    for (at, row) in rows.iter().enumerate() {
        height += if at == 0 {
            alone(*row, spacing)
        } else {
            below(*row, spacing)
        };
    }
    height
}

/// Fills pages in order. A group that does not fit on what is left of a page, but fits on one of
/// its own, is not begun there unless that would leave three fifths of the page empty.
fn fill(rows: &[Row], room: i32, spacing: Spacing) -> Vec<Vec<Row>> {
    let mut pages: Vec<Vec<Row>> = Vec::new();
    let mut height = 0;
    for (at, &row) in rows.iter().enumerate() {
        let more = below(row, spacing);
        let whole = if row.opens {
            let end = rows[at..]
                .iter()
                .position(|r| r.group != row.group)
                .unwrap_or(rows.len() - at);
            stacked(&rows[at..at + end], spacing)
        } else {
            0
        };
        let splits =
            whole <= room && height + spacing.group_gap + whole > room && height * 5 > room * 2;
        match pages.last_mut() {
            Some(page) if height + more <= room && !(row.opens && splits) => {
                page.push(row);
                height += more;
            }
            _ => {
                pages.push(vec![row]);
                height = alone(row, spacing);
            }
        }
    }
    pages
}

fn place(rows: &[Row], request: &PagesRequest<'_>, height: i32) -> PageBoxes {
    let PagesRequest { spacing, width, .. } = *request;
    let inner = (width - 2 * spacing.margin).max(1);
    let title = Area {
        x: spacing.margin,
        y: spacing.margin,
        w: inner,
        h: request.title,
    };
    let footer = Area {
        x: spacing.margin,
        y: height - spacing.margin - request.footer,
        w: inner,
        h: request.footer,
    };
    let mut page = PageBoxes {
        width,
        height,
        title,
        footer,
        headings: Vec::new(),
        cells: Vec::new(),
    };
    let mut y = title.bottom() + spacing.band_gap;
    for (at, row) in rows.iter().enumerate() {
        if at > 0 {
            y += if row.opens {
                spacing.group_gap
            } else {
                spacing.row_gap
            };
        }
        if row.heading > 0 && (row.opens || at == 0) {
            let area = Area {
                x: spacing.margin,
                y,
                w: inner,
                h: row.heading,
            };
            page.headings.push(HeadingBox {
                group: row.group,
                continued: !row.opens,
                area,
            });
            y += row.heading + spacing.heading_gap;
        }
        let mut x = spacing.margin;
        let grid = request.groups[row.group].grid;
        for index in row.first..row.first + row.count {
            let figure = Area {
                x,
                y,
                w: grid.cell_width,
                h: grid.figure_height,
            };
            let label_height = request.groups[row.group].labels[index];
            let label = Area {
                x,
                y: figure.bottom() + spacing.label_gap,
                w: grid.cell_width,
                h: label_height,
            };
            page.cells.push(CellBox {
                group: row.group,
                index,
                figure,
                label,
            });
            x += grid.cell_width + spacing.gap;
        }
        y += row.height;
    }
    page
}
