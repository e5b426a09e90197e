//! Areas told by what holds of their points: pictures multiply coverages, and polygons are cut only where
//! somebody needs them.

use std::sync::Arc;

use crate::geom::{Point, Region, common, joined, meet};

/// A region with a box about it.
#[derive(Clone, Debug)]
pub(crate) struct Leaf {
    pub region: Arc<Region>,
    pub bounds: [f64; 4],
}

/// The points that lie in all of some regions and in none of some areas.
#[derive(Clone, Debug)]
pub(crate) struct Term {
    pub all: Vec<Leaf>,
    pub none: Vec<Area>,
}

/// The points that lie in any of its terms.
#[derive(Clone, Debug, Default)]
pub(crate) struct Area(pub Vec<Term>);

impl Leaf {
    /// `None` for a region with nothing in it.
    pub fn new(region: impl Into<Arc<Region>>) -> Option<Self> {
        let region = region.into();
        let bounds = region.bounds()?;
        Some(Self { region, bounds })
    }

    pub fn contains(&self, p: Point) -> bool {
        let b = self.bounds;
        p[0] >= b[0] && p[0] <= b[2] && p[1] >= b[1] && p[1] <= b[3] && self.region.contains(p)
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

impl From<Arc<Region>> for Area {
    fn from(region: Arc<Region>) -> Self {
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
    fn bounds(&self) -> Option<[f64; 4]> {
        shared_box(&self.all)
    }

    /// Whether anything of it may lie in a box.
    pub fn meets(&self, within: [f64; 4]) -> bool {
        self.bounds().is_some_and(|b| meet(b, within))
    }

    fn region(&self) -> Region {
        let Some((first, others)) = self.all.split_first() else {
            return Region::empty();
        };
        let whole = others.iter().fold(None, |whole: Option<Region>, leaf| {
            let whole = whole.as_ref().unwrap_or(&first.region);
            Some(whole.intersection(&leaf.region))
        });
        let none: Vec<Arc<Region>> = self.none.iter().map(Area::region).collect();
        let whole = whole.as_ref().unwrap_or(&first.region);
        whole.less(none.iter().map(Arc::as_ref))
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

    /// The area as polygons.
    pub fn region(&self) -> Arc<Region> {
        match self.0.as_slice() {
            [Term { all, none }] if none.is_empty() && all.len() == 1 => Arc::clone(&all[0].region),
            terms => Arc::new(Region::together(terms.iter().map(Term::region))),
        }
    }

    /// Everything but the points of another area.
    pub fn less(&mut self, other: &Self) {
        let Some(taken) = other.bounds() else { return };
        let met = |t: &&mut Term| t.bounds().is_some_and(|b| meet(b, taken));
        for term in self.0.iter_mut().filter(met) {
            term.none.push(other.clone());
        }
    }
}
