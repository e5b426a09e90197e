//! Exact-area coverage of polygons, kept as runs.
//!
//! Every edge adds, to the pixels it passes, the signed area that it shuts off to its right; summed
//! along a row that is the exact covered area of each pixel. Only pixels that an edge passes are
//! ever touched, and a bit for each says so; between them coverage is constant, so that a row is a
//! handful of runs, whatever its width.

use super::frame::MOST_SIDE;
use crate::geom::{Affine, Region};

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
/// A gap between touched pixels shorter than this is not worth a run of its own.
const SHORT: u16 = 16;

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

/// Steps in a pixel: coordinates are rounded to 1/256 of it, so that sums are whole numbers, exact
/// in any order.
const ONE: i32 = 256;
/// What a wholly covered pixel sums to: steps down times twice the steps across.
const FULL: i32 = 2 * ONE * ONE;

/// Buffers for filling polygons: a box of area sums, and a bit for each that is not zero. Both are
/// left all zero.
#[derive(Debug, Default)]
pub(super) struct Filler {
    /// In steps, from the box's corner.
    points: Vec<[i32; 2]>,
    floats: Vec<[f64; 2]>,
    ends: Vec<usize>,
    sums: Vec<i32>,
    touched: Vec<u64>,
    /// The box: first column and row, pixels a row, words of bits a row.
    left: i32,
    top: i32,
    stride: usize,
    words: usize,
}

/// `a b / 255`, rounded to nearest.
#[inline]
pub(super) const fn mul(a: u8, b: u8) -> u8 {
    let t = a as u32 * b as u32 + 128;
    ((t + (t >> 8)) >> 8) as u8
}

/// `mul` for every pixel of two stretches.
#[inline]
fn mul_into(out: &mut Vec<u8>, a: &[u8], b: &[u8]) {
    out.extend(a.iter().zip(b).map(|(&a, &b)| {
        let t = u16::from(a) * u16::from(b) + 128;
        ((t + (t >> 8)) >> 8) as u8
    }));
}

impl Coverage {
    /// Nothing.
    #[cfg(test)]
    pub fn empty() -> Self {
        Self::default()
    }

