//! Poses laid out for approval: what a director reads and signs.
//!
//! A sheet is made in three steps, each on its own:
//!
//! 1. **Layout**, pure: content and a [`Look`] become a [`Document`], pages of placed items
//!    ([`Page`], [`Item`]): whole-pixel fills, polylines, lines of text, figures. Figures are named
//!    by the place of their pose in a list of jobs and carry a transform, a box that clips them, and
//!    perhaps a tint and an opacity. [`lay_out`] does it for sheets of labelled cells; [`layout`]
//!    has the arithmetic of boxes, [`text`](crate::text) measures and wraps.
//! 2. **Pixels**: [`raster`] draws one page, its figures straight into it.
//! 3. **PDF**: [`pdf`] writes any number of documents into one file: vector figures, selectable
//!    text, bookmarks, true paper size.
//!
//! A new kind of sheet is a function that gives a [`Document`]:
//!
//! ```
//! use layfig::sheet::{Document, Form, Heading, Look};
//!
//! let look = Look::default();
//! let (sizes, colours) = (look.sizes(), look.paper.colours());
//! let heading = Heading {
//!     title: "Odda".into(),
//!     sheet: "deckhand · model".into(),
//!     ..Heading::default()
//! };
//! let size = [2400, 1700];
//! // Measures the title band and the title block, which stand around every sheet.
//! let form = Form::new(&heading, &look, size[0]);
//! let mut page = form.blank(size);
//! form.set(&mut page, 1, 1);
//! // What is left for content.
//! let inner = form.inner(size);
//! page.fill(inner, colours.panel);
//! let name = sizes.name();
//! page.write("heads", name, colours.text, [inner.x, inner.y]);
//! // page.items.push(Item::Figure(Placement::plain(job, inner, to_page)));
//! let document = Document { name: heading.sheet, pages: vec![page] };
//! assert_eq!(document.pages.len(), 1);
//! ```

pub mod block;
pub(crate) mod callouts;
mod form;
mod grid;
mod heading;
pub mod layout;
mod lineup;
mod measures;
mod model;
mod model_content;
mod pack;
mod page;
mod palettes;
pub mod pdf;
#[cfg(test)]
mod properties;
pub mod raster;
mod stock;
mod table;
mod theme;
mod tidy;
mod turnaround;
mod turnaround_content;

pub use crate::cast::{PageSetup, Paper, Stock, Way};
pub use form::Form;
pub use grid::{Cell, Group, Look, Sheet, Shown, lay_out};
pub use heading::{Heading, TitleBlock};
pub use layout::{Area, LONGEST_SIDE, PageSize, TooSmall};
pub use lineup::{LineUp, Standing, line_up};
pub use model::model_sheet;
pub use model_content::ModelSheet;
pub use page::{
    Bookmark, Document, Fill, Item, Page, Placement, Shape, Stroke, Tint, Words, refusal,
};
pub use palettes::{ColourSheet, Coloured, colour_sheet};
pub use raster::DrawFigure;
pub use table::{Swatch, hex, number, share, spoken};
pub use theme::{Colours, Sizes};
pub use turnaround::turnaround;
pub use turnaround_content::{Guide, Turnaround, TurnedView};
