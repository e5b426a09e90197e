//! What parts of a figure cover, exactly, and where its landmarks are.

use super::figure::{Cut, Figure};
use crate::cast::{Edge, Landmark, LandmarkPlace, PartId};
use crate::geom::joined;

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
        let view = self.model().view();
        self.joined(view.ids().filter(|&id| view.carries(part, id)))
    }

    /// What the figure covers. Garments are seen only on their hosts, so they add nothing.
    #[must_use]
    pub fn extent(&self) -> Option<Bounds> {
        self.joined(self.model().view().ids())
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

    fn joined(&self, parts: impl Iterator<Item = PartId>) -> Option<Bounds> {
        let worn = |part: PartId| {
            self.layers()
                .iter()
                .filter(|layer| layer.part == part)
                .all(|layer| layer.cuts.iter().any(|c| matches!(c, Cut::Host { .. })))
        };
        parts
            .filter(|&p| !worn(p))
            .filter_map(|p| self.extent_of(p))
            .reduce(joined)
    }
}
