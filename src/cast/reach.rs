//! Where a pose says that hands go, feet stay and eyes look.

mod elements;
mod goal;

pub use elements::find_elements;
pub use goal::{ChainOf, ElementRef, Fold, Goal, Look, LookTo, Reach, Target};

use std::collections::HashSet;
use std::path::Path;

use toml::de::DeValue;

use super::field::Field;
use super::fields::Fields;
use super::pose::Known;
use super::reference::{Base, art};
use super::report::Report;
use super::tables::table;
use super::value::{not, number, pair, text, texts, whole};
use super::{NameId, Pose, PoseEntry, View, names};
use crate::diag::{Problem, Span, quoted};

/// The parts that are turned for the ends of limbs in a pose.
pub(super) fn solved_for(pose: &Pose, known: &Known<'_>) -> HashSet<NameId> {
    let mut all = HashSet::new();
    for view in &known.member.views {
        for said in pose.plant.iter().chain(&pose.reach) {
            if let (Some(reach), Some(end)) = (&said.value, view.part(said.part)) {
                let chain = reach.chain(view, end);
                let keeps = reach.keep_angle.then_some(end);
                let parts = chain.into_iter().chain(keeps);
                all.extend(parts.map(|part| view.parts[part.at()].name));
            }
        }
    }
    all
}

/// Reads `reach`.
pub(super) fn reaches(
    fields: &mut Fields<'_>,
    known: &Known<'_>,
    report: &mut Report,
) -> Vec<PoseEntry<Option<Reach>>> {
    let Some(outer) = fields.take("reach") else {
        return Vec::new();
    };
    let Some(outer) = table(&outer, "\"reach\"", report) else {
        return Vec::new();
    };
    let mut all = Vec::new();
    for field in outer.all() {
        let Some(part) = known.part(field.name, field.name_span, report) else {
            continue;
        };
        let what = format!("\"reach\" of {}", quoted(field.name));
        let value = match field.value {
            DeValue::Boolean(false) => Some(None),
            DeValue::Table(_) => reach(&field, &what, part, known, report).map(Some),
            _ => target(&field, &what, known, report).map(|to| Some(plain(Goal::To(to)))),
        };
        if let Some(value) = value {
            check_end(&field, part, value.as_ref(), known, report);
            let span = Some(field.span);
            all.push(PoseEntry { part, value, span });
        }
    }
    all
}

const fn plain(to: Goal) -> Reach {
    Reach {
        to,
        offset: [0.0, 0.0],
        by: None,
        chain: ChainOf::Limbs,
        fold: None,
        keep_angle: false,
        stretch: 1.0,
    }
}

fn reach(
    field: &Field<'_>,
    what: &str,
    part: NameId,
    known: &Known<'_>,
    report: &mut Report,
) -> Option<Reach> {
    let mut fields = table(field, what, report)?;
    let to = fields.need("to", report);
    let offset = fields.pair("offset", report);
    let keep = fields.flag("keep_angle", report);
    let mut reach = plain(Goal::Rest);
    limb(&mut reach, &mut fields, part, known, report);
    fields.finish(report);
    let to = target(&to?, &format!("\"to\" of {what}"), known, report)?;
    Some(Reach {
        to: Goal::To(to),
        offset: offset.unwrap_or(reach.offset),
        keep_angle: keep.unwrap_or(false),
        ..reach
    })
}

