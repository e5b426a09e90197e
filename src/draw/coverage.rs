//! Coverage of a picture by a shape, kept as runs: a row is a handful of them, whatever its width.

mod combine;

use std::ops::Range;

/// A stretch of a row: covered wholly, or with a level for each pixel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Run {
    pub x: u16,
    pub len: u16,
    /// Where its levels start, or [`HARD`].
    levels: u32,
}

/// Covered wholly.
const HARD: u32 = u32::MAX;

/// As many rows as there may be.
pub(super) const ALL_ROWS: Range<u32> = 0..u32::MAX;

impl Run {
    #[inline]
    pub const fn end(self) -> u16 {
        self.x + self.len
    }
}

/// Coverage of a picture by a shape, 0 to 255 a pixel.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Coverage {
    /// First row.
    top: u32,
    /// For each row from the first, where its runs start; one more at the end.
    starts: Vec<u32>,
    runs: Vec<Run>,
    levels: Vec<u8>,
}

/// `a b / 255`, rounded to nearest.
#[inline]
pub(super) const fn mul(a: u8, b: u8) -> u8 {
    let t = a as u32 * b as u32 + 128;
    ((t + (t >> 8)) >> 8) as u8
}

impl Coverage {
    /// Nothing.
    #[cfg(test)]
    pub fn empty() -> Self {
        Self::default()
    }

    /// Nothing yet, in the buffers of a coverage that is done with.
    pub fn over(mut used: Self, top: u32) -> Self {
        used.top = top;
        used.starts.clear();
        used.runs.clear();
        used.levels.clear();
        used
    }

    /// One whole rectangle, `right` and `bottom` excluded.
    pub fn full(left: u16, top: u32, right: u16, bottom: u32) -> Self {
        let mut out = Self::over(Self::default(), top);
        for _ in top..bottom {
            out.start_row();
            out.put_hard(left, right);
        }
        out.start_row();
        out
    }

    pub fn is_empty(&self) -> bool {
        self.runs.is_empty()
    }

    /// The first row.
    pub const fn top(&self) -> u32 {
        self.top
    }

    /// Bytes that it holds, roughly.
    pub const fn bytes(&self) -> usize {
        self.levels.len() + self.runs.len() * size_of::<Run>() + self.starts.len() * 4
    }

    /// One past the last row.
    pub fn bottom(&self) -> u32 {
        self.top + self.starts.len().saturating_sub(1) as u32
    }

    /// Rows with their runs, top to bottom.
    pub fn rows(&self) -> impl Iterator<Item = (u32, &[Run])> {
        self.rows_within(self.top, self.bottom())
    }

    /// Rows with their runs, from one to before another.
    pub fn rows_within(&self, from: u32, to: u32) -> impl Iterator<Item = (u32, &[Run])> {
        let (from, to) = (from.max(self.top), to.min(self.bottom()));
        let starts = if from < to {
            &self.starts[(from - self.top) as usize..=(to - self.top) as usize]
        } else {
            &[]
        };
        (from..)
            .zip(starts.windows(2))
            .map(|(y, w)| (y, &self.runs[w[0] as usize..w[1] as usize]))
            .filter(|(_, runs)| !runs.is_empty())
    }

    /// The runs of a row.
    #[inline]
    fn row(&self, y: u32) -> &[Run] {
        let Some(i) = y.checked_sub(self.top).map(|i| i as usize) else {
            return &[];
        };
        match (self.starts.get(i), self.starts.get(i + 1)) {
            (Some(&a), Some(&b)) => &self.runs[a as usize..b as usize],
            _ => &[],
        }
    }

    /// The levels of a run; `None` for one that is covered wholly.
    #[inline]
    pub fn levels(&self, run: Run) -> Option<&[u8]> {
        (run.levels != HARD).then(|| &self.levels[run.levels as usize..][..usize::from(run.len)])
    }

