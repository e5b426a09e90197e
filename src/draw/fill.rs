//! Polygons to exact-area coverage.
//!
//! Every edge adds, to the pixels it passes, the signed area that it shuts off to its right; summed
//! along a row that is the exact covered area of each pixel. Only blocks of pixels that an edge
//! passes are ever touched, and a bit for each says so; between them coverage is constant.

mod rows;

use rows::{Row, level};

use super::coverage::Coverage;
use super::frame::MOST_SIDE;
use crate::geom::{Affine, Point};

/// Steps across a pixel: coordinates are rounded to them, so that sums are whole numbers, exact in
/// any order.
const ACROSS: i32 = 1 << ACROSS_BITS;
const ACROSS_BITS: u32 = 8;
/// Steps down a pixel.
const DOWN: i32 = 1 << DOWN_BITS;
const DOWN_BITS: u32 = 8;
/// What a wholly covered pixel sums to. It may be negative, and biased two of them fit into 16 bits.
const FULL: i32 = DOWN << STEP_BITS;
/// Area that a step down shuts off in a pixel to its right.
const STEP_BITS: u32 = 6;
/// Fraction bits of the area that an edge gains in a step across.
const RISE_BITS: u32 = 16;

/// Pixels to a block.
const BLOCK: usize = 8;
/// Buffers for filling polygons: a box of area sums, and a bit for each block of them that may not
/// be zero. Both are left all zero.
#[derive(Debug, Default)]
pub(super) struct Filler {
    /// In steps, from the box's corner.
    points: Vec<[i32; 2]>,
    floats: Vec<[f64; 2]>,
    ends: Vec<usize>,
    sums: Vec<i16>,
    touched: Vec<u64>,
    /// Biased sums of the soft pixels.
    areas: Vec<u16>,
    /// The box: first column and row, sums a row, words of bits a row.
    left: i32,
    top: i32,
    stride: usize,
    words: usize,
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

/// The nearest whole number, of less than 31 bits.
#[inline]
#[expect(
    clippy::cast_possible_truncation,
    reason = "the bits wanted are the lowest"
)]
const fn whole(v: f64) -> i32 {
    // Beside a number this large there is no room for a fraction: the last bits are whole ones.
    const LARGE: f64 = (3_u64 << 51) as f64;
    (v + LARGE).to_bits() as i32
}

/// As the machine has it: `f64::min` also minds numbers that are none.
#[inline]
const fn lesser(a: f64, b: f64) -> f64 {
    if b < a { b } else { a }
}

#[inline]
const fn greater(a: f64, b: f64) -> f64 {
    if b > a { b } else { a }
}

