//! One ground for two pictures of one canvas that grew differently with their figures.

use super::{ApprovedPose, Picture};

/// A ground that holds a canvas and what is around it, pixels.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ground {
    /// Of all of it.
    pub width: u32,
    /// Of all of it.
    pub height: u32,
    /// Where the canvas's corner is.
    pub origin: [u32; 2],
}

impl Ground {
    /// Of a picture.
    #[must_use]
    pub const fn of(pose: &ApprovedPose) -> Self {
        Self {
            width: pose.width,
            height: pose.height,
            origin: pose.origin,
        }
    }

    /// The smallest that holds two of one canvas.
    #[must_use]
    pub fn with(self, other: Self) -> Self {
        let origin = [0, 1].map(|k| self.origin[k].max(other.origin[k]));
        let end = |g: Self| [g.width - g.origin[0], g.height - g.origin[1]];
        let (a, b) = (end(self), end(other));
        Self {
            width: origin[0] + a[0].max(b[0]),
            height: origin[1] + a[1].max(b[1]),
            origin,
        }
    }

    /// Pixels of a smaller ground on this one, `each` values a pixel, nothing around them.
    #[must_use]
    pub fn lay<T: Copy + Default>(self, from: &[T], small: Self, each: usize) -> Vec<T> {
        let wide = self.width as usize * each;
        let mut out = vec![T::default(); wide * self.height as usize];
        let [left, top] = self.way(small).map(|v| v as usize);
        let narrow = small.width as usize * each;
        for (row, line) in from.chunks_exact(narrow.max(1)).enumerate() {
            out[(top + row) * wide + left * each..][..narrow].copy_from_slice(line);
        }
        out
    }

    /// A picture of a smaller ground on this one.
    #[must_use]
    pub fn picture(self, from: &Picture, small: Self) -> Picture {
        Picture {
            width: self.width,
            height: self.height,
            rgba: self.lay(&from.rgba, small, 4),
        }
    }

    /// What is said of a picture that is laid on this ground.
    #[must_use]
    pub fn pose(self, from: &ApprovedPose) -> ApprovedPose {
        let [x, y] = self.way(Self::of(from));
        let mut out = from.clone();
        (out.width, out.height, out.origin) = (self.width, self.height, self.origin);
        for area in out.parts.values_mut().filter_map(|p| p.area.as_mut()) {
            let by = [x, y, x, y];
            *area = std::array::from_fn(|k| area[k].saturating_add(by[k]));
        }
        out
    }

    /// How far a smaller ground lies in this one.
    fn way(self, small: Self) -> [u32; 2] {
        [0, 1].map(|k| self.origin[k] - small.origin[k])
    }
}
