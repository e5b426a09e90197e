//! Radial gradients that repeat, written out as one that does not: PDF has no repeated shadings
//! (ISO 32000-1, 8.7.4.5.4: a radial shading can only be extended).

/// So often a gradient is repeated at most, in and out.
const MOST: f64 = 200.0;

/// A gradient over several periods.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Widened {
    /// Centre and radius of the first circle, then of the last.
    pub circles: [f64; 6],
    /// In periods of the gradient, where the circles are.
    from: f64,
    to: f64,
    turns: bool,
}

/// The circles so far apart that they hold all that is seen. `turns` is true where every second
/// period runs backwards.
pub(super) fn widened(circles: [f64; 6], turns: bool, seen: &[[f64; 2]]) -> Widened {
    let [fx, fy, fr, cx, cy, cr] = circles;
    let grows = cr - fr;
    // The gradient begins where its circle is a point.
    let from = if grows > 1e-9 {
        (-fr / grows).max(-MOST)
    } else {
        0.0
    };
    let farthest = seen.iter().filter_map(|&p| reached(circles, p));
    let to = farthest.fold(1.0, f64::max).ceil().min(MOST);
    let at = |t: f64| {
        [
            fx + (cx - fx) * t,
            fy + (cy - fy) * t,
            (fr + grows * t).max(0.0),
        ]
    };
    let ([x0, y0, r0], [x1, y1, r1]) = (at(from), at(to));
    Widened {
        circles: [x0, y0, r0, x1, y1, r1],
        from,
        to,
        turns,
    }
}

/// The last circle that goes through a point, in periods: |p - f - t d| = fr + t dr.
fn reached([fx, fy, fr, cx, cy, cr]: [f64; 6], [x, y]: [f64; 2]) -> Option<f64> {
    let (dx, dy, dr) = (cx - fx, cy - fy, cr - fr);
    let (px, py) = (x - fx, y - fy);
    let a = dx * dx + dy * dy - dr * dr;
    let b = px * dx + py * dy + fr * dr;
    let c = px * px + py * py - fr * fr;
    let roots = if a.abs() < 1e-12 {
        [c / (2.0 * b), f64::NAN]
    } else {
        let root = libm::sqrt(b * b - a * c);
        [(b + root) / a, (b - root) / a]
    };
    let fits = |t: &f64| t.is_finite() && fr + t * dr >= 0.0;
    roots.into_iter().filter(fits).reduce(f64::max)
}

impl Widened {
    /// The stops of all periods, offsets from 0 to 1 over all of them.
    pub fn stops<T: Clone>(&self, stops: &[(f64, T)]) -> Vec<(f64, T)> {
        let span = self.to - self.from;
        let mut all = Vec::new();
        let (Some((_, first)), Some((_, last))) = (stops.first(), stops.last()) else {
            return all;
        };
        let mut period = self.from.floor();
        while period < self.to {
            let mut own = vec![(0.0, first.clone())];
            own.extend_from_slice(stops);
            own.push((1.0, last.clone()));
            if self.turns && period.rem_euclid(2.0) >= 1.0 {
                own.reverse();
                own.iter_mut()
                    .for_each(|(offset, _)| *offset = 1.0 - *offset);
            }
            let shares = own
                .into_iter()
                .map(|(offset, stop)| ((period + offset - self.from) / span, stop));
            all.extend(shares);
            period += 1.0;
        }
        all
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What a gradient from 0 to 1 is at an offset, by its stops.
    fn between(stops: &[(f64, f64)], at: f64) -> f64 {
        let after = stops.iter().position(|(offset, _)| *offset >= at);
        let Some(after) = after.filter(|&after| after > 0) else {
            return stops.first().map_or(0.0, |(_, value)| *value);
        };
        let ((a, low), (b, high)) = (stops[after - 1], stops[after]);
        low + (high - low) * (at - a) / (b - a)
    }

    #[test]
    fn periods_run_on_and_back_as_svg_defines_them() {
        // SVG 2, 14.2.2: `repeat` repeats 0 to 1, `reflect` goes 0 to 1, 1 to 0 and so on.
        let circles = [30.0, 40.0, 5.0, 50.0, 50.0, 40.0];
        let seen = [
            [-200.0, -100.0],
            [300.0, -100.0],
            [300.0, 260.0],
            [-200.0, 260.0],
        ];
        for turns in [false, true] {
            let wide = widened(circles, turns, &seen);
            let stops = wide.stops(&[(0.1, 0.0), (0.4, 3.0), (1.0, 1.0)]);
            let one = [(0.0, 0.0), (0.1, 0.0), (0.4, 3.0), (1.0, 1.0)];
            for step in 0..1000 {
                let t = wide.from + (wide.to - wide.from) * (f64::from(step) + 0.37) / 1000.0;
                let folded = if turns {
                    1.0 - (t.rem_euclid(2.0) - 1.0).abs()
                } else {
                    t.rem_euclid(1.0)
                };
                let share = (t - wide.from) / (wide.to - wide.from);
                let (is, should) = (between(&stops, share), between(&one, folded));
                assert!((is - should).abs() < 1e-6, "{turns} {t}: {is} {should}");
            }
            // The circle at t is the same in both descriptions, and the last one holds all corners.
            let [x0, y0, r0, x1, y1, r1] = wide.circles;
            assert!(r0.abs() < 1e-9, "it begins at a point: {r0}");
            let share = (1.0 - wide.from) / (wide.to - wide.from);
            assert!((x0 + (x1 - x0) * share - 50.0).abs() < 1e-9);
            assert!((y0 + (y1 - y0) * share - 50.0).abs() < 1e-9);
            assert!((r0 + (r1 - r0) * share - 40.0).abs() < 1e-9);
            for [x, y] in seen {
                assert!(libm::hypot(x - x1, y - y1) <= r1 + 1e-9);
            }
        }
    }
}
