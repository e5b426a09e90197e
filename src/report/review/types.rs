//! What the page is told.

use crate::compare::State;

/// Left, top, right, bottom, pixels; one past the last on the right and below.
pub type Area = [u32; 4];

/// All that the page shows.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Review {
    /// What was compared: a cast, a member.
    pub title: String,
    /// The program and its version.
    pub engine: String,
    /// What was edited, the one that touches most poses first.
    pub causes: Vec<Cause>,
    /// All poses, in the order of their files.
    pub entries: Vec<Entry>,
}

/// One edit.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Cause {
    /// Whose.
    pub member: String,
    /// What was edited.
    pub subject: String,
    /// What was done to it.
    pub text: String,
}

/// One pose of one view.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Entry {
    /// The member.
    pub member: String,
    /// The view; empty where the member has but one.
    pub view: String,
    /// The pose list.
    pub list: String,
    /// The pose.
    pub pose: String,
    /// What a file of decisions calls it.
    pub key: String,
    /// The pose's own note.
    pub note: Option<String>,
    /// How it stands.
    pub state: State,
    /// Why it stands so, where that needs saying.
    pub reason: Option<String>,
    /// The note of whoever refused this very picture, if somebody did; may be empty.
    pub rejected: Option<String>,
    /// The approved pixels, by digest: a decision is about these.
    pub approved: Option<String>,
    /// The new pixels, by digest: a decision is about these.
    pub picture: Option<String>,
    /// Width and height of its pictures, pixels.
    pub size: [u32; 2],
    /// How much changed, for sorting: most first.
    pub amount: f64,
    /// What was measured.
    pub figures: Vec<Figure>,
    /// Where something changed.
    pub regions: Vec<Region>,
    /// How many smaller regions are not told.
    pub more_regions: usize,
    /// What changed, part by part, most first.
    pub parts: Vec<PartChange>,
    /// Why, the most telling first: a place in [`Review::causes`], and the share of what changed that it may explain.
    pub causes: Vec<(usize, f64)>,
    /// Which pictures are there.
    pub looks: Vec<Look>,
    /// Whether there is a map of part owners.
    pub owners: bool,
}

/// A measured value.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Figure {
    /// What.
    pub label: String,
    /// How much, with its unit.
    pub value: String,
    /// How much would do, with its unit.
    pub limit: Option<String>,
}

/// A place where something changed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Region {
    /// Its box.
    pub area: Area,
    /// Changed pixels in it.
    pub pixels: u64,
    /// The parts that own most of them.
    pub parts: Vec<String>,
}

/// What became of a part.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PartChange {
    /// The part.
    pub part: String,
    /// What became of it, in words: "moved 3.2 px".
    pub change: String,
    /// Where it is, or was.
    pub area: Option<Area>,
}

/// A picture of a pose.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Look {
    /// As approved.
    Before,
    /// As it is now.
    After,
    /// Where the two differ.
    Difference,
    /// Small, for the overview.
    Small,
}

impl Look {
    /// The word for it, in file names and on the page.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Before => "before",
            Self::After => "after",
            Self::Difference => "difference",
            Self::Small => "small",
        }
    }

    /// The file of this picture of the pose with this number, in the review's folder.
    #[must_use]
    pub fn file(self, number: usize) -> String {
        format!("pictures/{number:04}.{}.png", self.word())
    }
}
