//! Palettes and colours.

use indexmap::IndexMap;

use super::field::Field;
use super::fields::Fields;
use super::report::Report;
use super::tables::tables;
use super::value::text;
use super::{ColourName, Palette, names};
use crate::art::Rgb;
use crate::diag::{Problem, Span, quoted};

/// What is hinted for a colour that cannot be read.
const FORM: &str = "write \"#rrggbb\"";

/// Reads `#rrggbb` or `#rgb`.
pub(super) fn parse(text: &str) -> Option<Rgb> {
    let digits = text.strip_prefix('#')?;
    if !digits.bytes().all(|b| b.is_ascii_hexdigit()) {
        return None;
    }
    let number = u32::from_str_radix(digits, 16).ok()?;
    let [_, a, b, c] = number.to_be_bytes();
    match digits.len() {
        6 => Some(Rgb([a, b, c])),
        3 => Some(Rgb([(b & 15) * 17, (c >> 4) * 17, (c & 15) * 17])),
        _ => None,
    }
}

/// The colours of a swatch, by palette, and where they are written.
type Row = (Option<Rgb>, Span);

/// Reads all `[palette.<name>]`.
pub(super) fn palettes(root: &mut Fields<'_>, report: &mut Report) -> Vec<Palette> {
    let mut read: Vec<(String, IndexMap<&str, Row>)> = Vec::new();
    for (field, inner) in tables(root, "palette", report) {
        names::check(field.name, "palette", field.name_span, report);
        if inner.is_empty() {
            let message = format!("palette {} has no swatches", quoted(field.name));
            let problem = Problem::error(field.name_span, message)
                .hint("write one colour a line, skin = \"#d99c78\"");
            report.push(problem);
        }
        let swatches = inner.all().map(|swatch| {
            names::check(swatch.name, "swatch", swatch.name_span, report);
            (swatch.name, (colour(&swatch, report), swatch.name_span))
        });
        read.push((field.name.to_owned(), swatches.collect()));
    }
    let Some((first_name, first)) = read.first() else {
        return Vec::new();
    };
    for (name, swatches) in &read[1..] {
        for (swatch, (_, span)) in swatches {
            if !first.contains_key(swatch) {
                let message = format!(
                    "palette {} has a swatch {} that the first palette, {}, lacks",
                    quoted(name),
                    quoted(swatch),
                    quoted(first_name)
                );
                let known = first.keys().copied();
                let hint = names::hint(swatch, known, "add it to the first palette", report);
                report.push(Problem::error(*span, message).hint(hint));
            }
        }
    }
    let palettes: Vec<Palette> = read
        .iter()
        .map(|(name, swatches)| Palette {
            name: name.clone(),
            swatches: first
                .iter()
                .map(|(swatch, (colour, _))| {
                    let own = swatches.get(swatch).and_then(|(own, _)| *own);
                    let colour = own.or(*colour).unwrap_or(Rgb([0; 3]));
                    ((*swatch).to_owned(), colour)
                })
                .collect(),
        })
        .collect();
    twins(first, &palettes, report);
    palettes
}

/// Warns of swatches that are one colour in the first palette and two in another: art that is
/// matched by colour cannot be told apart.
fn twins(first: &IndexMap<&str, Row>, palettes: &[Palette], report: &mut Report) {
    let mut by_colour: IndexMap<Rgb, usize> = IndexMap::new();
    for (at, (name, (colour, span))) in first.iter().enumerate() {
        let Some(colour) = colour else { continue };
        let Some(&twin) = by_colour.get(colour) else {
            by_colour.insert(*colour, at);
            continue;
        };
        let differs = |p: &&Palette| {
            p.swatches.get_index(twin).map(|s| s.1) != p.swatches.get_index(at).map(|s| s.1)
        };
        if let Some(palette) = palettes.iter().find(differs) {
            let (other, (_, other_span)) = first.get_index(twin).expect("its own index");
            let message = format!(
                "swatches {} and {} are the same colour here but not in palette {}",
                quoted(other),
                quoted(name),
                quoted(&palette.name)
            );
            let hint = format!(
                "art of this colour will take {}, unless its id is swatch-{name}",
                quoted(other)
            );
            report.push(
                Problem::warning(*span, message)
                    .also(*other_span, "the other")
                    .hint(hint),
            );
        }
    }
}

fn colour(field: &Field<'_>, report: &mut Report) -> Option<Rgb> {
    let what = format!("swatch {}", quoted(field.name));
    let text = text(field, &what, report)?;
    let colour = parse(text);
    if colour.is_none() {
        let message = format!("{what} is no colour: {}", quoted(text));
        report.push(Problem::error(field.span, message).hint(FORM));
    }
    colour
}

/// Reads a swatch's name or a colour.
pub(super) fn named(
    field: &Field<'_>,
    what: &str,
    palettes: &[Palette],
    report: &mut Report,
) -> Option<ColourName> {
    let text = text(field, what, report)?;
    if text.starts_with('#') {
        let colour = parse(text);
        if colour.is_none() {
            let message = format!("{what} is no colour: {}", quoted(text));
            report.push(Problem::error(field.span, message).hint(FORM));
        }
        return colour.map(ColourName::Plain);
    }
    let first = palettes.first();
    if first.is_some_and(|palette| palette.swatches.contains_key(text)) {
        return Some(ColourName::Swatch(text.to_owned()));
    }
    let known = first.into_iter().flat_map(|p| p.swatches.keys());
    let none = "declare it in [palette.day], or write \"#rrggbb\"";
    let hint = names::hint(text, known.map(String::as_str), none, report);
    let message = format!("unknown swatch {}", quoted(text));
    report.missing(Problem::error(field.span, message).hint(hint));
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn colours_are_six_or_three_digits() {
        assert_eq!(parse("#d99C78"), Some(Rgb([0xd9, 0x9c, 0x78])));
        assert_eq!(parse("#1af"), Some(Rgb([0x11, 0xaa, 0xff])));
        for wrong in [
            "", "#", "d99c78", "#12", "#1234", "#d99c7", "#d99c789", "#+12345", "#ggg", "#ééé",
        ] {
            assert_eq!(parse(wrong), None, "{wrong}");
        }
    }
}
