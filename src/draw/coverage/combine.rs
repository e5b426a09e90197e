//! Coverages put together: one inside, outside or with another.

use std::ops::Range;

use super::{Coverage, HARD, Run, mul};

/// `mul` for every pixel of two stretches.
#[inline]
fn mul_into(out: &mut Vec<u8>, a: &[u8], b: &[u8]) {
    out.extend(a.iter().zip(b).map(|(&a, &b)| {
        let t = u16::from(a) * u16::from(b) + 128;
        ((t + (t >> 8)) >> 8) as u8
    }));
}

/// Whether the runs of a row end before others start; none lie apart from any.
#[inline]
fn apart(runs: &[Run], others: &[Run]) -> bool {
    match (runs, others) {
        (
            [first, .., last] | [first @ last],
            [other_first, .., other_last] | [other_first @ other_last],
        ) => other_last.end() <= first.x || other_first.x >= last.end(),
        _ => true,
    }
}

impl Coverage {
    /// Whether any row of the two may have a pixel in common.
    pub fn meets(&self, other: &Self) -> bool {
        let rows = self.rows_within(other.top, other.bottom());
        let mut rows = rows.map(|(y, runs)| (runs, other.row(y)));
        rows.any(|(runs, others)| !apart(runs, others))
    }

    /// This coverage where `other` covers too (`inside`), or where it does not, in some rows; `spare` lends
    /// its buffers.
    pub fn cut(&self, other: &Self, inside: bool, rows: &Range<u32>, spare: Self) -> Self {
        let bottom = self.bottom().min(rows.end);
        let top = self.top.max(rows.start).min(bottom);
        let from = top.max(other.top).min(bottom);
        let to = bottom.min(other.bottom()).max(from);
        let mut out = Self::over(spare, if inside { from } else { top });
        if !inside {
            out.put_rows(self, top, from);
        }
        for y in from..to {
            out.start_row();
            let (runs, others) = (self.row(y), other.row(y));
            if runs.is_empty() {
                continue;
            }
            if apart(runs, others) {
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
            out.put_rows(self, to, bottom);
        }
        out.start_row();
        out
    }

    /// This coverage, as it is, where `other` covers at all; `spare` lends its buffers.
    pub fn near(&self, other: &Self, spare: Self) -> Self {
        let from = self.top.max(other.top);
        let to = self.bottom().min(other.bottom()).max(from);
        let mut out = Self::over(spare, from);
        for y in from..to {
            out.start_row();
            let (runs, others) = (self.row(y), other.row(y));
            if !apart(runs, others) {
                out.keep_near((self, runs), others);
            }
        }
        out.start_row();
        out
    }

    /// One row of the first where there is any of the second.
    fn keep_near(&mut self, (a, runs): (&Self, &[Run]), others: &[Run]) {
        let (mut i, mut j) = (0, 0);
        while let (Some(&r), Some(&o)) = (runs.get(i), others.get(j)) {
            self.put_part(a, r, r.x.max(o.x), r.end().min(o.end()));
            if r.end() <= o.end() {
                i += 1;
            } else {
                j += 1;
            }
        }
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
        let (Some(first), Some(last)) = (others.first(), others.last()) else {
            return self.copy_runs(a, runs);
        };
        // Few runs of a row meet others.
        let left = runs.partition_point(|run| run.end() <= first.x);
        let right = runs.partition_point(|run| run.x < last.end());
        self.copy_runs(a, &runs[..left]);
        let mut j = 0;
        for &run in &runs[left..right] {
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
        self.copy_runs(a, &runs[right..]);
    }

    /// This coverage and another in some rows: what either leaves bare is left bare by both. `spare` lends
    /// its buffers.
    pub fn with(&self, other: &Self, rows: &Range<u32>, spare: Self) -> Self {
        let top = match (self.is_empty(), other.is_empty()) {
            (true, _) => other.top,
            (_, true) => self.top,
            _ => self.top.min(other.top),
        };
        let bottom = self.bottom().max(other.bottom()).min(rows.end);
        let top = top.max(rows.start).min(bottom);
        let mut out = Self::over(spare, top);
        for y in top..bottom {
            out.start_row();
            out.row_of_either((self, self.row(y)), (other, other.row(y)));
        }
        out.start_row();
        out
    }

    /// One row of either.
    fn row_of_either(&mut self, (a, runs): (&Self, &[Run]), (b, others): (&Self, &[Run])) {
        let (mut i, mut j, mut x) = (0, 0, 0);
        loop {
            match (runs.get(i), others.get(j)) {
                (None, None) => return,
                (Some(_), None) => {
                    runs[i..]
                        .iter()
                        .for_each(|&r| self.put_part(a, r, r.x.max(x), r.end()));
                    return;
                }
                (None, Some(_)) => {
                    others[j..]
                        .iter()
                        .for_each(|&o| self.put_part(b, o, o.x.max(x), o.end()));
                    return;
                }
                (Some(&r), Some(&o)) => {
                    let (from, other_from) = (r.x.max(x), o.x.max(x));
                    if from < other_from {
                        x = r.end().min(other_from);
                        self.put_part(a, r, from, x);
                    } else if other_from < from {
                        x = o.end().min(from);
                        self.put_part(b, o, other_from, x);
                    } else {
                        x = r.end().min(o.end());
                        if r.levels == HARD || o.levels == HARD {
                            self.put_hard(from, x);
                        } else {
                            let levels = a.part(r, from, x).iter().zip(b.part(o, from, x));
                            self.levels
                                .extend(levels.map(|(&l, &m)| 255 - mul(255 - l, 255 - m)));
                            self.put_soft(from, x - from);
                        }
                    }
                    i += usize::from(r.end() <= x);
                    j += usize::from(o.end() <= x);
                }
            }
        }
    }
}
