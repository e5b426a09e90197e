//! `[mask.<name>]`.

use std::collections::HashSet;

use super::field::Field;
use super::fields::Fields;
use super::link::Parts;
use super::report::Report;
use super::tables::tables;
use super::tree::in_words;
use super::value::{text, texts};
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
    let part = fields.need("part", report);
    let part = part.and_then(|value| only_part(&value, "be masked", parts, report));
    fields.must("keep", report);
    let keep = fields.one_of("keep", [Keep::Inside, Keep::Outside], report);
    let of = fields.need("of", report);
    let of = of.and_then(|value| several(&value, "be a mask", parts, report));
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
    let name = text(value, "\"part\"", report)?;
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
    let named = texts(value, &what, report)?;
    if named.is_empty() {
        let problem = Problem::error(value.span, format!("{what} names no part"));
        report.push(problem.hint(value.hint()));
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
