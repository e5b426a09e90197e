//! Colours of the art that are no swatch: no palette recolours them.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use indexmap::IndexMap;

use super::{Member, Zone, swatch_of};
use crate::art::{Library, Outline, PartArt, Rgb, difference};
use crate::diag::{Problem, Span};

/// What a check of `layfig lint` calls them.
const CHECK: &str = "off-palette";

/// A warning of each such colour, the last with all of them as swatches to paste. `place` is where swatches are
/// declared, and whether that is `[swatch]`.
pub(super) fn warnings(
    member: &Member,
    library: &Library,
    (place, is_swatch): (Span, bool),
) -> Vec<Problem> {
    let found = colours(member, library);
    let swatches = &member.drawn.swatches;
    let mut names: BTreeSet<String> = swatches.keys().cloned().collect();
    let mut block = String::new();
    if !is_swatch {
        block.push_str("the first palette holds the colours as drawn; layfig migrate --write gives them a table of their own, then ");
    }
    block.push_str("paste under [swatch], and name them as you like:");
    for rgb in found.keys() {
        let name = new_name(*rgb, swatches, &names);
        let _ = write!(block, "\n{name} = \"{rgb}\"");
        names.insert(name);
    }
    let last = found.len();
    let warnings = found.iter().enumerate().map(|(at, (rgb, elements))| {
        let first = elements.first().map_or("", String::as_str);
        let more = match elements.len() {
            0 | 1 => String::new(),
            2 => " and of another element".to_owned(),
            n => format!(" and of {} more elements", n - 1),
        };
        let message = format!("{rgb} of {first}{more} is no swatch: no palette recolours it");
        let warning = Problem::warning(place, message);
        if at + 1 == last {
            warning.hint(&*block)
        } else {
            warning
        }
    });
    warnings.collect()
}

/// The colours in the order of the art, with the elements that have them.
fn colours(member: &Member, library: &Library) -> IndexMap<Rgb, Vec<String>> {
    let swatches = &member.drawn.swatches;
    let mut found = IndexMap::new();
    if swatches.is_empty() {
        return found;
    }
    let known: BTreeSet<Rgb> = swatches.values().copied().collect();
    let seams = member.views.iter().flat_map(|view| &view.seams);
    // What a zone looks like nobody sees.
    let zones: BTreeSet<usize> = seams
        .filter_map(|seam| match seam.zone {
            Zone::Art(zone) => Some(zone.at()),
            _ => None,
        })
        .collect();
    let is_meant = |art: &PartArt| {
        let mut meant = member.allowed.iter().filter(|a| a.check == CHECK);
        meant.any(|a| a.of.is_empty() || a.of.contains(&art.id))
    };
    for (at, art) in library.all().iter().enumerate() {
        if zones.contains(&at) || is_meant(art) {
            continue;
        }
        for shape in &art.shapes {
            if matches!(shape.outline, Outline::Raster(_)) {
                continue;
            }
            for colour in shape.source.colours() {
                let names = swatches.keys().map(String::as_str);
                let by_id = colour.swatch.as_ref();
                let is_named = by_id.is_some_and(|id| swatch_of(id, names).is_some());
                if is_named || known.contains(&colour.rgb) {
                    continue;
                }
                let id = if shape.id.is_empty() {
                    &art.id
                } else {
                    &shape.id
                };
                let file = art.file.file_name().unwrap_or_default().to_string_lossy();
                let element = format!("{file}#{id}");
                let elements: &mut Vec<String> = found.entry(colour.rgb).or_default();
                if !elements.contains(&element) {
                    elements.push(element);
                }
            }
        }
    }
    found
}

/// A name for a colour: that of the swatch that looks most like it, with a number.
fn new_name(rgb: Rgb, swatches: &IndexMap<String, Rgb>, taken: &BTreeSet<String>) -> String {
    let far = |other: &Rgb| difference(rgb, *other);
    let near = swatches.iter().min_by(|a, b| far(a.1).total_cmp(&far(b.1)));
    let near = near.map_or("colour", |(name, _)| name.as_str());
    let mut numbers = 2_u32..;
    let free = numbers.find_map(|n| {
        let name = format!("{near}_{n}");
        (!taken.contains(&name)).then_some(name)
    });
    free.unwrap_or_default()
}
