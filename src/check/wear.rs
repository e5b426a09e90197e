//! Masks and garments: what shows of them at rest and while joints turn.

use super::at_rest::{AtRest, circle, silhouettes};
use super::finding::Finding;
use super::joint::Joint;
use super::limb::Rest;
use super::{bare, edge, sides, trims, twins};
use crate::cast::{Garment, Keep, Mask, Measure, PartId};
use crate::diag::Span;
use crate::geom::Region;

/// Turns at which a joint is looked at.
const STEPS: u32 = 6;

/// Checks masks, garments and trims.
pub(super) fn check(rest: &Rest<'_>) -> Vec<Finding> {
    let mut found = Vec::new();
    masks(rest, &mut found);
    for garment in &rest.view().garments {
        shown(rest, garment, &mut found);
        slides(rest, garment, &mut found);
        trims::check(rest, garment, &mut found);
        edge::check(rest, garment, &mut found);
    }
    sides::check(rest, &mut found);
    bare::check(rest, &mut found);
    twins::check(rest, &mut found);
    found
}

fn masks(rest: &Rest<'_>, found: &mut Vec<Finding>) {
    for mask in &rest.view().masks {
        let Some(limb) = rest.limb(mask.part) else {
            continue;
        };
        let others = silhouettes(rest, &mask.of);
        let seen = match mask.keep {
            Keep::Inside => limb.silhouette.intersection(&others),
            Keep::Outside => limb.silhouette.difference(&others),
        };
        // A lid is drawn open and shown shut: the replacement that shows most is what counts.
        let of_art = 100.0 * seen.area() / limb.silhouette.area();
        let share = rest.replacements(mask.part).fold(of_art, |most, other| {
            let seen = match mask.keep {
                Keep::Inside => other.intersection(&others),
                Keep::Outside => other.difference(&others),
            };
            most.max(100.0 * seen.area() / other.area())
        });
        let part = rest.name(mask.part);
        let (word, turned) = match mask.keep {
            Keep::Inside => ("inside", "outside"),
            Keep::Outside => ("outside", "inside"),
        };
        let message = format!(
            "mask {} shows {part} {word} {}, and at rest {share:.0} % of it is seen",
            mask.name,
            mask.of
                .iter()
                .map(|&p| rest.name(p))
                .collect::<Vec<_>>()
                .join(", "),
        );
        let hint = format!("write keep = \"{turned}\", or name the right parts in \"of\"");
        found.extend(
            AtRest {
                measure: Measure::Shown,
                parts: &[&[mask.part], &mask.of[..]].concat(),
                value: share,
                span: mask.span,
                place: circle(&limb.silhouette),
                message,
                hint,
            }
            .judged(rest),
        );
        left_behind(rest, mask, share, found);
    }
}

/// What a joint carries, of one thing and of what it lies in: a joint that carries both or neither keeps
/// them together.
fn parted(rest: &Rest<'_>, part: PartId, from: &[PartId]) -> Vec<(PartId, [f64; 2])> {
    let mut joints = Vec::new();
    for joint in rest.view().ids() {
        let Some(limits) = rest.model().part(joint).limits else {
            continue;
        };
        let carries = rest.carried(part, joint);
        if from.iter().any(|&f| rest.carried(f, joint) != carries) {
            joints.push((joint, limits));
        }
    }
    joints
}

/// The least of a share while one joint turns, and the turn.
fn least(
    rest: &Rest<'_>,
    (joint, limits): (PartId, [f64; 2]),
    share: impl Fn(&dyn Fn(PartId, &Region) -> Region) -> f64,
) -> (f64, f64) {
    let mut worst = (f64::INFINITY, 0.0);
    for k in 0..=STEPS {
        let angle = limits[0] + (limits[1] - limits[0]) * f64::from(k) / f64::from(STEPS);
        let turn = Joint::turned(angle, rest.pivot(joint));
        let put = |part: PartId, region: &Region| {
            if rest.carried(part, joint) {
                region.transformed(&turn)
            } else {
                region.clone()
            }
        };
        let here = share(&put);
        if here < worst.0 {
            worst = (here, angle);
        }
    }
    worst
}

fn union_of(rest: &Rest<'_>, of: &[PartId], put: &dyn Fn(PartId, &Region) -> Region) -> Region {
    let all: Vec<Region> = of
        .iter()
        .filter_map(|&p| rest.limb(p).map(|l| put(p, &l.silhouette)))
        .collect();
    Region::union_all(&all)
}

