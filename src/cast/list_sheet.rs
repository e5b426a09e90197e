//! `[sheet.<name>]`: sheets that a pose list asks for.

use std::cell::Cell;

use indexmap::{IndexMap, IndexSet};
use toml::de::DeValue;

use super::field::Field;
use super::fields::Fields;
use super::paper::{PageSetup, Paper, Stock, Way};
use super::pose::{Known, note, palette};
use super::report::Report;
use super::stress::StressDraft;
use super::value::{Bounds, flag, number, text, texts, whole, words};
use super::{View, names};
use crate::diag::{Problem, Span, glob, nearest, quoted};

/// A kind of sheet that a list can ask for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SheetKind {
    /// Poses with names and notes.
    Pose,
    /// Sweeps, each as a row, or as a grid for two joints.
    Range,
    /// Poses, and the steps of sweeps, over each other in tints.
    Onion,
    /// A view at rest, measured.
    Model,
    /// Views on one ground.
    Turnaround,
    /// Poses cropped to the head.
    Expressions,
    /// Replacements of parts, in their places.
    Charts,
    /// One pose in every palette.
    Colours,
}

impl SheetKind {
    /// All of them.
    pub const ALL: [Self; 8] = [
        Self::Pose,
        Self::Range,
        Self::Onion,
        Self::Model,
        Self::Turnaround,
        Self::Expressions,
        Self::Charts,
        Self::Colours,
    ];

    /// What files call it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Pose => "pose",
            Self::Range => "range",
            Self::Onion => "onion",
            Self::Model => "model",
            Self::Turnaround => "turnaround",
            Self::Expressions => "expressions",
            Self::Charts => "charts",
            Self::Colours => "colours",
        }
    }

    /// True when a key says something on such a sheet.
    fn takes(self, key: &str) -> bool {
        let kinds: &[Self] = match key {
            "poses" => &[Self::Pose, Self::Onion, Self::Expressions, Self::Colours],
            "sweeps" => &[Self::Range, Self::Onion],
            "charts" => &[Self::Charts],
            "canvas" => &[Self::Pose, Self::Range, Self::Onion],
            "crop" => &[Self::Pose, Self::Range, Self::Onion, Self::Expressions],
            "palette" => &[Self::Pose, Self::Range, Self::Expressions, Self::Charts],
            "columns" | "cell" => &[
                Self::Pose,
                Self::Range,
                Self::Onion,
                Self::Expressions,
                Self::Charts,
            ],
            _ => return true,
        };
        kinds.contains(&self)
    }
}

/// A sheet that a list asks for.
#[derive(Clone, Debug, PartialEq)]
pub struct ListSheet {
    /// Unique in its list.
    pub name: String,
    /// Where it is declared.
    pub span: Span,
    /// What it is.
    pub kind: SheetKind,
    /// What it is called, in place of its name.
    pub title: Option<String>,
    /// For the people who read it.
    pub note: Option<String>,
    /// Places of the views; else those that are asked for, of a turnaround all.
    pub views: Option<Vec<usize>>,
    /// Places of the poses in the list, in the sheet's order; else all that suit the kind.
    pub poses: Option<Vec<usize>>,
    /// Places of the sweeps in the list, in the sheet's order; else all that suit the kind.
    pub sweeps: Option<Vec<usize>>,
    /// How many poses or sweeps it names that the list left out.
    pub lacks: usize,
    /// Names of charts; else all.
    pub charts: Option<Vec<String>>,
    /// The name of the crop that cells show.
    pub crop: Option<String>,
    /// Cells show the whole canvas.
    pub canvas: bool,
    /// In place of the poses' own.
    pub palette: Option<usize>,
    /// How its pages are set up.
    pub setup: PageSetup,
}

impl ListSheet {
    /// True for a sheet of all poses, or all sweeps, of its list: it stands for the usual one.
    #[must_use]
    pub fn is_of_all(&self, kind: SheetKind, view: usize) -> bool {
        let shows = self.views.as_ref().is_none_or(|all| all.contains(&view));
        self.kind == kind && shows && self.poses.is_none() && self.sweeps.is_none()
    }
}

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

/// How many names the sheets of a list may look at, all patterns and stress tables taken together.
const MOST_NAMES: usize = 2_000_000;

