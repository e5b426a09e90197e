//! Broken rigs, pose lists and cast files: every mistake is found, in one run, and named in
//! exactly these words. `tests/broken` has a file for each: the files of a small show, and after
//! `--- expected` what is told of them.

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

use layfig::art::Library;
use layfig::cast::{PoseList, load_cast, load_member, load_poses};
use layfig::diag::{Place, Problems, Severity, Sources, short};

/// One broken input. The member `rigs/m`, the list `poses.toml` and the cast `cast.toml` are read,
/// as far as they are among the files or nothing else is. Drawings that the files name and that
/// are not given are made up.
struct Row {
    name: String,
    files: Vec<(String, String)>,
    expect: Vec<String>,
}

impl Row {
    /// Reads one: after `--- PATH` what is in that file, or `--- PATH as FILE` for one of `tests/broken/shared`.
    fn read(path: &Path) -> Self {
        let text = fs::read_to_string(path).expect("a row");
        let (files, expect) = text.split_once("--- expected\n").expect("what is told");
        let files = files.split("--- ").skip(1).map(|file| {
            let (head, text) = file.split_once('\n').expect("a file's own line");
            if let Some((name, shared)) = head.split_once(" as ") {
                let shared = path.with_file_name(shared);
                return (
                    name.to_owned(),
                    fs::read_to_string(shared).expect("a shared file"),
                );
            }
            match head.strip_suffix(" without a last newline") {
                Some(name) => (name.to_owned(), text.trim_end_matches('\n').to_owned()),
                None => (head.to_owned(), text.to_owned()),
            }
        });
        Self {
            name: path
                .file_stem()
                .expect("a name")
                .to_string_lossy()
                .into_owned(),
            files: files.collect(),
            expect: expect.lines().map(str::to_owned).collect(),
        }
    }

    fn all() -> Vec<Self> {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/broken");
        let entries = fs::read_dir(folder).expect("the rows");
        let mut paths: Vec<PathBuf> = entries.map(|entry| entry.expect("a row").path()).collect();
        paths.retain(|path| path.extension().is_some_and(|ending| ending == "txt"));
        paths.sort();
        paths.iter().map(|path| Self::read(path)).collect()
    }
}

#[test]
fn every_row_is_reported_in_full() {
    let mut failures = String::new();
    let rows = Row::all();
    assert!(rows.len() >= 122, "{} rows", rows.len());
    for row in &rows {
        let found = problems(row);
        if found != row.expect {
            let _ = writeln!(
                failures,
                "{}\n  expected {:#?}\n  found {found:#?}",
                row.name, row.expect
            );
        }
    }
    assert!(failures.is_empty(), "{failures}");
}

/// What is reported for a row, paths relative to its folder.
fn problems(row: &Row) -> Vec<String> {
    let folder = tempfile::tempdir().expect("a folder");
    for (path, text) in &row.files {
        write(&folder.path().join(path), text);
    }
    for (path, ids) in drawings(&row.files) {
        let path = folder.path().join(path);
        if !path.exists() {
            write(&path, &svg(&ids));
        }
    }
    let mut sources = Sources::default();
    let mut problems = Problems::default();
    let given = |path: &str| row.files.iter().any(|(file, _)| file == path);
    if given("cast.toml") {
        load_cast(
            &folder.path().join("cast.toml"),
            &mut sources,
            &mut problems,
        );
    } else {
        let path = folder.path().join("rigs/m");
        let mut library = Library::new();
        let member = load_member(&path, &mut sources, &mut problems, &mut library);
        assert_eq!(
            member.is_some(),
            problems.is_ok(),
            "{}: a member or errors",
            row.name
        );
        if let Some(member) = member
            && given("poses.toml")
        {
            let path = folder.path().join("poses.toml");
            let list = load_poses(&path, &member, &mut sources, &mut problems);
            check_list(&row.name, list.as_ref(), &sources, &problems);
        }
    }
    let start = format!("{}/", folder.path().display());
    let lines = problems
        .list()
        .iter()
        .map(|problem| short(problem, &sources));
    lines.map(|line| line.replace(&start, "")).collect()
}

/// A list without errors is whole; of one with errors nothing stays in whose lines an error is.
fn check_list(row: &str, list: Option<&PoseList>, sources: &Sources, problems: &Problems) {
    assert!(list.is_some() || !problems.is_ok(), "{row}: no list");
    let Some(list) = list else { return };
    assert!(list.left_out.is_empty() || !problems.is_ok(), "{row}");
    let poses = list
        .poses
        .iter()
        .map(|pose| (&pose.name, pose.span.unwrap()));
    let sweeps = list.sweeps.iter().map(|sweep| (&sweep.name, sweep.span));
    for (name, span) in poses.chain(sweeps) {
        let text = &sources.get(span.source).unwrap().text;
        let start = span.start as usize;
        let end = text[start..]
            .find("\n[")
            .map_or(text.len(), |at| start + at);
        for problem in problems.list() {
            if let Place::Span(at) = problem.place
                && problem.severity == Severity::Error
                && at.source == span.source
            {
                let at = at.start as usize;
                assert!(
                    !(start..end).contains(&at),
                    "{row}: {name} is bad: {problem:?}"
                );
            }
        }
    }
}

fn write(path: &Path, text: &str) {
    fs::create_dir_all(path.parent().expect("a folder")).expect("a folder");
    fs::write(path, text).expect("a file");
}

/// The drawings that files name: each SVG file with the ids asked of it.
fn drawings(files: &[(String, String)]) -> Vec<(PathBuf, Vec<String>)> {
    let mut all: Vec<(PathBuf, Vec<String>)> = Vec::new();
    for (path, text) in files {
        let folder = Path::new(path).parent().unwrap_or(Path::new(""));
        for text in text.split('"') {
            let Some((file, id)) = text.split_once(".svg#") else {
                continue;
            };
            let plain = |c: char| c.is_ascii_alphanumeric() || "_-/".contains(c);
            if file.is_empty() || id.is_empty() || file.starts_with('/') || !file.chars().all(plain)
            {
                continue;
            }
            let file = folder.join(format!("{file}.svg"));
            match all.iter_mut().find(|(other, _)| *other == file) {
                Some((_, ids)) => ids.push(id.to_owned()),
                None => all.push((file, vec![id.to_owned()])),
            }
        }
    }
    all
}

/// A drawing with these elements.
fn svg(ids: &[String]) -> String {
    let mut ids = ids.to_vec();
    ids.sort_unstable();
    ids.dedup();
    let mut text =
        String::from("<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 100 200\">\n");
    for id in ids {
        let _ = writeln!(
            text,
            "<g id=\"{id}\"><path d=\"M10 10H90V90H10Z\" fill=\"#d99c78\" stroke=\"#d99c78\"/></g>"
        );
    }
    text + "</svg>\n"
}
