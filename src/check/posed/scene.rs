//! A figure asked point by point: what lies on top, and what belongs to what.

use std::cell::OnceCell;
use std::sync::Arc;

use super::borders::{Border, Borders};
use crate::art::{Role, Source};
use crate::cast::{Keep, PartId};
use crate::check::limb::Rest;
use crate::geom::{Affine, Point, Region, meet, moved_box};
use crate::solve::{Cut, CutRegion, DrawList, Drawn, Figure, Look};

/// Paint fainter than this hides nothing.
const SOLID: f32 = 0.5;
/// Pixels to the unit that are enough to tell what is hidden.
const COARSE: f64 = 0.35;

/// A figure with all that is needed to ask it about points.
pub(super) struct Scene<'a> {
    pub rest: &'a Rest<'a>,
    pub borders: &'a Borders,
    pub figure: &'a Figure,
    list: DrawList<'a>,
    /// For what is large.
    coarse: DrawList<'a>,
    /// Back to front.
    pub layers: Vec<Piece<'a>>,
    /// The list's.
    cuts: Vec<OnceCell<Option<Placed>>>,
    /// For each part what it covers for good.
    covers: Vec<OnceCell<Option<Cover>>>,
    /// For each part that the pose deforms its border.
    formed: Vec<OnceCell<Border>>,
}

/// What a part covers, and a box about it.
type Cover = (Region, [f64; 4]);

/// A layer, and where it lies.
pub(super) struct Piece<'a> {
    pub layer: Drawn<'a>,
    pub role: Role,
    solid: bool,
    region: Arc<Region>,
    back: Affine,
    bounds: [f64; 4],
}

/// The region of a cut, and where it lies.
pub(super) struct Placed {
    pub cut: CutRegion,
    back: Affine,
    bounds: Option<[f64; 4]>,
}

impl Placed {
    fn new(cut: CutRegion) -> Option<Self> {
        Some(Self {
            back: cut.posed.inverse()?,
            bounds: cut.region.bounds().map(|b| moved_box(b, &cut.posed)),
            cut,
        })
    }

    /// Whether a point lies in the region itself.
    pub fn holds(&self, p: Point) -> bool {
        self.bounds.is_some_and(|b| within(b, p)) && self.cut.region.contains(self.back.apply(p))
    }

    /// Whether what is cut stays at a point.
    pub fn lets(&self, p: Point) -> bool {
        self.holds(p) == (self.cut.keep == Keep::Inside)
    }
}

impl Piece<'_> {
    /// The shape as drawn, in art space.
    pub fn region(&self) -> &Region {
        &self.region
    }

    /// True for ink that is a line and not an image.
    pub fn is_line(&self) -> bool {
        self.role == Role::Ink && self.layer.raster.is_none()
    }

    pub const fn bounds(&self) -> [f64; 4] {
        self.bounds
    }
}

impl<'a> Scene<'a> {
    pub fn new(rest: &'a Rest<'a>, borders: &'a Borders, figure: &'a Figure) -> Self {
        let mut list = DrawList::new(figure, Arc::clone(&rest.detail));
        let layers = std::mem::take(&mut list.layers).into_iter();
        let layers = layers.filter_map(|layer| {
            let region = Arc::clone(list.region(&layer));
            Some(Piece {
                role: layer.shape.role,
                solid: layer.shape.opacity >= SOLID,
                bounds: moved_box(region.bounds()?, &layer.posed),
                region,
                back: layer.posed.inverse()?,
                layer,
            })
        });
        Self {
            rest,
            borders,
            figure,
            layers: layers.collect(),
            cuts: list.cuts.iter().map(|_| OnceCell::new()).collect(),
            list,
            coarse: DrawList::new(figure, rest.model().detail(COARSE)),
            covers: rest.view().ids().map(|_| OnceCell::new()).collect(),
            formed: rest.view().ids().map(|_| OnceCell::new()).collect(),
        }
    }

    /// The border of a drawing as it is in the pose.
    pub fn border(&self, look: Look) -> &Border {
        match look.form {
            None => self.borders.of(self.rest, look.id),
            Some(part) => self.formed[part.at()].get_or_init(|| {
                let regions = self.figure.regions(&self.rest.detail, look);
                Border::new(self.figure.art(look), &regions)
            }),
        }
    }

    /// Puts another opening in the place of a part's; false where no seam opens it.
    #[cfg(test)]
    pub fn open_instead(&mut self, part: PartId, region: Region) -> bool {
        let Some((_, _, posed)) = self.figure.drawing(part) else {
            return false;
        };
        let cut = CutRegion {
            keep: Keep::Outside,
            region: Arc::new(region),
            posed,
        };
        let mut cuts = self.list.cuts.iter();
        let at = cuts.position(|shared| shared.cut == Cut::Seams { of: part });
        let cell = at.map(|at| &mut self.cuts[at]);
        cell.map(|cell| *cell = OnceCell::from(Placed::new(cut)))
            .is_some()
    }