/// What a list declares, for sheets to name.
pub(super) struct Declared<'a> {
    /// All poses, those of stress tables too.
    pub poses: IndexSet<String>,
    /// Stress tables, with their poses.
    pub stresses: IndexMap<&'a str, Vec<String>>,
    /// Sweeps.
    pub sweeps: IndexSet<&'a str>,
    /// What is left of the names that may be looked at.
    left: Cell<Option<usize>>,
}

impl<'a> Declared<'a> {
    /// Poses, then stress tables, and sweeps.
    pub fn new(
        poses: impl Iterator<Item = &'a str>,
        stresses: &'a [StressDraft<'a>],
        sweeps: impl Iterator<Item = &'a str>,
    ) -> Self {
        let mut all: IndexSet<String> = poses.map(str::to_owned).collect();
        let mut tables = IndexMap::new();
        for draft in stresses {
            // A list of more poses than this is refused anyway.
            let poses: Vec<String> = if all.len() < MOST_NAMES / 4 {
                draft.poses().collect()
            } else {
                Vec::new()
            };
            all.extend(poses.iter().cloned());
            tables.insert(draft.name, poses);
        }
        Self {
            poses: all,
            stresses: tables,
            sweeps: sweeps.collect(),
            left: Cell::new(Some(MOST_NAMES)),
        }
    }

    /// Takes so many names from those that may be looked at; the first time that there are not enough
    /// left, reports it.
    fn take(&self, names: usize, span: Span, report: &mut Report) -> bool {
        let Some(left) = self.left.get() else {
            return false;
        };
        let left = left.checked_sub(names);
        if left.is_none() {
            let message = "the sheets of this list name too many poses and sweeps";
            report.push(Problem::error(span, message).hint("split it into several lists"));
        }
        self.left.set(left);
        left.is_some()
    }
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
    let title = fields.take("title").and_then(|value| {
        let hint = "write title = \"Deck work\", or leave it out";
        words(&value, "\"title\"", hint, report)
    });
    let note = note(&mut fields, report);
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
        .and_then(|value| charts(&value, &shown, report));
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
    let all = SheetKind::ALL.map(SheetKind::name);
    let hint = format!("write kind = \"pose\", or another of {}", all.join(", "));
    let name = text(value, "\"kind\"", &hint, report)?;
    let found = SheetKind::ALL.into_iter().find(|kind| kind.name() == name);
    if found.is_none() {
        let hint = if matches!(name, "line-up" | "line_up" | "lineup") {
            "a line-up shows the whole cast: layfig sheet CAST --kind line-up".to_owned()
        } else if let Some(near) = nearest(name, all) {
            format!("did you mean {}?", quoted(near))
        } else {
            format!("there are {}", all.join(", "))
        };
        let message = format!("unknown kind of sheet {}", quoted(name));
        report.push(Problem::error(value.span, message).hint(hint));
    }
    found
}

/// The entry of a key, which is an error where it says nothing on such a sheet.
fn fitting<'t>(
    key: &'static str,
    kind: Option<SheetKind>,
    fields: &mut Fields<'t>,
    report: &mut Report,
) -> Option<Field<'t>> {
    let value = fields.take(key)?;
    if let Some(kind) = kind
        && !kind.takes(key)
    {
        let others: Vec<String> = SheetKind::ALL
            .into_iter()
            .filter(|kind| kind.takes(key))
            .map(|kind| quoted(kind.name()))
            .collect();
        let name = quoted(key);
        let article = if kind == SheetKind::Onion || kind == SheetKind::Expressions {
            "an"
        } else {
            "a"
        };
        let message = format!("{name} says nothing on {article} {} sheet", kind.name());
        let others = match others.split_last() {
            Some((last, [])) => last.clone(),
            Some((last, others)) => format!("{} or {last}", others.join(", ")),
            None => String::new(),
        };
        let hint = format!("leave it out, or write kind = {others}");
        report.push(Problem::error(value.name_span, message).hint(hint));
    }
    Some(value)
}

