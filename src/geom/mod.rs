//! Plane geometry: transforms, outlines, regions.

mod affine;
mod clear;
mod edges;
mod measure;
mod outline;
mod region;
mod thin;

pub use affine::{Affine, Point, sin_cos_degrees};
pub use clear::{Room, Wall, largest_clear};
pub use edges::Edges;
pub use measure::{Circle, distance2_to_piece};
pub use outline::{flatten, stroke_outline};
pub use region::{Region, bounds_of, moved_box};
