//! Plane geometry: transforms, outlines, regions.

mod affine;
mod measure;
mod outline;
mod region;

pub use affine::{Affine, Point, sin_cos_degrees};
pub use measure::{Circle, distance2_to_piece};
pub use outline::{flatten, stroke_outline};
pub use region::Region;
