//! One joint through its limits: what comes out and what opens.

use super::at_rest::posed;
use super::finding::{Finding, Range, around};
use super::joint::{Cover, Covers, Hidden, Joint};
use super::limb::Rest;
use super::listed::Order;
use super::range::{Curve, trace};
use crate::cast::{Measure, Opens, PartId, Seam};
use crate::geom::{Circle, Point, Region, grown, meet};

/// Curves are followed to this, % of the limb's width.
const TOLERANCE: f64 = 0.75;

/// Parts that no seam joins are not taken for one limb: they may part by this many times as much.
const LOOSE: f64 = 2.0;

/// A part that turns on another, both drawn.
pub(super) struct Turning<'a> {
    pub rest: &'a Rest<'a>,
    pub parent: PartId,
    pub child: PartId,
    /// What turns: the child, or a joint without art that carries it and turns about the same point.
    pub turns: PartId,
    pub limits: [f64; 2],
    pub joint: Joint,
}

/// The seam between two parts.
pub(super) fn seam_of<'a>(rest: &Rest<'a>, a: PartId, b: PartId) -> Option<(usize, &'a Seam)> {
    let mut seams = rest.view().seams.iter().enumerate();
    seams.find(|(_, s)| (s.parent, s.child) == (a, b) || (s.parent, s.child) == (b, a))
}

/// Whose outline is hidden in a depth order. At a seam that is the outline of the part behind, and what
/// the seam opens. Without one the two do not read as one limb: what counts is the child's end behind its
/// parent; a parent that shows when the child swings away is no fault.
pub(super) fn hidden(seam: Option<&Seam>, rank: &[usize], parent: PartId, child: PartId) -> Hidden {
    let behind = rank[parent.at()] < rank[child.at()];
    let Some(seam) = seam else {
        return Hidden {
            parent: false,
            child: !behind,
        };
    };
    Hidden {
        parent: behind || seam.opens != Opens::Child,
        child: !behind || seam.opens != Opens::Parent,
    }
}

impl<'a> Turning<'a> {
    /// `None` for a part that does not turn, or that nothing drawn carries, or that does not touch it.
    pub fn new(rest: &'a Rest<'a>, turns: PartId) -> Option<Self> {
        let limits = rest.model().part(turns).limits?;
        let (parent, child) = (rest.drawn_carrier(turns)?, rest.drawn_at(turns)?);
        if rest.worn(child) || rest.worn(parent) || limits[0] == limits[1] {
            return None;
        }
        let joint = at_rest(rest, [parent, child], rest.pivot(child))?;
        Some(Self {
            rest,
            parent,
            child,
            turns,
            limits,
            joint,
        })
    }

    /// Through the limits, at rest's depth order and wherever another hides another outline.
    pub fn through(&self, orders: &[Order]) -> (Vec<Finding>, Option<Range>) {
        let mut found = Vec::new();
        let range = self.range(&mut found);
        let seam = seam_of(self.rest, self.parent, self.child).map(|(_, s)| s);
        let before = hidden(seam, &self.rest.rank, self.parent, self.child);
        let turned_round = orders
            .iter()
            .find(|o| hidden(seam, &o.rank, self.parent, self.child) != before);
        if let Some(order) = turned_round {
            let now = hidden(seam, &order.rank, self.parent, self.child);
            let joined = [self.parent, self.child];
            if let Some(joint) = joint(self.rest, joined, self.joint.pivot, None, now, &order.rank)
            {
                self.jut(&joint, Some(order), &mut found);
            }
        }
        (found, Some(range))
    }

    /// What the joint does over its limits, with what is wrong of it.
    pub fn range(&self, found: &mut Vec<Finding>) -> Range {
        let jut = self.jut(&self.joint, None, found);
        let gap = self.gap(found);
        let model = self.rest.model();
        let all = model.member.check_limits(model.view, self.child);
        let seamed = seam_of(self.rest, self.parent, self.child).is_some();
        let allowed = if seamed { 1.0 } else { LOOSE };
        let limits = |measure| all.get(measure).map(|pair| pair.map(|l| l * allowed));
        let mut safe = Some(self.limits);
        let curves = [(Measure::Jut, jut), (Measure::Gap, gap)];
        for (measure, curve) in &curves {
            if let (Some([_, error]), Some([least, most])) = (limits(*measure), safe) {
                let own = curve.within(error, |angle| self.value(*measure, &self.joint, angle));
                safe = own.map(|[a, b]| [a.max(least), b.min(most)]);
            }
        }
        Range {
            part: self.rest.name(self.turns),
            parent: self.rest.name(self.parent),
            limits: self.limits,
            width: self.joint.width,
            safe,
            curves: curves
                .into_iter()
                .map(|(measure, curve)| (measure, curve, limits(measure)))
                .collect(),
        }
    }

