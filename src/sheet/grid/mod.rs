//! Sheets of labelled cells: poses, sweeps, replacements. `fill.rs` finds the size at which pages
//! are filled best, `set.rs` puts everything on them.

mod fill;
mod set;
#[cfg(test)]
mod tests;

pub use fill::lay_out;

use super::heading::{Heading, TitleBlock};
use super::layout::PageSize;
use super::page::Tint;
use super::theme::Sizes;
use crate::art::Rgb;
use crate::cast::Paper;

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
    pub title_block: TitleBlock,
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
            title_block: TitleBlock::default(),
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
