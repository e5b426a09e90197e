//! What a drawing covers, as regions at one fineness.

use std::sync::{Arc, OnceLock};

use super::rim::{Rim, run_boxes, stretches};
use crate::art::{Fineness, Outline, PartArt, Role, Shape, Source, shape_region};
use crate::geom::{Region, joined, meet};

/// Paint fainter than this cuts nothing.
const SOLID: f32 = 0.5;
/// How far a garment laps over what it covers, pixels: paint under a garment ends there, since two
/// layers that share the edge of their host would both be faded by it and let the lower one show.
const LAP: f64 = 3.0;
/// Ink that runs along this share of a paint's edge is its outline; less is detail.
const OUTLINE_SHARE: f64 = 0.04;

/// A shape of ink.
#[derive(Debug)]
pub(crate) struct Ink {
    pub shape: usize,
    pub bounds: [f64; 4],
    /// What it is wide on the whole.
    pub width: f64,
    /// False for a picture: no line can end in it.
    pub is_line: bool,
    /// About runs of the edges of each contour.
    pub runs: Vec<Vec<[f64; 4]>>,
}

/// The regions of one drawing, in art space.
#[derive(Debug)]
pub(crate) struct ArtRegions {
    fine: Fineness,
    /// What each shape covers, clip paths applied; raster shapes by their silhouettes.
    pub shapes: Vec<Arc<Region>>,
    silhouette: OnceLock<Arc<Region>>,
    bounds: OnceLock<Option<[f64; 4]>>,
    cover: OnceLock<Arc<Region>>,
    bare: OnceLock<Vec<Rim>>,
    ink: OnceLock<Vec<Ink>>,
    paint: OnceLock<Arc<Region>>,
    outline: OnceLock<Region>,
    inner: OnceLock<Arc<Region>>,
    worn: OnceLock<Arc<Region>>,
    later: Vec<OnceLock<Arc<Region>>>,
}

impl ArtRegions {
    pub fn new(art: &PartArt, fine: Fineness) -> Self {
        let shapes: Vec<Arc<Region>> = art
            .shapes
            .iter()
            .map(|s| Arc::new(shape_region(s, fine).thinned(fine.thinned)))
            .collect();
        Self {
            later: shapes.iter().map(|_| OnceLock::new()).collect(),
            fine,
            shapes,
            silhouette: OnceLock::new(),
            bounds: OnceLock::new(),
            cover: OnceLock::new(),
            bare: OnceLock::new(),
            ink: OnceLock::new(),
            paint: OnceLock::new(),
            outline: OnceLock::new(),
            inner: OnceLock::new(),
            worn: OnceLock::new(),
        }
    }