/// Reads `plant`.
pub(super) fn plants(
    fields: &mut Fields<'_>,
    known: &Known<'_>,
    report: &mut Report,
) -> Vec<PoseEntry<Option<Reach>>> {
    let Some(field) = fields.take("plant") else {
        return Vec::new();
    };
    let rest = Reach {
        keep_angle: true,
        ..plain(Goal::Rest)
    };
    let mut all: Vec<PoseEntry<Option<Reach>>> = Vec::new();
    let mut put = |name: &str, at: Span, span: Span, value: Option<Reach>, report: &mut Report| {
        let Some(part) = known.part(name, at, report) else {
            return;
        };
        if all.iter().any(|known| known.part == part) {
            let message = format!("{} is planted twice", quoted(name));
            report.push(Problem::error(at, message).hint("name each foot once"));
            return;
        }
        check_end(&field, part, value.as_ref(), known, report);
        let span = Some(span);
        all.push(PoseEntry { part, value, span });
    };
    if !matches!(field.value, DeValue::Table(_)) {
        for (name, span) in texts(&field, "\"plant\"", report).unwrap_or_default() {
            put(name, span, span, Some(rest.clone()), report);
        }
        return all;
    }
    let outer = table(&field, "\"plant\"", report);
    for inner in outer.into_iter().flat_map(|outer| outer.all()) {
        let what = format!("\"plant\" of {}", quoted(inner.name));
        let value = match inner.value {
            DeValue::Boolean(stays) => Some(stays.then(|| rest.clone())),
            DeValue::String(by) => {
                let by = inner_point(&inner, by, known, report);
                by.map(|by| {
                    Some(Reach {
                        by: Some(by),
                        ..rest.clone()
                    })
                })
            }
            DeValue::Table(_) => plant(&inner, &what, &rest, known, report).map(Some),
            _ => {
                not(&inner, &what, "true, a point's name or a table", report);
                None
            }
        };
        if let Some(value) = value {
            put(inner.name, inner.name_span, inner.span, value, report);
        }
    }
    all
}

fn plant(
    field: &Field<'_>,
    what: &str,
    rest: &Reach,
    known: &Known<'_>,
    report: &mut Report,
) -> Option<Reach> {
    let mut fields = table(field, what, report)?;
    let part = known.named(field.name)?;
    let at = fields.take("at");
    let mut reach = rest.clone();
    limb(&mut reach, &mut fields, part, known, report);
    fields.finish(report);
    let Some(at) = at else {
        return Some(reach);
    };
    let what = format!("\"at\" of {what}");
    reach.to = match at.value {
        DeValue::String(word) => match word.as_ref() {
            "rest" => Goal::Rest,
            "ground" => Goal::Ground,
            other => {
                let message = format!("{what} cannot be {}", quoted(other));
                report.push(Problem::error(at.span, message).hint(at.hint()));
                return None;
            }
        },
        _ => Goal::To(one_point(&at, &what, known, report)?),
    };
    if reach.to == Goal::Ground {
        check_ground(&at, field.name, part, known, report)?;
    }
    Some(reach)
}

fn check_ground(
    at: &Field<'_>,
    name: &str,
    part: NameId,
    known: &Known<'_>,
    report: &mut Report,
) -> Option<()> {
    let name = quoted(name);
    let (message, hint) = if known.member.ground.is_none() {
        (
            format!("the rig has no ground for {name} to stand on"),
            "write ground = 1130 under [character] in the rig, y of the floor".to_owned(),
        )
    } else if known.all(part).all(|(_, part)| part.points.is_empty()) {
        (
            format!("{name} has no point that could stand on the ground"),
            "write points = { heel = [410, 1126] } of the part in the rig".to_owned(),
        )
    } else {
        return Some(());
    };
    report.push(Problem::error(at.span, message).hint(hint));
    None
}

/// Reads what `reach` and `plant` have in common.
fn limb(
    reach: &mut Reach,
    fields: &mut Fields<'_>,
    part: NameId,
    known: &Known<'_>,
    report: &mut Report,
) {
    if let Some(by) = fields.take("by")
        && let Some(name) = text(&by, "\"by\"", report)
    {
        reach.by = point_of(part, name, by.span, known, report);
    }
    if let Some(field) = fields.take("chain")
        && let Some(chain) = chain(&field, part, known, report)
    {
        reach.chain = chain;
    }
    let folds = [Fold::Up, Fold::Down, Fold::Left, Fold::Right, Fold::Other];
    reach.fold = fields.one_of("fold", folds, report);
    if let Some(stretch) = fields.number("stretch", report) {
        reach.stretch = stretch;
    }
}

