//! Rows on pages.

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

impl GroupSizes {
    /// Width of a full row.
    #[must_use]
    pub fn width(&self, spacing: Spacing) -> i32 {
        self.grid.width(self.labels.len(), spacing)
    }
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

/// One row of cells, of one group or of several that stand beside each other.
#[derive(Clone)]
struct Row {
    spans: Vec<Span>,
    height: i32,
    heading: i32,
    /// True for the first row of its group.
    opens: bool,
}

/// The cells of one group in a row.
#[derive(Clone, Copy)]
struct Span {
    group: usize,
    first: usize,
    count: usize,
    /// From the left of the row.
    x: i32,
    /// Width that its heading may take.
    w: i32,
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
    let needed = rows.iter().map(|r| alone(r, spacing)).max().unwrap_or(0);
    if needed > room {
        return Err(TooSmall {
            height: request.page.height(),
            needed: needed + around,
        });
    }
    let pages = fill(&rows, room, spacing);
    // Pages of a given size are filled one after the other; of those that follow their content, the
    // least height that gives no more pages fills them evenly.
    let (mut low, mut high) = (needed, room);
    if let PageSize::Exactly { .. } = request.page {
        low = high;
    }
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
    // What a page of a given size has left goes between its rows, on all pages alike.
    let mut stretched = *request;
    if let PageSize::Exactly { .. } = request.page {
        let left = |page: &Vec<Row>| {
            let gaps = i32::try_from(page.len().saturating_sub(1)).unwrap_or(0);
            (gaps > 0).then(|| (room - stacked(page, spacing)) / gaps)
        };
        let more = pages.iter().filter_map(left).min().unwrap_or(0);
        let more = more.clamp(0, spacing.row_gap * 3 / 4);
        stretched.spacing.row_gap += more;
        stretched.spacing.group_gap += more;
    }
    Ok(pages
        .iter()
        .map(|page| place(page, &stretched, height(page)))
        .collect())
}

fn rows(request: &PagesRequest<'_>) -> Vec<Row> {
    let spacing = request.spacing;
    let inner = (request.width - 2 * spacing.margin).max(1);
    let mut rows: Vec<Row> = Vec::new();
    // What the last row leaves free for groups beside its own; 0 where it takes none.
    let mut free = 0;
    for (group, sizes) in request.groups.iter().enumerate() {
        let columns = usize::try_from(sizes.grid.columns.max(1)).unwrap_or(1);
        let wide = sizes.width(spacing);
        let lone = spacing.beside && sizes.labels.len() <= columns;
        for (at, labels) in sizes.labels.chunks(columns).enumerate() {
            let label = labels.iter().copied().max().unwrap_or(0);
            let label = if label > 0 {
                label + spacing.label_gap
            } else {
                0
            };
            let height = sizes.grid.figure_height + label;
            let mut span = Span {
                group,
                first: at * columns,
                count: labels.len(),
                x: 0,
                w: if lone { wide } else { inner },
            };
            match rows.last_mut() {
                Some(row) if lone && wide <= free => {
                    span.x = inner - free;
                    free -= wide + spacing.group_gap;
                    row.spans.push(span);
                    row.height = row.height.max(height);
                    row.heading = row.heading.max(sizes.heading);
                }
                _ => {
                    free = if lone {
                        inner - wide - spacing.group_gap
                    } else {
                        0
                    };
                    rows.push(Row {
                        spans: vec![span],
                        height,
                        heading: sizes.heading,
                        opens: at == 0,
                    });
                }
            }
        }
    }
    rows
}

const fn with_heading(row: &Row, spacing: Spacing) -> i32 {
    if row.heading > 0 {
        row.heading + spacing.heading_gap
    } else {
        0
    }
}

/// Height of a row at the top of a page.
const fn alone(row: &Row, spacing: Spacing) -> i32 {
    row.height + with_heading(row, spacing)
}

/// Height that a row adds below another.
const fn below(row: &Row, spacing: Spacing) -> i32 {
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
            alone(row, spacing)
        } else {
            below(row, spacing)
        };
    }
    height
}

/// Fills pages in order. A group that does not fit on what is left of a page, but fits on one of
/// its own, is not begun there unless that would leave three fifths of the page empty.
fn fill(rows: &[Row], room: i32, spacing: Spacing) -> Vec<Vec<Row>> {
    let mut pages: Vec<Vec<Row>> = Vec::new();
    let mut height = 0;
    for (at, row) in rows.iter().enumerate() {
        let more = below(row, spacing);
        let whole = if row.opens {
            let end = rows[at..]
                .iter()
                .position(|r| r.spans[0].group != row.spans[0].group)
                .unwrap_or(rows.len() - at);
            stacked(&rows[at..at + end], spacing)
        } else {
            0
        };
        let splits =
            whole <= room && height + spacing.group_gap + whole > room && height * 5 > room * 2;
        match pages.last_mut() {
            Some(page) if height + more <= room && !(row.opens && splits) => {
                page.push(row.clone());
                height += more;
            }
            _ => {
                pages.push(vec![row.clone()]);
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
        let top = y;
        if row.heading > 0 && (row.opens || at == 0) {
            y += row.heading + spacing.heading_gap;
        }
        for span in &row.spans {
            let sizes = &request.groups[span.group];
            if sizes.heading > 0 && (row.opens || at == 0) {
                let area = Area {
                    x: spacing.margin + span.x,
                    y: top + row.heading - sizes.heading,
                    w: span.w,
                    h: sizes.heading,
                };
                page.headings.push(HeadingBox {
                    group: span.group,
                    continued: !row.opens,
                    area,
                });
            }
            let mut x = spacing.margin + span.x;
            let grid = sizes.grid;
            for index in span.first..span.first + span.count {
                let figure = Area {
                    x,
                    y,
                    w: grid.cell_width,
                    h: grid.figure_height,
                };
                let label = Area {
                    x,
                    y: figure.bottom() + spacing.label_gap,
                    w: grid.cell_width,
                    h: sizes.labels[index],
                };
                page.cells.push(CellBox {
                    group: span.group,
                    index,
                    figure,
                    label,
                });
                x += grid.cell_width + spacing.gap;
            }
        }
        y += row.height;
    }
    page
}
