//! The outline along which kinks are looked for.

use crate::geom::{Circle, Point};

/// The child's outline near the joint.
#[derive(Clone, Debug)]
pub(super) struct Walk {
    pub points: Vec<Point>,
    /// Whether the outline comes straight to a point from the one before.
    pub goes_on: Vec<bool>,
    /// A circle about each run of points.
    pub runs: Vec<Circle>,
    /// The largest kink at rest: from parent to child, from child to parent.
    pub rest: [Option<f64>; 2],
    /// Of parent and child, the way from the pivot beyond the joint.
    pub ends: [Point; 2],
}
