//! New pictures into an approved set.

use std::path::PathBuf;

use super::drawn::Drawn;
use super::model::models;
use super::round::Round;
use crate::build::make::pictures::encoded;
use crate::build::plan::Job;
use crate::build::run::{Event, Failure, run};
use crate::compare::{ApprovedPose, RigRecord};
use crate::compare::{ApprovedSet, OpenSet};
use crate::draw::Scratch;
use crate::draw::{Effort, grey_png, png};

/// Draws jobs of one member and keeps their pictures in the open set. The result has an entry for
/// each job: the key and what the manifest is to say, with the rig that it was made from.
pub fn promote(
    round: &Round<'_>,
    (set, known): (&OpenSet, &ApprovedSet),
    watch: impl FnMut(Event),
) -> Vec<Result<(String, ApprovedPose, RigRecord), Failure>> {
    let &Round {
        plan,
        jobs,
        sources,
        threads,
        ..
    } = round;
    let sets = plan.models.iter();
    let sets = sets
        .map(|m| (m.member.key.clone(), known.clone()))
        .collect();
    let models = match models(plan, &sets, sources, jobs) {
        Ok(models) => models,
        Err(failure) => return jobs.iter().map(|_| Err(failure.clone())).collect(),
    };
    let work = |job: &Job<'_>, scratch: &mut Scratch| {
        let Some(model) = models[job.model].as_ref() else {
            return Err(Failure::Fault("there is no set to approve for".into()));
        };
        let drawn = Drawn::new(round, job, model, scratch)?;
        let mut seen = drawn.seen;
        let key = job.name.key();
        // The same pixels keep the file that holds them, whatever the encoder would write today.
        let same = known
            .manifest
            .poses
            .get(&key)
            .filter(|old| old.pixels == seen.pixels && known.files(old).is_ok());
        let failed = |(path, e): (PathBuf, std::io::Error)| Failure::write(path, e);
        seen.picture = match same {
            Some(old) => old.picture.clone(),
            None => {
                let bytes = encoded(png(drawn.pixmap.as_ref(), false, Effort::Small))?;
                set.keep("pictures", &bytes).map_err(failed)?
            }
        };
        let grey = grey_png(
            drawn.owners.width,
            drawn.owners.height,
            &drawn.owners.owners,
        );
        seen.owners = set.keep("owners", &encoded(grey)?).map_err(failed)?;
        Ok((key, seen, model.rig.clone()))
    };
    run(jobs, threads, work, watch)
}
