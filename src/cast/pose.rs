//! `[pose.<name>]`, as it is written.

use std::collections::HashMap;
use std::rc::Rc;

use indexmap::IndexSet;
use toml::de::DeValue;

use super::field::Field;
use super::fields::Fields;
use super::part::RESERVED;
use super::report::Report;
use super::tables::table;
use super::tree::Tree;
use super::value::{number, pair, scale, text, three};
use super::{
    InView, Member, NameId, Part, PartId, Pose, PoseEntry, Side, View, compare, expression, names,
    reach, space,
};
use crate::diag::{Problem, Span, quoted};

/// What a pose says itself; nothing is inherited yet.
#[derive(Debug)]
pub(super) struct PoseDraft<'t> {
    pub name: &'t str,
    pub span: Span,
    pub from: Option<(&'t str, Span)>,
    pub palette: Option<usize>,
    pub mirror: Option<bool>,
    /// Expressions by their places, with shares; `None` for those of the pose that it inherits.
    pub expressions: Option<Vec<(usize, f64)>>,
    /// The pose, if it inherits nothing and wears no expression.
    pub pose: Pose,
}

/// A member as poses see it.
pub(super) struct Known<'m> {
    pub member: &'m Member,
    by_name: Rc<HashMap<&'m str, NameId>>,
    /// For each view, what carries what.
    trees: Rc<Vec<Tree>>,
    /// The only view that is spoken of.
    only: Option<usize>,
}

impl<'m> Known<'m> {
    pub fn new(member: &'m Member) -> Self {
        let names = member.names.iter().enumerate();
        let tree = |view: &View| {
            let parents = view.parts.iter().map(|part| part.parent.map(PartId::at));
            Tree::new(&parents.collect::<Vec<_>>())
        };
        let by_name = names.map(|(at, text)| (text.as_str(), NameId::of(at)));
        Self {
            member,
            by_name: Rc::new(by_name.collect()),
            trees: Rc::new(member.views.iter().map(tree).collect()),
            only: None,
        }
    }

    /// The same, where one view alone is spoken of.
    fn within(&self, view: usize) -> Self {
        Self {
            member: self.member,
            by_name: Rc::clone(&self.by_name),
            trees: Rc::clone(&self.trees),
            only: Some(view),
        }
    }

    /// The views that are spoken of, with what carries what in them.
    pub fn views(&self) -> impl Iterator<Item = (&'m View, &Tree)> {
        let all = self.member.views.iter().zip(&*self.trees).enumerate();
        let spoken = move |at| self.only.is_none_or(|only| only == at);
        all.filter(move |(at, _)| spoken(*at)).map(|(_, view)| view)
    }

    /// The part of this name; an unknown one is reported.
    pub fn part(&self, name: &str, span: Span, report: &mut Report) -> Option<NameId> {
        let found = self.by_name.get(name).copied();
        if found.is_none() {
            let known = self.member.names.iter().map(String::as_str);
            let hint = names::hint(name, known, "the member has no parts", report);
            report.push(Problem::error(span, format!("unknown part {}", quoted(name))).hint(hint));
        }
        if let (Some(part), Some(only)) = (found, self.only)
            && self.all(part).next().is_none()
        {
            let view = self.member.views[only].name.as_deref().unwrap_or_default();
            let message = format!(
                "view {} has no part {}, so this does nothing",
                quoted(view),
                quoted(name)
            );
            report.push(Problem::warning(span, message).hint("leave it out"));
        }
        found
    }

    /// The part of this name, if there is one.
    pub fn named(&self, name: &str) -> Option<NameId> {
        self.by_name.get(name).copied()
    }

