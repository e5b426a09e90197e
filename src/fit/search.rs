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

/// From each start it is first searched to this many times the precision.
const COARSE: f64 = 25.0;
/// Ends of such searches that are no further apart than this many of their last steps are one valley's.
const SAME: f64 = 20.0;
/// Most fresh beginnings from where steps became too small.
const ROUNDS: u32 = 12;

/// Directions that are looked at all round before the best of them are closed in on.
const ROUND: u32 = 12;
/// How many of those.
const BEST: usize = 2;
/// Golden sections of a direction: from 60 degrees to a hundredth of one.
const SECTIONS: u32 = 18;
/// Moves of one length at most.
const MOVES: u32 = 8;

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
    let coarse = (precision * COARSE).min(step);
    let mut valleys: Vec<(Point, f64)> = Vec::new();
    for &start in starts {
        let least = cost(start, f64::INFINITY);
        if least <= 0.0 {
            return Some((start, least));
        }
        if least.is_finite() {
            valleys.push(polled(start, least, step, coarse, &mut cost));
        }
    }
    valleys.sort_by(|a, b| a.1.total_cmp(&b.1));
    let mut taken: Vec<(Point, f64)> = Vec::new();
    for (at, least) in valleys {
        // One that is further above the best than a coarse step can be off is none to go on in.
        let hopeless = taken.first().is_some_and(|v| least > v.1 + 2.0 * coarse);
        let known = |v: &(Point, f64)| libm::hypot(v.0[0] - at[0], v.0[1] - at[1]) < SAME * coarse;
        if !hopeless && !taken.iter().any(known) {
            taken.push((at, least));
        }
    }
    let closed = taken
        .into_iter()
        .map(|(at, least)| along_creases(at, least, coarse * 4.0, precision, &mut cost));
    closed.min_by(|a, b| a.1.total_cmp(&b.1))
}

/// Goes to where polls all round find nothing better, with steps from `step` down to `precision`.
fn polled(
    mut at: Point,
    mut least: f64,
    step: f64,
    precision: f64,
    cost: &mut impl FnMut(Point, f64) -> f64,
) -> (Point, f64) {
    let (mut reach, mut turn, mut in_vain) = (step, 0.0, 0);
    let (mut rounds, mut before) = (0, f64::INFINITY);
    loop {
        if reach <= precision {
            // In a narrow crease steps can shrink too soon: begin again from there while it helps.
            rounds += 1;
            if rounds > ROUNDS || before - least < precision * 0.1 {
                return (at, least);
            }
            (reach, before) = (step * 0.25, least);
        }
        turn = (turn + TURN) % 360.0;
        let better = (0..DIRECTIONS).find_map(|k| {
            let (sin, cos) = sin_cos_degrees(turn + 360.0 * f64::from(k) / f64::from(DIRECTIONS));
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
}

/// Goes on from where polls all round find nothing better. Where a valley falls slowly along one crease, all
/// but a narrow fan of directions goes up its walls: of each length of step the best direction is closed in
/// on, and that is the crease's.
fn along_creases(
    mut at: Point,
    mut least: f64,
    step: f64,
    precision: f64,
    cost: &mut impl FnMut(Point, f64) -> f64,
) -> (Point, f64) {
    let mut reach = step;
    let mut moves = 0;
    while reach >= precision * 0.5 && least > 0.0 {
        let mut there = |degrees: f64| {
            let (sin, cos) = sin_cos_degrees(degrees);
            let p = [at[0] + reach * cos, at[1] + reach * sin];
            // What lies far up the walls need not be known closely.
            (cost(p, least + reach), p)
        };
        let wide = 360.0 / f64::from(ROUND);
        let round: Vec<f64> = (0..ROUND).map(|k| there(wide * f64::from(k)).0).collect();
        let n = round.len();
        let mut valleys: Vec<usize> = (0..n)
            .filter(|&k| round[k] <= round[(k + 1) % n] && round[k] <= round[(k + n - 1) % n])
            .collect();
        valleys.sort_by(|&a, &b| round[a].total_cmp(&round[b]));
        let mut better: Option<(f64, Point)> = None;
        for k in valleys.into_iter().take(BEST) {
            let middle = wide * f64::from(u32::try_from(k).unwrap_or(0));
            let found = closed_in_on(middle - wide, middle + wide, &mut there);
            if found.0 < least {
                better = Some(found);
                break;
            }
        }
        match better {
            Some((value, p)) if moves < MOVES => {
                (at, least) = (p, value);
                moves += 1;
            }
            _ => (reach, moves) = (reach * 0.5, 0),
        }
    }
    (at, least)
}

/// The least between two directions, degrees, by golden section.
fn closed_in_on(
    mut a: f64,
    mut b: f64,
    there: &mut impl FnMut(f64) -> (f64, Point),
) -> (f64, Point) {
    const GOLDEN: f64 = 0.618_033_988_749_894_9;
    let (mut p, mut q) = (b - (b - a) * GOLDEN, a + (b - a) * GOLDEN);
    let (mut of_p, mut of_q) = (there(p), there(q));
    for _ in 0..SECTIONS {
        if of_p.0 < of_q.0 {
            (b, q, of_q) = (q, p, of_p);
            p = b - (b - a) * GOLDEN;
            of_p = there(p);
        } else {
            (a, p, of_p) = (p, q, of_q);
            q = a + (b - a) * GOLDEN;
            of_q = there(q);
        }
    }
    if of_p.0 < of_q.0 { of_p } else { of_q }
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
        // creases meet. With a right angle the centre lies on the longest side, and the valley is flat there along
        // one crease.
        for corners in [
            [[0.0, 0.0], [8.0, 0.0], [4.0, 8.0]],
            [[0.0, 0.0], [8.0, 0.0], [0.0, 6.0]],
        ] {
            let furthest =
                |p: Point, _: f64| corners.iter().map(|&c| off(p, c)).fold(0.0, f64::max);
            for start in [[0.0, 0.0], [20.0, -9.0], [4.0, 3.0], [-15.0, 40.0]] {
                let (at, least) = minimise(&[start], 5.0, 1e-4, furthest).unwrap();
                assert!(off(at, [4.0, 3.0]) < 2e-3, "{corners:?} {start:?}: {at:?}");
                assert!((least - 5.0).abs() < 1e-3);
            }
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
