//! Regions with fewer points.

use super::{Point, Region};

impl Region {
    /// The region with points left out whose loss moves no edge by more than `tolerance`.
    #[must_use]
    pub fn thinned(&self, tolerance: f64) -> Self {
        let thinned = self.contours().iter().map(|c| thin(c, tolerance));
        Self {
            contours: thinned.filter(|c| c.len() > 2).collect(),
        }
    }
}

/// A closed contour by Douglas and Peucker's rule, from its first point and the one furthest off.
fn thin(contour: &[Point], tolerance: f64) -> Vec<Point> {
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thinning_keeps_shapes_and_drops_points() {
        let disc = Region::disc([3.0, 4.0], 50.0, 1e-4);
        let thin = disc.thinned(0.05);
        let points = |r: &Region| r.contours().iter().map(Vec::len).sum::<usize>();
        assert!(
            points(&thin) * 5 < points(&disc),
            "{} of {}",
            points(&thin),
            points(&disc)
        );
        assert!(disc.difference(&thin).area() + thin.difference(&disc).area() < 50.0 * 7.0 * 0.05);
        let spike = Region::from_contours(
            &[vec![
                [0.0, 0.0],
                [10.0, 0.0],
                [10.0, 10.0],
                [5.02, 10.0],
                [5.01, 40.0],
                [5.0, 10.0],
                [0.0, 10.0],
            ]],
            tiny_skia::FillRule::Winding,
        );
        assert!((spike.thinned(0.001).area() - spike.area()).abs() < 0.01);
    }
}
