//! Palettes and colours.

use indexmap::IndexMap;

use super::field::Field;
use super::fields::Fields;
use super::report::Report;
use super::tables::{table, tables};
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

/// What the palette of the colours as drawn is called, where no other is the default.
const DRAWN: &str = "drawn";

/// Reads `[swatch]` and all `[palette.<name>]`: the colours as the art is drawn, and the palettes, the default one
/// first, and where the colours as drawn are, whether in `[swatch]`. `default` is what the rig calls it, and where.
pub(super) fn palettes(
    root: &mut Fields<'_>,
    default: Option<(&str, Span)>,
    report: &mut Report,
) -> (Palette, Vec<Palette>, Option<(Span, bool)>) {
    let mut place = None;
    let drawn: Option<IndexMap<&str, Row>> = root.take("swatch").and_then(|field| {
        let fields = table(&field, "[swatch]", report)?;
        place = Some((field.name_span, true));
        Some(rows(&fields, report))
    });
    let mut read: Vec<(String, IndexMap<&str, Row>)> = Vec::new();
    for (field, inner) in tables(root, "palette", report) {
        names::check(field.name, "palette", field.name_span, report);
        place.get_or_insert((field.name_span, false));
        if inner.is_empty() && drawn.is_none() {
            let message = format!("palette {} has no swatches", quoted(field.name));
            let problem = Problem::error(field.name_span, message)
                .hint("write one colour a line, skin = \"#d99c78\"");
            report.push(problem);
        }
        read.push((field.name.to_owned(), rows(&inner, report)));
    }
    let none = IndexMap::new();
    let first = match (&drawn, read.first()) {
        (Some(drawn), _) => drawn,
        (None, Some((_, first))) => first,
        (None, None) => &none,
    };
    for (name, swatches) in &read {
        for (swatch, (_, span)) in swatches {
            if !first.contains_key(swatch) {
                let (lacking, hint) = match (&drawn, read.first()) {
                    (None, Some((first, _))) => (
                        format!("the first palette, {},", quoted(first)),
                        "add it to the first palette",
                    ),
                    _ => ("[swatch]".to_owned(), "add it there, as the art is drawn"),
                };
                let message = format!(
                    "palette {} has a swatch {} that {lacking} lacks",
                    quoted(name),
                    quoted(swatch),
                );
                let known = first.keys().copied();
                let hint = names::hint(swatch, known, hint, report);
                report.push(Problem::error(*span, message).hint(hint));
            }
        }
    }
    let as_drawn = Palette {
        name: DRAWN.to_owned(),
        swatches: first
            .iter()
            .map(|(swatch, (colour, _))| ((*swatch).to_owned(), colour.unwrap_or(Rgb([0; 3]))))
            .collect(),
    };
    let mut palettes: Vec<Palette> = read
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
    let at = |name: &str| palettes.iter().position(|palette| palette.name == name);
    match default {
        Some((name, span)) => match at(name) {
            Some(at) => palettes[..=at].rotate_right(1),
            None => {
                let known = palettes.iter().map(|palette| palette.name.as_str());
                let hint = names::hint(name, known, "write [palette.day]", report);
                let message = format!("unknown palette {}", quoted(name));
                report.missing(Problem::error(span, message).hint(hint));
            }
        },
        None if drawn.is_some() => match at(DRAWN) {
            Some(at) => palettes[..=at].rotate_right(1),
            None => palettes.insert(0, as_drawn.clone()),
        },
        None => {}
    }
    (as_drawn, palettes, place)
}

/// The swatches of a table.
fn rows<'t>(fields: &Fields<'t>, report: &mut Report) -> IndexMap<&'t str, Row> {
    let rows = fields.all().map(|swatch| {
        names::check(swatch.name, "swatch", swatch.name_span, report);
        (swatch.name, (colour(&swatch, report), swatch.name_span))
    });
    rows.collect()
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
