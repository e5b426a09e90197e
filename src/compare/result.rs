//! What a comparison finds.

use serde::{Deserialize, Serialize};

use super::Digest;

/// `comparison.json`: one member, one run.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Comparison {
    /// [`FORMAT`](super::FORMAT).
    pub format: u32,
    /// The program that drew the new pictures: [`ENGINE`](super::ENGINE).
    pub engine: String,
    /// What files and commands call the member.
    pub member: String,
    /// The member's display name.
    pub name: String,
    /// The folder of the approved set, from the member's.
    pub approved: String,
    /// Whether there is one.
    pub set: SetState,
    /// What else a person should know: why the set could not be read, say.
    pub remarks: Vec<String>,
    /// Poses by state.
    pub counts: Counts,
    /// The edits since, those that touch the most poses first. Edits that changed no picture come
    /// last, with no poses.
    pub causes: Vec<Cause>,
    /// In the order of the pose lists; removed poses last.
    pub poses: Vec<PoseComparison>,
    /// Files of the approved set that no approved pose needs, relative to it.
    pub orphans: Vec<String>,
    /// What owner maps count by: number `n` is the part `part_names[n - 1]`.
    pub part_names: Vec<String>,
}

/// Whether there is an approved set.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SetState {
    /// It was read.
    Present,
    /// There is none yet.
    #[default]
    Absent,
    /// Its manifest cannot be read.
    Damaged,
}

/// How a pose stands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum State {
    /// Pixel for pixel the approved picture.
    #[default]
    Identical,
    /// Other pixels, all within the thresholds.
    Within,
    /// Changed beyond the thresholds.
    Differs,
    /// A pose that the approved set has not.
    New,
    /// There is no approved set, or its files for this pose are missing or damaged.
    NotYetApproved,
    /// Approved, but this run could not draw it.
    Missing,
    /// Approved, but no longer in its pose list.
    Removed,
}

impl State {
    /// All of them, those that ask for a look first.
    pub const ALL: [Self; 7] = [
        Self::Differs,
        Self::New,
        Self::NotYetApproved,
        Self::Missing,
        Self::Removed,
        Self::Within,
        Self::Identical,
    ];

    /// In words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Identical => "identical",
            Self::Within => "within tolerance",
            Self::Differs => "differs",
            Self::New => "new",
            Self::NotYetApproved => "not yet approved",
            Self::Missing => "missing",
            Self::Removed => "removed",
        }
    }

    /// True when a person must look.
    #[must_use]
    pub const fn asks(self) -> bool {
        !matches!(self, Self::Identical | Self::Within)
    }
}

/// How many poses are in each state.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[expect(missing_docs, reason = "each is the state of its name")]
pub struct Counts {
    pub identical: usize,
    pub within: usize,
    pub differs: usize,
    pub new: usize,
    pub not_yet_approved: usize,
    pub missing: usize,
    pub removed: usize,
}

impl Counts {
    /// Of these states.
    #[must_use]
    pub fn of(states: impl IntoIterator<Item = State>) -> Self {
        let mut counts = Self::default();
        for state in states {
            *counts.at(state) += 1;
        }
        counts
    }

    const fn at(&mut self, state: State) -> &mut usize {
        match state {
            State::Identical => &mut self.identical,
            State::Within => &mut self.within,
            State::Differs => &mut self.differs,
            State::New => &mut self.new,
            State::NotYetApproved => &mut self.not_yet_approved,
            State::Missing => &mut self.missing,
            State::Removed => &mut self.removed,
        }
    }

    /// How many are in this state.
    #[must_use]
    pub fn get(mut self, state: State) -> usize {
        *self.at(state)
    }

    /// How many ask for a look.
    #[must_use]
    pub fn asking(self) -> usize {
        let states = State::ALL.into_iter().filter(|s| s.asks());
        states.map(|s| self.get(s)).sum()
    }
}

/// One pose.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PoseComparison {
    /// As printed: `member/list/pose`, or `member/view/list/pose`.
    pub pose: String,
    /// The key in the manifest: the same without the member.
    pub key: String,
    /// The view's name, where it has one.
    pub view: Option<String>,
    /// The pose list.
    pub list: String,
    /// The pose's own name.
    pub name: String,
    /// The pose's note.
    pub note: Option<String>,
    /// How it stands.
    pub state: State,
    /// Why it stands so, where that needs saying.
    pub reason: Option<String>,
    /// The note of whoever refused this very picture, if somebody did; may be empty.
    pub rejected: Option<String>,
    /// Pixels of the approved picture, by digest.
    pub approved: Option<Digest>,
    /// Pixels of the new picture, by digest.
    pub picture: Option<Digest>,
    /// Of the new picture (of the approved one where there is no new one), pixels.
    pub width: u32,
    /// Pixels.
    pub height: u32,
    /// How far the pictures are apart; only where both are there, of one size, and not identical.
    pub figures: Option<Figures>,
    /// Where, the largest first.
    pub regions: Vec<ChangedRegion>,
    /// How many smaller regions are not listed.
    pub more_regions: usize,
    /// Which parts changed and how: those that changed by themselves first, then those that were
    /// only carried, covered or uncovered; within each, the most pixels first.
    pub parts: Vec<PartChange>,
    /// Because of which edits, the most telling first.
    pub causes: Vec<PoseCause>,
    /// The files beside `comparison.json`.
    pub files: PoseFiles,
}

