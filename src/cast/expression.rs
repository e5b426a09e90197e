//! `[expression.<name>]`, and which of them a pose wears.

use indexmap::IndexMap;
use toml::de::DeValue;

use super::field::Field;
use super::fields::Fields;
use super::inherit::inherit;
use super::pose::{Known, in_views, values};
use super::report::Report;
use super::tables::table;
use super::value::{number, texts};
use super::{Member, Pose, PoseEntry, names};
use crate::diag::{Problem, Span, quoted};
use crate::geom::Point;

/// The chart that shows all of them.
pub(crate) const EXPRESSIONS: &str = "expressions";
/// The share from which on drawings and depths are taken.
const HALF: f64 = 0.5;

/// Reads the expressions of a member.
pub(super) fn expressions(
    tables: Vec<(Field<'_>, Fields<'_>)>,
    member: &Member,
    report: &mut Report,
) -> IndexMap<String, Pose> {
    if tables.is_empty() {
        return IndexMap::new();
    }
    let known = Known::new(member);
    let spans = tables
        .iter()
        .map(|(field, _)| (field.name, field.name_span));
    names::check_case("expressions", spans, report);
    let read = |(field, mut fields): (Field<'_>, Fields<'_>)| {
        names::check(field.name, "expression", field.name_span, report);
        let mut pose = values(&mut fields, &known, report);
        pose.views = in_views(&mut fields, &known, report, |fields, known, report| {
            (values(fields, known, report), None, None)
        });
        fields.finish(report);
        field.name.clone_into(&mut pose.name);
        pose.span = Some(field.name_span);
        (field.name.to_owned(), pose)
    };
    tables.into_iter().map(read).collect()
}

/// Reads which expressions a pose wears, each with its share.
pub(super) fn worn(
    value: &Field<'_>,
    known: &Known<'_>,
    report: &mut Report,
) -> Option<Vec<(usize, f64)>> {
    let named: Vec<(&str, Span, f64)> = if matches!(value.value, DeValue::Table(_)) {
        let shares = table(value, "\"expression\"", report)?;
        let share = |field: Field<'_>| {
            let what = format!("\"expression\" of {}", quoted(field.name));
            number(&field, &what, report)
        };
        let all: Vec<_> = shares.all().collect();
        let found: Vec<Option<f64>> = all.iter().copied().map(share).collect();
        let all = all.iter().zip(found);
        all.filter_map(|(field, share)| Some((field.name, field.name_span, share?)))
            .collect()
    } else {
        let named = texts(value, "\"expression\"", report)?;
        let whole = named.into_iter().map(|(name, span)| (name, span, 1.0));
        whole.collect()
    };
    let all = &known.member.expressions;
    let mut found: Vec<(usize, f64)> = Vec::new();
    for (name, span, share) in named {
        let Some(at) = all.get_index_of(name) else {
            let none = "the rig has no expressions; write [expression.angry] there";
            let hint = names::hint(name, all.keys().map(String::as_str), none, report);
            let message = format!("unknown expression {}", quoted(name));
            report.push(Problem::error(span, message).hint(hint));
            continue;
        };
        if found.iter().any(|(other, _)| *other == at) {
            let message = format!("expression {} is named twice", quoted(name));
            report.push(Problem::error(span, message).hint("name each expression once"));
            continue;
        }
        found.push((at, share));
    }
    Some(found)
}

impl Pose {
    /// The pose with an expression over it.
    #[must_use]
    pub fn wearing(&self, expression: &Self, share: f64) -> Self {
        if share <= 0.0 {
            return self.clone();
        }
        let own = Self {
            name: self.name.clone(),
            span: self.span,
            note: self.note.clone(),
            compare: self.compare,
            expressions: self.expressions.clone(),
            ..expression.shared(share)
        };
        inherit(Some(self), own)
    }

    /// With this share of its numbers, and its drawings and depths from one half on.
    fn shared(&self, share: f64) -> Self {
        if share >= 1.0 {
            return self.clone();
        }
        fn each<T: Clone>(table: &[PoseEntry<T>], by: impl Fn(&T) -> T) -> Vec<PoseEntry<T>> {
            let entry = |said: &PoseEntry<T>| PoseEntry {
                value: by(&said.value),
                ..said.clone()
            };
            table.iter().map(entry).collect()
        }
        let from_none = |v: &f64| v * share;
        let from_one = |v: &f64| 1.0 + (v - 1.0) * share;
        let both = |v: &Point, by: &dyn Fn(&f64) -> f64| [by(&v[0]), by(&v[1])];
        let mut part = Self {
            turn: each(&self.turn, from_none),
            shift: each(&self.shift, |v| both(v, &from_none)),
            scale: each(&self.scale, |v| both(v, &from_one)),
            skew: each(&self.skew, |v| both(v, &from_none)),
            stretch: each(&self.stretch, from_one),
            ..self.clone()
        };
        if share < HALF {
            part.depth.clear();
            part.sides.clear();
            part.replace.clear();
        }
        for one in &mut part.views {
            one.pose = one.pose.shared(share);
        }
        part
    }
}
