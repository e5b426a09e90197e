//! What a seam opens and what it leaves: zones, overlaps, revealed ink, paint and line on both sides.

use super::at_rest::{AtRest, posed};
use super::finding::{Finding, around};
use super::joint::{Hidden, Joint};
use super::limb::{Limb, Rest};
use super::listed::Order;
use super::patch;
use super::range::trace;
use super::unseamed::{apart, fallen_off, missing, not_joined, twin_seam};
use crate::cast::{Measure, Opens, PartId, Seam, Zone};
use crate::geom::{Circle, Point, Region};

/// Checks every seam, and every joint of one colour without one.
pub(super) fn check(rest: &Rest<'_>, orders: &[Order]) -> Vec<Finding> {
    let mut found = Vec::new();
    for (at, seam) in rest.view().seams.iter().enumerate() {
        if let Some(look) = SeamLook::new(rest, at, seam) {
            look.zone(&mut found);
            look.ink(orders, &mut found);
            look.overlap(&mut found);
            look.paint(&mut found);
            look.line(&mut found);
            look.pivot(&mut found);
            found.extend(patch::check(rest, seam, &look.joint));
        } else {
            found.extend(not_joined(rest, seam.parent, seam.child, seam.span));
        }
    }
    for child in rest.view().ids() {
        found.extend(missing(rest, child));
        found.extend(fallen_off(rest, child));
    }
    found
}

/// A seam and its two parts at rest.
struct SeamLook<'a> {
    rest: &'a Rest<'a>,
    at: usize,
    seam: &'a Seam,
    parent: &'a Limb,
    child: &'a Limb,
    pivot: Point,
    joint: Joint,
    /// How far the outline hidden at rest goes from the pivot.
    reach: f64,
}

impl<'a> SeamLook<'a> {
    fn new(rest: &'a Rest<'a>, at: usize, seam: &'a Seam) -> Option<Self> {
        let (parent, child) = (rest.limb(seam.parent)?, rest.limb(seam.child)?);
        let pivot = rest.pivot(seam.child);
        let joint = Joint::new(
            &parent.silhouette,
            &child.silhouette,
            pivot,
            Hidden {
                parent: seam.opens != Opens::Child,
                child: seam.opens != Opens::Parent,
            },
        )?;
        let reach = joint.hidden_reach();
        Some(Self {
            rest,
            at,
            seam,
            parent,
            child,
            pivot,
            joint,
            reach,
        })
    }

    fn names(&self) -> [String; 2] {
        [
            self.rest.name(self.seam.parent),
            self.rest.name(self.seam.child),
        ]
    }

    fn finding(
        &self,
        measure: Measure,
        value: f64,
        place: Circle,
        message: String,
        hint: String,
    ) -> Option<Finding> {
        let parts = [self.seam.child, self.seam.parent];
        let (span, place) = (self.seam.span, Some(place));
        AtRest {
            measure,
            parts: &parts,
            value,
            span,
            place,
            message,
            hint,
        }
        .judged(self.rest)
    }

    fn whole(&self) -> Circle {
        around(self.pivot, (self.joint.width * 0.7).max(10.0))
    }

    fn zone(&self, found: &mut Vec<Finding>) {
        let name = &self.seam.name;
        if self.reach <= 0.0 {
            return;
        }
        // Of an automatic zone the rig takes the whole hidden outline: never too small.
        let radius = match self.seam.zone {
            Zone::Auto => return,
            Zone::Radius(r) => r,
            Zone::Art(_) => {
                let zone = self.rest.detail.zone(self.rest.model(), self.at);
                if !zone.contains(self.pivot) {
                    0.0
                } else {
                    zone.distance_to_edge(self.pivot)
                }
            }
        };
        let share = 100.0 * radius / self.reach;
        let drawn = matches!(self.seam.zone, Zone::Art(_));
        let size = if drawn { "reaches" } else { "is" };
        let fits = libm::ceil(self.reach + 1.5);
        // A drawn zone may well be long and narrow: it is measured by what it leaves standing.
        if !drawn {
            let message = format!(
                "the zone of seam {name} {size} {radius:.0} units, and outline hidden at rest lies up to {:.0} from the pivot",
                self.reach
            );
            let hint = format!("write zone = {fits:.0}, or zone = \"auto\"");
            found.extend(self.finding(Measure::ZoneSmall, share, self.whole(), message, hint));
        }
        let far = if drawn {
            let zone = self.rest.detail.zone(self.rest.model(), self.at);
            100.0 * zone.reach(self.pivot) / self.reach
        } else {
            share
        };
        let message = format!(
            "the zone of seam {name} goes {far:.0} % as far as the outline hidden at rest ({:.0} units): a folded limb loses its lines",
            self.reach
        );
        let hint = format!("write zone = {fits:.0}, or zone = \"auto\"");
        let place = around(self.pivot, self.reach * far / 100.0);
        found.extend(self.finding(Measure::ZoneLarge, far, place, message, hint));
    }

