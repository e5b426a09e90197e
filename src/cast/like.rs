//! `like`: a view that says only what differs from another.

use std::ops::Range;
use std::path::{Path, PathBuf};

use indexmap::IndexMap;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::drawings::Drawings;
use super::file::{exists, read};
use super::reference::inside;
use super::report::Report;
use super::syntax;
use super::tree::in_words;
use crate::diag::{Problem, Problems, SourceId, Span, nearest, quoted};

/// The text of a view's file.
pub(super) struct Text {
    pub source: SourceId,
    path: PathBuf,
    text: String,
}

/// The text of a view's file, of the file that it is like, of the one that that is like, and so on.
pub(super) fn texts(path: &Path, named: Span, drawings: &mut Drawings<'_>) -> Option<Vec<Text>> {
    let mut all: Vec<Text> = Vec::new();
    let mut next = Some((path.to_path_buf(), named));
    while let Some((path, named)) = next.take() {
        let file = drawings.folder.join(&path);
        // Several views may be like one.
        let (source, text) = match drawings.texts.get(&path) {
            Some(known) => known.clone(),
            None => read(&file, Some(named), drawings.sources, drawings.problems)?,
        };
        drawings.texts.insert(path.clone(), (source, text.clone()));
        let mut report = Report::new(source);
        let like = like(&text, &report);
        all.push(Text { source, path, text });
        if let Some((text, span)) = like {
            next = other(&all, (&text, span), drawings, &mut report);
            report.finish(drawings.problems);
            next.as_ref()?;
        }
    }
    Some(all)
}

/// What a file says that it is like; text of another kind is for the parser to report.
fn like(text: &str, report: &Report) -> Option<(String, Span)> {
    let (table, _) = DeTable::parse_recoverable(text);
    let value = table.get_ref().get("like")?;
    let DeValue::String(text) = value.get_ref() else {
        return None;
    };
    Some((text.to_string(), report.span(value.span())))
}

/// The file that the last of these is like.
fn other(
    all: &[Text],
    (text, span): (&str, Span),
    drawings: &Drawings<'_>,
    report: &mut Report,
) -> Option<(PathBuf, Span)> {
    let folder = all[0].path.parent().unwrap_or(Path::new(""));
    let path = match inside(folder, text) {
        Ok(path) => path,
        Err((message, hint)) => {
            report.push(Problem::error(span, format!("\"like\" {message}")).hint(hint));
            return None;
        }
    };
    if path.parent() != Some(folder) {
        let problem = Problem::error(span, "\"like\" names a file of another folder")
            .hint("keep views that are like each other in one folder");
        report.push(problem);
        return None;
    }
    if let Some(first) = all.iter().position(|text| text.path == path) {
        let ring = all[first..]
            .iter()
            .map(|text| text.path.to_str().unwrap_or_default());
        let ring: Vec<&str> = ring.collect();
        let message = match ring.len() {
            1 => "this view is like itself".to_owned(),
            _ => format!(
                "the views are like each other in a loop: {}",
                in_words(&ring.into_iter())
            ),
        };
        let problem = Problem::error(span, message);
        report.push(problem.hint("write one of them in full"));
        return None;
    }
    let file = drawings.folder.join(&path);
    exists(drawings.sources.files(), &file, text, span, report).then_some((path, span))
}

/// A report of all these texts, and room to read them in.
pub(super) fn report(texts: &[Text]) -> (Report, Vec<String>) {
    let mut start = 0;
    let mut starts = Vec::with_capacity(texts.len());
    for text in texts {
        starts.push((start, text.source));
        start += text.text.len() + 1;
    }
    (Report::of_all(starts), vec![String::new(); texts.len()])
}

/// The view as if it were written in full. A view that is like another must be read whole for that, and the other too.
pub(super) fn whole<'t>(
    texts: &'t [Text],
    rooms: &'t mut [String],
    report: &mut Report,
    problems: &mut Problems,
) -> Option<DeTable<'t>> {
    if let [only] = texts {
        return Some(syntax::parse(&only.text, &mut rooms[0], report));
    }
    let (mut start, mut sound) = (0, true);
    let mut tables = Vec::with_capacity(texts.len());
    for (text, room) in texts.iter().zip(rooms) {
        let mut own = Report::new(text.source);
        let table = syntax::parse(&text.text, room, &mut own);
        if own.errors() > 0 {
            sound = false;
            let mut found = Problems::default();
            own.finish(&mut found);
            let new = found.list().iter().filter(|p| !problems.list().contains(p));
            let new: Vec<Problem> = new.cloned().collect();
            problems.extend(new);
        }
        tables.push(moved(table, start));
        start += text.text.len() + 1;
    }
    let mirrors = texts.iter().any(|text| text.text.contains("mirror_of"));
    let mut names = texts.iter().rev().map(|text| text.path.as_path());
    let mut tables = tables.into_iter().rev();
    let (mut whole, mut name) = (tables.next()?, names.next()?);
    for (table, next) in tables.zip(names) {
        let mut merge = Merge {
            name,
            mirrors,
            report,
        };
        whole = merge.file(whole, table);
        name = next;
    }
    sound.then_some(whole)
}

