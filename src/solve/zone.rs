//! Where seams join: zones, how far automatic ones reach, and what opens in them.

use std::sync::Arc;

use super::detail::{Detail, Opening};
use super::figure::Figure;
use super::model::Model;
use super::regions::ArtRegions;
use super::rim::Rim;
use crate::art::PartArt;
use crate::cast::{Drawing, PartId, Zone};
use crate::geom::{Affine, Point, Region, sin_cos_degrees};

/// How far beyond the hidden outlines an automatic zone goes, units: the rim of a zone is soft.
const MARGIN: f64 = 1.5;
/// The bend up to which lines on the inside of a joint meet in an automatic zone, degrees.
const CLOSED: u16 = 100;
/// A part so many times as wide as what it carries is a limb only if it ends about the joint.
const A_LIMB: f64 = 1.5;
/// Lines that meet so many times as far off as those of straight limbs are a hand's or a foot's.
const FLARED: f64 = 1.25;

impl Model {
    /// The radius of a seam's disc about its pivot; `auto` is measured on the rest pose.
    pub fn radius(&self, seam: usize, given: Option<f64>) -> f64 {
        *self.radii[seam]
            .get_or_init(|| given.unwrap_or_else(|| self.detail(1.0).auto_reach(self, seam)))
    }
}

impl Figure {
    /// What `by`'s paint cuts out of the other part's ink at a seam, where `by` is at rest.
    ///
    /// That is the paint that shows, its own outline left standing: where two outlines run over each
    /// other neither is thinned, and the ink that is left is the outer union less the inner one.
    pub(super) fn opened_by(
        &self,
        detail: &Detail,
        seam: usize,
        by: PartId,
    ) -> Option<Arc<Opening>> {
        let model = self.model();
        let (drawing, look, _) = self.drawing(by)?;
        let made = |shift| {
            let regions = &self.regions(detail, look);
            let place = &model.place[by.at()];
            let mut zone = detail.zone(model, seam);
            if shift != [0.0, 0.0] {
                zone = zone.transformed(&Affine::translate(shift));
            }
            let inner = regions.inner(drawing).transformed(place);
            let opening = inner.intersection(&zone).thinned(detail.fine.thinned);
            let paint = regions.paint(drawing).transformed(place);
            let paint = paint.intersection(&zone);
            let disc = disc(model, seam);
            Opening {
                rims: detail.rims(regions, drawing, place, &zone),
                // The rest of the paint to the point, so that no hair is left between the two.
                hem: Arc::new(paint.difference(&opening)),
                paint: Arc::new(paint),
                bounds: zone.bounds(),
                zone: disc.map(|([x, y], r)| ([x + shift[0], y + shift[1]], r)),
                region: Arc::new(opening),
            }
        };
        Some(match self.formed(by) {
            None => detail.opening_or((seam, by, look.id), || made([0.0, 0.0])),
            // The zone rides on the place of its joint's pivot.
            Some(formed) => formed.opening_or(detail, seam, || {
                let pivot = model.part(model.view().seams[seam].child).pivot;
                made(formed.form.shift(pivot))
            }),
        })
    }
}

impl Detail {
    fn rims(&self, regions: &ArtRegions, art: &PartArt, place: &Affine, zone: &Region) -> Vec<Rim> {
        let back = zone.turns_back();
        let zone = zone.thinned(self.fine.thinned);
        let round = |c: &Vec<Point>| {
            let rim = Rim::new(c.clone(), true);
            if back { rim.turned() } else { rim }
        };
        let bare = regions.bare(art).iter().map(|r| r.transformed(place));
        zone.contours().iter().map(round).chain(bare).collect()
    }

    /// A seam's zone on the rest canvas.
    pub fn zone(&self, model: &Model, seam: usize) -> Region {
        let given = &model.view().seams[seam];
        let pivot = model.part(given.child).pivot;
        let disc = |radius| Region::disc(pivot, radius, self.fine.tolerance);
        match given.zone {
            Zone::Art(art) => Region::clone(self.art(art).paint(&model.art[art.at()])),
            Zone::Radius(r) => disc(model.radius(seam, Some(r))),
            Zone::Auto => disc(model.radius(seam, None)),
        }
    }

