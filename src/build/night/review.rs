//! The review page of a night: all comparisons that there are, made when all else is.

use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};

use super::digest::Stamp;
use super::json_lines::read;
use super::make::made;
use super::scope::Scope;
use super::store::{Known, Measured, stat};
use super::unit::{Key, Kind, Made, Record};
use crate::build::{self, Compared};
use crate::compare::ENGINE;

/// The folder, in the output folder.
const FOLDER: &str = "review";

/// Makes the page of all comparisons that are known, unless it is there; takes it away where there are
/// none.
///
/// # Errors
///
/// When it cannot be written.
pub fn review(
    out: &Path,
    scope: &Scope,
    known: &mut BTreeMap<Key, Known>,
    threads: usize,
) -> io::Result<()> {
    let key = Key::review();
    // By name, as `layfig review` finds them.
    let comparisons: Vec<&Record> = known
        .values()
        .map(|known| &known.record)
        .filter(|it| it.key.kind == Kind::Comparison && !it.files.is_empty())
        .filter(|it| scope.members.iter().any(|m| m.key == it.key.of.member))
        .collect();
    let mut stamp = Stamp::new("review");
    stamp.text(ENGINE);
    for record in &comparisons {
        stamp.text(&record.key.of.member);
        stamp.digest(&record.outcome());
    }
    let inputs = stamp.done();
    if comparisons.is_empty() {
        if known.remove(&key).is_some() && out.join(FOLDER).join("review.js").is_file() {
            std::fs::remove_dir_all(out.join(FOLDER))?;
        }
        return Ok(());
    }
    let there = known
        .get(&key)
        .is_some_and(|it| it.record.inputs == inputs && it.is_sound(out, false));
    if there {
        return Ok(());
    }
    let compared = comparisons
        .iter()
        .filter_map(|record| record.files.iter().find(|f| f.path.ends_with(".json")))
        .map(|file| {
            let file = out.join(&file.path);
            let comparison = read(&file)
                .ok_or_else(|| io::Error::other(format!("cannot read {}", file.display())))?;
            Ok(Compared {
                folder: file.parent().unwrap_or(out).to_path_buf(),
                comparison,
            })
        })
        .collect::<io::Result<Vec<Compared>>>()?;
    let folder = out.join(FOLDER);
    build::write_review(&compared, &folder, threads, |_| ()).map_err(io::Error::other)?;
    let mut files: Vec<Made> = Vec::new();
    let mut written = Vec::new();
    for path in below(&folder)? {
        let bytes = std::fs::read(&path)?;
        files.push(made(path.strip_prefix(out).unwrap_or(&path), &bytes));
        written.push(stat(&path).map_or(0, |(written, _)| written));
    }
    let record = Record {
        key: key.clone(),
        inputs,
        files,
        findings: Vec::new(),
        refused: None,
    };
    let measured = Some(Measured { us: 0, written });
    known.insert(
        key,
        Known {
            record,
            measured,
            recent: false,
        },
    );
    Ok(())
}

/// All files below a folder, by name.
fn below(folder: &Path) -> io::Result<Vec<PathBuf>> {
    let mut files = Vec::new();
    for entry in std::fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_dir() {
            files.extend(below(&path)?);
        } else {
            files.push(path);
        }
    }
    files.sort_unstable();
    Ok(files)
}
