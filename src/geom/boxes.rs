//! Upright boxes: left, top, right, bottom.

use super::{Affine, Point};

/// The box about points: left, top, right, bottom; `None` about none.
#[must_use]
pub fn bounds_of(points: impl IntoIterator<Item = Point>) -> Option<[f64; 4]> {
    points.into_iter().fold(None, |found, [x, y]| {
        let b = found.unwrap_or([x, y, x, y]);
        Some([b[0].min(x), b[1].min(y), b[2].max(x), b[3].max(y)])
    })
}

/// Whether two boxes have an area in common.
#[must_use]
pub fn meet(a: [f64; 4], b: [f64; 4]) -> bool {
    a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3]
}

/// What two boxes have in common.
#[must_use]
pub fn common(a: [f64; 4], b: [f64; 4]) -> Option<[f64; 4]> {
    meet(a, b).then(|| {
        [
            a[0].max(b[0]),
            a[1].max(b[1]),
            a[2].min(b[2]),
            a[3].min(b[3]),
        ]
    })
}

/// A box, larger on every side.
#[must_use]
pub fn grown(b: [f64; 4], by: f64) -> [f64; 4] {
    [b[0] - by, b[1] - by, b[2] + by, b[3] + by]
}

/// A box about a moved box.
#[must_use]
pub fn moved_box(b: [f64; 4], by: &Affine) -> [f64; 4] {
    let corners = [[b[0], b[1]], [b[2], b[1]], [b[2], b[3]], [b[0], b[3]]];
    bounds_of(corners.map(|p| by.apply(p))).unwrap_or(b)
}
