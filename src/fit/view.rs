//! The joints of a view: its seams that turn, and other parts that turn on what they overlap.

use std::sync::Arc;

use rayon::prelude::*;

use super::joint::{Fitted, fit_joint, is_far, is_worth};
use crate::art::Library;
use crate::cast::{PartId, Seam, View, Zone};
use crate::check::{Hidden, Joint, Joints, Range};
use crate::diag::Span;
use crate::geom::Point;
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
    /// What the two cover, as the search sees it.
    pub joint: Joint,
    /// True where kinks count: both inks open, and the two read as one.
    pub kinks: bool,
    /// The pivot.
    pub fitted: Fitted,
    /// What a check tells of the joint as it is, and with the best pivot; `None` where it measures nothing.
    pub told: [Option<JointCheck>; 2],
    /// Radius of the seam's zone as it is, units; `None` for a drawn zone, or without a seam.
    pub zone_now: Option<f64>,
    /// Radius that the seam's zone needs about the best pivot, units; `None` without a seam.
    pub zone_best: Option<f64>,
}

impl Proposal {
    /// The parts that share the pivot: the one that shows, and joints without art up to the one that turns.
    #[must_use]
    pub fn turned(&self, view: &View) -> Vec<PartId> {
        let mut parts = Vec::new();
        for part in view.upwards(self.joined[1]) {
            parts.push(part);
            if part == self.part {
                break;
            }
        }
        parts
    }

    /// What the joint costs as it is and with the best pivot, units: jut and gap as a check tells them, and the
    /// kink. Endless where a check measures nothing.
    #[must_use]
    pub fn costs(&self) -> [f64; 2] {
        let kinks = [&self.fitted.before, &self.fitted.after].map(|w| w.cost - w.jut - w.gap);
        let of = |told: &Option<JointCheck>, kink: f64| {
            let told = told.as_ref().map(|t| t.worst() * t.range.width / 100.0);
            told.map_or(f64::INFINITY, |worst| worst + kink)
        };
        [of(&self.told[0], kinks[0]), of(&self.told[1], kinks[1])]
    }

    /// True if the best pivot is worth an edit: by what the search saw, and by what a check would tell. It saves as
    /// much as a check would warn of, or the check warns of the joint as it is and no more.
    #[must_use]
    pub fn is_better(&self) -> bool {
        let [now, best] = self.costs();
        let warns =
            |told: &Option<JointCheck>| told.as_ref().is_none_or(|told| told.margin() < 0.0);
        let mends = warns(&self.told[0]) && !warns(&self.told[1]);
        let least = self.told[1].as_ref().map_or(0.0, JointCheck::least);
        self.fitted.is_better() && is_worth(now, best) && (mends || now - best >= least)
    }
}

/// What a check tells of one joint.
#[derive(Clone, Debug)]
pub struct JointCheck {
    /// Its safe range, and jut and gap over its limits.
    pub range: Range,
    /// What it measured.
    pub joint: Joint,
}

impl JointCheck {
    /// The worst of all that is measured added up, % of the limb's width.
    fn worst(&self) -> f64 {
        let curves = self.range.curves.iter();
        curves.map(|(_, curve, _)| curve.worst.value).sum()
    }

    /// The least that a check would warn of, units.
    fn least(&self) -> f64 {
        let limits = self
            .range
            .curves
            .iter()
            .filter_map(|(_, _, limits)| *limits);
        let least = limits.map(|[warning, _]| warning).reduce(f64::min);
        least.unwrap_or(0.0) * self.range.width / 100.0
    }

    /// How far the worst stays below what a check warns of, % of the limb's width; negative where it does not.
    fn margin(&self) -> f64 {
        let curves = self.range.curves.iter();
        let margins =
            curves.filter_map(|(_, curve, limits)| Some((*limits)?[0] - curve.worst.value));
        margins.fold(f64::INFINITY, f64::min)
    }
}

/// Why no pivot was looked for.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NotFitted {
    /// A hinge that is not where its parts overlap: it is there for other reasons than its looks.
    #[error(
        "the pivot of {part} is {outside:.0} units outside what {part} and {parent} share: too far to fit a joint without a seam"
    )]
    Far {
        /// The part that turns.
        part: String,
        /// What carries it.
        parent: String,
        /// How far, units.
        outside: f64,
        /// Where the part is declared.
        span: Span,
    },
}

