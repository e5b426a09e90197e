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
use super::tables::{table, tables};
use super::value::{not, not_that, number, pair, text};
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
    let field = root.take("landmarks");
    let Some(fields) = field.and_then(|field| table(&field, "[landmarks]", report)) else {
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
    match value.value {
        DeValue::Table(inner) => {
            let keys = value.key.kind.keys()?;
            let mut fields = Fields::open(&*what, value.name_span, inner, keys, report);
            let part = fields.take("part");
            let at = fields.take("at");
            let edges = [Edge::Top, Edge::Middle, Edge::Bottom, Edge::Pivot];
            let edge = fields.one_of("at", edges, report);
            let usual = edges[fields.key("at").place_of_usual()];
            fields.finish(report);
            let Some(part) = part else {
                let message = format!("{what} has no \"part\"");
                let problem = Problem::error(value.name_span, message);
                report.missing(problem.hint(landmark_hint(value)));
                return None;
            };
            let name = text(&part, "\"part\"", report)?;
            let id = parts.find(name, part.span, report)?;
            let edge = if at.is_some() { edge? } else { usual };
            if edge != Edge::Pivot {
                parts.must_be_drawn(id, part.span, "be measured", report);
            }
            Some(LandmarkPlace::Part(id, edge))
        }
        DeValue::Integer(_) | DeValue::Float(_) => {
            number(value, &what, report).map(LandmarkPlace::Height)
        }
        _ => {
            let wanted = "a number, or a part and an edge of it";
            not_that(value, &what, wanted, &landmark_hint(value), report);
            None
        }
    }
}

fn landmark_hint(value: &Field<'_>) -> String {
    format!(
        "write {0} = 250, or {0} = {{ part = \"eye\", at = \"middle\" }}",
        value.name
    )
}

fn crop(
    declared: &Field<'_>,
    mut fields: Fields<'_>,
    parts: &Parts<'_>,
    report: &mut Report,
) -> Option<Crop> {
    names::check(declared.name, "crop", declared.name_span, report);
    let area = fields.take("area");
    fields.must("part", report);
    let part = fields.text("part", report);
    let part = part.and_then(|(name, span)| parts.find(name, span, report));
    let area = area.and_then(|value| self::area(&value, report));
    let margin = fields.number_or("margin", report);
    fields.finish(report);
    Some(Crop {
        name: declared.name.to_owned(),
        span: declared.name_span,
        part: part?,
        area,
        margin,
    })
}

/// Left, top, right, bottom.
fn area(value: &Field<'_>, report: &mut Report) -> Option<[f64; 4]> {
    let corners = points(value, report)?;
    let &[from, to] = &corners[..] else {
        return None;
    };
    if from[0] >= to[0] || from[1] >= to[1] {
        let message = "\"area\" is empty: the first corner is not above and left of the second";
        report.push(Problem::error(value.span, message).hint(value.hint()));
        return None;
    }
    Some([from[0], from[1], to[0], to[1]])
}

/// A list of as many points as the key takes.
fn points(value: &Field<'_>, report: &mut Report) -> Option<Vec<Point>> {
    let what = quoted(value.name);
    let Some(items) = value.items() else {
        not(value, &what, "a list of points", report);
        return None;
    };
    let [count, _] = value.key.kind.counts()?;
    if items.len() != count {
        let message = format!("{what} must be {count} points, not {}", items.len());
        report.push(Problem::error(value.span, message).hint(value.hint()));
        return None;
    }
    let points: Vec<Option<Point>> = items.iter().map(|item| pair(item, &what, report)).collect();
    points.into_iter().collect()
}

fn note(
    declared: &Field<'_>,
    mut fields: Fields<'_>,
    parts: &Parts<'_>,
    report: &mut Report,
) -> Option<Note> {
    names::check(declared.name, "note", declared.name_span, report);
    let at = fields.pair("at", report);
    let part = fields.need("part", report);
    let part = part.and_then(|value| only_part(&value, "be pointed at", parts, report));
    fields.must("text", report);
    let text = fields.words("text", report);
    fields.finish(report);
    Some(Note {
        name: declared.name.to_owned(),
        span: declared.name_span,
        part: part?,
        text: text?,
        at,
    })
}

fn measure(
    declared: &Field<'_>,
    mut fields: Fields<'_>,
    drafts: &[PartDraft<'_>],
    parts: &Parts<'_>,
    report: &mut Report,
) -> Option<Length> {
    names::check(declared.name, "measure", declared.name_span, report);
    let along = fields.need("along", report);
    fields.finish(report);
    let along = along?;
    let Some(items) = along.items() else {
        not(&along, "\"along\"", "a list of parts and points", report);
        return None;
    };
    let [least, most] = along.key.kind.counts()?;
    if !(least..=most).contains(&items.len()) {
        let message = format!(
            "\"along\" must have {least} to {most} places, not {}",
            items.len()
        );
        report.push(Problem::error(along.span, message).hint(along.hint()));
        return None;
    }
    let mut points = Vec::with_capacity(items.len());
    for item in items {
        let span = item.span;
        points.push(match item.value {
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
            _ => pair(&item, "a place of \"along\"", report),
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
    let shown = fields.need("parts", report);
    let shown = shown.and_then(|value| several(&value, "be charted", parts, report));
    let crop = fields.text("crop", report).and_then(|(name, span)| {
        let at = crops.iter().position(|crop| crop.name == name);
        if at.is_none() {
            let known = crops.iter().map(|crop| crop.name.as_str());
            let hint = names::hint(name, known, "declare it, with [crop.name]", report);
            let problem = Problem::error(span, format!("unknown crop {}", quoted(name)));
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
