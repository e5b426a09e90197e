//! `[garment.<name>]`.

use super::field::Field;
use super::fields::Fields;
use super::link::Parts;
use super::mask::{only_part, several};
use super::report::Report;
use super::tables::tables;
use super::{Garment, Palette, PartId, colours, names};
use crate::diag::{Problem, quoted};

/// Reads all garments, and notes which parts are worn.
pub(super) fn garments(
    root: &mut Fields<'_>,
    parts: &mut Parts<'_>,
    palettes: &[Palette],
    report: &mut Report,
) -> Vec<Garment> {
    let worn: Vec<_> = tables(root, "garment", report)
        .into_iter()
        .map(|(field, mut fields)| {
            let part = worn(&mut fields, parts, report);
            (field, fields, part)
        })
        .collect();
    worn.into_iter()
        .filter_map(|(field, fields, part)| garment(&field, fields, part, parts, palettes, report))
        .collect()
}

/// The part that is worn.
fn worn(fields: &mut Fields<'_>, parts: &mut Parts<'_>, report: &mut Report) -> Option<PartId> {
    let value = fields.need("part", report)?;
    let part = only_part(&value, "be worn", parts, report)?;
    if let Some(first) = parts.worn[part.at()] {
        let message = format!("part {} is worn twice", quoted(parts.name(part)));
        let problem = Problem::error(value.span, message)
            .also(first, "worn here already")
            .hint("keep one garment for it, and name all hosts there");
        report.push(problem);
    } else {
        parts.worn[part.at()] = Some(value.span);
    }
    Some(part)
}

fn garment(
    declared: &Field<'_>,
    mut fields: Fields<'_>,
    part: Option<PartId>,
    parts: &Parts<'_>,
    palettes: &[Palette],
    report: &mut Report,
) -> Option<Garment> {
    names::check(declared.name, "garment", declared.name_span, report);
    let on = fields.need("on", report);
    let on = on.and_then(|value| several_hosts(&value, part, parts, report));
    let trim = fields
        .take("trim")
        .and_then(|value| colours::named(&value, "\"trim\"", palettes, report));
    fields.finish(report);
    Some(Garment {
        name: declared.name.to_owned(),
        span: declared.name_span,
        part: part?,
        on: on?,
        trim,
    })
}

/// The hosts: not the garment itself, nor another garment.
fn several_hosts(
    value: &Field<'_>,
    part: Option<PartId>,
    parts: &Parts<'_>,
    report: &mut Report,
) -> Option<Vec<PartId>> {
    let hosts = several(value, "wear another", parts, report)?;
    Some(
        hosts
            .into_iter()
            .map(|(host, _)| host)
            .filter(|host| Some(*host) != part)
            .collect(),
    )
}
