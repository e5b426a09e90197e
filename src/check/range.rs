//! A measure over a range of angles: steps where it bends, and the worst angle.

/// One angle and what was measured there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// Degrees.
    pub angle: f64,
    /// The measure.
    pub value: f64,
}

/// A measure over a range of angles.
#[derive(Clone, Debug, PartialEq)]
pub struct Curve {
    /// Rising angles; at least one.
    pub samples: Vec<Sample>,
    /// The largest value; of equal ones that nearest to rest.
    pub worst: Sample,
}

/// The first steps are no wider than this, degrees.
const COARSE: f64 = 6.0;
/// The worst angle is found to this, degrees, and so is where a limit is crossed.
pub(super) const FINE: f64 = 0.1;
/// Golden section.
const GOLDEN: f64 = 0.618_033_988_749_894_9;

/// Takes a measure from one angle to another, degrees. Steps are halved, down to a tenth of a degree,
/// where the curve strays from the straight by more than `tolerance`; then the worst angle is closed in
/// on to a tenth of a degree.
pub fn trace(from: f64, to: f64, tolerance: f64, mut measure: impl FnMut(f64) -> f64) -> Curve {
    let mut at = |angle: f64| Sample {
        angle,
        value: measure(angle),
    };
    let mut samples = vec![at(from)];
    if to > from {
        let mut ends: Vec<f64> = Vec::new();
        // Rest is a step of its own: safe ranges start there.
        let rest = (from < 0.0 && to > 0.0).then_some(0.0);
        for (a, b) in [(Some(from), rest.or(Some(to))), (rest, Some(to))] {
            let (Some(a), Some(b)) = (a, b) else { continue };
            let n = libm::ceil((b - a) / COARSE).max(1.0);
            let mut k = 1.0;
            while k <= n {
                ends.push(if k == n { b } else { a + (b - a) * k / n });
                k += 1.0;
            }
        }
        let mut left = samples[0];
        for end in ends {
            let right = at(end);
            split(left, right, tolerance, 0, &mut at, &mut samples);
            samples.push(right);
            left = right;
        }
    }
    let mut best = 0;
    for (k, s) in samples.iter().enumerate() {
        let least = samples[best];
        if s.value > least.value || (s.value == least.value && s.angle.abs() < least.angle.abs()) {
            best = k;
        }
    }
    let mut worst = samples[best];
    if worst.value > 0.0 && samples.len() > 1 {
        let (mut a, mut b) = (
            samples[best.saturating_sub(1)].angle,
            samples[(best + 1).min(samples.len() - 1)].angle,
        );
        let mut found = Vec::new();
        let mut p = at(b - (b - a) * GOLDEN);
        let mut q = at(a + (b - a) * GOLDEN);
        while b - a > FINE {
            found.extend([p, q]);
            if p.value > q.value || (p.value == q.value && p.angle.abs() < q.angle.abs()) {
                b = q.angle;
                q = p;
                p = at(b - (b - a) * GOLDEN);
            } else {
                a = p.angle;
                p = q;
                q = at(a + (b - a) * GOLDEN);
            }
        }
        for s in found {
            if s.value > worst.value {
                worst = s;
            }
        }
        let place = samples.partition_point(|s| s.angle < worst.angle);
        if samples.get(place).is_none_or(|s| s.angle != worst.angle) {
            samples.insert(place, worst);
        }
    }
    Curve { samples, worst }
}

fn split(
    left: Sample,
    right: Sample,
    tolerance: f64,
    level: u32,
    at: &mut impl FnMut(f64) -> Sample,
    out: &mut Vec<Sample>,
) {
    if right.angle - left.angle <= FINE || level > 6 {
        return;
    }
    let middle = at((left.angle + right.angle) / 2.0);
    let straight = (left.value + right.value) / 2.0;
    if (middle.value - straight).abs() <= tolerance {
        if level == 0 {
            out.push(middle);
        }
        return;
    }
    split(left, middle, tolerance, level + 1, at, out);
    out.push(middle);
    split(middle, right, tolerance, level + 1, at, out);
}

impl Curve {
    /// The range about rest (or from the end nearest to it) in which the measure is at most `limit`,
    /// to a tenth of a degree. `None` when it is above even there.
    pub fn within(&self, limit: f64, mut measure: impl FnMut(f64) -> f64) -> Option<[f64; 2]> {
        let mut start = 0;
        for (k, s) in self.samples.iter().enumerate() {
            if s.angle.abs() < self.samples[start].angle.abs() {
                start = k;
            }
        }
        if self.samples[start].value > limit {
            return None;
        }
        let mut close = |good: f64, bad: f64| {
            let (mut good, mut bad) = (good, bad);
            while (bad - good).abs() > FINE {
                let middle = (good + bad) / 2.0;
                if measure(middle) > limit {
                    bad = middle;
                } else {
                    good = middle;
                }
            }
            good
        };
        let mut range = [
            self.samples[0].angle,
            self.samples[self.samples.len() - 1].angle,
        ];
        if let Some(k) = (0..start).rev().find(|&k| self.samples[k].value > limit) {
            range[0] = close(self.samples[k + 1].angle, self.samples[k].angle);
        }
        if let Some(k) = (start..self.samples.len()).find(|&k| self.samples[k].value > limit) {
            range[1] = close(self.samples[k - 1].angle, self.samples[k].angle);
        }
        Some(range)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_worst_angle_is_found_to_a_tenth_of_a_degree() {
        for peak in [-37.33, 0.0, 12.345, 88.8, 90.0] {
            // A narrow rise that coarse steps miss the top of.
            let measure = |a: f64| (3.0 - (a - peak).abs()).max(0.0);
            let curve = trace(-40.0, 90.0, 0.01, measure);
            assert!((curve.worst.angle - peak).abs() <= 0.1, "{:?}", curve.worst);
            assert!(curve.samples.is_sorted_by(|a, b| a.angle < b.angle));
        }
    }

    #[test]
    fn a_level_measure_is_worst_at_rest() {
        let curve = trace(-40.0, 90.0, 0.01, |_| 0.0);
        assert_eq!(curve.worst.angle, 0.0);
        assert_eq!(curve.within(0.0, |_| 0.0), Some([-40.0, 90.0]));
    }

    #[test]
    fn the_range_within_a_limit_ends_where_it_is_crossed() {
        let measure = |a: f64| if a > 0.0 { a / 10.0 } else { -a / 5.0 };
        let curve = trace(-40.0, 90.0, 0.01, measure);
        let [least, most] = curve.within(4.0, measure).unwrap();
        assert!((least + 20.0).abs() <= 0.1 && (most - 40.0).abs() <= 0.1);
        assert_eq!(curve.within(-1.0, measure), None);
        let one_way = trace(10.0, 30.0, 0.01, measure);
        assert_eq!(one_way.within(4.0, measure), Some([10.0, 30.0]));
    }
}
