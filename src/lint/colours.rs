//! Colours that are no swatch.

use std::collections::BTreeSet;

use super::finding::{Check, LintFinding};
use super::subject::Subject;
use crate::art::{Outline, Rgb};
use crate::cast::swatch_of;
use crate::diag::nearest;

pub(super) fn check(subject: &Subject<'_>, found: &mut Vec<LintFinding>) {
    let palette = &subject.member.drawn;
    if subject.member.palettes.is_empty() {
        return;
    }
    let known: BTreeSet<Rgb> = palette.swatches.values().copied().collect();
    let shown = subject.drawings();
    let all = subject.library.all().iter().enumerate();
    // Zones and patches have no parts.
    let all = all.filter(|(at, _)| subject.whole() || shown.iter().any(|id| id.at() == *at));
    for (_, art) in all {
        let mut told: BTreeSet<(String, String)> = BTreeSet::new();
        for shape in &art.shapes {
            if matches!(shape.outline, Outline::Raster(_)) {
                continue;
            }
            for colour in shape.source.colours() {
                let element = if shape.id.is_empty() {
                    &art.id
                } else {
                    &shape.id
                };
                let (message, hint) = match &colour.swatch {
                    Some(name) => {
                        let swatches = || palette.swatches.keys().map(String::as_str);
                        if swatch_of(name, swatches()).is_some() {
                            continue;
                        }
                        let near = nearest(name, swatches());
                        let hint = near.map_or_else(
                            || "add the swatch to the first palette".to_owned(),
                            |near| format!("did you mean swatch-{near}?"),
                        );
                        (format!("\"swatch-{name}\" names no swatch"), hint)
                    }
                    None if known.contains(&colour.rgb) => continue,
                    None => {
                        let (near, swatch) = closest(colour.rgb, palette);
                        let hint = format!("the nearest swatch is {near}, {swatch}");
                        (
                            format!("{} of \"{element}\" is no swatch", colour.rgb),
                            hint,
                        )
                    }
                };
                if told.insert((element.clone(), message.clone())) {
                    let place = subject.marks.element(&art.file, element);
                    let check = Check::OffPalette;
                    found.push(LintFinding::error(check, &art.id, place, message, &hint));
                }
            }
        }
    }
}

/// The swatch whose colour is nearest by the sum of squares: a hint, no measure.
fn closest(Rgb(c): Rgb, palette: &crate::cast::Palette) -> (&str, Rgb) {
    let far = |Rgb(o): &Rgb| -> i32 {
        let d = |k: usize| i32::from(c[k]) - i32::from(o[k]);
        d(0) * d(0) + d(1) * d(1) + d(2) * d(2)
    };
    let best = palette.swatches.iter().min_by_key(|(_, o)| far(o));
    best.map_or(("none", Rgb([0; 3])), |(name, rgb)| (name.as_str(), *rgb))
}
