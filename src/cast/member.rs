//! `rig.toml` and its view files.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use indexmap::{IndexMap, IndexSet};
use toml::de::DeValue;

use super::character::{Character, character};
use super::check::{self, CheckDraft};
use super::drawings::Drawings;
use super::field::Field;
use super::fields::Fields;
use super::file::{exists, read};
use super::keys::FileKind;
use super::reference::inside;
use super::report::Report;
use super::tables::{table, tables};
use super::value::text;
use super::view::{self, Shared, ViewDraft};
use super::{
    Member, PartId, View, colours, compare, expression, like, lint, names, off_palette, space,
    syntax,
};
use crate::art::Library;
use crate::diag::{Problem, Problems, SourceId, Sources, Span, quoted};
use crate::files::Files;

/// Reads a member: its rig, its views and all its drawings.
///
/// `path` is the member's folder or its `rig.toml`. Every mistake is reported; the member is
/// returned only if none of them is an error.
pub fn load_member(
    path: &Path,
    sources: &mut Sources,
    problems: &mut Problems,
    library: &mut Library,
) -> Option<Member> {
    let before = problems.errors();
    let files = sources.files().clone();
    let path = if files.is_folder(path) {
        path.join("rig.toml")
    } else {
        path.to_path_buf()
    };
    let folder = path.parent().unwrap_or(Path::new("")).to_path_buf();
    let (source, text) = read(&path, None, sources, problems)?;

    let mut drawings = Drawings {
        folder: &folder,
        sources,
        problems,
        library,
        texts: BTreeMap::new(),
    };
    let mut report = Report::new(source);
    let start = report.span(0..0);
    let mut room = String::new();
    let table = syntax::parse(&text, &mut room, &mut report);
    let mut root = Fields::of_file(FileKind::Rig, &table, &report);
    let character = character(&mut root, &mut drawings, &mut report);
    let default = character.palette.as_ref();
    let default = default.map(|(name, span)| (name.as_str(), *span));
    let (drawn, palettes, swatches) = colours::palettes(&mut root, default, &mut report);
    let limits = check::check(&mut root, &mut report);
    let (allowed, lint) = lint::lint(&mut root, &mut report);
    let compare = compare::of_rig(&mut root, &mut report);
    let expressions = tables(&mut root, "expression", &mut report);
    let mut shared = Shared {
        canvas: character.canvas.unwrap_or([1.0, 1.0]),
        palettes: &palettes,
        names: IndexSet::new(),
    };
    let mut drafts: Vec<ViewDraft> = Vec::new();
    let mut own = Vec::new();
    let view_files = view_files(&mut root, &character, (&files, &folder), &mut report);
    if let Some(view_files) = view_files {
        root.finish(&mut report);
        report.finish(drawings.problems);
        for file in view_files {
            let facing = file.facing;
            if let Some((source, draft)) = view_file(file, &mut shared, &mut drawings) {
                own.push((source, facing));
                drafts.push(draft);
            }
        }
    } else {
        drafts.push(view::view(
            None,
            &mut root,
            Path::new(""),
            &mut shared,
            &mut drawings,
            &mut report,
        ));
        root.finish(&mut report);
        report.finish(drawings.problems);
        own.push((source, character.facing.map(|(facing, _)| facing)));
    }

    // Maps of owners, and of pixels in comparisons, have 16 bits for a part.
    if shared.names.len() > usize::from(u16::MAX) {
        let mut report = Report::new(source);
        let message = format!("more than {} parts", u16::MAX);
        report.push(Problem::error(start, message).hint("draw what moves together as one part"));
        report.finish(drawings.problems);
        return None;
    }
    let checked: Vec<CheckDraft> = drafts
        .iter_mut()
        .map(|draft| std::mem::take(&mut draft.check))
        .collect();
    let mut views: Vec<View> = drafts
        .into_iter()
        .map(|draft| draft.load(&mut drawings))
        .collect();
    drop(drawings);
    let names: Vec<String> = shared.names.into_iter().collect();
    for (view, (_, facing)) in views.iter_mut().zip(&own) {
        view.facing = *facing;
        view.shortest = character.shortest.unwrap_or_default();
        view.by_name = vec![None; names.len()];
        view.ground = character.ground;
        for (at, part) in view.parts.iter().enumerate() {
            let id = PartId::of(at);
            view.by_name[part.name.at()] = Some(id);
        }
    }
    space::settle(&mut views, &names, character.near);
    if problems.errors() > before {
        return None;
    }
    let mut report = Report::new(source);
    check::of_unknown_parts(&limits, &names, &mut report);
    report.finish(problems);
    for ((view, own), (source, _)) in views.iter_mut().zip(&checked).zip(own) {
        let mut report = Report::new(source);
        check::of_unknown_parts(own, &names, &mut report);
        report.finish(problems);
        (view.check, view.check_parts) = check::limits_of_view(&limits, own, &names);
    }
    if problems.errors() > before {
        return None;
    }
    let key = key(&files, &folder);
    let mut member = Member {
        name: character.name.unwrap_or_else(|| key.clone()),
        key,
        canvas: character.canvas?,
        grow: character.grow.unwrap_or(false),
        near: character.near,
        ground: character.ground,
        crown: character.crown,
        heads: character.heads,
        height: character.height,
        drift: character.drift? / 100.0,
        poses: character
            .poses
            .iter()
            .map(|list| folder.join(list))
            .collect(),
        folder,
        compare,
        drawn,
        palettes,
        names,
        views,
        allowed,
        lint,
        expressions: IndexMap::new(),
    };
    let place = swatches.unwrap_or((start, true));
    problems.extend(off_palette::warnings(&member, library, place));
    let mut report = Report::new(source);
    member.expressions = expression::expressions(expressions, &member, &mut report);
    report.finish(problems);
    (problems.errors() == before).then_some(member)
}

