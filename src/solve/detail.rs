//! Geometry at one level of detail: made once for a rig and a scale, used by every pose.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use super::ends::Rim;
use super::opening::stretches;
use super::puppet::Model;
use crate::art::{ArtId, ClipShape, Outline, PartArt, Role, Shape, Source};
use crate::cast::{Drawing, PartId, Zone};
use crate::geom::{Affine, Point, Region, flatten, sin_cos_degrees, stroke_outline};

/// How far a chord may stray from its curve, pixels of the largest scale of a level of detail.
const FLATNESS: f64 = 0.04;
/// How far leaving out points may move an edge, pixels.
const THINNED: f64 = 0.05;
/// Paint fainter than this cuts nothing.
const SOLID: f32 = 0.5;
/// How far a garment laps over what it covers, pixels: paint under a garment ends there, since two
/// layers that share the edge of their host would both be faded by it and let the lower one show.
const LAP: f64 = 3.0;
/// How far beyond the hidden outlines an automatic zone goes, units: the rim of a zone is soft.
const MARGIN: f64 = 1.5;
/// The bend up to which lines on the inside of a joint meet in an automatic zone, degrees.
const CLOSED: f64 = 100.0;
/// A part so many times as wide as what it carries is no limb.
const A_LIMB: f64 = 1.5;
/// Ink that runs along this share of a paint's edge is its outline; less is detail.
const OUTLINE_SHARE: f64 = 0.04;

/// Geometry of a puppet's art at one level of detail.
#[derive(Debug)]
pub(crate) struct Detail {
    /// Units.
    tolerance: f64,
    /// Pixels per unit, at most.
    scale: f64,
    art: Vec<OnceLock<Arc<ArtRegions>>>,
    openings: Mutex<BTreeMap<(usize, PartId, ArtId), Arc<Opening>>>,
}

/// What a drawing's paint opens at a seam, on the rest canvas.
#[derive(Debug)]
pub(crate) struct Opening {
    pub region: Arc<Region>,
    pub bounds: Option<[f64; 4]>,
    /// The zone's middle and radius, where it is a disc.
    disc: Option<(Point, f64)>,
    /// The drawing's own outline in the zone, which opens where seams open that.
    pub hem: Arc<Region>,
    /// All its paint in the zone.
    pub paint: Arc<Region>,
    /// Where lines may end in the open: the zone's border over the drawing, and edges of its paint
    /// without ink.
    pub rims: Vec<Rim>,
}

impl Opening {
    /// The middle of the zone moved, and a radius that holds it.
    pub fn disc(&self, moved: &Affine) -> Option<(Point, f64)> {
        let (middle, radius) = self.disc?;
        Some((moved.apply(middle), radius * moved.max_scale()))
    }
}

/// A shape of ink that is no picture.
#[derive(Debug)]
pub(crate) struct InkLine {
    pub shape: usize,
    pub bounds: [f64; 4],
    /// What it is wide on the whole.
    pub width: f64,
}

/// The regions of one drawing, in art space.
#[derive(Debug)]
pub(crate) struct ArtRegions {
    /// What each shape covers, clip paths applied; raster shapes by their silhouettes.
    pub shapes: Vec<Region>,
    silhouette: OnceLock<Arc<Region>>,
    bounds: OnceLock<Option<[f64; 4]>>,
    cover: OnceLock<Arc<Region>>,
    bare: OnceLock<Vec<Rim>>,
    lines: OnceLock<Vec<InkLine>>,
    paint: OnceLock<Arc<Region>>,
    outline: OnceLock<Region>,
    inner: OnceLock<Region>,
    worn: OnceLock<Arc<Region>>,
    later: Vec<OnceLock<Arc<Region>>>,
}

impl Detail {
    /// The level for a scale in pixels per unit: the next quarter of an octave.
    #[expect(clippy::cast_possible_truncation, reason = "clamped")]
    pub fn tier(scale: f64) -> i32 {
        libm::ceil(4.0 * libm::log2(scale.max(1e-6)) - 1e-9).clamp(-24.0, 32.0) as i32
    }