/// The same with all places moved on, its entries in the order of the file.
fn moved<'t>(table: DeTable<'t>, by: usize) -> DeTable<'t> {
    let mut entries: Vec<_> = table.into_iter().collect();
    entries.sort_by_key(|(key, _)| key.span().start);
    let entries = entries.into_iter().map(|(key, value)| {
        let span = key.span();
        let key = Spanned::new(span.start + by..span.end + by, key.into_inner());
        (key, moved_value(value, by))
    });
    entries.collect()
}

fn moved_value<'t>(value: Spanned<DeValue<'t>>, by: usize) -> Spanned<DeValue<'t>> {
    let span = value.span();
    let inner = match value.into_inner() {
        DeValue::Table(table) => DeValue::Table(moved(table, by)),
        DeValue::Array(items) => DeValue::Array(
            items
                .into_iter()
                .map(|item| moved_value(item, by))
                .collect(),
        ),
        other => other,
    };
    Spanned::new(span.start + by..span.end + by, inner)
}

/// One view laid over another.
struct Merge<'a> {
    /// The file of the other.
    name: &'a Path,
    /// Some part is a mirror of another, in one of the files.
    mirrors: bool,
    report: &'a mut Report,
}

impl Merge<'_> {
    /// A whole file.
    fn file<'t>(&mut self, base: DeTable<'t>, own: DeTable<'t>) -> DeTable<'t> {
        self.tables(base, own, &mut Vec::new())
    }

    /// Tables are merged as far as their names go that a header writes, `[part.hand]`; what stands in them is kept or
    /// replaced whole.
    fn tables<'t>(
        &mut self,
        base: DeTable<'t>,
        own: DeTable<'t>,
        way: &mut Vec<String>,
    ) -> DeTable<'t> {
        let mut all: IndexMap<String, _> = base
            .into_iter()
            .map(|(key, value)| (key.get_ref().to_string(), Some((key, value))))
            .collect();
        for (key, value) in own {
            let name = key.get_ref().to_string();
            if matches!(value.get_ref(), DeValue::Boolean(false)) && !is_flag(way, &name) {
                let gone = all.get_mut(&name).and_then(Option::take);
                if gone.is_none() && self.mirrors && matches!(&**way, [kind] if kind != "part") {
                    // It may be left out of what the other side has.
                    all.insert(name, Some((key, value)));
                } else if gone.is_none() {
                    self.lacks(all.keys(), way, &name, key.span());
                }
                continue;
            }
            let old = all.get_mut(&name).and_then(Option::take);
            let (span, old) = (value.span(), old.map(|(_, old)| old.into_inner()));
            let value = match (old, value.into_inner()) {
                (Some(DeValue::Table(old)), DeValue::Table(new)) if way.len() < 2 => {
                    way.push(name.clone());
                    let both = self.tables(old, new, way);
                    way.pop();
                    DeValue::Table(both)
                }
                (_, new) => new,
            };
            // It keeps the place that it has there.
            all.insert(name, Some((key, Spanned::new(span, value))));
        }
        all.into_values().flatten().collect()
    }

    /// Reports that there is nothing to leave out.
    fn lacks<'n>(
        &mut self,
        there: impl Iterator<Item = &'n String>,
        way: &[String],
        name: &str,
        at: Range<usize>,
    ) {
        let file = quoted(&self.name.to_string_lossy());
        let what = match way {
            [] => format!("no {}", quoted(name)),
            [kind] => format!("no {kind} {}", quoted(name)),
            [kind, of, ..] => format!("no {} of {kind} {}", quoted(name), quoted(of)),
        };
        let problem = Problem::error(
            self.report.span(at),
            format!("there is {what} in {file} to leave out"),
        );
        let near = nearest(
            name,
            there.map(String::as_str).filter(|there| *there != name),
        );
        self.report.push(match near {
            Some(near) => problem.hint(format!("did you mean {}?", quoted(near))),
            None => problem.hint("take this line out"),
        });
    }
}

/// True of a key for which `false` means something by itself.
fn is_flag(way: &[String], name: &str) -> bool {
    matches!(way, [kind, _] if kind == "part") && name == "art"
}
