//! All checks of one view.

use super::at_rest::{ranks, rest_pose};
use super::finding::{Findings, Range};
use super::limb::{Rest, SCALE};
use super::order::Order;
use super::turns::Turning;
use super::{Finding, chain, cut_off, posed, poses, seams, wear};
use crate::cast::{PartId, Pose, PoseList};
use crate::parallel::each;
use crate::solve::Puppet;

/// Checks a view, with the depth orders of these pose lists. Poses that contradict themselves are
/// passed over, they are mistakes of their own; so are lists of other members.
#[must_use]
pub fn check(puppet: &Puppet, lists: &[&PoseList]) -> Findings {
    let lists = lists.iter().copied();
    let lists = lists.filter(|list| list.fits(puppet.member()));
    let lists = &lists.collect::<Vec<_>>()[..];
    let view = puppet.0.view();
    let span = view.parts[0].span;
    let ranks = |pose: &Pose| ranks(puppet, pose);
    let Some(rank) = ranks(&rest_pose(span)) else {
        return Findings::default();
    };
    let rest = Rest::new(puppet, rank, SCALE);
    let orders = orders(&rest, lists, ranks);
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
    all.list.extend(poses::check(&rest, lists));
    all.list.extend(cut_off::check(&rest, lists));
    all.list.extend(posed::check(&rest, lists));
    // Errors before warnings; else in the order of the rig, which the steps above keep.
    all.list.sort_by_key(|f| f.severity);
    all
}

/// The depth orders of the lists' poses, each once, beside that of rest.
fn orders(
    rest: &Rest<'_>,
    lists: &[&PoseList],
    ranks: impl Fn(&Pose) -> Option<Vec<usize>>,
) -> Vec<Order> {
    let mut orders: Vec<Order> = Vec::new();
    for list in lists {
        let sweeps = list.sweeps.iter().filter_map(|s| s.poses.first());
        for pose in list.poses.iter().chain(sweeps) {
            if pose.depth.is_empty() && pose.sides.is_empty() {
                continue;
            }
            let Some(rank) = ranks(pose) else { continue };
            if rank != rest.rank && orders.iter().all(|known| known.rank != rank) {
                orders.push(Order {
                    name: format!("{}/{}", list.key, pose.name),
                    rank,
                    depth: pose.depth.clone(),
                    sides: pose.sides.clone(),
                });
            }
        }
    }
    orders
}
