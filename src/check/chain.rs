//! Two neighbouring joints together: where a third part takes part in hiding.
//!
//! With parts A, B and C in a chain, B on A and C on B, what A and B do to each other does not depend on C's
//! turn unless C covers something at A's joint: an outline of A that only C hides, daylight that only C
//! covers. That is looked at along limbs, where seams join all three. Where it is not so, the two joints by themselves are the worst of the pair.

use super::at_rest::AtRest;
use super::finding::{Finding, around};
use super::joint::Joint;
use super::limb::Limb;
use super::range::trace;
use super::turns::{Turning, seam_of};
use crate::cast::{Measure, PartId};
use crate::geom::{Affine, Circle, Point, Region};

/// Steps of each joint in the first search.
const STEPS: u32 = 6;
/// Daylight smaller than this share of the disc is none.
const LEAST: f64 = 0.002;

/// Checks a joint together with each joint on its child.
pub(super) fn check(turning: &Turning<'_>) -> Vec<Finding> {
    let rest = turning.rest;
    let view = rest.view();
    let mut found = Vec::new();
    if seam_of(rest, turning.parent, turning.child).is_none() {
        return found;
    }
    for (at, part) in view.parts.iter().enumerate() {
        let third = PartId::of(at);
        if part.parent == Some(turning.child)
            && let Some(limits) = part.limits
            && seam_of(rest, turning.child, third).is_some()
            && let Some(limb) = rest.limb(third)
        {
            if let Some(chain) = Chain::new(turning, third, limits, &limb.silhouette) {
                found.extend(chain.finding());
            }
            found.extend(Crossing::new(turning, third, limits, limb).and_then(|c| c.finding()));
        }
    }
    found
}

/// A joint whose daylight a third part covers at rest.
struct Chain<'a> {
    turning: &'a Turning<'a>,
    third: PartId,
    third_pivot: Point,
    limits: [f64; 2],
    /// The disc that all three cover at rest, less the first part.
    open: Region,
    child: Region,
    body: Region,
}

impl<'a> Chain<'a> {
    fn new(
        turning: &'a Turning<'a>,
        third: PartId,
        limits: [f64; 2],
        body: &Region,
    ) -> Option<Self> {
        let rest = turning.rest;
        let pivot = turning.joint.pivot;
        let width = turning.joint.width;
        let (a, b) = (rest.limb(turning.parent)?, rest.limb(turning.child)?);
        // As for the first two alone, the largest disc about the pivot that is covered at rest.
        let two = a.silhouette.union(&b.silhouette);
        let all = two.union(body);
        if !all.contains(pivot) {
            return None;
        }
        let radius = all.distance_to_edge(pivot).min(0.6 * width);
        if radius < turning.joint.disc * 1.02 + 0.05 {
            return None;
        }
        let disc = Region::disc(pivot, radius, width * 1e-3);
        let open = disc.intersection(&all).difference(&a.silhouette);
        Some(Self {
            turning,
            third,
            third_pivot: rest.pivot(third),
            limits,
            open,
            child: b.silhouette.clone(),
            body: body.clone(),
        })
    }

    fn daylight(&self, first: f64, second: f64) -> Region {
        let turn = Joint::turned(first, self.turning.joint.pivot);
        let then: Affine = turn.after(Joint::turned(second, self.third_pivot));
        self.open
            .difference(&self.child.transformed(&turn))
            .difference(&self.body.transformed(&then))
    }

    /// Width of the daylight beyond what the first joint opens by itself, % of the limb's width.
    fn value(&self, first: f64, second: f64) -> f64 {
        let joint = &self.turning.joint;
        let own = joint.gap(first, joint.pivot).width;
        let daylight = self.daylight(first, second);
        if daylight.area() < LEAST * joint.width * joint.width {
            return 0.0;
        }
        let wide = daylight
            .inscribed_circle(joint.width * 1e-3)
            .map_or(0.0, |c| 2.0 * c.radius);
        if wide > own {
            100.0 * wide / joint.width
        } else {
            0.0
        }
    }

