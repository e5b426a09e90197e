//! Kinds of sheet that no pose list asks for.

/// A kind of sheet that no pose list asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum MemberKind {
    /// A view at rest, measured.
    Model,
    /// All views on one ground.
    Turnaround,
    /// Poses that change no more than the head, cropped to it.
    Expressions,
    /// Every replacement of a part, in its place.
    Charts,
    /// All members on one ground.
    LineUp,
    /// One pose in every palette.
    Colours,
}

impl MemberKind {
    /// All of them.
    pub const ALL: [Self; 6] = [
        Self::Model,
        Self::Turnaround,
        Self::Expressions,
        Self::Charts,
        Self::LineUp,
        Self::Colours,
    ];

    /// What files and labels call it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Model => "model",
            Self::Turnaround => "turnaround",
            Self::Expressions => "expressions",
            Self::Charts => "charts",
            Self::LineUp => "line-up",
            Self::Colours => "colours",
        }
    }

    /// What it cannot be made without.
    #[must_use]
    pub const fn needs(self) -> &'static str {
        match self {
            Self::Model => "model sheets need a member whose parts draw something",
            Self::Turnaround => "a turnaround needs a member with two views",
            Self::Expressions => "expressions need [crop.head] and poses that change nothing else",
            Self::Charts => "charts need parts with replacements",
            Self::LineUp => "a line-up needs members whose parts draw something",
            Self::Colours => "colours need a member with palettes",
        }
    }
}