    /// Nothing yet, in the buffers of a coverage that is done with.
    fn over(mut used: Self, top: u32) -> Self {
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

    /// One past the last row.
    fn bottom(&self) -> u32 {
        self.top + self.starts.len().saturating_sub(1) as u32
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

    #[inline]
    fn start_row(&mut self) {
        self.starts.push(self.runs.len() as u32);
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
        if run.levels == HARD {
            self.put_hard(from, to);
        } else if from < to {
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

    /// This coverage where `other` covers too (`inside`), or where it does not; `spare` lends its
    /// buffers.
    pub fn cut(&self, other: &Self, inside: bool, spare: Self) -> Self {
        let from = self.top.max(other.top).min(self.bottom());
        let to = self.bottom().min(other.bottom()).max(from);
        let mut out = Self::over(spare, if inside { from } else { self.top });
        if !inside {
            out.put_rows(self, self.top, from);
        }
        for y in from..to {
            out.start_row();
            let (runs, others) = (self.row(y), other.row(y));
            if runs.is_empty() {
                continue;
            }
            let apart = match (others.first(), others.last()) {
                (Some(first), Some(last)) => {
                    last.end() <= runs[0].x || first.x >= runs[runs.len() - 1].end()
                }
                _ => true,
            };
            if apart {
                if !inside {
                    out.copy_runs(self, runs);
                }
            } else if inside {
                out.keep_inside((self, runs), (other, others));
            } else {
                out.keep_outside((self, runs), (other, others));
            }
        }
        if !inside {
            out.put_rows(self, to, self.bottom());
        }
        out.start_row();
        out
    }

    /// One row of both.
    fn keep_inside(&mut self, (a, runs): (&Self, &[Run]), (b, others): (&Self, &[Run])) {
        let (mut i, mut j) = (0, 0);
        while let (Some(&r), Some(&o)) = (runs.get(i), others.get(j)) {
            let from = r.x.max(o.x);
            let to = r.end().min(o.end());
            if from < to {
                if o.levels == HARD {
                    self.put_part(a, r, from, to);
                } else if r.levels == HARD {
                    self.put_part(b, o, from, to);
                } else {
                    mul_into(&mut self.levels, a.part(r, from, to), b.part(o, from, to));
                    self.put_soft(from, to - from);
                }
            }
            if r.end() <= o.end() {
                i += 1;
            } else {
                j += 1;
            }
        }
    }

    /// One row of the first without the second.
    fn keep_outside(&mut self, (a, runs): (&Self, &[Run]), (b, others): (&Self, &[Run])) {
        let mut j = 0;
        for &run in runs {
            let (mut x, end) = (run.x, run.end());
            while others.get(j).is_some_and(|o| o.end() <= x) {
                j += 1;
            }
            // A later run may need the same other run again.
            let mut k = j;
            while x < end {
                match others.get(k) {
                    Some(&o) if o.x <= x => {
                        let to = end.min(o.end());
                        if o.levels != HARD {
                            let less = b.part(o, x, to);
                            if run.levels == HARD {
                                self.levels.extend(less.iter().map(|l| 255 - l));
                            } else {
                                let levels = a.part(run, x, to);
                                self.levels.extend(
                                    levels.iter().zip(less).map(|(&l, &o)| mul(l, 255 - o)),
                                );
                            }
                            self.put_soft(x, to - x);
                        }
                        x = to;
                        k += 1;
                    }
                    next => {
                        let to = next.map_or(end, |o| end.min(o.x));
                        self.put_part(a, run, x, to);
                        x = to;
                    }
                }
            }
        }
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

/// The whole number below a number that is not negative.
#[inline]
#[expect(clippy::cast_possible_truncation, reason = "cut to the picture")]
const fn below(v: f64) -> i32 {
    v as i32
}

/// The whole number above a number that is not negative.
#[inline]
fn above(v: f64) -> i32 {
    let i = below(v);
    i + i32::from(f64::from(i) < v)
}

impl Filler {
    /// The coverage of a region, moved to pixels, within a picture of `width` x `height`; `spare` lends
    /// its buffers.
    pub fn fill(
        &mut self,
        region: &Region,
        to_pixels: &Affine,
        width: u32,
        height: u32,
        spare: Coverage,
    ) -> Coverage {
        debug_assert!(width <= MOST_SIDE && height <= MOST_SIDE);
        self.floats.clear();
        self.ends.clear();
        let mut b = [
            f64::INFINITY,
            f64::INFINITY,
            f64::NEG_INFINITY,
            f64::NEG_INFINITY,
        ];
        for contour in region.contours() {
            for &p in contour {
                let p = to_pixels.apply(p);
                b = [
                    b[0].min(p[0]),
                    b[1].min(p[1]),
                    b[2].max(p[0]),
                    b[3].max(p[1]),
                ];
                self.floats.push(p);
            }
            self.ends.push(self.floats.len());
        }
        let (w, h) = (f64::from(width), f64::from(height));
        if !(b[0] < w && b[1] < h && b[2] > 0.0 && b[3] > 0.0) {
            return Coverage::over(spare, 0);
        }
        self.left = below(b[0].max(0.0));
        self.top = below(b[1].max(0.0));
        let right = above(b[2].min(w));
        let bottom = above(b[3].min(h));
        // Two more columns: an edge on the right side of a pixel adds to the next one.
        self.stride = (right - self.left + 2) as usize;
        self.words = self.stride.div_ceil(64);
        // One more row: a point on the lower side rounds into it.
        let rows = (bottom - self.top) as usize + 1;
        if self.sums.len() < rows * self.stride {
            self.sums.resize(rows * self.stride, 0);
        }
        if self.touched.len() < rows * self.words {
            self.touched.resize(rows * self.words, 0);
        }
        let inside = b[0] >= 0.0 && b[1] >= 0.0 && b[2] <= w && b[3] <= h;
        let ends = std::mem::take(&mut self.ends);
        let mut start = 0;
        if inside {
            let mut points = std::mem::take(&mut self.points);
            points.clear();
            points.extend(self.floats.iter().map(|&p| self.steps(p)));
            for &end in &ends {
                let contour = &points[start..end];
                start = end;
                let Some(&last) = contour.last() else {
                    continue;
                };
                let mut a = last;
                for &p in contour {
                    self.line(a, p);
                    a = p;
                }
            }
            self.points = points;
        } else {
            let floats = std::mem::take(&mut self.floats);
            for &end in &ends {
                let contour = &floats[start..end];
                start = end;
                let Some(&last) = contour.last() else {
                    continue;
                };
                let mut a = last;
                for &p in contour {
                    self.edge(a, p, w, h);
                    a = p;
                }
            }
            self.floats = floats;
        }
        self.ends = ends;
        self.gather(rows, width, spare)
    }

    /// A point of the picture in steps from the box's corner.
    #[inline]
    #[expect(clippy::cast_possible_truncation, reason = "inside the picture")]
    fn steps(&self, p: [f64; 2]) -> [i32; 2] {
        let step = |v: f64, from: i32| (v * f64::from(ONE) + 0.5) as i32 - from * ONE;
        [step(p[0], self.left), step(p[1], self.top)]
    }

    /// Cuts an edge to the picture: what lies above, below or to the right covers nothing; what lies
    /// to the left counts as running down the left side. Coverage that nothing ends goes on to the
    /// right side.
    fn edge(&mut self, a: [f64; 2], b: [f64; 2], w: f64, h: f64) {
        let down = a[1] < b[1];
        let (a, b) = if down { (a, b) } else { (b, a) };
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
            self.piece(top, bottom, down);
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
                self.piece([0.0, y0], [0.0, y1], down);
            } else if middle < w {
                let inside = |x: f64| x.clamp(0.0, w);
                self.piece([inside(at(y0)), y0], [inside(at(y1)), y1], down);
            }
        }
    }

    /// A piece of an edge inside the picture.
    fn piece(&mut self, top: [f64; 2], bottom: [f64; 2], down: bool) {
        let (top, bottom) = (self.steps(top), self.steps(bottom));
        if down {
            self.line(top, bottom);
        } else {
            self.line(bottom, top);
        }
    }

    /// An edge inside the box, in steps.
    #[inline]
    #[expect(clippy::cast_sign_loss, reason = "inside the box")]
    fn line(&mut self, a: [i32; 2], b: [i32; 2]) {
        let (sign, a, b) = if a[1] < b[1] { (1, a, b) } else { (-1, b, a) };
        let height = b[1] - a[1];
        if height == 0 {
            return;
        }
        let first = a[1] >> 8;
        let last = (b[1] - 1) >> 8;
        if first == last {
            // Most edges of a curve lie within one row.
            self.row_piece(first as usize, a[0], b[0], height, sign);
            return;
        }
        let slope = (i64::from(b[0] - a[0]) << 32) / i64::from(height);
        let mut x = a[0];
        let mut y = a[1];
        for row in first..=last {
            let end = ((row + 1) << 8).min(b[1]);
            let next = if end == b[1] {
                b[0]
            } else {
                a[0] + ((i64::from(end - a[1]) * slope + (1 << 31)) >> 32) as i32
            };
            self.row_piece(row as usize, x, next, end - y, sign);
            x = next;
            y = end;
        }
    }

    /// A piece of an edge within one row, from `x` to `next`, of a height in steps.
    #[inline(always)]
    #[expect(clippy::cast_sign_loss, reason = "inside the box")]
    #[expect(
        clippy::inline_always,
        reason = "the innermost loop; most pieces stay in one pixel"
    )]
    fn row_piece(&mut self, row: usize, x: i32, next: i32, height: i32, sign: i32) {
        let (left, right) = if x < next { (x, next) } else { (next, x) };
        if right > (left | 255) + 1 {
            self.long_piece(row, left, right, height * sign);
            return;
        }
        // Within one pixel: what is right of the edge's middle.
        let i = (left >> 8) as usize;
        let height = height * sign;
        let area = height * (right + left - ((left >> 8) << 9));
        if let [first, second, ..] = &mut self.sums[row * self.stride + i..] {
            *first += height * 2 * ONE - area;
            *second += area;
        }
        let (word, bit) = (row * self.words + (i >> 6), i & 63);
        if bit < 63 {
            self.touched[word] |= 3 << bit;
        } else {
            self.touched[word] |= 1 << 63;
            self.touched[word + 1] |= 1;
        }
    }

    /// A piece of an edge within one row and several pixels, of a signed height.
    #[inline(never)]
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "inside the box"
    )]
    fn long_piece(&mut self, row: usize, left: i32, right: i32, height: i32) {
        let i = (left >> 8) as usize;
        let from = left & 255;
        let sums = &mut self.sums[row * self.stride..][..self.stride];
        let bits = &mut self.touched[row * self.words..][..self.words];
        let j = ((right - 1) >> 8) as usize;
        mark(bits, i, j + 2 - i);
        // Height that the edge has made by the right side of each pixel, in 2^-32 of a step.
        let rise = (i64::from(height) << 32) / i64::from(right - left);
        let mut reached = rise * i64::from(ONE - from) + (1 << 31);
        let mut made = (reached >> 32) as i32;
        let [first, middle @ .., last, after] = &mut sums[i..j + 2] else {
            return;
        };
        let area = made * (from + ONE);
        *first += made * 2 * ONE - area;
        // What a pixel owes to the next one.
        let mut owed = area;
        for sum in middle {
            reached += rise << 8;
            let now = (reached >> 32) as i32;
            let area = (now - made) * ONE;
            *sum += owed + area;
            owed = area;
            made = now;
        }
        let rest = height - made;
        let area = rest * (right - ((j as i32) << 8));
        *last += owed + rest * 2 * ONE - area;
        *after += area;
    }