    /// The ink of the part in front that stands inside the paint of the other, within the reach of the
    /// outline hidden at rest, with the child turned.
    fn revealed(&self, front_is_child: bool, opened: bool, angle: f64) -> Region {
        let reach = self.reach + 0.5;
        let near = Region::disc(self.pivot, reach, 0.05);
        let turn = Joint::turned(angle, self.pivot);
        let (ink, inner) = if front_is_child {
            (&self.child.outline, &self.parent.inner)
        } else {
            (&self.parent.outline, &self.child.inner)
        };
        let inside = self
            .joint
            .standing(ink, inner, front_is_child, angle)
            .intersection(&near);
        if !opened || inside.is_empty() {
            return inside;
        }
        let zone = self.rest.detail.zone(self.rest.model(), self.at);
        // The zone rides on the part whose paint opens.
        let zone = if front_is_child {
            zone
        } else {
            zone.transformed(&turn)
        };
        inside.difference(&zone)
    }

    fn ink(&self, orders: &[Order], found: &mut Vec<Finding>) {
        let (p, c) = (self.seam.parent, self.seam.child);
        if self.reach <= 0.0 {
            return;
        }
        let in_front = |rank: &[usize]| rank[c.at()] > rank[p.at()];
        let at_rest = in_front(&self.rest.rank);
        let other = orders.iter().find(|o| in_front(&o.rank) != at_rest);
        let limits = self.rest.model().part(c).limits.unwrap_or([0.0, 0.0]);
        for order in std::iter::once(None).chain(other.map(Some)) {
            let child_front = order.map_or(at_rest, |_| !at_rest);
            let opened = match self.seam.opens {
                Opens::Both => true,
                Opens::Child => child_front,
                Opens::Parent => !child_front,
            };
            if !opened && order.is_none() && !self.twin_opens_both() {
                // Whose ink stays at rest stays on purpose.
                continue;
            }
            if opened && self.zone_covers() {
                continue;
            }
            let line = if child_front {
                self.child.line
            } else {
                self.parent.line
            };
            if line <= 0.0 {
                continue;
            }
            let value = |angle: f64| {
                100.0 * self.revealed(child_front, opened, angle).area() / line / self.joint.width
            };
            // An ink that the seam leaves alone is no worse in one turn than in another: look at rest.
            let curve = trace(limits[0], limits[1], 4.0, value);
            let ink = self.revealed(child_front, opened, curve.worst.angle);
            let area = ink.area();
            let [parent, child] = self.names();
            let (front, back) = if child_front {
                (&child, &parent)
            } else {
                (&parent, &child)
            };
            let with = order.map_or_else(String::new, |o| format!(", in the depths of {}", o.name));
            let message = format!(
                "ink of {front} stands inside {back}: {:.0} units long ({area:.0} square units) with {child} at {:.1} degrees{with}",
                area / line,
                curve.worst.angle,
            );
            let hint = if opened {
                format!(
                    "make the zone of seam {} at least {:.0}",
                    self.seam.name,
                    libm::ceil(self.reach + 1.5)
                )
            } else {
                format!("write opens = \"both\" for seam {}", self.seam.name)
            };
            let at = ink
                .bounds()
                .map_or(self.pivot, |b| [(b[0] + b[2]) / 2.0, (b[1] + b[3]) / 2.0]);
            let place = around(at, ink.reach(at).max(8.0));
            let finding = self.finding(Measure::Ink, curve.worst.value, place, message, hint);
            found.extend(finding.map(|mut f| {
                f.turns = vec![(child.clone(), curve.worst.angle)];
                f.order = order.map(|o| o.name.clone());
                f.pose = posed(self.rest, &[(c, curve.worst.angle)], order);
                f
            }));
        }
    }

    /// True when the same seam of the other side opens both inks.
    fn twin_opens_both(&self) -> bool {
        twin_seam(self.rest, self.seam.parent, self.seam.child)
            .is_some_and(|(seam, _)| seam.opens == Opens::Both)
    }

