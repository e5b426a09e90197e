//! What a seam opens in a pose, by the law of lines: the zone, the partner's clear paint, nothing between.

use std::cell::OnceCell;
use std::sync::Arc;

use super::area::{Area, Leaf, Term, shared_box};
use super::chords::{Asks, Line};
use super::detail::Detail;
use super::ends::{Ends, ends};
use super::figure::Figure;
use super::regions::ArtRegions;
use super::rim::Rim;
use crate::art::{PartArt, Role};
use crate::cast::{Opens, PartId};
use crate::geom::{Affine, Point, Region, common, grown, joined, meet, moved_box};

/// How far beyond an area what cuts it is kept, pixels: cut off at its very edge it would be soft there.
const BEYOND: f64 = 8.0;

/// What one seam opens, in the frame of the part whose ink it is.
struct Opened {
    area: Area,
    rims: Vec<Rim>,
}

/// The law read for one part of a figure, where that part is at rest.
struct Law<'a> {
    figure: &'a Figure,
    detail: &'a Detail,
    of: PartId,
    /// From the posed canvas to that frame.
    back: Affine,
    /// The part's own ink.
    ink: OnceCell<Vec<Leaf>>,
    /// What seams keep closed, since something between covers it.
    covers: Vec<Area>,
}

impl Figure {
    /// What all seams of a part open of its ink, where that part is at rest.
    pub(super) fn opening(&self, detail: &Detail, of: PartId) -> Option<Area> {
        let mut law = Law {
            figure: self,
            detail,
            of,
            back: self.world(of).inverse()?,
            ink: OnceCell::new(),
            covers: Vec::new(),
        };
        let mut all: Vec<Opened> = seams_of(self, of)
            .filter_map(|(seam, by)| law.opened(seam, by))
            .collect();
        let changes = law.ends(&mut all);
        let mut open = Area(all.into_iter().flat_map(|one| one.area.0).collect());
        if !changes.is_empty() {
            law.end(&mut open, &changes);
        }
        Some(open)
    }

    /// The parts strictly between two in depth that keep their lines apart.
    pub(crate) fn between(&self, a: PartId, b: PartId) -> impl Iterator<Item = PartId> + '_ {
        let (from, to) = (self.rank(a), self.rank(b));
        let (from, to) = (from.min(to) + 1, from.max(to));
        let between = self.order().get(from..to).unwrap_or_default();
        between.iter().copied().filter(move |&part| {
            let model = self.model();
            let Some(art) = self.shown(part) else {
                return false;
            };
            if model.wears(part) {
                return false;
            }
            // Shade, a blush: of the part that carries it, unless a seam makes it a part of its own.
            let own = model.has_ink_and_paint(art);
            own || model.is_joined(part) || !(model.carries(a, part) || model.carries(b, part))
        })
    }
}