    /// A layer's cuts with their regions.
    pub fn cuts<'s>(
        &'s self,
        piece: &'s Piece<'_>,
    ) -> impl Iterator<Item = (Cut, &'s Placed)> + 's {
        piece.layer.cuts.iter().filter_map(|&at| {
            let made = || Placed::new(self.list.cut_region(at)?.clone());
            let placed = self.cuts[at].get_or_init(made).as_ref()?;
            Some((self.list.cuts[at].cut, placed))
        })
    }

    /// Whether a layer shows at a point, but for what lies in front of it.
    fn shows(&self, piece: &Piece<'_>, p: Point) -> bool {
        within(piece.bounds, p)
            && piece.region().contains(piece.back.apply(p))
            && self.cuts(piece).all(|(_, cut)| cut.lets(p))
    }

    /// What is seen at a point: the frontmost layer that is not faint.
    pub fn top(&self, p: Point) -> Option<&Piece<'a>> {
        let solid = self.layers.iter().rev().filter(|piece| piece.solid);
        solid.into_iter().find(|piece| self.shows(piece, p))
    }

    /// Whether other ink lies at a point beside a layer's own, under or over it, that nothing hides but the paint of
    /// its own part and of those that seams join to that.
    pub fn has_other_ink(&self, p: Point, own: &Piece<'_>) -> bool {
        let others = self.layers.iter().rev().filter(|piece| piece.solid);
        let here = others.filter(|piece| !std::ptr::eq(*piece, own) && self.shows(piece, p));
        let hides = |piece: &&Piece<'_>| {
            let (part, own) = (piece.layer.part, own.layer.part);
            let mut partners = self.partners(own);
            piece.role == Role::Paint
                && !self.belongs(part, own)
                && !partners.any(|p| self.belongs(part, p))
        };
        let mut inks = here.take_while(|piece| !hides(piece));
        inks.any(|piece| piece.role == Role::Ink)
    }

    /// Whether ink is seen at a point.
    pub fn is_ink(&self, p: Point) -> bool {
        self.top(p).is_some_and(|piece| piece.role == Role::Ink)
    }

    /// Whether two places that show these look the same.
    pub fn same_paint(a: Option<&Piece<'_>>, b: Option<&Piece<'_>>) -> bool {
        let (Some(a), Some(b)) = (a, b) else {
            return a.is_none() && b.is_none();
        };
        let colour = |piece: &Piece<'_>| match &piece.layer.source {
            Source::Solid(colour) if piece.layer.raster.is_none() => Some(colour.rgb),
            _ => None,
        };
        let (one, two) = (colour(a), colour(b));
        one.is_some() && one == two || std::ptr::eq(a, b)
    }

    /// What a part shows as posed, less what masks hide; whole parts, whatever lies in front.
    pub fn silhouette(&self, part: PartId) -> Region {
        let (region, posed) = self.coarse.seen(part);
        region.transformed(posed)
    }

    /// What a part covers for good within a box; `None` where nothing.
    pub fn cover(&self, part: PartId, near: [f64; 4]) -> Option<Region> {
        let (cover, bounds) = self.covers[part.at()]
            .get_or_init(|| {
                let (cover, posed) = self.coarse.cover(part)?;
                let here = cover.transformed(&posed);
                let bounds = here.bounds()?;
                Some((here, bounds))
            })
            .as_ref()?;
        if !meet(*bounds, near) {
            return None;
        }
        let here = cover.clipped(near);
        (!here.is_empty()).then_some(here)
    }

    /// Whether what is seen of `a` is part of `to`: worn by it, or art without ink that lies on it.
    pub fn belongs(&self, a: PartId, to: PartId) -> bool {
        if a == to {
            return true;
        }
        let view = self.rest.view();
        let worn = |garment: PartId, host: PartId| {
            let all = view.garments.iter();
            all.filter(|g| g.part == garment)
                .any(|g| g.on.contains(&host))
        };
        let model = self.rest.model();
        worn(a, to) || (self.is_tint(a) && model.carries(to, a))
    }

    /// Art without ink of its own, or without paint, that no seam names.
    fn is_tint(&self, part: PartId) -> bool {
        let model = self.rest.model();
        if model.is_joined(part) || model.wears(part) {
            return false;
        }
        let Some(art) = self.figure.shown(part) else {
            return true;
        };
        !model.has_ink_and_paint(art)
    }

    /// The parts that seams join to a part.
    pub fn partners(&self, part: PartId) -> impl Iterator<Item = PartId> + '_ {
        let seams = self.rest.view().seams.iter();
        seams.filter_map(move |s| match part {
            p if p == s.parent => Some(s.child),
            p if p == s.child => Some(s.parent),
            _ => None,
        })
    }

    /// Whether what is seen of `a` needs no line against `b`: it is the same part, joined to it, or worn.
    pub fn joined(&self, a: PartId, b: PartId) -> bool {
        self.belongs(b, a) || self.belongs(a, b) || self.partners(a).any(|p| self.belongs(b, p))
    }
}

pub(super) fn within(b: [f64; 4], p: Point) -> bool {
    p[0] >= b[0] && p[0] <= b[2] && p[1] >= b[1] && p[1] <= b[3]
}
