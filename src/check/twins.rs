//! What one side has and the other lacks.

use super::at_rest::{AtRest, circle, silhouettes};
use super::finding::Finding;
use super::limb::Rest;
use crate::cast::{Keep, Measure, PartId};
use crate::diag::Severity;

/// Masks and garments of one side that the other side lacks.
pub(super) fn check(rest: &Rest<'_>, found: &mut Vec<Finding>) {
    masks(rest, found);
    garments(rest, found);
}

/// A part that is worn by nobody, or by fewer, where its twin is worn.
fn garments(rest: &Rest<'_>, found: &mut Vec<Finding>) {
    for garment in &rest.view().garments {
        let Some(other) = rest
            .twin(garment.part)
            .filter(|&t| rest.garment(t).is_some())
        else {
            continue;
        };
        let worn = rest.view().garments.iter().find(|g| g.part == other);
        let on = worn.map_or(&[][..], |g| &g.on);
        for &host in &garment.on {
            let Some(want) = rest.twin(host).filter(|h| !on.contains(h)) else {
                continue;
            };
            let (Some(limb), Some(wears)) = (rest.garment(other), rest.limb(want)) else {
                continue;
            };
            let share =
                100.0 * limb.silhouette.intersection(&wears.silhouette).area() / wears.paint.area();
            let names = [other, want, garment.part, host].map(|p| rest.name(p));
            let message = format!(
                "{} does not wear {}, and on the other side {} wears {}",
                names[1], names[0], names[3], names[2]
            );
            let hint = if worn.is_some() {
                format!("name {} in \"on\" too", names[1])
            } else {
                format!(
                    "write a [garment.*] with part = \"{}\" and on = [\"{}\"]",
                    names[0], names[1]
                )
            };
            let span = worn.map_or(rest.model().part(other).span, |g| g.span);
            let place = circle(&limb.silhouette);
            found.extend(
                AtRest {
                    measure: Measure::Bare,
                    parts: &[other, want],
                    value: share,
                    span,
                    place,
                    message,
                    hint,
                }
                .judged(rest),
            );
        }
    }
}

/// A part whose twin on the other side is masked by what this one has no mask of.
fn masks(rest: &Rest<'_>, found: &mut Vec<Finding>) {
    let view = rest.view();
    for mask in &view.masks {
        if mask.keep == Keep::Outside {
            continue;
        }
        let Some(twin) = rest.twin(mask.part) else {
            continue;
        };
        if view.masks.iter().any(|m| m.part == twin) {
            continue;
        }
        let of: Vec<PartId> = mask.of.iter().map(|&p| rest.twin(p).unwrap_or(p)).collect();
        let Some(limb) = rest.limb(twin) else {
            continue;
        };
        let out = limb.silhouette.difference(&silhouettes(rest, &of));
        let share = 100.0 * out.area() / limb.silhouette.area();
        let parts = [&[twin], &of[..]].concat();
        let names: Vec<String> = parts.iter().map(|&p| rest.name(p)).collect();
        let message = format!(
            "{} has no mask, and mask {} keeps its twin inside: {share:.0} % of it lies outside {} at rest",
            names[0],
            mask.name,
            names[1..].join(", "),
        );
        let hint = format!(
            "write a [mask.*] with part = \"{}\" and keep = \"inside\"",
            names[0]
        );
        // A mask that only poses need is missed all the same: never less than a warning.
        let span = rest.model().part(twin).span;
        let place = circle(&limb.silhouette);
        let said = rest.model().member.check_limits(rest.model().view, twin);
        let Some([warning, _]) = said.get(Measure::Spill) else {
            continue;
        };
        let finding = AtRest {
            measure: Measure::Spill,
            parts: &parts,
            value: share.max(warning * 1.01),
            span,
            place,
            message,
            hint,
        }
        .judged(rest);
        found.extend(finding.map(|mut f| {
            f.value = share;
            if share < warning {
                f.severity = Severity::Warning;
            }
            f
        }));
    }
}