impl Law<'_> {
    /// What `by`'s paint opens.
    fn opened(&mut self, seam: usize, by: PartId) -> Option<Opened> {
        let figure = self.figure;
        let (_, art, _) = figure.drawing(by)?;
        let rest = self.detail.opening(figure.model(), seam, by, art);
        let moved = self.back.after(figure.world(by));
        let about = moved_box(rest.bounds?, &moved);
        let mut terms: Vec<Term> = self
            .clear(by, &rest.region)
            .map(Term::from)
            .into_iter()
            .collect();
        // Where seams open the outline of `by` itself, its paint is clear too.
        let through = self.through(by, Some(self.of), about, rest.disc(&moved));
        if !through.is_empty()
            && let (Some(hem), Some(paint)) =
                (self.clear(by, &rest.hem), self.clear(by, &rest.paint))
        {
            let crossed = through
                .into_iter()
                .filter(|t| self.has_ink(&[&hem, &t.all[0]]));
            terms.extend(crossed.map(|mut term| {
                term.all.insert(0, paint.clone());
                term
            }));
        }
        let ink = self.ink_box()?;
        terms.retain(|term| term.meets(ink));
        let mut area = Area(terms);
        let rims = rest.rims.iter();
        let rims = rims.filter(|r| meet(moved_box(r.bounds, &moved), ink));
        let mut rims: Vec<Rim> = rims.map(|r| r.transformed(&moved)).collect();
        let bounds = area.bounds()?;
        let near = common(bounds, ink)?;
        let first = self.covers.len();
        for part in figure.between(self.of, by) {
            let Some(whole) = self.whole_cover(part, near) else {
                continue;
            };
            let mut shapes = area.0.iter().map(|term| &term.all[0]);
            if shapes.any(|shape| self.has_ink(&[&whole, shape])) {
                rims.extend(self.bare_rims(part, near));
                let cover = self.cover(part, whole, rest.disc(&moved));
                self.covers.push(cover);
            }
        }
        for cover in &self.covers[first..] {
            area.less(cover);
        }
        Some(Opened { area, rims })
    }

    /// Where seams open a part's own ink near a box, but for the seam with one other part.
    fn through(
        &self,
        part: PartId,
        but: Option<PartId>,
        near: [f64; 4],
        disc: Option<(Point, f64)>,
    ) -> Vec<Term> {
        let figure = self.figure;
        let seams = seams_of(figure, part).filter(|&(_, by)| Some(by) != but);
        let all = seams.filter_map(|(seam, by)| {
            let (_, art, _) = figure.drawing(by)?;
            let rest = self.detail.opening(figure.model(), seam, by, art);
            let moved = self.back.after(figure.world(by));
            let here = moved_box(rest.bounds?, &moved);
            let apart = disc
                .zip(rest.disc(&moved))
                .is_some_and(|((p, r), (q, s))| libm::hypot(p[0] - q[0], p[1] - q[1]) > r + s);
            if apart || !meet(here, near) {
                return None;
            }
            let clear = self.clear(by, &rest.region)?;
            let covers = figure
                .between(part, by)
                .filter_map(|other| self.whole_cover(other, here))
                .filter(|cover| cover.region.touches(&clear.region));
            Some(Term {
                none: covers.map(Area::from).collect(),
                all: vec![clear],
            })
        });
        all.collect()
    }

    /// A region of a part at rest, as posed less what masks hide; `None` where nothing is left.
    fn clear(&self, part: PartId, region: &Arc<Region>) -> Option<Leaf> {
        let figure = self.figure;
        let world = figure.world(part);
        let (masked, posed) = figure.masked(self.detail, part, Arc::clone(region), world);
        Leaf::new(masked.transformed(&self.back.after(posed)))
    }

    /// The part's own ink.
    fn ink(&self) -> &[Leaf] {
        self.ink.get_or_init(|| {
            let Some((art, id, _)) = self.figure.drawing(self.of) else {
                return Vec::new();
            };
            let place = self.figure.model().place[self.of.at()];
            let regions = self.figure.regions(self.detail, id);
            let shapes = art.shapes.iter().zip(&regions.shapes);
            let ink = shapes.filter(|(shape, _)| shape.role == Role::Ink);
            ink.filter_map(|(_, region)| Leaf::new(region.transformed(&place)))
                .collect()
        })
    }

    /// A box about that.
    fn ink_box(&self) -> Option<[f64; 4]> {
        self.ink().iter().map(|leaf| leaf.bounds).reduce(joined)
    }

    /// Whether the part has ink that touches all of some regions, as far as two at a time tell.
    fn has_ink(&self, all: &[&Leaf]) -> bool {
        let Some(near) = shared_box(all.iter().copied()) else {
            return false;
        };
        self.ink().iter().any(|ink| {
            meet(ink.bounds, near) && {
                let here = ink.region.clipped(near);
                !here.is_empty() && all.iter().all(|leaf| here.touches(&leaf.region))
            }
        })
    }

    /// What a part covers for good, its ink as far as no seam opens it.
    fn cover(&self, part: PartId, whole: Leaf, disc: Option<(Point, f64)>) -> Area {
        let figure = self.figure;
        let mut through = self.through(part, None, whole.bounds, disc);
        through.retain(|term| term.all[0].region.touches(&whole.region));
        let Some((art, id, posed)) = figure.drawing(part).filter(|_| !through.is_empty()) else {
            return whole.into();
        };
        let paint = Arc::clone(figure.regions(self.detail, id).paint(art));
        let (paint, posed) = figure.masked(self.detail, part, paint, posed);
        let paint = paint
            .transformed(&self.back.after(posed))
            .clipped(whole.bounds);
        let closed = Term {
            all: vec![whole],
            none: vec![Area(through)],
        };
        Area(
            [closed]
                .into_iter()
                .chain(Leaf::new(paint).map(Term::from))
                .collect(),
        )
    }

    /// What a part covers for good about a box, with all its ink; `None` where nothing.
    fn whole_cover(&self, part: PartId, near: [f64; 4]) -> Option<Leaf> {
        let figure = self.figure;
        let (art, id, posed) = figure.drawing(part)?;
        let regions = figure.regions(self.detail, id);
        if !meet(
            moved_box(regions.bounds(art)?, &self.back.after(posed)),
            near,
        ) {
            return None;
        }
        let cover = Arc::clone(regions.cover(art));
        let (cover, posed) = figure.masked(self.detail, part, cover, posed);
        let near = grown(near, self.detail.pixels(BEYOND));
        Leaf::new(cover.transformed(&self.back.after(posed)).clipped(near))
    }

    /// The edges of a part that lies between which have no ink.
    fn bare_rims(&self, part: PartId, near: [f64; 4]) -> Vec<Rim> {
        let Some((art, id, posed)) = self.figure.drawing(part) else {
            return Vec::new();
        };
        let moved = self.back.after(posed);
        let regions = self.figure.regions(self.detail, id);
        let bare = regions.bare(art).iter();
        let here = bare.filter(|r| meet(moved_box(r.bounds, &moved), near));
        // The opening goes on outside the part.
        here.map(|r| r.transformed(&moved).turned()).collect()
    }

    /// How the lines of the part end at the rims of its opening.
    fn ends(&self, all: &mut [Opened]) -> Ends {
        let figure = self.figure;
        let mut found = Ends::default();
        let Some((art, id, _)) = figure.drawing(self.of) else {
            return found;
        };
        let (mut rims, mut whose) = (Vec::new(), Vec::new());
        for (k, one) in all.iter_mut().enumerate() {
            whose.extend(one.rims.iter().map(|_| k));
            rims.append(&mut one.rims);
        }
        if rims.is_empty() {
            return found;
        }
        // Where one seam opens, the rim of another ends no line.
        let border = |rim: usize, inside: Point, outside: Point| {
            let has = |k: usize, p| all[k].area.contains(p);
            let mut others = (0..all.len()).filter(|&k| k != whose[rim]);
            has(whose[rim], inside) && !others.any(|k| has(k, outside))
        };
        let partners: Vec<(Affine, Arc<ArtRegions>, &PartArt)> = seams_of(figure, self.of)
            .filter_map(|(_, by)| {
                let (art, id, posed) = figure.drawing(by)?;
                let there = posed.inverse()?.after(figure.world(self.of));
                Some((there, figure.regions(self.detail, id), art))
            })
            .collect();
        let joined = |p: Point| {
            let mut all = partners.iter();
            all.any(|(there, regions, art)| regions.outline(art).contains(there.apply(p)))
                || self.covers.iter().any(|c| c.contains(p))
        };
        let asks = Asks {
            border: &border,
            joined: &joined,
        };
        let regions = figure.regions(self.detail, id);
        let place = figure.model().place[self.of.at()];
        let scale = libm::sqrt(place.determinant().abs());
        for ink in regions.lines(art) {
            let line = Line {
                region: &regions.shapes[ink.shape],
                placed: place,
                bounds: moved_box(ink.bounds, &place),
                width: ink.width * scale,
            };
            ends(&line, &rims, &asks, &mut found);
        }
        found
    }

    /// Ends the lines of an opening.
    fn end(&self, open: &mut Area, changes: &Ends) {
        let figure = self.figure;
        if let Some(more) = Leaf::new(Region::union_all(&changes.open)) {
            let paints = seams_of(figure, self.of).filter_map(|(_, by)| {
                let (art, id, posed) = figure.drawing(by)?;
                let regions = figure.regions(self.detail, id);
                let paint = regions.inner(art).transformed(&self.back.after(posed));
                Leaf::new(paint.clipped(more.bounds))
            });
            open.0.extend(paints.map(|paint| Term {
                all: vec![more.clone(), paint],
                none: self.covers.clone(),
            }));
        }
        let islands = Leaf::new(Region::union_all(&changes.islands));
        open.0.extend(islands.map(Term::from));
        open.less(&Arc::new(Region::union_all(&changes.keep)).into());
    }
}

/// The seams that open a part's ink, each with the part whose paint does.
pub(super) fn seams_of(
    figure: &Figure,
    part: PartId,
) -> impl Iterator<Item = (usize, PartId)> + '_ {
    let seams = figure.model().view().seams.iter().enumerate();
    seams.filter_map(move |(k, seam)| {
        let (by, opens) = if seam.parent == part {
            (seam.child, seam.opens != Opens::Child)
        } else if seam.child == part {
            (seam.parent, seam.opens != Opens::Parent)
        } else {
            return None;
        };
        let art = figure.shown(by)?;
        // What lies behind paint that nothing shows through needs no opening there.
        let hidden = figure.rank(by) > figure.rank(part) && figure.model().is_opaque(art);
        (opens && !hidden).then_some((k, by))
    })
}
