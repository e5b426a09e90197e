//! The joints of a view: its seams that turn, and other parts that turn on what they overlap.

use std::sync::Arc;

use rayon::prelude::*;

use super::joint::{Fitted, fit_joint, joint_of};
use crate::art::Library;
use crate::cast::{Drawing, Opens, PartId, Pose, Seam, Zone};
use crate::check::{Hidden, Joint};
use crate::geom::{Point, Region};
use crate::solve::Puppet;

/// Pixels to the unit that outlines are flattened for.
const SCALE: f64 = 4.0;

/// What was found for one joint.
#[derive(Clone, Debug)]
pub struct Proposal {
    /// The seam, where one joins the parts.
    pub seam: Option<String>,
    /// The part that turns, and whose pivot it is.
    pub part: PartId,
    /// Its name.
    pub name: String,
    /// The two parts, parent and child.
    pub joined: [PartId; 2],
    /// Degrees.
    pub limits: [f64; 2],
    /// What the two cover.
    pub joint: Joint,
    /// The pivot.
    pub fitted: Fitted,
    /// Radius of the seam's zone as it is, units; `None` for a drawn zone, or without a seam.
    pub zone_now: Option<f64>,
    /// Radius that the seam's zone needs about the best pivot, units; `None` without a seam.
    pub zone_best: Option<f64>,
}

/// Looks for the best pivots of a view's seams, on the threads of the pool that it is called in. `wanted`
/// says of which parts. With `hard`, joints without a seam too: there only the child's end behind its parent
/// is hidden, and a hinge may be where it is for other reasons than its looks.
#[must_use]
pub fn proposals(
    puppet: &Puppet,
    wanted: impl Fn(&str) -> bool + Sync,
    hard: bool,
) -> Vec<Proposal> {
    let view = puppet.0.view();
    let mut joints: Vec<Pair> = view
        .seams
        .iter()
        .enumerate()
        .map(|(k, s)| Pair {
            seam: Some(k),
            joined: [s.parent, s.child],
            hidden: Hidden {
                parent: s.opens != Opens::Child,
                child: s.opens != Opens::Parent,
            },
        })
        .collect();
    if hard {
        joints.extend(without_seams(puppet));
    }
    let found: Vec<Option<Proposal>> = joints
        .par_iter()
        .map(|pair| proposal(puppet, pair, &wanted))
        .collect();
    found.into_iter().flatten().collect()
}

/// Two parts that may turn on each other.
struct Pair {
    seam: Option<usize>,
    joined: [PartId; 2],
    hidden: Hidden,
}

/// Parts that turn behind the part that carries them, and no seam joins them.
fn without_seams(puppet: &Puppet) -> Vec<Pair> {
    let view = puppet.0.view();
    let rest = Pose::rest(view.parts[0].span);
    let order = puppet.depth_order(&rest).unwrap_or_default();
    let rank = |part: PartId| order.iter().position(|&p| p == part);
    let mut pairs = Vec::new();
    for (at, part) in view.parts.iter().enumerate() {
        let (Ok(at), Some(parent)) = (u32::try_from(at), part.parent) else {
            continue;
        };
        let child = PartId(at);
        let joined = |s: &Seam| {
            [s.parent, s.child].contains(&child) && [s.parent, s.child].contains(&parent)
        };
        let worn = view
            .garments
            .iter()
            .any(|g| [child, parent].contains(&g.part));
        if part.limits.is_some()
            && !worn
            && !view.seams.iter().any(joined)
            && rank(child) < rank(parent)
        {
            pairs.push(Pair {
                seam: None,
                joined: [parent, child],
                hidden: Hidden {
                    parent: false,
                    child: true,
                },
            });
        }
    }
    pairs
}

/// The part whose turn bends a seam: its child, or a joint without art that carries the child and turns
/// about the same point.
fn turns(puppet: &Puppet, parent: PartId, child: PartId) -> Option<(PartId, [f64; 2])> {
    let view = puppet.0.view();
    let pivot = view.parts[child.at()].pivot;
    let mut at = child;
    loop {
        let part = &view.parts[at.at()];
        if at == parent || part.pivot != pivot {
            return None;
        }
        if let Some([least, most]) = part.limits
            && least < most
        {
            return Some((at, [least, most]));
        }
        at = part.parent?;
    }
}

fn proposal(puppet: &Puppet, pair: &Pair, wanted: impl Fn(&str) -> bool) -> Option<Proposal> {
    let model = &puppet.0;
    let [parent, child] = pair.joined;
    let (part, limits) = turns(puppet, parent, child)?;
    let name = model.name(part).to_owned();
    if !wanted(&name) {
        return None;
    }
    let detail = model.detail(SCALE);
    let silhouette = |part: PartId| match model.part(part).art {
        Drawing::Art(id) => {
            let art = &model.art[id.at()];
            let regions = detail.art(model, id);
            Region::transformed(regions.silhouette(art), &model.place[part.at()])
        }
        Drawing::Empty => Region::empty(),
    };
    let joint = joint_of(&silhouette(parent), &silhouette(child), pair.hidden)?;
    let fitted = fit_joint(&joint, model.part(part).pivot, limits)?;
    let given = pair.seam.map(|k| (k, &model.view().seams[k]));
    Some(Proposal {
        seam: given.map(|(_, seam)| seam.name.clone()),
        part,
        name,
        joined: pair.joined,
        limits,
        joint,
        fitted,
        zone_now: given.and_then(|(k, seam)| match seam.zone {
            Zone::Auto => Some(model.radius(k, None)),
            Zone::Radius(r) => Some(model.radius(k, Some(r))),
            Zone::Art(_) => None,
        }),
        zone_best: given.map(|(k, _)| detail.hidden_reach_from(model, k, fitted.best)),
    })
}

/// The same puppet with a pivot moved: that of a part and of what it carries about the same point.
#[must_use]
pub fn moved(puppet: &Puppet, library: &Library, proposal: &Proposal, to: Point) -> Puppet {
    let mut member = puppet.member().clone();
    let parts = &mut member.views[puppet.view()].parts;
    let from = parts[proposal.part.at()].pivot;
    let mut at = Some(proposal.joined[1]);
    while let Some(id) = at {
        if parts[id.at()].pivot != from {
            break;
        }
        parts[id.at()].pivot = to;
        if id == proposal.part {
            break;
        }
        at = parts[id.at()].parent;
    }
    Puppet::new(Arc::new(member), puppet.view(), library)
}
