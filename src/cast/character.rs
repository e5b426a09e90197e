//! `[character]`.

use std::path::{Path, PathBuf};

use super::Height;
use super::field::Field;
use super::fields::Fields;
use super::file::exists;
use super::reference::relative;
use super::report::Report;
use super::value::{LENGTHS, flag, number, pair, table, text, texts, words};
use crate::diag::{Problem, Span, quoted};
use crate::files::Files;
use crate::geom::Point;

/// The longest side of a canvas.
const LARGEST: f64 = 65_000.0;

/// The most pose lists that a rig names.
const MOST_LISTS: usize = 1000;

/// What a rig says about the character as a whole.
#[derive(Debug, Default)]
pub(super) struct Character {
    pub name: Option<String>,
    pub canvas: Option<Point>,
    pub grow: Option<bool>,
    pub ground: Option<f64>,
    pub crown: Option<f64>,
    pub heads: Option<f64>,
    pub height: Option<Height>,
    /// Percent.
    pub drift: Option<f64>,
    /// Pose lists, relative to the rig's folder.
    pub poses: Vec<PathBuf>,
}

/// Reads `[character]`. `folder` is where the rig lies.
pub(super) fn character(
    root: &mut Fields<'_>,
    (files, folder): (&Files, &Path),
    report: &mut Report,
) -> Character {
    let mut out = Character::default();
    let hint = "write [character] with name and canvas = [width, height]";
    let Some(field) = root.take("character") else {
        let message = "there is no [character]";
        report.missing(Problem::error(root.span, message).hint(hint));
        return out;
    };
    let Some(mut fields) = table(&field, "[character]", hint, report) else {
        return out;
    };
    if let Some(value) = fields.take("name") {
        out.name = words(&value, "\"name\"", "write name = \"Deckhand\"", report);
    }
    let write_canvas = "write canvas = [900, 1200], width and height in user units";
    match fields.take("canvas") {
        Some(value) => {
            out.canvas = pair(&value, "\"canvas\"", LENGTHS, write_canvas, report);
            if let Some(sides) = out.canvas
                && !sides.iter().all(|&side| side > 0.0 && side <= LARGEST)
            {
                let message =
                    format!("the sides of \"canvas\" must be above 0 and at most {LARGEST}");
                report.push(Problem::error(value.span, message).hint(write_canvas));
            }
        }
        None => {
            let message = "[character] has no \"canvas\"";
            report.missing(Problem::error(fields.span, message).hint(write_canvas));
        }
    }
    if let Some(value) = fields.take("grow") {
        out.grow = flag(&value, "\"grow\"", report);
    }
    let mut ground_at = None;
    if let Some(value) = fields.take("ground") {
        out.ground = number(&value, "\"ground\"", LENGTHS, "write ground = 1130", report);
        ground_at = Some(value.span);
    }
    if let Some(value) = fields.take("crown") {
        out.crown = number(&value, "\"crown\"", LENGTHS, "write crown = 110", report);
        upright(&out, value.span, ground_at, report);
    }
    if let Some(value) = fields.take("heads") {
        let hint = "write heads = 6.5, the figure's height in heads";
        out.heads = number(&value, "\"heads\"", [0.1, 100.0], hint, report);
    }
    if let Some(value) = fields.take("height") {
        out.height = height(&value, report);
        if out.height.is_some() && (out.crown.is_none() || out.ground.is_none()) {
            let message =
                "\"height\" is from \"ground\" to \"crown\", and one of them is not given";
            report.missing(Problem::error(value.span, message).hint("write both"));
        }
    }
    if let Some(value) = fields.take("drift") {
        let hint = "write drift = 1, percent of the figure's height";
        out.drift = number(&value, "\"drift\"", [0.0, 100.0], hint, report);
    }
    if let Some(value) = fields.take("poses") {
        let hint = "write poses = [\"poses.toml\"]";
        let named = texts(&value, "\"poses\"", hint, report).unwrap_or_default();
        for (at, (text, span)) in named.into_iter().enumerate() {
            if at == MOST_LISTS {
                let message = format!("more than {MOST_LISTS} pose lists");
                report.push(Problem::error(span, message));
                break;
            }
            match relative(text) {
                Err((message, hint)) => {
                    let message = format!("pose list {} {message}", quoted(text));
                    report.push(Problem::error(span, message).hint(hint));
                }
                Ok(path) => {
                    exists(files, &folder.join(path), text, span, report);
                    if out.poses.iter().any(|other| other == path) {
                        let message = format!("pose list {} is named twice", quoted(text));
                        report.push(Problem::warning(span, message).hint("name it once"));
                    } else {
                        out.poses.push(path.to_path_buf());
                    }
                }
            }
        }
    }
    fields.finish(report);
    out
}

/// Units of height and their millimetres.
const UNITS: [(&str, f64); 5] = [
    ("mm", 1.0),
    ("cm", 10.0),
    ("m", 1000.0),
    ("in", 25.4),
    ("ft", 304.8),
];

/// A number with its unit.
fn height(value: &Field<'_>, report: &mut Report) -> Option<Height> {
    let hint = "write height = \"168 cm\"; units are mm, cm, m, in and ft";
    let written = text(value, "\"height\"", hint, report)?.trim();
    let unit_at = written
        .find(|c: char| c.is_alphabetic())
        .unwrap_or(written.len());
    let (number, unit) = written.split_at(unit_at);
    let millimetres = UNITS
        .iter()
        .find(|(name, _)| *name == unit)
        .and_then(|(_, size)| Some(size * number.trim().parse::<f64>().ok()?))
        .filter(|millimetres| (0.001..=1e9).contains(millimetres));
    let Some(millimetres) = millimetres else {
        let message = format!("\"height\" cannot be {}", quoted(written));
        report.push(Problem::error(value.span, message).hint(hint));
        return None;
    };
    Some(Height {
        text: written.to_owned(),
        millimetres,
    })
}

/// The crown is above the ground.
fn upright(character: &Character, crown: Span, ground: Option<Span>, report: &mut Report) {
    if let (Some(top), Some(floor), Some(at)) = (character.crown, character.ground, ground)
        && top >= floor
    {
        let message = format!("the crown, {top}, is not above the ground, {floor}");
        let problem = Problem::error(crown, message)
            .also(at, "the ground")
            .hint("y grows downwards: the crown's is less than the ground's");
        report.push(problem);
    }
}
