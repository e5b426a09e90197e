//! What a seam opens in a pose, by the law of lines: the zone, the partner's clear paint, nothing between.

use std::cell::OnceCell;
use std::sync::Arc;

use super::chords::{Asks, Line};
use super::detail::Detail;
use super::ends::{Ends, ends};
use super::figure::{CutRegion, Figure};
use super::rim::Rim;
use crate::art::Role;
use crate::cast::{Keep, Opens, PartId};
use crate::geom::{Affine, Point, Region, moved_box};

/// What one seam opens, in the frame of the part whose ink it is.
struct Opened {
    region: Region,
    rims: Vec<Rim>,
}

impl Figure {
    /// What all seams of a part open of its ink, as posed. What follows happens where the part is at rest.
    pub(super) fn opening(&self, detail: &Detail, of: PartId) -> Option<CutRegion> {
        let back = self.world(of).inverse()?;
        let seams = seams_of(self, of);
        let mut covers: Vec<Region> = Vec::new();
        let mut all: Vec<Opened> = seams
            .filter_map(|(seam, by)| self.opened(detail, seam, of, by, &back, &mut covers))
            .collect();
        let mut rims = Vec::new();
        let mut whose = Vec::new();
        for (k, one) in all.iter_mut().enumerate() {
            whose.extend(one.rims.iter().map(|_| k));
            rims.append(&mut one.rims);
        }
        // Where one seam opens, the rim of another ends no line.
        let border = |rim: usize, inside: Point, outside: Point| {
            let has = |k: usize, p| all[k].region.contains(p);
            let mut others = (0..all.len()).filter(|&k| k != whose[rim]);
            has(whose[rim], inside) && !others.any(|k| has(k, outside))
        };
        let outlines = OnceCell::new();
        let joined = |p: Point| {
            let outlines = outlines.get_or_init(|| self.partners_ink(detail, of, &back));
            outlines.iter().chain(&covers).any(|c| c.contains(p))
        };
        let asks = Asks {
            border: &border,
            joined: &joined,
        };
        let changes = self.ends(detail, of, &rims, &asks);
        let mut open = Region::together(all.into_iter().map(|o| o.region));
        if !changes.is_empty() {
            open = self.ended(detail, of, &open, &changes, &back, &covers);
        }
        Some(CutRegion {
            keep: Keep::Outside,
            region: Arc::new(open),
            posed: self.world(of),
        })
    }

    /// What `by`'s paint opens of the ink of a seam's other part, moved `back`.
    fn opened(
        &self,
        detail: &Detail,
        seam: usize,
        of: PartId,
        by: PartId,
        back: &Affine,
        covers: &mut Vec<Region>,
    ) -> Option<Opened> {
        let (_, art, _) = self.drawing(by)?;
        let rest = detail.opening(self.model(), seam, by, art);
        let moved = back.after(self.world(by));
        let mut rims: Vec<Rim> = rest.rims.iter().map(|r| r.transformed(&moved)).collect();
        let mut region = self.clear(detail, by, &rest.region, back);
        let about = match rest.bounds {
            Some(bounds) => moved_box(bounds, &moved),
            None => return None,
        };
        // Where seams open the outline of `by` itself, its paint is clear too.
        let through = self.through(detail, by, Some(of), back, about, rest.disc(&moved));
        if !through.is_empty() {
            let hem = self.clear(detail, by, &rest.hem, back);
            if hem.touches(&through) {
                region = region.union(&hem.intersection(&through));
            }
        }
        let bounds = region.bounds()?;
        let first = covers.len();
        for part in self.between(of, by) {
            let Some(whole) = self.whole_cover(detail, part, back, bounds) else {
                continue;
            };
            if self.has_ink(detail, of, &whole, &region) {
                rims.extend(self.bare_rims(detail, part, back, bounds));
                covers.push(self.cover(detail, part, back, whole, rest.disc(&moved)));
            }
        }
        if covers.len() > first {
            region = region.less(&covers[first..]);
        }
        (!region.is_empty()).then_some(Opened { region, rims })
    }

    /// Where seams open a part's own ink near a box, but for the seam with one other part.
    fn through(
        &self,
        detail: &Detail,
        part: PartId,
        but: Option<PartId>,
        back: &Affine,
        near: [f64; 4],
        disc: Option<(Point, f64)>,
    ) -> Region {
        let seams = seams_of(self, part).filter(|&(_, by)| Some(by) != but);
        let all = seams.filter_map(|(seam, by)| {
            let (_, art, _) = self.drawing(by)?;
            let rest = detail.opening(self.model(), seam, by, art);
            let moved = back.after(self.world(by));
            let here = moved_box(rest.bounds?, &moved);
            let apart = disc
                .zip(rest.disc(&moved))
                .is_some_and(|((p, r), (q, s))| libm::hypot(p[0] - q[0], p[1] - q[1]) > r + s);
            if apart || !meet(here, near) {
                return None;
            }
            let region = self.clear(detail, by, &rest.region, back);
            let covers: Vec<Region> = self
                .between(part, by)
                .filter_map(|other| self.whole_cover(detail, other, back, here))
                .filter(|cover| cover.touches(&region))
                .collect();
            Some(if covers.is_empty() {
                region
            } else {
                region.less(&covers)
            })
        });
        Region::union_all(&all.collect::<Vec<_>>())
    }