/// A masked part that a joint takes away from what it is seen in.
fn left_behind(rest: &Rest<'_>, mask: &Mask, at_rest: f64, found: &mut Vec<Finding>) {
    let Some(limb) = rest.limb(mask.part) else {
        return;
    };
    if mask.keep == Keep::Outside {
        return;
    }
    for joint in parted(rest, mask.part, &mask.of) {
        let (share, angle) = least(rest, joint, |put| {
            let seen =
                put(mask.part, &limb.silhouette).intersection(&union_of(rest, &mask.of, put));
            100.0 * seen.area() / limb.silhouette.area()
        });
        let [part, turned] = [mask.part, joint.0].map(|p| rest.name(p));
        let message = format!(
            "{part} does not go along with what mask {} shows it in: {share:.0} % of it is seen with {turned} at {angle:.1} degrees, {at_rest:.0} % at rest",
            mask.name
        );
        let hint = format!("give {part} the parent of what it lies in");
        let parts = [&[mask.part], &mask.of[..]].concat();
        turned_away(
            rest,
            &parts,
            share,
            joint.0,
            angle,
            mask.span,
            (message, hint),
            found,
        );
    }
}

/// A garment that a joint takes off its hosts.
fn slides(rest: &Rest<'_>, garment: &Garment, found: &mut Vec<Finding>) {
    let Some(limb) = rest.garment(garment.part) else {
        return;
    };
    let on = |put: &dyn Fn(PartId, &Region) -> Region| {
        let hosts = union_of(rest, &garment.on, put);
        let over = put(garment.part, &limb.silhouette).intersection(&hosts);
        100.0 * over.area() / limb.silhouette.area().min(hosts.area())
    };
    for joint in parted(rest, garment.part, &garment.on) {
        let (share, angle) = least(rest, joint, on);
        let [part, turned] = [garment.part, joint.0].map(|p| rest.name(p));
        let message = format!(
            "garment {} slides off: it covers {share:.0} % with {turned} at {angle:.1} degrees",
            garment.name
        );
        let hint = format!("let {part} be carried by the part that wears it");
        let parts = [&[garment.part], &garment.on[..]].concat();
        turned_away(
            rest,
            &parts,
            share,
            joint.0,
            angle,
            garment.span,
            (message, hint),
            found,
        );
    }
}

#[expect(clippy::too_many_arguments, reason = "the fields of a finding")]
fn turned_away(
    rest: &Rest<'_>,
    parts: &[PartId],
    share: f64,
    joint: PartId,
    angle: f64,
    span: Span,
    (message, hint): (String, String),
    found: &mut Vec<Finding>,
) {
    let turn = Joint::turned(angle, rest.pivot(joint));
    let place = rest.limb(parts[0]).and_then(|limb| {
        if rest.carried(parts[0], joint) {
            circle(&limb.silhouette.transformed(&turn))
        } else {
            circle(&limb.silhouette)
        }
    });
    let finding = AtRest {
        measure: Measure::Shown,
        parts,
        value: share,
        span,
        place,
        message,
        hint,
    };
    found.extend(finding.turned(rest, &[(joint, angle)]));
}

/// What of a garment lies on its hosts.
fn shown(rest: &Rest<'_>, garment: &Garment, found: &mut Vec<Finding>) {
    let Some(limb) = rest.garment(garment.part) else {
        return;
    };
    for &host in &garment.on {
        let Some(wears) = rest.limb(host) else {
            continue;
        };
        let over = limb.silhouette.intersection(&wears.paint);
        let least = limb.silhouette.area().min(wears.paint.area());
        let share = 100.0 * over.area() / least;
        let (part, host_name) = (rest.name(garment.part), rest.name(host));
        let message = format!(
            "garment {} covers {share:.0} % of {host_name} at rest",
            garment.name
        );
        let hint = format!(
            "{host_name} cannot wear {part} there: name the right host in \"on\", or move the art"
        );
        // The last of several hosts may be one that the garment only slides on to.
        if garment.on.len() == 1 {
            found.extend(
                AtRest {
                    measure: Measure::Shown,
                    parts: &[garment.part, host],
                    value: share,
                    span: garment.span,
                    place: circle(&limb.silhouette),
                    message,
                    hint,
                }
                .judged(rest),
            );
        }
    }
}
