//! A view's parts as regions on the rest canvas, made once.

use std::sync::{Arc, OnceLock};

use crate::art::{ArtId, Outline, Rgb, Role, Source};
use crate::cast::{ColourName, Measure, PartId, View};
use crate::diag::Severity;
use crate::geom::{Affine, Point, Region, meet};
use crate::name::{SIDES, other_side};
use crate::solve::{ArtRegions, Detail, Model, Puppet};

/// Pixels to the unit that outlines are flattened for in a check.
pub(super) const SCALE: f64 = 1.0;

/// A view at rest, as regions.
pub(super) struct Rest<'a> {
    pub puppet: &'a Puppet,
    pub detail: Arc<Detail>,
    /// For each part its place in the depth order.
    pub rank: Vec<usize>,
    parts: Vec<OnceLock<Option<Limb>>>,
    garments: Vec<OnceLock<Option<Limb>>>,
}

/// A drawn part at rest.
pub(super) struct Limb {
    /// Ink and paint.
    pub silhouette: Region,
    /// All solid paint.
    pub paint: Region,
    /// The ink along the paint's edge.
    pub outline: Region,
    /// The paint less that ink.
    pub inner: Region,
    /// Mean width of the outline, units; 0 without one.
    pub line: f64,
}

impl<'a> Rest<'a> {
    pub fn new(puppet: &'a Puppet, rank: Vec<usize>, scale: f64) -> Self {
        let parts = puppet.0.view().parts.len();
        Self {
            puppet,
            detail: puppet.0.detail(scale),
            rank,
            parts: (0..parts).map(|_| OnceLock::new()).collect(),
            garments: (0..parts).map(|_| OnceLock::new()).collect(),
        }
    }

