//! What a view says for its sheets: `[landmarks]`, `[crop.<name>]`, `[note.<name>]`,
//! `[measure.<name>]`, `[chart.<name>]`. All places are canvas units at rest.

use toml::de::DeValue;

use serde::Serialize;

use super::field::Field;
use super::fields::Fields;
use super::link::Parts;
use super::mask::{only_part, several};
use super::part::PartDraft;
use super::report::Report;
use super::value::{LENGTHS, list, not, number, pair_at, table, tables, text, words};
use super::{PartId, names};
use crate::diag::{Problem, Span, quoted};
use crate::geom::Point;

/// What a view says for its sheets.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Guides {
    /// In declaration order.
    pub landmarks: Vec<Landmark>,
    /// In declaration order.
    pub crops: Vec<Crop>,
    /// In declaration order.
    pub notes: Vec<Note>,
    /// In declaration order.
    pub measures: Vec<Length>,
    /// In declaration order.
    pub charts: Vec<Chart>,
}

/// A height that all views of a member share: eyes, chin, knees.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Landmark {
    /// The same in all views.
    pub name: String,
    /// Where it is declared.
    #[serde(skip)]
    pub span: Span,
    /// Where it is.
    pub place: LandmarkPlace,
}

/// Where a landmark is.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub enum LandmarkPlace {
    /// At this y.
    Height(f64),
    /// Where a part is, as it is drawn.
    Part(PartId, Edge),
}

/// A height of a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum Edge {
    /// The highest point of what is drawn.
    Top,
    /// Halfway between top and bottom.
    Middle,
    /// The lowest point of what is drawn.
    Bottom,
    /// The pivot.
    Pivot,
}

/// A window that follows a part.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Crop {
    /// Its name.
    pub name: String,
    /// Where it is declared.
    #[serde(skip)]
    pub span: Span,
    /// The part it follows; with all that it carries, what is cropped to.
    pub part: PartId,
    /// Left, top, right, bottom; else what the part and all it carries cover.
    pub area: Option<[f64; 4]>,
    /// Added on every side, as a share of the longer side.
    pub margin: f64,
}

/// What is to be said of a part.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Note {
    /// Its name.
    pub name: String,
    /// Where it is declared.
    #[serde(skip)]
    pub span: Span,
    /// The part it is about.
    pub part: PartId,
    /// What it says.
    pub text: String,
    /// Where its line points; else the middle of the part.
    pub at: Option<Point>,
}

/// A length of the figure.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Length {
    /// Its name.
    pub name: String,
    /// Where it is declared.
    #[serde(skip)]
    pub span: Span,
    /// From point to point; parts stand for their pivots.
    pub along: Vec<Point>,
}

/// Parts whose replacements are shown together.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Chart {
    /// Its name.
    pub name: String,
    /// In this order.
    pub parts: Vec<PartId>,
    /// What each cell shows: a place in the crops. Else what all drawings of the part cover.
    pub crop: Option<usize>,
}

impl Length {
    /// Units.
    #[must_use]
    pub fn length(&self) -> f64 {
        let steps = self.along.windows(2);
        steps
            .map(|step| libm::hypot(step[1][0] - step[0][0], step[1][1] - step[0][1]))
            .sum()
    }
}

/// The keys of a file that are read here.
pub(super) const KEYS: [&str; 5] = ["landmarks", "crop", "note", "measure", "chart"];