    fn finding(&self) -> Option<Finding> {
        let turning = self.turning;
        let step =
            |[from, to]: [f64; 2], k: u32| from + (to - from) * f64::from(k) / f64::from(STEPS);
        let mut worst = (0.0, [0.0, 0.0]);
        for i in 0..=STEPS {
            for j in 0..=STEPS {
                let at = [step(turning.limits, i), step(self.limits, j)];
                let value = self.value(at[0], at[1]);
                if value > worst.0 {
                    worst = (value, at);
                }
            }
        }
        // A gap of the pair must beat what is there at rest already.
        turning.rest.judge(turning.child, Measure::Gap, worst.0)?;
        for _ in 0..2 {
            let [first, second] = worst.1;
            let one = trace(turning.limits[0], turning.limits[1], 2.0, |a| {
                self.value(a, second)
            });
            if one.worst.value > worst.0 {
                worst = (one.worst.value, [one.worst.angle, second]);
            }
            let first = if one.worst.value > worst.0 {
                one.worst.angle
            } else {
                first
            };
            let two = trace(self.limits[0], self.limits[1], 2.0, |a| {
                self.value(first, a)
            });
            if two.worst.value > worst.0 {
                worst = (two.worst.value, [first, two.worst.angle]);
            }
        }
        let (value, [first, second]) = worst;
        // What is no finding needs no place.
        turning.rest.judge(turning.child, Measure::Gap, value)?;
        let rest = turning.rest;
        let names = [turning.child, turning.parent, self.third].map(|p| rest.name(p));
        let daylight = self.daylight(first, second);
        let circle = daylight.inscribed_circle(turning.joint.width * 1e-3)?;
        let message = format!(
            "daylight where {} covers the joint of {} and {} at rest: {:.1} units wide ({value:.0} % of the limb's width) with {} at {first:.1} and {} at {second:.1} degrees",
            names[2],
            names[1],
            names[0],
            2.0 * circle.radius,
            names[0],
            names[2],
        );
        let hint = format!(
            "make {} long enough to close the joint without {}",
            names[0], names[2]
        );
        let place = around(circle.centre, (turning.joint.width * 0.3).max(8.0));
        let at = (value, [first, second]);
        of_pair(turning, self.third, Measure::Gap, at, place, message, hint)
    }
}

/// Ink that a pair of joints leaves: a third part that reaches over the second to the first draws its line
/// across the first, and hides a line of the first that comes out when it turns away. No seam opens these.
struct Crossing<'a> {
    turning: &'a Turning<'a>,
    third: PartId,
    limits: [f64; 2],
    /// Width of the line that could stand, units.
    line: f64,
    /// The line that could stand: where the second part hides it at rest.
    end: Region,
    first_inner: &'a Region,
    second: &'a Limb,
    third_limb: &'a Limb,
    near: Region,
    in_front: bool,
    /// Ink of the first that only the third hides at rest.
    hidden: Region,
}

/// Where a pair's ink is looked for: about the first joint.
fn disc_of(joint: &Joint) -> Region {
    Region::disc(joint.pivot, 0.75 * joint.width, joint.width * 1e-3)
}