    /// Its name.
    pub fn name(&self, part: NameId) -> &'m str {
        &self.member.names[part.at()]
    }

    /// The parts of this name, with their views.
    pub fn all(&self, part: NameId) -> impl Iterator<Item = (&'m View, &'m Part)> {
        let views = self.views().map(|(view, _)| view);
        views.filter_map(move |view| Some((view, &view.parts[view.by_name[part.at()]?.at()])))
    }

    /// ` in view "front"`, for messages about members with several views.
    fn in_view(&self, view: &View) -> String {
        match &view.name {
            Some(name) if self.member.views.len() > 1 => format!(" in view {}", quoted(name)),
            _ => String::new(),
        }
    }

    /// Warns of a direction in space that no view can show.
    fn check_facing(&self, entry: &Entry<'_>, report: &mut Report) {
        let mut all = self.all(entry.part).peekable();
        if all.peek().is_some() && all.all(|(view, _)| view.facing.is_none()) {
            let message = format!(
                "no view says its \"facing\", so {} does nothing",
                entry.what
            );
            let hint = "write front = { file = \"front.toml\", facing = 0 } under [views]; of a single view facing = 0 under [character]";
            report.push(Problem::warning(entry.field.name_span, message).hint(hint));
        }
    }

    /// The same; and it must be known which side of the body is meant.
    fn check_aim(&self, entry: &Entry<'_>, report: &mut Report) -> Option<()> {
        self.check_facing(entry, report);
        let unsaid = |(view, _): (&View, &Part)| {
            let id = view.part(entry.part)?;
            space::is_unsaid(self.member, view, id).then_some(())
        };
        if self.all(entry.part).find_map(unsaid).is_none() {
            return Some(());
        }
        let name = quoted(self.name(entry.part));
        let message = format!("nobody says on which side of the body {name} is");
        let hint = "write near = \"right\" or near = \"left\" under [character]";
        report.push(Problem::error(entry.field.name_span, message).hint(hint));
        None
    }

    /// Warns of a turn that is outside the limits of its joint in one of the views.
    pub fn check_turn(&self, part: NameId, turn: f64, span: Span, report: &mut Report) {
        for (view, found) in self.all(part) {
            if let Some([least, most]) = found.limits
                && !(least..=most).contains(&turn)
            {
                let name = quoted(self.name(part));
                let view = self.in_view(view);
                let message = format!(
                    "a turn of {turn} is outside the limits of {name}{view}, {least} to {most}"
                );
                let hint = "stay inside, or widen the limits in the rig";
                report.push(Problem::warning(span, message).hint(hint));
                return;
            }
        }
    }

    /// Warns of a part that has a line to be stretched along in none of the views.
    fn check_line(&self, part: NameId, span: Span, report: &mut Report) {
        let mut all = self.all(part).peekable();
        if all.peek().is_some() && all.all(|(_, part)| part.end.is_none()) {
            let name = quoted(self.name(part));
            let message = format!("{name} has no line to be stretched along, so this does nothing");
            let hint = "write tip = [x, y] of the part in the rig, or leave this out";
            report.push(Problem::warning(span, message).hint(hint));
        }
    }
}

/// Reads what one pose says.
pub(super) fn pose<'t>(
    declared: &Field<'t>,
    mut fields: Fields<'t>,
    known: &Known<'_>,
    report: &mut Report,
) -> PoseDraft<'t> {
    names::check(declared.name, "pose", declared.name_span, report);
    let from = fields.text("from", report);
    let expressions = fields.take("expression");
    let expressions = expressions.and_then(|value| expression::worn(&value, known, report));
    let (mut pose, palette, mirror) = settings(&mut fields, known, report);
    pose.name = declared.name.to_owned();
    pose.span = Some(declared.name_span);
    pose.palette = palette.unwrap_or(0);
    pose.mirror = mirror.unwrap_or(false);
    pose.views = in_views(&mut fields, known, report, settings);
    fields.finish(report);
    PoseDraft {
        name: declared.name,
        span: declared.name_span,
        from,
        palette,
        mirror,
        expressions,
        pose,
    }
}

/// A pose with its palette and mirror, where they are said.
pub(super) type Settings = (Pose, Option<usize>, Option<bool>);

/// Reads what a pose says of all views, or of one, with its palette and mirror.
fn settings(all: &mut Fields<'_>, known: &Known<'_>, report: &mut Report) -> Settings {
    let pose = Pose {
        plant: reach::plants(all, known, report),
        reach: reach::reaches(all, known, report),
        look: reach::look(all, known, report).map(|(look, span)| (look, Some(span))),
        ..values(all, known, report)
    };
    let palette = all.take("palette");
    let palette = palette.and_then(|value| self::palette(&value, known, report));
    let mirror = all.flag("mirror", report);
    let compare = compare::of_pose(all, report);
    (Pose { compare, ..pose }, palette, mirror)
}

