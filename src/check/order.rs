//! Another depth order than that of rest.

use crate::cast::{NameId, Said, Side};

/// The depth order of a pose.
pub(super) struct Order {
    /// `list/pose`.
    pub name: String,
    pub rank: Vec<usize>,
    pub depth: Vec<Said<f64>>,
    pub sides: Vec<Said<(Side, NameId)>>,
}
