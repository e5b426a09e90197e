//! Geometry at one level of detail: made once for a rig and a scale, used by every pose.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use super::regions::ArtRegions;
use super::rim::Rim;
use crate::art::Fineness;
use crate::art::{ArtId, PartArt};
use crate::cast::PartId;
use crate::geom::{Affine, Point, Region};

/// Geometry of a puppet's art at one level of detail.
#[derive(Debug)]
pub(crate) struct Detail {
    pub fine: Fineness,
    art: Vec<(Arc<PartArt>, OnceLock<Arc<ArtRegions>>)>,
    openings: Mutex<BTreeMap<(usize, PartId, ArtId), Arc<Opening>>>,
}

/// What a drawing's paint opens at a seam, on the rest canvas.
#[derive(Debug)]
pub(crate) struct Opening {
    pub region: Arc<Region>,
    pub bounds: Option<[f64; 4]>,
    /// The zone's middle and radius, where it is a disc.
    pub zone: Option<(Point, f64)>,
    /// The drawing's own outline in the zone, which opens where seams open that.
    pub hem: Arc<Region>,
    /// All its paint in the zone.
    pub paint: Arc<Region>,
    /// Where lines may end in the open: the zone's border, and edges of its paint without ink.
    pub rims: Vec<Rim>,
}

impl Opening {
    /// The middle of the zone moved, and a radius that holds it.
    pub fn disc(&self, moved: &Affine) -> Option<(Point, f64)> {
        let (middle, radius) = self.zone?;
        Some((moved.apply(middle), radius * moved.max_scale()))
    }
}

impl Detail {
    /// The level for a scale in pixels per unit: the next quarter of an octave.
    #[expect(clippy::cast_possible_truncation, reason = "clamped")]
    pub fn tier(scale: f64) -> i32 {
        libm::ceil(4.0 * libm::log2(scale.max(1e-6)) - 1e-9).clamp(-24.0, 32.0) as i32
    }

    pub fn new(tier: i32, art: &[Arc<PartArt>]) -> Self {
        let art = art.iter().map(|a| (Arc::clone(a), OnceLock::new()));
        Self {
            fine: Fineness::new(libm::exp2(f64::from(tier) / 4.0)),
            art: art.collect(),
            openings: Mutex::default(),
        }
    }

    /// The regions of a drawing.
    pub fn art(&self, id: ArtId) -> &Arc<ArtRegions> {
        let (art, regions) = &self.art[id.at()];
        regions.get_or_init(|| Arc::new(ArtRegions::new(art, self.fine)))
    }

    /// What a drawing opens at a seam, made once.
    pub fn opening_or(
        &self,
        key: (usize, PartId, ArtId),
        make: impl FnOnce() -> Opening,
    ) -> Arc<Opening> {
        kept(&self.openings, key, make)
    }
}

/// What is kept under a key, made the first time; others may make theirs meanwhile, the first is kept.
pub(super) fn kept<K: Ord, T>(
    all: &Mutex<BTreeMap<K, Arc<T>>>,
    key: K,
    make: impl FnOnce() -> T,
) -> Arc<T> {
    let all = || all.lock().unwrap_or_else(PoisonError::into_inner);
    let known = all().get(&key).cloned();
    known.unwrap_or_else(|| {
        let made = Arc::new(make());
        Arc::clone(all().entry(key).or_insert(made))
    })
}
