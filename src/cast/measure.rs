//! What `layfig check` measures, and from what on it matters.

use super::keys::{Key, MEASURES, Usual};

/// What is measured on joints, seams, masks and garments.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Measure {
    /// How far outline hidden at rest comes out of the other part, % of the limb's width.
    Jut,
    /// Width of the daylight that opens in the joint's disc, % of the limb's width.
    Gap,
    /// Length of the ink left standing inside both paints within a seam's zone, % of the limb's width.
    Ink,
    /// Length of the ink across a limb of one colour where there is no seam, % of its width.
    Seam,
    /// How far the zone goes, % of how far the hidden outline goes; the less the worse.
    ZoneSmall,
    /// The same; the more the worse.
    ZoneLarge,
    /// Width of the paint that both parts share at rest, % of the limb's width; the less the worse.
    Overlap,
    /// Difference of the two paints at a seam, CIEDE2000.
    Colour,
    /// Heavier line over lighter at a seam, %.
    Line,
    /// How much of a masked part or garment is seen at rest, % of its area; the less the worse.
    Shown,
    /// Masked art or garment seen outside what it must stay in, % of its area.
    Spill,
    /// Host that a garment covers at rest and leaves bare in the joint's disc, % of the disc.
    Bare,
    /// Difference of a trim and the garment's own line, CIEDE2000.
    Trim,
    /// Hosts' edge that a garment runs along without reaching their ink, % of the edge it runs along.
    Edge,
    /// How far a seam's pivot is from the middle of the limb's width, % of that width.
    Pivot,
    /// How differently a limb or garment sits on the two sides, % of the limb's length.
    Sides,
    /// How far a pose turns a joint beyond its limits, degrees.
    Over,
    /// How far the end of a limb is from where a pose says that it goes, canvas units.
    Reach,
    /// How far a pose goes beyond the canvas, canvas units.
    CutOff,
    /// Length of a part's edge that is seen against a stranger without a line, widths of its line.
    BareEdge,
    /// How far the end of a line that a seam or a mask cuts is from a half disc of its width, % of that half disc;
    /// of a line cut along its length, what is missing of it.
    LooseEnd,
    /// The smallest bit of a part that is seen, the side of a square as large, or of ink its length, widths of
    /// the line; the less the worse.
    Island,
    /// Of the place where a seam joins two parts, as far as it is seen, what shows no contact, %.
    Floating,
}

impl Measure {
    /// All of them, as the table of keys has them.
    pub const ALL: [Self; MEASURES.len()] = [
        Self::Jut,
        Self::Gap,
        Self::Ink,
        Self::Seam,
        Self::ZoneSmall,
        Self::ZoneLarge,
        Self::Overlap,
        Self::Colour,
        Self::Line,
        Self::Shown,
        Self::Spill,
        Self::Bare,
        Self::Trim,
        Self::Edge,
        Self::Pivot,
        Self::Sides,
        Self::Over,
        Self::Reach,
        Self::CutOff,
        Self::BareEdge,
        Self::LooseEnd,
        Self::Island,
        Self::Floating,
    ];

    const fn row(self) -> &'static Key {
        &MEASURES[self as usize]
    }

    /// Its key in `[check]`.
    #[must_use]
    pub const fn key(self) -> &'static str {
        self.row().name
    }

    /// True where less is worse.
    #[must_use]
    pub const fn is_least(self) -> bool {
        let [warning, error] = self.default_limits();
        warning > error
    }

    /// Warning and error limit where the rig says nothing.
    #[must_use]
    pub const fn default_limits(self) -> [f64; 2] {
        match self.row().usual {
            Usual::Pair(limits) => limits,
            _ => panic!("a measure has two limits"),
        }
    }
}

/// Warning and error limit of every measure; `None` where it is off.
#[derive(Clone, Debug, PartialEq)]
pub struct CheckLimits([Option<[f64; 2]>; Measure::ALL.len()]);

impl Default for CheckLimits {
    fn default() -> Self {
        Self(Measure::ALL.map(|m| Some(m.default_limits())))
    }
}

impl CheckLimits {
    /// Of one measure; `None` where it is off.
    #[must_use]
    pub fn get(&self, measure: Measure) -> Option<[f64; 2]> {
        self.0[measure as usize]
    }

    /// Changes one.
    pub fn set(&mut self, measure: Measure, limits: Option<[f64; 2]>) {
        self.0[measure as usize] = limits;
    }
}
