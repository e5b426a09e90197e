//! A region's edges, sorted once so that few of them are asked about a point.
#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss,
    reason = "counts of edges and strips, clamped"
)]

use super::measure::off_piece;
use super::{Point, Region, distance2_to_piece};

/// A square that so few edges can be nearest to is not cut further,
const FEW: usize = 5;
/// nor is one that has been cut so often,
const DEEPEST: u32 = 7;
/// nor one that is this many times as far from the edges as its half side.
const FAR: f64 = 6.0;
/// Edges to a strip, about.
const TO_A_STRIP: usize = 2;
/// Squares go beyond the region by this share of its size.
const MARGIN: f64 = 0.5;

/// The edges of a region that does not change: what [`Region::contains`] and [`Region::distance_to_edge`]
/// say, to the bit, in far less time for many points.
#[derive(Clone, Debug, Default)]
pub struct Edges {
    pieces: Vec<[Point; 2]>,
    top: f64,
    strips_per_unit: f64,
    /// Of each strip of the region, from top to bottom, where its edges start in `in_strip`; and an end.
    strips: Vec<u32>,
    in_strip: Vec<[Point; 2]>,
    /// Half of the first square's side.
    half: f64,
    /// Squares cut in four, and those in four.
    squares: Vec<Square>,
    /// Of squares that are not cut, the edges that can be nearest to a point in it.
    nearest: Vec<[Point; 2]>,
}

/// Where edges may be nearest to.
#[derive(Clone, Debug)]
struct Square {
    centre: Point,
    /// How far inside the region the centre is, units; negative outside.
    depth: f64,
    /// The first of its four squares; 0 for one that is not cut.
    first: u32,
    from: u32,
    to: u32,
}

impl Edges {
    /// Sorts the edges of a region.
    #[must_use]
    pub fn new(region: &Region) -> Self {
        let Some([left, top, right, bottom]) = region.bounds() else {
            return Self::default();
        };
        let pieces: Vec<[Point; 2]> = region.edges().map(|(a, b)| [a, b]).collect();
        let count = (pieces.len() / TO_A_STRIP).clamp(1, 4096);
        let mut made = Self {
            pieces,
            top,
            strips_per_unit: count as f64 / (bottom - top).max(f64::MIN_POSITIVE),
            half: (right - left).max(bottom - top) * (0.5 + MARGIN),
            ..Self::default()
        };
        made.cut_in_strips(count);
        let centre = [f64::midpoint(left, right), f64::midpoint(top, bottom)];
        let all: Vec<u32> = (0..made.pieces.len() as u32).collect();
        made.squares.push(made.square(centre, &all));
        made.cut(0, &all, made.half, 0);
        made
    }

    fn cut_in_strips(&mut self, count: usize) {
        let mut sorted: Vec<Vec<[Point; 2]>> = vec![Vec::new(); count];
        for &[a, b] in &self.pieces {
            let (from, to) = (self.strip(a[1].min(b[1])), self.strip(a[1].max(b[1])));
            for strip in &mut sorted[from.min(count - 1)..=to.min(count - 1)] {
                strip.push([a, b]);
            }
        }
        self.strips.push(0);
        for strip in sorted {
            self.in_strip.extend(strip);
            self.strips.push(self.in_strip.len() as u32);
        }
    }

    /// The strip at a height below the top. It never falls as the height grows, and so an edge is in all
    /// strips between those of its ends.
    fn strip(&self, y: f64) -> usize {
        ((y - self.top) * self.strips_per_unit) as usize
    }

    /// A square that is not cut yet; the edge nearest to its centre is among `edges`.
    fn square(&self, centre: Point, edges: &[u32]) -> Square {
        let near2 = edges
            .iter()
            .map(|&k| {
                let [a, b] = self.pieces[k as usize];
                distance2_to_piece(centre, a, b)
            })
            .fold(f64::INFINITY, f64::min);
        let near = libm::sqrt(near2);
        Square {
            centre,
            depth: if self.contains(centre) { near } else { -near },
            first: 0,
            from: 0,
            to: 0,
        }
    }

