//! Contours with fewer points.

use super::Point;

/// A closed contour by Douglas and Peucker's rule, from its first point and the one furthest off.
pub(super) fn thin(contour: &[Point], tolerance: f64) -> Vec<Point> {
    let n = contour.len();
    if n < 5 {
        return contour.to_vec();
    }
    let distance2 = |p: Point, q: Point| {
        let d = [p[0] - q[0], p[1] - q[1]];
        d[0] * d[0] + d[1] * d[1]
    };
    let mut opposite = 1;
    for i in 2..n {
        if distance2(contour[i], contour[0]) > distance2(contour[opposite], contour[0]) {
            opposite = i;
        }
    }
    let mut keep = vec![false; n + 1];
    keep[0] = true;
    keep[opposite] = true;
    let at = |i: usize| contour[i % n];
    let mut wait = vec![(0, opposite), (opposite, n)];
    while let Some((from, to)) = wait.pop() {
        let (a, b) = (at(from), at(to));
        let along = [b[0] - a[0], b[1] - a[1]];
        let length2 = along[0] * along[0] + along[1] * along[1];
        let (mut most, mut worst) = (tolerance * tolerance, None);
        for i in from + 1..to {
            let p = at(i);
            let off = if length2 > 0.0 {
                // To the piece, not the line: a spike beyond its end must stay.
                let t = ((p[0] - a[0]) * along[0] + (p[1] - a[1]) * along[1]) / length2;
                let t = t.clamp(0.0, 1.0);
                distance2(p, [a[0] + t * along[0], a[1] + t * along[1]])
            } else {
                distance2(p, a)
            };
            if off > most {
                (most, worst) = (off, Some(i));
            }
        }
        if let Some(i) = worst {
            keep[i] = true;
            wait.push((from, i));
            wait.push((i, to));
        }
    }
    contour
        .iter()
        .zip(&keep)
        .filter(|(_, keep)| **keep)
        .map(|(p, _)| *p)
        .collect()
}
