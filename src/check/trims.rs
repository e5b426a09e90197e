//! Trims: whose line has whose colour, and whether a garment reaches the ink that it is to recolour.

use super::colour::difference;
use super::finding::Finding;
use super::limb::{Limb, Rest, other_side};
use super::wear::{circle, tell};
use crate::art::{Rgb, Role};
use crate::cast::{Garment, Measure, PartId};
use crate::geom::{Circle, Point, Region};

/// How closely a host's edge is walked along, units.
const STEP: f64 = 2.0;
/// A garment's own end may cross the ink aslant: shorter runs than this many line widths are no fault.
const ASLANT: f64 = 2.5;

/// The colour of a garment's own line against that of its trim.
pub(super) fn check(rest: &Rest<'_>, garment: &Garment, found: &mut Vec<Finding>) {
    let Some(limb) = rest.limb(garment.part) else {
        return;
    };
    edge(rest, garment, found);
    let own = rest.colours(garment.part, Role::Ink, &limb.silhouette, 0);
    let hosts: Vec<&Limb> = garment.on.iter().filter_map(|&h| rest.limb(h)).collect();
    let covered =
        Region::union_all(hosts.iter().map(|h| &h.outline)).intersection(&limb.silhouette);
    if covered.is_empty() {
        return;
    }
    let host_ink = garment
        .on
        .iter()
        .flat_map(|&h| rest.colours(h, Role::Ink, &covered, 0))
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(rgb, _)| rgb);
    let given = garment
        .trim
        .as_ref()
        .and_then(|name| rest.named_colour(name, 0));
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
    rest.named_colour(other.trim.as_ref()?, 0)
}

fn swatch_of(rest: &Rest<'_>, rgb: Rgb) -> Option<String> {
    let palette = rest.model().member.palettes.first()?;
    let found = palette.swatches.iter().find(|(_, colour)| **colour == rgb);
    found.map(|(name, _)| name.clone())
}

/// The stretches of a host's edge that a garment runs along without reaching the ink: the ink there keeps the
/// host's colour, and the host's paint shows as a rim.
fn edge(rest: &Rest<'_>, garment: &Garment, found: &mut Vec<Finding>) {
    let Some(worn) = rest.limb(garment.part) else {
        return;
    };
    for &host in &garment.on {
        let Some(limb) = rest.limb(host).filter(|l| l.line > 0.0) else {
            continue;
        };
        let (along, short, at) = walk(limb, &worn.silhouette);
        if along <= 0.0 {
            continue;
        }
        let names = [garment.part, host].map(|p| rest.name(p));
        let message = format!(
            "garment {} stops short of the ink of {} for {short:.0} of the {along:.0} units that it runs along it: the trim is missing there",
            garment.name, names[1]
        );
        let hint = format!(
            "draw {} wider than {}, or put it in its place",
            names[0], names[1]
        );
        let place = Circle {
            centre: at,
            radius: (6.0 * limb.line).max(12.0),
        };
        found.extend(tell(
            rest,
            Measure::Edge,
            &[garment.part, host],
            100.0 * short / along,
            garment.span,
            Some(place),
            message,
            hint,
        ));
    }
}

/// How long a garment runs along a host's edge, how much of that it stops short of the ink, and where most.
fn walk(limb: &Limb, worn: &Region) -> (f64, f64, Point) {
    let (mut along, mut short) = (0.0, 0.0);
    let (mut run, mut start) = (0.0, [0.0, 0.0]);
    let mut longest = (0.0, [0.0, 0.0]);
    let mut end = |run: &mut f64, start: Point, to: Point| {
        if *run > ASLANT * limb.line {
            short += *run;
            if *run > longest.0 {
                longest = (*run, [(start[0] + to[0]) / 2.0, (start[1] + to[1]) / 2.0]);
            }
        }
        *run = 0.0;
    };
    for (a, b) in limb.silhouette.edges() {
        let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
        let length = libm::hypot(dx, dy);
        if length <= 1e-9 {
            continue;
        }
        let n = libm::ceil(length / STEP).clamp(1.0, 500.0);
        let step = length / n;
        let normal = [-dy / length, dx / length];
        let beside = |p: Point, by: f64| [p[0] + normal[0] * by, p[1] + normal[1] * by];
        let mut k = 0.5;
        while k < n {
            let p = [a[0] + dx * k / n, a[1] + dy * k / n];
            k += 1.0;
            // Which side is inside depends on the way the contour goes round.
            let side = if limb.silhouette.contains(beside(p, 0.25 * limb.line)) {
                1.0
            } else {
                -1.0
            };
            if !worn.contains(beside(p, side * 1.75 * limb.line)) {
                end(&mut run, start, p);
                continue;
            }
            along += step;
            if worn.contains(beside(p, side * 0.5 * limb.line)) {
                end(&mut run, start, p);
            } else {
                if run == 0.0 {
                    start = p;
                }
                run += step;
            }
        }
    }
    end(&mut run, start, start);
    (along, short, longest.1)
}