/// Reads what is said of parts, with a note.
pub(super) fn values(all: &mut Fields<'_>, known: &Known<'_>, report: &mut Report) -> Pose {
    Pose {
        note: all.words("note", report),
        turn: each(all, "turn", known, report, |entry, report| {
            let turn = number(&entry.field, &entry.what, report)?;
            known.check_turn(entry.part, turn, entry.field.span, report);
            Some(turn)
        }),
        shift: each(all, "move", known, report, |entry, report| {
            pair(&entry.field, &entry.what, report)
        }),
        scale: each(all, "scale", known, report, |entry, report| {
            scale(&entry.field, &entry.what, report)
        }),
        skew: each(all, "skew", known, report, |entry, report| {
            pair(&entry.field, &entry.what, report)
        }),
        aim: each(all, "aim", known, report, |entry, report| {
            known.check_aim(&entry, report)?;
            or_false(&entry, report, pair)
        }),
        lean: each(all, "lean", known, report, |entry, report| {
            known.check_facing(&entry, report);
            or_false(&entry, report, three)
        }),
        stretch: each(all, "stretch", known, report, |entry, report| {
            let stretch = number(&entry.field, &entry.what, report)?;
            known.check_line(entry.part, entry.field.name_span, report);
            Some(stretch)
        }),
        depth: offsets(all, known, report),
        sides: sides(all, known, report),
        replace: each(all, "replace", known, report, |entry, report| {
            let name = text(&entry.field, &entry.what, report)?;
            check_replacement(known, &entry, name, report)?;
            Some(name.to_owned())
        }),
        ..Pose::rest()
    }
}

/// Reads what is said of single views.
pub(super) fn in_views(
    fields: &mut Fields<'_>,
    known: &Known<'_>,
    report: &mut Report,
    read: impl Fn(&mut Fields<'_>, &Known<'_>, &mut Report) -> Settings,
) -> Vec<InView> {
    let outer = fields.take("view");
    let outer = outer.and_then(|field| table(&field, "\"view\"", report));
    let mut all = Vec::new();
    for field in outer.into_iter().flat_map(|outer| outer.all()) {
        let what = format!("\"view\" of {}", quoted(field.name));
        let Some(mut inner) = table(&field, &what, report) else {
            continue;
        };
        let views = &known.member.views;
        let names = views.iter().filter_map(|view| view.name.as_deref());
        let Some(at) = (views.iter()).position(|view| view.name.as_deref() == Some(field.name))
        else {
            let hint = names::hint(
                field.name,
                names,
                "the member has no views with names",
                report,
            );
            let message = format!("unknown view {}", quoted(field.name));
            report.push(Problem::error(field.name_span, message).hint(hint));
            continue;
        };
        let (pose, palette, mirror) = read(&mut inner, &known.within(at), report);
        inner.finish(report);
        all.push(InView {
            view: field.name.to_owned(),
            pose,
            palette,
            mirror,
        });
    }
    all
}

/// An entry of a table whose keys are parts.
struct Entry<'t> {
    part: NameId,
    field: Field<'t>,
    /// What it is called in messages.
    what: String,
}

/// Goes through a table whose keys are parts.
fn each<'t, T>(
    fields: &mut Fields<'t>,
    key: &str,
    known: &Known<'_>,
    report: &mut Report,
    mut read: impl FnMut(Entry<'t>, &mut Report) -> Option<T>,
) -> Vec<PoseEntry<T>> {
    let Some(value) = fields.take(key) else {
        return Vec::new();
    };
    let Some(entries) = table(&value, &quoted(key), report) else {
        return Vec::new();
    };
    let mut all = Vec::new();
    for field in entries.all() {
        let Some(part) = known.part(field.name, field.name_span, report) else {
            continue;
        };
        let what = format!("\"{key}\" of {}", quoted(field.name));
        if let Some(value) = read(Entry { part, field, what }, report) {
            let span = Some(field.span);
            all.push(PoseEntry { part, value, span });
        }
    }
    all
}

/// Nothing for `false`, else what is read.
fn or_false<'t, T>(
    entry: &Entry<'t>,
    report: &mut Report,
    read: impl FnOnce(&Field<'t>, &str, &mut Report) -> Option<T>,
) -> Option<Option<T>> {
    if matches!(entry.field.value, DeValue::Boolean(false)) {
        return Some(None);
    }
    read(&entry.field, &entry.what, report).map(Some)
}