    /// The touched pixels of each row, summed into runs; sums and bits are zero again after.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "inside the picture"
    )]
    fn gather(&mut self, rows: usize, width: u32, spare: Coverage) -> Coverage {
        let side = width as u16;
        let left = self.left as u16;
        let mut out = Coverage::over(spare, self.top as u32);
        out.starts.reserve(rows + 1);
        let bits = self.touched.chunks_exact_mut(self.words);
        let sums = self.sums.chunks_exact_mut(self.stride);
        for (sums, bits) in sums.zip(bits).take(rows) {
            out.start_row();
            let mut sum = 0_i32;
            // The level from `next` on, up to the next touched pixel.
            let (mut next, mut cover) = (left, 0_u8);
            // Where the levels start that are not yet in a run, and their first pixel.
            let (mut soft, mut soft_x) = (out.levels.len(), left);
            for (word, bits) in bits.iter_mut().enumerate() {
                let mut rest = std::mem::take(bits);
                while rest != 0 {
                    let (bit, count) = stretch(rest);
                    rest &= (!0_u64).checked_shl(bit + count).unwrap_or(0);
                    let x = (word << 6) + bit as usize;
                    let at = left + x as u16;
                    if at > next {
                        let gap = at - next;
                        if cover == 0 || (cover == 255 && gap >= SHORT) {
                            if out.levels.len() > soft {
                                out.runs.push(Run {
                                    x: soft_x,
                                    len: next - soft_x,
                                    levels: soft as u32,
                                });
                            }
                            if cover == 255 {
                                out.runs.push(Run {
                                    x: next,
                                    len: gap,
                                    levels: HARD,
                                });
                            }
                            (soft, soft_x) = (out.levels.len(), at);
                        } else {
                            out.levels
                                .resize(out.levels.len() + usize::from(gap), cover);
                        }
                    }
                    let touched = &mut sums[x..x + count as usize];
                    out.levels.extend(touched.iter_mut().map(|slot| {
                        sum += std::mem::take(slot);
                        cover = level(sum);
                        cover
                    }));
                    next = at + count as u16;
                }
            }
            // What closes the row beyond the right side was never pushed: coverage goes on to it.
            if cover != 0 && next < side {
                out.levels
                    .resize(out.levels.len() + usize::from(side - next), cover);
                next = side;
            }
            // Nothing lies beyond the right side.
            let beyond = next.saturating_sub(side.max(soft_x));
            out.levels.truncate(out.levels.len() - usize::from(beyond));
            if out.levels.len() > soft {
                let levels = soft as u32;
                out.runs.push(Run {
                    x: soft_x,
                    len: next - beyond - soft_x,
                    levels,
                });
            }
        }
        out.start_row();
        out
    }
}

