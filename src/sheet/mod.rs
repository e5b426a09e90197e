//! Poses laid out for approval: what a director reads and signs.
//!
//! Three steps, each on its own: [`layout`] turns sizes into boxes and knows neither words nor
//! pixels; [`Design`] puts a [`Sheet`]'s words into boxes; [`Design::draw`] makes one page's
//! pixels. How a figure is drawn is the caller's affair.

pub mod layout;
mod page;
pub mod text;
mod theme;

pub use layout::{LONGEST_SIDE, PageSize, TooSmall};
pub use page::{Cell, Design, DrawFigure, Group, Look, Sheet};
pub use theme::Paper;
