//! Exact-area coverage of polygons, kept as runs.
//!
//! Every edge adds, to the pixels it passes, the signed area that it shuts off to its right; summed
//! along a row that is the exact covered area of each pixel. Only pixels that an edge passes are
//! ever touched; between them coverage is constant, so that a row is a handful of runs, whatever
//! its width.

use crate::geom::{Affine, Region};

/// Coordinates of runs are 16 bit.
pub(super) const MOST_SIDE: u32 = 32_767;

/// A stretch of a row with one coverage, which is never zero.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Run {
    pub x: u16,
    pub len: u16,
    pub cover: u8,
}

/// Coverage of a picture by a shape, 0 to 255 a pixel.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Coverage {
    /// First row.
    top: u32,
    /// For each row from the first, where its runs start; one more at the end.
    starts: Vec<u32>,
    runs: Vec<Run>,
}

/// What an edge adds to one pixel of one row.
#[derive(Clone, Copy, Debug, Default)]
struct Cell {
    row: u16,
    x: u16,
    delta: f32,
}

/// Buffers for filling polygons.
#[derive(Debug, Default)]
pub(super) struct Filler {
    cells: Vec<Cell>,
    sorted: Vec<Cell>,
    counts: Vec<u32>,
}

/// `a b / 255`, rounded to nearest.
#[inline]
pub(super) const fn mul(a: u8, b: u8) -> u8 {
    let t = a as u32 * b as u32 + 128;
    ((t + (t >> 8)) >> 8) as u8
}

impl Coverage {
    /// Nothing.
    pub const fn empty() -> Self {
        Self {
            top: 0,
            starts: Vec::new(),
            runs: Vec::new(),
        }
    }

    /// One whole rectangle, `right` and `bottom` excluded.
    pub fn full(left: u16, top: u32, right: u16, bottom: u32) -> Self {
        let mut out = Self {
            top,
            ..Self::empty()
        };
        for _ in top..bottom {
            out.start_row();
            out.put(left, right - left, 255);
        }
        out.finish();
        out
    }

    pub fn is_empty(&self) -> bool {
        self.runs.is_empty()
    }

    /// Rows with their runs, top to bottom.
    pub fn rows(&self) -> impl Iterator<Item = (u32, &[Run])> {
        self.starts
            .windows(2)
            .enumerate()
            .map(|(i, w)| {
                (
                    self.top + i as u32,
                    &self.runs[w[0] as usize..w[1] as usize],
                )
            })
            .filter(|(_, runs)| !runs.is_empty())
    }

    /// The runs of a row.
    pub fn row(&self, y: u32) -> &[Run] {
        let Some(i) = y.checked_sub(self.top).map(|i| i as usize) else {
            return &[];
        };
        match (self.starts.get(i), self.starts.get(i + 1)) {
            (Some(&a), Some(&b)) => &self.runs[a as usize..b as usize],
            _ => &[],
        }
    }

    /// Left, top, right, bottom in pixels, the last two excluded.
    pub fn bounds(&self) -> Option<[u32; 4]> {
        let mut b: Option<[u32; 4]> = None;
        for (y, runs) in self.rows() {
            let left = u32::from(runs[0].x);
            let last = runs[runs.len() - 1];
            let right = u32::from(last.x) + u32::from(last.len);
            b = Some(match b {
                None => [left, y, right, y + 1],
                Some(b) => [b[0].min(left), b[1], b[2].max(right), y + 1],
            });
        }
        b
    }

    fn start_row(&mut self) {
        self.starts.push(self.runs.len() as u32);
    }

    fn finish(&mut self) {
        self.starts.push(self.runs.len() as u32);
    }

    /// Appends to the current row, joining on to an equal run before it.
    #[inline]
    fn put(&mut self, x: u16, len: u16, cover: u8) {
        if cover == 0 || len == 0 {
            return;
        }
        let start = self.starts.last().map_or(0, |&s| s as usize);
        if let Some(last) = self.runs[start..].last_mut()
            && last.cover == cover
            && last.x + last.len == x
        {
            last.len += len;
            return;
        }
        self.runs.push(Run { x, len, cover });
    }

    /// This coverage where `other` covers too (`inside`), or where it does not.
    pub fn cut(&self, other: &Self, inside: bool) -> Self {
        let mut out = Self {
            top: self.top,
            starts: Vec::with_capacity(self.starts.len()),
            runs: Vec::with_capacity(self.runs.len()),
        };
        for (i, w) in self.starts.windows(2).enumerate() {
            out.start_row();
            let runs = &self.runs[w[0] as usize..w[1] as usize];
            let others = other.row(self.top + i as u32);
            cut_row(runs, others, inside, &mut out);
        }
        out.finish();
        out
    }

