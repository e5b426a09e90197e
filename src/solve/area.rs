//! Areas told by what holds of their points: pictures multiply coverages, and polygons are cut only where
//! somebody needs them.

use std::sync::Arc;

use crate::geom::{Affine, Point, Region, common, grown, joined, meet, moved_box};

/// How far beyond an area what it leaves out is kept, shares of its size: cut off at its very edge it would be soft
/// there.
const BEYOND: f64 = 0.1;

/// A region where it lies in a pose.
#[derive(Clone, Debug)]
pub(crate) struct Leaf {
    pub region: Arc<Region>,
    /// To the posed canvas.
    pub posed: Affine,
    /// A box about it there.
    pub bounds: [f64; 4],
}

/// The points that lie in all of some regions and in none of some areas.
#[derive(Clone, Debug)]
pub(crate) struct Term {
    pub all: Vec<Leaf>,
    pub none: Vec<Arc<Area>>,
}

/// The points that lie in any of its terms.
#[derive(Clone, Debug, Default)]
pub(crate) struct Area(pub Vec<Term>);

impl Leaf {
    /// `None` for a region with nothing in it.
    pub fn new((region, posed): (Arc<Region>, Affine)) -> Option<Self> {
        let bounds = moved_box(region.bounds()?, &posed);
        Some(Self {
            region,
            posed,
            bounds,
        })
    }

    fn contains(&self, p: Point) -> bool {
        let b = self.bounds;
        p[0] >= b[0]
            && p[0] <= b[2]
            && p[1] >= b[1]
            && p[1] <= b[3]
            && (self.posed.inverse()).is_some_and(|back| self.region.contains(back.apply(p)))
    }

    /// As polygons, in another frame.
    fn moved(&self, to: &Affine) -> Region {
        self.region.transformed(&to.after(self.posed))
    }
}

impl From<Leaf> for Term {
    fn from(leaf: Leaf) -> Self {
        Self {
            all: vec![leaf],
            none: Vec::new(),
        }
    }
}

impl From<Leaf> for Area {
    fn from(leaf: Leaf) -> Self {
        Self(vec![leaf.into()])
    }
}

impl From<(Arc<Region>, Affine)> for Area {
    fn from(region: (Arc<Region>, Affine)) -> Self {
        Leaf::new(region).map_or_else(Self::default, Self::from)
    }
}

/// What the boxes of all leaves have in common.
pub(crate) fn shared_box<'a>(leaves: impl IntoIterator<Item = &'a Leaf>) -> Option<[f64; 4]> {
    let boxes = leaves.into_iter().map(|leaf| Some(leaf.bounds));
    boxes.reduce(|a, b| common(a?, b?))?
}

impl Term {
    fn contains(&self, p: Point) -> bool {
        self.all.iter().all(|leaf| leaf.contains(p)) && !self.none.iter().any(|a| a.contains(p))
    }

    /// A box about it, not the smallest.
    pub fn bounds(&self) -> Option<[f64; 4]> {
        shared_box(&self.all)
    }

    /// As polygons in another frame, those of them in a box of that; `to` goes there.
    fn region(&self, to: &Affine, within: Option<[f64; 4]>) -> Region {
        let mut leaves = self.all.iter().map(|leaf| {
            let moved = leaf.moved(to);
            within.map_or_else(|| moved.clone(), |b| moved.clipped(b))
        });
        let first = leaves.next().unwrap_or_default();
        let whole = leaves.fold(first, |whole, leaf| whole.intersection(&leaf));
        let Some(b) = whole.bounds().filter(|_| !self.none.is_empty()) else {
            return whole;
        };
        let near = grown(b, BEYOND * (b[2] - b[0]).max(b[3] - b[1]));
        let none: Vec<Region> = self.none.iter().map(|a| a.within(to, Some(near))).collect();
        whole.less(&none)
    }
}

impl Area {
    pub fn contains(&self, p: Point) -> bool {
        self.0.iter().any(|term| term.contains(p))
    }

    /// A box about it, not the smallest.
    pub fn bounds(&self) -> Option<[f64; 4]> {
        self.0.iter().filter_map(Term::bounds).reduce(joined)
    }

    /// The area as polygons, and where these go: to `frame`, unless they lie in one already.
    pub fn region(&self, frame: Affine) -> Option<(Arc<Region>, Affine)> {
        match self.0.as_slice() {
            [Term { all, none }] if none.is_empty() && all.len() == 1 => {
                Some((Arc::clone(&all[0].region), all[0].posed))
            }
            _ => Some((Arc::new(self.within(&frame.inverse()?, None)), frame)),
        }
    }

    fn within(&self, to: &Affine, within: Option<[f64; 4]>) -> Region {
        Region::together(self.0.iter().map(|term| term.region(to, within)))
    }

    /// Everything but the points of another area.
    pub fn less(&mut self, other: &Arc<Self>) {
        let Some(taken) = other.bounds() else { return };
        let met = |t: &&mut Term| t.bounds().is_some_and(|b| meet(b, taken));
        for term in self.0.iter_mut().filter(met) {
            term.none.push(Arc::clone(other));
        }
    }
}
