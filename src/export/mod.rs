//! Figure in, standard SVG or a PDF's drawing out.

#[cfg(feature = "sheets")]
pub(crate) mod pdf;
#[cfg(feature = "sheets")]
pub(crate) mod pdf_path;
#[cfg(feature = "sheets")]
mod spread;
mod svg;
mod text;
mod walk;

pub use svg::{svg, svg_of};
