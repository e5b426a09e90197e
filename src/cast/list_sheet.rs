//! `[sheet.<name>]`: sheets that a pose list asks for.

use indexmap::{IndexMap, IndexSet};
use toml::de::DeValue;

use super::field::Field;
use super::fields::Fields;
use super::page_setup::{fitting, setup};
use super::pose::{Known, palette};
use super::poses::ListSheet;
use super::report::Report;
use super::sheet_kind::SheetKind;
use super::sheet_names::{Declared, charts, crop, poses, sweeps};
use super::value::{flag, not_that, texts};
use super::{View, names};
use crate::diag::{Problem, Span, nearest, quoted};

/// A sheet as it is written; poses and sweeps by name.
#[derive(Debug)]
pub(super) struct SheetDraft<'t> {
    /// Its name.
    pub name: &'t str,
    /// Where it is declared.
    pub span: Span,
    /// What it says; `None` where that has errors.
    sheet: Option<ListSheet>,
    poses: Option<Vec<String>>,
    sweeps: Option<Vec<String>>,
}

/// Reads what one sheet says.
pub(super) fn sheet<'t>(
    declared: &Field<'t>,
    mut fields: Fields<'t>,
    known: &Known<'_>,
    list: &Declared<'_>,
    report: &mut Report,
) -> SheetDraft<'t> {
    let before = report.errors();
    names::check(declared.name, "sheet", declared.name_span, report);
    let usual = if fields.lacks("sweeps") || !fields.lacks("poses") {
        SheetKind::Pose
    } else {
        SheetKind::Range
    };
    let kind = match fields.take("kind") {
        Some(value) => kind(&value, report),
        None => Some(usual),
    };
    let title = fields.words("title", report);
    let note = fields.words("note", report);
    let given = fields.take("views");
    let views = given.and_then(|value| views(&value, kind, known, report));
    let listed = |key, fields: &mut Fields<'t>, report: &mut Report| {
        fitting(key, kind, fields, report).map(|value| {
            let found = match key {
                "poses" => poses(&value, list, report),
                _ => sweeps(&value, list, report),
            };
            (value.span, found)
        })
    };
    let poses = listed("poses", &mut fields, report);
    let sweeps = listed("sweeps", &mut fields, report);
    let shown: Vec<&View> = match &views {
        Some(views) => views.iter().map(|&at| &known.member.views[at]).collect(),
        None => known.member.views.iter().collect(),
    };
    let charts = fitting("charts", kind, &mut fields, report)
        .and_then(|value| charts(&value, &shown, known.member, report));
    let crop_at = fitting("crop", kind, &mut fields, report);
    let crop = crop_at.and_then(|value| crop(&value, &shown, views.is_some(), report));
    let canvas = fitting("canvas", kind, &mut fields, report);
    if let (Some(canvas), Some(crop)) = (canvas, crop_at) {
        let problem = Problem::error(
            canvas.name_span,
            "\"canvas\" and \"crop\" exclude each other",
        )
        .also(crop.name_span, "the crop")
        .hint("leave out one of the two");
        report.push(problem);
    }
    let canvas = canvas.and_then(|value| flag(&value, "\"canvas\"", report));
    let palette = fitting("palette", kind, &mut fields, report)
        .and_then(|value| palette(&value, known, report));
    let targets = fitting("targets", kind, &mut fields, report)
        .and_then(|value| flag(&value, "\"targets\"", report));
    let setup = setup(&mut fields, kind, report);
    fields.finish(report);
    if let Some(kind) = kind {
        let any = poses.is_some() || sweeps.is_some();
        content(declared, kind, (poses.as_ref(), any), list, known, report);
    }
    let own = poses.and_then(|(_, names)| names);
    let swept = sweeps.and_then(|(_, names)| names);
    let clean = report.errors() == before && !report.is_hurt("sheet", declared);
    SheetDraft {
        name: declared.name,
        span: declared.name_span,
        sheet: kind.filter(|_| clean).map(|kind| ListSheet {
            name: declared.name.to_owned(),
            span: declared.name_span,
            kind,
            title,
            note,
            views,
            poses: None,
            sweeps: None,
            lacks: 0,
            charts,
            crop,
            canvas: canvas.unwrap_or(false),
            palette,
            targets: targets.unwrap_or(false),
            setup,
        }),
        poses: own,
        sweeps: swept,
    }
}

