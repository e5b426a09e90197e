//! SVG in, ink and paint outlines out. The only user of usvg.

mod address;
mod colour;
mod document;
mod faults;
mod image;
mod ingest;
mod library;
mod lift;
mod place;
mod raster;
mod reader;
mod region;
mod types;

pub(crate) use address::{bytes_of, labels, unescaped};
pub use colour::{ciede2000, difference, lab};
pub(crate) use document::{Document, view_box};
pub use library::Library;
pub use raster::{RasterArt, RasterLayer};
pub(crate) use reader::xml_options;
pub(crate) use region::{Fineness, shape_region};
pub(crate) use types::BETWEEN;
pub use types::*;
