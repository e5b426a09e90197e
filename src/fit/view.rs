//! The joints of a view: its seams that turn.

use std::sync::Arc;

use rayon::prelude::*;

use super::joint::{Fitted, fit};
use crate::art::Library;
use crate::cast::{Drawing, Opens, PartId, Zone};
use crate::check::Hidden;
use crate::geom::{Point, Region};
use crate::solve::Puppet;

/// Pixels to the unit that outlines are flattened for.
const SCALE: f64 = 4.0;

/// What was found for one seam.
#[derive(Clone, Debug)]
pub struct Proposal {
    /// The seam.
    pub seam: String,
    /// The part that turns, and whose pivot it is.
    pub part: PartId,
    /// Its name.
    pub name: String,
    /// The two parts that the seam joins, parent and child.
    pub joined: [PartId; 2],
    /// Degrees.
    pub limits: [f64; 2],
    /// The pivot.
    pub fitted: Fitted,
    /// Radius of the seam's zone as it is, units; `None` for a drawn zone.
    pub zone_now: Option<f64>,
    /// Radius that the seam's zone needs about the best pivot, units.
    pub zone_best: f64,
}

/// Looks for the best pivots of a view's seams, on the threads of the pool that it is called in. `wanted`
/// says of which parts.
#[must_use]
pub fn proposals(puppet: &Puppet, wanted: impl Fn(&str) -> bool + Sync) -> Vec<Proposal> {
    let seams: Vec<usize> = (0..puppet.0.view().seams.len()).collect();
    let found: Vec<Option<Proposal>> = seams
        .par_iter()
        .map(|&seam| proposal(puppet, seam, &wanted))
        .collect();
    found.into_iter().flatten().collect()
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

fn proposal(puppet: &Puppet, seam: usize, wanted: impl Fn(&str) -> bool) -> Option<Proposal> {
    let model = &puppet.0;
    let given = &model.view().seams[seam];
    let (part, limits) = turns(puppet, given.parent, given.child)?;
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
    let hidden = Hidden {
        parent: given.opens != Opens::Child,
        child: given.opens != Opens::Parent,
    };
    let fitted = fit(
        &silhouette(given.parent),
        &silhouette(given.child),
        model.part(part).pivot,
        limits,
        hidden,
    )?;
    Some(Proposal {
        seam: given.name.clone(),
        part,
        name,
        joined: [given.parent, given.child],
        limits,
        fitted,
        zone_now: match given.zone {
            Zone::Auto => Some(model.radius(seam, None)),
            Zone::Radius(r) => Some(model.radius(seam, Some(r))),
            Zone::Art(_) => None,
        },
        zone_best: detail.hidden_reach_from(model, seam, fitted.best),
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
