//! Where parts turn: at the artist's mark, at the drawing program's centre, else where a part and what carries it overlap.

use super::layers::Mark;
use super::part::{Decided, Part, Sure, Turns};
use crate::geom::{Point, Region};

/// Decides every pivot. `marks` are what marks are for and where they are.
pub fn place(parts: &mut [Part], marks: &[(Mark, Point)]) -> Vec<Mark> {
    let mut unused = Vec::new();
    let mut marked: Vec<Option<(&Mark, Point)>> = vec![None; parts.len()];
    for (mark, at) in marks {
        let own = |part: &Part| {
            let mut a = mark.words.all.clone();
            let mut b = part.words.all.clone();
            a.sort_unstable();
            b.sort_unstable();
            a == b
        };
        let found = parts.iter().position(own).or_else(|| {
            let same = |p: &&Part| p.words.base == mark.words.base && p.words.fits(&mark.words);
            let mut of = parts.iter().enumerate().filter(|(_, p)| same(p));
            of.next().filter(|_| of.next().is_none()).map(|(k, _)| k)
        });
        match found {
            Some(k) => marked[k] = Some((mark, *at)),
            None => unused.push(mark.clone()),
        }
    }
    for k in 0..parts.len() {
        let decided = match (marked[k], parts[k].centre) {
            (Some((mark, at)), _) => {
                parts[k].turns = Turns::Mark(mark.art.clone());
                Decided::new(at, Sure::Certain, "the artist's mark")
            }
            (None, Some([x, y])) => {
                let [left, top, right, bottom] = parts[k].shown.bare;
                let at = [
                    f64::midpoint(left, right) + x,
                    f64::midpoint(top, bottom) - y,
                ];
                Decided::new(
                    at,
                    Sure::Certain,
                    "the drawing program's centre of rotation",
                )
            }
            (None, None) => by_overlap(parts, k),
        };
        parts[k].pivot = decided;
    }
    unused
}

fn by_overlap(parts: &[Part], k: usize) -> Decided<Point> {
    let part = &parts[k];
    let Some(parent) = &part.parent else {
        return Decided::new(
            part.shown.middle(),
            Sure::Likely,
            "the middle of the figure's root",
        );
    };
    let on = &parts[parent.value].shown;
    let shared = part.shown.silhouette.intersection(&on.silhouette);
    let precision = libm::sqrt(part.shown.area) / 500.0;
    if shared.is_empty() {
        let at = nearest(&part.shown.silhouette, &on.silhouette);
        let why = "it does not meet what carries it: the nearest point";
        return Decided::new(at.unwrap_or(part.shown.middle()), Sure::Guess, why);
    }
    match shared.inscribed_circle(precision) {
        Some(circle) => Decided::new(circle.centre, Sure::Likely, "the middle of the overlap"),
        None => Decided::new(
            part.shown.middle(),
            Sure::Guess,
            "the middle of its drawing",
        ),
    }
}

fn nearest(of: &Region, to: &Region) -> Option<Point> {
    let points = of.contours().iter().flatten();
    points
        .min_by(|a, b| to.distance(**a).total_cmp(&to.distance(**b)))
        .copied()
}