fn chain(
    field: &Field<'_>,
    end: NameId,
    known: &Known<'_>,
    report: &mut Report,
) -> Option<ChainOf> {
    if !matches!(field.value, DeValue::Array(_) | DeValue::String(_)) {
        let count = whole(field, "\"chain\"", report)?;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a whole number within bounds"
        )]
        return Some(ChainOf::Count(count as usize));
    }
    let mut parts = Vec::new();
    for (name, span) in texts(field, "\"chain\"", report)? {
        let part = known.part(name, span, report)?;
        let carries = known.all(end).any(|(view, _)| {
            let ids = [part, end].map(|name| view.part(name));
            matches!(ids, [Some(part), Some(end)] if part != end && view.carries(part, end))
        });
        if !carries {
            let message = format!(
                "{} does not carry {}",
                quoted(name),
                quoted(known.name(end))
            );
            let hint = "a chain is of parts that carry its end, from one to the next";
            report.push(Problem::error(span, message).hint(hint));
            return None;
        }
        parts.push(part);
    }
    if parts.is_empty() {
        let problem = Problem::error(field.span, "\"chain\" names no part");
        report.push(problem.hint(field.hint()));
        return None;
    }
    Some(ChainOf::Parts(parts))
}

/// Something must turn for it.
fn check_end(
    field: &Field<'_>,
    part: NameId,
    reach: Option<&Reach>,
    known: &Known<'_>,
    report: &mut Report,
) {
    let Some(reach) = reach else {
        return;
    };
    let mut views = known.all(part).peekable();
    let none = |(view, _): (&View, _)| {
        view.part(part)
            .is_none_or(|end| reach.chain(view, end).is_empty())
    };
    if views.peek().is_some() && views.all(none) {
        let message = format!("nothing above {} could turn", quoted(known.name(part)));
        let hint = "name the parts that turn, chain = [\"upper_arm\", \"forearm\"], or the end of another limb";
        report.push(Problem::error(field.span, message).hint(hint));
    }
}

/// Reads `look`.
pub(super) fn look(
    fields: &mut Fields<'_>,
    known: &Known<'_>,
    report: &mut Report,
) -> Option<(Option<Look>, Span)> {
    let field = fields.take("look")?;
    let look = match field.value {
        DeValue::Boolean(false) => None,
        DeValue::Table(_) => Some(look_table(&field, known, report)?),
        _ => Some(Look {
            to: LookTo::Target(target(&field, "\"look\"", known, report)?, [0.0, 0.0]),
            share: Vec::new(),
        }),
    };
    if look.is_some() {
        let parts = known.member.views.iter().flat_map(|view| &view.parts);
        if parts.clone().all(|part| part.look.is_none()) {
            let message = "no part of the rig can look";
            let hint = "write look = [6, 4] of an iris in the rig, how far it goes within its eye";
            report.push(Problem::error(field.span, message).hint(hint));
            return None;
        }
    }
    Some((look, field.span))
}

