//! The best pivot of one joint, from what its two parts cover.
//!
//! A pivot costs the largest jut, the widest daylight and the largest kink over the limits, added up. A kink
//! of k degrees ([`Joint::kink`]) counts as a length too, `width / 2 (1 - cos k)`: by so much a round end as
//! wide as the limb sticks out where a line meets it at that angle.

use crate::check::{Hidden, Joint, Sample, trace};
use crate::geom::{Point, Region, Room, sin_cos_degrees};

/// Steps through the limits while searching, degrees.
const STEP: f64 = 10.0;
/// The first step of the search, as a share of the limb's width.
const FIRST: f64 = 0.2;
/// How closely the pivot is found, units.
const PRECISION: f64 = 0.004;
/// What a pivot costs for each unit that it is away from where it is: of equals, the nearest is taken.
const HOME: f64 = 1e-4;
/// A better pivot saves at least this share of what the present one costs,
const WORTH: f64 = 0.05;
/// and at least this share of the limb's width.
const LEAST: f64 = 0.005;
/// A pivot that is further than this outside what the parts share says nothing, as a share of the limb's
/// width: it is looked for as if there were none.
const FAR: f64 = 0.5;
/// Curves are followed to this, as a share of the limb's width.
const TOLERANCE: f64 = 0.005;
/// So closely the curve of a kink is followed, degrees.
const KINK: f64 = 2.0;
/// The radius of the largest circle in daylight is known to this, as a share of the limb's width.
const FINE: f64 = 2e-4;

/// The worst of a joint over its limits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Worst {
    /// How far hidden outline comes out, units.
    pub jut: f64,
    /// At this turn, degrees.
    pub jut_at: f64,
    /// Width of the daylight that opens, units.
    pub gap: f64,
    /// At this turn, degrees.
    pub gap_at: f64,
    /// The largest kink that the outer contour gets, degrees; 0 where a joint shows both lines.
    pub kink: f64,
    /// At this turn, degrees.
    pub kink_at: f64,
    /// What the search makes least, units.
    pub cost: f64,
}

/// A kink as a length, units.
fn as_length(degrees: f64, width: f64) -> f64 {
    width / 2.0 * (1.0 - sin_cos_degrees(degrees).1)
}

/// A pivot that was looked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fitted {
    /// Where it is, canvas units.
    pub now: Point,
    /// Where it would be best.
    pub best: Point,
    /// What happens where it is.
    pub before: Worst,
    /// What would happen at the best.
    pub after: Worst,
    /// Width of the limb at the joint, units.
    pub width: f64,
}

impl Fitted {
    /// True if the best pivot is worth an edit.
    #[must_use]
    pub fn is_better(&self) -> bool {
        let [before, after] = [self.before.cost, self.after.cost];
        is_worth(before, after) && before - after >= LEAST * self.width
    }
}

/// True if so much less is worth an edit.
pub(super) fn is_worth(before: f64, after: f64) -> bool {
    before - after >= WORTH * before
}

/// Looks for the pivot of least cost over a joint's limits.
///
/// `parent` and `child` are what the parts cover on the rest canvas; `pivot` is the present pivot. `None`
/// when the parts do not overlap.
#[must_use]
pub fn fit(
    parent: &Region,
    child: &Region,
    pivot: Point,
    limits: [f64; 2],
    hidden: Hidden,
) -> Option<Fitted> {
    // What is hidden at rest must not depend on where the present pivot is.
    let shared = parent.intersection(child);
    let middle = shared.inscribed_circle(0.01)?;
    let joint = Joint::new(parent, child, middle.centre, hidden)?;
    // Two lines that both stay are no contour that runs on.
    let kinks = hidden == Hidden::BOTH;
    fit_joint(&joint, pivot, shared.distance(pivot), limits, kinks)
}

/// True for a pivot that is so far outside what two parts share that it says nothing about their joint.
pub(super) fn is_far(outside: f64, width: f64) -> bool {
    outside > FAR * width
}

