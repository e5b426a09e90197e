//! How parts lie in space: sides of the body, drawn directions, and where limbs are hinged.

use std::collections::HashMap;

use super::field::Field;
use super::fields::Fields;
use super::part::{PartDraft, RESERVED};
use super::report::Report;
use super::tables::table;
use super::value::pair;
use super::{Flank, Member, Part, PartId, Space, View, names};
use crate::diag::{Problem, quoted};
use crate::name::{Flanked, flank_of, other_side};

/// Reads what a part says of it.
pub(super) fn of_part(fields: &mut Fields<'_>, part: &PartDraft<'_>, report: &mut Report) -> Space {
    let side = fields.one_of("side", [Flank::Left, Flank::Right], report);
    let drawn = fields.pair("drawn", report);
    let shown = fields.take("foreshortened");
    Space {
        side,
        drawn,
        left: 0.0,
        foreshortened: shown
            .map(|field| foreshortened(&field, part, report))
            .unwrap_or_default(),
    }
}

fn foreshortened(
    field: &Field<'_>,
    part: &PartDraft<'_>,
    report: &mut Report,
) -> Vec<(String, [f64; 2])> {
    let Some(fields) = table(field, "\"foreshortened\"", report) else {
        return Vec::new();
    };
    let mut all = Vec::new();
    for entry in fields.all() {
        let own = part.replacements.keys().map(String::as_str);
        let mut known = own.chain(RESERVED);
        if !known.any(|name| name == entry.name) {
            let own = part.replacements.keys().map(String::as_str);
            let hint = names::hint(entry.name, own, "it has none", report);
            let message = format!(
                "{} has no replacement {}",
                quoted(part.name),
                quoted(entry.name)
            );
            report.undeclared(Problem::error(entry.name_span, message).hint(hint));
            continue;
        }
        let what = format!("\"foreshortened\" of {}", quoted(entry.name));
        let Some([least, most]) = pair(&entry, &what, report) else {
            continue;
        };
        if least > most {
            let message = format!("{what} starts above its end");
            let hint = format!("write {} = [{most}, {least}]", entry.name);
            report.push(Problem::error(entry.span, message).hint(hint));
            continue;
        }
        all.push((entry.name.to_owned(), [least, most]));
    }
    all
}

/// The side that a name says, if it says one that is known.
fn named(name: &str, near: Option<Flank>) -> Option<Flank> {
    let other = |side| match side {
        Flank::Left => Flank::Right,
        Flank::Right => Flank::Left,
    };
    match flank_of(name)? {
        Flanked::Left => Some(Flank::Left),
        Flanked::Right => Some(Flank::Right),
        Flanked::Near => near,
        Flanked::Far => near.map(other),
    }
}

/// Gives all parts their sides: by key, else by name, else as what carries them; and their pivots' places.
pub(super) fn settle(views: &mut [View], names: &[String], near: Option<Flank>) {
    for view in &mut *views {
        let parts = &view.parts;
        let own = |part: &Part| {
            let said = part.space.side;
            said.or_else(|| named(&names[part.name.at()], near))
        };
        let own: Vec<Option<Flank>> = parts.iter().map(own).collect();
        // Each part once: what carries a long chain is not gone through for all of it.
        let mut sides: Vec<Option<Option<Flank>>> = vec![None; parts.len()];
        for id in view.ids() {
            let (mut way, mut next) = (Vec::new(), Some(id));
            let side = loop {
                let Some(at) = next.map(PartId::at) else {
                    break None;
                };
                if let Some(known) = sides[at] {
                    break known;
                }
                way.push(at);
                if own[at].is_some() {
                    break own[at];
                }
                next = parts[at].parent;
            };
            for at in way {
                sides[at] = Some(side);
            }
        }
        for (part, side) in view.parts.iter_mut().zip(sides) {
            part.space.side = side.flatten();
        }
    }
    let mut frontal: Vec<&View> = views.iter().filter(|view| view.facing.is_some()).collect();
    let turned = |view: &&View| libm::fabs(libm::remainder(view.facing.unwrap_or(0.0), 360.0));
    frontal.sort_by(|a, b| turned(a).total_cmp(&turned(b)));
    let known = names.iter().enumerate();
    let known: HashMap<&str, usize> = known.map(|(at, name)| (name.as_str(), at)).collect();
    let half = |(own, name): (usize, &String)| half((own, name), &known, &frontal);
    let halves: Vec<f64> = names.iter().enumerate().map(half).collect();
    for part in views.iter_mut().flat_map(|view| &mut view.parts) {
        let side = part.space.side.map_or(0.0, Flank::sign);
        part.space.left = side * halves[part.name.at()];
    }
}

/// Half the distance of a part's pivot and its pair's, in the first of these views that has both.
fn half((own, name): (usize, &str), known: &HashMap<&str, usize>, views: &[&View]) -> f64 {
    let pair = other_side(name, &crate::name::SIDES).and_then(|other| known.get(&*other).copied());
    let apart = pair.and_then(|other| {
        views.iter().find_map(|view| {
            let [own, other] = [own, other].map(|at| Some(view.by_name[at]?.at()));
            let [own, other] = [own?, other?].map(|at| view.parts[at].pivot);
            Some(libm::fabs(own[0] - other[0]))
        })
    });
    apart.unwrap_or(0.0) / 2.0
}

/// Whether a part's name tells near from far, and nobody says which is which.
pub(super) fn is_unsaid(member: &Member, view: &View, part: PartId) -> bool {
    let name = |id: PartId| &member.names[view.parts[id.at()].name.at()];
    let says = |id: &PartId| matches!(flank_of(name(*id)), Some(Flanked::Near | Flanked::Far));
    view.parts[part.at()].space.side.is_none() && view.upwards(part).any(|id| says(&id))
}
