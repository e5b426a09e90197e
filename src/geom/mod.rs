//! Plane geometry: transforms, outlines, regions.

mod affine;

pub use affine::{Affine, Point, sin_cos_degrees};
