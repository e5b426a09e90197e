//! The least of a function of two numbers that is not smooth.
//!
//! What juts out furthest is a maximum of distances, so its valleys have creases. A simplex can stall on
//! them (McKinnon, SIAM Journal on Optimization 9(1), 1998); a search that polls all round, in directions
//! that become dense while the steps become small, cannot (Audet and Dennis, Mesh adaptive direct search
//! algorithms for constrained optimization, SIAM Journal on Optimization 17(1), 2006). In two dimensions
//! that takes fewer lines than it would take to call a library for more.

use crate::geom::{Point, sin_cos_degrees};

/// Directions of one poll.
const DIRECTIONS: u32 = 8;
/// Each poll is turned by this against the one before, degrees: the golden angle never repeats itself.
const TURN: f64 = 137.507_764;
/// Polls in vain before the step is cut.
const PATIENCE: u32 = 2;
/// A step that found something better grows by this, one in vain shrinks.
const GROW: f64 = 1.5;
/// See [`GROW`].
const SHRINK: f64 = 0.55;

/// Most fresh beginnings from where steps became too small.
const ROUNDS: u32 = 12;

/// The point of least cost, and that cost, from several starts. Steps go from `step` down to `precision`.
///
/// `cost` gets a bound with the point: where it finds that the cost is no less, it may give any value
/// that is no less.
pub fn minimise(
    starts: &[Point],
    step: f64,
    precision: f64,
    mut cost: impl FnMut(Point, f64) -> f64,
) -> Option<(Point, f64)> {
    let mut best: Option<(Point, f64)> = None;
    for &start in starts {
        let (mut at, mut least) = (start, cost(start, f64::INFINITY));
        if !least.is_finite() {
            continue;
        }
        let (mut reach, mut turn, mut in_vain) = (step, 0.0, 0);
        let (mut rounds, mut before) = (0, f64::INFINITY);
        loop {
            if reach <= precision {
                // In a narrow crease steps can shrink too soon: begin again from there while it helps.
                rounds += 1;
                if rounds > ROUNDS || before - least < precision * 0.1 {
                    break;
                }
                (reach, before) = (step * 0.25, least);
            }
            turn = (turn + TURN) % 360.0;
            let better = (0..DIRECTIONS).find_map(|k| {
                let (sin, cos) =
                    sin_cos_degrees(turn + 360.0 * f64::from(k) / f64::from(DIRECTIONS));
                let there = [at[0] + reach * cos, at[1] + reach * sin];
                let found = cost(there, least);
                (found < least).then_some((there, found))
            });
            if let Some((there, found)) = better {
                (at, least, in_vain) = (there, found, 0);
                reach = (reach * GROW).min(step);
            } else {
                in_vain += 1;
                if in_vain == PATIENCE {
                    (reach, in_vain) = (reach * SHRINK, 0);
                }
            }
        }
        if best.is_none_or(|(_, other)| least < other) {
            best = Some((at, least));
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    fn off(p: Point, q: Point) -> f64 {
        libm::hypot(p[0] - q[0], p[1] - q[1])
    }

    #[test]
    fn creases_do_not_stop_the_search() {
        // The furthest of three points of an acute triangle is least at the centre of their circle, where three
        // creases meet. (With a right angle the valley is flat along one crease, and places there cost the same.)
        let corners = [[0.0, 0.0], [8.0, 0.0], [4.0, 8.0]];
        let furthest = |p: Point, _: f64| corners.iter().map(|&c| off(p, c)).fold(0.0, f64::max);
        for start in [[0.0, 0.0], [20.0, -9.0], [4.0, 3.0], [-15.0, 40.0]] {
            let (at, least) = minimise(&[start], 5.0, 1e-4, furthest).unwrap();
            assert!(off(at, [4.0, 3.0]) < 2e-3, "{start:?}: {at:?}");
            assert!((least - 5.0).abs() < 1e-3);
        }
    }

    #[test]
    fn the_best_of_several_valleys_is_taken() {
        let two = |p: Point, _: f64| (off(p, [0.0, 0.0]) + 1.0).min(2.0 * off(p, [30.0, 0.0]));
        let (at, _) = minimise(&[[-3.0, 1.0], [26.0, 2.0]], 4.0, 1e-4, two).unwrap();
        assert!(off(at, [30.0, 0.0]) < 1e-3);
        assert_eq!(
            minimise(&[[0.0, 0.0]], 1.0, 0.1, |_, _| f64::INFINITY),
            None
        );
    }
}