    /// All or nothing: half covered or more becomes covered.
    pub fn harden(&mut self) {
        let hard: Vec<(u32, Vec<Run>)> = self
            .rows()
            .map(|(y, runs)| (y, runs.iter().filter(|r| r.cover >= 128).copied().collect()))
            .collect();
        let (top, rows) = (self.top, self.starts.len().saturating_sub(1) as u32);
        *self = Self {
            top,
            ..Self::empty()
        };
        let mut hard = hard.into_iter().peekable();
        for y in top..top + rows {
            self.start_row();
            if hard.peek().is_some_and(|(at, _)| *at == y) {
                for run in hard.next().map(|(_, runs)| runs).unwrap_or_default() {
                    self.put(run.x, run.len, 255);
                }
            }
        }
        self.finish();
    }

    /// Covered area, pixels.
    #[cfg(test)]
    pub fn area(&self) -> f64 {
        self.runs
            .iter()
            .map(|r| f64::from(r.cover) / 255.0 * f64::from(r.len))
            .sum()
    }
}

/// One row of a cut. `put` of `out` receives the pieces from left to right.
fn cut_row(runs: &[Run], others: &[Run], inside: bool, out: &mut Coverage) {
    let mut k = 0;
    for run in runs {
        let (mut x, end) = (run.x, run.x + run.len);
        while k < others.len() && others[k].x + others[k].len <= x {
            k += 1;
        }
        // A later run may need the same other run again.
        let mut j = k;
        while x < end {
            match others.get(j) {
                Some(o) if o.x <= x => {
                    let to = end.min(o.x + o.len);
                    let factor = if inside { o.cover } else { 255 - o.cover };
                    out.put(x, to - x, mul(run.cover, factor));
                    x = to;
                    j += 1;
                }
                next => {
                    let to = next.map_or(end, |o| end.min(o.x));
                    if !inside {
                        out.put(x, to - x, run.cover);
                    }
                    x = to;
                }
            }
        }
    }
}

impl Filler {
    /// The coverage of a region, moved to pixels, within a picture of `width` x `height`.
    pub fn fill(
        &mut self,
        region: &Region,
        to_pixels: &Affine,
        width: u32,
        height: u32,
    ) -> Coverage {
        debug_assert!(width <= MOST_SIDE && height <= MOST_SIDE);
        self.cells.clear();
        let (w, h) = (f64::from(width), f64::from(height));
        for contour in region.contours() {
            let mut a = to_pixels.apply(contour[contour.len() - 1]);
            for &p in contour {
                let b = to_pixels.apply(p);
                self.edge(a, b, w, h);
                a = b;
            }
        }
        self.gather(width)
    }

    /// Cuts an edge to the picture: what lies above, below or to the right covers nothing; what lies
    /// to the left counts as running down the left side. Coverage that nothing ends goes on to the
    /// right side.
    fn edge(&mut self, a: [f64; 2], b: [f64; 2], w: f64, h: f64) {
        let (sign, a, b) = if a[1] < b[1] {
            (1.0, a, b)
        } else {
            (-1.0, b, a)
        };
        if b[1] <= 0.0 || a[1] >= h || a[1] == b[1] || (a[0] >= w && b[0] >= w) {
            return;
        }
        let slope = (b[0] - a[0]) / (b[1] - a[1]);
        let at = |y: f64| a[0] + (y - a[1]) * slope;
        let (mut top, mut bottom) = (a, b);
        if top[1] < 0.0 {
            top = [at(0.0), 0.0];
        }
        if bottom[1] > h {
            bottom = [at(h), h];
        }
        if top[0] >= 0.0 && bottom[0] >= 0.0 && top[0] <= w && bottom[0] <= w {
            self.line(top, bottom, slope, sign);
            return;
        }
        // Split where it crosses the left and right sides.
        let crossing = |x: f64| a[1] + (x - a[0]) / slope;
        let mut stops = [top[1], bottom[1], bottom[1], bottom[1]];
        let mut n = 1;
        let mut sides = [crossing(0.0), crossing(w)];
        if sides[0] > sides[1] {
            sides.swap(0, 1);
        }
        for y in sides {
            if y > stops[n - 1] && y < bottom[1] {
                stops[n] = y;
                n += 1;
            }
        }
        stops[n] = bottom[1];
        for pair in stops[..=n].windows(2) {
            let (y0, y1) = (pair[0], pair[1]);
            if y1 <= y0 {
                continue;
            }
            let middle = at((y0 + y1) * 0.5);
            if middle <= 0.0 {
                self.line([0.0, y0], [0.0, y1], 0.0, sign);
            } else if middle < w {
                let inside = |x: f64| x.clamp(0.0, w);
                self.line([inside(at(y0)), y0], [inside(at(y1)), y1], slope, sign);
            }
        }
    }