/// Pictures of a pose, relative to the folder of `comparison.json`, with `/` between folders. Only
/// poses that are not identical have files.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct PoseFiles {
    /// The approved picture.
    pub before: Option<String>,
    /// The new picture.
    pub after: Option<String>,
    /// What changed, in colour over the paled new picture.
    pub difference: Option<String>,
    /// Which part owned each pixel.
    pub before_owners: Option<String>,
    /// Which part owns each pixel.
    pub after_owners: Option<String>,
}

impl PoseFiles {
    /// All of them.
    pub fn all(&self) -> impl Iterator<Item = &String> {
        let pictures = [&self.before, &self.after, &self.difference];
        let all = pictures.into_iter();
        all.chain([&self.before_owners, &self.after_owners])
            .flatten()
    }
}

/// How far two pictures are apart.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Figures {
    /// Pixels that are not the same.
    pub unequal: u64,
    /// Those of them that are beyond the tolerance for colour and for soft edges.
    pub changed: u64,
    /// `changed`, as a share of the pixels that the figure covers before or after, 0 to 1.
    pub share: f64,
    /// The largest colour difference of a pixel, CIEDE2000.
    pub worst: f64,
    /// The mean colour difference of the changed pixels, CIEDE2000.
    pub mean: f64,
    /// Structural similarity over the figure's box, 1 for the same (Wang et al. 2004).
    pub ssim: f64,
}

/// A stretch of changed pixels that hang together.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ChangedRegion {
    /// Left, top, right, bottom, pixels; one past the last on the right and below.
    #[serde(rename = "box")]
    pub area: [u32; 4],
    /// Changed pixels in it.
    pub pixels: u64,
    /// The parts that owned or own most of them, the most first; at most three.
    pub parts: Vec<String>,
}

/// What became of a part.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PartChange {
    /// The part.
    pub part: String,
    /// In words: `moved 4.1 px right and 2 px down, turned 3.5°; recoloured #d99c78 to #c98c68`.
    pub text: String,
    /// The same for programs.
    pub changes: Vec<Change>,
    /// Changed pixels that it owned or owns.
    pub pixels: u64,
    /// What it owns now (or owned, if it vanished), pixels: left, top, right, bottom.
    #[serde(rename = "box")]
    pub area: Option<[u32; 4]>,
}

/// One thing that became of a part. Lengths are pixels of the picture, angles degrees clockwise.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "what")]
pub enum Change {
    /// It is elsewhere.
    Moved {
        /// Right and down, of its middle.
        by: [f64; 2],
        /// How far its farthest visible corner went.
        most: f64,
        /// Turned by.
        turned: f64,
        /// Grown by these factors.
        scaled: f64,
        /// The part that carried it along, where it did not move by itself.
        with: Option<String>,
    },
    /// The same shapes in other colours.
    Recoloured {
        /// The colour of most of its changed pixels, then.
        from: String,
        /// And now.
        to: String,
        /// Between the two, CIEDE2000.
        difference: f64,
    },
    /// Other outlines in the same drawing.
    Redrawn {
        /// `file#id`.
        drawing: String,
    },
    /// Another drawing.
    Replaced {
        /// `file#id`; none where it showed nothing.
        from: Option<String>,
        /// `file#id`; none where it shows nothing.
        to: Option<String>,
    },
    /// It shows and did not.
    Appeared,
    /// It showed and does not.
    Vanished,
    /// It changed places in depth with a part that it meets.
    Reordered {
        /// That part.
        other: String,
        /// Whether it is now in front of it.
        in_front: bool,
    },
    /// Nothing became of it, but more of it is seen, or less, or its cut edges are others.
    Uncovered {
        /// Pixels more; below 0 for fewer.
        pixels: i64,
    },
}

/// One edit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Cause {
    /// What was edited: `forearm_near.pivot`, `front.svg#hand_open`, `pose haul: turn.arm`,
    /// `palette day: skin`. Unique in a comparison; `--cause` of `layfig approve` takes it.
    pub subject: String,
    /// In what.
    pub kind: CauseKind,
    /// What was done to it: `moved 3.2 units, [412, 300] to [415, 301]`.
    pub text: String,
    /// The view, where it is about one only and that has a name.
    pub view: Option<String>,
    /// The parts that it is about.
    pub parts: Vec<String>,
    /// The poses that it changed, as printed.
    pub poses: Vec<String>,
    /// The changed pixels that it may explain, over these poses.
    pub pixels: u64,
}

/// What an edit is in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum CauseKind {
    /// A setting of a part.
    Part,
    /// An element of an SVG file.
    Drawing,
    /// A swatch.
    Palette,
    /// A seam.
    Seam,
    /// A mask.
    Mask,
    /// A garment.
    Garment,
    /// A pose.
    Pose,
    /// The canvas, or the scale of the pictures.
    Picture,
    /// This program.
    Engine,
}

/// An edit that changed a pose.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct PoseCause {
    /// Its place in [`Comparison::causes`].
    pub cause: usize,
    /// The share of the changed pixels that it may explain, 0 to 1.
    pub share: f64,
}

impl Comparison {
    /// As text.
    ///
    /// # Errors
    ///
    /// When it cannot be written as JSON.
    pub fn text(&self) -> serde_json::Result<String> {
        let mut text = serde_json::to_string_pretty(self)?;
        text.push('\n');
        Ok(text)
    }
}
