//! From sizes to boxes: pure, whole pixels, no text and no drawing.

/// Pages above this many pixels a side are not made.
pub const LONGEST_SIDE: i32 = 8000;

/// However many columns are asked for, cells keep this many pixels.
const SLIMMEST: i32 = 24;

/// A box on a page, whole pixels.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Area {
    /// Left side.
    pub x: i32,
    /// Top side.
    pub y: i32,
    /// Width.
    pub w: i32,
    /// Height.
    pub h: i32,
}

impl Area {
    /// One past the right side.
    #[must_use]
    pub const fn right(self) -> i32 {
        self.x + self.w
    }

    /// One past the lower side.
    #[must_use]
    pub const fn bottom(self) -> i32 {
        self.y + self.h
    }

    /// True when a pixel lies in both.
    #[must_use]
    pub const fn meets(self, other: Self) -> bool {
        self.x < other.right()
            && other.x < self.right()
            && self.y < other.bottom()
            && other.y < self.bottom()
    }

    /// True when every pixel of `other` lies in this.
    #[must_use]
    pub const fn holds(self, other: Self) -> bool {
        self.x <= other.x
            && self.y <= other.y
            && self.right() >= other.right()
            && self.bottom() >= other.bottom()
    }
}

/// How large a page is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PageSize {
    /// At most this wide and high; less where the content needs less.
    UpTo {
        /// Pixels.
        width: i32,
        /// Pixels.
        height: i32,
    },
    /// This wide and high.
    Exactly {
        /// Pixels.
        width: i32,
        /// Pixels.
        height: i32,
    },
}

impl PageSize {
    const fn width(self) -> i32 {
        match self {
            Self::UpTo { width, .. } | Self::Exactly { width, .. } => width,
        }
    }

    const fn height(self) -> i32 {
        match self {
            Self::UpTo { height, .. } | Self::Exactly { height, .. } => height,
        }
    }
}

/// Distances, pixels.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Spacing {
    /// Between the page's sides and what it holds.
    pub margin: i32,
    /// Between cells of a row.
    pub gap: i32,
    /// Between rows.
    pub row_gap: i32,
    /// Between groups.
    pub group_gap: i32,
    /// Between a cell's sides and its figure.
    pub pad: i32,
    /// Between a cell's figure and its label.
    pub label_gap: i32,
    /// Between a heading and its first row.
    pub heading_gap: i32,
    /// Between the title band and what follows, and before the footer.
    pub band_gap: i32,
    /// No cell is narrower.
    pub narrowest_cell: i32,
    /// No page that follows its content is narrower.
    pub narrowest_page: i32,
}

/// What the cells of a group hold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GroupRequest {
    /// How many there are.
    pub cells: usize,
    /// Cells of a row, where that means something.
    pub likes: Option<usize>,
    /// Width and height of what each cell shows, canvas units.
    pub window: [f64; 2],
}

/// What a sheet holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GridRequest<'a> {
    /// The page.
    pub page: PageSize,
    /// Distances.
    pub spacing: Spacing,
    /// Height to aim for of the middle one of the windows, pixels.
    pub target: i32,
    /// True when the target was asked for, of the highest window, and is not to be bent to fill
    /// the page.
    pub fixed: bool,
    /// Cells of a row, where that was asked for.
    pub columns: Option<i32>,
    /// No figure is higher, pixels.
    pub highest: Option<i32>,
    /// In order.
    pub groups: &'a [GroupRequest],
}

/// Cell size of a group.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct GroupGrid {
    /// Cells of a full row.
    pub columns: i32,
    /// Width of a cell.
    pub cell_width: i32,
    /// Height of a cell without its label.
    pub figure_height: i32,
}

/// One scale for a whole sheet, one cell size for each of its groups.
#[derive(Clone, Debug, PartialEq)]
pub struct Grid {
    /// Pixels to the canvas unit.
    pub scale: f64,
    /// Width of the page.
    pub page_width: i32,
    /// In order.
    pub groups: Vec<GroupGrid>,
}

impl Grid {
    /// Height of the highest cell without its label.
    #[must_use]
    pub fn highest(&self) -> i32 {
        self.groups
            .iter()
            .map(|g| g.figure_height)
            .max()
            .unwrap_or(0)
    }
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "clamped well inside the range"
)]
pub(super) fn whole(v: f64) -> i32 {
    v.clamp(0.0, 1e6) as i32
}

