//! Poses of lists, and what they change of depth.

use crate::cast::{Pose, PoseList, View};
use crate::pose::{Note, ResolvedPose, Solved, solved};

/// A pose of a list.
pub(super) struct ListedPose<'a> {
    list: &'a str,
    /// As it is written.
    pub written: &'a Pose,
    pub pose: ResolvedPose,
    /// What solving it came upon.
    pub notes: Vec<Note>,
}

/// Another depth order than that of rest.
pub(super) struct Order {
    /// `list/pose`.
    pub name: String,
    pub rank: Vec<usize>,
    /// Rest in this order.
    pub pose: ResolvedPose,
}

impl<'a> ListedPose<'a> {
    pub fn new(list: &'a PoseList, written: &'a Pose, view: &View) -> Self {
        let Solved { pose, notes } = solved(written, view);
        Self {
            list: &list.key,
            written,
            pose,
            notes,
        }
    }

    /// `list/pose`.
    pub fn name(&self) -> String {
        format!("{}/{}", self.list, self.written.name)
    }
}
