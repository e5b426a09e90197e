//! How far a joint turns: two numbers, or a human joint's published norm.

use toml::de::DeValue;

use super::field::Field;
use super::fields::Fields;
use super::names;
use super::norms::{Source, norm, norms, opposite};
use super::report::Report;
use super::value::{number, pair, text};
use crate::diag::{Problem, Span, quoted};

/// Whom a norm is of, unless it is said.
const GROUP: &str = "adult";

/// Reads `limits`.
pub(super) fn limits(value: &Field<'_>, name: &str, report: &mut Report) -> Option<[f64; 2]> {
    let [least, most] = match of_norm(value, "\"limits\"", report) {
        Some(range) => range?,
        None => pair(value, "\"limits\"", report)?,
    };
    if least > most {
        let problem = Problem::error(value.span, "the limits are reversed")
            .hint(format!("write limits = [{most}, {least}]"));
        report.push(problem);
        return None;
    }
    if least > 0.0 || most < 0.0 {
        let message = format!("the rest pose of {} is outside its limits", quoted(name));
        let problem = Problem::warning(value.span, message)
            .hint("a part rests at a turn of 0; limits count from there");
        report.push(problem);
    }
    Some([least, most])
}

/// Reads a range that is given as a human joint: `"elbow"`, or a table `{ joint, clockwise, rest,
/// source, group }`. `None` when it is given otherwise; `Some(None)` when there are mistakes in it.
pub(super) fn of_norm(
    value: &Field<'_>,
    what: &str,
    report: &mut Report,
) -> Option<Option<[f64; 2]>> {
    match value.value {
        DeValue::String(name) => {
            let joint = NormKeys {
                joint: Some((name.as_ref(), value.span)),
                ..NormKeys::default()
            };
            Some(range(&joint, value.span, report))
        }
        DeValue::Table(table) => {
            let keys = value.key.kind.keys()?;
            let fields = Fields::open(what, value.span, table, keys, report);
            let before = report.errors();
            let keys = norm_keys(fields, what, report);
            Some(if report.errors() > before {
                None
            } else {
                range(&keys, value.span, report)
            })
        }
        _ => None,
    }
}

/// A norm as it is keys for.
#[derive(Default)]
struct NormKeys<'t> {
    joint: Option<(&'t str, Span)>,
    clockwise: Option<(&'t str, Span)>,
    rest: f64,
    source: Option<(&'t str, Span)>,
    group: Option<(&'t str, Span)>,
}

fn norm_keys<'t>(mut fields: Fields<'t>, what: &str, report: &mut Report) -> NormKeys<'t> {
    let mut word = |key: &str, report: &mut Report| {
        let value = fields.take(key)?;
        let name = format!("{} of {what}", quoted(key));
        Some((text(&value, &name, report)?, value.span))
    };
    let mut keys = NormKeys {
        joint: word("joint", report),
        clockwise: word("clockwise", report),
        source: word("source", report),
        group: word("group", report),
        rest: 0.0,
    };
    if keys.joint.is_none() && fields.lacks("joint") {
        let message = format!("{what} names no joint");
        let problem = Problem::error(fields.span, message).hint("write { joint = \"elbow\" }");
        report.missing(problem);
    }
    if let Some(value) = fields.take("rest") {
        let name = format!("\"rest\" of {what}");
        keys.rest = number(&value, &name, report).unwrap_or(0.0);
    }
    fields.finish(report);
    keys
}

/// The turns that a norm allows, degrees.
fn range(keys: &NormKeys<'_>, span: Span, report: &mut Report) -> Option<[f64; 2]> {
    let (joint, joint_span) = keys.joint?;
    let unknown = |what: &str, (name, at): (&str, Span), known: &[&str], report: &mut Report| {
        let message = format!("{what} {}", quoted(name));
        let hint = names::hint(name, known.iter().copied(), "", report);
        report.push(Problem::error(at, message).hint(hint));
    };
    if !norms().iter().any(|n| n.joint == joint) {
        let known = known(|n| Some(n.joint));
        unknown("unknown joint", (joint, joint_span), &known, report);
        return None;
    }
    let source = match keys.source {
        None => Source::Aaos,
        Some(("AAOS", _)) => Source::Aaos,
        Some(("CDC", _)) => Source::Cdc,
        Some(other) => {
            unknown("unknown source", other, &["AAOS", "CDC"], report);
            return None;
        }
    };
    let here = |n: &&super::norms::Norm| n.source == source && n.joint == joint;
    let groups = known(|n| here(&n).then_some(n.group));
    let group = match keys.group {
        None if groups.contains(&GROUP) => GROUP,
        None => {
            let (message, hint) = if groups.is_empty() {
                let message = format!("{} has no norm for {}", source.name(), quoted(joint));
                (message, "take another source".to_owned())
            } else {
                let message = format!(
                    "{}'s norms for {} are by group",
                    source.name(),
                    quoted(joint)
                );
                (
                    message,
                    format!(
                        "write group = \"{}\"; there are {}",
                        groups[0],
                        groups.join(", ")
                    ),
                )
            };
            report.push(Problem::error(span, message).hint(hint));
            return None;
        }
        Some((group, _)) if groups.contains(&group) => group,
        Some(_) if groups.is_empty() => {
            let message = format!("{} has no norm for {}", source.name(), quoted(joint));
            report.push(Problem::error(span, message).hint("take another source"));
            return None;
        }
        Some(other) => {
            let what = format!(
                "{} has no norm for {} of group",
                source.name(),
                quoted(joint)
            );
            unknown(&what, other, &groups, report);
            return None;
        }
    };
    let mut motions = known(|n| (here(&n) && n.group == group).then_some(n.motion));
    for at in 0..motions.len() {
        let back = opposite(motions[at]);
        if !motions.contains(&back) {
            motions.push(back);
        }
    }
    let clockwise = match keys.clockwise {
        None => motions[0],
        Some((motion, _)) if motions.contains(&motion) => motion,
        Some(other) => {
            let what = format!("{} has no motion", quoted(joint));
            unknown(&what, other, &motions, report);
            return None;
        }
    };
    // Where no norm is given for the way back, the joint goes to the straight and no further.
    let degrees = |motion| norm(source, group, joint, motion).map_or(0.0, |n| n.degrees);
    Some([
        -(degrees(opposite(clockwise)) + keys.rest) + 0.0,
        degrees(clockwise) - keys.rest,
    ])
}

/// Names of the table, each once, in its order.
fn known(name: impl Fn(&'static super::norms::Norm) -> Option<&'static str>) -> Vec<&'static str> {
    let mut all = Vec::new();
    for found in norms().iter().filter_map(name) {
        if !all.contains(&found) {
            all.push(found);
        }
    }
    all
}
