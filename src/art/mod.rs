//! SVG in, ink and paint outlines out. The only user of usvg.

mod library;
mod raster;
mod types;

pub use library::Library;
pub use raster::RasterArt;
pub use types::*;
