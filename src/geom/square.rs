//! Squares to look for the middle of a largest circle in, the most hopeful first.

use super::Point;

/// A square in which a better centre may lie.
pub(super) struct Square {
    pub centre: Point,
    pub half: f64,
    /// The most room that any point of the square can have.
    pub most: f64,
}

impl PartialEq for Square {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}
impl Eq for Square {}
impl PartialOrd for Square {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Square {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.most
            .total_cmp(&other.most)
            .then(other.centre[1].total_cmp(&self.centre[1]))
            .then(other.centre[0].total_cmp(&self.centre[0]))
    }
}
