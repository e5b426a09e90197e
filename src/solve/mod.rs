//! Rig and pose in, figure out: kinematics, replacements, depth order.

mod depth;
mod kinematics;

use std::sync::Arc;

use crate::art::Library;
use crate::cast::{Member, Pose};
use crate::diag::Problem;

/// One view of one member, prepared once for all its poses.
#[derive(Debug)]
pub struct Puppet {
    member: Arc<Member>,
    view: usize,
}

impl Puppet {
    /// Prepares a view: everything that no pose changes.
    #[must_use]
    pub fn new(member: Arc<Member>, view: usize, library: &Library) -> Self {
        let _ = library;
        Self { member, view }
    }

    /// The member.
    #[must_use]
    pub fn member(&self) -> &Member {
        &self.member
    }

    /// Which of the member's views.
    #[must_use]
    pub fn view(&self) -> usize {
        self.view
    }

    /// The figure in a pose.
    ///
    /// # Errors
    ///
    /// When the pose's sides contradict each other, or its numbers leave the finite.
    pub fn solve(&self, pose: &Pose) -> Result<Figure, Problem> {
        let _ = pose;
        Ok(Figure {})
    }
}

/// A rig solved in one pose: an ordered draw list, nothing left to look up.
#[derive(Debug)]
pub struct Figure {}

impl Figure {
    /// What the figure covers, canvas units: left, top, right, bottom. `None` when nothing shows.
    #[must_use]
    pub fn bounds(&self) -> Option<[f64; 4]> {
        None
    }

    /// Names of the parts, by their number in the owner map less one.
    #[must_use]
    pub fn part_names(&self) -> Vec<&str> {
        Vec::new()
    }
}
