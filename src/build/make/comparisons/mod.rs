//! New pictures of a plan against the members' approved sets, and into them.
//!
//! What a caller does: [`ApprovedSet::open`] for each member; [`compare_poses`] for the jobs of any members,
//! views and poses (before and after pictures go below [`CompareStyle::out`]); [`gather`] for each member;
//! [`show_removed`] and [`write_comparison`]. [`promote`] takes new pictures into a set.

mod drawn;
mod files;
mod gather;
mod model;
mod pose;
mod promote;
mod removed;
mod round;

pub use files::{comparison_folder, write_comparison};
pub use gather::{NotDrawn, gather};
pub use pose::known_identical;
pub use promote::promote;
pub use removed::show_removed;
pub use round::{CompareStyle, ComparedPose, Round, scale_of};

use std::collections::BTreeMap;

use crate::build::make::pictures::Framing;
use crate::build::plan::{Job, Plan};
use crate::build::run::{Event, Failure, run};
use crate::compare::ApprovedSet;
use crate::draw::Scratch;
use drawn::Drawn;
use model::models;
use pose::compared;

/// The framing of every model of a plan, to check its size before anything is drawn.
pub fn framings<'a>(
    plan: &'a Plan,
    style: &'a CompareStyle,
) -> impl Iterator<Item = crate::draw::Viewport> + 'a {
    let models = plan.models.iter();
    models.map(|m| Framing::Scale(scale_of(&m.member, style.scale)).viewport(m.member.canvas))
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