    fn gather<'a>(&'a self, art: &'a PartArt, take: impl Fn(&Shape) -> bool + 'a) -> Region {
        Region::union_all(
            art.shapes
                .iter()
                .zip(&self.shapes)
                .filter(move |(s, _)| take(s))
                .map(|(_, r)| r.as_ref()),
        )
    }

    /// Ink and paint together.
    pub fn silhouette(&self, art: &PartArt) -> &Arc<Region> {
        self.silhouette
            .get_or_init(|| Arc::new(self.gather(art, |_| true)))
    }

    /// A box about all of it; `None` when nothing is drawn.
    pub fn bounds(&self, art: &PartArt) -> Option<[f64; 4]> {
        *self.bounds.get_or_init(|| self.silhouette(art).bounds())
    }

    /// What hides for good what lies behind it: ink and paint that are not faint.
    pub fn cover(&self, art: &PartArt) -> &Arc<Region> {
        self.cover.get_or_init(|| {
            if art.shapes.iter().all(|s| s.opacity >= SOLID) {
                Arc::clone(self.silhouette(art))
            } else {
                Arc::new(self.gather(art, |s| s.opacity >= SOLID))
            }
        })
    }

    /// The edges that paint has without ink, the paint on the positive side.
    pub fn bare(&self, art: &PartArt) -> &[Rim] {
        self.bare.get_or_init(|| {
            let ink = self.gather(art, |s| s.role == Role::Ink);
            let paint = self.paint(art);
            let mut all = Vec::new();
            for contour in paint.contours() {
                let mut points = contour.clone();
                if paint.turns_back() {
                    points.reverse();
                }
                all.extend(stretches(&points, |p| !ink.contains(p)));
            }
            all
        })
    }

    /// The shapes of ink.
    pub fn ink(&self, art: &PartArt) -> &[Ink] {
        self.ink.get_or_init(|| {
            let shapes = art.shapes.iter().zip(&self.shapes).enumerate();
            let ink = shapes.filter(|(_, (s, _))| s.role == Role::Ink);
            ink.filter_map(|(shape, (drawn, region))| {
                let around = region.perimeter().max(f64::MIN_POSITIVE);
                Some(Ink {
                    shape,
                    bounds: region.bounds()?,
                    width: 2.0 * region.area() / around,
                    is_line: !matches!(drawn.outline, Outline::Raster(_)),
                    runs: region.contours().iter().map(|c| run_boxes(c)).collect(),
                })
            })
            .collect()
        })
    }

    /// A box about all ink.
    pub fn ink_bounds(&self, art: &PartArt) -> Option<[f64; 4]> {
        self.ink(art).iter().map(|ink| ink.bounds).reduce(joined)
    }

    /// Whether a box may have ink in it.
    pub fn has_ink(&self, art: &PartArt, within: [f64; 4]) -> bool {
        let middle = [0, 1].map(|k| f64::midpoint(within[k], within[k + 2]));
        self.ink(art).iter().any(|ink| {
            let mut runs = ink.runs.iter().flatten();
            // A box that no edge comes near lies wholly in the ink or wholly outside.
            meet(ink.bounds, within)
                && (runs.any(|&run| meet(run, within)) || self.shapes[ink.shape].contains(middle))
        })
    }

    /// All solid paint.
    pub fn paint(&self, art: &PartArt) -> &Arc<Region> {
        self.paint.get_or_init(|| {
            let all = art.shapes.iter().zip(&self.shapes);
            let mut solid = all.filter(|(s, _)| is_solid(s));
            match (solid.next(), solid.next()) {
                // The same region as the shape's: it is filled once.
                (Some((_, only)), None) => Arc::clone(only),
                _ => Arc::new(self.gather(art, is_solid)),
            }
        })
    }

    /// The ink that runs along the paint's edge.
    pub fn outline(&self, art: &PartArt) -> &Region {
        self.outline.get_or_init(|| {
            let paint = self.paint(art);
            let edge = edge_points(paint);
            #[expect(clippy::cast_precision_loss, reason = "counts of points")]
            let enough = edge.len() as f64 * OUTLINE_SHARE;
            Region::union_all(
                art.shapes
                    .iter()
                    .zip(&self.shapes)
                    .filter(|(s, r)| {
                        if s.role != Role::Ink || r.is_empty() {
                            return false;
                        }
                        #[expect(clippy::cast_precision_loss, reason = "counts of points")]
                        let met = edge.iter().filter(|&&p| r.contains(p)).count() as f64;
                        met > enough
                    })
                    .map(|(_, r)| r.as_ref()),
            )
        })
    }

    /// The paint that shows inside its outline.
    pub fn inner(&self, art: &PartArt) -> &Arc<Region> {
        self.inner
            .get_or_init(|| Arc::new(self.paint(art).difference(self.outline(art))))
    }

    /// As a garment: what it covers for good, a little within its edge.
    pub fn worn(&self, art: &PartArt) -> &Arc<Region> {
        self.worn.get_or_init(|| {
            let opaque = self.gather(art, |s| {
                s.role == Role::Paint
                    && s.opacity >= 1.0
                    && matches!(s.source, Source::Solid(_))
                    && !matches!(s.outline, Outline::Raster(_))
            });
            Arc::new(opaque.shrunk(LAP / self.fine.scale, self.fine.tolerance))
        })
    }

    /// Paint that lies over the shape with this number.
    pub fn later(&self, art: &PartArt, shape: usize) -> &Arc<Region> {
        self.later[shape].get_or_init(|| {
            let over = art.shapes.iter().zip(&self.shapes).skip(shape + 1);
            Arc::new(Region::union_all(
                over.filter(|(s, _)| is_solid(s)).map(|(_, r)| r.as_ref()),
            ))
        })
    }
}

/// Paint that cuts.
fn is_solid(shape: &Shape) -> bool {
    shape.role == Role::Paint && shape.opacity >= SOLID
}

/// Points along a region's edge, about evenly spaced: 256 or so.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss,
    reason = "small counts"
)]
fn edge_points(region: &Region) -> Vec<[f64; 2]> {
    let dist = |a: [f64; 2], b: [f64; 2]| {
        libm::sqrt((a[0] - b[0]) * (a[0] - b[0]) + (a[1] - b[1]) * (a[1] - b[1]))
    };
    let sides = || {
        region
            .contours()
            .iter()
            .flat_map(|c| (0..c.len()).map(move |i| (c[i], c[(i + 1) % c.len()])))
    };
    let around: f64 = sides().map(|(a, b)| dist(a, b)).sum();
    if around <= 0.0 {
        return Vec::new();
    }
    let step = around / 256.0;
    let mut out = Vec::new();
    for (a, b) in sides() {
        let n = libm::ceil(dist(a, b) / step).clamp(1.0, 300.0) as usize;
        for k in 0..n {
            let t = (k as f64 + 0.5) / n as f64;
            out.push([a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t]);
        }
    }
    out
}
