//! A chain of joints in the plane, and the turns that bring its end nearest to a point. Two joints in closed form: by
//! the law of cosines, and of all places where limits stop one of them. More by cyclic coordinate descent (Wang and
//! Chen, IEEE Transactions on Robotics and Automation 7(4), 1991) and Newton's method, from several bends and with a
//! fixed number of steps. Angles in degrees, positive clockwise where y points down.

use crate::geom::{Point, sin_cos_degrees};

/// No limits.
pub(super) const FREE: [f64; 2] = [f64::NEG_INFINITY, f64::INFINITY];
/// This near is there, units.
const THERE: f64 = 1e-9;
/// Solutions as near as this to the best are as good, a share of the chain's length.
const AS_GOOD: f64 = 1e-9;
const SWEEPS: usize = 12;
const NEWTON: usize = 30;
/// Random bends that a long chain is started from where the regular ones do not lead there.
const STARTS: usize = 24;

/// A joint and what turns about it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Link {
    /// From its joint to the next, or to the end, as drawn.
    pub along: Point,
    /// Least and greatest turn.
    pub limits: [f64; 2],
}

/// A chain as it is drawn.
#[derive(Clone, Debug)]
pub(super) struct Chain {
    /// Its first joint.
    pub root: Point,
    pub links: Vec<Link>,
}

/// How far a chain came.
#[derive(Clone, Debug)]
pub(super) struct Reached {
    /// Of each joint, on top of how it is drawn.
    pub turns: Vec<f64>,
    /// From the end to the target, units.
    pub left: f64,
}

impl Chain {
    /// Its joints, then its end.
    pub fn points(&self, turns: &[f64]) -> Vec<Point> {
        let (mut at, mut angle) = (self.root, 0.0);
        let mut all = vec![at];
        for (link, turn) in self.links.iter().zip(turns) {
            angle += turn;
            at = add(at, turned(link.along, angle));
            all.push(at);
        }
        all
    }

    pub fn end(&self, turns: &[f64]) -> Point {
        self.points(turns)[self.links.len()]
    }

    /// How long it is when straight.
    pub fn length(&self) -> f64 {
        self.links.iter().map(|link| norm(link.along)).sum()
    }

    /// Which way a chain of two folds by itself: 1 clockwise, -1 the other way. That is the way that limits leave it
    /// three times as much room for, else the way it is drawn.
    pub fn own_fold(&self) -> f64 {
        let [first, second, ..] = self.links[..] else {
            return 1.0;
        };
        let drawn = wrapped(angle_of(second.along) - angle_of(first.along));
        let [least, most] = second.limits.map(|limit| limit + drawn);
        let (other, own) = (-least.min(0.0), most.max(0.0));
        if least.is_finite() && most.is_finite() && (own > 3.0 * other || other > 3.0 * own) {
            return if own > other { 1.0 } else { -1.0 };
        }
        if drawn < 0.0 { -1.0 } else { 1.0 }
    }

    /// The turns that bring the end nearest to a target; of several that bring it as near those that fold as is
    /// wanted, then those that turn least.
    pub fn reach(&self, target: Point, fold: f64) -> Reached {
        match self.links.len() {
            0 => self.reached(Vec::new(), target),
            1 => {
                let mut turns = vec![0.0];
                self.aim(0, &mut turns, target);
                self.reached(turns, target)
            }
            2 => self.reach_by_two(target, fold),
            _ => self.reach_by_many(target, fold),
        }
    }

    fn reached(&self, turns: Vec<f64>, target: Point) -> Reached {
        let left = norm(sub(self.end(&turns), target));
        Reached { turns, left }
    }

    /// Turns one joint so that the end is as near to the target as it brings it.
    fn aim(&self, joint: usize, turns: &mut [f64], target: Point) {
        let points = self.points(turns);
        let from = |to: Point| sub(to, points[joint]);
        let (own, wanted) = (from(points[self.links.len()]), from(target));
        let more = angle_of(wanted) - angle_of(own);
        turns[joint] = within(turns[joint] + more, self.links[joint].limits);
    }

