//! Figure in, standard SVG or a PDF's drawing out.

pub(crate) mod pdf;
pub(crate) mod pdf_path;
mod spread;
mod svg;
mod text;

pub use svg::{svg, svg_of};