    fn value(&self, measure: Measure, joint: &Joint, angle: f64) -> f64 {
        let units = match measure {
            Measure::Gap => joint.gap(angle, joint.pivot).width,
            _ => joint.jut(angle, joint.pivot).reach,
        };
        100.0 * units / joint.width
    }

    fn jut(&self, joint: &Joint, order: Option<&Order>, found: &mut Vec<Finding>) -> Curve {
        let [from, to] = self.limits;
        let curve = trace(from, to, TOLERANCE, |angle| {
            self.value(Measure::Jut, joint, angle)
        });
        let worst = joint.jut(curve.worst.angle, joint.pivot);
        let (out, of) = if worst.of_child {
            (self.child, self.parent)
        } else {
            (self.parent, self.child)
        };
        let area = if worst.of_child {
            joint.jut_area(curve.worst.angle, joint.pivot)
        } else {
            joint.jut_area_of_parent(curve.worst.angle, joint.pivot)
        };
        let message = format!(
            "{} juts {:.1} units out of {} ({:.0} % of the limb's width, {area:.0} square units)",
            self.rest.name(out),
            worst.reach,
            self.rest.name(of),
            curve.worst.value,
        );
        let hint = format!(
            "move the pivot of {} to the middle of the limb's round end, shorten the end of {}, or narrow the limits",
            self.rest.name(self.child),
            self.rest.name(out),
        );
        let place = around(worst.at, (joint.width * 0.3).max(8.0));
        self.add_finding(
            Measure::Jut,
            curve.worst.angle,
            curve.worst.value,
            order,
            place,
            message,
            hint,
            found,
        );
        curve
    }

    fn gap(&self, found: &mut Vec<Finding>) -> Curve {
        let joint = &self.joint;
        let [from, to] = self.limits;
        let curve = trace(from, to, TOLERANCE, |angle| {
            self.value(Measure::Gap, joint, angle)
        });
        let worst = joint.gap(curve.worst.angle, joint.pivot);
        let message = format!(
            "daylight between {} and {}: {:.1} units wide ({:.0} % of the limb's width), {:.0} square units",
            self.rest.name(self.parent),
            self.rest.name(self.child),
            worst.width,
            curve.worst.value,
            worst.area,
        );
        let hint = format!(
            "draw the ends of {} and {} round and longer under each other, or narrow the limits of {}",
            self.rest.name(self.parent),
            self.rest.name(self.child),
            self.rest.name(self.child),
        );
        let place = around(worst.at, (joint.width * 0.3).max(worst.width).max(8.0));
        self.add_finding(
            Measure::Gap,
            curve.worst.angle,
            curve.worst.value,
            None,
            place,
            message,
            hint,
            found,
        );
        curve
    }

    #[expect(clippy::too_many_arguments, reason = "the fields of a finding")]
    fn add_finding(
        &self,
        measure: Measure,
        angle: f64,
        value: f64,
        order: Option<&Order>,
        place: Circle,
        message: String,
        hint: String,
        found: &mut Vec<Finding>,
    ) {
        let seamed = seam_of(self.rest, self.parent, self.child).is_some();
        let allowed = if seamed { 1.0 } else { LOOSE };
        let Some((severity, limit)) = self.rest.judge(self.child, measure, value / allowed) else {
            return;
        };
        let (name, turned) = (self.rest.name(self.child), self.rest.name(self.turns));
        let with = order.map_or_else(String::new, |o| format!(", in the depths of {}", o.name));
        found.push(Finding {
            measure,
            severity,
            parts: vec![name, self.rest.name(self.parent)],
            message: format!("{message} with {turned} at {angle:.1} degrees{with}"),
            turns: vec![(turned, angle)],
            order: order.map(|o| o.name.clone()),
            value,
            limit: limit * allowed,
            hint,
            span: Some(self.rest.model().part(self.child).span),
            place: Some(place),
            pose: posed(self.rest, &[(self.turns, angle)], order),
        });
    }
}

