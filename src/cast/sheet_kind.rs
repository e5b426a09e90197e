//! Kinds of sheet: one table for files, arguments, plans and labels.

use serde::Serialize;

/// A kind of sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub enum SheetKind {
    /// Poses with names and notes.
    Pose,
    /// Sweeps, each as a row, or as a grid for two joints.
    Range,
    /// Poses, and the steps of sweeps, over each other in tints.
    Onion,
    /// A view at rest, measured.
    Model,
    /// Views on one ground.
    Turnaround,
    /// Poses cropped to the head.
    Expressions,
    /// Replacements of parts, in their places.
    Charts,
    /// All members on one ground; no list asks for it.
    LineUp,
    /// One pose in every palette.
    Colours,
}

/// What there is to say of a kind of sheet.
#[derive(Debug)]
pub struct SheetSpec {
    /// What files, arguments and labels call it.
    pub name: &'static str,
    /// In a line, for people who look for the right one.
    pub about: &'static str,
    /// What its heading says that it shows.
    pub title: &'static str,
    /// How its files end, before the number of the page.
    pub ending: &'static str,
    /// What it cannot be made without.
    pub needs: &'static str,
    /// The keys that say something on it, of those that do not on all.
    keys: &'static [&'static str],
}

const OF_LISTS: &str = "pose sheets need poses, range sheets sweeps, onion sheets two of either";

/// In the order of the kinds.
#[rustfmt::skip]
static TABLE: [SheetSpec; 9] = [
    SheetSpec {
        name: "pose", title: "poses", ending: "sheet", needs: OF_LISTS,
        about: "Poses with names and notes",
        keys: &["poses", "canvas", "crop", "palette", "columns", "cell", "targets"],
    },
    SheetSpec {
        name: "range", title: "sweeps", ending: "sweeps", needs: OF_LISTS,
        about: "Sweeps as rows, or as grids for two joints",
        keys: &["sweeps", "canvas", "crop", "palette", "columns", "cell"],
    },
    SheetSpec {
        name: "onion", title: "overlays", ending: "onion", needs: OF_LISTS,
        about: "Poses, and the steps of sweeps, over each other in tints",
        keys: &["poses", "sweeps", "canvas", "crop", "columns", "cell"],
    },
    SheetSpec {
        name: "model", title: "model sheet", ending: "sheet", keys: &[],
        about: "A view at rest: ruler in heads, measurements, colours, notes",
        needs: "model sheets need a member whose parts draw something",
    },
    SheetSpec {
        name: "turnaround", title: "turnaround", ending: "sheet", keys: &["poses"],
        about: "All views on one ground; at rest a landmark that drifts between them is flagged; or one pose in all views",
        needs: "a turnaround needs a member with two views",
    },
    SheetSpec {
        name: "expressions", title: "expressions", ending: "sheet",
        about: "Poses that change only the head, cropped to it",
        needs: "expressions need [crop.head] and poses that change nothing else",
        keys: &["poses", "crop", "palette", "columns", "cell"],
    },
    SheetSpec {
        name: "charts", title: "replacements", ending: "sheet",
        about: "Every replacement of a part, in its place",
        needs: "charts need parts with replacements",
        keys: &["charts", "palette", "columns", "cell"],
    },
    SheetSpec {
        name: "line-up", title: "line-up", ending: "sheet", keys: &[],
        about: "All members to one scale on one ground",
        needs: "a line-up needs members whose parts draw something",
    },
    SheetSpec {
        name: "colours", title: "colours", ending: "sheet", keys: &["poses"],
        about: "One pose in every palette",
        needs: "colours need a member with palettes",
    },
];

/// What those are called that a list can ask for.
pub(super) const LISTED: [&str; 8] = {
    let mut names = [""; 8];
    let (mut at, mut next) = (0, 0);
    while at < TABLE.len() {
        if at != SheetKind::LineUp as usize {
            names[next] = TABLE[at].name;
            next += 1;
        }
        at += 1;
    }
    names
};

impl SheetKind {
    /// All of them.
    pub const ALL: [Self; 9] = [
        Self::Pose,
        Self::Range,
        Self::Onion,
        Self::Model,
        Self::Turnaround,
        Self::Expressions,
        Self::Charts,
        Self::LineUp,
        Self::Colours,
    ];

    /// Those that every pose list has.
    pub const OF_LISTS: [Self; 3] = [Self::Pose, Self::Range, Self::Onion];

    /// What there is to say of it.
    #[must_use]
    pub fn spec(self) -> &'static SheetSpec {
        &TABLE[self as usize]
    }

    /// What files call it.
    #[must_use]
    pub fn name(self) -> &'static str {
        self.spec().name
    }

    /// True for a kind that shows a pose list as it is; any other has poses of its own.
    #[must_use]
    pub fn is_of_list(self) -> bool {
        Self::OF_LISTS.contains(&self)
    }

    /// Whether it shows poses of a list, and whether steps of sweeps.
    #[must_use]
    pub const fn shows(self) -> [bool; 2] {
        [!matches!(self, Self::Range), !matches!(self, Self::Pose)]
    }

    /// Those that a list can ask for.
    pub(super) fn listed() -> impl Iterator<Item = Self> + Clone {
        Self::ALL.into_iter().filter(|kind| *kind != Self::LineUp)
    }

    /// True when a key says something on such a sheet.
    pub(super) fn takes(self, key: &str) -> bool {
        let says = |spec: &SheetSpec| spec.keys.contains(&key);
        says(self.spec()) || !TABLE.iter().any(says)
    }
}
