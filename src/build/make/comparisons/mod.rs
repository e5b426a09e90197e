//! New pictures of a plan against the members' approved sets, and into them.
//!
//! What a caller does: [`ApprovedSet::open`] for each member; [`compare_members`], which draws all poses of a plan
//! (before and after pictures go below [`CompareStyle::out`]); [`write_comparison`] for each member. [`promote`] takes
//! new pictures into a set.

mod drawn;
mod files;
mod gather;
mod model;
mod pose;
mod promote;
mod removed;
mod round;

pub use files::{comparison_folder, write_comparison};
pub use gather::NotDrawn;
pub use pose::known_identical;
pub use promote::promote;
pub use round::{CompareStyle, ComparedPose, Comparisons, Round, Sets};

use std::collections::BTreeMap;

use crate::build::make::pictures::Framing;
use crate::build::plan::{Job, Plan};
use crate::build::run::{Event, Failure, run};
use crate::draw::Scratch;
use crate::name::Name;
use drawn::Drawn;
use gather::gather;
use model::{ViewRecord, models};
use pose::compared;
use round::scale_of;

/// The framing of every model of a plan, to check its size before anything is drawn.
pub fn framings<'a>(
    plan: &'a Plan,
    style: &'a CompareStyle,
) -> impl Iterator<Item = crate::draw::Viewport> + 'a {
    let models = plan.models.iter();
    models.map(|m| Framing::Scale(scale_of(&m.member, style.scale)).viewport(m.member.canvas))
}

/// Draws every job and compares it with the approved set of its member, but for those of which `known` has what comes
/// of them. `unread` could not be read to be drawn; `whole` says that nothing was filtered out.
pub fn compare_members(
    round: &Round<'_>,
    sets: &Sets,
    known: &(dyn Fn(&Job<'_>) -> Option<ComparedPose> + Sync),
    (unread, whole): (&NotDrawn, bool),
    watch: impl FnMut(Event),
) -> Comparisons {
    let &Round { plan, jobs, .. } = round;
    let records = models(plan, sets, round.sources, jobs);
    let work = |job: &Job<'_>, scratch: &mut Scratch| {
        if let Some(known) = known(job) {
            return Ok(known);
        }
        let records = records.as_ref().map_err(Clone::clone)?;
        let record = records[job.model].as_ref().ok_or_else(|| {
            Failure::Fault("there is no approved set to compare with, not even an empty one".into())
        })?;
        let drawn = Drawn::new(round, job, record, scratch)?;
        compared(plan, job, record, drawn, round.style)
    };
    let results = run(jobs, round.threads, work, watch);
    let mut all = Comparisons::default();
    let mut of_member: BTreeMap<&str, Vec<ComparedPose>> = BTreeMap::new();
    for (job, result) in jobs.iter().zip(results) {
        match result {
            Ok(mut one) => {
                all.made += 1;
                all.cut_off.extend(one.cut_off.take());
                let member = plan.models[job.model].member.key.as_str();
                of_member.entry(member).or_default().push(one);
            }
            Err(failure) => all.failed.push((job.name.clone(), failure)),
        }
    }
    let failed = all.failed.iter();
    let failed = failed.map(|(name, why)| (name.clone(), why.to_string()));
    let not_drawn: Vec<(Name, String)> = unread.iter().cloned().chain(failed).collect();
    let mut told: Vec<&str> = Vec::new();
    for member in plan.models.iter().map(|model| &*model.member) {
        let key = member.key.as_str();
        let Some(set) = sets.get(key).filter(|_| !told.contains(&key)) else {
            continue;
        };
        told.push(key);
        let poses = of_member.remove(key).unwrap_or_default();
        // Where records cannot be had, each pose has said why.
        let records = records.iter().flatten().flatten();
        let own = records.filter(|record: &&ViewRecord<'_>| std::ptr::eq(record.set, set));
        let edits: Vec<_> = own
            .flat_map(|record| record.edits.values().flatten())
            .collect();
        let gathered = gather(plan, member, set, poses, &not_drawn, whole, &edits);
        all.of_members.push(gathered);
    }
    all
}
