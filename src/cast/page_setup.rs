//! How the pages of a sheet are set up, as it is written.

use super::field::Field;
use super::fields::Fields;
use super::paper::{PageSetup, Paper, Stock, Way};
use super::report::Report;
use super::sheet_kind::SheetKind;
use super::value::{text, whole, words};
use crate::diag::{Problem, quoted};
use toml::de::DeValue;

pub(super) fn setup(
    fields: &mut Fields<'_>,
    kind: Option<SheetKind>,
    report: &mut Report,
) -> PageSetup {
    let stock = fields.take("page").and_then(|value| {
        let name = text(&value, "\"page\"", report)?;
        let parsed = name.parse::<Stock>();
        parsed
            .map_err(|hint| {
                let message = format!("unknown page {}", quoted(name));
                report.push(Problem::error(value.span, message).hint(hint));
            })
            .ok()
    });
    let way = fields.one_of("orient", [Way::Landscape, Way::Portrait], report);
    let paper = fields.one_of("paper", [Paper::Light, Paper::Dark], report);
    let margin = fields.number("margin", report);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "whole numbers within bounds"
    )]
    let mut count = |key| {
        let value = fitting(key, kind, fields, report)?;
        whole(&value, &quoted(key), report).map(|n| n as u16)
    };
    let (columns, cell) = (count("columns"), count("cell"));
    let mut said = |key| {
        let value = fields.take(key)?;
        match value.value {
            DeValue::Datetime(date) => Some(date.to_string()),
            _ => words(&value, &quoted(key), report),
        }
    };
    PageSetup {
        stock,
        way,
        paper,
        margin,
        columns,
        cell,
        production: None,
        revision: said("revision"),
        date: said("date"),
    }
}

/// The entry of a key, which is an error where it says nothing on such a sheet.
pub(super) fn fitting<'t>(
    key: &'static str,
    kind: Option<SheetKind>,
    fields: &mut Fields<'t>,
    report: &mut Report,
) -> Option<Field<'t>> {
    let value = fields.take(key)?;
    if let Some(kind) = kind
        && !kind.takes(key)
    {
        let others: Vec<String> = SheetKind::listed()
            .filter(|kind| kind.takes(key))
            .map(|kind| quoted(kind.name()))
            .collect();
        let name = quoted(key);
        let article = if kind == SheetKind::Onion || kind == SheetKind::Expressions {
            "an"
        } else {
            "a"
        };
        let message = format!("{name} says nothing on {article} {} sheet", kind.name());
        let others = match others.split_last() {
            Some((last, [])) => last.clone(),
            Some((last, others)) => format!("{} or {last}", others.join(", ")),
            None => String::new(),
        };
        let hint = format!("leave it out, or write kind = {others}");
        report.push(Problem::error(value.name_span, message).hint(hint));
    }
    Some(value)
}
