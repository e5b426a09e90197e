//! A new pivot in a rig's text; every other byte stays.

use toml_edit::{Document, Item, Value};

use crate::diag::quoted;
use crate::geom::Point;

/// Why a pivot was not written.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NotWritten {
    /// The text is not TOML.
    #[error("the file cannot be read as TOML: {0}")]
    Broken(String),
    /// There are no two numbers to edit: the part, and what there is.
    #[error("the pivot of [part.{0}] is {1}, not two numbers")]
    Other(String, String),
    /// The file says something else than when it was read.
    #[error("the pivot of [part.{0}] is another one now than when the rig was read")]
    Changed(String),
}

/// The text with another pivot for a part: only the digits of its two numbers are exchanged.
///
/// # Errors
///
/// When the text has no such pivot, or it is not `from`.
pub fn with_pivot(text: &str, part: &str, from: Point, to: Point) -> Result<String, NotWritten> {
    // A mark at the start is no TOML, and no part of what is edited.
    let bare = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mark = text.len() - bare.len();
    let spans = spans(bare, part, from)?;
    let mut out = text.to_owned();
    for (span, (old, new)) in spans.into_iter().zip(from.into_iter().zip(to)).rev() {
        if old != new {
            let span = span.start + mark..span.end + mark;
            out.replace_range(span, &number(new));
        }
    }
    Ok(out)
}

/// Where the two numbers are.
fn spans(
    text: &str,
    part: &str,
    expected: Point,
) -> Result<Vec<std::ops::Range<usize>>, NotWritten> {
    let document = Document::parse(text).map_err(|e| NotWritten::Broken(e.message().to_owned()))?;
    let own = document
        .as_table()
        .get("part")
        .and_then(|parts| parts.get(part));
    let item = own.and_then(|own| own.get("pivot"));
    let missing = || NotWritten::Other(part.to_owned(), instead(own, item));
    let pivot = item
        .and_then(Item::as_array)
        .filter(|pair| pair.len() == 2)
        .ok_or_else(missing)?;
    let mut spans = Vec::new();
    for (value, expected) in pivot.iter().zip(expected) {
        let found = match value {
            #[expect(clippy::cast_precision_loss, reason = "pivots are far below 2^53")]
            Value::Integer(n) => *n.value() as f64,
            Value::Float(n) => *n.value(),
            _ => return Err(missing()),
        };
        if found != expected {
            return Err(NotWritten::Changed(part.to_owned()));
        }
        spans.push(value.span().ok_or_else(missing)?);
    }
    Ok(spans)
}

/// What there is in place of two numbers.
fn instead(part: Option<&Item>, pivot: Option<&Item>) -> String {
    if let Some(mark) = pivot.and_then(Item::as_str) {
        return format!("a mark, {}", quoted(mark));
    }
    let of = |key| {
        pivot
            .and_then(|pivot| pivot.get(key))
            .and_then(Item::as_str)
    };
    let mirrored = part.and_then(|part| part.get("mirror_of"));
    match (of("of"), mirrored.and_then(Item::as_str), pivot) {
        (Some(other), ..) => format!("that of {}", quoted(other)),
        (_, Some(other), None) => format!("that of {} on the other side", quoted(other)),
        (.., None) => "not in this file".to_owned(),
        _ => "something else".to_owned(),
    }
}

/// A number as people write it: at most two decimals.
fn number(v: f64) -> String {
    let text = format!("{v:.2}");
    let short = text.trim_end_matches('0').trim_end_matches('.');
    if short == "-0" { "0" } else { short }.to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_digits_change() {
        let text = "\u{feff}# head\r\n[part.arm] # the arm\r\npivot  = [ 12,\t# x\r\n  3.50 , ] # both\r\n\
                    art = \"a.svg#arm\"\r\n\r\n[part.leg]\r\npivot = [12, 3.5]\r\n";
        let got = with_pivot(text, "arm", [12.0, 3.5], [13.257, -4.0]).unwrap();
        let want = text.replacen("12", "13.26", 1).replacen("3.50", "-4", 1);
        assert_eq!(got, want);
        let leg = with_pivot(text, "leg", [12.0, 3.5], [12.0, 4.1]).unwrap();
        assert_eq!(leg, text.replace("[12, 3.5]", "[12, 4.1]"));
        let inline = "part = { arm = { pivot = [1, 2] } }\npart.leg.pivot=[3,4]";
        assert!(with_pivot(inline, "leg", [3.0, 4.0], [3.5, 4.0]).is_err());
        let dotted = "part.leg.pivot=[3,4]\n";
        let got = with_pivot(dotted, "leg", [3.0, 4.0], [3.5, 4.0]);
        assert_eq!(got.as_deref(), Ok("part.leg.pivot=[3.5,4]\n"));
    }

    #[test]
    fn what_cannot_be_edited_says_why() {
        let text = "part.ear = {}\n[part.arm]\npivot = [1, 2]\n[part.leg]\npivot = \"#here\"\n\
                    [part.sleeve]\npivot = { of = \"arm\" }\n[part.other]\nmirror_of = \"arm\"\n";
        let why = |part, from| {
            with_pivot(text, part, from, [0.0, 0.0])
                .unwrap_err()
                .to_string()
        };
        for (part, what) in [
            ("leg", "a mark, \"#here\""),
            ("sleeve", "that of \"arm\""),
            ("other", "that of \"arm\" on the other side"),
            ("ear", "not in this file"),
            ("hand", "not in this file"),
        ] {
            let message = format!("the pivot of [part.{part}] is {what}, not two numbers");
            assert_eq!(why(part, [1.0, 2.0]), message);
        }
        let changed = with_pivot(text, "arm", [1.0, 2.5], [0.0, 0.0]);
        assert_eq!(changed, Err(NotWritten::Changed("arm".into())));
        let broken = with_pivot("[part", "arm", [1.0, 2.0], [0.0, 0.0]);
        assert!(matches!(broken, Err(NotWritten::Broken(_))));
    }
}
