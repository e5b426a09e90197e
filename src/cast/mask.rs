//! `[mask.<name>]`.

use std::collections::HashSet;

use super::field::Field;
use super::fields::Fields;
use super::link::Parts;
use super::report::Report;
use super::tree::in_words;
use super::value::{tables, text, texts};
use super::{Keep, Mask, PartId, names};
use crate::diag::{Problem, Span, quoted};

/// Reads all masks.
pub(super) fn masks(root: &mut Fields<'_>, parts: &Parts<'_>, report: &mut Report) -> Vec<Mask> {
    let mut all = Vec::new();
    for (field, fields) in tables(root, "mask", report) {
        all.extend(mask(&field, fields, parts, report));
    }
    loops(&all, parts, report);
    all
}

fn mask(
    declared: &Field<'_>,
    mut fields: Fields<'_>,
    parts: &Parts<'_>,
    report: &mut Report,
) -> Option<Mask> {
    names::check(declared.name, "mask", declared.name_span, report);
    let name = quoted(declared.name);
    let part = match fields.take("part") {
        Some(value) => only_part(&value, "be masked", parts, report),
        None => {
            let message = format!("mask {name} has no \"part\"");
            let hint = "write part = \"iris\", the part that is masked";
            report.missing(Problem::error(declared.name_span, message).hint(hint));
            None
        }
    };
    let keep = match fields.take("keep") {
        Some(value) => keep(&value, report),
        None => {
            let message = format!("mask {name} has no \"keep\"");
            let hint = "write keep = \"inside\" or keep = \"outside\"";
            report.missing(Problem::error(declared.name_span, message).hint(hint));
            None
        }
    };
    let of = match fields.take("of") {
        Some(value) => several(&value, "be a mask", parts, report),
        None => {
            let message = format!("mask {name} has no \"of\"");
            let hint = "write of = [\"eye\"], the parts whose shape is the mask";
            report.missing(Problem::error(declared.name_span, message).hint(hint));
            None
        }
    };
    fields.finish(report);
    Some(Mask {
        name: declared.name.to_owned(),
        span: declared.name_span,
        part: part?,
        keep: keep?,
        of: of?.into_iter().map(|(part, _)| part).collect(),
    })
}

/// One part, which must be drawn to do what `role` says.
pub(super) fn only_part(
    value: &Field<'_>,
    role: &str,
    parts: &Parts<'_>,
    report: &mut Report,
) -> Option<PartId> {
    let name = text(value, "\"part\"", "write a part's name", report)?;
    let part = parts.find(name, value.span, report)?;
    parts.must_be_drawn(part, value.span, role, report);
    Some(part)
}

/// One or more parts, each of which must be drawn, and not be worn, to do what `role` says.
/// What is unknown is reported and left out.
pub(super) fn several(
    value: &Field<'_>,
    role: &str,
    parts: &Parts<'_>,
    report: &mut Report,
) -> Option<Vec<(PartId, Span)>> {
    let what = quoted(value.name);
    let hint = format!("write {} = [\"name\"], one or more parts", value.name);
    let named = texts(value, &what, &hint, report)?;
    if named.is_empty() {
        report.push(Problem::error(value.span, format!("{what} names no part")).hint(hint));
        return None;
    }
    let mut found: Vec<(PartId, Span)> = Vec::new();
    let mut seen = HashSet::new();
    for (name, span) in named {
        let Some(part) = parts.find(name, span, report) else {
            continue;
        };
        if !seen.insert(part) {
            let message = format!("part {} is named twice", quoted(name));
            report.push(Problem::warning(span, message).hint("name it once"));
            continue;
        }
        parts.must_be_drawn(part, span, role, report);
        parts.must_not_be_worn(part, span, role, report);
        found.push((part, span));
    }
    Some(found)
}

fn keep(value: &Field<'_>, report: &mut Report) -> Option<Keep> {
    let hint = "write \"inside\" or \"outside\"";
    match text(value, "\"keep\"", hint, report)? {
        "inside" => Some(Keep::Inside),
        "outside" => Some(Keep::Outside),
        other => {
            let message = format!("\"keep\" cannot be {}", quoted(other));
            report.push(Problem::error(value.span, message).hint(hint));
            None
        }
    }
}

/// Reports masks that depend on each other in a loop.
fn loops(masks: &[Mask], parts: &Parts<'_>, report: &mut Report) {
    // Of each part, the parts that mask it, and where that is said.
    let mut masked_by: Vec<Vec<(PartId, Span)>> = vec![Vec::new(); parts.parents.len()];
    for mask in masks {
        let by = mask.of.iter().map(|&of| (of, mask.span));
        masked_by[mask.part.at()].extend(by);
    }
    // A walk in depth; `open` holds the way here with how far each part's list has been followed.
    let mut place: Vec<Option<usize>> = vec![None; masked_by.len()];
    let mut done = vec![false; masked_by.len()];
    for mask in masks {
        let mut open = vec![(mask.part, 0)];
        while let Some((part, followed)) = open.last_mut() {
            let part = *part;
            let Some(&(next, span)) = masked_by[part.at()]
                .get(*followed)
                .filter(|_| !done[part.at()])
            else {
                place[part.at()] = None;
                done[part.at()] = true;
                open.pop();
                continue;
            };
            *followed += 1;
            let here = open.len() - 1;
            place[part.at()] = Some(here);
            if let Some(from) = place[next.at()] {
                let way = in_words(&open[from..].iter().map(|(part, _)| parts.name(*part)));
                let message = if from == here {
                    format!("part {} is masked by itself", quoted(parts.name(part)))
                } else {
                    format!("the masks form a loop: {way}")
                };
                let hint = "each is masked by the next; leave one out";
                report.push(Problem::error(span, message).hint(hint));
            } else if !done[next.at()] {
                open.push((next, 0));
            }
        }
    }
}
