//! Masks and garments: what shows of them, what looks out, what is left bare, and whose line is whose.

use super::colour::difference;
use super::finding::{Finding, around};
use super::joint::Joint;
use super::limb::{Rest, other_side};
use super::view::posed;
use crate::art::{Rgb, Role};
use crate::cast::{ColourName, Garment, Keep, Measure, PartId};
use crate::diag::{Severity, Span};
use crate::geom::{Circle, Region};

/// Checks masks, garments and trims.
pub(super) fn check(rest: &Rest<'_>) -> Vec<Finding> {
    let mut found = Vec::new();
    masks(rest, &mut found);
    for garment in &rest.view().garments {
        shown(rest, garment, &mut found);
        trim(rest, garment, &mut found);
    }
    bare(rest, &mut found);
    pairs(rest, &mut found);
    found
}

#[expect(clippy::too_many_arguments, reason = "the fields of a finding")]
fn tell(
    rest: &Rest<'_>,
    measure: Measure,
    parts: &[PartId],
    value: f64,
    span: Span,
    place: Option<Circle>,
    message: String,
    hint: String,
) -> Option<Finding> {
    let (severity, limit) = rest.judge(parts[0], measure, value)?;
    Some(Finding {
        measure,
        severity,
        parts: parts.iter().map(|&p| rest.name(p)).collect(),
        turns: Vec::new(),
        order: None,
        value,
        limit,
        message,
        hint,
        span,
        place,
        pose: posed(rest, &[], None),
    })
}

fn circle(region: &Region) -> Option<Circle> {
    let b = region.bounds()?;
    let centre = [(b[0] + b[2]) / 2.0, (b[1] + b[3]) / 2.0];
    Some(around(centre, region.reach(centre).max(8.0)))
}

fn silhouettes(rest: &Rest<'_>, of: &[PartId]) -> Region {
    let all: Vec<&Region> = of
        .iter()
        .filter_map(|&p| rest.limb(p).map(|l| &l.silhouette))
        .collect();
    Region::union_all(all)
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
        found.extend(tell(
            rest,
            Measure::Shown,
            &[&[mask.part], &mask.of[..]].concat(),
            share,
            mask.span,
            circle(&limb.silhouette),
            message,
            hint,
        ));
    }
}

/// What of a garment lies on its hosts.
fn shown(rest: &Rest<'_>, garment: &Garment, found: &mut Vec<Finding>) {
    let Some(limb) = rest.limb(garment.part) else {
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
            found.extend(tell(
                rest,
                Measure::Shown,
                &[garment.part, host],
                share,
                garment.span,
                circle(&limb.silhouette),
                message,
                hint,
            ));
        }
    }
}

/// The colour of a garment's own line against that of its trim.
fn trim(rest: &Rest<'_>, garment: &Garment, found: &mut Vec<Finding>) {
    let Some(limb) = rest.limb(garment.part) else {
        return;
    };
    let own = rest.colours(garment.part, Role::Ink, &limb.silhouette);
    let hosts: Vec<&super::limb::Limb> = garment.on.iter().filter_map(|&h| rest.limb(h)).collect();
    let covered =
        Region::union_all(hosts.iter().map(|h| &h.outline)).intersection(&limb.silhouette);
    if covered.is_empty() {
        return;
    }
    let model = rest.model();
    let host_ink = garment
        .on
        .iter()
        .flat_map(|&h| rest.colours(h, Role::Ink, &covered))
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(rgb, _)| rgb);
    let given = garment.trim.as_ref().map(|name| match name {
        ColourName::Plain(rgb) => *rgb,
        ColourName::Swatch(name) => {
            let palette = model.member.palettes.first();
            let found = palette.and_then(|p| p.swatches.get(name)).copied();
            found.unwrap_or(Rgb([0, 0, 0]))
        }
    });
    let Some(now) = given.or(host_ink) else {
        return;
    };
    // Its own line; without one, what the other garments on these hosts' neighbours agree on.
    let Some(want) = own
        .first()
        .map(|(rgb, _)| *rgb)
        .or_else(|| twin_trim(rest, garment))
    else {
        return;
    };
    let apart = difference(now, want);
    let name = &garment.name;
    let message = if garment.trim.is_some() {
        format!(
            "the trim of garment {name} is {now}, and its line is {want}: {apart:.1} apart by CIEDE2000"
        )
    } else {
        format!("garment {name} has no trim: its hosts' ink stays {now} where it should be {want}")
    };
    let hint = swatch_of(rest, want).map_or_else(
        || format!("write trim = \"{want}\""),
        |swatch| format!("write trim = \"{swatch}\""),
    );
    let parts: Vec<PartId> = std::iter::once(garment.part)
        .chain(garment.on.iter().copied())
        .collect();
    found.extend(tell(
        rest,
        Measure::Trim,
        &parts,
        apart,
        garment.span,
        circle(&covered),
        message,
        hint,
    ));
}