    /// Keeps of a square's edges those that can be nearest, and cuts it where they are many.
    fn cut(&mut self, at: usize, edges: &[u32], half: f64, level: u32) {
        let Square { centre, depth, .. } = self.squares[at];
        // A point of the square is at most half a diagonal from its centre, and so is the other way round.
        let reach = depth.abs() + 2.0 * half * std::f64::consts::SQRT_2;
        let reach2 = reach * reach * (1.0 + 1e-9);
        let kept: Vec<u32> = edges
            .iter()
            .copied()
            .filter(|&k| {
                let [a, b] = self.pieces[k as usize];
                distance2_to_piece(centre, a, b) <= reach2
            })
            .collect();
        if kept.len() <= FEW || level == DEEPEST || depth.abs() > half * FAR {
            self.squares[at].from = self.nearest.len() as u32;
            self.nearest
                .extend(kept.iter().map(|&k| self.pieces[k as usize]));
            self.squares[at].to = self.nearest.len() as u32;
            return;
        }
        let first = self.squares.len();
        self.squares[at].first = first as u32;
        let quarter = half / 2.0;
        for (dx, dy) in [(-1.0, -1.0), (1.0, -1.0), (-1.0, 1.0), (1.0, 1.0)] {
            let centre = [centre[0] + dx * quarter, centre[1] + dy * quarter];
            let square = self.square(centre, &kept);
            self.squares.push(square);
        }
        for k in 0..4 {
            self.cut(first + k, &kept, quarter, level + 1);
        }
    }