    /// The levels of `from..to` of a run.
    #[inline]
    fn part(&self, run: Run, from: u16, to: u16) -> &[u8] {
        let at = run.levels as usize;
        &self.levels[at + usize::from(from - run.x)..at + usize::from(to - run.x)]
    }

    /// Whether a row has a run between two columns.
    pub fn covers(&self, y: u32, left: u16, right: u16) -> bool {
        self.row(y)
            .iter()
            .any(|run| run.x < right && run.end() > left)
    }

    /// Writes a row's levels from column `left` on; what is not covered becomes zero.
    pub fn spread(&self, y: u32, left: u16, out: &mut [u8]) {
        out.fill(0);
        let right = left + out.len() as u16;
        for &run in self.row(y) {
            let (from, to) = (run.x.max(left), run.end().min(right));
            if from >= to {
                continue;
            }
            let to_fill = &mut out[usize::from(from - left)..usize::from(to - left)];
            if run.levels == HARD {
                to_fill.fill(255);
            } else {
                to_fill.copy_from_slice(self.part(run, from, to));
            }
        }
    }

    /// Left, top, right, bottom in pixels, the last two excluded.
    pub fn bounds(&self) -> Option<[u32; 4]> {
        let mut b: Option<[u32; 4]> = None;
        for (y, runs) in self.rows() {
            let left = u32::from(runs[0].x);
            let right = u32::from(runs[runs.len() - 1].end());
            b = Some(match b {
                None => [left, y, right, y + 1],
                Some(b) => [b[0].min(left), b[1], b[2].max(right), y + 1],
            });
        }
        b
    }

    /// Begins a row; once more after the last.
    #[inline]
    pub fn start_row(&mut self) {
        self.starts.push(self.runs.len() as u32);
    }

    /// Appends a run that is covered wholly and touches no other of its kind.
    #[inline]
    pub fn push_hard(&mut self, x: u16, end: u16) {
        self.runs.push(Run {
            x,
            len: end - x,
            levels: HARD,
        });
    }

    /// Appends a run whose levels will lie from `at` on, if there is any of it.
    #[inline]
    pub fn push_soft(&mut self, x: u16, end: u16, at: usize) {
        if end > x {
            self.runs.push(Run {
                x,
                len: end - x,
                levels: at as u32,
            });
        }
    }

    /// Has all levels written at once.
    pub fn set_levels(&mut self, count: usize, write: impl FnOnce(&mut [u8])) {
        self.levels.resize(count, 0);
        write(&mut self.levels);
    }

    /// The current row's last run, if it ends at `x` and is of this kind.
    #[inline]
    fn last_to(&mut self, x: u16, hard: bool) -> Option<&mut Run> {
        let start = self.starts.last().map_or(0, |&s| s as usize);
        let last = self.runs[start..].last_mut()?;
        (last.end() == x && (last.levels == HARD) == hard).then_some(last)
    }

    /// Appends whole coverage to the current row.
    #[inline]
    fn put_hard(&mut self, x: u16, end: u16) {
        if x >= end {
            return;
        }
        if let Some(last) = self.last_to(x, true) {
            last.len += end - x;
        } else {
            self.runs.push(Run {
                x,
                len: end - x,
                levels: HARD,
            });
        }
    }

    /// Makes a run of the `len` levels that were just appended for the current row.
    #[inline]
    fn put_soft(&mut self, x: u16, len: u16) {
        if len == 0 {
            return;
        }
        if let Some(last) = self.last_to(x, false) {
            last.len += len;
        } else {
            let levels = (self.levels.len() - usize::from(len)) as u32;
            self.runs.push(Run { x, len, levels });
        }
    }

    /// Appends `from..to` of another coverage's run.
    #[inline]
    fn put_part(&mut self, other: &Self, run: Run, from: u16, to: u16) {
        if from >= to {
            return;
        }
        if run.levels == HARD {
            self.put_hard(from, to);
        } else {
            self.levels.extend_from_slice(other.part(run, from, to));
            self.put_soft(from, to - from);
        }
    }

