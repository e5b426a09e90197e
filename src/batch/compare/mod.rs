//! New pictures of a plan against the members' approved sets, and into them.
//!
//! What a caller does: [`ApprovedSet::open`] for each member; [`compare_poses`] for the jobs of any members,
//! views and poses (before and after pictures go below [`CompareStyle::out`]); [`gather`] for each member;
//! [`show_undrawn`] and [`write_comparison`]. [`promote`] takes new pictures into a set.

mod drawn;
mod files;
mod gather;
mod model;
mod pose;
mod promote;
mod undrawn;

pub use files::{comparison_folder, write_comparison};
pub use gather::{NotDrawn, gather};
pub use pose::known_identical;
pub use promote::promote;
pub use undrawn::show_undrawn;

use std::collections::BTreeMap;
use std::path::PathBuf;

use super::approved::ApprovedSet;
use super::pictures::Framing;
use super::plan::{Job, Plan};
use super::run::{Event, Failure, run};
use crate::cast::{CompareSettings, Member};
use crate::compare::{ApprovedPose, Found, PoseComparison, Tolerance};
use crate::diag::Sources;
use crate::draw::Scratch;
use crate::solve::Puppet;
use drawn::Drawn;
use model::models;
use pose::compared;

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
#[derive(Clone, Copy, Debug)]
pub struct Round<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// One for each of its models.
    pub puppets: &'a [Puppet],
    /// Those of its jobs that can be drawn.
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
    /// What an approved set would keep of the new picture, but for the names of its files.
    pub seen: ApprovedPose,
}

/// The scale that a member's pictures are compared at.
#[must_use]
pub fn scale_of(member: &Member, scale: Option<f64>) -> f64 {
    scale.or(member.compare.scale).unwrap_or(1.0)
}

/// The framing of every model of a plan, to check its size before anything is drawn.
pub fn framings<'a>(
    plan: &'a Plan,
    style: &'a CompareStyle,
) -> impl Iterator<Item = crate::draw::Viewport> + 'a {
    let models = plan.models.iter();
    models.map(|m| Framing::Scale(scale_of(&m.member, style.scale)).viewport(m.member.canvas))
}

/// The thresholds of a pose: its own before its rig's before the defaults.
fn tolerance(member: &Member, pose: CompareSettings) -> Tolerance {
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

/// Draws every job and compares it with the approved set of its member, found by the member's key.
/// The result has an entry for each job, in order.
pub fn compare_poses(
    round: &Round<'_>,
    sets: &BTreeMap<String, ApprovedSet>,
    watch: impl FnMut(Event),
) -> Vec<Result<ComparedPose, Failure>> {
    let &Round {
        plan,
        jobs,
        sources,
        style,
        threads,
        ..
    } = round;
    let models = match models(plan, sets, sources, jobs) {
        Ok(models) => models,
        Err(failure) => return jobs.iter().map(|_| Err(failure.clone())).collect(),
    };
    let work = |job: &Job<'_>, scratch: &mut Scratch| {
        let model = models[job.model].as_ref().ok_or_else(|| {
            Failure::Fault("there is no approved set to compare with, not even an empty one".into())
        })?;
        let drawn = Drawn::new(round, job, model, scratch)?;
        compared(plan, job, model, drawn, style)
    };
    run(jobs, threads, work, watch)
}
