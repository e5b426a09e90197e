//! `[compare]` of a rig, `compare` of a pose.

use super::CompareSettings;
use super::field::Field;
use super::fields::Fields;
use super::report::Report;
use super::value::{Bounds, number, table};
use crate::diag::Problem;

/// CIEDE2000 between any two colours is about 120 at most.
const COLOURS: Bounds = [0.0, 200.0];
/// Beyond a pixel it is no soft edge any more.
const EDGES: Bounds = [0.0, 1.0];
const COUNTS: Bounds = [0.0, 1e9];
const SCALES: Bounds = [1e-3, 100.0];

/// Reads `[compare]` of a rig.
pub(super) fn of_rig(root: &mut Fields<'_>, report: &mut Report) -> CompareSettings {
    let hint = "write [compare] and under it pixels = 20";
    settings(root, "[compare]", hint, true, report)
}

/// Reads `compare` of a pose.
pub(super) fn of_pose(fields: &mut Fields<'_>, report: &mut Report) -> CompareSettings {
    let hint = "write compare = { pixels = 20 }";
    settings(fields, "\"compare\"", hint, false, report)
}

fn settings(
    fields: &mut Fields<'_>,
    what: &str,
    hint: &str,
    rig: bool,
    report: &mut Report,
) -> CompareSettings {
    let mut out = CompareSettings::default();
    let Some(value) = fields.take("compare") else {
        return out;
    };
    let Some(mut inner) = table(&value, what, hint, report) else {
        return out;
    };
    let mut fields: Vec<(Field<'_>, f64)> = Vec::new();
    let mut one = |key: &'static str, bounds: Bounds, hint: &str, report: &mut Report| {
        let value: Field<'_> = inner.take(key)?;
        let found = number(&value, &format!("\"{key}\""), bounds, hint, report)?;
        fields.push((value, found));
        Some(found)
    };
    let colour = "write colour = 1.0, a colour difference (CIEDE2000) that counts for nothing";
    out.colour = one("colour", COLOURS, colour, report);
    let edge = "write edge = 0.1, how far an edge may move, in pixels";
    out.edge = one("edge", EDGES, edge, report);
    let pixels = "write pixels = 20, how many pixels may change";
    out.pixels = one("pixels", COUNTS, pixels, report);
    if rig {
        let scale = "write scale = 0.5, pixels to the canvas unit";
        out.scale = one("scale", SCALES, scale, report);
    }
    for (field, count) in fields {
        if field.name == "pixels" && count.fract() != 0.0 {
            let message = format!("\"pixels\" must be a whole number, not {count}");
            report.push(Problem::error(field.span, message).hint(pixels));
            out.pixels = None;
        }
    }
    inner.finish_with(report, |key| {
        (!rig && key == "scale").then(|| {
            "the scale is the same for all poses: write it under [compare] in rig.toml".to_owned()
        })
    });
    out
}