    #[inline]
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "cut to the picture"
    )]
    fn push(&mut self, row: i32, x: i32, delta: f64) {
        self.cells.push(Cell {
            row: row as u16,
            x: x as u16,
            delta: delta as f32,
        });
    }

    /// An edge inside the picture, downwards from `a` to `b`.
    #[expect(clippy::cast_possible_truncation, reason = "cut to the picture")]
    fn line(&mut self, a: [f64; 2], b: [f64; 2], slope: f64, sign: f64) {
        let first = libm::floor(a[1]) as i32;
        let last = libm::ceil(b[1]) as i32;
        let (low, high) = if a[0] < b[0] {
            (a[0], b[0])
        } else {
            (b[0], a[0])
        };
        let mut x = a[0];
        for row in first..last {
            let y0 = f64::from(row).max(a[1]);
            let y1 = f64::from(row + 1).min(b[1]);
            let next = if y1 >= b[1] {
                b[0]
            } else {
                (a[0] + (y1 - a[1]) * slope).clamp(low, high)
            };
            let d = (y1 - y0) * sign;
            let (left, right) = if x < next { (x, next) } else { (next, x) };
            let left_floor = libm::floor(left);
            let i = left_floor as i32;
            let right_ceil = libm::ceil(right);
            let j = right_ceil as i32;
            if j <= i + 1 {
                let mid = 0.5 * (x + next) - left_floor;
                self.push(row, i, d - d * mid);
                self.push(row, i + 1, d * mid);
            } else {
                let s = 1.0 / (right - left);
                let from = left - left_floor;
                let to = right - right_ceil + 1.0;
                let first_part = 0.5 * s * (1.0 - from) * (1.0 - from);
                let last_part = 0.5 * s * to * to;
                self.push(row, i, d * first_part);
                if j == i + 2 {
                    self.push(row, i + 1, d * (1.0 - first_part - last_part));
                } else {
                    let second = s * (1.5 - from);
                    self.push(row, i + 1, d * (second - first_part));
                    for k in i + 2..j - 1 {
                        self.push(row, k, d * s);
                    }
                    let before = second + f64::from(j - i - 3) * s;
                    self.push(row, j - 1, d * (1.0 - before - last_part));
                }
                self.push(row, j, d * last_part);
            }
            x = next;
        }
    }

    /// Cells sorted and summed into runs.
    fn gather(&mut self, width: u32) -> Coverage {
        #[expect(clippy::cast_possible_truncation, reason = "under 32768")]
        let side = width as u16;
        let Some(top) = self.cells.iter().map(|c| c.row).min() else {
            return Coverage::empty();
        };
        let bottom = self.cells.iter().map(|c| c.row).max().unwrap_or(top);
        let rows = usize::from(bottom - top) + 1;
        self.counts.clear();
        self.counts.resize(rows + 1, 0);
        for c in &self.cells {
            self.counts[usize::from(c.row - top) + 1] += 1;
        }
        for r in 0..rows {
            self.counts[r + 1] += self.counts[r];
        }
        self.sorted.clear();
        self.sorted.resize(self.cells.len(), Cell::default());
        let mut next = self.counts.clone();
        for c in &self.cells {
            let at = &mut next[usize::from(c.row - top)];
            self.sorted[*at as usize] = *c;
            *at += 1;
        }
        let mut out = Coverage {
            top: u32::from(top),
            starts: Vec::with_capacity(rows + 1),
            runs: Vec::with_capacity(self.cells.len()),
        };
        for r in 0..rows {
            out.start_row();
            let row = &mut self.sorted[self.counts[r] as usize..self.counts[r + 1] as usize];
            if row.len() > 1 {
                row.sort_by_key(|c| c.x);
            }
            let mut sum = 0.0_f32;
            let mut k = 0;
            while k < row.len() {
                let x = row[k].x;
                while k < row.len() && row[k].x == x {
                    sum += row[k].delta;
                    k += 1;
                }
                // What closes the row beyond the right side was never pushed: coverage goes on to it.
                let end = row.get(k).map_or(side, |next| next.x.min(side));
                if end > x {
                    out.put(x, end - x, level(sum));
                }
            }
        }
        out.finish();
        out
    }
}

