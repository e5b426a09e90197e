//! Plane geometry: transforms, outlines, regions.

mod affine;
mod boxes;
mod clear;
mod edges;
mod inscribed;
mod measure;
mod outline;
mod region;
mod square;
mod thin;

pub use affine::{Affine, Point, sin_cos_degrees};
pub use boxes::{bounds_of, common, grown, join_to, joined, meet, moved_box};
pub use clear::{Room, Wall, largest_clear};
pub use edges::Edges;
pub use measure::{Circle, distance2_to_piece};
pub use outline::{flatten, stroke_outline};
pub use region::Region;
