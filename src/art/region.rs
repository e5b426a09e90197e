//! What a shape covers.

use super::{ClipShape, Outline, Shape};
use crate::geom::{Affine, Region, flatten, stroke_outline};

/// How far a chord may stray from its curve, pixels of the largest scale of a level of detail.
const FLATNESS: f64 = 0.04;
/// How far leaving out points may move an edge, pixels.
const THINNED: f64 = 0.05;

/// How fine geometry is.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Fineness {
    /// Pixels per unit, at most.
    pub scale: f64,
    /// How far a chord may stray from its curve, units.
    pub tolerance: f64,
    /// How far leaving out points may move an edge, units.
    pub thinned: f64,
}

impl Fineness {
    pub fn new(scale: f64) -> Self {
        Self {
            scale,
            tolerance: FLATNESS / scale,
            thinned: THINNED / scale,
        }
    }
}

pub(crate) fn shape_region(shape: &Shape, fine: Fineness) -> Region {
    let whole = match &shape.outline {
        Outline::Fill { path, rule } => {
            Region::from_contours(&flatten(path, &shape.to_canvas, fine.tolerance), *rule)
        }
        Outline::Stroke { path, stroke, .. } => stroke_region(path, stroke, &shape.to_canvas, fine),
        Outline::Raster(raster) => {
            let all: Vec<Region> = raster
                .outlines()
                .iter()
                .map(|o| match &o.stroke {
                    None => Region::from_contours(
                        &flatten(&o.path, &o.to_canvas, fine.tolerance),
                        o.rule,
                    ),
                    Some(stroke) => stroke_region(&o.path, stroke, &o.to_canvas, fine),
                })
                .collect();
            Region::union_all(&all)
        }
    };
    shape.clips.iter().fold(whole, |left, clip| {
        left.intersection(&clip_region(clip, fine))
    })
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a scale for curve precision"
)]
fn stroke_region(
    path: &tiny_skia::Path,
    stroke: &tiny_skia::Stroke,
    to_canvas: &Affine,
    fine: Fineness,
) -> Region {
    // The stroker strays up to a quarter of a unit of the scale it is told: an eighth of that keeps
    // it near the flattening's own error.
    let scale = (to_canvas.max_scale() * fine.scale * 8.0).max(1e-3) as f32;
    stroke_outline(path, stroke, scale).map_or_else(Region::empty, |outline| {
        Region::from_contours(
            &flatten(&outline, to_canvas, fine.tolerance),
            tiny_skia::FillRule::Winding,
        )
    })
}

fn clip_region(clip: &ClipShape, fine: Fineness) -> Region {
    let all: Vec<Region> = clip
        .paths
        .iter()
        .map(|(path, rule, to_canvas)| {
            Region::from_contours(&flatten(path, to_canvas, fine.tolerance), *rule)
        })
        .collect();
    Region::union_all(&all)
}
