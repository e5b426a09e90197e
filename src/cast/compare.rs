//! `[compare]` of a rig, `compare` of a pose.

use super::CompareSettings;
use super::fields::Fields;
use super::report::Report;
use super::tables::table;

/// Reads `[compare]` of a rig.
pub(super) fn of_rig(root: &mut Fields<'_>, report: &mut Report) -> CompareSettings {
    settings(root, "[compare]", true, report)
}

/// Reads `compare` of a pose.
pub(super) fn of_pose(fields: &mut Fields<'_>, report: &mut Report) -> CompareSettings {
    settings(fields, "\"compare\"", false, report)
}

fn settings(
    fields: &mut Fields<'_>,
    what: &str,
    rig: bool,
    report: &mut Report,
) -> CompareSettings {
    let value = fields.take("compare");
    let Some(mut inner) = value.and_then(|value| table(&value, what, report)) else {
        return CompareSettings::default();
    };
    let mut number = |key| inner.number(key, report);
    let out = CompareSettings {
        colour: number("colour"),
        edge: number("edge"),
        scale: if rig { number("scale") } else { None },
        pixels: inner.whole("pixels", report),
    };
    inner.finish_with(report, |key| {
        (!rig && key == "scale").then(|| {
            "the scale is the same for all poses: write it under [compare] in rig.toml".to_owned()
        })
    });
    out
}
