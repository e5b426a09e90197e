//! Cast files.

use std::collections::HashMap;
use std::path::{Path, PathBuf};

use toml::de::DeTable;

use super::field::Field;
use super::fields::Fields;
use super::file::{MOST_BYTES, exists, read};
use super::keys::FileKind;
use super::reference::relative;
use super::report::Report;
use super::tables::{table, tables};
use super::value::text;
use super::{Cast, CastMember, names, syntax};
use crate::diag::{Problem, Problems, Sources, quoted};
use crate::files::Files;

/// Reads a cast file: which members a show has, and where their rigs are.
///
/// ```toml
/// [cast]
/// name = "The Wenderquay Crossing"
///
/// [member.deckhand]            # the rig is in the folder of that name beside this file
/// [member.purser]
/// rig = "staff/purser"         # or here: a folder, or its rig.toml
/// ```
///
/// The rigs themselves are read by [`load_member`](super::load_member). Every mistake is reported;
/// a member whose entry has an error is left out. There is no cast if none is left.
pub fn load_cast(path: &Path, sources: &mut Sources, problems: &mut Problems) -> Option<Cast> {
    let files = sources.files().clone();
    let path = if files.is_folder(path) {
        path.join("cast.toml")
    } else {
        path.to_path_buf()
    };
    let folder = path.parent().unwrap_or(Path::new(""));
    let (source, text) = read(&path, None, sources, problems)?;
    let mut report = Report::new(source);
    let mut room = String::new();
    let document = syntax::parse(&text, &mut room, &mut report);
    let start = report.span(0..0);
    let mut root = Fields::of_file(FileKind::Cast, &document, &report);
    let name = root.take("cast").and_then(|field| {
        let mut fields = table(&field, "[cast]", &mut report)?;
        let name = fields.words("name", &mut report);
        fields.finish(&mut report);
        name
    });
    let mut members: Vec<CastMember> = Vec::new();
    let mut rigs: HashMap<PathBuf, usize> = HashMap::new();
    let declared = tables(&mut root, "member", &mut report);
    if root.lacks("member") {
        let problem = Problem::error(start, "no members are declared")
            .hint("write [member.deckhand] and under it rig = \"deckhand\"");
        report.missing(problem);
    }
    let spans = declared
        .iter()
        .map(|(field, _)| (field.name, field.name_span));
    names::check_case("members", spans, &mut report);
    let mut left_out = Vec::new();
    for (field, fields) in declared {
        let before = report.errors();
        let member = member(&field, fields, (&files, folder), &mut report);
        let hurt = report.is_hurt("member", &field) || report.errors() > before;
        let Some(member) = member.filter(|_| !hurt) else {
            left_out.push(field.name.to_owned());
            continue;
        };
        if let Some(&other) = rigs.get(&member.rig) {
            let other = &members[other];
            let message = format!(
                "members {} and {} have the same rig",
                quoted(&other.key),
                quoted(&member.key)
            );
            let problem = Problem::error(member.span, message)
                .also(other.span, "the first")
                .hint("keep one of the two");
            report.push(problem);
            left_out.push(member.key);
            continue;
        }
        rigs.insert(member.rig.clone(), members.len());
        members.push(member);
    }
    root.finish(&mut report);
    report.finish(problems);
    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    (!members.is_empty()).then(|| Cast {
        name: name.unwrap_or_else(|| stem.into_owned()),
        path: path.clone(),
        members,
        left_out,
    })
}

/// So many names in a folder are looked at.
const MOST_NAMES: usize = 10_000;

/// What a path leads to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Leads {
    /// A cast file, or the folder of one.
    Cast,
    /// A rig, or the folder of one.
    Rig,
    /// A folder with folders of rigs in it.
    Rigs,
    /// None of them.
    Elsewhere,
}

/// What is at a path: by the names in a folder, by the keys in a file.
#[must_use]
pub fn leads_to(files: &Files, path: &Path) -> Leads {
    if files.is_folder(path) {
        let has = |name: &str| files.kind(path.join(name)).is_ok();
        return if has("rig.toml") {
            Leads::Rig
        } else if has("cast.toml") {
            Leads::Cast
        } else if !rigs_in(files, path).is_empty() {
            Leads::Rigs
        } else {
            Leads::Elsewhere
        };
    }
    if path.file_name().is_some_and(|name| name == "rig.toml") {
        return Leads::Rig;
    }
    let text = files.read(path, MOST_BYTES).ok();
    let text = text.and_then(|bytes| String::from_utf8(bytes).ok());
    let text = text.unwrap_or_default();
    let (table, errors) = DeTable::parse_recoverable(&text);
    let table = table.get_ref();
    if table.contains_key("character") {
        return Leads::Rig;
    }
    let named = path.file_name().is_some_and(|name| name == "cast.toml");
    if table.contains_key("cast") || table.contains_key("member") || (!errors.is_empty() && named) {
        Leads::Cast
    } else {
        Leads::Elsewhere
    }
}

/// The folders of rigs in a folder, by name.
#[must_use]
pub fn rigs_in(files: &Files, folder: &Path) -> Vec<PathBuf> {
    let names = files.names(folder, MOST_NAMES).into_iter();
    let folders = names.map(|name| folder.join(name));
    folders
        .filter(|path| files.is_file(path.join("rig.toml")))
        .collect()
}

fn member(
    declared: &Field<'_>,
    mut fields: Fields<'_>,
    (files, folder): (&Files, &Path),
    report: &mut Report,
) -> Option<CastMember> {
    names::check(declared.name, "member", declared.name_span, report);
    let given = fields.take("rig");
    fields.finish(report);
    let (rig, span) = match given {
        Some(value) => (text(&value, "\"rig\"", report)?, value.span),
        // Its rig may be named in what could not be read.
        None if report.is_hurt("member", declared) => return None,
        None => (declared.name, declared.name_span),
    };
    let path = match relative(rig) {
        Ok(path) => folder.join(path),
        Err((message, hint)) => {
            report.push(Problem::error(span, format!("\"rig\" {message}")).hint(hint));
            return None;
        }
    };
    let (file, shown) = if files.is_folder(&path) {
        (path.join("rig.toml"), format!("{rig}/rig.toml"))
    } else {
        (path, rig.to_owned())
    };
    if !exists(files, &file, &shown, span, report) {
        return None;
    }
    Some(CastMember {
        key: declared.name.to_owned(),
        span: declared.name_span,
        rig: file,
    })
}