fn views(
    value: &Field<'_>,
    kind: Option<SheetKind>,
    known: &Known<'_>,
    report: &mut Report,
) -> Option<Vec<usize>> {
    let all = &known.member.views;
    let hint = "write views = [\"front\", \"side\"], or \"all\"";
    if matches!(value.value, DeValue::String(text) if &**text == "all") {
        return Some((0..all.len()).collect());
    }
    let named = texts(value, "\"views\"", hint, report)?;
    if named.is_empty() {
        report.push(Problem::error(value.span, "\"views\" names no view").hint(hint));
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

/// The poses that names, names of stress tables and patterns stand for, in order.
fn poses(value: &Field<'_>, list: &Declared<'_>, report: &mut Report) -> Option<Vec<String>> {
    let hint = "write poses = [\"rest\", \"haul\"], or names with * for anything";
    let named = texts(value, "\"poses\"", hint, report)?;
    if named.is_empty() {
        let hint = "name some, or leave \"poses\" out for all";
        report.push(Problem::error(value.span, "\"poses\" names no pose").hint(hint));
    }
    let mut found: IndexSet<String> = IndexSet::new();
    for (name, span) in named {
        if list.poses.contains(name) {
            if !found.insert(name.to_owned()) {
                let message = format!("pose {} is named twice", quoted(name));
                report.push(Problem::error(span, message).hint("name each pose once"));
            }
        } else if let Some(poses) = list.stresses.get(name) {
            if list.take(poses.len(), span, report) {
                found.extend(poses.iter().cloned());
            }
        } else if list.take(list.poses.len(), span, report) {
            let matching = list.poses.iter().filter(|pose| glob(name, pose));
            let matching: Vec<&String> = matching.collect();
            if !matching.is_empty() {
                found.extend(matching.into_iter().cloned());
                continue;
            }
            let known =
                (list.poses.iter().map(String::as_str)).chain(list.stresses.keys().copied());
            let hint = if name.contains('*') {
                "no pose of this list has such a name".to_owned()
            } else {
                names::hint(name, known, "the list declares no poses", report)
            };
            let problem = Problem::error(span, format!("unknown pose {}", quoted(name)));
            report.undeclared(problem.hint(hint));
        }
    }
    Some(found.into_iter().collect())
}

fn sweeps(value: &Field<'_>, list: &Declared<'_>, report: &mut Report) -> Option<Vec<String>> {
    let hint = "write sweeps = [\"elbow_near\"], or names with * for anything";
    let named = texts(value, "\"sweeps\"", hint, report)?;
    if named.is_empty() {
        let hint = "name some, or leave \"sweeps\" out for all";
        report.push(Problem::error(value.span, "\"sweeps\" names no sweep").hint(hint));
    }
    let mut found: IndexSet<String> = IndexSet::new();
    for (name, span) in named {
        if list.sweeps.contains(name) {
            if !found.insert(name.to_owned()) {
                let message = format!("sweep {} is named twice", quoted(name));
                report.push(Problem::error(span, message).hint("name each sweep once"));
            }
            continue;
        }
        if !list.take(list.sweeps.len(), span, report) {
            continue;
        }
        let matching: Vec<&str> = list
            .sweeps
            .iter()
            .copied()
            .filter(|sweep| glob(name, sweep))
            .collect();
        if matching.is_empty() {
            let known = list.sweeps.iter().copied();
            let hint = names::hint(name, known, "the list declares no sweeps", report);
            let problem = Problem::error(span, format!("unknown sweep {}", quoted(name)));
            report.undeclared(problem.hint(hint));
        }
        found.extend(matching.into_iter().map(str::to_owned));
    }
    Some(found.into_iter().collect())
}

fn charts(value: &Field<'_>, views: &[&View], report: &mut Report) -> Option<Vec<String>> {
    let hint = "write charts = [\"hands\"], charts of the rig";
    let named = texts(value, "\"charts\"", hint, report)?;
    if named.is_empty() {
        report.push(Problem::error(value.span, "\"charts\" names no chart").hint(hint));
        return None;
    }
    let all: IndexSet<&str> = views
        .iter()
        .flat_map(|view| view.guides.charts.iter().map(|chart| chart.name.as_str()))
        .collect();
    for (name, span) in &named {
        if !all.contains(name) {
            let none = "declare it in the rig, with [chart.name]";
            let hint = names::hint(name, all.iter().copied(), none, report);
            report
                .push(Problem::error(*span, format!("unknown chart {}", quoted(name))).hint(hint));
        }
    }
    Some(named.into_iter().map(|(name, _)| name.to_owned()).collect())
}

/// A crop of the rig: where views are named, of each of them.
fn crop(value: &Field<'_>, views: &[&View], each: bool, report: &mut Report) -> Option<String> {
    let name = text(value, "\"crop\"", "write the name of a crop", report)?;
    let has = |view: &&View| view.guides.crops.iter().any(|crop| crop.name == name);
    let lacking = views.iter().find(|view| !has(view));
    if !views.iter().any(has) {
        let known = views.iter().flat_map(|view| &view.guides.crops);
        let known: IndexSet<&str> = known.map(|crop| crop.name.as_str()).collect();
        let none = "declare it in the rig, with [crop.name]";
        let hint = names::hint(name, known.iter().copied(), none, report);
        report
            .push(Problem::error(value.span, format!("unknown crop {}", quoted(name))).hint(hint));
    } else if let (true, Some(view)) = (each, lacking) {
        let view = quoted(view.name.as_deref().unwrap_or_default());
        let message = format!("view {view} has no crop {}", quoted(name));
        let hint = "declare it there, or leave the view out of \"views\"";
        report.push(Problem::error(value.span, message).hint(hint));
    }
    Some(name.to_owned())
}

/// Cells of a row.
const COLUMNS: Bounds = [1.0, 100.0];
/// Height of figures, pixels.
const CELLS: Bounds = [32.0, 6000.0];
/// Margins, millimetres.
const MARGINS: Bounds = [0.0, 60.0];

fn setup(fields: &mut Fields<'_>, kind: Option<SheetKind>, report: &mut Report) -> PageSetup {
    let stock = fields.take("page").and_then(|value| {
        let usual = "write a4, a3, letter, tabloid, 16:9, fit, or pixels as 1920x1080";
        let name = text(&value, "\"page\"", usual, report)?;
        let parsed = name.parse::<Stock>();
        parsed
            .map_err(|hint| {
                let message = format!("unknown page {}", quoted(name));
                report.push(Problem::error(value.span, message).hint(hint));
            })
            .ok()
    });
    let orients = [("landscape", Way::Landscape), ("portrait", Way::Portrait)];
    let papers = [("light", Paper::Light), ("dark", Paper::Dark)];
    let way = one_of("orient", orients, fields, report);
    let paper = one_of("paper", papers, fields, report);
    let margin = fields.take("margin").and_then(|value| {
        let hint = "write margin = 12, millimetres";
        number(&value, "\"margin\"", MARGINS, hint, report)
    });
    let columns = fitting("columns", kind, fields, report);
    let columns = columns.and_then(|value| whole(&value, COLUMNS, 4, report));
    let cell = fitting("cell", kind, fields, report);
    let cell = cell.and_then(|value| whole(&value, CELLS, 400, report));
    let mut said = |key: &'static str, example: &str| {
        let value = fields.take(key)?;
        let hint = format!("write {key} = \"{example}\"");
        match value.value {
            DeValue::Datetime(date) => Some(date.to_string()),
            _ => words(&value, &quoted(key), &hint, report),
        }
    };
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "whole numbers within bounds"
    )]
    PageSetup {
        stock,
        way,
        paper,
        margin,
        columns: columns.map(|n| n as u16),
        cell: cell.map(|n| n as u16),
        production: None,
        revision: said("revision", "C"),
        date: said("date", "2031-05-02"),
    }
}

fn one_of<T: Copy>(
    key: &'static str,
    choices: [(&str, T); 2],
    fields: &mut Fields<'_>,
    report: &mut Report,
) -> Option<T> {
    let value = fields.take(key)?;
    let [first, second] = choices.map(|(name, _)| name);
    let hint = format!("write {key} = \"{first}\" or \"{second}\"");
    let name = text(&value, &quoted(key), &hint, report)?;
    let found = choices.into_iter().find(|(choice, _)| *choice == name);
    if found.is_none() {
        let message = format!("{} cannot be {}", quoted(key), quoted(name));
        report.push(Problem::error(value.span, message).hint(hint));
    }
    found.map(|(_, choice)| choice)
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
        SheetKind::Colours => {
            if let Some((span, Some(names))) = poses
                && names.len() > 1
            {
                let count = names.len();
                let message = format!("a colours sheet shows one pose, not {count}");
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
