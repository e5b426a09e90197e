//! What `layfig check` measures, and from what on it matters.

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
    /// All of them.
    pub const ALL: [Self; 22] = [
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
        Self::CutOff,
        Self::BareEdge,
        Self::LooseEnd,
        Self::Island,
        Self::Floating,
    ];

    /// Its key in `[check]`.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::Jut => "jut",
            Self::Gap => "gap",
            Self::Ink => "ink",
            Self::Seam => "seam",
            Self::ZoneSmall => "zone_small",
            Self::ZoneLarge => "zone_large",
            Self::Overlap => "overlap",
            Self::Colour => "colour",
            Self::Line => "line",
            Self::Shown => "shown",
            Self::Spill => "spill",
            Self::Bare => "bare",
            Self::Trim => "trim",
            Self::Edge => "edge",
            Self::Pivot => "pivot",
            Self::Sides => "sides",
            Self::Over => "over",
            Self::CutOff => "cut_off",
            Self::BareEdge => "bare_edge",
            Self::LooseEnd => "loose_end",
            Self::Island => "island",
            Self::Floating => "floating",
        }
    }

    /// True where less is worse.
    #[must_use]
    pub const fn is_least(self) -> bool {
        matches!(
            self,
            Self::ZoneSmall | Self::Overlap | Self::Shown | Self::Island
        )
    }

    /// Warning and error limit where the rig says nothing. Our own, from looking at what a viewer
    /// notices at the size of a picture; there is no source.
    #[must_use]
    pub const fn default_limits(self) -> [f64; 2] {
        match self {
            Self::Jut => [6.0, 16.0],
            Self::Gap => [3.0, 8.0],
            Self::Ink => [8.0, 25.0],
            Self::Seam => [25.0, 60.0],
            Self::ZoneSmall => [97.0, 85.0],
            Self::ZoneLarge => [300.0, 500.0],
            Self::Overlap => [40.0, 20.0],
            Self::Colour => [4.0, 10.0],
            Self::Line => [140.0, 180.0],
            Self::Shown => [20.0, 5.0],
            Self::Spill => [1.0, 5.0],
            Self::Bare => [3.0, 10.0],
            Self::Trim => [4.0, 10.0],
            Self::Edge => [15.0, 35.0],
            Self::Pivot => [15.0, 30.0],
            Self::Sides => [8.0, 18.0],
            Self::Over => [0.5, 15.0],
            Self::CutOff => [0.5, 8.0],
            Self::BareEdge => [2.0, 5.0],
            Self::LooseEnd => [15.0, 40.0],
            Self::Island => [1.5, 0.75],
            Self::Floating => [90.0, 99.0],
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
