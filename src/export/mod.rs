//! Figure in, standard SVG out.

mod svg;
mod text;

pub use svg::svg;
