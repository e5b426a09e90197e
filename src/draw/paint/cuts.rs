//! What cuts take from layers, as coverage.

use std::rc::Rc;
use std::sync::Arc;

use super::Painter;
use crate::cast::Keep;
use crate::draw::coverage::{ALL_ROWS, Coverage};
use crate::geom::{Affine, Region, moved_box};
use crate::solve::{Area, CutArea, Drawn, Term};

/// A region's address and where it lies, bit by bit; and which of its windows.
pub(super) type LeafKey = (usize, [u64; 6], usize);

/// A region, filled.
pub(super) struct Filled {
    /// Kept so that no other gets its address.
    _region: Arc<Region>,
    pub coverage: Rc<Coverage>,
    /// The window in which that is right.
    window: Window,
}

/// Left, top, right, bottom, in pixels.
type Window = [u32; 4];

impl<'a> Painter<'a> {
    /// A layer's coverage less what its cuts take.
    pub(super) fn cut(&mut self, layer: &Drawn<'a>, mut seen: Rc<Coverage>) -> Rc<Coverage> {
        for &cut in &layer.cuts {
            if seen.is_empty() {
                break;
            }
            let Some((keep, by)) = self.cut_coverage(cut, &seen) else {
                continue;
            };
            if keep == Keep::Outside && !seen.meets(&by) {
                self.hand_back(by);
                continue;
            }
            seen = self.join(seen, by, |a, b| {
                a.cut(b, keep == Keep::Inside, &ALL_ROWS);
            });
        }
        seen
    }

    /// The coverage of what cuts `seen`.
    fn cut_coverage(&mut self, at: usize, seen: &Coverage) -> Option<(Keep, Rc<Coverage>)> {
        if let Some((keep, known)) = &self.cuts[at] {
            return Some((*keep, Rc::clone(known)));
        }
        let list = self.list;
        let CutArea { keep, area, within } = list.cut_area(at)?;
        let picture = self.whole();
        let window = within.map_or(picture, |b| {
            let b = moved_box(b, &self.to_pixels);
            // Outside the picture nothing is covered.
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "clamped"
            )]
            let cut = |v: f64, most: u32| v.clamp(0.0, f64::from(most)) as u32;
            let [_, _, width, height] = picture;
            [
                cut(b[0], width),
                cut(b[1], height),
                cut(libm::ceil(b[2]), width),
                cut(libm::ceil(b[3]), height),
            ]
        });
        // What cuts one layer alone matters only where that is.
        let alone = list.cuts[at].layers == 1;
        let made = self.area(area, window, alone.then_some(seen));
        if !alone {
            self.cuts[at] = Some((*keep, Rc::clone(&made)));
        }
        Some((*keep, made))
    }

    /// The coverage of an area, in this window and near this coverage at least: inside multiplies, outside
    /// multiplies by what is left.
    fn area(&mut self, area: &Area, window: Window, near: Option<&Coverage>) -> Rc<Coverage> {
        let rows = &(window[1]..window[3]);
        let window = near.map_or(Some(window), Coverage::bounds);
        let Some(window) = window else {
            return Rc::default();
        };
        let mut terms = area.0.iter();
        let first = terms.next().map(|t| self.term(t, window, near));
        terms.fold(first.unwrap_or_default(), |whole, term| {
            let more = self.term(term, window, near);
            if more.is_empty() {
                self.hand_back(more);
                return whole;
            }
            self.join(whole, more, |a, b| a.add(b, rows))
        })
    }

    fn term(&mut self, term: &Term, window: Window, near: Option<&Coverage>) -> Rc<Coverage> {
        let rows = &(window[1]..window[3]);
        let mut leaves = term.all.iter();
        let first = leaves
            .next()
            .map(|leaf| self.leaf(&leaf.region, leaf.posed, window));
        let first = first.unwrap_or_default();
        let simple = term.all.len() == 1 && term.none.is_empty();
        let first = match near {
            Some(near) if !simple => {
                let spare = self.scratch.spare.pop().unwrap_or_default();
                Rc::new(first.near(near, spare))
            }
            _ => first,
        };
        let whole = leaves.fold(first, |whole, leaf| {
            let Some(window) = whole.bounds() else {
                return whole;
            };
            let more = self.leaf(&leaf.region, leaf.posed, window);
            self.join(whole, more, |a, b| a.cut(b, true, rows))
        });
        let none = term.none.iter().flat_map(|area| &area.0);
        none.fold(whole, |whole, term| {
            let Some(window) = whole.bounds() else {
                return whole;
            };
            let less = self.term(term, window, Some(&whole));
            if whole.meets(&less) {
                self.join(whole, less, |a, b| a.cut(b, false, rows))
            } else {
                self.hand_back(less);
                whole
            }
        })
    }

    /// The coverage of a region, which several cuts may be made of, in a window at least.
    pub(super) fn leaf(
        &mut self,
        region: &Arc<Region>,
        posed: Affine,
        window: Window,
    ) -> Rc<Coverage> {
        let to_pixels = self.to_pixels.after(posed);
        let Affine { a, b, c, d, e, f } = to_pixels;
        let place = [a, b, c, d, e, f].map(f64::to_bits);
        let key = |window| (Arc::as_ptr(region).addr(), place, window);
        let known = self.leaves.range(key(0)..=key(usize::MAX));
        let mut windows = 0;
        for (_, filled) in known {
            if holds(filled.window, window) {
                return Rc::clone(&filled.coverage);
            }
            windows += 1;
        }
        let spare = self.scratch.spare.pop().unwrap_or_default();
        let size = [self.target.width, self.target.height];
        let filler = &mut self.scratch.filler;
        let contours = region.contours();
        let (made, window) = filler.fill_in(contours, &to_pixels, size, window, spare);
        let made = Rc::new(made);
        let filled = Filled {
            _region: Arc::clone(region),
            coverage: Rc::clone(&made),
            window,
        };
        self.leaves.insert(key(windows), filled);
        made
    }

    /// All of the picture.
    pub(super) const fn whole(&self) -> Window {
        [0, 0, self.target.width, self.target.height]
    }

    /// Changes a coverage by another, in place where nobody else has it.
    fn join(
        &mut self,
        mut a: Rc<Coverage>,
        b: Rc<Coverage>,
        how: impl Fn(&mut Coverage, &Coverage),
    ) -> Rc<Coverage> {
        if Rc::get_mut(&mut a).is_none() {
            a = Rc::new(a.copied(self.scratch.spare.pop().unwrap_or_default()));
        }
        if let Some(a) = Rc::get_mut(&mut a) {
            how(a, &b);
        }
        self.hand_back(b);
        a
    }
}

fn holds(window: Window, other: Window) -> bool {
    window[0] <= other[0] && window[1] <= other[1] && window[2] >= other[2] && window[3] >= other[3]
}
