//! What was compared of a member, gathered into one comparison.

use super::model::part_names;
use super::round::{ComparedPose, blank};
use crate::build::plan::Plan;
use crate::cast::Member;
use crate::compare::ApprovedSet;
use crate::compare::{
    self, Comparison, Counts, ENGINE, Edit, FORMAT, Found, PoseComparison, State,
};
use crate::files::relative;
use crate::name::Name;

/// Poses that this run was to draw and did not, by printed name, and why.
pub type NotDrawn = [(Name, String)];

/// Gathers one member's poses into a comparison. `whole` says that nothing was filtered out, so that
/// an approved pose that is not there any more is a removed one; `edits` are all that were made in its rig.
pub(super) fn gather(
    plan: &Plan,
    member: &Member,
    set: &ApprovedSet,
    compared: Vec<ComparedPose>,
    not_drawn: &NotDrawn,
    whole: bool,
    edits: &[&Edit],
) -> Comparison {
    let mut poses: Vec<PoseComparison> = Vec::new();
    let mut found: Vec<Vec<Found>> = Vec::new();
    for one in compared {
        poses.push(one.result);
        found.push(one.found);
    }
    let present: Vec<String> = poses.iter().map(|p| p.key.clone()).collect();
    for (key, approved) in &set.manifest.poses {
        if present.contains(key) {
            continue;
        }
        let of = Name::of_key(&member.key, key);
        let why = not_drawn.iter().find(|(name, _)| name.holds(&of));
        let state = match why {
            Some(_) => State::Missing,
            None if whole && is_gone(plan, member, &of) => State::Removed,
            None => continue,
        };
        poses.push(PoseComparison {
            state,
            reason: why.map(|(_, why)| why.clone()),
            approved: Some(approved.pixels.clone()),
            width: approved.width,
            height: approved.height,
            ..blank(&of, key.clone())
        });
        found.push(Vec::new());
    }
    // Edits that show in no picture are told too.
    let mut unseen: Vec<Edit> = Vec::new();
    for &edit in edits {
        if !unseen.iter().any(|other| other.subject == edit.subject) {
            unseen.push(edit.clone());
        }
    }
    // What is within the thresholds is nobody's cause.
    let of_pose = |at: usize| {
        if poses[at].state == State::Differs {
            found[at].as_slice()
        } else {
            &[]
        }
    };
    let pairs: Vec<(&str, &[Found])> = poses
        .iter()
        .enumerate()
        .map(|(at, pose)| (pose.pose.as_str(), of_pose(at)))
        .collect();
    let (causes, of_poses) = compare::ranked(pairs, &unseen);
    for (pose, causes) in poses.iter_mut().zip(of_poses) {
        pose.causes = causes;
    }
    Comparison {
        format: FORMAT,
        engine: ENGINE.to_owned(),
        member: member.key.clone(),
        name: member.name.clone(),
        approved: relative(&member.folder, &set.folder),
        set: set.state,
        remarks: set.remarks.clone(),
        counts: Counts::of(poses.iter().map(|p| p.state)),
        causes,
        poses,
        orphans: set.orphans(),
        part_names: part_names(member, set),
    }
}

/// True when an approved pose is in none of the lists that were read, all views and lists of the
/// member considered.
fn is_gone(plan: &Plan, member: &Member, of: &Name) -> bool {
    let sections = plan
        .sections
        .iter()
        .filter(|s| plan.models[s.model].member.key == member.key);
    let mut known_view = false;
    for section in sections.filter(|s| s.name.view == of.view) {
        known_view = true;
        if section.name.list == of.list {
            let mut all = section.list.all().map(|pose| &pose.name);
            // A list with mistakes may hold the pose.
            return section.list.left_out.is_empty() && !all.any(|n| Some(n) == of.pose.as_ref());
        }
    }
    // The list is gone, of a view that is drawn; or the view itself is gone.
    known_view || member.views.iter().all(|view| view.name != of.view)
}
