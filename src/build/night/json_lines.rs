//! Files of JSON, whole or by lines, of which some may be damaged.

use std::io;
use std::path::{Path, PathBuf};

use serde::Deserialize;

use super::digest::Digest;
use crate::files::write_whole;

/// Files of a folder with this ending, by name.
pub(super) fn files(folder: &Path, ending: &str) -> Vec<PathBuf> {
    let Ok(entries) = std::fs::read_dir(folder) else {
        return Vec::new();
    };
    let mut files: Vec<PathBuf> = entries
        .filter_map(|entry| Some(entry.ok()?.path()))
        .filter(|path| path.extension().is_some_and(|e| e == ending))
        .filter(|path| {
            let name = path.file_name().unwrap_or_default().to_string_lossy();
            !name.starts_with('.')
        })
        .collect();
    files.sort_unstable();
    files
}

/// A JSON file, if it is there and whole.
pub(super) fn read<T: for<'a> Deserialize<'a>>(path: &Path) -> Option<T> {
    serde_json::from_slice(&std::fs::read(path).ok()?).ok()
}

/// The lines of a file that can be read.
pub(super) fn lines<T: for<'a> Deserialize<'a>>(
    path: &Path,
    grows: Grows,
) -> impl Iterator<Item = T> + use<T> {
    let bytes = std::fs::read(path).unwrap_or_default();
    let lines: Vec<T> = split(&bytes, grows)
        .filter_map(|line| serde_json::from_slice(line).ok())
        .collect();
    lines.into_iter()
}

/// How a file of lines is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Grows {
    /// Whole: an end without a line break is a line as any other.
    AtOnce,
    /// Line by line: an end without a line break is what a run was killed in, and no damage.
    ByLines,
}

fn split(bytes: &[u8], grows: Grows) -> impl Iterator<Item = &[u8]> {
    let lines = bytes.split_inclusive(|&b| b == b'\n');
    let lines = lines.filter_map(move |line| match line.strip_suffix(b"\n") {
        None if grows == Grows::AtOnce => Some(line),
        ended => ended,
    });
    lines.filter(|line| !line.is_empty())
}

/// A file of which some lines could not be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Damage {
    /// The file.
    pub file: PathBuf,
    /// Its bytes as they were, beside it.
    pub kept: PathBuf,
    /// How many lines.
    pub lines: usize,
}

/// Keeps a file with lines that are no `T` beside its place, before what can be read of it takes that.
///
/// # Errors
///
/// When the file is there and cannot be read, or cannot be kept.
pub(super) fn damage<T: for<'a> Deserialize<'a>>(
    path: &Path,
    grows: Grows,
) -> io::Result<Option<Damage>> {
    let bytes = match std::fs::read(path) {
        Ok(bytes) => bytes,
        Err(e) if e.kind() == io::ErrorKind::NotFound => return Ok(None),
        Err(e) => {
            let message = format!("cannot read {}: {e}", path.display());
            return Err(io::Error::new(e.kind(), message));
        }
    };
    let bad = |line: &&[u8]| serde_json::from_slice::<T>(line).is_err();
    let lines = split(&bytes, grows).filter(bad).count();
    if lines == 0 {
        return Ok(None);
    }
    // Another damage is another file.
    let digest = Digest::of(&bytes);
    let ending = format!("jsonl.{}.damaged", &digest.as_str()[..8]);
    let kept = path.with_extension(ending);
    rewrite(&kept, &bytes)?;
    Ok(Some(Damage {
        file: path.to_path_buf(),
        kept,
        lines,
    }))
}

/// Writes a file whole unless it says the same already.
pub(super) fn rewrite(path: &Path, bytes: &[u8]) -> io::Result<()> {
    if std::fs::read(path).is_ok_and(|old| old == bytes) {
        return Ok(());
    }
    write_whole(path, bytes)
}
