//! `[[lint.allow]]`: what a check finds and is meant.

use toml::de::DeValue;

use super::fields::Fields;
use super::names;
use super::report::Report;
use super::value::{list, not, table, text, texts, words};
use crate::diag::{Problem, Span, quoted};

/// The names of the checks of drawings and rigs.
pub const LINT_CHECKS: [&str; 12] = [
    "open-paint",
    "sorting",
    "stray",
    "never-shown",
    "off-palette",
    "unused-group",
    "unpaired",
    "pivot-off",
    "depth-tie",
    "unused-palette",
    "unused-swatch",
    "unused-replacement",
];

/// A finding that is meant.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Allowed {
    /// Which check: one of [`LINT_CHECKS`].
    pub check: String,
    /// What findings are about: parts, palettes, `front.svg#group`; all of the check's where it is empty.
    pub of: Vec<String>,
    /// Why.
    pub reason: String,
    /// Where it is declared.
    pub span: Span,
}

/// Reads `[lint]`.
pub(super) fn allowed(root: &mut Fields<'_>, report: &mut Report) -> Vec<Allowed> {
    let Some(field) = root.take("lint") else {
        return Vec::new();
    };
    let hint = "write [[lint.allow]] and under it check = \"unpaired\", of = [\"hook_near\"], reason = \"...\"";
    let Some(mut fields) = table(&field, "[lint]", hint, report) else {
        return Vec::new();
    };
    let mut all = Vec::new();
    if let Some(value) = fields.take("allow") {
        let Some(items) = list(value.value) else {
            not(
                value.value,
                value.span,
                "\"allow\"",
                "a list of tables",
                hint,
                report,
            );
            fields.finish(report);
            return all;
        };
        for item in items {
            let span = report.span(item.span());
            match item.get_ref() {
                DeValue::Table(table) => {
                    let inner = Fields::open("[[lint.allow]]", span, table, report);
                    all.extend(one(inner, report));
                }
                other => not(
                    other,
                    span,
                    "an entry of \"allow\"",
                    "a table",
                    hint,
                    report,
                ),
            }
        }
    }
    fields.finish(report);
    all
}

fn one(mut fields: Fields<'_>, report: &mut Report) -> Option<Allowed> {
    let span = fields.span;
    for key in ["check", "reason"] {
        if fields.lacks(key) {
            let message = format!("[[lint.allow]] has no {}", quoted(key));
            let hint = "write check = \"unpaired\", and reason = \"...\" for whoever reads it next";
            report.missing(Problem::error(span, message).hint(hint));
        }
    }
    let check = fields.take("check").and_then(|value| {
        let name = text(&value, "\"check\"", "write check = \"unpaired\"", report)?;
        if !LINT_CHECKS.contains(&name) {
            let hint = names::hint(name, LINT_CHECKS.into_iter(), "", report);
            let message = format!("unknown check {}", quoted(name));
            report.push(Problem::error(value.span, message).hint(hint));
            return None;
        }
        Some(name.to_owned())
    });
    let of = fields.take("of").map(|value| {
        let hint = "write of = [\"hook_near\"], what the findings are about";
        texts(&value, "\"of\"", hint, report).unwrap_or_default()
    });
    let reason = fields
        .take("reason")
        .and_then(|value| words(&value, "\"reason\"", "write why it is meant", report));
    fields.finish(report);
    Some(Allowed {
        check: check?,
        of: of
            .unwrap_or_default()
            .into_iter()
            .map(|(name, _)| name.to_owned())
            .collect(),
        reason: reason?,
        span,
    })
}
