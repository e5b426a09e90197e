//! What a seam opens in a pose, by the law of lines: the zone, the partner's clear paint, nothing between.

use std::cell::OnceCell;
use std::sync::Arc;

use super::area::{Area, Leaf, Term};
use super::chords::{Asks, Line};
use super::detail::Detail;
use super::ends::{Ends, ends};
use super::figure::{CutArea, Figure};
use super::regions::ArtRegions;
use super::rim::Rim;
use crate::art::PartArt;
use crate::cast::{Keep, Opens, PartId};
use crate::geom::{Affine, Point, Region, common, grown, meet, moved_box};

/// How far art may go beyond a box of it that is known roughly, units.
const STRAY: f64 = 0.2;

/// What one seam opens of a part's ink.
struct Opened {
    area: Area,
    /// Where that part is at rest.
    rims: Vec<Rim>,
}

/// The law read for one part of a figure.
struct Law<'a> {
    figure: &'a Figure,
    detail: &'a Detail,
    of: PartId,
    /// From the posed canvas to where that part is at rest.
    back: Affine,
    /// A box about its ink on the posed canvas.
    ink: [f64; 4],
    /// What seams keep closed, since something between covers it.
    covers: Vec<Cover>,
}

/// What lies between the two parts of a seam.
struct Cover {
    /// The other part.
    by: PartId,
    area: Arc<Area>,
    /// All of it, and what the seam would open.
    whole: Leaf,
    over: Vec<Leaf>,
    /// Whether it lies on ink that the seam would open, once that is asked.
    counts: OnceCell<bool>,
}