/// Looks for the best pivots of a view's seams, on the threads of the pool that it is called in. `wanted`
/// says of which parts. With `hard`, joints without a seam too: there only the child's end behind its parent
/// is hidden, and a hinge may be where it is for other reasons than its looks.
///
/// One for each joint; an error for a hinge whose pivot is more than half the limb's width outside what its
/// parts share.
#[must_use]
pub fn proposals(
    puppet: &Puppet,
    wanted: impl Fn(&str) -> bool + Sync,
    hard: bool,
) -> Vec<Result<Proposal, NotFitted>> {
    let Some(joints) = Joints::new(puppet, SCALE) else {
        return Vec::new();
    };
    let mut pairs: Vec<Pair> = puppet
        .0
        .view()
        .seams
        .iter()
        .enumerate()
        .map(|(k, s)| Pair {
            seam: Some(k),
            joined: [s.parent, s.child],
        })
        .collect();
    if hard {
        pairs.extend(without_seams(puppet, joints.rank()));
    }
    let found: Vec<Option<Result<Proposal, NotFitted>>> = pairs
        .par_iter()
        .map(|pair| proposal(puppet, &joints, pair, &wanted))
        .collect();
    found.into_iter().flatten().collect()
}

/// Two parts that may turn on each other.
struct Pair {
    seam: Option<usize>,
    joined: [PartId; 2],
}

/// Parts that turn behind the part that carries them, and no seam joins them.
fn without_seams(puppet: &Puppet, rank: &[usize]) -> Vec<Pair> {
    let view = puppet.0.view();
    let mut pairs = Vec::new();
    for (at, part) in view.parts.iter().enumerate() {
        let Some(parent) = part.parent else {
            continue;
        };
        let child = PartId::of(at);
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
            && rank[child.at()] < rank[parent.at()]
        {
            pairs.push(Pair {
                seam: None,
                joined: [parent, child],
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
    let about_it = |at: &PartId| *at != parent && view.parts[at.at()].pivot == pivot;
    view.upwards(child).take_while(about_it).find_map(|at| {
        let limits = view.parts[at.at()].limits?;
        (limits[0] < limits[1]).then_some((at, limits))
    })
}

fn proposal(
    puppet: &Puppet,
    joints: &Joints<'_>,
    pair: &Pair,
    wanted: impl Fn(&str) -> bool,
) -> Option<Result<Proposal, NotFitted>> {
    let model = &puppet.0;
    let joined = pair.joined;
    let (part, limits) = turns(puppet, joined[0], joined[1])?;
    let name = model.name(part).to_owned();
    if !wanted(&name) {
        return None;
    }
    let (joint, hidden) = joints.from_middle(joined)?;
    let now = model.part(part).pivot;
    let outside = joints.outside(joined, now);
    if pair.seam.is_none() && is_far(outside, joint.width) {
        return Some(Err(NotFitted::Far {
            part: name,
            parent: model.name(joined[0]).to_owned(),
            outside,
            span: model.part(part).span,
        }));
    }
    let fitted = fit_joint(&joint, now, outside, limits, hidden == Hidden::BOTH)?;
    let told = |pivot: Point| {
        let (range, joint) = joints.range(part, joined, limits, pivot)?;
        Some(JointCheck { range, joint })
    };
    let before = told(fitted.now);
    let given = pair.seam.map(|k| (k, &model.view().seams[k]));
    Some(Ok(Proposal {
        seam: given.map(|(_, seam)| seam.name.clone()),
        part,
        name,
        joined,
        limits,
        joint,
        kinks: hidden == Hidden::BOTH,
        told: if fitted.best == fitted.now {
            [before.clone(), before]
        } else {
            [before, told(fitted.best)]
        },
        zone_now: given.and_then(|(k, seam)| match seam.zone {
            Zone::Auto => Some(model.radius(k, None)),
            Zone::Radius(r) => Some(model.radius(k, Some(r))),
            Zone::Art(_) => None,
        }),
        zone_best: given.map(|(k, _)| model.detail(SCALE).hidden_reach_from(model, k, fitted.best)),
        fitted,
    }))
}

/// The same puppet with a pivot moved: that of a part and of what it carries about the same point.
#[must_use]
pub fn moved(puppet: &Puppet, library: &Library, proposal: &Proposal, to: Point) -> Puppet {
    let mut member = puppet.member().clone();
    let view = &mut member.views[puppet.view()];
    for id in proposal.turned(puppet.0.view()) {
        view.parts[id.at()].pivot = to;
    }
    Puppet::new(Arc::new(member), puppet.view(), library).unwrap_or_else(|| puppet.clone())
}
