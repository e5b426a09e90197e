//! The body's lean, and limbs aimed in space.

use super::steps::Work;

/// Solves what a pose says of directions in space.
pub(super) fn solve(_work: &mut Work<'_>) {}
