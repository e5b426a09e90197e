//! What a model sheet shows.

use super::Heading;
use super::table::Swatch;

/// What a model sheet shows.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ModelSheet {
    /// What it says of itself.
    pub heading: Heading,
    /// The place of its pose in the list of jobs.
    pub figure: usize,
    /// What the figure covers, canvas units: left, top, right, bottom.
    pub window: [f64; 4],
    /// y of the ground, where the rig says.
    pub ground: Option<f64>,
    /// y of the crown, where the rig says.
    pub crown: Option<f64>,
    /// Height in heads, where the rig says.
    pub heads: Option<f64>,
    /// Height in life, as it is written.
    pub height: Option<String>,
    /// Heights by name, canvas units.
    pub landmarks: Vec<(String, f64)>,
    /// Lengths by name, canvas units.
    pub measures: Vec<(String, f64)>,
    /// Notes and the points they are about, canvas units.
    pub notes: Vec<(String, [f64; 2])>,
    /// The palette's name and its colours.
    pub palette: Option<(String, Vec<Swatch>)>,
}

impl ModelSheet {
    /// Crown, ground and height, where both are known.
    pub(super) fn stature(&self) -> Option<[f64; 3]> {
        let (crown, ground) = (self.crown?, self.ground?);
        (ground > crown).then_some([crown, ground, ground - crown])
    }
}
