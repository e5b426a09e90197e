//! Plane geometry: transforms, outlines, regions.

mod affine;
mod outline;
mod region;

pub use affine::{Affine, Point, sin_cos_degrees};
pub use outline::{flatten, stroke_outline};
pub use region::Region;
