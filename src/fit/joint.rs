//! The best pivot of one joint, from what its two parts cover.

use crate::check::{Hidden, Joint, trace};
use crate::geom::{Circle, Point, Region, Room};

/// What may come out or open before a joint is said not to hold, as a share of the limb's width.
pub const ALLOWED: f64 = 0.03;
/// Steps through the limits while searching, degrees.
const STEP: f64 = 10.0;
/// The first step of the search, as a share of the limb's width.
const FIRST: f64 = 0.2;
/// How closely the pivot is found, units.
const PRECISION: f64 = 0.004;
/// What a pivot costs for each unit that it is away from where it is: of equals, the nearest is taken.
const HOME: f64 = 1e-4;
/// A better pivot saves at least this share of what comes out and opens,
const WORTH: f64 = 0.05;
/// and at least this much, units.
const LEAST: f64 = 0.1;
/// Curves are followed to this, as a share of the limb's width.
const TOLERANCE: f64 = 0.005;
/// The radius of the largest circle in daylight is known to this, as a share of the limb's width.
const FINE: f64 = 2e-4;
/// Steps in which the turns are gone through within which a joint holds, degrees, least and most.
const STEPS: [f64; 2] = [1.0, 6.0];

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
}

impl Worst {
    /// What the search makes least, units.
    #[must_use]
    pub fn cost(&self) -> f64 {
        self.jut + self.gap
    }
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
    /// The turns within which the art holds where it is, degrees; `None` if it does not even at rest.
    pub holds_now: Option<[f64; 2]>,
    /// The turns within which it would hold at the best.
    pub holds_best: Option<[f64; 2]>,
    /// Width of the limb at the joint, units.
    pub width: f64,
}

impl Fitted {
    /// True if the best pivot is worth an edit.
    #[must_use]
    pub fn is_better(&self) -> bool {
        let saved = self.before.cost() - self.after.cost();
        saved >= LEAST && saved >= WORTH * self.before.cost()
    }
}

/// Looks for the pivot of least jut and gap over a joint's limits.
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
    fit_joint(&joint_of(parent, child, hidden)?, pivot, limits)
}

/// The joint of two parts: what is hidden at rest must not depend on where the present pivot is.
pub(super) fn joint_of(parent: &Region, child: &Region, hidden: Hidden) -> Option<Joint> {
    let middle = parent.intersection(child).inscribed_circle(0.01)?;
    Joint::new(parent, child, middle.centre, hidden)
}

/// See [`fit`].
pub(super) fn fit_joint(joint: &Joint, pivot: Point, limits: [f64; 2]) -> Option<Fitted> {
    let mut cost = Cost::new(joint, pivot, limits);
    let starts = [pivot, joint.pivot];
    let (best, _) = crate::fit::minimise(&starts, joint.width * FIRST, PRECISION, |p, bound| {
        cost.of(p, bound)
    })?;
    let best = best.map(|v| (v * 100.0).round() / 100.0);
    let before = worst(joint, pivot, limits);
    let after = worst(joint, best, limits);
    let mut fitted = Fitted {
        now: pivot,
        best,
        before,
        after,
        holds_now: holds(joint, pivot),
        holds_best: None,
        width: joint.width,
    };
    fitted.holds_best = if best == pivot {
        fitted.holds_now
    } else {
        holds(joint, best)
    };
    Some(fitted)
}

/// What a pivot costs.
struct Cost<'a> {
    joint: &'a Joint,
    home: Point,
    /// The angle that was worst last time comes first: it most often tells enough.
    angles: Vec<f64>,
    /// Gaps take longer to measure and open most at the ends.
    ends: Vec<End>,
    /// How closely, units.
    fine: f64,
}

impl<'a> Cost<'a> {
    fn new(joint: &'a Joint, home: Point, [least, most]: [f64; 2]) -> Self {
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
        let mut gap = 0.0_f64;
        for k in 0..self.ends.len() {
            let End { angle, likely } = self.ends[k];
            let room = Room {
                least: gap / 2.0,
                enough: (bound - jut - away) / 2.0,
                precision: self.fine,
                likely: Some([pivot[0] + likely[0], pivot[1] + likely[1]]),
            };
            if let Some(circle) = self.joint.opening(angle, pivot, room) {
                gap = circle.radius * 2.0;
                let [x, y] = circle.centre;
                self.ends[k].likely = [x - pivot[0], y - pivot[1]];
                self.ends[..=k].rotate_right(1);
            }
            if jut + gap + away >= bound {
                break;
            }
        }
        jut + gap + away
    }
}

/// An angle at which gaps are measured.
#[derive(Clone, Copy)]
struct End {
    angle: f64,
    /// Where the widest was last, from the pivot.
    likely: Point,
}

fn worst(joint: &Joint, pivot: Point, [least, most]: [f64; 2]) -> Worst {
    let tolerance = joint.width * TOLERANCE;
    let jut = trace(least, most, tolerance, |a| joint.jut(a, pivot).reach).worst;
    let gap = trace(least, most, tolerance, |a| {
        opening(joint, a, pivot).map_or(0.0, |circle| circle.radius * 2.0)
    })
    .worst;
    Worst {
        jut: jut.value,
        jut_at: jut.angle,
        gap: gap.value,
        gap_at: gap.angle,
    }
}

/// The largest circle in the daylight of a joint.
pub(super) fn opening(joint: &Joint, angle: f64, pivot: Point) -> Option<Circle> {
    let room = Room {
        least: 0.0,
        enough: f64::INFINITY,
        precision: joint.width * FINE,
        likely: None,
    };
    joint.opening(angle, pivot, room)
}

/// The turns about rest within which a joint holds, to a tenth of a degree.
fn holds(joint: &Joint, pivot: Point) -> Option<[f64; 2]> {
    let allowed = joint.width * ALLOWED;
    // Below a quarter of what is allowed it does not matter how much it is.
    let least = allowed / 4.0;
    let measure = |angle: f64| {
        let jut = joint.jut_over(angle, pivot, least).reach;
        if jut > allowed {
            return jut;
        }
        let room = Room {
            least: jut / 2.0,
            enough: f64::INFINITY,
            precision: allowed / 60.0,
            likely: None,
        };
        let circle = joint.opening(angle, pivot, room);
        circle.map_or(jut, |circle| circle.radius * 2.0)
    };
    let at_rest = measure(0.0);
    if at_rest > allowed {
        return None;
    }
    // No hidden point moves faster than its distance from the pivot, and daylight opens at both its sides.
    let off = libm::hypot(pivot[0] - joint.pivot[0], pivot[1] - joint.pivot[1]);
    let fastest = (joint.hidden_reach() + off).max(2.0 * joint.disc) * std::f64::consts::PI / 180.0;
    Some([-1.0, 1.0].map(|way| {
        let (mut good, mut value) = (0.0_f64, at_rest);
        while good < 180.0 {
            let step = ((allowed - value) / fastest).clamp(STEPS[0], STEPS[1]);
            let next = (good + step).min(180.0);
            value = measure(way * next);
            if value > allowed {
                let mut bad = next;
                while bad - good > 0.1 {
                    let middle = f64::midpoint(good, bad);
                    if measure(way * middle) > allowed {
                        bad = middle;
                    } else {
                        good = middle;
                    }
                }
                break;
            }
            good = next;
        }
        way * good
    }))
}
