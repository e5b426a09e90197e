//! Values of a file as numbers, texts, lists; what is not as it should be is reported.

use toml::de::DeValue;

use super::field::Field;
use super::keys::Bounds;
use super::report::Report;
use crate::diag::{Problem, Span};
use crate::geom::Point;

/// The kind of a value, with its article.
fn kind(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "text",
        DeValue::Integer(_) | DeValue::Float(_) => "a number",
        DeValue::Boolean(true) => "true",
        DeValue::Boolean(false) => "false",
        DeValue::Datetime(_) => "a date",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    }
}

/// Says that a value is not what it must be.
pub(super) fn not(field: &Field<'_>, what: &str, wanted: &str, report: &mut Report) {
    not_that(field, what, wanted, &field.hint(), report);
}

pub(super) fn not_that(
    field: &Field<'_>,
    what: &str,
    wanted: &str,
    hint: &str,
    report: &mut Report,
) {
    let kind = match kind(field.value) {
        "a number" if matches!(wanted, "two numbers" | "three numbers") => "one",
        kind => kind,
    };
    let message = format!("{what} must be {wanted}, not {kind}");
    report.push(Problem::error(field.span, message).hint(hint));
}

/// A text.
pub(super) fn text<'t>(field: &Field<'t>, what: &str, report: &mut Report) -> Option<&'t str> {
    if let DeValue::String(text) = field.value {
        return Some(text);
    }
    not(field, what, "text in quotes", report);
    None
}

/// A text for people: not empty, on one line, of reasonable length.
pub(super) fn words(field: &Field<'_>, what: &str, report: &mut Report) -> Option<String> {
    let text = text(field, what, report)?;
    let wrong = if text.trim().is_empty() {
        "is empty"
    } else if text.chars().any(char::is_control) {
        "must be one line, without control characters"
    } else if text.chars().count() > 1000 {
        "is longer than 1000 characters"
    } else {
        return Some(text.trim().to_owned());
    };
    report.push(Problem::error(field.span, format!("{what} {wrong}")).hint(field.hint()));
    None
}

/// True or false.
pub(super) fn flag(field: &Field<'_>, what: &str, report: &mut Report) -> Option<bool> {
    if let DeValue::Boolean(flag) = field.value {
        return Some(*flag);
    }
    not(field, what, "true or false", report);
    None
}

/// A number, or what is wrong with it. `None` if the value is none.
fn as_number(value: &DeValue<'_>, bounds: Bounds) -> Option<Result<f64, String>> {
    let number = match value {
        DeValue::Integer(digits) => i128::from_str_radix(digits.as_str(), digits.radix())
            .map_or(f64::INFINITY, |whole| whole as f64),
        DeValue::Float(digits) => digits.as_str().parse().unwrap_or(f64::NAN),
        _ => return None,
    };
    let [least, most] = bounds;
    let named_infinite =
        matches!(value, DeValue::Float(d) if !d.as_str().contains(|c: char| c.is_ascii_digit()));
    Some(if named_infinite {
        Err("must be a finite number".into())
    } else if (least..=most).contains(&number) {
        // Minus nothing is nothing.
        Ok(number + 0.0)
    } else {
        Err(format!("must be between {least} and {most}"))
    })
}

/// A number, within the bounds of its key; else told what was `wanted`, with a hint.
pub(super) fn number_in(
    field: &Field<'_>,
    what: &str,
    wanted: &str,
    hint: &str,
    report: &mut Report,
) -> Option<f64> {
    let bounds = field.key.kind.bounds();
    match as_number(field.value, bounds.expect("a key of numbers has bounds")) {
        Some(Ok(number)) => Some(number),
        Some(Err(wrong)) => {
            report.push(Problem::error(field.span, format!("{what} {wrong}")));
            None
        }
        None => {
            not_that(field, what, wanted, hint, report);
            None
        }
    }
}

/// A number.
pub(super) fn number(field: &Field<'_>, what: &str, report: &mut Report) -> Option<f64> {
    number_in(field, what, "a number", &field.hint(), report)
}

/// A whole number.
pub(super) fn whole(field: &Field<'_>, what: &str, report: &mut Report) -> Option<f64> {
    let found = number(field, what, report)?;
    if found.fract() != 0.0 {
        let message = format!("{what} must be a whole number, not {found}");
        report.push(Problem::error(field.span, message).hint(field.hint()));
        return None;
    }
    Some(found)
}

/// Two numbers.
pub(super) fn pair(field: &Field<'_>, what: &str, report: &mut Report) -> Option<Point> {
    pair_or(field, what, &field.hint(), report)
}

/// Two numbers; else told with a hint.
pub(super) fn pair_or(
    field: &Field<'_>,
    what: &str,
    hint: &str,
    report: &mut Report,
) -> Option<Point> {
    let wanted = "two numbers";
    let Some(items) = field.items() else {
        not_that(field, what, wanted, hint, report);
        return None;
    };
    if items.len() != 2 {
        let count = items.len();
        let message = format!("{what} must be two numbers, not {count}");
        report.push(Problem::error(field.span, message).hint(hint));
        return None;
    }
    let mut both = items
        .iter()
        .map(|item| number_in(item, what, wanted, hint, report));
    let (x, y) = (both.next()?, both.next()?);
    Some([x?, y?])
}

/// Three numbers.
pub(super) fn three(field: &Field<'_>, what: &str, report: &mut Report) -> Option<[f64; 3]> {
    let wanted = "three numbers";
    let Some(items) = field.items() else {
        not(field, what, wanted, report);
        return None;
    };
    if items.len() != 3 {
        let message = format!("{what} must be three numbers, not {}", items.len());
        report.push(Problem::error(field.span, message).hint(field.hint()));
        return None;
    }
    let hint = field.hint();
    let all: Vec<_> = (items.iter())
        .map(|item| number_in(item, what, wanted, &hint, report))
        .collect();
    let all: Option<Vec<f64>> = all.into_iter().collect();
    all?.try_into().ok()
}

/// A number for both ways, or one for each; not nothing.
pub(super) fn scale(field: &Field<'_>, what: &str, report: &mut Report) -> Option<Point> {
    let factors = match field.value {
        DeValue::Array(_) => pair(field, what, report)?,
        _ => {
            let both = number_in(field, what, "a number or two", &field.hint(), report)?;
            [both, both]
        }
    };
    if factors.contains(&0.0) {
        let problem = Problem::error(field.span, format!("{what} must not be 0"))
            .hint("to hide a part, replace it by \"none\" in a pose");
        report.push(problem);
        return None;
    }
    Some(factors)
}

/// One text, or a list of them.
pub(super) fn texts<'t>(
    field: &Field<'t>,
    what: &str,
    report: &mut Report,
) -> Option<Vec<(&'t str, Span)>> {
    let wanted = "a list of texts in quotes";
    if let DeValue::String(text) = field.value {
        return Some(vec![(text, field.span)]);
    }
    let Some(items) = field.items() else {
        not(field, what, wanted, report);
        return None;
    };
    let mut all = Some(Vec::with_capacity(items.len()));
    for item in items {
        if let DeValue::String(text) = item.value {
            if let Some(all) = &mut all {
                all.push((&**text, item.span));
            }
        } else {
            not(&item, what, wanted, report);
            all = None;
        }
    }
    all
}
