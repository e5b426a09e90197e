//! Another depth order than that of rest.

use crate::cast::{NameId, PoseEntry, Side};

/// The depth order of a pose.
pub(super) struct Order {
    /// `list/pose`.
    pub name: String,
    pub rank: Vec<usize>,
    pub depth: Vec<PoseEntry<f64>>,
    pub sides: Vec<PoseEntry<(Side, NameId)>>,
}
