//! `[[lint.allow]]`: what a check finds and is meant.

use super::fields::Fields;
use super::keys::{Key, LINT};
use super::names;
use super::report::Report;
use super::tables::{table, tables_of};
use super::value::texts;
use crate::diag::{Problem, Span, quoted};

/// The names of the checks of drawings and rigs.
pub const LINT_CHECKS: [&str; 15] = [
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
    "no-facing",
    "unused-expression",
    "idle-reach",
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

/// From what on a check of drawings finds fault.
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

impl LintLimits {
    /// The limits that `number` gives for their keys.
    fn of(mut number: impl FnMut(&str) -> f64) -> Self {
        Self {
            open_paint: number("open-paint"),
            stray: number("stray"),
            pivot_off: number("pivot-off"),
            depth_tie: number("depth-tie"),
        }
    }
}

impl Default for LintLimits {
    fn default() -> Self {
        Self::of(|name| {
            let key = LINT.iter().find(|key| key.name == name);
            key.map_or(f64::NAN, Key::number)
        })
    }
}

/// Reads `[lint]`: what is meant, and the limits.
pub(super) fn lint(root: &mut Fields<'_>, report: &mut Report) -> (Vec<Allowed>, LintLimits) {
    let field = root.take("lint");
    let Some(mut fields) = field.and_then(|field| table(&field, "[lint]", report)) else {
        return (Vec::new(), LintLimits::default());
    };
    let mut all = Vec::new();
    if let Some(value) = fields.take("allow") {
        let tables = tables_of(&value, "[[lint.allow]]", "a list of tables", report);
        all.extend(tables.into_iter().filter_map(|inner| one(inner, report)));
    }
    let limits = LintLimits::of(|name| fields.number_or(name, report));
    fields.finish(report);
    (all, limits)
}

fn one(mut fields: Fields<'_>, report: &mut Report) -> Option<Allowed> {
    let span = fields.span;
    fields.must("check", report);
    fields.must("reason", report);
    let check = fields.text("check", report).and_then(|(name, span)| {
        if !LINT_CHECKS.contains(&name) {
            let hint = names::hint(name, LINT_CHECKS.into_iter(), "", report);
            let message = format!("unknown check {}", quoted(name));
            report.push(Problem::error(span, message).hint(hint));
            return None;
        }
        Some(name.to_owned())
    });
    let of = fields.take("of");
    let of = of.and_then(|value| texts(&value, "\"of\"", report));
    let reason = fields.words("reason", report);
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
