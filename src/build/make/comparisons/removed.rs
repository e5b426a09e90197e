//! Approved pictures of poses that are not drawn any more, for whoever looks at a comparison.

use std::path::Path;

use super::files::comparison_folder;
use super::model::numbers;
use crate::build::make::pictures::{encoded, save};
use crate::build::run::Failure;
use crate::compare::ApprovedSet;
use crate::compare::{Comparison, State};
use crate::draw::grey_png;
use crate::files::file_name;

/// Puts the approved pictures of removed and missing poses among the comparison's files. One that is missing or damaged
/// is told in the pose's reason.
pub(super) fn show_removed(
    comparison: &mut Comparison,
    set: &ApprovedSet,
    out: &Path,
) -> Result<(), Failure> {
    let folder = comparison_folder(out, &comparison.member);
    let numbers = numbers(comparison.part_names.clone())?;
    let named = comparison
        .poses
        .iter()
        .filter_map(|p| p.files.before.clone());
    let mut taken: Vec<String> = named.collect();
    for pose in &mut comparison.poses {
        if !matches!(pose.state, State::Removed | State::Missing) {
            continue;
        }
        let Some(approved) = set.manifest.poses.get(&pose.key) else {
            continue;
        };
        let read = set.files(approved).and_then(|(picture, owners)| {
            let (_, numbered) = ApprovedSet::decoded(approved, (&picture, &owners))?;
            Ok((picture, numbered))
        });
        let (picture, owners) = match read {
            Ok(read) => read,
            Err(why) => {
                let said = pose.reason.take().map(|said| format!("{said}; "));
                pose.reason = Some(format!("{}{why}", said.unwrap_or_default()));
                continue;
            }
        };
        let steps: Vec<String> = pose.key.split('/').map(file_name).collect();
        let stem = steps.join("/");
        let name = format!("{stem}.before.png");
        if taken.contains(&name) {
            continue;
        }
        let rig = set.manifest.rigs.get(&approved.rig);
        let names = rig.into_iter().flat_map(|rig| rig.parts.keys());
        let table: Vec<u16> = names
            .map(|n| numbers.get(n).copied().unwrap_or(0))
            .collect();
        let map = super::pose::through(&owners, &table);
        let grey = encoded(grey_png(approved.width, approved.height, &map))?;
        let owners = format!("{stem}.before.owners.png");
        save(&folder.join(&name), &picture)?;
        save(&folder.join(&owners), &grey)?;
        taken.push(name.clone());
        pose.files.before = Some(name);
        pose.files.before_owners = Some(owners);
    }
    Ok(())
}