/// Covered area to 256 levels.
#[inline]
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped"
)]
fn level(area: f32) -> u8 {
    (area.abs().min(1.0) * 255.0 + 0.5) as u8
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Region;

    fn fill(region: &Region, w: u32, h: u32) -> Coverage {
        Filler::default().fill(region, &Affine::IDENTITY, w, h)
    }

    fn grid(c: &Coverage, w: u32, h: u32) -> Vec<u8> {
        let mut out = vec![0; (w * h) as usize];
        for (y, runs) in c.rows() {
            for r in runs {
                for x in r.x..r.x + r.len {
                    out[(y * w + u32::from(x)) as usize] = r.cover;
                }
            }
        }
        out
    }

    #[test]
    fn part_pixels_get_their_area() {
        let got = fill(&Region::rect([0.5, 0.25, 2.25, 1.5]), 4, 3);
        let q = |v: f32| (v * 255.0 + 0.5) as u8;
        let want = [
            q(0.375),
            q(0.75),
            q(0.1875),
            0,
            q(0.25),
            q(0.5),
            q(0.125),
            0,
            0,
            0,
            0,
            0,
        ];
        assert_eq!(grid(&got, 4, 3), want);
    }

    #[test]
    fn what_hangs_out_of_the_picture_is_cut_off_exactly() {
        let triangle = |dx: f64, dy: f64| {
            let points = vec![vec![
                [-7.0 + dx, -3.0 + dy],
                [13.0 + dx, 4.0 + dy],
                [2.0 + dx, 11.0 + dy],
            ]];
            Region::from_contours(&points, tiny_skia::FillRule::Winding)
        };
        // The same triangle in a large picture, then cropped, is the truth.
        let large = grid(&fill(&triangle(20.0, 20.0), 60, 60), 60, 60);
        let small = grid(&fill(&triangle(0.0, 0.0), 9, 8), 9, 8);
        for y in 0..8 {
            for x in 0..9 {
                let (a, b) = (small[y * 9 + x], large[(y + 20) * 60 + x + 20]);
                assert!(a.abs_diff(b) <= 1, "{x} {y}: {a} {b}");
            }
        }
    }

    // Weisstein, "Circle-Circle Intersection", MathWorld, eq. 14: rows of tests' lens table
    // (R, r, d, area), read here as the product of two coverages.
    #[test]
    fn lens_area_from_pixels_meets_the_closed_form() {
        for (big, small, d, want) in [
            (10.0, 6.0, 8.0, 72.898_778_619_8),
            (18.0, 14.0, 9.0, 502.638_113_768_4),
            (20.0, 20.0, 20.0, 491.347_887_943_5),
        ] {
            let s = 8.0;
            let a = fill(&Region::disc([30.3 * s, 30.7 * s], big * s, 0.01), 640, 640);
            let b = fill(
                &Region::disc([(30.3 + d) * s, 30.7 * s], small * s, 0.01),
                640,
                640,
            );
            let area = a.cut(&b, true).area() / (s * s);
            assert!((area - want).abs() < want * 5e-4, "{area} for {want}");
            let rest = a.cut(&b, false).area() / (s * s);
            let whole = std::f64::consts::PI * big * big;
            assert!((rest + want - whole).abs() < whole * 5e-4);
        }
    }

    #[test]
    fn hard_edges_know_two_levels() {
        let mut c = fill(&Region::disc([8.0, 8.0], 5.3, 0.01), 16, 16);
        c.harden();
        assert!(grid(&c, 16, 16).iter().all(|&v| v == 0 || v == 255));
        assert!((c.area() - std::f64::consts::PI * 5.3 * 5.3).abs() < 4.0);
    }

    proptest::proptest! {
        // Nothing is lost or doubled when a shape is cut by another.
        #[test]
        fn inside_and_outside_make_the_whole(
            p in proptest::collection::vec((-5.0..40.0_f64, -5.0..40.0_f64), 3..9),
            q in proptest::collection::vec((-5.0..40.0_f64, -5.0..40.0_f64), 3..9),
        ) {
            let region = |v: Vec<(f64, f64)>| Region::from_contours(&[v.into_iter().map(|(x, y)| [x, y]).collect()], tiny_skia::FillRule::EvenOdd);
            let (a, b) = (fill(&region(p), 32, 32), fill(&region(q), 32, 32));
            let (whole, inside, outside) = (grid(&a, 32, 32), grid(&a.cut(&b, true), 32, 32), grid(&a.cut(&b, false), 32, 32));
            for i in 0..whole.len() {
                let sum = u32::from(inside[i]) + u32::from(outside[i]);
                proptest::prop_assert!(sum.abs_diff(u32::from(whole[i])) <= 1);
            }
        }
    }
}
