//! Limbs and garments against those of the other side: how each sits along its limb.

use super::at_rest::{AtRest, circle};
use super::finding::Finding;
use super::limb::Rest;
use crate::cast::{Measure, PartId};
use crate::geom::{Point, Region};

/// Limb halves and garments that sit differently on the two sides.
pub(super) fn check(rest: &Rest<'_>, found: &mut Vec<Finding>) {
    for part in rest.view().ids() {
        found.extend(limbs(rest, part));
    }
    for garment in &rest.view().garments {
        let worn = |part| rest.view().garments.iter().find(|g| g.part == part);
        let Some(other) = rest.twin(garment.part).and_then(worn) else {
            continue;
        };
        // Each pair once: the one that the rig names later.
        if other.part > garment.part {
            continue;
        }
        for &host in &garment.on {
            let Some(twin) = rest.twin(host).filter(|t| other.on.contains(t)) else {
                continue;
            };
            let on = |part: PartId, host: PartId| {
                let (worn, limb) = (rest.garment(part)?, rest.limb(host)?);
                let over = worn.silhouette.intersection(&limb.silhouette);
                Place::new(&over, rest.axis(host)?)
            };
            let (Some(a), Some(b)) = (on(garment.part, host), on(other.part, twin)) else {
                continue;
            };
            let [part, host_name, of, twin_name] =
                [garment.part, host, other.part, twin].map(|p| rest.name(p));
            let message = format!(
                "{part} covers {host_name} from {:.0} to {:.0} % of its length, and {of} covers {twin_name} from {:.0} to {:.0} %",
                a.along[0], a.along[1], b.along[0], b.along[1]
            );
            let hint = format!("put {part} or {of} where the other one is");
            found.extend(
                AtRest {
                    measure: Measure::Sides,
                    parts: &[garment.part, other.part, host],
                    value: a.along_from(&b),
                    span: garment.span,
                    place: rest
                        .garment(garment.part)
                        .and_then(|l| circle(&l.silhouette)),
                    message,
                    hint,
                }
                .judged(rest),
            );
        }
    }
}

/// A limb between two joints against its twin.
fn limbs(rest: &Rest<'_>, part: PartId) -> Option<Finding> {
    let joined = |p: PartId| rest.view().seams.iter().any(|s| s.child == p);
    let twin = rest.twin(part).filter(|&t| t < part && joined(t))?;
    if !joined(part) {
        return None;
    }
    let place = |p: PartId| Place::new(&rest.limb(p)?.silhouette, rest.axis(p)?);
    let (a, b) = (place(part)?, place(twin)?);
    let [name, other] = [part, twin].map(|p| rest.name(p));
    let message = format!(
        "{name} and {other} differ by {:.0} % of their length: {name} goes from {:.0} to {:.0} % of the way between its joints and is {:.0} % wide, {other} from {:.0} to {:.0} % and {:.0} %",
        a.off_from(&b),
        a.along[0],
        a.along[1],
        a.width,
        b.along[0],
        b.along[1],
        b.width,
    );
    AtRest {
        measure: Measure::Sides,
        parts: &[part, twin],
        value: a.off_from(&b),
        span: rest.model().part(part).span,
        place: rest.limb(part).and_then(|l| circle(&l.silhouette)),
        message,
        hint: format!("draw {name} and {other} alike, and put their pivots in the same places"),
    }
    .judged(rest)
}

/// Where something is along a limb, % of the way between its joints.
struct Place {
    along: [f64; 2],
    /// Mean width, the same.
    width: f64,
}

impl Place {
    fn new(region: &Region, [from, to]: [Point; 2]) -> Option<Self> {
        let way = [to[0] - from[0], to[1] - from[1]];
        let length2 = way[0] * way[0] + way[1] * way[1];
        let mut along = [f64::INFINITY, f64::NEG_INFINITY];
        for p in region.contours().iter().flatten() {
            let off = [p[0] - from[0], p[1] - from[1]];
            let at = 100.0 * (off[0] * way[0] + off[1] * way[1]) / length2;
            along = [along[0].min(at), along[1].max(at)];
        }
        let long = along[1] - along[0];
        (long > 0.0).then(|| Self {
            along,
            width: 1e4 * region.area() / length2 / long,
        })
    }

    fn along_from(&self, other: &Self) -> f64 {
        let [a, b] = [0, 1].map(|k| (self.along[k] - other.along[k]).abs());
        a.max(b)
    }

    fn off_from(&self, other: &Self) -> f64 {
        self.along_from(other).max((self.width - other.width).abs())
    }
}
