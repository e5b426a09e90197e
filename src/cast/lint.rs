//! `[[lint.allow]]`: what a check finds and is meant.

use toml::de::DeValue;

use super::fields::Fields;
use super::names;
use super::report::Report;
use super::value::{list, not, number, table, text, texts, words};
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

/// From what on a check of drawings finds fault. The defaults are ours, for a canvas of a thousand units;
/// there is no source.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LintLimits {
    /// Paint's edge without ink, units.
    pub open_paint: f64,
    /// How far a piece lies from the rest, % of the canvas's diagonal.
    pub stray: f64,
    /// How far a pivot lies outside its overlap, units.
    pub pivot_off: f64,
    /// What two parts of one depth share, square units.
    pub depth_tie: f64,
}

impl Default for LintLimits {
    fn default() -> Self {
        Self {
            open_paint: 12.0,
            stray: 20.0,
            pivot_off: 2.0,
            depth_tie: 60.0,
        }
    }
}

/// Reads `[lint]`: what is meant, and the limits.
pub(super) fn lint(root: &mut Fields<'_>, report: &mut Report) -> (Vec<Allowed>, LintLimits) {
    let mut limits = LintLimits::default();
    let Some(field) = root.take("lint") else {
        return (Vec::new(), limits);
    };
    let hint = "write [[lint.allow]] and under it check = \"unpaired\", of = [\"hook_near\"], reason = \"...\"";
    let Some(mut fields) = table(&field, "[lint]", hint, report) else {
        return (Vec::new(), limits);
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
            return (all, limits);
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
    for (key, limit, most) in [
        ("open-paint", &mut limits.open_paint, 1e6),
        ("stray", &mut limits.stray, 100.0),
        ("pivot-off", &mut limits.pivot_off, 1e6),
        ("depth-tie", &mut limits.depth_tie, 1e9),
    ] {
        if let Some(field) = fields.take(key) {
            let hint = format!("write {key} = {limit}");
            if let Some(value) = number(&field, &quoted(key), [0.0, most], &hint, report) {
                *limit = value;
            }
        }
    }
    fields.finish(report);
    (all, limits)
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