/// The trim of the garment of the other side, by name.
fn twin_trim(rest: &Rest<'_>, garment: &Garment) -> Option<Rgb> {
    let twin = other_side(&rest.name(garment.part))?;
    let other = rest
        .view()
        .garments
        .iter()
        .find(|g| rest.name(g.part) == twin)?;
    match other.trim.as_ref()? {
        ColourName::Plain(rgb) => Some(*rgb),
        ColourName::Swatch(name) => {
            let palette = rest.model().member.palettes.first();
            palette.and_then(|p| p.swatches.get(name)).copied()
        }
    }
}

fn swatch_of(rest: &Rest<'_>, rgb: Rgb) -> Option<String> {
    let palette = rest.model().member.palettes.first()?;
    let found = palette.swatches.iter().find(|(_, colour)| **colour == rgb);
    found.map(|(name, _)| name.clone())
}

/// Hosts in the disc of a joint that are covered at rest and bare with the joint at its limits.
fn bare(rest: &Rest<'_>, found: &mut Vec<Finding>) {
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
        let Some(joint) = Joint::new(
            &a.silhouette,
            &b.silhouette,
            rest.pivot(c),
            super::Hidden::BOTH,
        ) else {
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
                if carried(rest, part, c) {
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
        let at_rest = bare_at(0.0).area();
        let mut worst = (0.0, 0.0, Region::empty());
        for k in 0..=8 {
            let angle = limits[0] + (limits[1] - limits[0]) * f64::from(k) / 8.0;
            let left = bare_at(angle);
            let more = left.area() - at_rest;
            if more > worst.0 {
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
        let finding = tell(
            rest,
            Measure::Bare,
            &[c, p],
            share,
            seam.span,
            circle(&worst.2),
            message,
            hint,
        );
        found.extend(finding.map(|mut f| {
            f.turns = vec![(names[0].clone(), worst.1)];
            f.pose = posed(rest, &[(c, worst.1)], None);
            f
        }));
    }
}

/// True when `part` is `by` or is carried by it.
fn carried(rest: &Rest<'_>, part: PartId, by: PartId) -> bool {
    let mut now = Some(part);
    while let Some(p) = now {
        if p == by {
            return true;
        }
        now = rest.model().part(p).parent;
    }
    false
}

/// A part whose twin on the other side is masked by what this one has no mask of.
fn pairs(rest: &Rest<'_>, found: &mut Vec<Finding>) {
    let view = rest.view();
    let named = |name: &str| rest.named(name);
    for mask in &view.masks {
        if mask.keep == Keep::Outside {
            continue;
        }
        let Some(twin) = other_side(&rest.name(mask.part)).and_then(|n| named(&n)) else {
            continue;
        };
        if view.masks.iter().any(|m| m.part == twin) {
            continue;
        }
        let of: Vec<PartId> = mask
            .of
            .iter()
            .filter_map(|&p| {
                other_side(&rest.name(p))
                    .and_then(|n| named(&n))
                    .or(Some(p))
            })
            .collect();
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
        let finding = tell(
            rest,
            Measure::Spill,
            &parts,
            share.max(warning * 1.01),
            span,
            place,
            message,
            hint,
        );
        found.extend(finding.map(|mut f| {
            f.value = share;
            if share < warning {
                f.severity = Severity::Warning;
            }
            f
        }));
    }
}
