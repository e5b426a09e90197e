//! Boxes: left, top, right, bottom.

use super::affine::{Affine, Point};

/// The box about two boxes.
#[must_use]
pub fn joined<T: Copy + PartialOrd>(a: [T; 4], b: [T; 4]) -> [T; 4] {
    let less = |a, b| if b < a { b } else { a };
    let more = |a, b| if b > a { b } else { a };
    [
        less(a[0], b[0]),
        less(a[1], b[1]),
        more(a[2], b[2]),
        more(a[3], b[3]),
    ]
}

/// Makes a box, if there is one, hold another too.
pub fn join_to<T: Copy + PartialOrd>(all: &mut Option<[T; 4]>, one: [T; 4]) {
    *all = Some(all.map_or(one, |all| joined(all, one)));
}

/// The box about points: left, top, right, bottom; `None` about none.
#[must_use]
pub fn bounds_of(points: impl IntoIterator<Item = Point>) -> Option<[f64; 4]> {
    points.into_iter().map(|[x, y]| [x, y, x, y]).reduce(joined)
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
