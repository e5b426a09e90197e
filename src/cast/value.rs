//! Values of a file as numbers, texts, lists; what is not as it should be is reported.

use toml::Spanned;
use toml::de::DeValue;

use super::field::Field;
use super::fields::Fields;
use super::report::Report;
use crate::diag::{Problem, Span};
use crate::geom::Point;

/// Least and greatest value that makes sense.
pub(crate) type Bounds = [f64; 2];

/// Lengths and places, user units.
pub(crate) const LENGTHS: Bounds = [-1e6, 1e6];
/// Angles, degrees.
pub(crate) const ANGLES: Bounds = [-36_000.0, 36_000.0];
/// Factors.
pub(crate) const FACTORS: Bounds = [-1e6, 1e6];
/// Angles of skew, degrees: at a right angle nothing is left of a drawing.
pub(crate) const SKEWS: Bounds = [-89.0, 89.0];

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
pub(super) fn not(
    value: &DeValue<'_>,
    span: Span,
    what: &str,
    wanted: &str,
    hint: &str,
    report: &mut Report,
) {
    let kind = match kind(value) {
        "a number" if wanted == "two numbers" => "one",
        kind => kind,
    };
    let message = format!("{what} must be {wanted}, not {kind}");
    report.push(Problem::error(span, message).hint(hint));
}

/// A text.
pub(super) fn text<'t>(
    field: &Field<'t>,
    what: &str,
    hint: &str,
    report: &mut Report,
) -> Option<&'t str> {
    if let DeValue::String(text) = field.value {
        return Some(text);
    }
    not(
        field.value,
        field.span,
        what,
        "text in quotes",
        hint,
        report,
    );
    None
}

/// A text for people: not empty, on one line, of reasonable length.
pub(super) fn words(
    field: &Field<'_>,
    what: &str,
    hint: &str,
    report: &mut Report,
) -> Option<String> {
    let text = text(field, what, hint, report)?;
    let wrong = if text.trim().is_empty() {
        "is empty"
    } else if text.chars().any(char::is_control) {
        "must be one line, without control characters"
    } else if text.chars().count() > 1000 {
        "is longer than 1000 characters"
    } else {
        return Some(text.trim().to_owned());
    };
    report.push(Problem::error(field.span, format!("{what} {wrong}")).hint(hint));
    None
}

