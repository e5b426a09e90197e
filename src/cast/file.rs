//! Text files, read with care.

use std::io::ErrorKind;
use std::path::Path;

use super::report::Report;
use crate::diag::{Place, Problem, Problems, SourceId, Sources, Span, nearest, quoted};
use crate::files::{Files, Kind};

/// Larger files are refused: what people write by hand is far smaller.
pub(super) const MOST_BYTES: u64 = 16 << 20;

/// Reads a text file and keeps it. Problems are placed where the file is named, if it is named in
/// another file, else at the file itself.
pub(super) fn read(
    path: &Path,
    named: Option<Span>,
    sources: &mut Sources,
    problems: &mut Problems,
) -> Option<(SourceId, String)> {
    match text(path, sources.files()) {
        Ok(text)
            if text
                .trim_start_matches('\u{feff}')
                .trim_start()
                .starts_with('<') =>
        {
            let message = "this file is a drawing or other markup, not TOML";
            let hint = "rigs, pose lists and casts are TOML; give the member's folder or its rig.toml, which names the drawings";
            problems.push(Problem::error(path, message).hint(hint));
            None
        }
        Ok(text) => Some((sources.add(path, text.clone()), text)),
        Err(Trouble::Encoding(problem)) => {
            problems.push(problem);
            None
        }
        Err(Trouble::File(what)) => {
            problems.push(match named {
                Some(span) => {
                    let path = quoted(&path.to_string_lossy());
                    Problem::error(span, format!("cannot read {path}: {what}"))
                }
                None => Problem::error(path, format!("cannot read this file: {what}")),
            });
            None
        }
    }
}

enum Trouble {
    /// The file cannot be had.
    File(String),
    /// Its bytes are not text.
    Encoding(Problem),
}

impl From<std::io::Error> for Trouble {
    fn from(error: std::io::Error) -> Self {
        Self::File(in_words(&error))
    }
}

fn text(path: &Path, files: &Files) -> Result<String, Trouble> {
    match files.kind(path)? {
        Kind::File(_) => {}
        Kind::Folder => return Err(Trouble::File("it is a folder".into())),
        Kind::Other => return Err(Trouble::File("it is not a regular file".into())),
    }
    let bytes = files.read(path, MOST_BYTES)?;
    if bytes.len() as u64 > MOST_BYTES {
        let most = MOST_BYTES >> 20;
        return Err(Trouble::File(format!("it is larger than {most} MiB")));
    }
    String::from_utf8(bytes).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        let bytes = error.as_bytes();
        let line = bytes[..at].iter().filter(|&&b| b == b'\n').count() + 1;
        let message = format!(
            "this file is not UTF-8 text: byte {at} (0x{:02x}, in line {line})",
            bytes[at]
        );
        let place = Place::File(path.to_path_buf());
        Trouble::Encoding(Problem::error(place, message).hint("save it as UTF-8"))
    })
}

/// What went wrong, the same words on every platform for what is common.
pub(super) fn in_words(error: &std::io::Error) -> String {
    match error.kind() {
        ErrorKind::NotFound => "no such file".into(),
        ErrorKind::PermissionDenied => "permission denied".into(),
        ErrorKind::NotADirectory => "a part of its path is not a folder".into(),
        _ => error.to_string(),
    }
}

/// Reports a file that is named but not there, with the nearest name in its folder.
pub(super) fn exists(
    files: &Files,
    path: &Path,
    text: &str,
    span: Span,
    report: &mut Report,
) -> bool {
    if report.is_broken(span) {
        return false;
    }
    if files.is_file(path) {
        return true;
    }
    let message = if files.is_folder(path) {
        format!("{} is a folder, not a file", quoted(text))
    } else {
        format!("no such file: {}", quoted(text))
    };
    let mut problem = Problem::error(span, message);
    if !report.is_full()
        && let Some(name) = path.file_name().and_then(|name| name.to_str())
        && let Some(near) = neighbour(files, path, name)
    {
        problem = problem.hint(format!("did you mean {}?", quoted(&near)));
    }
    report.push(problem);
    false
}

/// The name in the same folder that is nearest to this one.
fn neighbour(files: &Files, path: &Path, name: &str) -> Option<String> {
    let names = files.names(path.parent().unwrap_or(Path::new("")), 10_000);
    nearest(name, names.iter().map(String::as_str)).map(str::to_owned)
}