    /// A region of a part at rest, as posed less what masks hide, moved `back`.
    fn clear(&self, detail: &Detail, part: PartId, region: &Arc<Region>, back: &Affine) -> Region {
        let (masked, posed) = self.masked(detail, part, Arc::clone(region), self.world(part));
        masked.transformed(&back.after(posed))
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

    /// Whether a part, at rest, has ink that a cover may keep in an opening.
    fn has_ink(&self, detail: &Detail, part: PartId, cover: &Region, opening: &Region) -> bool {
        let (Some((art, id, _)), Some(near)) = (self.drawing(part), cover.bounds()) else {
            return false;
        };
        if !cover.touches(opening) {
            return false;
        }
        let place = self.model().place[part.at()];
        let regions = self.regions(detail, id);
        let mut lines = art.shapes.iter().zip(&regions.shapes);
        lines.any(|(shape, ink)| {
            shape.role == Role::Ink && {
                let ink = ink.transformed(&place).clipped(near);
                ink.touches(cover) && ink.touches(opening)
            }
        })
    }

    /// What a part covers for good, its ink as far as no seam opens it.
    fn cover(
        &self,
        detail: &Detail,
        part: PartId,
        back: &Affine,
        whole: Region,
        disc: Option<(Point, f64)>,
    ) -> Region {
        let (Some(near), Some((art, id, _))) = (whole.bounds(), self.drawing(part)) else {
            return whole;
        };
        let through = self.through(detail, part, None, back, near, disc);
        if !through.touches(&whole) {
            return whole;
        }
        let paint = Arc::clone(self.regions(detail, id).paint(art));
        let place = self.model().place[part.at()];
        let paint = self.clear(detail, part, &Arc::new(paint.transformed(&place)), back);
        whole.difference(&through.difference(&paint.clipped(near)))
    }

    /// What a part covers for good within a box, with all its ink, as posed and then moved `back`; `None` where
    /// nothing.
    fn whole_cover(
        &self,
        detail: &Detail,
        part: PartId,
        back: &Affine,
        near: [f64; 4],
    ) -> Option<Region> {
        let (art, id, posed) = self.drawing(part)?;
        let regions = self.regions(detail, id);
        let moved = back.after(posed);
        if !meet(moved_box(regions.bounds(art)?, &moved), near) {
            return None;
        }
        let (cover, posed) = self.masked(detail, part, Arc::clone(regions.cover(art)), posed);
        let here = cover.transformed(&back.after(posed)).clipped(near);
        (!here.is_empty()).then_some(here)
    }

    /// The edges of a part that lies between which have no ink.
    fn bare_rims(&self, detail: &Detail, part: PartId, back: &Affine, near: [f64; 4]) -> Vec<Rim> {
        let Some((art, id, posed)) = self.drawing(part) else {
            return Vec::new();
        };
        let moved = back.after(posed);
        let regions = self.regions(detail, id);
        let bare = regions.bare(art).iter();
        let here = bare.filter(|r| meet(moved_box(r.bounds, &moved), near));
        // The opening goes on outside the part.
        here.map(|r| r.transformed(&moved).turned()).collect()
    }

    /// How the lines of a part end at the rims of its opening.
    fn ends(&self, detail: &Detail, of: PartId, rims: &[Rim], asks: &Asks<'_>) -> Ends {
        let mut found = Ends::default();
        let Some((art, id, _)) = self.drawing(of) else {
            return found;
        };
        if rims.is_empty() {
            return found;
        }
        let regions = self.regions(detail, id);
        let place = self.model().place[of.at()];
        let scale = libm::sqrt(place.determinant().abs());
        for ink in regions.lines(art) {
            let about = moved_box(ink.bounds, &place);
            if rims.iter().any(|r| meet(about, r.bounds)) {
                let line = Line {
                    region: &regions.shapes[ink.shape],
                    placed: place,
                    width: ink.width * scale,
                };
                ends(&line, rims, asks, &mut found);
            }
        }
        found
    }

    /// The outlines of all parts that a part is joined to, moved back with it.
    fn partners_ink(&self, detail: &Detail, of: PartId, back: &Affine) -> Vec<Region> {
        seams_of(self, of)
            .filter_map(|(_, by)| {
                let (art, id, posed) = self.drawing(by)?;
                let regions = self.regions(detail, id);
                Some(regions.outline(art).transformed(&back.after(posed)))
            })
            .collect()
    }

    /// An opening with its lines ended.
    fn ended(
        &self,
        detail: &Detail,
        of: PartId,
        open: &Region,
        changes: &Ends,
        back: &Affine,
        covers: &[Region],
    ) -> Region {
        let mut all = open.clone();
        let more = Region::union_all(&changes.open);
        if let Some(near) = more.bounds() {
            let paints: Vec<Region> = seams_of(self, of)
                .filter_map(|(_, by)| {
                    let (art, id, posed) = self.drawing(by)?;
                    let regions = self.regions(detail, id);
                    let paint = regions.inner(art).transformed(&back.after(posed));
                    Some(paint.clipped(near))
                })
                .collect();
            let mut more = more.intersection(&Region::union_all(&paints));
            for cover in covers {
                more = more.difference(cover);
            }
            all = all.union(&more);
        }
        let islands = Region::union_all(&changes.islands);
        let keep = Region::union_all(&changes.keep);
        all.union(&islands).difference(&keep)
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

pub(super) fn meet(a: [f64; 4], b: [f64; 4]) -> bool {
    a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3]
}