    pub fn new(tier: i32, drawings: usize) -> Self {
        let scale = libm::exp2(f64::from(tier) / 4.0);
        Self {
            tolerance: FLATNESS / scale,
            scale,
            art: (0..drawings).map(|_| OnceLock::new()).collect(),
            openings: Mutex::default(),
        }
    }

    /// So many pixels of the largest scale, units.
    pub fn pixels(&self, count: f64) -> f64 {
        count / self.scale
    }

    /// The regions of a drawing.
    pub fn art(&self, model: &Model, id: ArtId) -> &Arc<ArtRegions> {
        self.art[id.at()].get_or_init(|| Arc::new(ArtRegions::new(&model.art[id.at()], self)))
    }

    /// What `by`'s paint cuts out of the other part's ink at a seam, on the rest canvas.
    ///
    /// That is the paint that shows, its own outline left standing: where two outlines run over each
    /// other neither is thinned, and the ink that is left is the outer union less the inner one.
    pub fn opening(&self, model: &Model, seam: usize, by: PartId, art: ArtId) -> Arc<Opening> {
        let key = (seam, by, art);
        let known = self
            .openings
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .get(&key)
            .cloned();
        known.unwrap_or_else(|| {
            let drawing = &model.art[art.at()];
            let regions = self.art(model, art);
            let place = &model.place[by.at()];
            let zone = self.zone(model, seam);
            let opening = regions
                .inner(drawing)
                .transformed(place)
                .intersection(&zone)
                .thinned(self.tolerance * THINNED / FLATNESS);
            let paint = regions.paint(drawing).transformed(place);
            let paint = paint.intersection(&zone);
            let made = Arc::new(Opening {
                rims: self.rims(regions, drawing, place, &zone),
                hem: Arc::new(paint.difference(&opening)),
                paint: Arc::new(paint),
                bounds: zone.bounds(),
                disc: self.disc(model, seam),
                region: Arc::new(opening),
            });
            let mut openings = self.openings.lock().unwrap_or_else(PoisonError::into_inner);
            Arc::clone(openings.entry(key).or_insert(made))
        })
    }

    /// The middle and radius of a zone that is a disc.
    fn disc(&self, model: &Model, seam: usize) -> Option<(Point, f64)> {
        let given = &model.view().seams[seam];
        let given_radius = match given.zone {
            Zone::Art(_) => return None,
            Zone::Radius(r) => Some(r),
            Zone::Auto => None,
        };
        Some((
            model.part(given.child).pivot,
            model.radius(seam, given_radius),
        ))
    }

    fn rims(&self, regions: &ArtRegions, art: &PartArt, place: &Affine, zone: &Region) -> Vec<Rim> {
        let silhouette = regions.silhouette(art).transformed(place);
        let mut all = Vec::new();
        for contour in zone.thinned(self.tolerance * THINNED / FLATNESS).contours() {
            let mut points = contour.clone();
            if zone.turns_back() {
                points.reverse();
            }
            all.extend(stretches(&points, true, |p| silhouette.contains(p)));
        }
        for bare in regions.bare(art) {
            let bare = bare.transformed(place);
            all.extend(stretches(&bare.points, bare.closed, |p| zone.contains(p)));
        }
        all
    }

    /// A seam's zone on the rest canvas.
    pub fn zone(&self, model: &Model, seam: usize) -> Region {
        let given = &model.view().seams[seam];
        let pivot = model.part(given.child).pivot;
        let disc = |radius| Region::disc(pivot, radius, self.tolerance);
        match given.zone {
            Zone::Art(art) => Region::clone(self.art(model, art).paint(&model.art[art.at()])),
            Zone::Radius(r) => disc(model.radius(seam, Some(r))),
            Zone::Auto => disc(model.radius(seam, None)),
        }
    }

    /// The radius of an automatic zone: beyond the outlines hidden at rest, and far enough that lines on the
    /// inside of a bend meet at the crook up to 100 degrees.
    pub fn auto_reach(&self, model: &Model, seam: usize) -> f64 {
        let hidden = self.hidden_reach(model, seam);
        if hidden > 0.0 {
            hidden.max(self.half_width(model, seam) / libm::cos(CLOSED.to_radians() / 2.0))
        } else {
            0.0
        }
    }

