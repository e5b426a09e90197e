//! What can stand at a key.

use super::{Form, Key};

/// Least and greatest value that makes sense.
pub type Bounds = [f64; 2];

/// Lengths and places, user units.
pub const LENGTHS: Bounds = [-1e6, 1e6];
/// Angles, degrees.
pub const ANGLES: Bounds = [-36_000.0, 36_000.0];
/// Directions in space, degrees.
pub const TURNED: Bounds = [-360.0, 360.0];
/// Factors.
pub const FACTORS: Bounds = [-1e6, 1e6];
/// Angles of skew, degrees: at a right angle nothing is left of a drawing.
pub const SKEWS: Bounds = [-89.0, 89.0];

/// Factors of a limb's length.
pub const STRETCHES: Bounds = [0.01, 100.0];

/// A kind of value.
#[derive(Clone, Copy, Debug)]
pub enum Kind {
    /// True or false.
    Flag,
    /// False alone.
    No,
    /// A number.
    Number(Bounds),
    /// A whole number.
    Whole(Bounds),
    /// A number above 0, and at most this.
    Above(f64),
    /// Two numbers.
    Pair(Bounds),
    /// Two numbers above 0, and at most this.
    Sides(f64),
    /// A number for both ways or one for each; not 0.
    Scale,
    /// A line of text for people.
    Words,
    /// One of these words.
    Word(&'static [&'static str]),
    /// Text of a form.
    Text(&'static Form),
    /// Such a text, or a list of so many.
    Texts(&'static Form, [usize; 2]),
    /// A date.
    Date,
    /// A list of so many.
    List(&'static Self, [usize; 2]),
    /// A table with these keys.
    Table(&'static [Key]),
    /// Any of these.
    Any(&'static [Self]),
}

impl Kind {
    /// Itself, or the kinds that it can be.
    #[must_use]
    pub const fn all(&self) -> &[Self] {
        match self {
            Self::Any(kinds) => kinds,
            one => std::slice::from_ref(one),
        }
    }

    /// The bounds of its numbers, where it has some; that some are above 0 is for their reader to say.
    #[must_use]
    pub fn bounds(&self) -> Option<Bounds> {
        match *self {
            Self::Number(bounds) | Self::Whole(bounds) | Self::Pair(bounds) => Some(bounds),
            Self::Above(_) | Self::Sides(_) => Some(LENGTHS),
            Self::Scale => Some(FACTORS),
            Self::List(kind, _) => kind.bounds(),
            Self::Any(kinds) => kinds.iter().find_map(Self::bounds),
            _ => None,
        }
    }

    /// True if it can be `false`, and nothing else of its kind.
    #[must_use]
    pub fn takes_no(&self) -> bool {
        self.all().iter().any(|kind| matches!(kind, Self::No))
    }

    /// How many it is a list of, where it is one.
    #[must_use]
    pub fn counts(&self) -> Option<[usize; 2]> {
        self.all().iter().find_map(|kind| match *kind {
            Self::List(_, counts) | Self::Texts(_, counts) => Some(counts),
            _ => None,
        })
    }

    /// Its words, where it has some.
    #[must_use]
    pub fn words(&self) -> &'static [&'static str] {
        let words = |kind: &Self| match *kind {
            Self::Word(words) => Some(words),
            _ => None,
        };
        self.all().iter().find_map(words).unwrap_or_default()
    }

    /// The keys of the table that it can be.
    #[must_use]
    pub fn keys(&self) -> Option<&'static [Key]> {
        self.all().iter().find_map(|kind| match *kind {
            Self::Table(keys) => Some(keys),
            Self::List(kind, _) => kind.keys(),
            _ => None,
        })
    }
}