    /// True when the zone holds all that is looked at anyway.
    fn zone_covers(&self) -> bool {
        match self.seam.zone {
            Zone::Auto => true,
            Zone::Radius(r) => r >= self.reach + 0.5,
            // Outside a drawn zone the ink stays on purpose.
            Zone::Art(_) => true,
        }
    }

    /// Whether the two turn about no joint of theirs: a third part carries the child, and seams join it to both.
    fn held_by_third(&self) -> bool {
        let joined = |a: PartId, b: PartId| {
            let seams = &self.rest.view().seams;
            seams
                .iter()
                .any(|s| (s.parent, s.child) == (a, b) || (s.parent, s.child) == (b, a))
        };
        let carrier = self.rest.drawn_carrier(self.seam.child);
        carrier.is_some_and(|third| {
            third != self.seam.parent
                && joined(third, self.seam.child)
                && joined(third, self.seam.parent)
        })
    }

    fn overlap(&self, found: &mut Vec<Finding>) {
        if self.held_by_third() {
            return;
        }
        let shared = self.parent.paint.intersection(&self.child.paint);
        let circle = shared.inscribed_circle(self.joint.width * 2e-3);
        let wide = circle.map_or(0.0, |c| 2.0 * c.radius);
        let share = 100.0 * wide / self.joint.width;
        let [parent, child] = self.names();
        let message = format!(
            "{parent} and {child} overlap by {wide:.1} units at rest ({share:.0} % of the limb's width)"
        );
        let hint = format!("draw the end of {parent} or {child} further under the other");
        found.extend(self.finding(Measure::Overlap, share, self.whole(), message, hint));
    }

    fn paint(&self, found: &mut Vec<Finding>) {
        if self.seam.opens != Opens::Both {
            // One outline stays: it parts the colours.
            return;
        }
        let palettes = &self.rest.model().member.palettes;
        for ink in [false, true] {
            // Of all palettes the one where it shows most.
            let worst = (0..palettes.len().max(1))
                .filter_map(|palette| {
                    let (p, c) = (self.seam.parent, self.seam.child);
                    apart(self.rest, p, c, &self.joint, ink, palette).map(|a| (a, palette))
                })
                .max_by(|x, y| x.0.0.total_cmp(&y.0.0).then(y.1.cmp(&x.1)));
            let Some(((least, a, b), palette)) = worst else {
                continue;
            };
            let [parent, child] = self.names();
            let within = match palettes.get(palette) {
                Some(named) if palette > 0 => format!(" in palette {}", named.name),
                _ => String::new(),
            };
            let what = if ink { "the ink" } else { "paint" };
            let message = format!(
                "{what} changes across seam {}{within}: {parent} is {a}, {child} is {b}, {least:.1} apart by CIEDE2000",
                self.seam.name
            );
            let hint = "give both parts the same swatch where they meet".to_owned();
            let finding = self.finding(Measure::Colour, least, self.whole(), message, hint);
            found.extend(finding.map(|mut f| {
                f.pose.palette = palette;
                f
            }));
        }
    }

    /// How far the pivot is from the middle of the limb.
    fn pivot(&self, found: &mut Vec<Finding>) {
        let limits = self.rest.model().part(self.seam.child).limits;
        if self.seam.opens != Opens::Both || limits.is_none_or(|[a, b]| a == b) {
            return;
        }
        let share = 100.0 * self.joint.off / self.joint.width;
        let [parent, child] = self.names();
        let message = format!(
            "the pivot of {child} is {:.1} units from the middle of the limb, {share:.0} % of its width: {child} slides sideways on {parent} as it turns",
            self.joint.off
        );
        let hint = format!(
            "move the pivot of {child} to the middle of the limb, or let `layfig fit` find it"
        );
        found.extend(self.finding(Measure::Pivot, share, self.whole(), message, hint));
    }

    fn line(&self, found: &mut Vec<Finding>) {
        let (a, b) = (self.parent.line, self.child.line);
        if a <= 0.0 || b <= 0.0 {
            return;
        }
        let ratio = 100.0 * a.max(b) / a.min(b);
        let [parent, child] = self.names();
        let message = format!(
            "the line changes across seam {}: {a:.1} units on {parent}, {b:.1} on {child}",
            self.seam.name
        );
        let hint = "draw both outlines with the same width where they meet".to_owned();
        found.extend(self.finding(Measure::Line, ratio, self.whole(), message, hint));
    }
}