fn look_table(field: &Field<'_>, known: &Known<'_>, report: &mut Report) -> Option<Look> {
    let mut fields = table(field, "\"look\"", report)?;
    let to = fields.take("to");
    let offset = fields.pair("offset", report);
    let [turn, up] = ["turn", "up"].map(|key| fields.number(key, report));
    let share = fields.take("share");
    fields.finish(report);
    let mut shares = Vec::new();
    if let Some(share) = share {
        let inner = table(&share, "\"share\"", report);
        for field in inner.into_iter().flat_map(|inner| inner.all()) {
            let what = format!("\"share\" of {}", quoted(field.name));
            let part = known.part(field.name, field.name_span, report);
            let share = number(&field, &what, report);
            shares.extend(part.zip(share));
        }
    }
    if to.is_none() && offset.is_some() {
        let problem = Problem::error(field.span, "\"offset\" of \"look\" is of no \"to\"");
        report.push(problem.hint("write to = \"hand_near\" beside it, or leave it out"));
        return None;
    }
    let to = match (to, turn, up) {
        (Some(to), None, None) => {
            let to = target(&to, "\"to\" of \"look\"", known, report)?;
            LookTo::Target(to, offset.unwrap_or([0.0, 0.0]))
        }
        (None, turn, up) => LookTo::Turned([turn.unwrap_or(0.0), up.unwrap_or(0.0)]),
        (Some(to), ..) => {
            let message = "\"look\" goes to something or turns by degrees, not both";
            let problem = Problem::error(to.span, message);
            report.push(problem.hint("leave \"to\" out, or \"turn\" and \"up\""));
            return None;
        }
    };
    Some(Look { to, share: shares })
}

/// Reads where something goes.
fn target(field: &Field<'_>, what: &str, known: &Known<'_>, report: &mut Report) -> Option<Target> {
    let DeValue::String(text) = field.value else {
        if matches!(field.value, DeValue::Array(_)) {
            return one_point(field, what, known, report);
        }
        not(field, what, "a part, an element or a point", report);
        return None;
    };
    if let Some((file, id)) = text.rsplit_once('#') {
        let drawing = file.is_empty().then(|| Path::new("the view's drawing"));
        let base = Base {
            folder: Path::new(""),
            drawing,
        };
        let found = art(text, field.span, what, base, report)?;
        return Some(Target::Element(ElementRef {
            text: text.to_string(),
            file: drawing.is_none().then_some(found.file),
            id: id.to_owned(),
            span: field.span,
            places: Vec::new(),
        }));
    }
    let Some((name, point)) = text.split_once('.') else {
        return known.part(text, field.span, report).map(Target::Part);
    };
    if Path::new(&**text)
        .extension()
        .is_some_and(|end| end.eq_ignore_ascii_case("svg"))
    {
        let message = format!("{what} names no element of {}", quoted(text));
        let hint = format!("add the element's id: \"{text}#id\"");
        report.push(Problem::error(field.span, message).hint(hint));
        return None;
    }
    let part = known.part(name, field.span, report)?;
    let point = point_of(part, point, field.span, known, report)?;
    Some(Target::PointOf(part, point))
}

/// A point of the canvas, which means something in one view alone.
fn one_point(
    field: &Field<'_>,
    what: &str,
    known: &Known<'_>,
    report: &mut Report,
) -> Option<Target> {
    let at = pair(field, what, report)?;
    if known.views().count() > 1 {
        let message = format!("{what} is a point, and the member has several views");
        let hint = "say it of one of them, under [pose.name.view.side], or name a part or an element of the art";
        report.push(Problem::error(field.span, message).hint(hint));
        return None;
    }
    Some(Target::At(at))
}

fn inner_point(
    field: &Field<'_>,
    name: &str,
    known: &Known<'_>,
    report: &mut Report,
) -> Option<String> {
    point_of(known.named(field.name)?, name, field.span, known, report)
}

/// A point that a part has in a view at least.
fn point_of(
    part: NameId,
    name: &str,
    span: Span,
    known: &Known<'_>,
    report: &mut Report,
) -> Option<String> {
    if known
        .all(part)
        .any(|(_, part)| part.points.contains_key(name))
    {
        return Some(name.to_owned());
    }
    let own: Vec<&str> = known
        .all(part)
        .flat_map(|(_, part)| part.points.keys().map(String::as_str))
        .collect();
    let message = format!("{} has no point {}", quoted(known.name(part)), quoted(name));
    let none = "write points = { palm = [310, 730] } of the part in the rig";
    let hint = names::hint(name, own.iter().copied(), none, report);
    report.push(Problem::error(span, message).hint(hint));
    None
}
