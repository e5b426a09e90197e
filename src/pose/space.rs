//! Directions in space and how a view shows them. The body's frame is right-handed: x to the character's left, y up,
//! z forward.

use crate::geom::{Point, sin_cos_degrees};

/// A direction, or a place.
pub type Vector = [f64; 3];

/// Up.
pub const UP: Vector = [0.0, 1.0, 0.0];

/// What the body, or a part of it, is turned to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame([Vector; 3]);

impl Frame {
    /// Upright, facing forward.
    pub const UPRIGHT: Self = Self([[1.0, 0.0, 0.0], UP, [0.0, 0.0, 1.0]]);

    /// Leant forward and to the left, then turned to the left, degrees: `Ry(turn) Rx(forward) Rz(-left)`.
    #[must_use]
    pub fn lean([forward, left, turn]: [f64; 3]) -> Self {
        let about = |axis: usize, degrees: f64| {
            let (sin, cos) = sin_cos_degrees(degrees);
            let (a, b) = ((axis + 1) % 3, (axis + 2) % 3);
            let mut rows = [[0.0; 3]; 3];
            rows[axis][axis] = 1.0;
            (rows[a][a], rows[a][b]) = (cos, -sin);
            (rows[b][a], rows[b][b]) = (sin, cos);
            Self(rows)
        };
        about(1, turn)
            .after(about(0, forward))
            .after(about(2, -left))
    }

    /// A frame within this one.
    #[must_use]
    pub fn after(&self, inner: Self) -> Self {
        let column = |at: usize| self.apply([inner.0[0][at], inner.0[1][at], inner.0[2][at]]);
        let [x, y, z] = [column(0), column(1), column(2)];
        Self([0, 1, 2].map(|row| [x[row], y[row], z[row]]))
    }

    /// A direction of this frame as the body has it.
    #[must_use]
    pub fn apply(&self, v: Vector) -> Vector {
        self.0
            .map(|row| row[0] * v[0] + row[1] * v[1] + row[2] * v[2])
    }
}

/// Where a limb points: `lift` from hanging (0) over level (90) to straight up (180), `bearing` from forward (0) over
/// outward (90) to backward (180), degrees; `side` is 1 on the body's left and -1 on its right.
#[must_use]
pub fn aimed(side: f64, [lift, bearing]: Point) -> Vector {
    let (rise, hang) = sin_cos_degrees(lift);
    let (out, forward) = sin_cos_degrees(bearing);
    [side * rise * out, -hang, rise * forward]
}

/// What a view that shows the body turned by `facing` degrees to screen right shows of a direction.
#[must_use]
pub fn on_page([x, y, z]: Vector, facing: f64) -> Point {
    let (sin, cos) = sin_cos_degrees(facing);
    [x * cos + z * sin, -y]
}

/// How far a direction goes towards the viewer of such a view.
#[must_use]
pub fn toward([x, _, z]: Vector, facing: f64) -> f64 {
    let (sin, cos) = sin_cos_degrees(facing);
    z * cos - x * sin
}

/// The sum of a place and so much of a direction.
#[must_use]
pub fn along(from: Vector, direction: Vector, length: f64) -> Vector {
    [0, 1, 2].map(|k| from[k] + length * direction[k])
}

/// Degrees from one direction on the page to another, positive clockwise, between -180 and 180.
#[must_use]
pub fn turn_between(from: Point, to: Point) -> f64 {
    let across = from[0] * to[1] - from[1] * to[0];
    let with = from[0] * to[0] + from[1] * to[1];
    libm::atan2(across, with).to_degrees()
}

/// The same turn within 180 degrees of this one.
#[must_use]
pub fn nearest_turn(turn: f64, middle: f64) -> f64 {
    middle + libm::remainder(turn - middle, 360.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(a: &[f64], b: &[f64]) {
        let off = a.iter().zip(b).map(|(a, b)| libm::fabs(a - b));
        assert!(off.fold(0.0, f64::max) < 1e-12, "{a:?} is not {b:?}");
    }

    // By hand, from what the words say.
    #[test]
    fn words_point_where_they_say() {
        near(&aimed(1.0, [0.0, 77.0]), &[0.0, -1.0, 0.0]);
        near(&aimed(-1.0, [180.0, 12.0]), &UP);
        near(&aimed(1.0, [90.0, 0.0]), &[0.0, 0.0, 1.0]);
        near(&aimed(1.0, [90.0, 90.0]), &[1.0, 0.0, 0.0]);
        near(&aimed(-1.0, [90.0, 90.0]), &[-1.0, 0.0, 0.0]);
        near(&aimed(-1.0, [90.0, 180.0]), &[0.0, 0.0, -1.0]);
        // Bent forward by a right angle up is forward; to the left it is left; a turn takes forward to the left.
        near(&Frame::lean([90.0, 0.0, 0.0]).apply(UP), &[0.0, 0.0, 1.0]);
        near(&Frame::lean([0.0, 90.0, 0.0]).apply(UP), &[1.0, 0.0, 0.0]);
        let forward = [0.0, 0.0, 1.0];
        near(
            &Frame::lean([0.0, 0.0, 90.0]).apply(forward),
            &[1.0, 0.0, 0.0],
        );
        // Turned to the left and bent forward, the head goes to where the body looks then.
        near(&Frame::lean([90.0, 0.0, 90.0]).apply(UP), &[1.0, 0.0, 0.0]);
    }

    // A front view shows the character's left on screen right, a side view what is forward; from behind all is turned.
    #[test]
    fn views_show_what_they_face() {
        let (left, forward) = ([1.0, 0.0, 0.0], [0.0, 0.0, 1.0]);
        near(&on_page(left, 0.0), &[1.0, 0.0]);
        near(&on_page(forward, 0.0), &[0.0, 0.0]);
        near(&on_page(forward, 90.0), &[1.0, 0.0]);
        near(&on_page(left, 180.0), &[-1.0, 0.0]);
        near(&on_page(UP, 45.0), &[0.0, -1.0]);
        near(&[toward(forward, 0.0), toward(left, 90.0)], &[1.0, -1.0]);
        near(&[toward(forward, 180.0)], &[-1.0]);
    }

    #[test]
    fn turns_are_the_nearest_to_the_middle() {
        near(&[turn_between([0.0, 1.0], [-1.0, 0.0])], &[90.0]);
        near(
            &[nearest_turn(200.0, 0.0), nearest_turn(200.0, 45.0)],
            &[-160.0, 200.0],
        );
        near(&[nearest_turn(-300.0, -60.0)], &[60.0]);
    }
}
