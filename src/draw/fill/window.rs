//! Filling in a window: most of what cuts matters only where it meets what it cuts.

use super::{ACROSS_BITS, DOWN_BITS, Filler, below};
use crate::draw::coverage::Coverage;
use crate::geom::{Affine, Point, joined};

impl Filler {
    /// As [`fill`](Self::fill), right in a window of the picture (left, top, right, bottom) and anything outside
    /// it. Gives the window with it, which may have become larger.
    #[expect(clippy::cast_sign_loss, reason = "in the picture")]
    pub fn fill_in(
        &mut self,
        contours: &[Vec<Point>],
        to_pixels: &Affine,
        [width, height]: [u32; 2],
        window: [u32; 4],
        spare: Coverage,
    ) -> (Coverage, [u32; 4]) {
        let b = self.place(contours, to_pixels);
        let is_inside =
            b[0] >= 0.0 && b[1] >= 0.0 && b[2] <= f64::from(width) && b[3] <= f64::from(height);
        let shape = b.map(|v| below(v.max(0.0)) as u32);
        let shape = [shape[0], shape[1], shape[2] + 1, shape[3] + 1];
        let part = [
            window[0].max(shape[0]),
            window[1].max(shape[1]),
            window[2].min(shape[2]),
            window[3].min(shape[3]),
        ];
        // What is cut off at the picture's sides rounds otherwise.
        if !is_inside || part == shape || self.floats.is_empty() {
            let all = [0, 0, width, height];
            return (self.filled(b, width, height, spare), all);
        }
        let [left, top, right, bottom] = part.map(u32::cast_signed);
        if left >= right || top >= bottom {
            return (Coverage::over(spare, 0), window);
        }
        let (edges, held) = self.edges_in([
            left << ACROSS_BITS,
            top << DOWN_BITS,
            right << ACROSS_BITS,
            bottom << DOWN_BITS,
        ]);
        self.left = held[0] >> ACROSS_BITS;
        self.top = held[1] >> DOWN_BITS;
        let right = ((held[2] - 1) >> ACROSS_BITS) + 1;
        let bottom = ((held[3] - 1) >> DOWN_BITS) + 1;
        let rows = self.room(right, bottom);
        let corner = [self.left << ACROSS_BITS, self.top << DOWN_BITS];
        let moved = |p: [i32; 2]| [p[0] - corner[0], p[1] - corner[1]];
        for &[a, b] in &edges {
            self.line(moved(a), moved(b));
        }
        self.edges = edges;
        (self.gather(rows, width, spare), window)
    }

    /// The edges that matter in a window, in steps of the picture, and a box that holds these and the window.
    fn edges_in(&mut self, window: [i32; 4]) -> (Vec<[[i32; 2]; 2]>, [i32; 4]) {
        let [left, top, right, bottom] = window;
        let mut edges = std::mem::take(&mut self.edges);
        edges.clear();
        let mut held = window;
        (self.left, self.top) = (0, 0);
        let mut start = 0;
        for &end in &self.ends {
            let contour = &self.floats[start..end];
            start = end;
            let Some(mut a) = contour.last().map(|&p| self.steps(p)) else {
                continue;
            };
            for b in contour.iter().map(|&p| self.steps(p)) {
                let [x, y] = [0, 1].map(|k| (a[k].min(b[k]), a[k].max(b[k])));
                if y.1 > top && y.0 < bottom && x.0 < right {
                    if x.1 > left {
                        edges.push([a, b]);
                        held = joined(held, [x.0, y.0, x.1, y.1]);
                    } else {
                        // To the left of it nothing counts but how far down an edge goes.
                        edges.push([a, b].map(|p| [left, p[1].clamp(top, bottom)]));
                    }
                }
                a = b;
            }
        }
        (edges, held)
    }
}

#[cfg(test)]
mod tests {
    use proptest::strategy::Strategy as _;

    use super::*;

    proptest::proptest! {
        // Edges are summed in whole numbers: what a window leaves out changes no pixel in it.
        #[test]
        fn a_window_shows_what_the_whole_does(
            contours in proptest::collection::vec(
                proptest::collection::vec((0.0..40.0_f64, 0.0..30.0_f64).prop_map(|(x, y)| [x, y]), 3..9),
                1..4,
            ),
            (x, y, w, h) in (0..40_u16, 0..30_u32, 1..20_u16, 1..20_u32),
        ) {
            let mut filler = Filler::default();
            let at = Affine::IDENTITY;
            let whole = filler.fill(&contours, &at, 40, 30, Coverage::default());
            let (right, bottom) = ((x + w).min(40), (y + h).min(30));
            let asked = [u32::from(x), y, u32::from(right), bottom];
            let (part, held) = filler.fill_in(&contours, &at, [40, 30], asked, Coverage::default());
            proptest::prop_assert!(held == asked || held == [0, 0, 40, 30]);
            let row = |c: &Coverage, y| {
                let mut row = vec![0; usize::from(right - x)];
                c.spread(y, x, &mut row);
                row
            };
            for y in y..bottom {
                proptest::prop_assert_eq!(row(&part, y), row(&whole, y));
            }
        }
    }
}
