//! What parts of a figure cover, exactly, and where its landmarks are.

use super::figure::{Cut, Figure};
use crate::cast::{Edge, Landmark, LandmarkPlace, PartId};

/// Pixels to the unit that outlines are flattened for: no point is off by more than a few
/// hundredths of a unit.
const FINE: f64 = 8.0;

/// Left, top, right, bottom.
type Bounds = [f64; 4];

impl Figure {
    /// What a part covers as it is drawn, less what masks hide of it, canvas units: left, top,
    /// right, bottom. `None` when nothing of it shows.
    #[must_use]
    pub fn extent_of(&self, part: PartId) -> Option<Bounds> {
        self.silhouette(part, FINE)?.bounds()
    }

    /// What a part and all that it carries cover together.
    #[must_use]
    pub fn extent_from(&self, part: PartId) -> Option<Bounds> {
        let parts = &self.model().view().parts;
        let carried = |mut at: PartId| loop {
            if at == part {
                break true;
            }
            match parts[at.at()].parent {
                Some(up) => at = up,
                None => break false,
            }
        };
        self.joined(self.ids().filter(|&id| carried(id)))
    }

    /// What the figure covers. Garments are seen only on their hosts, so they add nothing.
    #[must_use]
    pub fn extent(&self) -> Option<Bounds> {
        self.joined(self.ids())
    }

    /// y of a landmark, as the figure is drawn; `None` for one of a part that does not show.
    #[must_use]
    pub fn landmark(&self, landmark: &Landmark) -> Option<f64> {
        match landmark.place {
            LandmarkPlace::Height(y) => Some(y),
            LandmarkPlace::Part(part, Edge::Pivot) => {
                let pivot = self.model().part(part).pivot;
                Some(self.world(part).apply(pivot)[1])
            }
            LandmarkPlace::Part(part, edge) => {
                let [_, top, _, bottom] = self.extent_of(part)?;
                Some(match edge {
                    Edge::Top => top,
                    Edge::Bottom => bottom,
                    Edge::Middle | Edge::Pivot => f64::midpoint(top, bottom),
                })
            }
        }
    }

    fn ids(&self) -> impl Iterator<Item = PartId> + use<> {
        let count = self.model().view().parts.len();
        (0..count).map(|at| PartId(u32::try_from(at).unwrap_or(u32::MAX)))
    }

    fn joined(&self, parts: impl Iterator<Item = PartId>) -> Option<Bounds> {
        let worn = |part: PartId| {
            self.layers()
                .iter()
                .filter(|layer| layer.part == part)
                .all(|layer| layer.cuts.iter().any(|c| matches!(c, Cut::Host { .. })))
        };
        let mut all: Option<Bounds> = None;
        for b in parts
            .filter(|&p| !worn(p))
            .filter_map(|p| self.extent_of(p))
        {
            let a = all.get_or_insert(b);
            *a = [
                a[0].min(b[0]),
                a[1].min(b[1]),
                a[2].max(b[2]),
                a[3].max(b[3]),
            ];
        }
        all
    }
}