/// The joint of two parts, parent and child, at rest's depth order with its pivot at a point.
pub(super) fn at_rest(rest: &Rest<'_>, joined: [PartId; 2], pivot: Point) -> Option<Joint> {
    let [parent, child] = joined;
    let seam = seam_of(rest, parent, child).map(|(_, s)| s);
    let hidden = hidden(seam, &rest.rank, parent, child);
    joint(rest, joined, pivot, None, hidden, &rest.rank)
}

/// The largest circle in what two parts share: the middle of their joint whatever the pivot is.
pub(super) fn middle(parent: &Region, child: &Region) -> Option<Circle> {
    parent.intersection(child).inscribed_circle(0.01)
}

/// What the parts hide of each other is looked for about `from`; without it about the pivot, or at a seam about
/// the middle of what the parts share where the pivot lies outside that.
pub(super) fn joint(
    rest: &Rest<'_>,
    [parent, child]: [PartId; 2],
    pivot: Point,
    from: Option<Point>,
    hidden: Hidden,
    rank: &[usize],
) -> Option<Joint> {
    let (p, c) = (
        &rest.limb(parent)?.silhouette,
        &rest.limb(child)?.silhouette,
    );
    let made = if seam_of(rest, parent, child).is_some() {
        let shared = p.contains(pivot) && c.contains(pivot);
        let from = match from {
            Some(from) => from,
            None if shared => pivot,
            None => middle(p, c)?.centre,
        };
        Joint::new(p, c, from, hidden)?
    } else {
        // Without a seam it matters only what is seen: parts about the joint hide as the parent does.
        if p.intersection(c).is_empty() {
            return None;
        }
        let about = rest.others_about(child, c);
        let all = Region::union_all(about.into_iter().chain(std::iter::once(p)));
        Joint::new(&all, c, from.unwrap_or(pivot), hidden)?
    };
    let cover = covers(rest, [parent, child], made.pivot, 2.5 * made.width, rank);
    let made = made.with_cover(cover);
    Some(if made.pivot == pivot {
        made
    } else {
        made.with_pivot(pivot)
    })
}

/// What hides in front of either part. Daylight is hidden by what is in front of both; and what the child
/// carries behind it, such as hair, is always behind the daylight too.
fn covers(
    rest: &Rest<'_>,
    [parent, child]: [PartId; 2],
    pivot: Point,
    reach: f64,
    rank: &[usize],
) -> Covers {
    let near = Region::disc(pivot, reach, reach * 0.01);
    let masked = |part: PartId| rest.view().masks.iter().any(|m| m.part == part);
    let all: Vec<(PartId, &Region, bool)> = rest
        .view()
        .ids()
        .filter(|&p| p != parent && p != child && !rest.worn(p) && !masked(p))
        .filter_map(|p| Some((p, &rest.limb(p)?.silhouette, rest.carried(p, child))))
        .filter(|(_, region, _)| {
            let [x, y] = pivot;
            let about = grown([x, y, x, y], reach);
            region.bounds().is_some_and(|b| meet(b, about))
        })
        .collect();
    let clipped = |carried: bool, taken: &dyn Fn(PartId) -> bool| {
        let some = all.iter().filter(|(p, _, c)| *c == carried && taken(*p));
        Region::union_all(some.map(|(_, region, _)| *region)).intersection(&near)
    };
    let before = |front: usize| Cover {
        still: clipped(false, &|p| rank[p.at()] > front),
        carried: clipped(true, &|p| rank[p.at()] > front),
    };
    let (of_parent, of_child) = (rank[parent.at()], rank[child.at()]);
    Covers {
        parent: before(of_parent),
        child: before(of_child),
        daylight: Cover {
            still: clipped(false, &|p| rank[p.at()] > of_parent.max(of_child)),
            carried: clipped(true, &|_| true),
        },
    }
}
