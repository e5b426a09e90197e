//! Coverages put together: one inside, outside or with another.

use std::ops::Range;

use super::{Coverage, HARD, Run, mul};

/// Changes a stretch by another: what either leaves bare, or what both cover.
#[inline]
fn each(out: &mut [u8], by: &[u8], how: impl Fn(u8, u8) -> u8) {
    for (level, &other) in out.iter_mut().zip(by) {
        *level = how(*level, other);
    }
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

    /// Keeps what `other` covers too (`inside`), or what it does not, of some rows.
    pub fn cut(&mut self, other: &Self, inside: bool, rows: &Range<u32>) {
        if inside {
            self.crop(rows.start.max(other.top)..rows.end.min(other.bottom()));
        } else {
            self.crop(rows.clone());
        }
        for y in self.top.max(other.top)..self.bottom().min(other.bottom()) {
            let at = (y - self.top) as usize;
            let span = self.spans[at];
            let (runs, others) = (self.span(span), other.row(y));
            if runs.is_empty() {
                continue;
            }
            if apart(runs, others) {
                if inside {
                    self.spans[at] = [0; 2];
                }
                continue;
            }
            self.open = self.runs.len() as u32;
            if inside {
                self.keep_inside(span, (other, others));
            } else {
                self.keep_outside(span, (other, others));
            }
            self.spans[at] = [self.open, self.runs.len() as u32];
        }
    }

    /// Drops all but some rows.
    fn crop(&mut self, rows: Range<u32>) {
        let height = rows.end.saturating_sub(self.top) as usize;
        self.spans.truncate(height);
        let above = rows.start.saturating_sub(self.top) as usize;
        let above = above.min(self.spans.len());
        self.spans.drain(..above);
        self.top += above as u32;
    }

    /// The levels of `from..to` of a run, to change.
    fn part_mut(&mut self, run: Run, from: u16, to: u16) -> &mut [u8] {
        let at = run.levels as usize;
        &mut self.levels[at + usize::from(from - run.x)..at + usize::from(to - run.x)]
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
        out.end_row();
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

    /// One row inside that of another.
    fn keep_inside(&mut self, [mut i, last]: [u32; 2], (b, others): (&Self, &[Run])) {
        let mut j = 0;
        while let (true, Some(&o)) = (i < last, others.get(j)) {
            let r = self.runs[i as usize];
            let from = r.x.max(o.x);
            let to = r.end().min(o.end());
            if from < to {
                if o.levels == HARD {
                    self.keep(r, from, to);
                } else if r.levels == HARD {
                    self.put_part(b, o, from, to);
                } else {
                    each(self.part_mut(r, from, to), b.part(o, from, to), mul);
                    self.keep(r, from, to);
                }
            }
            if r.end() <= o.end() {
                i += 1;
            } else {
                j += 1;
            }
        }
    }

    /// One row without that of another.
    fn keep_outside(&mut self, [first, last]: [u32; 2], (b, others): (&Self, &[Run])) {
        let mut j = 0;
        for i in first..last {
            let run = self.runs[i as usize];
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
                                self.put_soft(x, to - x);
                            } else {
                                each(self.part_mut(run, x, to), less, |l, o| mul(l, 255 - o));
                                self.keep(run, x, to);
                            }
                        }
                        x = to;
                        k += 1;
                    }
                    next => {
                        let to = next.map_or(end, |o| end.min(o.x));
                        self.keep(run, x, to);
                        x = to;
                    }
                }
            }
        }
    }

    /// Adds some rows of another coverage: what either leaves bare is left bare by both.
    pub fn add(&mut self, other: &Self, rows: &Range<u32>) {
        let top = other.top.max(rows.start);
        let bottom = other.bottom().min(rows.end);
        if top >= bottom {
            return;
        }
        if self.spans.is_empty() {
            self.top = top;
        }
        let above = self.top.saturating_sub(top);
        let none = std::iter::repeat_n([0; 2], above as usize);
        self.spans.splice(0..0, none);
        self.top -= above;
        let height = (bottom - self.top) as usize;
        self.spans.resize(height.max(self.spans.len()), [0; 2]);
        for y in top..bottom {
            let others = other.row(y);
            if others.is_empty() {
                continue;
            }
            let at = (y - self.top) as usize;
            self.open = self.runs.len() as u32;
            self.row_of_either(self.spans[at], (other, others));
            self.spans[at] = [self.open, self.runs.len() as u32];
        }
    }

    /// One row of either.
    fn row_of_either(&mut self, [mut i, last]: [u32; 2], (b, others): (&Self, &[Run])) {
        let (mut j, mut x) = (0, 0);
        loop {
            let own = (i < last).then(|| self.runs[i as usize]);
            match (own, others.get(j)) {
                (None, None) => return,
                (Some(r), None) => {
                    self.keep(r, r.x.max(x), r.end());
                    i += 1;
                }
                (None, Some(&o)) => {
                    self.put_part(b, o, o.x.max(x), o.end());
                    j += 1;
                }
                (Some(r), Some(&o)) => {
                    let (from, other_from) = (r.x.max(x), o.x.max(x));
                    if from < other_from {
                        x = r.end().min(other_from);
                        self.keep(r, from, x);
                    } else if other_from < from {
                        x = o.end().min(from);
                        self.put_part(b, o, other_from, x);
                    } else {
                        x = r.end().min(o.end());
                        if r.levels == HARD || o.levels == HARD {
                            self.put_hard(from, x);
                        } else {
                            let bare = |l, m| 255 - mul(255 - l, 255 - m);
                            each(self.part_mut(r, from, x), b.part(o, from, x), bare);
                            self.keep(r, from, x);
                        }
                    }
                    i += u32::from(r.end() <= x);
                    j += usize::from(o.end() <= x);
                }
            }
        }
    }
}
