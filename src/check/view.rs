//! All checks of one view.

use super::at_rest::ranks;
use super::finding::{Findings, Range};
use super::limb::{Rest, SCALE};
use super::listed::{ListedPose, Order};
use super::turns::Turning;
use super::{Finding, chain, posed, poses, seams, wear};
use crate::cast::{PartId, PoseList};
use crate::parallel::each;
use crate::pose::ResolvedPose;
use crate::solve::Puppet;

/// Checks a view, with the depth orders of these pose lists. Poses that contradict themselves are
/// passed over, they are mistakes of their own; so are lists of other members.
#[must_use]
pub fn check(puppet: &Puppet, lists: &[&PoseList]) -> Findings {
    let lists = lists.iter().copied();
    let lists = lists.filter(|list| list.fits(puppet.member()));
    let lists = &lists.collect::<Vec<_>>()[..];
    let view = puppet.0.view();
    let Some(rank) = ranks(puppet, &ResolvedPose::rest(view)) else {
        return Findings::default();
    };
    let rest = Rest::new(puppet, rank, SCALE);
    let orders = orders(&rest, lists);
    let listed = lists.iter().flat_map(|list| {
        let poses = list.poses.iter();
        poses.map(|pose| ListedPose::new(list, pose, view))
    });
    let listed: Vec<ListedPose<'_>> = listed.collect();
    let children: Vec<PartId> = view.ids().collect();
    let turned: Vec<(Vec<Finding>, Option<Range>)> = each(&children, |&child| {
        let Some(turning) = Turning::new(&rest, child) else {
            return (Vec::new(), None);
        };
        let (mut found, range) = turning.through(&orders);
        found.extend(chain::check(&turning));
        (found, range)
    });
    let mut all = Findings::default();
    for (found, range) in turned {
        all.list.extend(found);
        all.ranges.extend(range);
    }
    all.list.extend(seams::check(&rest, &orders));
    all.list.extend(wear::check(&rest));
    all.list.extend(poses::check(&rest, &listed));
    all.list.extend(posed::check(&rest, &listed));
    // Errors before warnings; else in the order of the rig, which the steps above keep.
    all.list.sort_by_key(|f| f.severity);
    all
}

/// The depth orders of the lists' poses, each once, beside that of rest.
fn orders(rest: &Rest<'_>, lists: &[&PoseList]) -> Vec<Order> {
    let view = rest.view();
    let mut orders: Vec<Order> = Vec::new();
    for list in lists {
        let sweeps = list.sweeps.iter().filter_map(|s| s.poses.first());
        for written in list.poses.iter().chain(sweeps) {
            if written.depth.is_empty() && written.sides.is_empty() {
                continue;
            }
            let listed = ListedPose::new(list, written, view);
            let pose = listed.pose.depths(view);
            let Some(rank) = ranks(rest.puppet, &pose) else {
                continue;
            };
            if rank != rest.rank && orders.iter().all(|known| known.rank != rank) {
                orders.push(Order {
                    name: listed.name(),
                    rank,
                    pose,
                });
            }
        }
    }
    orders
}
