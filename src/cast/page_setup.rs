//! How the pages of a sheet are set up, as it is written.

use super::fields::Fields;
use super::paper::{PageSetup, Paper, Stock, Way};
use super::report::Report;
use super::sheet_kind::{SheetKind, fitting};
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
