//! `[character]`.

use std::path::{Path, PathBuf};

use toml::de::DeValue;

use super::drawings::Drawings;
use super::field::Field;
use super::fields::Fields;
use super::file::exists;
use super::keys::Kind;
use super::reference::relative;
use super::report::Report;
use super::tables::table;
use super::value::{pair, text, texts};
use super::{Flank, Height};
use crate::diag::{Problem, Span, quoted};
use crate::geom::Point;

/// What a rig says about the character as a whole.
#[derive(Debug, Default)]
pub(super) struct Character {
    pub name: Option<String>,
    pub canvas: Option<Point>,
    pub grow: Option<bool>,
    pub near: Option<Flank>,
    /// Of the only view.
    pub facing: Option<(f64, Span)>,
    pub shortest: Option<f64>,
    pub ground: Option<f64>,
    pub crown: Option<f64>,
    pub heads: Option<f64>,
    pub height: Option<Height>,
    /// Percent.
    pub drift: Option<f64>,
    /// The default palette.
    pub palette: Option<(String, Span)>,
    /// Pose lists, relative to the rig's folder.
    pub poses: Vec<PathBuf>,
}

/// Reads `[character]`.
pub(super) fn character(
    root: &mut Fields<'_>,
    drawings: &mut Drawings<'_>,
    report: &mut Report,
) -> Character {
    let mut out = Character::default();
    let Some(field) = root.take("character") else {
        let hint = root.key("character").hint("character");
        report.missing(Problem::error(root.span, "there is no [character]").hint(hint));
        return out;
    };
    let Some(mut fields) = table(&field, "[character]", report) else {
        return out;
    };
    out.name = fields.words("name", report);
    match fields.need("canvas", report) {
        Some(value) if matches!(value.value, DeValue::String(text) if text.ends_with(".svg")) => {
            out.canvas = page(&mut fields, drawings, report);
        }
        Some(value) => out.canvas = canvas(&value, report),
        None => {}
    }
    out.grow = fields.flag("grow", report);
    out.near = fields.one_of("near", [Flank::Left, Flank::Right], report);
    let facing = fields.number("facing", report);
    out.facing = facing.zip(fields.take("facing").map(|value| value.span));
    out.shortest = Some(fields.number_or("shortest", report));
    out.ground = fields.number("ground", report);
    let ground_at = fields.take("ground").map(|value| value.span);
    out.crown = fields.number("crown", report);
    if let Some(value) = fields.take("crown") {
        upright(&out, value.span, ground_at, report);
    }
    out.heads = fields.number("heads", report);
    if let Some(value) = fields.take("height") {
        out.height = height(&value, report);
        if out.height.is_some() && (out.crown.is_none() || out.ground.is_none()) {
            let message =
                "\"height\" is from \"ground\" to \"crown\", and one of them is not given";
            report.missing(Problem::error(value.span, message).hint("write both"));
        }
    }
    let palette = fields.text("palette", report);
    out.palette = palette.map(|(name, span)| (name.to_owned(), span));
    out.drift = Some(fields.number_or("drift", report));
    if let Some(value) = fields.take("poses") {
        let named = texts(&value, "\"poses\"", report).unwrap_or_default();
        let [_, most] = value.key.kind.counts().unwrap_or_default();
        for (at, (text, span)) in named.into_iter().enumerate() {
            if at == most {
                let message = format!("more than {most} pose lists");
                report.push(Problem::error(span, message));
                break;
            }
            match relative(text) {
                Err((message, hint)) => {
                    let message = format!("pose list {} {message}", quoted(text));
                    report.push(Problem::error(span, message).hint(hint));
                }
                Ok(path) => {
                    exists(
                        drawings.sources.files(),
                        &drawings.folder.join(path),
                        text,
                        span,
                        report,
                    );
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

/// The page of a drawing.
fn page(
    fields: &mut Fields<'_>,
    drawings: &mut Drawings<'_>,
    report: &mut Report,
) -> Option<Point> {
    let (file, span) = drawings.file(fields, "canvas", Path::new(""), report)?;
    let [x, y, width, height] = drawings.open(&file, span)?.page();
    if [x, y] != [0.0, 0.0] {
        let file = quoted(&file.to_string_lossy());
        let message = format!("the viewBox of {file} starts at {x} {y}, not at 0 0");
        let hint = format!("move the drawing and write viewBox=\"0 0 {width} {height}\"");
        report.push(Problem::error(span, message).hint(hint));
    }
    Some([width, height])
}

/// Two sides, each above 0.
fn canvas(value: &Field<'_>, report: &mut Report) -> Option<Point> {
    let sides = pair(value, "\"canvas\"", report)?;
    let most = value.key.kind.all().iter().find_map(|kind| match kind {
        Kind::Sides(most) => Some(*most),
        _ => None,
    })?;
    if sides.iter().all(|&side| side > 0.0 && side <= most) {
        return Some(sides);
    }
    let message = format!("the sides of \"canvas\" must be above 0 and at most {most}");
    report.push(Problem::error(value.span, message).hint(value.hint()));
    Some(sides)
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
    let written = text(value, "\"height\"", report)?.trim();
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
        report.push(Problem::error(value.span, message).hint(value.hint()));
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
