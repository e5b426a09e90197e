//! From a pose as it is written to a pose of one view: plain values first, then each way of saying where something
//! goes, in this order: lean and aim, plant, reach, look. Each finds the figure as the steps before left it. Plain turns
//! add to what is solved.

use super::{Note, ResolvedPose, aim, look, reach};
use crate::cast::{PartId, Pose, View};
use crate::kinematics::{self, Placed};

/// A pose of one view, and what there is to tell of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Solved {
    /// The pose.
    pub pose: ResolvedPose,
    /// In the order of the steps.
    pub notes: Vec<Note>,
}

/// A pose that is being solved.
pub(super) struct Work<'a> {
    pub view: &'a View,
    /// As this view sees it.
    pub written: &'a Pose,
    /// As far as it is solved.
    pub pose: ResolvedPose,
    pub notes: Vec<Note>,
    /// For each part, the turn that the pose says itself.
    plain: Vec<f64>,
}

impl<'a> Work<'a> {
    fn new(written: &'a Pose, view: &'a View) -> Self {
        let pose = ResolvedPose::plain(written, view);
        Self {
            plain: pose.parts.iter().map(|part| part.setting.turn).collect(),
            view,
            written,
            pose,
            notes: Vec::new(),
        }
    }

    /// Sets a part's turn as it is while its limb is solved.
    pub fn set(&mut self, part: PartId, turn: f64) {
        self.pose.parts[part.at()].setting.turn = turn;
    }

    /// What the pose says itself of a part's turn comes on top of what was found for it.
    pub fn add_plain(&mut self, part: PartId) {
        self.pose.parts[part.at()].setting.turn += self.plain[part.at()];
    }

    /// A part's length along its line, as far as it is solved.
    pub fn stretch_of(&self, part: PartId) -> f64 {
        self.pose.parts[part.at()].setting.stretch
    }

    /// Sets it.
    pub fn stretch(&mut self, part: PartId, stretch: f64) {
        self.pose.parts[part.at()].setting.stretch = stretch;
    }

    /// Sets a part's turn to what was found for it, and what the pose says itself comes on top.
    pub fn turn(&mut self, part: PartId, solved: f64) {
        self.set(part, solved);
        self.add_plain(part);
    }

    /// What the pose says itself of a part's turn.
    pub fn plain(&self, part: PartId) -> f64 {
        self.plain[part.at()]
    }

    /// Where a part goes, as far as it is solved.
    pub fn placed(&self, part: PartId) -> Placed {
        kinematics::placed_of(self.view, &self.pose.parts, part)
    }
}

/// What a pose comes to in a view.
#[must_use]
pub fn solved(pose: &Pose, view: &View) -> Solved {
    let written = &*pose.in_view(view.name.as_deref());
    if written.is_plain() {
        return Solved {
            pose: ResolvedPose::plain(written, view),
            notes: Vec::new(),
        };
    }
    let mut work = Work::new(written, view);
    aim::solve(&mut work);
    reach::solve(&mut work);
    look::solve(&mut work);
    let Work { pose, notes, .. } = work;
    Solved { pose, notes }
}
