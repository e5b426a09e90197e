//! What all poses of one view share: its approved set, its rig now, the edits since.

use std::collections::BTreeMap;

use super::round::Sets;
use crate::build::plan::{Job, Plan};
use crate::build::run::Failure;
use crate::cast::Member;
use crate::compare::ApprovedSet;
use crate::compare::recording::slashed;
use crate::compare::{self, Digest, Edit, RigRecord};
use crate::diag::{Place, Problem, Sources};

/// What all poses of a model share.
pub(super) struct ViewRecord<'a> {
    pub set: &'a ApprovedSet,
    pub rig: RigRecord,
    pub digest: Digest,
    /// From each approved rig of this view.
    pub edits: BTreeMap<&'a Digest, Vec<Edit>>,
    /// Numbers of owners by part, for the whole member.
    pub numbers: BTreeMap<String, u16>,
    /// Digests of the rig's files.
    pub inputs: BTreeMap<String, Digest>,
}

/// Names of all parts of a member, then and now: what owner maps in a comparison's folder count by.
pub(super) fn part_names(member: &Member, set: &ApprovedSet) -> Vec<String> {
    let mut names = member.names.clone();
    for rig in set.manifest.rigs.values() {
        for name in rig.parts.keys() {
            if !names.contains(name) {
                names.push(name.clone());
            }
        }
    }
    names
}

/// What each part counts as in the maps of owners of a comparison.
pub(super) fn numbers(names: Vec<String>) -> Result<BTreeMap<String, u16>, Failure> {
    if names.len() > usize::from(u16::MAX) {
        let message = format!(
            "then and now there are {} parts, and maps of owners tell {} apart",
            names.len(),
            u16::MAX
        );
        let hint = "approve the member anew in an empty folder";
        return Err(Failure::Input(
            Problem::error(Place::Nowhere, message).hint(hint),
        ));
    }
    Ok(names.into_iter().zip(1..=u16::MAX).collect())
}

/// What the poses of each of the plan's models share, for those that have a job.
pub(super) fn models<'a>(
    plan: &Plan,
    sets: &'a Sets,
    sources: &Sources,
    jobs: &[Job<'_>],
) -> Result<Vec<Option<ViewRecord<'a>>>, Failure> {
    let one = |(at, model): (usize, &crate::build::MemberView)| {
        if !jobs.iter().any(|job| job.model == at) {
            return Ok(None);
        }
        let Some(set) = sets.get(&model.member.key) else {
            return Ok(None);
        };
        let rig = RigRecord::of(&model.member, model.view, &model.library)
            .expect("a view with its own drawings");
        let edits = set.manifest.rigs.iter();
        let edits = edits
            .filter(|(_, then)| then.view == rig.view)
            .map(|(digest, then)| (digest, compare::edits(then, &rig)));
        let numbers = numbers(part_names(&model.member, set))?;
        let folder = &model.member.folder;
        let inputs = sources.iter().filter_map(|source| {
            let name = source.path.strip_prefix(folder).ok()?;
            Some((slashed(name), Digest::of(source.text.as_bytes())))
        });
        Ok(Some(ViewRecord {
            set,
            digest: rig.digest().map_err(|e| Failure::Fault(e.to_string()))?,
            edits: edits.collect(),
            inputs: inputs.collect(),
            numbers,
            rig,
        }))
    };
    plan.models.iter().enumerate().map(one).collect()
}