impl Figure {
    /// What all seams of a part open of its ink.
    pub(super) fn opening(&self, detail: &Detail, of: PartId) -> Option<CutArea> {
        let (art, id, posed) = self.drawing(of)?;
        let ink = self.regions(detail, id).ink_bounds(art)?;
        let mut law = Law {
            figure: self,
            detail,
            of,
            back: self.world(of).inverse()?,
            ink: moved_box(ink, &posed),
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
        Some(CutArea {
            keep: Keep::Outside,
            area: open,
            within: Some(law.ink),
        })
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
        let rest = figure.opened_by(self.detail, seam, by)?;
        let world = figure.world(by);
        let about = moved_box(rest.bounds?, &world);
        let disc = rest.disc(&world);
        let mut terms: Vec<Term> = self
            .clear(by, &rest.region)
            .map(Term::from)
            .into_iter()
            .collect();
        // Where seams open the outline of `by` itself, its paint is clear too.
        let through = self.through(by, Some(self.of), about, disc);
        if !through.is_empty()
            && let (Some(hem), Some(paint)) =
                (self.clear(by, &rest.hem), self.clear(by, &rest.paint))
        {
            let crossed = through.into_iter().filter(|(clear, _)| {
                let here = common(clear.bounds, hem.bounds);
                here.is_some_and(|b| self.has_ink(b)) && self.has_ink_on(&hem, clear)
            });
            terms.extend(crossed.map(|(clear, other)| Term {
                none: self.none_between(by, other, clear.bounds),
                all: vec![paint.clone(), clear],
            }));
        }
        terms.retain(|term| term.bounds().is_some_and(|b| meet(b, self.ink)));
        let mut area = Area(terms);
        let near = common(area.bounds()?, self.ink)?;
        let moved = self.back.after(world);
        let mut rims: Vec<Rim> = rest.rims.iter().map(|r| r.transformed(&moved)).collect();
        let first = self.covers.len();
        for part in figure.between(self.of, by) {
            let Some(whole) = self.whole_cover(part, near) else {
                continue;
            };
            let mut boxes = area.0.iter().filter_map(Term::bounds);
            if boxes.any(|b| common(b, whole.bounds).is_some_and(|b| self.has_ink(b))) {
                let cover = Cover {
                    by,
                    area: Arc::new(self.cover(part, whole.clone(), disc)),
                    whole,
                    over: area.0.iter().map(|term| term.all[0].clone()).collect(),
                    counts: OnceCell::new(),
                };
                let bare = self.bare_rims(part, near);
                if !bare.is_empty() && self.counts(&cover) {
                    rims.extend(bare);
                }
                self.covers.push(cover);
            }
        }
        for cover in &self.covers[first..] {
            area.less(&cover.area);
        }
        Some(Opened { area, rims })
    }

    /// What seams open of a part's own ink near a box, each with the part whose paint does, but for the seam with
    /// one other part.
    fn through(
        &self,
        part: PartId,
        but: Option<PartId>,
        near: [f64; 4],
        disc: Option<(Point, f64)>,
    ) -> Vec<(Leaf, PartId)> {
        let figure = self.figure;
        let seams = seams_of(figure, part).filter(|&(_, by)| Some(by) != but);
        let all = seams.filter_map(|(seam, by)| {
            let rest = figure.opened_by(self.detail, seam, by)?;
            let world = figure.world(by);
            let here = moved_box(rest.bounds?, &world);
            let apart = disc
                .zip(rest.disc(&world))
                .is_some_and(|((p, r), (q, s))| libm::hypot(p[0] - q[0], p[1] - q[1]) > r + s);
            if apart || !meet(here, near) {
                return None;
            }
            Some((self.clear(by, &rest.region)?, by))
        });
        all.collect()
    }

    /// What lies between two parts about a box.
    fn none_between(&self, a: PartId, b: PartId, near: [f64; 4]) -> Vec<Arc<Area>> {
        let between = self.figure.between(a, b);
        let covers = between.filter_map(|part| self.whole_cover(part, near));
        covers.map(|cover| Arc::new(cover.into())).collect()
    }

    /// A region of a part at rest, as posed less what masks hide; `None` where nothing is left.
    fn clear(&self, part: PartId, region: &Arc<Region>) -> Option<Leaf> {
        let figure = self.figure;
        let world = figure.world(part);
        Leaf::new(figure.masked(self.detail, part, Arc::clone(region), world))
    }

    /// Whether the part may have ink in a box of the posed canvas.
    fn has_ink(&self, within: [f64; 4]) -> bool {
        let Some((art, id, posed)) = self.figure.drawing(self.of) else {
            return false;
        };
        let regions = self.figure.regions(self.detail, id);
        (posed.inverse()).is_some_and(|back| regions.has_ink(art, moved_box(within, &back)))
    }

    /// Whether something between covers a point of the posed canvas.
    fn is_covered(&self, p: Point) -> bool {
        let mut covers = self.covers.iter();
        covers.any(|cover| cover.area.contains(p) && self.counts(cover))
    }

    /// Whether a cover lies on ink that its seam would open.
    fn counts(&self, cover: &Cover) -> bool {
        let on_ink = |over: &Leaf| self.has_ink_on(&cover.whole, over);
        *cover.counts.get_or_init(|| cover.over.iter().any(on_ink))
    }

    /// Whether the part has ink that touches two regions.
    fn has_ink_on(&self, a: &Leaf, b: &Leaf) -> bool {
        let figure = self.figure;
        let Some((art, id, _)) = figure.drawing(self.of).filter(|_| meet(a.bounds, b.bounds))
        else {
            return false;
        };
        let both = [a, b].map(|leaf| leaf.region.transformed(&self.back.after(leaf.posed)));
        let [Some(a), Some(b)] = both.each_ref().map(Region::bounds) else {
            return false;
        };
        let place = figure.model().place[self.of.at()];
        let regions = figure.regions(self.detail, id);
        common(a, b).is_some_and(|near| {
            let all = regions.ink(art).iter();
            let mut here = all.filter(|ink| meet(moved_box(ink.bounds, &place), near));
            here.any(|ink| {
                let here = regions.shapes[ink.shape].transformed(&place).clipped(near);
                !here.is_empty() && both.iter().all(|region| here.touches(region))
            })
        })
    }

    /// What a part covers for good, its ink as far as no seam opens it.
    fn cover(&self, part: PartId, whole: Leaf, disc: Option<(Point, f64)>) -> Area {
        let figure = self.figure;
        let mut through = self.through(part, None, whole.bounds, disc);
        through.retain(|(clear, _)| meet(clear.bounds, whole.bounds));
        let Some((art, id, posed)) = figure.drawing(part).filter(|_| !through.is_empty()) else {
            return whole.into();
        };
        let paint = Arc::clone(figure.regions(self.detail, id).paint(art));
        let paint = Leaf::new(figure.masked(self.detail, part, paint, posed));
        let through = through.into_iter().map(|(clear, by)| Term {
            none: self.none_between(part, by, clear.bounds),
            all: vec![clear],
        });
        let closed = Term {
            all: vec![whole],
            none: vec![Arc::new(Area(through.collect()))],
        };
        Area([closed].into_iter().chain(paint.map(Term::from)).collect())
    }

    /// What a part covers for good about a box, with all its ink; `None` where nothing.
    fn whole_cover(&self, part: PartId, near: [f64; 4]) -> Option<Leaf> {
        let figure = self.figure;
        if !meet(grown(figure.box_of(part)?, STRAY), near) {
            return None;
        }
        let (art, id, posed) = figure.drawing(part)?;
        let cover = Arc::clone(figure.regions(self.detail, id).cover(art));
        Leaf::new(figure.masked(self.detail, part, cover, posed))
    }

    /// The edges of a part that lies between which have no ink.
    fn bare_rims(&self, part: PartId, near: [f64; 4]) -> Vec<Rim> {
        let Some((art, id, posed)) = self.figure.drawing(part) else {
            return Vec::new();
        };
        let moved = self.back.after(posed);
        let regions = self.figure.regions(self.detail, id);
        let bare = regions.bare(art).iter();
        let here = bare.filter(|r| meet(moved_box(r.bounds, &posed), near));
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
        let world = figure.world(self.of);
        // Where one seam opens, the rim of another ends no line.
        let border = |rim: usize, inside: Point, outside: Point| {
            let has = |k: usize, p| all[k].area.contains(world.apply(p));
            let mut others = (0..all.len()).filter(|&k| k != whose[rim]);
            has(whose[rim], inside) && !others.any(|k| has(k, outside))
        };
        let partners: Vec<(Affine, Arc<ArtRegions>, &PartArt)> = seams_of(figure, self.of)
            .filter_map(|(_, by)| {
                let (art, id, posed) = figure.drawing(by)?;
                let there = posed.inverse()?.after(world);
                Some((there, figure.regions(self.detail, id), art))
            })
            .collect();
        let joined = |p: Point| {
            let mut all = partners.iter();
            all.any(|(there, regions, art)| regions.outline(art).contains(there.apply(p)))
                || self.is_covered(world.apply(p))
        };
        let asks = Asks {
            border: &border,
            joined: &joined,
        };
        let regions = figure.regions(self.detail, id);
        let place = figure.model().place[self.of.at()];
        let scale = libm::sqrt(place.determinant().abs());
        for ink in regions.ink(art).iter().filter(|ink| ink.is_line) {
            let line = Line {
                region: &regions.shapes[ink.shape],
                runs: &ink.runs,
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
        let all = |regions: &[Region]| {
            let whole = Arc::new(Region::union_all(regions));
            Leaf::new((whole, figure.world(self.of)))
        };
        if let Some(more) = all(&changes.open) {
            let paints = seams_of(figure, self.of).filter_map(|(_, by)| {
                let (art, id, posed) = figure.drawing(by)?;
                let regions = figure.regions(self.detail, id);
                let paint = Leaf::new((Arc::clone(regions.inner(art)), posed))?;
                let covers = self.covers.iter().filter(|cover| cover.by == by);
                Some(Term {
                    all: vec![more.clone(), paint],
                    none: covers.map(|c| Arc::clone(&c.area)).collect(),
                })
            });
            open.0.extend(paints);
        }
        open.0.extend(all(&changes.islands).map(Term::from));
        if let Some(keep) = all(&changes.keep) {
            open.less(&Arc::new(keep.into()));
        }
    }
}

/// The seams that open a part's ink, each with the part whose paint does.
pub(super) fn seams_of(
    figure: &Figure,
    part: PartId,
) -> impl Iterator<Item = (usize, PartId)> + '_ {
    let model = figure.model();
    let seams = model.seams[part.at()].iter().copied();
    seams.filter_map(move |k| {
        let seam = &model.view().seams[k];
        let (by, opens) = if seam.parent == part {
            (seam.child, seam.opens != Opens::Child)
        } else {
            (seam.parent, seam.opens != Opens::Parent)
        };
        let art = figure.shown(by)?;
        // What lies behind paint that nothing shows through needs no opening there.
        let hidden = figure.rank(by) > figure.rank(part) && model.is_opaque(art);
        (opens && !hidden).then_some((k, by))
    })
}
