//! What is compared, how, and what comes of it.

use std::collections::BTreeMap;
use std::path::PathBuf;

use crate::build::plan::{Job, Plan};
use crate::build::run::Failure;
use crate::cast::{CompareSettings, Member};
use crate::compare::{ApprovedSet, Comparison, Found, PoseComparison, PoseFiles, State, Tolerance};
use crate::diag::{Problem, Sources};
use crate::name::Name;
use crate::solve::Puppet;

/// How poses are compared.
#[derive(Clone, Debug, PartialEq)]
pub struct CompareStyle {
    /// Pixels to the canvas unit; else what the rig says, else 1.
    pub scale: Option<f64>,
    /// Where before, after and difference go, in `<member>/compare/`; nowhere if `None`.
    pub out: Option<PathBuf>,
    /// Let pictures grow where figures leave them; those of a member that says so do anyway.
    pub grow: bool,
}

/// What is drawn, and how.
#[derive(Clone, Copy)]
pub struct Round<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// The puppet of one of its models.
    pub puppet: &'a (dyn Fn(usize) -> Puppet + Sync),
    /// Those of its jobs that are to be drawn.
    pub jobs: &'a [Job<'a>],
    /// The files that it was read from.
    pub sources: &'a Sources,
    /// How poses are compared.
    pub style: &'a CompareStyle,
    /// Threads to use.
    pub threads: usize,
}

/// What came of one pose.
#[derive(Clone, Debug)]
pub struct ComparedPose {
    /// All but its causes.
    pub result: PoseComparison,
    /// The edits that changed it.
    pub found: Vec<Found>,
    /// That the new picture does not show all of its figure.
    pub cut_off: Option<Problem>,
}

/// Approved sets by their members' keys.
pub type Sets = BTreeMap<String, ApprovedSet>;

/// What came of all.
#[derive(Debug, Default)]
pub struct Comparisons {
    /// One for each member of the plan that has a set.
    pub of_members: Vec<Comparison>,
    /// Poses that could not be drawn.
    pub failed: Vec<(Name, Failure)>,
    /// Pictures that do not show all of their figures.
    pub cut_off: Vec<Problem>,
    /// How many poses were drawn.
    pub made: usize,
}

/// The scale that a member's pictures are compared at.
pub(super) fn scale_of(member: &Member, scale: Option<f64>) -> f64 {
    scale.or(member.compare.scale).unwrap_or(1.0)
}

/// The thresholds of a pose: its own before its rig's before the defaults.
pub(super) fn tolerance(member: &Member, pose: CompareSettings) -> Tolerance {
    let of = |get: fn(&CompareSettings) -> Option<f64>| get(&pose).or(get(&member.compare));
    let plain = Tolerance::default();
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "read as a whole number from 0 to 1e9"
    )]
    Tolerance {
        colour: of(|s| s.colour).unwrap_or(plain.colour),
        edge: of(|s| s.edge).unwrap_or(plain.edge),
        pixels: of(|s| s.pixels).map_or(plain.pixels, |p| p as u64),
    }
}

/// What is told of a pose before anything is known of its pictures.
pub(super) fn blank(name: &Name, key: String) -> PoseComparison {
    PoseComparison {
        pose: name.to_string(),
        key,
        view: name.view.clone(),
        list: name.list.clone().unwrap_or_default(),
        name: name.pose.clone().unwrap_or_default(),
        note: None,
        state: State::Identical,
        reason: None,
        rejected: None,
        approved: None,
        picture: None,
        width: 0,
        height: 0,
        figures: None,
        regions: Vec::new(),
        more_regions: 0,
        parts: Vec::new(),
        causes: Vec::new(),
        files: PoseFiles::default(),
    }
}