/// See [`fit`]; the present pivot is so far `outside` what the parts share, and `kinks` may count.
pub(super) fn fit_joint(
    joint: &Joint,
    pivot: Point,
    outside: f64,
    limits: [f64; 2],
    kinks: bool,
) -> Option<Fitted> {
    let far = is_far(outside, joint.width);
    let home = if far { joint.pivot } else { pivot };
    let mut cost = Cost::new(joint, home, limits, kinks);
    let starts = [pivot, joint.pivot];
    let starts = if far { &starts[1..] } else { &starts };
    let (best, _) = crate::fit::minimise(starts, joint.width * FIRST, PRECISION, |p, bound| {
        cost.of(p, bound)
    })?;
    let best = best.map(|v| (v * 100.0).round() / 100.0);
    Some(Fitted {
        now: pivot,
        best,
        before: worst(joint, pivot, limits, kinks),
        after: worst(joint, best, limits, kinks),
        width: joint.width,
    })
}

/// What a pivot costs.
struct Cost<'a> {
    joint: &'a Joint,
    home: Point,
    /// The angle that was worst last time comes first: it most often tells enough.
    angles: Vec<f64>,
    /// Gaps and kinks take longer to measure and are most at the ends.
    ends: Vec<End>,
    /// How closely, units.
    fine: f64,
    kinks: bool,
}

impl<'a> Cost<'a> {
    fn new(joint: &'a Joint, home: Point, [least, most]: [f64; 2], kinks: bool) -> Self {
        let mut angles = Vec::new();
        let n = libm::ceil((most - least) / STEP).max(1.0);
        let mut k = 0.0;
        while k <= n {
            angles.push(least + (most - least) * k / n);
            k += 1.0;
        }
        Self {
            joint,
            home,
            angles,
            ends: [least, most, least / 2.0, most / 2.0]
                .map(|angle| End {
                    angle,
                    likely: [0.0, 0.0],
                })
                .to_vec(),
            fine: joint.width * FINE,
            kinks,
        }
    }

    fn of(&mut self, pivot: Point, bound: f64) -> f64 {
        let away = [pivot[0] - self.home[0], pivot[1] - self.home[1]];
        let away = libm::hypot(away[0], away[1]) * HOME;
        let mut jut = 0.0_f64;
        for k in 0..self.angles.len() {
            let here = self.joint.jut_over(self.angles[k], pivot, jut).reach;
            if here > jut {
                jut = here;
                self.angles[..=k].rotate_right(1);
            }
            if jut + away >= bound {
                return jut + away;
            }
        }
        let mut kink = 0.0_f64;
        for end in self.ends.iter().filter(|_| self.kinks) {
            kink = kink.max(self.joint.kink(end.angle, pivot).degrees);
        }
        let rest = jut + as_length(kink, self.joint.width) + away;
        if rest >= bound {
            return rest;
        }
        let mut gap = 0.0_f64;
        for k in 0..self.ends.len() {
            let End { angle, likely } = self.ends[k];
            let room = Room {
                least: gap / 2.0,
                enough: (bound - rest) / 2.0,
                precision: self.fine,
                likely: Some([pivot[0] + likely[0], pivot[1] + likely[1]]),
            };
            if let Some(circle) = self.joint.opening(angle, pivot, room) {
                gap = circle.radius * 2.0;
                let [x, y] = circle.centre;
                self.ends[k].likely = [x - pivot[0], y - pivot[1]];
                self.ends[..=k].rotate_right(1);
            }
            if rest + gap >= bound {
                break;
            }
        }
        rest + gap
    }
}

/// An angle at which gaps are measured.
#[derive(Clone, Copy)]
struct End {
    angle: f64,
    /// Where the widest was last, from the pivot.
    likely: Point,
}

fn worst(joint: &Joint, pivot: Point, [least, most]: [f64; 2], kinks: bool) -> Worst {
    let tolerance = joint.width * TOLERANCE;
    let jut = trace(least, most, tolerance, |a| joint.jut(a, pivot).reach).worst;
    let gap = trace(least, most, tolerance, |a| {
        let room = Room {
            least: 0.0,
            enough: f64::INFINITY,
            precision: joint.width * FINE,
            likely: None,
        };
        let circle = joint.opening(a, pivot, room);
        circle.map_or(0.0, |circle| circle.radius * 2.0)
    })
    .worst;
    let kink = if kinks {
        trace(least, most, KINK, |a| joint.kink(a, pivot).degrees).worst
    } else {
        Sample {
            angle: 0.0,
            value: 0.0,
        }
    };
    Worst {
        jut: jut.value,
        jut_at: jut.angle,
        gap: gap.value,
        gap_at: gap.angle,
        kink: kink.value,
        kink_at: kink.angle,
        cost: jut.value + gap.value + as_length(kink.value, joint.width),
    }
}