impl SheetDraft<'_> {
    /// With the places of the poses and sweeps that the list has. `None` for a sheet with errors, and
    /// for one of which nothing is left.
    pub fn resolve(
        self,
        poses: &IndexMap<&str, usize>,
        sweeps: &IndexMap<&str, usize>,
    ) -> Option<ListSheet> {
        let mut sheet = self.sheet?;
        let mut lacks = 0;
        let mut places = |names: Option<Vec<String>>, at: &IndexMap<&str, usize>| {
            names.map(|names| {
                let found: Vec<usize> = names
                    .iter()
                    .filter_map(|name| at.get(name.as_str()).copied())
                    .collect();
                lacks += names.len() - found.len();
                found
            })
        };
        sheet.poses = places(self.poses, poses);
        sheet.sweeps = places(self.sweeps, sweeps);
        sheet.lacks = lacks;
        let none = |of: &Option<Vec<usize>>| of.as_ref().is_none_or(Vec::is_empty);
        let named = sheet.poses.is_some() || sheet.sweeps.is_some();
        (!named || !none(&sheet.poses) || !none(&sheet.sweeps)).then_some(sheet)
    }
}

fn kind(value: &Field<'_>, report: &mut Report) -> Option<SheetKind> {
    let all: Vec<&str> = SheetKind::listed().map(SheetKind::name).collect();
    let hint = format!("write kind = \"pose\", or another of {}", all.join(", "));
    let DeValue::String(name) = value.value else {
        not_that(value, "\"kind\"", "text in quotes", &hint, report);
        return None;
    };
    let name = &**name;
    let found = SheetKind::listed().find(|kind| kind.name() == name);
    if found.is_none() {
        let hint = if matches!(name, "line-up" | "line_up" | "lineup") {
            "a line-up shows the whole cast: layfig sheet CAST --kind line-up".to_owned()
        } else if let Some(near) = nearest(name, all.iter().copied()) {
            format!("did you mean {}?", quoted(near))
        } else {
            format!("there are {}", all.join(", "))
        };
        let message = format!("unknown kind of sheet {}", quoted(name));
        report.push(Problem::error(value.span, message).hint(hint));
    }
    found
}

fn views(
    value: &Field<'_>,
    kind: Option<SheetKind>,
    known: &Known<'_>,
    report: &mut Report,
) -> Option<Vec<usize>> {
    let all = &known.member.views;
    if matches!(value.value, DeValue::String(text) if &**text == "all") {
        return Some((0..all.len()).collect());
    }
    let named = texts(value, "\"views\"", report)?;
    if named.is_empty() {
        let problem = Problem::error(value.span, "\"views\" names no view");
        report.push(problem.hint(value.hint()));
        return None;
    }
    let mut found: IndexSet<usize> = IndexSet::new();
    for &(name, span) in &named {
        let at = all
            .iter()
            .position(|view| view.name.as_deref() == Some(name));
        let Some(at) = at else {
            let names = all.iter().filter_map(|view| view.name.as_deref());
            let none = "the member has one view, without a name: leave \"views\" out";
            let hint = names::hint(name, names, none, report);
            report.push(Problem::error(span, format!("unknown view {}", quoted(name))).hint(hint));
            continue;
        };
        if !found.insert(at) {
            let message = format!("view {} is named twice", quoted(name));
            report.push(Problem::error(span, message).hint("name each view once"));
        }
    }
    if kind == Some(SheetKind::Turnaround) && named.len() < 2 {
        let problem = Problem::error(value.span, "a turnaround needs two views or more");
        report.push(problem.hint("name more, or leave \"views\" out for all"));
    }
    Some(found.into_iter().collect())
}

/// Names that a key gives, where it could be read, and its place.
type Named = (Span, Option<Vec<String>>);

/// Reports a sheet that would have nothing on it, or too much.
fn content(
    declared: &Field<'_>,
    kind: SheetKind,
    (poses, any): (Option<&Named>, bool),
    list: &Declared<'_>,
    known: &Known<'_>,
    report: &mut Report,
) {
    let name = quoted(declared.name);
    let nothing = match kind {
        SheetKind::Pose | SheetKind::Range | SheetKind::Onion | SheetKind::Expressions if any => {
            return;
        }
        SheetKind::Pose | SheetKind::Expressions if list.poses.is_empty() => "poses",
        SheetKind::Range if list.sweeps.is_empty() => "sweeps",
        SheetKind::Onion if list.poses.is_empty() && list.sweeps.is_empty() => "poses",
        SheetKind::Turnaround if known.member.views.len() < 2 => {
            let problem = Problem::error(
                declared.name_span,
                format!("sheet {name} is a turnaround of a member with one view"),
            );
            report.push(problem.hint("give the member [views], or choose another kind"));
            return;
        }
        SheetKind::Colours | SheetKind::Turnaround => {
            if let Some((span, Some(names))) = poses
                && names.len() > 1
            {
                let count = names.len();
                let what = match kind {
                    SheetKind::Colours => "colours sheet",
                    _ => "turnaround",
                };
                let message = format!("a {what} shows one pose, not {count}");
                report.push(Problem::error(*span, message).hint("name one pose"));
            }
            return;
        }
        _ => return,
    };
    let message = format!("sheet {name} has no {nothing} to show");
    let hint = format!("declare {nothing} in this list, or choose another \"kind\"");
    report.undeclared(Problem::error(declared.name_span, message).hint(hint));
}
