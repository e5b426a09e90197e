//! What of a figure lies outside an area.

use super::draw_list::{DrawList, Drawn};
use super::figure::{Cut, Figure};
use crate::art::{Outline, Shape};
use crate::cast::{Keep, PartId};
use crate::geom::{Point, Region, bounds_of, joined};

/// Left, top, right, bottom.
type Sides = [f64; 4];

/// What of a part lies outside an area.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outside {
    /// Which part.
    pub part: PartId,
    /// How far it goes out at each side, canvas units: left, top, right, bottom.
    pub sides: Sides,
    /// The box of what is outside.
    pub bounds: Sides,
}

impl Outside {
    /// How far it goes out where it goes furthest.
    #[must_use]
    pub fn most(&self) -> f64 {
        self.sides.iter().copied().fold(0.0, f64::max)
    }

    fn join(&mut self, other: &Self) {
        self.bounds = joined(self.bounds, other.bounds);
        self.sides = std::array::from_fn(|k| self.sides[k].max(other.sides[k]));
    }
}

impl Figure {
    /// Parts that go out of an area (left, top, right, bottom; canvas units) by more than `slip`, the
    /// furthest first. Ink counts, what masks hide does not; garments are seen only on their hosts, and
    /// add nothing. Outlines are those of pictures of `scale` pixels to the unit.
    #[must_use]
    pub fn beyond(&self, area: Sides, slip: f64, scale: f64) -> Vec<Outside> {
        let mut all: Vec<Outside> = Vec::new();
        let list = self.at(scale);
        for layer in &list.layers {
            let worn = self.model().wears(layer.part);
            let shape = layer.shape;
            if worn || shape.opacity <= 0.0 {
                continue;
            }
            // Most shapes are far inside, which their boxes tell without any geometry.
            let whole = layer.posed.after(shape.to_canvas);
            let rough = bounds_of(rough(shape).into_iter().flatten().map(|p| whole.apply(p)));
            if rough.is_none_or(|b| excess(b, area, slip).is_none()) {
                continue;
            }
            let seen = seen(&list, layer);
            let Some(sides) = seen.bounds().and_then(|b| excess(b, area, slip)) else {
                continue;
            };
            let bounds = seen.difference(&Region::rect(area)).bounds();
            let one = Outside {
                part: layer.part,
                sides,
                bounds: bounds.unwrap_or(area),
            };
            match all.iter_mut().find(|o| o.part == layer.part) {
                Some(other) => other.join(&one),
                None => all.push(one),
            }
        }
        all.sort_by(|a, b| b.most().total_cmp(&a.most()));
        all
    }
}

/// A layer as it is drawn, less what masks hide.
fn seen(list: &DrawList<'_>, layer: &Drawn<'_>) -> Region {
    let whole = match layer.raster {
        Some(raster) => {
            let touched = raster.touched().map_or_else(Region::empty, Region::rect);
            touched.transformed(&layer.posed.after(layer.shape.to_canvas))
        }
        None => list.region(layer).transformed(&layer.posed),
    };
    let is_mask = |at: &&usize| matches!(list.cuts[**at].cut, Cut::Mask { .. });
    let masks = layer.cuts.iter().filter(is_mask);
    masks
        .filter_map(|&at| list.cut_region(at))
        .fold(whole, |seen, cut| {
            let of = cut.region.transformed(&cut.posed);
            match cut.keep {
                Keep::Inside => seen.intersection(&of),
                Keep::Outside => seen.difference(&of),
            }
        })
}

/// Corners of a box that holds all of a shape, before its own transform.
fn rough(shape: &Shape) -> Option<[Point; 4]> {
    let (b, out) = match &shape.outline {
        Outline::Raster(raster) => return raster.corners(),
        Outline::Fill { path, .. } => (path.bounds(), 0.0),
        // Mitres go furthest, and corners of square caps.
        Outline::Stroke { path, stroke, .. } => {
            let reach = stroke.miter_limit.max(std::f32::consts::SQRT_2);
            (path.bounds(), f64::from(stroke.width * reach) / 2.0)
        }
    };
    let [l, t, r, b] = [b.left(), b.top(), b.right(), b.bottom()].map(f64::from);
    let (l, t, r, b) = (l - out, t - out, r + out, b + out);
    Some([[l, t], [r, t], [r, b], [l, b]])
}

/// How far a box goes out of another at each side; `None` where it is nowhere more than `slip`.
fn excess(of: Sides, area: Sides, slip: f64) -> Option<Sides> {
    let out = [
        area[0] - of[0],
        area[1] - of[1],
        of[2] - area[2],
        of[3] - area[3],
    ]
    .map(|v| if v > slip { v } else { 0.0 });
    out.iter().any(|&v| v > 0.0).then_some(out)
}
