//! A part's own transform, as `place` gives it.

use super::Setting;
use super::field::Field;
use super::report::Report;
use super::tables::table;
use super::value::scale;

/// Reads `place = { move, turn, scale, skew }`.
pub(super) fn place(field: &Field<'_>, report: &mut Report) -> Setting {
    let rest = Setting::REST;
    let Some(mut fields) = table(field, "\"place\"", report) else {
        return rest;
    };
    let factors = fields.take("scale");
    let setting = Setting {
        shift: fields.pair("move", report).unwrap_or(rest.shift),
        turn: fields.number("turn", report).unwrap_or(rest.turn),
        scale: factors
            .and_then(|value| scale(&value, "\"scale\"", report))
            .unwrap_or(rest.scale),
        skew: fields.pair("skew", report).unwrap_or(rest.skew),
        stretch: rest.stretch,
    };
    fields.finish(report);
    setting
}