fn sane(window: [f64; 2]) -> [f64; 2] {
    window.map(|v| if v.is_finite() { v.max(1e-6) } else { 1.0 })
}

/// Chooses scale and columns. The cells of a sheet of one group fill the width of the page, and its
/// last row is not left nearly empty where a column more or less avoids that. Where there are
/// several groups, each has cells as wide as it needs, split evenly over its rows.
#[must_use]
pub fn choose_grid(request: &GridRequest<'_>) -> Grid {
    let GridRequest { page, spacing, .. } = *request;
    let (gap, pad) = (spacing.gap, spacing.pad);
    let inner = |width: i32| (width - 2 * spacing.margin).max(1);
    let windows: Vec<[f64; 2]> = request.groups.iter().map(|g| sane(g.window)).collect();
    let [w, h] = middle(request.groups);
    let tallest = windows.iter().map(|w| w[1]).fold(1e-6, f64::max);
    let highest = request.highest.map_or(f64::INFINITY, f64::from).max(1.0);
    let target = f64::from(request.target.max(1)).min(highest);
    let cell_for =
        |w: f64, scale: f64| (whole((w * scale).ceil()) + 2 * pad).max(spacing.narrowest_cell);
    let share = |columns: i32, width: i32| ((inner(width) - (columns - 1) * gap) / columns).max(1);

    let mut page_width = page.width();
    let aim = if request.fixed {
        target / tallest
    } else {
        target / h
    };
    let wanted = cell_for(w, aim);
    let fitting = ((inner(page_width) + gap) / (wanted + gap)).max(1);
    let columns = match request.columns {
        Some(n) => n.clamp(
            1,
            ((inner(LONGEST_SIDE.min(page_width)) + gap) / (SLIMMEST + gap)).max(1),
        ),
        None => balanced(fitting, request.groups),
    };
    let widest = windows.iter().map(|w| w[0]).fold(1e-6, f64::max);
    if request.fixed && matches!(page, PageSize::UpTo { .. }) {
        // The page makes way for the cells that were asked for.
        let across = request.columns.map_or(1, |_| columns);
        let needed = across.saturating_mul(cell_for(widest, aim) + gap) - gap + 2 * spacing.margin;
        page_width = page_width.max(needed.min(LONGEST_SIDE));
    }
    let lone = matches!(request.groups, [GroupRequest { likes: None, .. }]) && !request.fixed;
    let across = request
        .columns
        .map_or(if lone { columns } else { 1 }, |_| columns);
    let room = f64::from((share(across, page_width) - 2 * pad).max(1)) / widest;
    let down = if request.fixed {
        aim
    } else if request.columns.is_some() {
        highest / tallest
    } else if lone {
        (target * 1.35).min(highest) / tallest
    } else {
        aim.min(highest / tallest)
    };
    let split = |scale: f64| -> Vec<GroupGrid> {
        let cells = request.groups.iter().zip(&windows).map(|(group, &[w, h])| {
            let figure_height = whole((h * scale - 1e-9).ceil()).max(1) + 2 * pad;
            let cells = i32::try_from(group.cells.max(1)).unwrap_or(i32::MAX / 2);
            if lone {
                let columns = columns.min(cells);
                return GroupGrid {
                    columns,
                    cell_width: share(across, page_width),
                    figure_height,
                };
            }
            let cell_width = cell_for(w, scale).min(share(across, page_width));
            let fit = request.columns.map_or(
                ((inner(page_width) + gap) / (cell_width + gap)).max(1),
                |_| columns,
            );
            let rows = (cells - 1) / fit + 1;
            let likes = group
                .likes
                .and_then(|n| i32::try_from(n).ok())
                .filter(|&n| n >= 1 && n <= fit);
            GroupGrid {
                columns: likes.unwrap_or((cells - 1) / rows + 1),
                cell_width,
                figure_height,
            }
        });
        cells.collect()
    };
    let mut scale = room.min(down);
    if !lone && !request.fixed && request.columns.is_none() {
        let most = room.min(highest / tallest);
        scale = fullest(scale, most, |scale| {
            let (mut used, mut taken) = (0.0, 0.0);
            for (group, grid) in request.groups.iter().zip(split(scale)) {
                let height = f64::from(grid.figure_height);
                used += group.cells as f64 * f64::from(grid.cell_width + gap) * height;
                taken += group.cells.div_ceil(grid.columns.unsigned_abs() as usize) as f64
                    * f64::from(inner(page_width) + gap)
                    * height;
            }
            used / taken
        });
    }
    let mut groups = split(scale);
    if matches!(page, PageSize::UpTo { .. }) {
        let narrowest = spacing.narrowest_page.min(page_width);
        let content = groups
            .iter()
            .map(|g| g.columns * (g.cell_width + gap) - gap)
            .max()
            .unwrap_or(0);
        page_width = (content + 2 * spacing.margin).max(narrowest);
        if lone {
            // Few cells share what the title needs.
            for group in &mut groups {
                group.cell_width = group.cell_width.max(share(group.columns, page_width));
            }
        }
    }
    Grid {
        scale,
        page_width,
        groups,
    }
}