    /// The radius of an automatic zone: beyond the outlines hidden at rest, and far enough that lines on the
    /// inside of a bend meet at the crook up to 100 degrees.
    pub fn auto_reach(&self, model: &Model, seam: usize) -> f64 {
        let hidden = self.hidden_reach(model, seam);
        if hidden == 0.0 {
            return 0.0;
        }
        let given = &model.view().seams[seam];
        let pivot = model.part(given.child).pivot;
        let around = |part: PartId| match model.part(part).art {
            Drawing::Art(id) => {
                let paint = self.art(id).paint(&model.art[id.at()]);
                Around::new(&paint.transformed(&model.place[part.at()]), pivot)
            }
            Drawing::Empty => None,
        };
        let (parent, child) = (around(given.parent), around(given.child));
        let half = |part: &Option<Around>| part.as_ref().map_or(0.0, Around::half_width);
        let (r, s) = (half(&parent), half(&child));
        let is_like = r <= s * A_LIMB || s == 0.0;
        let wide = if is_like { s.max(r) } else { s };
        let mut reach = hidden.max(wide / libm::cos(f64::from(CLOSED).to_radians() / 2.0));
        if let (Some(parent), Some(child)) = (parent, child) {
            // A limb ends about the joint, hidden as far as half its width; a body goes on beyond.
            if is_like || r <= hidden {
                let straight = meet(r, s);
                let met = parent.crook(&child);
                reach = reach.max(straight);
                if met < straight * FLARED {
                    reach = reach.max(met);
                }
            }
        }
        reach
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
                let regions = self.art(id);
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

/// The middle and radius of a zone that is a disc.
fn disc(model: &Model, seam: usize) -> Option<(Point, f64)> {
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

/// How far from the joint the lines of two straight limbs, half as wide as this, meet when they are bent so
/// far that they would still be joined there.
fn meet(r: f64, s: f64) -> f64 {
    let (sin, cos) = sin_cos_degrees(f64::from(CLOSED));
    libm::sqrt(r * r + s * s - 2.0 * r * s * cos) / sin
}

/// How far a region goes from a point within it, in each direction: degrees, positive clockwise on screen.
struct Around([f64; 360]);

impl Around {
    fn new(region: &Region, p: Point) -> Option<Self> {
        if !region.contains(p) {
            return None;
        }
        let mut far = [f64::INFINITY; 360];
        for step in 0..180_u8 {
            let (s, c) = sin_cos_degrees(f64::from(step));
            for (a, b) in region.edges() {
                let (da, db) = (
                    c * (a[1] - p[1]) - s * (a[0] - p[0]),
                    c * (b[1] - p[1]) - s * (b[0] - p[0]),
                );
                if (da <= 0.0) != (db <= 0.0) {
                    let t = da / (da - db);
                    let met = [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t];
                    let along = c * (met[0] - p[0]) + s * (met[1] - p[1]);
                    let way = usize::from(step) + if along < 0.0 { 180 } else { 0 };
                    far[way] = far[way].min(along.abs());
                }
            }
        }
        Some(Self(far))
    }

    /// The direction of the shortest way through.
    fn across(&self, step: usize) -> usize {
        let way = |k: &usize| self.0[*k] + self.0[k + 180];
        let all = (0..180).step_by(step);
        all.min_by(|a, b| way(a).total_cmp(&way(b))).unwrap_or(0)
    }

    /// Half a limb's width, to the farther side where it is drawn off its middle.
    fn half_width(&self) -> f64 {
        let across = self.across(2);
        self.0[across].max(self.0[across + 180])
    }

    /// Where the limb goes.
    fn axis(&self) -> usize {
        let square = self.across(1) + 90;
        if self.0[square] > self.0[(square + 180) % 360] {
            square
        } else {
            square + 180
        }
    }

    /// The same for limbs as they are drawn, to whichever side it is farther; 0 where they do not meet.
    fn crook(&self, child: &Self) -> f64 {
        let (mine, its) = (self.axis(), child.axis());
        // Between their axes lies this angle, and the way to the crook.
        let angle = usize::from(180 - CLOSED);
        let side = |turned: bool| {
            let along = |k: usize| {
                let (a, b) = if turned {
                    (360 - k, angle - k)
                } else {
                    (k, 360 - (angle - k))
                };
                (self.0[(mine + a) % 360], child.0[(its + b) % 360])
            };
            let met = |k: usize| {
                let ((a, b), (c, d)) = (along(k), along(k + 1));
                let (before, after) = (a - b, c - d);
                (before > 0.0 && after <= 0.0).then(|| a + (c - a) * before / (before - after))
            };
            (0..angle).filter_map(met).fold(f64::INFINITY, f64::min)
        };
        let sides = [side(false), side(true)].into_iter();
        sides.filter(|s| s.is_finite()).fold(0.0, f64::max)
    }
}