/// Reads `depth`.
pub(super) fn offsets(
    fields: &mut Fields<'_>,
    known: &Known<'_>,
    report: &mut Report,
) -> Vec<PoseEntry<f64>> {
    each(fields, "depth", known, report, |entry, report| {
        number(&entry.field, &entry.what, report)
    })
}

/// Reads `behind` and `in_front`.
pub(super) fn sides(
    fields: &mut Fields<'_>,
    known: &Known<'_>,
    report: &mut Report,
) -> Vec<PoseEntry<(Side, NameId)>> {
    let mut all = Vec::new();
    let mut asked: HashMap<(NameId, NameId), Span> = HashMap::new();
    for side in [Side::Behind, Side::InFront] {
        let key = side.key();
        all.extend(each(fields, key, known, report, |entry, report| {
            let Entry { part, field, what } = entry;
            let name = text(&field, &what, report)?;
            let other = known.part(name, field.span, report)?;
            check_side(known, part, other, key, &field, report)?;
            if let Some(first) = asked.insert((part, other), field.span) {
                let (name, other) = (quoted(known.name(part)), quoted(known.name(other)));
                let message = format!("{name} cannot be both behind {other} and in front of it");
                let problem = Problem::error(field.span, message)
                    .also(first, "the other side is asked for here")
                    .hint("leave one of the two out");
                report.push(problem);
                return None;
            }
            Some((side, other))
        }));
    }
    all
}

/// A part cannot go behind, or in front of, itself or what it carries.
fn check_side(
    known: &Known<'_>,
    part: NameId,
    other: NameId,
    key: &str,
    field: &Field<'_>,
    report: &mut Report,
) -> Option<()> {
    let words = key.replace("in_front", "in front of");
    let name = quoted(known.name(part));
    if part == other {
        let message = format!("{name} cannot be {words} itself");
        report.push(Problem::error(field.span, message).hint("name another part"));
        return None;
    }
    let mut both = known
        .views()
        .filter_map(|(view, tree)| {
            let [part, other] = [part, other].map(|name| view.by_name[name.at()]);
            Some(tree.carries(part?.at(), other?.at()))
        })
        .peekable();
    let other = quoted(known.name(other));
    if both.peek().is_none() {
        let message = format!("{name} and {other} are together in no view, so this does nothing");
        report.push(Problem::warning(field.span, message).hint("leave it out"));
        return Some(());
    }
    if both.all(|carried| carried) {
        let message = format!("{name} cannot be {words} {other}, which it carries");
        let hint = "what it carries goes with it; name another part, or use \"depth\"";
        report.push(Problem::error(field.span, message).hint(hint));
        return None;
    }
    Some(())
}

/// A replacement must exist in at least one view.
fn check_replacement(
    known: &Known<'_>,
    entry: &Entry<'_>,
    name: &str,
    report: &mut Report,
) -> Option<()> {
    let part = entry.part;
    let mut all = known.all(part);
    if RESERVED.contains(&name) || all.any(|(_, part)| part.replacements.contains_key(name)) {
        return Some(());
    }
    let message = format!(
        "{} has no replacement {}",
        quoted(known.name(part)),
        quoted(name)
    );
    let own = known
        .all(part)
        .flat_map(|(_, part)| part.replacements.keys());
    let own = own.map(String::as_str);
    let all: IndexSet<&str> = own.take(1000).chain(RESERVED).collect();
    let hint = names::hint(name, all.iter().copied(), "", report);
    report.push(Problem::error(entry.field.span, message).hint(hint));
    None
}

pub(super) fn palette(value: &Field<'_>, known: &Known<'_>, report: &mut Report) -> Option<usize> {
    let name = text(value, "\"palette\"", report)?;
    let palettes = &known.member.palettes;
    let found = palettes.iter().position(|palette| palette.name == name);
    if found.is_none() {
        let names = palettes.iter().map(|palette| palette.name.as_str());
        let hint = names::hint(
            name,
            names,
            "the rig has no palettes; write [palette.day] there",
            report,
        );
        let message = format!("unknown palette {}", quoted(name));
        report.push(Problem::error(value.span, message).hint(hint));
    }
    found
}
