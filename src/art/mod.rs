//! SVG in, ink and paint outlines out. The only user of usvg.

mod document;
mod faults;
mod image;
mod ingest;
mod library;
mod raster;
mod types;

pub use library::Library;
pub use raster::{RasterArt, RasterLayer};
pub use types::*;