/// True or false.
pub(super) fn flag(field: &Field<'_>, what: &str, report: &mut Report) -> Option<bool> {
    if let DeValue::Boolean(flag) = field.value {
        return Some(*flag);
    }
    let hint = format!("write {} = true", field.name);
    not(
        field.value,
        field.span,
        what,
        "true or false",
        &hint,
        report,
    );
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

fn number_at(
    value: &DeValue<'_>,
    span: Span,
    what: &str,
    bounds: Bounds,
    wanted: &str,
    hint: &str,
    report: &mut Report,
) -> Option<f64> {
    match as_number(value, bounds) {
        Some(Ok(number)) => Some(number),
        Some(Err(wrong)) => {
            report.push(Problem::error(span, format!("{what} {wrong}")));
            None
        }
        None => {
            not(value, span, what, wanted, hint, report);
            None
        }
    }
}

/// A number.
pub(super) fn number(
    field: &Field<'_>,
    what: &str,
    bounds: Bounds,
    hint: &str,
    report: &mut Report,
) -> Option<f64> {
    number_at(
        field.value,
        field.span,
        what,
        bounds,
        "a number",
        hint,
        report,
    )
}

/// A whole number; `example` is for the hint.
pub(super) fn whole(
    field: &Field<'_>,
    bounds: Bounds,
    example: u32,
    report: &mut Report,
) -> Option<f64> {
    let what = crate::diag::quoted(field.name);
    let hint = format!("write a whole number, {} = {example}", field.name);
    let found = number(field, &what, bounds, &hint, report)?;
    if found.fract() != 0.0 {
        let message = format!("{what} must be a whole number");
        report.push(Problem::error(field.span, message).hint(hint));
        return None;
    }
    Some(found)
}

/// Two numbers.
pub(super) fn pair(
    field: &Field<'_>,
    what: &str,
    bounds: Bounds,
    hint: &str,
    report: &mut Report,
) -> Option<Point> {
    pair_at(field.value, field.span, what, bounds, hint, report)
}

/// Two numbers.
pub(super) fn pair_at(
    value: &DeValue<'_>,
    span: Span,
    what: &str,
    bounds: Bounds,
    hint: &str,
    report: &mut Report,
) -> Option<Point> {
    let DeValue::Array(items) = value else {
        not(value, span, what, "two numbers", hint, report);
        return None;
    };
    if items.len() != 2 {
        let count = items.len();
        let message = format!("{what} must be two numbers, not {count}");
        report.push(Problem::error(span, message).hint(hint));
        return None;
    }
    let mut both = items
        .iter()
        .map(|item| number_of(item, report, what, bounds, hint));
    let (x, y) = (both.next()?, both.next()?);
    Some([x?, y?])
}

/// A number for both ways, or one for each; not nothing.
pub(super) fn scale(field: &Field<'_>, what: &str, report: &mut Report) -> Option<Point> {
    let hint = format!("write {} = 1.2, or [1.2, 0.9] for each way", field.name);
    let factors = match field.value {
        DeValue::Array(_) => pair(field, what, FACTORS, &hint, report)?,
        _ => {
            let wanted = "a number or two";
            let both = number_at(
                field.value,
                field.span,
                what,
                FACTORS,
                wanted,
                &hint,
                report,
            )?;
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

/// One number of a list.
pub(super) fn number_of(
    item: &Spanned<DeValue<'_>>,
    report: &mut Report,
    what: &str,
    bounds: Bounds,
    hint: &str,
) -> Option<f64> {
    let span = report.span(item.span());
    number_at(
        item.get_ref(),
        span,
        what,
        bounds,
        "two numbers",
        hint,
        report,
    )
}

/// The items of a list.
pub(super) fn list<'t>(value: &'t DeValue<'t>) -> Option<&'t [Spanned<DeValue<'t>>]> {
    match value {
        DeValue::Array(items) => Some(items),
        _ => None,
    }
}

/// One text, or a list of them.
pub(super) fn texts<'t>(
    field: &Field<'t>,
    what: &str,
    hint: &str,
    report: &mut Report,
) -> Option<Vec<(&'t str, Span)>> {
    if let DeValue::String(text) = field.value {
        return Some(vec![(text, field.span)]);
    }
    let Some(items) = list(field.value) else {
        not(
            field.value,
            field.span,
            what,
            "a list of texts in quotes",
            hint,
            report,
        );
        return None;
    };
    let mut all = Some(Vec::with_capacity(items.len()));
    for item in items {
        let span = report.span(item.span());
        if let DeValue::String(text) = item.get_ref() {
            if let Some(all) = &mut all {
                all.push((&**text, span));
            }
        } else {
            not(
                item.get_ref(),
                span,
                what,
                "a list of texts in quotes",
                hint,
                report,
            );
            all = None;
        }
    }
    all
}

/// A table.
pub(super) fn table<'t>(
    field: &Field<'t>,
    what: &str,
    hint: &str,
    report: &mut Report,
) -> Option<Fields<'t>> {
    if let DeValue::Table(table) = field.value {
        return Some(Fields::open(what, field.name_span, table, report));
    }
    not(field.value, field.span, what, "a table", hint, report);
    None
}

/// The tables in a table of tables, `[part.hand]` in `[part]`: each with its name.
pub(super) fn tables<'t>(
    root: &mut Fields<'t>,
    key: &'static str,
    report: &mut Report,
) -> Vec<(Field<'t>, Fields<'t>)> {
    let Some(field) = root.take(key) else {
        return Vec::new();
    };
    let hint = format!("write [{key}.name]");
    let Some(outer) = table(&field, &format!("[{key}]"), &hint, report) else {
        return Vec::new();
    };
    outer
        .all()
        .filter_map(|field| {
            let what = format!("[{key}.{}]", shown(field.name));
            let inner = table(&field, &what, &hint, report)?;
            Some((field, inner))
        })
        .collect()
}

/// A name as it stands in a header, shortened and made safe.
fn shown(name: &str) -> String {
    let quoted = crate::diag::quoted(name);
    let bare = !name.is_empty()
        && name
            .chars()
            .all(|c| c.is_ascii_alphanumeric() || c == '_' || c == '-');
    if bare {
        quoted.trim_matches('"').to_owned()
    } else {
        quoted
    }
}
