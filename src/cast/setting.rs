//! A part's own transform, as `place` gives it.

use super::Setting;
use super::field::Field;
use super::report::Report;
use super::value::{ANGLES, LENGTHS, SKEWS, number, pair, scale, table};

/// Reads `place = { move, turn, scale, skew }`.
pub(super) fn place(field: &Field<'_>, report: &mut Report) -> Setting {
    let mut setting = Setting::REST;
    let hint = "write place = { move = [120, -40] }";
    let Some(mut fields) = table(field, "\"place\"", hint, report) else {
        return setting;
    };
    if let Some(value) = fields.take("move")
        && let Some(shift) = pair(
            &value,
            "\"move\"",
            LENGTHS,
            "write move = [120, -40]",
            report,
        )
    {
        setting.shift = shift;
    }
    if let Some(value) = fields.take("turn")
        && let Some(turn) = number(&value, "\"turn\"", ANGLES, "write turn = 90", report)
    {
        setting.turn = turn;
    }
    if let Some(value) = fields.take("scale")
        && let Some(factors) = scale(&value, "\"scale\"", report)
    {
        setting.scale = factors;
    }
    if let Some(value) = fields.take("skew")
        && let Some(skew) = pair(&value, "\"skew\"", SKEWS, "write skew = [10, 0]", report)
    {
        setting.skew = skew;
    }
    fields.finish(report);
    setting
}
