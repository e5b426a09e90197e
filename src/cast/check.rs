//! `[check]`: from what on a measure of `layfig check` is a warning, and from what on an error.

use toml::de::DeValue;

use super::field::Field;
use super::fields::Fields;
use super::report::Report;
use super::tables::{table, tables};
use super::types::{CheckLimits, Measure, NameId};
use super::value::{not_that, pair_or};
use crate::diag::{Problem, Span, nearest, quoted};

/// `[check]` before the names of parts are known.
#[derive(Debug, Default)]
pub(super) struct CheckDraft {
    /// Of all parts.
    pub all: PoseEntry,
    /// Of one part: its name, where that is written, and what is said of it.
    pub parts: Vec<(String, Span, PoseEntry)>,
}

/// What a table says: for each measure that it names, two limits or off.
pub(super) type PoseEntry = Vec<(Measure, Option<[f64; 2]>)>;

/// Reads `[check]` and `[check.part.<name>]`.
pub(super) fn check(root: &mut Fields<'_>, report: &mut Report) -> CheckDraft {
    let mut draft = CheckDraft::default();
    let Some(field) = root.take("check") else {
        return draft;
    };
    let Some(mut fields) = table(&field, "[check]", report) else {
        return draft;
    };
    for (named, inner) in tables(&mut fields, "part", report) {
        let said = measures(inner, report);
        draft
            .parts
            .push((named.name.to_owned(), named.name_span, said));
    }
    draft.all = measures(fields, report);
    draft
}

/// What the parts of a view are checked by: all of them, and single ones.
pub(super) type Limits = (CheckLimits, Vec<(NameId, CheckLimits)>);

/// What the rig says, and over it what the view's own file says.
pub(super) fn limits_of_view(rig: &CheckDraft, own: &CheckDraft, names: &[String]) -> Limits {
    let mut all = CheckLimits::default();
    for &(measure, limits) in rig.all.iter().chain(&own.all) {
        all.set(measure, limits);
    }
    let mut parts: Vec<(NameId, CheckLimits)> = Vec::new();
    for (name, _, said) in rig.parts.iter().chain(&own.parts) {
        let Some(at) = names.iter().position(|n| n == name) else {
            continue;
        };
        let id = NameId::of(at);
        let known = parts.iter().position(|(n, _)| *n == id);
        let at = known.unwrap_or_else(|| {
            parts.push((id, all.clone()));
            parts.len() - 1
        });
        for &(measure, limits) in said {
            parts[at].1.set(measure, limits);
        }
    }
    (all, parts)
}

/// Reports limits of parts that there are not.
pub(super) fn of_unknown_parts(draft: &CheckDraft, names: &[String], report: &mut Report) {
    for (name, span, _) in &draft.parts {
        if names.contains(name) {
            continue;
        }
        let message = format!("there is no part {}", quoted(name));
        let near = nearest(name, names.iter().map(String::as_str));
        let hint = near.map_or_else(
            || "name a part of this member".to_owned(),
            |near| format!("did you mean {}?", quoted(near)),
        );
        report.push(Problem::error(*span, message).hint(hint));
    }
}

fn measures(mut fields: Fields<'_>, report: &mut Report) -> PoseEntry {
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
    if !field.value.is_array() {
        not_that(field, &what, "a warning and an error limit", &hint, report);
        return None;
    }
    let pair = pair_or(field, &what, &hint, report)?;
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
