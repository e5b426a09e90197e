//! What garments leave bare about a joint.

use super::at_rest::{AtRest, circle};
use super::finding::Finding;
use super::joint::{Hidden, Joint};
use super::limb::Rest;
use crate::cast::{Measure, PartId};
use crate::geom::Region;

/// A joint of which more than this share is bare at rest is meant to be.
const MEANT: f64 = 0.5;

/// Hosts in the disc of a joint that garments cover, and what they leave bare at rest or with the joint turned.
pub(super) fn check(rest: &Rest<'_>, found: &mut Vec<Finding>) {
    let view = rest.view();
    for seam in &view.seams {
        let (p, c) = (seam.parent, seam.child);
        let Some(limits) = rest.model().part(c).limits else {
            continue;
        };
        let worn_on = |host: PartId| {
            let on = view.garments.iter().filter(move |g| g.on.contains(&host));
            on.filter_map(|g| rest.limb(g.part).map(|l| (g, l)))
        };
        if worn_on(p).next().is_none() || worn_on(c).next().is_none() {
            continue;
        }
        let (Some(a), Some(b)) = (rest.limb(p), rest.limb(c)) else {
            continue;
        };
        let Some(joint) = Joint::new(&a.silhouette, &b.silhouette, rest.pivot(c), Hidden::BOTH)
        else {
            continue;
        };
        if joint.disc <= 0.0 {
            continue;
        }
        // A little within the disc: the hosts' ink covers their edges.
        let disc = Region::disc(
            joint.pivot,
            joint.disc - a.line.max(b.line),
            joint.width * 2e-3,
        );
        let bare_at = |angle: f64| {
            let turn = Joint::turned(angle, joint.pivot);
            // A garment goes with the part that carries it, directly or not.
            let put = |part: PartId, region: &Region| {
                if rest.carried(part, c) {
                    region.transformed(&turn)
                } else {
                    region.clone()
                }
            };
            let mut left = Region::empty();
            for (host, limb) in [(p, a), (c, b)] {
                let mut own = put(host, &limb.inner).intersection(&disc);
                // What the other part covers in front of it is not seen.
                let (other, other_limb) = if host == p { (c, b) } else { (p, a) };
                if rest.rank[other.at()] > rest.rank[host.at()] {
                    own = own.difference(&put(other, &other_limb.inner));
                }
                for (garment, worn) in worn_on(host) {
                    own = own.difference(&put(garment.part, &worn.silhouette));
                }
                left = left.union(&own);
            }
            left
        };
        // What is bare at rest is so on purpose where there is more of it than of the garments.
        let hosts = a.inner.union(&b.inner).intersection(&disc).area();
        let at_rest = bare_at(0.0).area();
        // A garment that goes over the joint ends where it was drawn to end.
        let over = worn_on(p).any(|(g, _)| g.on.contains(&c));
        let meant = if over || at_rest > hosts * MEANT {
            at_rest
        } else {
            0.0
        };
        let mut worst = (0.0, 0.0, Region::empty());
        // Rest first: of equals that is what is told.
        let steps = (0..=8).map(|k| limits[0] + (limits[1] - limits[0]) * f64::from(k) / 8.0);
        for angle in std::iter::once(0.0).chain(steps) {
            let left = bare_at(angle);
            let more = left.area() - meant;
            if more > worst.0 * 1.02 {
                worst = (more, angle, left);
            }
        }
        let share = 100.0 * worst.0 / disc.area();
        let names = [rest.name(c), rest.name(p)];
        let message = format!(
            "{:.0} square units of {} and {} are left bare between their garments with {} at {:.1} degrees",
            worst.0, names[1], names[0], names[0], worst.1
        );
        let hint = "let both garments reach over the joint".to_owned();
        let finding = AtRest {
            measure: Measure::Bare,
            parts: &[c, p],
            value: share,
            span: seam.span,
            place: circle(&worst.2),
            message,
            hint,
        };
        found.extend(finding.turned(rest, &[(c, worst.1)]));
    }
}