/// Reads all of it.
pub(super) fn guides(
    root: &mut Fields<'_>,
    drafts: &[PartDraft<'_>],
    parts: &Parts<'_>,
    report: &mut Report,
) -> Guides {
    let landmarks = landmarks(root, parts, report);
    let crops: Vec<Crop> = tables(root, "crop", report)
        .into_iter()
        .filter_map(|(field, fields)| crop(&field, fields, parts, report))
        .collect();
    let notes = tables(root, "note", report)
        .into_iter()
        .filter_map(|(field, fields)| note(&field, fields, parts, report))
        .collect();
    let measures = tables(root, "measure", report)
        .into_iter()
        .filter_map(|(field, fields)| measure(&field, fields, drafts, parts, report))
        .collect();
    let charts = tables(root, "chart", report)
        .into_iter()
        .filter_map(|(field, fields)| chart(&field, fields, drafts, parts, &crops, report))
        .collect();
    Guides {
        landmarks,
        crops,
        notes,
        measures,
        charts,
    }
}

fn landmarks(root: &mut Fields<'_>, parts: &Parts<'_>, report: &mut Report) -> Vec<Landmark> {
    let Some(field) = root.take("landmarks") else {
        return Vec::new();
    };
    let hint = "write [landmarks] and under it eyes = { part = \"eye\", at = \"middle\" }";
    let Some(fields) = table(&field, "[landmarks]", hint, report) else {
        return Vec::new();
    };
    let mut all = Vec::new();
    for value in fields.all() {
        names::check(value.name, "landmark", value.name_span, report);
        if let Some(place) = landmark_place(&value, parts, report) {
            all.push(Landmark {
                name: value.name.to_owned(),
                span: value.name_span,
                place,
            });
        }
    }
    all
}

fn landmark_place(
    value: &Field<'_>,
    parts: &Parts<'_>,
    report: &mut Report,
) -> Option<LandmarkPlace> {
    let what = format!("landmark {}", quoted(value.name));
    let hint = format!(
        "write {0} = 250, or {0} = {{ part = \"eye\", at = \"middle\" }}",
        value.name
    );
    match value.value {
        DeValue::Table(inner) => {
            let mut fields = Fields::open(what.clone(), value.name_span, inner, report);
            let part = fields.take("part");
            let edge = fields.take("at");
            fields.finish(report);
            let Some(part) = part else {
                let message = format!("{what} has no \"part\"");
                report.missing(Problem::error(value.name_span, message).hint(hint));
                return None;
            };
            let edge = edge.map_or(Some(Edge::Middle), |edge| self::edge(&edge, report));
            let name = text(&part, "\"part\"", "write a part's name", report)?;
            let id = parts.find(name, part.span, report)?;
            let edge = edge?;
            if edge != Edge::Pivot {
                parts.must_be_drawn(id, part.span, "be measured", report);
            }
            Some(LandmarkPlace::Part(id, edge))
        }
        DeValue::Integer(_) | DeValue::Float(_) => {
            number(value, &what, LENGTHS, &hint, report).map(LandmarkPlace::Height)
        }
        other => {
            let wanted = "a number, or a part and an edge of it";
            not(other, value.span, &what, wanted, &hint, report);
            None
        }
    }
}

fn edge(value: &Field<'_>, report: &mut Report) -> Option<Edge> {
    let hint = "write \"top\", \"middle\", \"bottom\" or \"pivot\"";
    match text(value, "\"at\"", hint, report)? {
        "top" => Some(Edge::Top),
        "middle" => Some(Edge::Middle),
        "bottom" => Some(Edge::Bottom),
        "pivot" => Some(Edge::Pivot),
        other => {
            let message = format!("\"at\" cannot be {}", quoted(other));
            report.push(Problem::error(value.span, message).hint(hint));
            None
        }
    }
}

fn crop(
    declared: &Field<'_>,
    mut fields: Fields<'_>,
    parts: &Parts<'_>,
    report: &mut Report,
) -> Option<Crop> {
    names::check(declared.name, "crop", declared.name_span, report);
    let given = fields.take("area");
    let part = match fields.take("part") {
        Some(value) => {
            let name = text(&value, "\"part\"", "write a part's name", report);
            name.and_then(|name| parts.find(name, value.span, report))
        }
        None => {
            let message = format!("crop {} has no \"part\"", quoted(declared.name));
            let hint = "write part = \"head\", the part that it follows";
            report.missing(Problem::error(declared.name_span, message).hint(hint));
            None
        }
    };
    let area = given.and_then(|value| area(&value, report));
    let margin = fields.take("margin").and_then(|value| {
        let hint = "write margin = 0.05, a share of the longer side";
        number(&value, "\"margin\"", [0.0, 10.0], hint, report)
    });
    fields.finish(report);
    Some(Crop {
        name: declared.name.to_owned(),
        span: declared.name_span,
        part: part?,
        area,
        margin: margin.unwrap_or(0.0),
    })
}

/// Left, top, right, bottom.
fn area(value: &Field<'_>, report: &mut Report) -> Option<[f64; 4]> {
    let hint = "write area = [[300, 80], [600, 400]], its top left and bottom right corner";
    let corners = points(value, hint, 2, report)?;
    let &[from, to] = &corners[..] else {
        return None;
    };
    if from[0] >= to[0] || from[1] >= to[1] {
        let message = "\"area\" is empty: the first corner is not above and left of the second";
        report.push(Problem::error(value.span, message).hint(hint));
        return None;
    }
    Some([from[0], from[1], to[0], to[1]])
}

/// A list of exactly so many points.
fn points(value: &Field<'_>, hint: &str, count: usize, report: &mut Report) -> Option<Vec<Point>> {
    let what = quoted(value.name);
    let Some(items) = list(value.value) else {
        not(
            value.value,
            value.span,
            &what,
            "a list of points",
            hint,
            report,
        );
        return None;
    };
    if items.len() != count {
        let message = format!("{what} must be {count} points, not {}", items.len());
        report.push(Problem::error(value.span, message).hint(hint));
        return None;
    }
    let points: Vec<Option<Point>> = items
        .iter()
        .map(|item| {
            let span = report.span(item.span());
            pair_at(item.get_ref(), span, &what, LENGTHS, hint, report)
        })
        .collect();
    points.into_iter().collect()
}

fn note(
    declared: &Field<'_>,
    mut fields: Fields<'_>,
    parts: &Parts<'_>,
    report: &mut Report,
) -> Option<Note> {
    names::check(declared.name, "note", declared.name_span, report);
    let name = quoted(declared.name);
    let at = fields.take("at").and_then(|value| {
        let hint = "write at = [430, 210], a place on the canvas";
        pair_at(value.value, value.span, "\"at\"", LENGTHS, hint, report)
    });
    let part = match fields.take("part") {
        Some(value) => only_part(&value, "be pointed at", parts, report),
        None => {
            let message = format!("note {name} has no \"part\"");
            let hint = "write part = \"cap\", the part that it is about";
            report.missing(Problem::error(declared.name_span, message).hint(hint));
            None
        }
    };
    let text = match fields.take("text") {
        Some(value) => words(&value, "\"text\"", "write text = \"soft wool\"", report),
        None => {
            let message = format!("note {name} has no \"text\"");
            let hint = "write text = \"soft wool\"";
            report.missing(Problem::error(declared.name_span, message).hint(hint));
            None
        }
    };
    fields.finish(report);
    Some(Note {
        name: declared.name.to_owned(),
        span: declared.name_span,
        part: part?,
        text: text?,
        at,
    })
}

/// The fewest and most points of a measure.
const POINTS: [usize; 2] = [2, 100];

fn measure(
    declared: &Field<'_>,
    mut fields: Fields<'_>,
    drafts: &[PartDraft<'_>],
    parts: &Parts<'_>,
    report: &mut Report,
) -> Option<Length> {
    names::check(declared.name, "measure", declared.name_span, report);
    let hint = "write along = [\"upper_arm\", \"forearm\", [640, 500]], pivots of parts or points";
    let along = fields.take("along");
    fields.finish(report);
    let Some(along) = along else {
        let message = format!("measure {} has no \"along\"", quoted(declared.name));
        report.missing(Problem::error(declared.name_span, message).hint(hint));
        return None;
    };
    let Some(items) = list(along.value) else {
        let wanted = "a list of parts and points";
        not(along.value, along.span, "\"along\"", wanted, hint, report);
        return None;
    };
    if !(POINTS[0]..=POINTS[1]).contains(&items.len()) {
        let [least, most] = POINTS;
        let message = format!(
            "\"along\" must have {least} to {most} places, not {}",
            items.len()
        );
        report.push(Problem::error(along.span, message).hint(hint));
        return None;
    }
    let mut points = Vec::with_capacity(items.len());
    for item in items {
        let span = report.span(item.span());
        points.push(match item.get_ref() {
            DeValue::String(name) => {
                let part = parts.find(name, span, report);
                part.and_then(|part| {
                    let pivot = drafts[part.at()].pivot;
                    if pivot.is_none() {
                        let message = format!("part {} has no pivot", quoted(name));
                        let hint = "give it one, or write a point here";
                        report.push(Problem::error(span, message).hint(hint));
                    }
                    pivot
                })
            }
            other => pair_at(other, span, "a place of \"along\"", LENGTHS, hint, report),
        });
    }
    Some(Length {
        name: declared.name.to_owned(),
        span: declared.name_span,
        along: points.into_iter().collect::<Option<_>>()?,
    })
}

fn chart(
    declared: &Field<'_>,
    mut fields: Fields<'_>,
    drafts: &[PartDraft<'_>],
    parts: &Parts<'_>,
    crops: &[Crop],
    report: &mut Report,
) -> Option<Chart> {
    names::check(declared.name, "chart", declared.name_span, report);
    let shown = match fields.take("parts") {
        Some(value) => several(&value, "be charted", parts, report),
        None => {
            let message = format!("chart {} has no \"parts\"", quoted(declared.name));
            let hint = "write parts = [\"mouth\"], parts with replacements";
            report.missing(Problem::error(declared.name_span, message).hint(hint));
            None
        }
    };
    let crop = fields.take("crop").and_then(|value| {
        let name = text(&value, "\"crop\"", "write the name of a crop", report)?;
        let at = crops.iter().position(|crop| crop.name == name);
        if at.is_none() {
            let known = crops.iter().map(|crop| crop.name.as_str());
            let hint = names::hint(name, known, "declare it, with [crop.name]", report);
            let problem = Problem::error(value.span, format!("unknown crop {}", quoted(name)));
            report.undeclared(problem.hint(hint));
        }
        at
    });
    fields.finish(report);
    let mut with = Vec::new();
    for (part, span) in shown? {
        if drafts[part.at()].replacements.is_empty() {
            let message = format!(
                "part {} has no replacements to chart",
                quoted(parts.name(part))
            );
            let problem = Problem::error(span, message)
                .also(parts.span(part), "declared here")
                .hint("give it \"replacements\", or name another part");
            report.push(problem);
        } else {
            with.push(part);
        }
    }
    Some(Chart {
        name: declared.name.to_owned(),
        parts: with,
        crop,
    })
}