    fn reach_by_two(&self, target: Point, fold: f64) -> Reached {
        let [first, second] = [self.links[0], self.links[1]];
        let (a, b) = (norm(first.along), norm(second.along));
        let drawn = angle_of(second.along) - angle_of(first.along);
        let apart = norm(sub(target, self.root));
        let cosine = (apart * apart - a * a - b * b) / (2.0 * a * b).max(f64::MIN_POSITIVE);
        let bend = libm::acos(cosine.clamp(-1.0, 1.0)).to_degrees();
        let mut all = Vec::with_capacity(6);
        let mut put = |turns: Vec<f64>| all.push(self.reached(turns, target));
        // Where the distance is right, and at the limits of the second joint, the first aims.
        let bent = [bend, -bend].map(|bend| within(bend - drawn, second.limits));
        let stops = second.limits.into_iter().filter(|limit| limit.is_finite());
        for turn in bent.into_iter().chain(stops) {
            let mut turns = vec![0.0, turn];
            self.aim(0, &mut turns, target);
            put(turns);
        }
        // At the limits of the first the second aims.
        for turn in first.limits.into_iter().filter(|limit| limit.is_finite()) {
            let mut turns = vec![turn, 0.0];
            self.aim(1, &mut turns, target);
            put(turns);
        }
        let nearest = all.iter().map(|one| one.left).fold(f64::INFINITY, f64::min);
        let good = nearest + AS_GOOD * (a + b);
        let cost = |one: &Reached| {
            let bend = wrapped(one.turns[1] + drawn);
            let other = bend * fold < -1e-6 && bend.abs() < 180.0 - 1e-6;
            let turns = one.turns[0].abs() + one.turns[1].abs();
            (other, turns)
        };
        let good = all.into_iter().filter(|one| one.left <= good);
        let best = good.min_by(|a, b| {
            let (a, b) = (cost(a), cost(b));
            a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
        });
        best.unwrap_or_else(|| self.reached(vec![0.0, 0.0], target))
    }

    fn reach_by_many(&self, target: Point, fold: f64) -> Reached {
        let lengths = || self.links.iter().map(|link| norm(link.along));
        let (whole, longest) = (self.length(), lengths().fold(0.0, f64::max));
        let apart = norm(sub(target, self.root));
        // No chain of these lengths comes nearer.
        let bound = (apart - whole).max(2.0 * longest - whole - apart).max(0.0);
        let mut seed = 0_u64;
        let starts = (0..STARTS + 3).map(|nth| match nth {
            0 => self.arc(apart, fold),
            1 => self.arc(apart, -fold),
            2 => vec![0.0; self.links.len()],
            _ => self.any(&mut seed),
        });
        let mut best: Option<Reached> = None;
        for mut turns in starts {
            for (turn, link) in turns.iter_mut().zip(&self.links) {
                *turn = within(*turn, link.limits);
            }
            for _ in 0..SWEEPS {
                for joint in (0..turns.len()).rev() {
                    self.aim(joint, &mut turns, target);
                }
            }
            self.newton(&mut turns, target);
            let one = self.reached(turns, target);
            let slack = AS_GOOD * whole;
            if best
                .as_ref()
                .is_none_or(|best| one.left < best.left - slack)
            {
                best = Some(one);
            }
            if best.as_ref().is_some_and(|best| best.left <= bound + THERE) {
                break;
            }
        }
        best.unwrap_or_else(|| self.reached(vec![0.0; self.links.len()], target))
    }

    /// All joints but the first bent by as much, so that the end is this far from the root.
    fn arc(&self, apart: f64, fold: f64) -> Vec<f64> {
        let angles: Vec<f64> = self.links.iter().map(|link| angle_of(link.along)).collect();
        let bent = |bend: f64| -> Vec<f64> {
            let straight = angles.windows(2).map(|pair| wrapped(pair[0] - pair[1]));
            std::iter::once(0.0)
                .chain(straight.map(|turn| turn + fold * bend))
                .collect()
        };
        let (mut less, mut more) = (0.0, 360.0 / self.links.len() as f64);
        for _ in 0..40 {
            let bend = f64::midpoint(less, more);
            if norm(sub(self.end(&bent(bend)), self.root)) > apart {
                less = bend;
            } else {
                more = bend;
            }
        }
        bent(less)
    }

    /// Some turns within the limits, the same ones each time.
    fn any(&self, seed: &mut u64) -> Vec<f64> {
        let turn = |link: &Link| {
            // Knuth, The Art of Computer Programming 2, 3.3.4, table 1, line 26.
            *seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            let share = (*seed >> 11) as f64 / (1_u64 << 53) as f64;
            let [least, most] = link.limits.map(|limit| limit.clamp(-180.0, 180.0));
            least + share * (most - least)
        };
        self.links.iter().map(turn).collect()
    }

