//! `[seam.<name>]`.

use std::collections::HashMap;
use std::path::Path;

use toml::de::DeValue;

use super::field::Field;
use super::fields::Fields;
use super::link::Parts;
use super::part::drawing;
use super::reference::{ArtRef, art};
use super::report::Report;
use super::tables::tables;
use super::value::{not, number, texts};
use super::{Opens, PartId, names};
use crate::diag::{Problem, Span, quoted};

/// A seam whose drawings are not loaded.
#[derive(Debug)]
pub(super) struct SeamDraft {
    pub name: String,
    pub span: Span,
    pub parent: PartId,
    pub child: PartId,
    pub zone: ZoneDraft,
    pub opens: Opens,
    pub patch: Option<ArtRef>,
}

/// A zone whose drawing is not loaded.
#[derive(Debug)]
pub(super) enum ZoneDraft {
    Auto,
    Radius(f64),
    Art(ArtRef),
}

/// Reads all seams.
pub(super) fn seams(
    root: &mut Fields<'_>,
    parts: &Parts<'_>,
    base: &Path,
    report: &mut Report,
) -> Vec<SeamDraft> {
    let mut pairs: HashMap<(PartId, PartId), Span> = HashMap::new();
    let mut all = Vec::new();
    for (field, fields) in tables(root, "seam", report) {
        let Some(seam) = seam(&field, fields, parts, base, report) else {
            continue;
        };
        let pair = (seam.parent.min(seam.child), seam.parent.max(seam.child));
        if let Some(first) = pairs.get(&pair) {
            let message = format!(
                "seam {} joins the same parts as another, {} and {}",
                quoted(&seam.name),
                quoted(parts.name(seam.parent)),
                quoted(parts.name(seam.child))
            );
            let problem = Problem::error(seam.span, message)
                .also(*first, "the first seam of these parts")
                .hint("keep one of the two");
            report.push(problem);
        } else {
            pairs.insert(pair, seam.span);
        }
        all.push(seam);
    }
    all
}

fn seam(
    declared: &Field<'_>,
    mut fields: Fields<'_>,
    parts: &Parts<'_>,
    base: &Path,
    report: &mut Report,
) -> Option<SeamDraft> {
    names::check(declared.name, "seam", declared.name_span, report);
    let pair = joined(&mut fields, parts, report);
    let zone = fields
        .take("zone")
        .and_then(|value| zone(&value, base, report))
        .unwrap_or(ZoneDraft::Auto);
    let opens = fields.one_of_or("opens", [Opens::Both, Opens::Parent, Opens::Child], report);
    let patch = fields
        .take("patch")
        .and_then(|value| drawing(&value, "\"patch\"", base, report));
    fields.finish(report);
    let (parent, child) = pair?;
    Some(SeamDraft {
        name: declared.name.to_owned(),
        span: declared.name_span,
        parent,
        child,
        zone,
        opens,
        patch,
    })
}

/// The two parts: the one nearer the root first.
fn joined(
    fields: &mut Fields<'_>,
    parts: &Parts<'_>,
    report: &mut Report,
) -> Option<(PartId, PartId)> {
    let value = fields.need("parts", report)?;
    let named = texts(&value, "\"parts\"", report)?;
    if named.len() != 2 {
        let message = format!("a seam joins two parts, not {}", named.len());
        report.push(Problem::error(value.span, message).hint(value.hint()));
    }
    let mut found = Vec::with_capacity(2);
    for (name, span) in &named {
        if let Some(part) = parts.find(name, *span, report) {
            parts.must_be_drawn(part, *span, "be joined by a seam", report);
            parts.must_not_be_worn(part, *span, "be joined by a seam", report);
            found.push(part);
        }
    }
    let (&[first, second], 2) = (&*found, named.len()) else {
        return None;
    };
    if first == second {
        let name = quoted(parts.name(first));
        let problem = Problem::error(named[1].1, format!("a seam cannot join {name} to itself"))
            .hint("name the two parts that meet");
        report.push(problem);
        return None;
    }
    Some(if parts.carries(second, first) {
        (second, first)
    } else {
        (first, second)
    })
}

fn zone(value: &Field<'_>, base: &Path, report: &mut Report) -> Option<ZoneDraft> {
    let wrong = match value.value {
        DeValue::Integer(_) | DeValue::Float(_) => {
            let radius = number(value, "\"zone\"", report)?;
            if radius > 0.0 {
                return Some(ZoneDraft::Radius(radius));
            }
            "the radius of \"zone\" must be above 0".to_owned()
        }
        DeValue::String(word) if word == "auto" => return Some(ZoneDraft::Auto),
        DeValue::String(word) if word.contains('#') => {
            return art(word, value.span, "\"zone\"", base, report).map(ZoneDraft::Art);
        }
        DeValue::String(word) => format!("unknown zone {}", quoted(word)),
        _ => {
            not(value, "\"zone\"", "\"auto\", a radius or a drawing", report);
            return None;
        }
    };
    report.push(Problem::error(value.span, wrong).hint(value.hint()));
    None
}
