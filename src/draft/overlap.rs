//! What parts cover of each other.

use super::part::Part;
use crate::geom::{Region, meet};
use crate::parallel;

/// The common areas of all pairs of parts.
#[derive(Debug)]
pub struct Overlaps {
    n: usize,
    area: Vec<f64>,
}

impl Overlaps {
    /// Of parts as they are drawn.
    #[must_use]
    pub fn new(parts: &[Part]) -> Self {
        let n = parts.len();
        let pairs = (0..n).flat_map(|a| (a + 1..n).map(move |b| (a, b)));
        let meets = |(a, b): &(usize, usize)| meet(parts[*a].shown.bounds, parts[*b].shown.bounds);
        let pairs: Vec<(usize, usize)> = pairs.filter(meets).collect();
        let found = parallel::each(&pairs, |&(a, b)| {
            let [p, q] = [a, b].map(|k| &parts[k].shown.silhouette);
            p.intersection(q).area()
        });
        let mut area = vec![0.0; n * n];
        for ((a, b), common) in pairs.into_iter().zip(found) {
            area[a * n + b] = common;
            area[b * n + a] = common;
        }
        Self { n, area }
    }

    /// What two parts both cover, square units.
    #[must_use]
    pub fn area(&self, a: usize, b: usize) -> f64 {
        self.area[a * self.n + b]
    }

    /// The same as a share of the smaller.
    #[must_use]
    pub fn share(&self, parts: &[Part], a: usize, b: usize) -> f64 {
        self.area(a, b)
            / parts[a]
                .shown
                .area
                .min(parts[b].shown.area)
                .max(f64::MIN_POSITIVE)
    }
}

/// How far two parts are from each other: nothing where they meet.
#[must_use]
pub fn gap(a: &Region, b: &Region) -> f64 {
    let near = |from: &Region, to: &Region| {
        let points = from.contours().iter().flatten().step_by(4);
        points
            .map(|p| to.distance(*p))
            .fold(f64::INFINITY, f64::min)
    };
    near(a, b).min(near(b, a))
}
