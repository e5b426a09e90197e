//! `[check]`: from what on a measure of `layfig check` is a warning, and from what on an error.

use toml::de::DeValue;

use super::fields::{Field, Fields};
use super::report::Report;
use super::types::{CheckLimits, Measure};
use super::value::{list, not, number_of, table, tables};
use crate::diag::{Problem, Span, quoted};

/// `[check]` before the names of parts are known.
#[derive(Debug, Default)]
pub(super) struct CheckDraft {
    /// Limits for all parts.
    pub all: CheckLimits,
    /// Of one part: its name, where that is written, and what is said of it.
    pub parts: Vec<(String, Span, Said)>,
}

/// What a table says: for each measure that it names, two limits or off.
pub(super) type Said = Vec<(Measure, Option<[f64; 2]>)>;

/// Reads `[check]` and `[check.part.<name>]`.
pub(super) fn check(root: &mut Fields<'_>, report: &mut Report) -> CheckDraft {
    let mut draft = CheckDraft::default();
    let Some(field) = root.take("check") else {
        return draft;
    };
    let hint = "write [check] and under it jut = [8, 16]";
    let Some(mut fields) = table(&field, "[check]", hint, report) else {
        return draft;
    };
    for (named, inner) in tables(&mut fields, "part", report) {
        let said = measures(inner, report);
        draft
            .parts
            .push((named.name.to_owned(), named.name_span, said));
    }
    for (measure, limits) in measures(fields, report) {
        draft.all.set(measure, limits);
    }
    draft
}

fn measures(mut fields: Fields<'_>, report: &mut Report) -> Said {
    let mut said = Vec::new();
    for measure in Measure::ALL {
        if let Some(field) = fields.take(measure.key())
            && let Some(limits) = limits(&field, measure, report)
        {
            said.push((measure, limits));
        }
    }
    fields.finish(report);
    said
}

/// Two limits, or `"off"`.
fn limits(field: &Field<'_>, measure: Measure, report: &mut Report) -> Option<Option<[f64; 2]>> {
    let key = measure.key();
    let [warning, error] = measure.default_limits();
    let what = quoted(key);
    let hint = format!("write {key} = [{warning}, {error}], or {key} = \"off\"");
    if let DeValue::String(word) = field.value {
        if word == "off" {
            return Some(None);
        }
        let message = format!("{what} cannot be {}", quoted(word));
        report.push(Problem::error(field.span, message).hint(hint));
        return None;
    }
    let Some(items) = list(field.value) else {
        let wanted = "a warning and an error limit";
        not(field.value, field.span, &what, wanted, &hint, report);
        return None;
    };
    if items.len() != 2 {
        let message = format!("{what} must be two numbers, not {}", items.len());
        report.push(Problem::error(field.span, message).hint(hint));
        return None;
    }
    let mut pair = [0.0; 2];
    for (into, item) in pair.iter_mut().zip(items) {
        *into = number_of(item, report, &what, [0.0, 1e6], &hint)?;
    }
    let turned = if measure.is_least() {
        pair[1] > pair[0]
    } else {
        pair[1] < pair[0]
    };
    if turned {
        let side = if measure.is_least() {
            "the less there is the worse: the error limit of"
        } else {
            "the more there is the worse: the error limit of"
        };
        let beyond = if measure.is_least() { "above" } else { "below" };
        let message = format!("{side} {what} is {beyond} its warning limit");
        let hint = format!("write {key} = [{}, {}]", pair[1], pair[0]);
        report.push(Problem::error(field.span, message).hint(hint));
        return None;
    }
    Some(Some(pair))
}