/// What files and commands call the member of this folder or `rig.toml`, where no cast says it.
#[must_use]
pub fn member_key(files: &Files, path: &Path) -> String {
    if files.is_folder(path) {
        key(files, path)
    } else {
        key(files, path.parent().unwrap_or(Path::new("")))
    }
}

/// The name of the member's folder.
fn key(files: &Files, folder: &Path) -> String {
    let here = if folder.as_os_str().is_empty() {
        Path::new(".")
    } else {
        folder
    };
    let name = match here.file_name() {
        Some(name) => Some(name.to_owned()),
        None => files
            .whole(here)
            .and_then(|full| full.file_name().map(ToOwned::to_owned)),
    };
    name.map_or_else(
        || "member".into(),
        |name| name.to_string_lossy().into_owned(),
    )
}

/// The most views of a member.
const MOST_VIEWS: usize = 100;

/// A view that is kept in a file of its own.
struct ViewFile {
    name: String,
    /// Relative to the member's folder.
    path: PathBuf,
    span: Span,
    facing: Option<f64>,
}

/// Reads `[views]`; `None` if there is none.
fn view_files(
    root: &mut Fields<'_>,
    character: &Character,
    (files, folder): (&Files, &Path),
    report: &mut Report,
) -> Option<Vec<ViewFile>> {
    let field = root.take("views")?;
    let fields = table(&field, "[views]", report)?;
    if let Some((_, span)) = character.facing {
        let problem = Problem::error(span, "\"facing\" of [character] stands beside [views]")
            .also(field.name_span, "the views are named here")
            .hint("say it of each view: front = { file = \"front.toml\", facing = 0 }");
        report.push(problem);
    }
    for key in FileKind::View.keys().iter().map(|key| key.name) {
        if matches!(key, "check" | "like") {
            continue;
        }
        if let Some(here) = root.take(key) {
            let what = match here.value {
                DeValue::Table(_) => format!("[{key}]"),
                _ => quoted(key),
            };
            let message = format!("{what} stands beside [views]");
            let problem = Problem::error(here.name_span, message)
                .also(field.name_span, "the views are named here")
                .hint("move it to the file of its view");
            report.push(problem);
        }
    }
    if fields.is_empty() {
        let problem = Problem::error(field.name_span, "[views] names no view");
        report.push(problem.hint(field.hint()));
    }
    let spans = fields.all().map(|view| (view.name, view.name_span));
    names::check_case("views", spans, report);
    let mut all: Vec<ViewFile> = Vec::new();
    for (at, view) in fields.all().enumerate() {
        if at == MOST_VIEWS {
            let message = format!("more than {MOST_VIEWS} views");
            report.push(Problem::error(view.name_span, message));
            break;
        }
        names::check(view.name, "view", view.name_span, report);
        let what = format!("view {}", quoted(view.name));
        let Some((text, span, facing)) = named_file(&view, &what, report) else {
            continue;
        };
        let path = match inside(Path::new(""), text) {
            Ok(path) => path,
            Err((message, hint)) => {
                report.push(Problem::error(span, format!("{what} {message}")).hint(hint));
                continue;
            }
        };
        if let Some(other) = all.iter().find(|other| other.path == path) {
            let message = format!(
                "views {} and {} are the same file",
                quoted(&other.name),
                quoted(view.name)
            );
            let problem = Problem::error(span, message)
                .also(other.span, "the first")
                .hint("give each view a file of its own");
            report.push(problem);
        } else if exists(files, &folder.join(&path), text, span, report) {
            all.push(ViewFile {
                name: view.name.to_owned(),
                path,
                span,
                facing,
            });
        }
    }
    Some(all)
}

/// The file of a view, and how far it shows the body turned.
fn named_file<'t>(
    view: &Field<'t>,
    what: &str,
    report: &mut Report,
) -> Option<(&'t str, Span, Option<f64>)> {
    if !matches!(view.value, DeValue::Table(_)) {
        return Some((text(view, what, report)?, view.span, None));
    }
    let mut fields = table(view, what, report)?;
    fields.must("file", report);
    let file = fields.text("file", report);
    let facing = fields.number("facing", report);
    fields.finish(report);
    let (file, span) = file?;
    Some((file, span, facing))
}

/// Reads the file of a view.
fn view_file(
    file: ViewFile,
    shared: &mut Shared<'_>,
    drawings: &mut Drawings<'_>,
) -> Option<(SourceId, ViewDraft)> {
    let texts = like::texts(&file.path, file.span, drawings)?;
    let source = texts[0].source;
    let (mut report, mut rooms) = like::report(&texts);
    let table = like::whole(&texts, &mut rooms, &mut report, drawings.problems)?;
    let mut root = Fields::of_file(FileKind::View, &table, &report);
    root.text("like", &mut report);
    let base = file.path.parent().unwrap_or(Path::new(""));
    let limits = check::check(&mut root, &mut report);
    let mut draft = view::view(
        Some(file.name),
        &mut root,
        base,
        shared,
        drawings,
        &mut report,
    );
    root.finish_with(&mut report, |key| {
        let place = FileKind::Rig.keys().iter().any(|known| known.name == key);
        place.then(|| format!("[{key}] belongs in rig.toml"))
    });
    report.finish(drawings.problems);
    draft.check = limits;
    Some((source, draft))
}