    /// Newton's method on half the square of the distance, damped where it does not lead down; joints at a limit that
    /// it pushes them beyond stay there.
    fn newton(&self, turns: &mut Vec<f64>, target: Point) {
        let n = turns.len();
        let mut damp = 1e-3;
        let mut points = self.points(turns);
        for _ in 0..NEWTON {
            let end = points[n];
            let off = sub(end, target);
            let value = dot(off, off);
            if value <= THERE * THERE * 1e-6 {
                return;
            }
            let arm = |i: usize| sub(end, points[i]);
            let slope: Vec<f64> = (0..n).map(|i| dot(off, quarter(arm(i)))).collect();
            let stuck = |i: usize| {
                let [least, most] = self.links[i].limits;
                turns[i] <= least && slope[i] > 0.0 || turns[i] >= most && slope[i] < 0.0
            };
            let free: Vec<usize> = (0..n).filter(|&i| !stuck(i)).collect();
            if free.is_empty() {
                return;
            }
            let curve = |i: usize, j: usize| {
                dot(quarter(arm(i)), quarter(arm(j))) - dot(off, arm(i.max(j)))
            };
            let scale: f64 = free.iter().map(|&i| dot(arm(i), arm(i))).sum();
            let mut step = None;
            for _ in 0..12 {
                let matrix: Vec<Vec<f64>> = free
                    .iter()
                    .map(|&i| {
                        let more = |j: usize| if i == j { damp * scale } else { 0.0 };
                        free.iter().map(|&j| curve(i, j) + more(j)).collect()
                    })
                    .collect();
                let down: Vec<f64> = free.iter().map(|&i| -slope[i]).collect();
                if let Some(by) = solved(matrix, down) {
                    let mut next = turns.clone();
                    for (&i, by) in free.iter().zip(by) {
                        let [least, most] = self.links[i].limits;
                        next[i] = (next[i] + by.to_degrees()).clamp(least, most);
                    }
                    let there = self.points(&next);
                    let off = sub(there[n], target);
                    if dot(off, off) < value {
                        step = Some((next, there));
                        break;
                    }
                }
                damp = (damp * 10.0).max(1e-12);
            }
            let Some((next, there)) = step else {
                return;
            };
            (*turns, points) = (next, there);
            damp *= 0.1;
        }
    }
}

/// Solves a symmetric system of equations by Cholesky's method; `None` where it is not positive definite.
fn solved(mut m: Vec<Vec<f64>>, mut v: Vec<f64>) -> Option<Vec<f64>> {
    let n = v.len();
    for j in 0..n {
        let below: f64 = (0..j).map(|k| m[j][k] * m[j][k]).sum();
        let left = m[j][j] - below;
        if left.is_nan() || left <= 0.0 {
            return None;
        }
        m[j][j] = left.sqrt();
        for i in j + 1..n {
            let below: f64 = (0..j).map(|k| m[i][k] * m[j][k]).sum();
            m[i][j] = (m[i][j] - below) / m[j][j];
        }
    }
    for i in 0..n {
        let below: f64 = (0..i).map(|k| m[i][k] * v[k]).sum();
        v[i] = (v[i] - below) / m[i][i];
    }
    for i in (0..n).rev() {
        let above: f64 = (i + 1..n).map(|k| m[k][i] * v[k]).sum();
        v[i] = (v[i] - above) / m[i][i];
    }
    Some(v)
}

/// The same angle within limits, the one nearest to none; else the limit that is nearest to it round the circle.
pub(super) fn within(angle: f64, [least, most]: [f64; 2]) -> f64 {
    let angle = wrapped(angle);
    let slack = 1e-9;
    let same = [0.0, -360.0, 360.0].map(|round| angle + round);
    let mut same = same.into_iter();
    if let Some(there) = same.find(|angle| (least - slack..=most + slack).contains(angle)) {
        return there.clamp(least, most);
    }
    let far = |limit: f64| wrapped(limit - angle).abs();
    if far(least) < far(most) { least } else { most }
}

/// The same angle, above -180 to 180.
pub(super) fn wrapped(angle: f64) -> f64 {
    let angle = libm::remainder(angle, 360.0);
    if angle <= -180.0 {
        angle + 360.0
    } else {
        angle
    }
}

/// Of a direction; of none 0.
pub(super) fn angle_of(v: Point) -> f64 {
    libm::atan2(v[1], v[0]).to_degrees()
}

pub(super) fn turned([x, y]: Point, angle: f64) -> Point {
    let (s, c) = sin_cos_degrees(angle);
    [x * c - y * s, x * s + y * c]
}

/// A quarter turn clockwise.
const fn quarter([x, y]: Point) -> Point {
    [-y, x]
}

pub(super) fn norm(v: Point) -> f64 {
    libm::hypot(v[0], v[1])
}

pub(super) fn add(a: Point, b: Point) -> Point {
    [a[0] + b[0], a[1] + b[1]]
}

pub(super) fn sub(a: Point, b: Point) -> Point {
    [a[0] - b[0], a[1] - b[1]]
}

fn dot(a: Point, b: Point) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

#[cfg(test)]
mod tests;
