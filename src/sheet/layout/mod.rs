//! From sizes to boxes: pure, whole pixels, no text and no drawing. `columns.rs` finds scale and
//! columns, `pages.rs` puts rows on pages.

mod columns;
mod pages;
#[cfg(test)]
mod tests;

pub use columns::{
    Grid, GridRequest, GroupGrid, GroupRequest, choose_grid, grid_at, middle, scales,
};
pub use pages::{CellBox, GroupSizes, HeadingBox, PageBoxes, PagesRequest, TooSmall, lay_out};

pub use crate::cast::LONGEST_SIDE;

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
    pub(super) const fn width(self) -> i32 {
        match self {
            Self::UpTo { width, .. } | Self::Exactly { width, .. } => width,
        }
    }

    pub(super) const fn height(self) -> i32 {
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
    /// Groups of a single row may stand beside each other.
    pub beside: bool,
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "clamped well inside the range"
)]
pub(super) fn whole(v: f64) -> i32 {
    v.clamp(0.0, 1e6) as i32
}