    /// Half the limb's width at a seam's joint, to the farther side where it is drawn off its middle, of the
    /// wider part unless that is much wider: a body is no limb.
    fn half_width(&self, model: &Model, seam: usize) -> f64 {
        let given = &model.view().seams[seam];
        let pivot = model.part(given.child).pivot;
        let half = |part: PartId| match model.part(part).art {
            Drawing::Art(id) => {
                let paint = self.art(model, id).paint(&model.art[id.at()]);
                half_width(&paint.transformed(&model.place[part.at()]), pivot)
            }
            Drawing::Empty => 0.0,
        };
        let (child, parent) = (half(given.child), half(given.parent));
        if parent > 0.0 && (child == 0.0 || parent <= child * A_LIMB) {
            child.max(parent)
        } else {
            child
        }
    }

    /// How far from the joint's pivot the outlines go that are hidden inside the other part at rest.
    pub fn hidden_reach(&self, model: &Model, seam: usize) -> f64 {
        let pivot = model.part(model.view().seams[seam].child).pivot;
        self.hidden_reach_from(model, seam, pivot)
    }

    /// The same from another point.
    pub fn hidden_reach_from(&self, model: &Model, seam: usize, pivot: Point) -> f64 {
        let given = &model.view().seams[seam];
        let at_rest = |part: PartId| match model.part(part).art {
            Drawing::Art(id) => {
                let art = &model.art[id.at()];
                let regions = self.art(model, id);
                let place = &model.place[part.at()];
                Some((
                    regions.paint(art).transformed(place),
                    regions.outline(art).transformed(place),
                ))
            }
            Drawing::Empty => None,
        };
        let (Some((paint_a, line_a)), Some((paint_b, line_b))) =
            (at_rest(given.parent), at_rest(given.child))
        else {
            return 0.0;
        };
        let reach = |line: &Region, paint: &Region| line.intersection(paint).reach(pivot);
        let reach = reach(&line_a, &paint_b).max(reach(&line_b, &paint_a));
        if reach > 0.0 { reach + MARGIN } else { 0.0 }
    }
}

impl ArtRegions {
    fn new(art: &PartArt, detail: &Detail) -> Self {
        let thinned = detail.tolerance * THINNED / FLATNESS;
        let shapes: Vec<Region> = art
            .shapes
            .iter()
            .map(|s| shape_region(s, detail).thinned(thinned))
            .collect();
        Self {
            later: shapes.iter().map(|_| OnceLock::new()).collect(),
            shapes,
            silhouette: OnceLock::new(),
            bounds: OnceLock::new(),
            cover: OnceLock::new(),
            bare: OnceLock::new(),
            lines: OnceLock::new(),
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
                .map(|(_, r)| r),
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
                all.extend(stretches(&points, true, |p| !ink.contains(p)));
            }
            all
        })
    }

    /// The shapes of ink that lines can end in.
    pub fn lines(&self, art: &PartArt) -> &[InkLine] {
        self.lines.get_or_init(|| {
            let shapes = art.shapes.iter().zip(&self.shapes).enumerate();
            let lines = shapes.filter(|(_, (s, _))| {
                s.role == Role::Ink && !matches!(s.outline, Outline::Raster(_))
            });
            lines
                .filter_map(|(shape, (_, region))| {
                    let around = region.perimeter().max(f64::MIN_POSITIVE);
                    Some(InkLine {
                        shape,
                        bounds: region.bounds()?,
                        width: 2.0 * region.area() / around,
                    })
                })
                .collect()
        })
    }

    /// All solid paint.
    pub fn paint(&self, art: &PartArt) -> &Arc<Region> {
        self.paint
            .get_or_init(|| Arc::new(self.gather(art, is_solid)))
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
                    .map(|(_, r)| r),
            )
        })
    }

    /// The paint that shows inside its outline.
    pub fn inner(&self, art: &PartArt) -> &Region {
        self.inner
            .get_or_init(|| self.paint(art).difference(self.outline(art)))
    }

    /// As a garment: what it covers for good, a little within its edge.
    pub fn worn(&self, art: &PartArt, detail: &Detail) -> &Arc<Region> {
        self.worn.get_or_init(|| {
            let opaque = self.gather(art, |s| {
                s.role == Role::Paint
                    && s.opacity >= 1.0
                    && matches!(s.source, Source::Solid(_))
                    && !matches!(s.outline, Outline::Raster(_))
            });
            Arc::new(opaque.shrunk(LAP / detail.scale, detail.tolerance))
        })
    }

    /// Paint that lies over the shape with this number.
    pub fn later(&self, art: &PartArt, shape: usize) -> &Arc<Region> {
        self.later[shape].get_or_init(|| {
            let over = art.shapes.iter().zip(&self.shapes).skip(shape + 1);
            Arc::new(Region::union_all(
                over.filter(|(s, _)| is_solid(s)).map(|(_, r)| r),
            ))
        })
    }
}