impl Filler {
    /// The coverage of closed contours, moved to pixels, within a picture of `width` x `height`; `spare`
    /// lends its buffers.
    #[expect(clippy::cast_sign_loss, reason = "cut to the picture")]
    pub fn fill(
        &mut self,
        contours: &[Vec<Point>],
        to_pixels: &Affine,
        width: u32,
        height: u32,
        spare: Coverage,
    ) -> Coverage {
        debug_assert!(width <= MOST_SIDE && height <= MOST_SIDE);
        let b = self.place(contours, to_pixels);
        let (w, h) = (f64::from(width), f64::from(height));
        if !(b[0] < w && b[1] < h && b[2] > 0.0 && b[3] > 0.0) {
            return Coverage::over(spare, 0);
        }
        self.left = below(b[0].max(0.0));
        self.top = below(b[1].max(0.0));
        let right = above(b[2].min(w));
        let bottom = above(b[3].min(h));
        // Two more columns: an edge on the right side of a pixel adds to the next one.
        self.stride = ((right - self.left + 2) as usize).next_multiple_of(BLOCK);
        self.words = self.stride.div_ceil(BLOCK * 64);
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

    /// Takes points to pixels. Gives their bounds: left, top, right, bottom.
    fn place(&mut self, contours: &[Vec<Point>], to_pixels: &Affine) -> [f64; 4] {
        self.floats.clear();
        self.ends.clear();
        let mut b = [
            f64::INFINITY,
            f64::INFINITY,
            f64::NEG_INFINITY,
            f64::NEG_INFINITY,
        ];
        for contour in contours {
            self.floats.extend(contour.iter().map(|&p| {
                let p = to_pixels.apply(p);
                b = [
                    lesser(b[0], p[0]),
                    lesser(b[1], p[1]),
                    greater(b[2], p[0]),
                    greater(b[3], p[1]),
                ];
                p
            }));
            self.ends.push(self.floats.len());
        }
        b
    }

    /// A point of the picture in steps from the box's corner.
    #[inline]
    fn steps(&self, p: [f64; 2]) -> [i32; 2] {
        [
            whole(p[0] * f64::from(ACROSS)) - self.left * ACROSS,
            whole(p[1] * f64::from(DOWN)) - self.top * DOWN,
        ]
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
            self.inside(top, bottom, down);
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
                self.inside([0.0, y0], [0.0, y1], down);
            } else if middle < w {
                let within = |x: f64| x.clamp(0.0, w);
                self.inside([within(at(y0)), y0], [within(at(y1)), y1], down);
            }
        }
    }

    /// A piece of an edge inside the picture.
    fn inside(&mut self, top: [f64; 2], bottom: [f64; 2], down: bool) {
        let (top, bottom) = (self.steps(top), self.steps(bottom));
        if down {
            self.line(top, bottom);
        } else {
            self.line(bottom, top);
        }
    }

    /// An edge inside the box, in steps.
    #[expect(clippy::cast_sign_loss, reason = "inside the box")]
    fn line(&mut self, a: [i32; 2], b: [i32; 2]) {
        let (sign, a, b) = if a[1] < b[1] { (1, a, b) } else { (-1, b, a) };
        let height = b[1] - a[1];
        if height == 0 {
            return;
        }
        let first = a[1] >> DOWN_BITS;
        let last = (b[1] - 1) >> DOWN_BITS;
        let (left, right) = if a[0] < b[0] {
            (a[0], b[0])
        } else {
            (b[0], a[0])
        };
        // Only what passes from pixel to pixel needs to know how area grows with the way across.
        let rise = if right > (left | (ACROSS - 1)) + 1 {
            (i64::from(height) << (STEP_BITS + RISE_BITS)) / i64::from(right - left)
        } else {
            0
        };
        let mut row = first as usize;
        if first == last {
            // Most edges of a curve lie within one row.
            self.piece(row, a[0], b[0], height << STEP_BITS, sign, rise);
            return;
        }
        let slope = (i64::from(b[0] - a[0]) << 32) / i64::from(height);
        let part = ((first + 1) << DOWN_BITS) - a[1];
        let mut reached = (i64::from(a[0]) << 32) + (1 << 31) + slope * i64::from(part);
        let mut x = (reached >> 32) as i32;
        self.piece(row, a[0], x, part << STEP_BITS, sign, rise);
        row += 1;
        while row < last as usize {
            reached += slope << DOWN_BITS;
            let next = (reached >> 32) as i32;
            self.piece(row, x, next, FULL, sign, rise);
            x = next;
            row += 1;
        }
        let part = b[1] - (last << DOWN_BITS);
        self.piece(row, x, b[0], part << STEP_BITS, sign, rise);
    }

    /// A piece of an edge within one row, from `x` to `next`, that shuts off `area` of every pixel
    /// to its right; `rise` of that, in `RISE_BITS`, with every step across.
    #[inline(always)]
    #[expect(clippy::cast_sign_loss, reason = "inside the box")]
    #[expect(
        clippy::cast_possible_truncation,
        clippy::inline_always,
        reason = "the innermost loop"
    )]
    fn piece(&mut self, row: usize, x: i32, next: i32, area: i32, sign: i32, rise: i64) {
        let (left, right) = if x < next { (x, next) } else { (next, x) };
        let column = left >> ACROSS_BITS;
        let from = left & (ACROSS - 1);
        let to = right - (column << ACROSS_BITS);
        let i = column as usize;
        if to > 2 * ACROSS {
            self.long_piece(row, left, right, area, sign, rise);
            return;
        }
        // An edge's middle halves the pixels it lies in.
        let share = |area: i32, across: i32| (area * across + ACROSS) >> (ACROSS_BITS + 1);
        let at = row * self.stride + i;
        if to <= ACROSS {
            let area = area * sign;
            let later = share(area, from + to);
            if let Some([first, second]) = self.sums.get_mut(at..at + 2) {
                *first = first.wrapping_add((area - later) as i16);
                *second = second.wrapping_add(later as i16);
            }
        } else {
            let reach = ACROSS - from;
            let made = ((rise * i64::from(reach)) >> RISE_BITS) as i32 * sign;
            let area = area * sign;
            let first = share(made, reach);
            let last = share(area - made, to - ACROSS);
            if let Some([a, b, c]) = self.sums.get_mut(at..at + 3) {
                *a = a.wrapping_add(first as i16);
                *b = b.wrapping_add((area - first - last) as i16);
                *c = c.wrapping_add(last as i16);
            }
        }
        // What the piece adds to the next block is found from this one.
        let block = i / BLOCK;
        if let Some(bits) = self.touched.get_mut(row * self.words + block / 64) {
            *bits |= 1 << (block % 64);
        }
    }

    /// A piece over more than two pixels.
    #[inline(never)]
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "inside the box"
    )]
    fn long_piece(&mut self, row: usize, left: i32, right: i32, area: i32, sign: i32, rise: i64) {
        let i = (left >> ACROSS_BITS) as usize;
        let j = ((right - 1) >> ACROSS_BITS) as usize;
        mark(
            &mut self.touched[row * self.words..][..self.words],
            i / BLOCK,
            j / BLOCK,
        );
        let share = |area: i32, across: i32| (area * across + ACROSS) >> (ACROSS_BITS + 1);
        let [first, middle @ .., last, after] =
            &mut self.sums[row * self.stride + i..][..j + 2 - i]
        else {
            return;
        };
        let add = |sum: &mut i16, area: i32| *sum = sum.wrapping_add((area * sign) as i16);
        let reach = ACROSS - (left & (ACROSS - 1));
        // Area that the edge has gained by the right side of each pixel.
        let mut reached = rise * i64::from(reach);
        let mut made = (reached >> RISE_BITS) as i32;
        let own = share(made, reach);
        add(first, own);
        // What a pixel owes to the next one.
        let mut owed = made - own;
        for sum in middle {
            reached += rise << ACROSS_BITS;
            let now = (reached >> RISE_BITS) as i32;
            let half = (now - made) >> 1;
            add(sum, owed + (now - made) - half);
            owed = half;
            made = now;
        }
        let rest = area - made;
        let beyond = share(rest, right - ((j as i32) << ACROSS_BITS));
        add(last, owed + rest - beyond);
        add(after, beyond);
    }

    /// The touched blocks of each row, summed into runs; sums and bits are zero again after.
    #[inline(never)]
    fn gather(&mut self, rows: usize, width: u32, spare: Coverage) -> Coverage {
        let mut out = Coverage::over(spare, self.top.cast_unsigned());
        let mut row = Row {
            left: self.left.cast_unsigned(),
            side: width,
            used: 0,
        };
        let bits = self.touched.chunks_exact_mut(self.words);
        let sums = self.sums.chunks_exact_mut(self.stride);
        for (sums, bits) in sums.zip(bits).take(rows) {
            out.start_row();
            let most = row.used + self.stride;
            if self.areas.len() < most {
                self.areas.resize(most.next_power_of_two(), 0);
            }
            let (blocks, _) = sums.as_chunks_mut::<BLOCK>();
            row.gather(blocks, bits, &mut self.areas, &mut out);
        }
        out.start_row();
        let areas = &self.areas[..row.used];
        out.set_levels(areas.len(), |levels| {
            for (to, &area) in levels.iter_mut().zip(areas) {
                *to = level(area);
            }
        });
        out
    }
}

/// Sets the bits of blocks, both ends included.
#[inline]
fn mark(bits: &mut [u64], first: usize, last: usize) {
    for block in first..=last {
        bits[block / 64] |= 1 << (block % 64);
    }
}