    /// Appends whole rows of another coverage.
    fn put_rows(&mut self, other: &Self, from: u32, to: u32) {
        if from >= to {
            return;
        }
        let (a, b) = ((from - other.top) as usize, (to - other.top) as usize);
        let (first, last) = (other.starts[a], other.starts[b]);
        let shift = self.runs.len() as u32;
        self.starts
            .extend(other.starts[a..b].iter().map(|s| s - first + shift));
        self.copy_runs(other, &other.runs[first as usize..last as usize]);
    }

    /// Appends runs of another coverage as they are; their levels lie one after the other.
    fn copy_runs(&mut self, other: &Self, runs: &[Run]) {
        let soft = || runs.iter().filter(|r| r.levels != HARD);
        let start = soft().next().map_or(0, |r| r.levels as usize);
        let end = soft()
            .next_back()
            .map_or(0, |r| r.levels as usize + usize::from(r.len));
        let base = self.levels.len();
        self.levels.extend_from_slice(&other.levels[start..end]);
        self.runs.extend(runs.iter().map(|&run| {
            if run.levels == HARD {
                run
            } else {
                let levels = (run.levels as usize - start + base) as u32;
                Run { levels, ..run }
            }
        }));
    }

    /// All or nothing: half covered or more becomes covered.
    pub fn harden(&self) -> Self {
        let mut out = Self::over(Self::default(), self.top);
        for y in self.top..self.bottom() {
            out.start_row();
            for &run in self.row(y) {
                match self.levels(run) {
                    None => out.put_hard(run.x, run.end()),
                    Some(levels) => {
                        for (x, _) in (run.x..).zip(levels).filter(|(_, l)| **l >= 128) {
                            out.put_hard(x, x + 1);
                        }
                    }
                }
            }
        }
        out.start_row();
        out
    }

    /// Covered area, pixels.
    #[cfg(test)]
    pub fn area(&self) -> f64 {
        self.runs
            .iter()
            .map(|&r| match self.levels(r) {
                None => f64::from(r.len),
                Some(levels) => levels.iter().map(|&l| f64::from(l) / 255.0).sum(),
            })
            .sum()
    }
}

#[cfg(test)]
mod tests {
    use super::super::fill::Filler;
    use super::*;
    use crate::geom::{Affine, Region};

    fn fill(region: &Region, w: u32, h: u32) -> Coverage {
        Filler::default().fill(
            region.contours(),
            &Affine::IDENTITY,
            w,
            h,
            Coverage::empty(),
        )
    }

    fn grid(c: &Coverage, w: u32, h: u32) -> Vec<u8> {
        let mut out = vec![0; (w * h) as usize];
        for (y, row) in (0..h).zip(out.chunks_exact_mut(w as usize)) {
            c.spread(y, 0, row);
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
            let area = a.cut(&b, true, &ALL_ROWS, Coverage::empty()).area() / (s * s);
            assert!((area - want).abs() < want * 5e-4, "{area} for {want}");
            let rest = a.cut(&b, false, &ALL_ROWS, Coverage::empty()).area() / (s * s);
            let whole = std::f64::consts::PI * big * big;
            assert!((rest + want - whole).abs() < whole * 5e-4);
        }
    }

    #[test]
    fn hard_edges_know_two_levels() {
        let c = fill(&Region::disc([8.0, 8.0], 5.3, 0.01), 16, 16).harden();
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
            let (whole, inside, outside) = (grid(&a, 32, 32), grid(&a.cut(&b, true, &ALL_ROWS, Coverage::empty()), 32, 32), grid(&a.cut(&b, false, &ALL_ROWS, Coverage::empty()), 32, 32));
            for i in 0..whole.len() {
                let sum = u32::from(inside[i]) + u32::from(outside[i]);
                proptest::prop_assert!(sum.abs_diff(u32::from(whole[i])) <= 1);
            }
        }
    }
}
