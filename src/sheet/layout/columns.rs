//! Scale and columns.

use super::{LONGEST_SIDE, PageSize, Spacing, whole};

/// However many columns are asked for, cells keep this many pixels.
const SLIMMEST: i32 = 24;

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

impl GroupGrid {
    /// Width of its longest row.
    #[must_use]
    pub fn width(self, cells: usize, spacing: Spacing) -> i32 {
        let cells = i32::try_from(cells).unwrap_or(i32::MAX);
        self.columns.min(cells) * (self.cell_width + spacing.gap) - spacing.gap
    }
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

/// The cells of a page of a given size at a scale: as many to a row as fit, rows of a group alike.
/// `None` where a window is wider than the page.
#[must_use]
pub fn grid_at(request: &GridRequest<'_>, scale: f64) -> Option<Grid> {
    let GridRequest { page, spacing, .. } = *request;
    let (gap, pad) = (spacing.gap, spacing.pad);
    let inner = page.width() - 2 * spacing.margin;
    let mut groups = Vec::new();
    for group in request.groups {
        let [w, h] = sane(group.window);
        let natural = (whole((w * scale - 1e-9).ceil()) + 2 * pad).max(spacing.narrowest_cell);
        if natural > inner {
            return None;
        }
        let cells = i32::try_from(group.cells.max(1)).unwrap_or(i32::MAX / 2);
        // Cells of the only group fill the width; those of several are as wide as each other's.
        let share = |columns: i32| (inner - (columns - 1) * gap) / columns;
        let figure_height = whole((h * scale - 1e-9).ceil()).max(1) + 2 * pad;
        if let Some(columns) = request.columns {
            let cell_width = share(columns.max(1));
            if natural > cell_width {
                return None;
            }
            groups.push(GroupGrid {
                columns: columns.clamp(1, cells),
                cell_width,
                figure_height,
            });
            continue;
        }
        let fit = (inner + gap) / (natural + gap);
        let rows = (cells - 1) / fit + 1;
        let likes = group
            .likes
            .and_then(|n| i32::try_from(n).ok())
            .filter(|n| (1..=fit).contains(n));
        let even = (cells - 1) / rows + 1;
        let cell_width = match (spacing.beside, request.groups.len()) {
            (true, _) => natural,
            (false, 1) => share(likes.unwrap_or(even)),
            (false, _) => share(fit),
        };
        groups.push(GroupGrid {
            columns: likes.unwrap_or(even),
            cell_width,
            figure_height,
        });
    }
    Some(Grid {
        scale,
        page_width: page.width(),
        groups,
    })
}

/// Scales worth trying on a page of a given size with `room` pixels of height for content: those at
/// which some number of cells fills the width, or some number of rows with labels of `label` pixels
/// the height, and some in between.
#[must_use]
pub fn scales(request: &GridRequest<'_>, room: i32, label: i32) -> Vec<f64> {
    let GridRequest { page, spacing, .. } = *request;
    let inner = page.width() - 2 * spacing.margin;
    let highest = request.highest.map_or(f64::INFINITY, f64::from).max(1.0);
    let [w, h] = middle(request.groups);
    let tallest = request
        .groups
        .iter()
        .map(|g| sane(g.window)[1])
        .fold(1e-6, f64::max);
    let aim = f64::from(request.target.max(1)) / h;
    let mut found: Vec<f64> = Vec::new();
    for count in 1..=24 {
        let across = (inner - (count - 1) * spacing.gap) / count - 2 * spacing.pad;
        found.push(f64::from(across) / w);
        let down = (room - (count - 1) * spacing.row_gap) / count - label - 2 * spacing.pad;
        found.push(f64::from(down) / h);
    }
    found.extend((0..=24).map(|step| aim * libm::pow(1.08, f64::from(step) - 14.0)));
    found.retain(|&scale| (aim * 0.3..=aim * 3.0).contains(&scale) && scale * tallest <= highest);
    found.sort_by(f64::total_cmp);
    found.dedup_by(|a, b| (*a / *b - 1.0).abs() < 0.01);
    found
}