impl<'a> Crossing<'a> {
    fn new(
        turning: &'a Turning<'a>,
        third: PartId,
        limits: [f64; 2],
        limb: &'a Limb,
    ) -> Option<Self> {
        let rest = turning.rest;
        let (a, b) = (rest.limb(turning.parent)?, rest.limb(turning.child)?);
        let joint = &turning.joint;
        let near = disc_of(joint);
        let shared = limb
            .silhouette
            .intersection(&a.silhouette)
            .intersection(&near);
        if shared.area() < LEAST * joint.width * joint.width {
            return None;
        }
        let in_front = rest.rank[third.at()] > rest.rank[turning.parent.at()];
        let hidden = if in_front {
            let own = a.outline.intersection(&near);
            own.intersection(&limb.silhouette).difference(&b.silhouette)
        } else {
            Region::empty()
        };
        let line = if in_front { limb.line } else { a.line };
        let end = if in_front {
            limb.outline.intersection(&b.silhouette)
        } else {
            a.outline.intersection(&b.silhouette)
        };
        // Beyond the zone of their seam the third's line on the second is seen at rest, and meant.
        let zone =
            seam_of(rest, turning.child, third).map(|(at, _)| rest.detail.zone(rest.model(), at));
        let end = match zone {
            Some(zone) if in_front => end.intersection(&zone),
            _ => end,
        };
        (line > 0.0).then_some(Self {
            turning,
            third,
            limits,
            line,
            end,
            first_inner: &a.inner,
            second: b,
            third_limb: limb,
            near,
            in_front,
            hidden,
        })
    }

    fn ink(&self, first: f64, second: f64) -> Region {
        let turn = Joint::turned(first, self.turning.joint.pivot);
        let rest = self.turning.rest;
        let then = turn.after(Joint::turned(second, rest.pivot(self.third)));
        if !self.in_front {
            let b = self.second.inner.transformed(&turn);
            let inner = self.third_limb.inner.transformed(&then);
            return self
                .end
                .intersection(&inner)
                .intersection(&self.near)
                .difference(&b);
        }
        let body = self.third_limb.silhouette.transformed(&then);
        let second = self.second.silhouette.transformed(&turn);
        // The second part's paint opens the third's line.
        let across = self
            .end
            .transformed(&then)
            .intersection(self.first_inner)
            .intersection(&self.near)
            .difference(&second);
        let out = self.hidden.difference(&second);
        across.union(&out.difference(&body))
    }

    fn finding(&self) -> Option<Finding> {
        let turning = self.turning;
        let rest = turning.rest;
        let width = turning.joint.width;
        let step =
            |[from, to]: [f64; 2], k: u32| from + (to - from) * f64::from(k) / f64::from(STEPS);
        let mut worst = (0.0, [0.0, 0.0]);
        for i in 0..=STEPS {
            for j in 0..=STEPS {
                let at = [step(turning.limits, i), step(self.limits, j)];
                let value = 100.0 * self.ink(at[0], at[1]).area() / self.line / width;
                if value > worst.0 {
                    worst = (value, at);
                }
            }
        }
        let (value, [first, second]) = worst;
        let ink = self.ink(first, second);
        let b = ink.bounds()?;
        let names = [turning.child, turning.parent, self.third].map(|p| rest.name(p));
        let message = format!(
            "{:.0} units of ink stand where {} reaches over {} to {}, with {} at {first:.1} and {} at {second:.1} degrees",
            ink.area() / self.line,
            names[2],
            names[0],
            names[1],
            names[0],
            names[2],
        );
        let hint = format!(
            "draw {} longer, or the end of {} shorter: only neighbours open each other's ink",
            names[0], names[2]
        );
        let middle = [(b[0] + b[2]) / 2.0, (b[1] + b[3]) / 2.0];
        let place = around(middle, (width * 0.4).max(8.0));
        let at = (value, [first, second]);
        of_pair(turning, self.third, Measure::Ink, at, place, message, hint)
    }
}

/// What two joints that turn together show, if the value is beyond the limits of the first.
fn of_pair(
    turning: &Turning<'_>,
    third: PartId,
    measure: Measure,
    (value, [first, second]): (f64, [f64; 2]),
    place: Circle,
    message: String,
    hint: String,
) -> Option<Finding> {
    let rest = turning.rest;
    let parts = [turning.child, turning.parent, third];
    let span = rest.model().part(turning.child).span;
    AtRest {
        measure,
        parts: &parts,
        value,
        span,
        place: Some(place),
        message,
        hint,
    }
    .turned(rest, &[(turning.turns, first), (third, second)])
}
