//! How the pages of a sheet are set up, as it is written.

use super::fields::Fields;
use super::paper::{PageSetup, Paper, Stock, Way};
use super::report::Report;
use super::sheet_kind::{SheetKind, fitting};
use super::value::{Bounds, number, text, whole, words};
use crate::diag::{Problem, quoted};
use toml::de::DeValue;

/// Cells of a row.
const COLUMNS: Bounds = [1.0, 100.0];
/// Height of figures, pixels.
const CELLS: Bounds = [32.0, 6000.0];
/// Margins, millimetres.
const MARGINS: Bounds = [0.0, 60.0];

pub(super) fn setup(
    fields: &mut Fields<'_>,
    kind: Option<SheetKind>,
    report: &mut Report,
) -> PageSetup {
    let stock = fields.take("page").and_then(|value| {
        let usual = "write a4, a3, letter, tabloid, 16:9, fit, or pixels as 1920x1080";
        let name = text(&value, "\"page\"", usual, report)?;
        let parsed = name.parse::<Stock>();
        parsed
            .map_err(|hint| {
                let message = format!("unknown page {}", quoted(name));
                report.push(Problem::error(value.span, message).hint(hint));
            })
            .ok()
    });
    let orients = [("landscape", Way::Landscape), ("portrait", Way::Portrait)];
    let papers = [("light", Paper::Light), ("dark", Paper::Dark)];
    let way = one_of("orient", orients, fields, report);
    let paper = one_of("paper", papers, fields, report);
    let margin = fields.take("margin").and_then(|value| {
        let hint = "write margin = 12, millimetres";
        number(&value, "\"margin\"", MARGINS, hint, report)
    });
    let columns = fitting("columns", kind, fields, report);
    let columns = columns.and_then(|value| whole(&value, COLUMNS, 4, report));
    let cell = fitting("cell", kind, fields, report);
    let cell = cell.and_then(|value| whole(&value, CELLS, 400, report));
    let mut said = |key: &'static str, example: &str| {
        let value = fields.take(key)?;
        let hint = format!("write {key} = \"{example}\"");
        match value.value {
            DeValue::Datetime(date) => Some(date.to_string()),
            _ => words(&value, &quoted(key), &hint, report),
        }
    };
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "whole numbers within bounds"
    )]
    PageSetup {
        stock,
        way,
        paper,
        margin,
        columns: columns.map(|n| n as u16),
        cell: cell.map(|n| n as u16),
        production: None,
        revision: said("revision", "C"),
        date: said("date", "2031-05-02"),
    }
}

fn one_of<T: Copy>(
    key: &'static str,
    choices: [(&str, T); 2],
    fields: &mut Fields<'_>,
    report: &mut Report,
) -> Option<T> {
    let value = fields.take(key)?;
    let [first, second] = choices.map(|(name, _)| name);
    let hint = format!("write {key} = \"{first}\" or \"{second}\"");
    let name = text(&value, &quoted(key), &hint, report)?;
    let found = choices.into_iter().find(|(choice, _)| *choice == name);
    if found.is_none() {
        let message = format!("{} cannot be {}", quoted(key), quoted(name));
        report.push(Problem::error(value.span, message).hint(hint));
    }
    found.map(|(_, choice)| choice)
}