/// The first stretch of set bits, gaps of under [`SHORT`] included: to sum such a gap costs less than
/// to leave it out. Its first bit and its length; `bits` is not zero.
#[inline]
const fn stretch(bits: u64) -> (u32, u32) {
    let first = bits.trailing_zeros();
    let mut end = first + (bits >> first).trailing_ones();
    while end < 64 {
        let gap = (bits >> end).trailing_zeros();
        if gap >= SHORT as u32 {
            break;
        }
        end += gap;
        end += (bits >> end).trailing_ones();
    }
    (first, end - first)
}

/// Sets the bits from `first` on.
#[inline]
fn mark(bits: &mut [u64], first: usize, count: usize) {
    let (word, at) = (first >> 6, first & 63);
    if at + count <= 64 {
        bits[word] |= (u64::MAX >> (64 - count)) << at;
    } else {
        for k in first..first + count {
            bits[k >> 6] |= 1 << (k & 63);
        }
    }
}

/// Covered area to 256 levels, rounded to nearest.
#[inline]
#[expect(clippy::cast_possible_truncation, reason = "clamped")]
const fn level(sum: i32) -> u8 {
    let area = sum.unsigned_abs();
    let area = if area < FULL as u32 {
        area
    } else {
        FULL as u32
    };
    ((area * 255 + FULL as u32 / 2) / FULL as u32) as u8
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Region;

    fn fill(region: &Region, w: u32, h: u32) -> Coverage {
        Filler::default().fill(region, &Affine::IDENTITY, w, h, Coverage::empty())
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
            let area = a.cut(&b, true, Coverage::empty()).area() / (s * s);
            assert!((area - want).abs() < want * 5e-4, "{area} for {want}");
            let rest = a.cut(&b, false, Coverage::empty()).area() / (s * s);
            let whole = std::f64::consts::PI * big * big;
            assert!((rest + want - whole).abs() < whole * 5e-4);
        }
    }

    #[test]
    fn stretches_run_over_short_gaps() {
        assert_eq!(stretch(1 | 1 << 16), (0, 17));
        assert_eq!(stretch(1 | 1 << 17), (0, 1));
        assert_eq!(stretch(0b110 << 60), (61, 2));
        assert_eq!(stretch(u64::MAX), (0, 64));
        assert_eq!(stretch(1 << 63 | 1 << 50), (50, 14));
        for at in 0..64 {
            assert_eq!(stretch(1 << at), (at, 1));
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
            let (whole, inside, outside) = (grid(&a, 32, 32), grid(&a.cut(&b, true, Coverage::empty()), 32, 32), grid(&a.cut(&b, false, Coverage::empty()), 32, 32));
            for i in 0..whole.len() {
                let sum = u32::from(inside[i]) + u32::from(outside[i]);
                proptest::prop_assert!(sum.abs_diff(u32::from(whole[i])) <= 1);
            }
        }
    }
}
