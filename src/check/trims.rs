//! Trims: whose line has whose colour.

use super::at_rest::{AtRest, circle};
use super::finding::Finding;
use super::limb::{Limb, Rest};
use crate::art::{Rgb, Role, difference};
use crate::cast::{Garment, Measure, PartId};
use crate::geom::Region;

/// The colour of a garment's own line against that of its trim.
pub(super) fn check(rest: &Rest<'_>, garment: &Garment, found: &mut Vec<Finding>) {
    let (Some(limb), Some(id)) = (rest.garment(garment.part), rest.worn_art(garment.part)) else {
        return;
    };
    let place = rest.model().place[garment.part.at()];
    let own = rest.colours_of(id, &place, Role::Ink, &limb.silhouette, 0);
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
    // Its own line; without one, the trim of the garment of the other side.
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
    found.extend(
        AtRest {
            measure: Measure::Trim,
            parts: &parts,
            value: apart,
            span: garment.span,
            place: circle(&covered),
            message,
            hint,
        }
        .judged(rest),
    );
}

/// The trim of the garment of the other side, by name. Of two that differ, the one that fewer garments have is the
/// odd one.
fn twin_trim(rest: &Rest<'_>, garment: &Garment) -> Option<Rgb> {
    let twin = rest.twin(garment.part)?;
    let all = &rest.view().garments;
    let trim = |g: &Garment| rest.named_colour(g.trim.as_ref()?, 0);
    let other = trim(all.iter().find(|g| g.part == twin)?)?;
    let have = |colour: Rgb| all.iter().filter(|g| trim(g) == Some(colour)).count();
    let odd = trim(garment).is_none_or(|own| have(own) <= have(other));
    odd.then_some(other)
}

fn swatch_of(rest: &Rest<'_>, rgb: Rgb) -> Option<String> {
    let palette = rest.model().member.palettes.first()?;
    let found = palette.swatches.iter().find(|(_, colour)| **colour == rgb);
    found.map(|(name, _)| name.clone())
}
