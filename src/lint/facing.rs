//! Directions in space that a view cannot show.

use super::finding::{Check, LintFinding};
use super::subject::Subject;
use crate::diag::Place;

/// A view that does not say what it faces, where other views do and a pose aims or leans something of it; told once
/// for each view, at the first.
pub(super) fn check(subject: &Subject<'_>, found: &mut Vec<LintFinding>) {
    if subject
        .member
        .views
        .iter()
        .all(|view| view.facing.is_none())
    {
        return;
    }
    for (_, view) in subject.views().filter(|(_, view)| view.facing.is_none()) {
        let name = view.name.as_deref().unwrap_or_default();
        let poses = subject.lists.iter().flat_map(|list| list.all());
        let said = poses.filter_map(|pose| {
            let seen = pose.in_view(view.name.as_deref());
            let mut said = seen.entries().filter(|(table, part, ..)| {
                matches!(*table, "aim" | "lean") && view.part(*part).is_some()
            });
            let (table, part, span, _) = said.next()?;
            Some((pose, table, part, span?))
        });
        if let Some((pose, table, part, span)) = said.into_iter().next() {
            let part = &subject.member.names[part.at()];
            let message = format!(
                "view \"{name}\" does not say its \"facing\", so \"{table}\" of \"{part}\" in pose \"{}\" does nothing there",
                pose.name
            );
            let hint = format!("write {name} = {{ file = \"...\", facing = 90 }} under [views]");
            let check = Check::NoFacing;
            found.push(LintFinding::warning(
                check,
                name,
                Place::Span(span),
                message,
                &hint,
            ));
        }
    }
}