/// The scale near `aim`, and not above `most`, at which rows are best filled.
fn fullest(aim: f64, most: f64, filled: impl Fn(f64) -> f64) -> f64 {
    let cost = |factor: f64| 1.0 - filled(aim * factor) + 0.4 * libm::log(factor).abs();
    let mut best = (1.0, cost(1.0));
    for step in 0..=22 {
        let factor = 0.8 + 0.02 * f64::from(step);
        let cost = cost(factor);
        if aim * factor <= most && cost < best.1 {
            best = (factor, cost);
        }
    }
    aim * best.0
}

/// The window of middle area.
#[must_use]
pub fn middle(groups: &[GroupRequest]) -> [f64; 2] {
    let mut sorted: Vec<[f64; 2]> = groups.iter().map(|g| sane(g.window)).collect();
    sorted.sort_by(|a, b| (a[0] * a[1]).total_cmp(&(b[0] * b[1])));
    sorted.get(sorted.len() / 2).copied().unwrap_or([1.0, 1.0])
}

/// As many columns as fit, or a few more or less where that leaves fewer places empty.
fn balanced(fitting: i32, groups: &[GroupRequest]) -> i32 {
    let [
        GroupRequest {
            cells, likes: None, ..
        },
    ] = groups
    else {
        return fitting;
    };
    let cells = i32::try_from(*cells).unwrap_or(i32::MAX / 2);
    if cells <= fitting {
        return fitting;
    }
    let cost = |n: i32| {
        let places = f64::from((cells - 1) / n + 1) * f64::from(n);
        (places - f64::from(cells)) / places + 0.08 * f64::from((n - fitting).abs())
    };
    let mut best = fitting;
    for n in [fitting - 1, fitting + 1, fitting + 2] {
        if n >= 2 && cost(n) < cost(best) {
            best = n;
        }
    }
    best
}

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

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const SPACING: Spacing = Spacing {
        margin: 90,
        gap: 30,
        row_gap: 40,
        group_gap: 60,
        pad: 12,
        label_gap: 14,
        heading_gap: 20,
        band_gap: 40,
        narrowest_cell: 180,
        narrowest_page: 1100,
    };

    const TALL: [f64; 2] = [300.0, 500.0];

    fn request(page: PageSize, groups: &[GroupRequest]) -> GridRequest<'_> {
        GridRequest {
            page,
            spacing: SPACING,
            target: 500,
            fixed: false,
            columns: None,
            highest: None,
            groups,
        }
    }

    fn lone(cells: usize) -> [GroupRequest; 1] {
        [GroupRequest {
            cells,
            likes: None,
            window: TALL,
        }]
    }

    const USUAL: PageSize = PageSize::UpTo {
        width: 2400,
        height: 3200,
    };

    #[test]
    fn cells_fill_the_width_of_the_page() {
        let grid = choose_grid(&request(USUAL, &lone(40)));
        let GroupGrid {
            columns,
            cell_width,
            ..
        } = grid.groups[0];
        assert_eq!(
            grid.page_width - 2 * 90,
            columns * cell_width + (columns - 1) * 30
        );
        assert!(
            grid.scale * 500.0 >= 400.0 && grid.scale * 500.0 <= 675.0,
            "{grid:?}"
        );
    }

    #[test]
    fn a_nearly_empty_last_row_is_avoided() {
        // 324 px cells: six fit; thirteen cells would leave one alone.
        assert_eq!(choose_grid(&request(USUAL, &lone(13))).groups[0].columns, 7);
        assert_eq!(choose_grid(&request(USUAL, &lone(12))).groups[0].columns, 6);
    }

    #[test]
    fn few_cells_make_a_narrow_page() {
        let grid = choose_grid(&request(USUAL, &lone(2)));
        assert_eq!(grid.groups[0].columns, 2);
        assert_eq!(grid.page_width, 1100);
        assert_eq!(
            2 * grid.groups[0].cell_width + 30,
            1100 - 2 * 90,
            "they fill it"
        );
    }

    #[test]
    fn a_lone_grid_keeps_its_rows() {
        let groups = [GroupRequest {
            cells: 16,
            likes: Some(4),
            window: TALL,
        }];
        assert_eq!(choose_grid(&request(USUAL, &groups)).groups[0].columns, 4);
    }

    #[test]
    fn asked_for_columns_and_cells_are_kept() {
        let groups = lone(40);
        let mut asked = request(USUAL, &groups);
        asked.columns = Some(3);
        assert_eq!(choose_grid(&asked).groups[0].columns, 3);
        asked.fixed = true;
        asked.target = 250;
        let grid = choose_grid(&asked);
        assert!((grid.scale - 0.5).abs() < 1e-12);
        assert!(grid.groups[0].columns <= 3);
        asked.target = 1000;
        asked.columns = Some(5);
        let grid = choose_grid(&asked);
        assert!((grid.scale - 2.0).abs() < 1e-12);
        assert_eq!(
            grid.page_width,
            5 * 624 + 4 * 30 + 180,
            "the page makes way"
        );
    }

    #[test]
    fn groups_share_a_scale_and_split_evenly() {
        let wide = GroupRequest {
            cells: 11,
            likes: None,
            window: [600.0, 300.0],
        };
        let slim = GroupRequest {
            cells: 7,
            likes: None,
            window: [300.0, 500.0],
        };
        let grid = GroupRequest {
            cells: 12,
            likes: Some(4),
            window: [300.0, 500.0],
        };
        let chosen = choose_grid(&request(USUAL, &[wide, slim, grid]));
        let [a, b, c] = chosen.groups[..] else {
            panic!("three groups")
        };
        assert!((f64::from(a.cell_width - 24) - 600.0 * chosen.scale).abs() <= 1.0);
        assert!((f64::from(b.cell_width - 24) - 300.0 * chosen.scale).abs() <= 1.0);
        assert!((f64::from(b.figure_height - 24) - 500.0 * chosen.scale).abs() <= 1.0);
        assert_eq!(c.columns, 4, "a grid keeps its rows");
        // 624 px cells: three fit, so eleven make rows of 3, 3, 3, 2; 324 px: six fit, 4 + 3.
        assert_eq!((a.columns, b.columns), (3, 4));
    }

    const COLUMN: GroupGrid = GroupGrid {
        columns: 1,
        cell_width: 300,
        figure_height: 500,
    };

    #[test]
    fn pages_are_filled_evenly() {
        let groups = [GroupSizes {
            heading: 0,
            grid: COLUMN,
            labels: vec![60; 8],
        }];
        let request = PagesRequest {
            page: USUAL,
            spacing: SPACING,
            width: 1100,
            title: 150,
            footer: 40,
            groups: &groups,
        };
        let pages = lay_out(&request).unwrap();
        assert_eq!(
            pages.iter().map(|p| p.cells.len()).collect::<Vec<_>>(),
            [4, 4]
        );
        assert_eq!(pages[0].height, pages[1].height);
    }

    #[test]
    fn a_group_that_fits_on_a_page_is_not_split() {
        let group = |rows: usize| GroupSizes {
            heading: 30,
            grid: COLUMN,
            labels: vec![60; rows],
        };
        let groups = [group(3), group(2), group(3), group(9)];
        let request = PagesRequest {
            page: USUAL,
            spacing: SPACING,
            width: 1100,
            title: 150,
            footer: 40,
            groups: &groups,
        };
        let pages = lay_out(&request).unwrap();
        let seen: Vec<Vec<usize>> = pages
            .iter()
            .map(|p| p.cells.iter().map(|c| c.group).collect())
            .collect();
        assert_eq!(
            seen[..2],
            [vec![0, 0, 0], vec![1, 1]],
            "three and two rows do not fit on one page"
        );
        assert!(seen[2].starts_with(&[2, 2, 2]));
    }

    #[test]
    fn a_page_too_small_for_one_row_is_an_error() {
        let groups = [GroupSizes {
            heading: 30,
            grid: COLUMN,
            labels: vec![60],
        }];
        let page = PageSize::Exactly {
            width: 1100,
            height: 700,
        };
        let request = PagesRequest {
            page,
            spacing: SPACING,
            width: 1100,
            title: 150,
            footer: 40,
            groups: &groups,
        };
        let error = lay_out(&request).unwrap_err();
        assert_eq!(
            error,
            TooSmall {
                height: 700,
                needed: 2 * 90 + 150 + 40 + 2 * 40 + 30 + 20 + 500 + 14 + 60
            }
        );
    }

    prop_compose! {
        fn sizes()(
            labels in prop::collection::vec(0_i32..160, 1..30),
            heading in prop_oneof![Just(0), 20_i32..90],
            likes in prop::option::of(1_usize..9),
            window in (50.0_f64..3000.0, 50.0_f64..3000.0),
        ) -> (Vec<i32>, i32, GroupRequest) {
            let cells = labels.len();
            (labels, heading, GroupRequest { cells, likes, window: [window.0, window.1] })
        }
    }

    proptest! {
        #[test]
        fn nothing_meets_leaves_the_page_or_is_lost(
            groups in prop::collection::vec(sizes(), 1..6),
            width in 700_i32..4000,
            height in 1800_i32..6000,
            exact in any::<bool>(),
            columns in prop::option::of(1_i32..60),
            cell in prop::option::of(60_i32..700),
        ) {
            let page = if exact { PageSize::Exactly { width, height } } else { PageSize::UpTo { width, height } };
            let wanted: Vec<_> = groups.iter().map(|(_, _, g)| *g).collect();
            let grid = choose_grid(&GridRequest {
                page,
                spacing: SPACING,
                target: cell.unwrap_or(500),
                fixed: cell.is_some(),
                columns,
                highest: Some(900),
                groups: &wanted,
            });
            for (group, GroupRequest { window, .. }) in grid.groups.iter().zip(&wanted) {
                let room = [group.cell_width, group.figure_height].map(|v| f64::from(v - 2 * SPACING.pad));
                prop_assert!(grid.scale * window[0] <= room[0] + 1e-6 || room[0] <= 0.0);
                prop_assert!(grid.scale * window[1] <= room[1] + 1e-6);
                prop_assert!(columns.is_none_or(|n| group.columns <= n));
            }
            let sizes: Vec<_> = groups
                .iter()
                .zip(&grid.groups)
                .map(|((labels, heading, _), grid)| GroupSizes { heading: *heading, grid: *grid, labels: labels.clone() })
                .collect();
            let request = PagesRequest {
                page,
                spacing: SPACING,
                width: grid.page_width,
                title: 160,
                footer: 40,
                groups: &sizes,
            };
            let pages = lay_out(&request).unwrap();
            let mut seen = Vec::new();
            for page in &pages {
                let sheet = Area { x: 0, y: 0, w: page.width, h: page.height };
                prop_assert!(page.height <= height);
                prop_assert!(page.width <= LONGEST_SIDE);
                if exact {
                    prop_assert_eq!((page.width, page.height), (width, height));
                }
                let mut boxes = vec![page.title, page.footer];
                boxes.extend(page.headings.iter().map(|h| h.area));
                for cell in &page.cells {
                    seen.push((cell.group, cell.index));
                    boxes.push(cell.figure);
                    boxes.push(cell.label);
                }
                for (at, one) in boxes.iter().enumerate() {
                    prop_assert!(sheet.holds(*one), "{one:?} leaves {sheet:?}");
                    for other in &boxes[at + 1..] {
                        prop_assert!(!one.meets(*other), "{one:?} meets {other:?}");
                    }
                }
                // A heading stands over each group's first cells on the page.
                for (group, (_, height, _)) in groups.iter().enumerate() {
                    let first = page.cells.iter().find(|c| c.group == group);
                    let heading = page.headings.iter().find(|h| h.group == group);
                    prop_assert_eq!(first.is_some() && *height > 0, heading.is_some());
                    if let (Some(cell), Some(heading)) = (first, heading) {
                        prop_assert!(heading.area.bottom() <= cell.figure.y);
                        prop_assert_eq!(heading.continued, cell.index > 0);
                    }
                }
            }
            let all: Vec<_> = groups
                .iter()
                .enumerate()
                .flat_map(|(g, (labels, _, _))| (0..labels.len()).map(move |i| (g, i)))
                .collect();
            prop_assert_eq!(seen, all);
        }
    }
}