    pub fn model(&self) -> &'a Model {
        &self.puppet.0
    }

    pub fn view(&self) -> &'a View {
        self.model().view()
    }

    pub fn name(&self, part: PartId) -> String {
        self.model().name(part).to_owned()
    }

    pub fn art(&self, part: PartId) -> Option<ArtId> {
        self.model().part(part).art.art()
    }

    pub fn regions(&self, art: ArtId) -> &Arc<ArtRegions> {
        self.detail.art(art)
    }

    /// A part as drawn at rest; `None` when nothing is.
    pub fn limb(&self, part: PartId) -> Option<&Limb> {
        self.parts[part.at()]
            .get_or_init(|| self.drawn(part, self.art(part)?))
            .as_ref()
    }

    /// A garment as it is worn: one that is put on by replacement only, as its first replacement.
    pub fn garment(&self, part: PartId) -> Option<&Limb> {
        self.garments[part.at()]
            .get_or_init(|| self.drawn(part, self.worn_art(part)?))
            .as_ref()
    }

    /// The drawing of [`Self::garment`].
    pub fn worn_art(&self, part: PartId) -> Option<ArtId> {
        self.art(part).or_else(|| {
            let mut all = self.model().part(part).replacements.values();
            all.find_map(|drawing| drawing.art())
        })
    }

    fn drawn(&self, part: PartId, id: ArtId) -> Option<Limb> {
        let art = &self.model().art[id.at()];
        let place = self.model().place[part.at()];
        let regions = self.regions(id);
        let outline = regions.outline(art).transformed(&place);
        // A line of width w has two edges.
        let around = outline.perimeter() / 2.0;
        let limb = Limb {
            silhouette: regions.silhouette(art).transformed(&place),
            paint: regions.paint(art).transformed(&place),
            inner: regions.inner(art).transformed(&place),
            line: if around > 0.0 {
                outline.area() / around
            } else {
                0.0
            },
            outline,
        };
        (!limb.silhouette.is_empty()).then_some(limb)
    }

    /// The plain colours of a part's paint or ink that show within a region, in a palette, with their areas,
    /// largest first.
    pub fn colours(
        &self,
        part: PartId,
        role: Role,
        within: &Region,
        palette: usize,
    ) -> Vec<(Rgb, f64)> {
        let place = self.model().place[part.at()];
        self.art(part).map_or_else(Vec::new, |id| {
            self.colours_of(id, &place, role, within, palette)
        })
    }

    /// The same of a drawing that is put somewhere.
    pub fn colours_of(
        &self,
        id: ArtId,
        place: &Affine,
        role: Role,
        within: &Region,
        palette: usize,
    ) -> Vec<(Rgb, f64)> {
        let art = &self.model().art[id.at()];
        let regions = self.regions(id);
        let mut left = within.clone();
        let mut found: Vec<(Rgb, f64)> = Vec::new();
        for (shape, region) in art.shapes.iter().zip(&regions.shapes).rev() {
            if left.is_empty() {
                break;
            }
            if shape.role != role || shape.opacity < 0.5 {
                continue;
            }
            let here = region.transformed(place);
            let shown = here.intersection(&left);
            if shown.is_empty() {
                continue;
            }
            if let (Source::Solid(colour), false) =
                (&shape.source, matches!(shape.outline, Outline::Raster(_)))
            {
                let rgb = self.model().colour(colour, palette);
                match found.iter_mut().find(|(known, _)| *known == rgb) {
                    Some((_, area)) => *area += shown.area(),
                    None => found.push((rgb, shown.area())),
                }
            }
            left = left.difference(&here);
        }
        found.sort_by(|a, b| b.1.total_cmp(&a.1));
        found
    }

    /// Whether a value is beyond a part's limits, and which limit that is.
    pub fn judge(&self, part: PartId, measure: Measure, value: f64) -> Option<(Severity, f64)> {
        let model = self.model();
        let [warning, error] = model.member.check_limits(model.view, part).get(measure)?;
        let beyond = |limit: f64| {
            if measure.is_least() {
                value < limit
            } else {
                value > limit
            }
        };
        if beyond(error) {
            Some((Severity::Error, error))
        } else {
            beyond(warning).then_some((Severity::Warning, warning))
        }
    }

    /// The paint of a part near a joint with what it wears, colours with their areas, largest first.
    pub fn dressed_colours(
        &self,
        part: PartId,
        within: &Region,
        palette: usize,
    ) -> Vec<(Rgb, f64)> {
        let Some(limb) = self.limb(part) else {
            return Vec::new();
        };
        let mut left = within.intersection(&limb.paint);
        let mut all: Vec<(Rgb, f64)> = Vec::new();
        let mut worn: Vec<PartId> = self
            .view()
            .garments
            .iter()
            .filter(|g| g.on.contains(&part))
            .map(|g| g.part)
            .collect();
        worn.sort_by_key(|p| std::cmp::Reverse(self.rank[p.at()]));
        for layer in worn.into_iter().chain(std::iter::once(part)) {
            for (rgb, area) in self.colours(layer, Role::Paint, &left, palette) {
                match all.iter_mut().find(|(known, _)| *known == rgb) {
                    Some((_, sum)) => *sum += area,
                    None => all.push((rgb, area)),
                }
            }
            if let Some(over) = self.limb(layer) {
                left = left.difference(&over.silhouette);
            }
        }
        all.sort_by(|a, b| b.1.total_cmp(&a.1));
        all
    }

    /// The same of its outline: where a garment covers it, it has the trim's colour.
    pub fn dressed_inks(&self, part: PartId, within: &Region, palette: usize) -> Vec<(Rgb, f64)> {
        let Some(limb) = self.limb(part) else {
            return Vec::new();
        };
        let mut left = within.intersection(&limb.outline);
        let mut all: Vec<(Rgb, f64)> = Vec::new();
        for garment in self.view().garments.iter().filter(|g| g.on.contains(&part)) {
            let (Some(trim), Some(over)) = (&garment.trim, self.limb(garment.part)) else {
                continue;
            };
            let covered = left.intersection(&over.silhouette);
            if let (Some(rgb), false) = (self.named_colour(trim, palette), covered.is_empty()) {
                all.push((rgb, covered.area()));
                left = left.difference(&over.silhouette);
            }
        }
        all.extend(self.colours(part, Role::Ink, &left, palette));
        all.sort_by(|a, b| b.1.total_cmp(&a.1));
        all
    }

    /// A colour as a rig names it, in a palette; a palette that lacks it takes that of the first.
    pub fn named_colour(&self, name: &ColourName, palette: usize) -> Option<Rgb> {
        match name {
            ColourName::Plain(rgb) => Some(*rgb),
            ColourName::Swatch(name) => {
                let of = |at: usize| {
                    let palette = self.model().member.palettes.get(at)?;
                    palette.swatches.get(name).copied()
                };
                of(palette).or_else(|| of(0))
            }
        }
    }

    /// Parts near a part that do not go along with it.
    pub fn others_about(&self, part: PartId, near: &Region) -> Vec<&Region> {
        let Some(near) = near.bounds() else {
            return Vec::new();
        };
        let all = self.view().ids();
        all.filter(|&other| !self.worn(other) && !self.carried(other, part))
            .filter_map(|other| self.limb(other).map(|limb| &limb.silhouette))
            .filter(|region| region.bounds().is_some_and(|b| meet(b, near)))
            .collect()
    }

    /// The nearest drawn part that carries a part.
    pub fn drawn_carrier(&self, part: PartId) -> Option<PartId> {
        let mut carriers = self.view().upwards(part).skip(1);
        carriers.find(|&at| self.limb(at).is_some())
    }

    /// The drawn part that a joint turns: itself, or what it carries about the same point without anything
    /// drawn in between.
    pub fn drawn_at(&self, part: PartId) -> Option<PartId> {
        if self.limb(part).is_some() {
            return Some(part);
        }
        let model = self.model();
        let found = self.view().ids().find(|&at| {
            let own = model.part(at);
            own.parent == Some(part) && own.pivot == model.part(part).pivot
        });
        found.and_then(|at| self.drawn_at(at))
    }

    /// True when `part` is `by` or is carried by it.
    pub fn carried(&self, part: PartId, by: PartId) -> bool {
        self.view().carries(by, part)
    }

    /// What a part's replacements cover on the rest canvas.
    pub fn replacements(&self, part: PartId) -> impl Iterator<Item = Region> + '_ {
        let place = self.model().place[part.at()];
        let all = self.model().part(part).replacements.values();
        all.filter_map(move |drawing| {
            let id = drawing.art()?;
            let art = &self.model().art[id.at()];
            let region = self.regions(id).silhouette(art).transformed(&place);
            (!region.is_empty()).then_some(region)
        })
    }

    /// The part of this view with a name.
    pub fn named(&self, name: &str) -> Option<PartId> {
        let model = self.model();
        let at = model.member.names.iter().position(|n| n == name)?;
        model.view().by_name[at]
    }

    /// The part of the other side, by name.
    pub fn twin(&self, part: PartId) -> Option<PartId> {
        other_side(&self.name(part), &SIDES).and_then(|name| self.named(&name))
    }

    /// From a limb's joint to the furthest joint that seams put at its other end; `None` for a limb that
    /// ends there.
    pub fn axis(&self, limb: PartId) -> Option<[Point; 2]> {
        let from = self.pivot(limb);
        let off = |p: &Point| libm::hypot(p[0] - from[0], p[1] - from[1]);
        let ends = self.view().seams.iter().filter(|s| s.parent == limb);
        let to = ends
            .map(|s| self.pivot(s.child))
            .max_by(|a, b| off(a).total_cmp(&off(b)))?;
        (off(&to) > 1.0).then_some([from, to])
    }

    pub fn pivot(&self, part: PartId) -> Point {
        self.model().part(part).pivot
    }

    pub fn worn(&self, part: PartId) -> bool {
        self.view().garments.iter().any(|g| g.part == part)
    }
}
