//! Points along the borders of drawings, made once for all poses.

use std::sync::OnceLock;

use crate::art::{ArtId, PartArt, Role};
use crate::check::limb::Rest;
use crate::geom::{Affine, Edges, Point, Region};
use crate::solve::ArtRegions;

/// From one point to the next, widths of the line.
const STEP: f64 = 0.5;
/// Points of a drawing at most.
const MOST: f64 = 2000.0;

/// The borders of all drawings of a view.
pub(super) struct Borders(Vec<OnceLock<Border>>);

/// A drawing's border, in art space.
pub(super) struct Border {
    /// Mean width of its outline; 0 without one.
    pub line: f64,
    pub marks: Vec<Mark>,
    /// For each shape its edges.
    shapes: Vec<OnceLock<Edges>>,
}

/// A point of a border.
pub(super) struct Mark {
    pub at: Point,
    /// Away from the drawing, of length one.
    pub out: Point,
    /// Of the border.
    pub length: f64,
    /// Ink of the drawing runs along it there.
    pub inked: bool,
    /// The first of a contour.
    pub first: bool,
}

impl Borders {
    pub fn new(rest: &Rest<'_>) -> Self {
        Self(rest.model().art.iter().map(|_| OnceLock::new()).collect())
    }

    pub fn of(&self, rest: &Rest<'_>, art: ArtId) -> &Border {
        let drawing = &rest.model().art[art.at()];
        self.0[art.at()].get_or_init(|| Border::new(drawing, rest.regions(art)))
    }
}

impl Border {
    pub fn new(art: &PartArt, regions: &ArtRegions) -> Self {
        let outline = regions.outline(art);
        let around = outline.perimeter() / 2.0;
        let line = if around > 0.0 {
            outline.area() / around
        } else {
            0.0
        };
        let mut border = Self {
            line,
            marks: Vec::new(),
            shapes: regions.shapes.iter().map(|_| OnceLock::new()).collect(),
        };
        if line <= 0.0 {
            return border;
        }
        let whole = regions.silhouette(art);
        let side = if whole.turns_back() { -1.0 } else { 1.0 };
        let step = (line * STEP).max(whole.perimeter() / MOST);
        let inked = |p: Point| {
            let shapes = art.shapes.iter().zip(&regions.shapes);
            shapes
                .filter(|(s, _)| s.role == Role::Ink)
                .any(|(_, r)| r.contains(p))
        };
        for contour in whole.contours() {
            let mut first = true;
            let mut over = step / 2.0;
            for (i, &a) in contour.iter().enumerate() {
                let b = contour[(i + 1) % contour.len()];
                let way = [b[0] - a[0], b[1] - a[1]];
                let length = libm::hypot(way[0], way[1]);
                if length <= 0.0 {
                    continue;
                }
                let way = [way[0] / length, way[1] / length];
                // The drawing lies on the positive side of its edges.
                let out = [way[1] * side, -way[0] * side];
                while over < length {
                    let at = [a[0] + way[0] * over, a[1] + way[1] * over];
                    let half = line / 2.0;
                    border.marks.push(Mark {
                        at,
                        out,
                        length: step,
                        inked: inked([at[0] - out[0] * half, at[1] - out[1] * half]),
                        first,
                    });
                    first = false;
                    over += step;
                }
                over -= length;
            }
        }
        border
    }

    /// The edges of a shape, in art space.
    pub fn edges(&self, shape: usize, region: &Region) -> &Edges {
        self.shapes[shape].get_or_init(|| Edges::new(region))
    }
}

/// How much a transform makes lines wider.
pub(super) fn scale(by: &Affine) -> f64 {
    libm::sqrt(by.determinant().abs())
}

/// A direction turned by a transform as a normal is, of length one.
pub(super) fn normal(by: &Affine, n: Point) -> Point {
    // The transposed inverse, but for its length.
    let side = by.determinant().signum();
    let moved = [
        (by.d * n[0] - by.b * n[1]) * side,
        (by.a * n[1] - by.c * n[0]) * side,
    ];
    let length = libm::hypot(moved[0], moved[1]).max(f64::MIN_POSITIVE);
    [moved[0] / length, moved[1] / length]
}