/// Paint that cuts.
fn is_solid(shape: &Shape) -> bool {
    shape.role == Role::Paint && shape.opacity >= SOLID
}

/// The longer side of the shortest way through a region across a point; 0 for a point outside.
fn half_width(region: &Region, p: Point) -> f64 {
    if !region.contains(p) {
        return 0.0;
    }
    let mut best = [f64::INFINITY; 2];
    for step in 0..90 {
        let (s, c) = sin_cos_degrees(f64::from(step) * 2.0);
        let mut sides = [f64::INFINITY; 2];
        for contour in region.contours() {
            let mut a = contour[contour.len() - 1];
            for &b in contour {
                let (da, db) = (
                    c * (a[1] - p[1]) - s * (a[0] - p[0]),
                    c * (b[1] - p[1]) - s * (b[0] - p[0]),
                );
                if (da <= 0.0) != (db <= 0.0) {
                    let t = da / (da - db);
                    let met = [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t];
                    let along = c * (met[0] - p[0]) + s * (met[1] - p[1]);
                    let side = usize::from(along < 0.0);
                    sides[side] = sides[side].min(along.abs());
                }
                a = b;
            }
        }
        if sides[0] + sides[1] < best[0] + best[1] {
            best = sides;
        }
    }
    let most = best[0].max(best[1]);
    if most.is_finite() { most } else { 0.0 }
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

fn shape_region(shape: &Shape, detail: &Detail) -> Region {
    let whole = match &shape.outline {
        Outline::Fill { path, rule } => {
            Region::from_contours(&flatten(path, &shape.to_canvas, detail.tolerance), *rule)
        }
        Outline::Stroke { path, stroke, .. } => {
            stroke_region(path, stroke, &shape.to_canvas, detail)
        }
        Outline::Raster(raster) => {
            let all: Vec<Region> = raster
                .outlines()
                .iter()
                .map(|o| match &o.stroke {
                    None => Region::from_contours(
                        &flatten(&o.path, &o.to_canvas, detail.tolerance),
                        o.rule,
                    ),
                    Some(stroke) => stroke_region(&o.path, stroke, &o.to_canvas, detail),
                })
                .collect();
            Region::union_all(&all)
        }
    };
    shape.clips.iter().fold(whole, |left, clip| {
        left.intersection(&clip_region(clip, detail))
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
    detail: &Detail,
) -> Region {
    // The stroker strays up to a quarter of a unit of the scale it is told: an eighth of that keeps
    // it near the flattening's own error.
    let scale = (to_canvas.max_scale() * detail.scale * 8.0).max(1e-3) as f32;
    stroke_outline(path, stroke, scale).map_or_else(Region::empty, |outline| {
        Region::from_contours(
            &flatten(&outline, to_canvas, detail.tolerance),
            tiny_skia::FillRule::Winding,
        )
    })
}

fn clip_region(clip: &ClipShape, detail: &Detail) -> Region {
    let all: Vec<Region> = clip
        .paths
        .iter()
        .map(|(path, rule, to_canvas)| {
            Region::from_contours(&flatten(path, to_canvas, detail.tolerance), *rule)
        })
        .collect();
    Region::union_all(&all)
}