    /// True when there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.pieces.is_empty()
    }

    /// True when the point lies inside the region.
    #[must_use]
    pub fn contains(&self, p: Point) -> bool {
        if p[1] < self.top {
            return false;
        }
        let strip = self.strip(p[1]);
        let strip = strip.min(self.strips.len().wrapping_sub(2));
        let (Some(&from), Some(&to)) = (self.strips.get(strip), self.strips.get(strip + 1)) else {
            return false;
        };
        let mut inside = false;
        for &[a, b] in &self.in_strip[from as usize..to as usize] {
            if (a[1] > p[1]) != (b[1] > p[1])
                && p[0] < a[0] + (b[0] - a[0]) * (p[1] - a[1]) / (b[1] - a[1])
            {
                inside = !inside;
            }
        }
        inside
    }

    /// The smallest square with a point in it, and false; or the first and true where what squares know of
    /// a point is `enough`: the least depth that it can have.
    fn find(&self, p: Point, enough: f64) -> Option<(&Square, bool)> {
        let mut square = self.squares.first()?;
        let off = [p[0] - square.centre[0], p[1] - square.centre[1]];
        if off[0].abs() > self.half || off[1].abs() > self.half {
            return None;
        }
        loop {
            if square.depth > enough {
                let off = [p[0] - square.centre[0], p[1] - square.centre[1]];
                let spare = (square.depth - enough) * (1.0 - 1e-9);
                if off[0] * off[0] + off[1] * off[1] < spare * spare {
                    return Some((square, true));
                }
            }
            if square.first == 0 {
                return Some((square, false));
            }
            let right = usize::from(p[0] > square.centre[0]);
            let below = usize::from(p[1] > square.centre[1]);
            square = &self.squares[square.first as usize + right + 2 * below];
        }
    }

    /// How far outside the region a point is, squared, if that is more than `by`, itself squared in `by2`.
    #[must_use]
    pub fn outside2(&self, p: Point, by: f64, by2: f64) -> Option<f64> {
        let found = self.find(p, -by);
        if found.is_some_and(|(_, sure)| sure) || self.is_inside(p, found) {
            return None;
        }
        let near2 = self.distance2_in(p, found);
        (near2 > by2 && near2.is_finite()).then_some(near2)
    }

    fn is_inside(&self, p: Point, found: Option<(&Square, bool)>) -> bool {
        let sure = found.filter(|(square, _)| {
            let off = [p[0] - square.centre[0], p[1] - square.centre[1]];
            off[0] * off[0] + off[1] * off[1] < square.depth * square.depth * (1.0 - 1e-9)
        });
        sure.map_or_else(|| self.contains(p), |(square, _)| square.depth > 0.0)
    }

    /// True when a point and all within `round` of it are certainly less than `by` outside the region, as
    /// far as that is told at once.
    #[must_use]
    pub fn is_within(&self, p: Point, round: f64, by: f64) -> bool {
        self.find(p, round - by).is_some_and(|(_, sure)| sure)
    }

    /// From a point to the nearest edge, squared; endless when there are none.
    #[must_use]
    pub fn distance2(&self, p: Point) -> f64 {
        self.distance2_in(p, self.find(p, f64::INFINITY))
    }

    fn distance2_in(&self, p: Point, found: Option<(&Square, bool)>) -> f64 {
        let mut least = f64::INFINITY;
        self.each_near(found, |a, b| least = least.min(distance2_to_piece(p, a, b)));
        least
    }

    /// The edges that can be nearest to a point of a square that is not cut; all of them without one.
    fn each_near(&self, found: Option<(&Square, bool)>, mut take: impl FnMut(Point, Point)) {
        if let Some((square, false)) = found {
            for &[a, b] in &self.nearest[square.from as usize..square.to as usize] {
                take(a, b);
            }
        } else {
            for &[a, b] in &self.pieces {
                take(a, b);
            }
        }
    }

    /// How far inside the region a point is, units; negative outside.
    #[must_use]
    pub fn depth(&self, p: Point) -> f64 {
        self.depth_unless(p, f64::INFINITY).unwrap_or(f64::INFINITY)
    }

    /// [`Edges::depth`]; nothing where it is told at once that it is more than `most`.
    #[must_use]
    pub fn depth_unless(&self, p: Point, most: f64) -> Option<f64> {
        let found = self.find(p, most);
        if found.is_some_and(|(_, sure)| sure) {
            return None;
        }
        let near = libm::sqrt(self.distance2_in(p, found));
        Some(if self.is_inside(p, found) {
            near
        } else {
            -near
        })
    }

    /// The point of the edges that is nearest to a point; the point itself when there are none.
    #[must_use]
    pub fn nearest(&self, p: Point) -> Point {
        let (mut least, mut at) = (f64::INFINITY, p);
        self.each_near(self.find(p, f64::INFINITY), |a, b| {
            let off = off_piece(p, a, b);
            let near2 = off[0] * off[0] + off[1] * off[1];
            if near2 < least {
                (least, at) = (near2, [p[0] - off[0], p[1] - off[1]]);
            }
        });
        at
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Rings with holes, islands and spikes, from numbers.
    fn shape(seeds: &[f64]) -> Region {
        let ring = |centre: Point, size: f64, n: u32| -> Vec<Point> {
            (0..n)
                .map(|k| {
                    let angle = 360.0 * f64::from(k) / f64::from(n);
                    let (s, c) = crate::geom::sin_cos_degrees(angle);
                    let seed = seeds[k as usize % seeds.len()];
                    let r = size * (0.3 + seed);
                    [centre[0] + r * c, centre[1] + r * s]
                })
                .collect()
        };
        let rings = [
            ring([0.0, 0.0], 50.0, 97),
            ring([1.0, 2.0], 9.0, 12),
            ring([140.0, 30.0], 20.0, 31),
        ];
        Region::from_contours(&rings, tiny_skia::FillRule::EvenOdd)
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(40))]
        #[test]
        fn sorted_edges_say_what_all_edges_say(
            seeds in proptest::collection::vec(0.0..1.0_f64, 3..40),
            points in proptest::collection::vec((-260.0..360.0_f64, -260.0..260.0_f64), 200),
        ) {
            let region = shape(&seeds);
            let edges = Edges::new(&region);
            let corners = region.contours().iter().flatten().copied();
            let grid = (0..400_u32).map(|k| [f64::from(k % 20) * 9.0 - 50.0, f64::from(k / 20) * 7.0 - 60.0]);
            for p in points.iter().map(|&(x, y)| [x, y]).chain(corners).chain(grid) {
                prop_assert_eq!(edges.contains(p), region.contains(p));
                let (got, want) = (libm::sqrt(edges.distance2(p)), region.distance_to_edge(p));
                prop_assert_eq!(got.to_bits(), want.to_bits());
                let at = edges.nearest(p);
                let off = libm::hypot(at[0] - p[0], at[1] - p[1]);
                prop_assert!((off - want).abs() < 1e-9 && region.distance_to_edge(at) < 1e-9);
                let outside = region.distance(p);
                for by in [0.0, 0.5, 10.0] {
                    prop_assert!(!edges.is_within(p, 0.0, by) || outside < by.max(1e-12));
                    prop_assert!(!edges.is_within(p, 3.0, by) || outside < (by - 3.0).max(1e-12));
                    let further = edges.outside2(p, by, by * by).map(libm::sqrt);
                    prop_assert_eq!(further, (outside > by).then_some(outside));
                }
            }
        }
    }

    #[test]
    fn nothing_has_no_edges() {
        let none = Edges::new(&Region::empty());
        assert!(none.is_empty() && !none.contains([0.0, 0.0]));
        assert!(none.distance2([1.0, 2.0]).is_infinite());
        let flat = Edges::new(&Region::rect([0.0, 0.0, 5.0, 0.0]));
        assert!(!flat.contains([1.0, 0.0]) && flat.distance2([1.0, 2.0]) == 4.0);
    }
}
