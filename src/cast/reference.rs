//! References to drawings and files: `front.svg#hand`, `front.toml`.

use std::path::{Component, Path, PathBuf};

use super::report::Report;
use crate::diag::{Problem, Span, quoted};

/// A drawing, as a rig asks for it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct ArtRef {
    /// Relative to the member's folder, in its shortest form.
    pub file: PathBuf,
    /// The elements.
    pub ids: Vec<String>,
    /// Where the rig asks for it.
    pub span: Span,
}

/// Where the references of a file start.
#[derive(Clone, Copy, Debug)]
pub(super) struct Base<'a> {
    /// The folder of the naming file, relative to the member's.
    pub folder: &'a Path,
    /// The drawing of its view, relative to the member's folder.
    pub drawing: Option<&'a Path>,
}

/// Reads `file.svg#id`, or `#id` where the view has a drawing.
pub(super) fn art(
    text: &str,
    span: Span,
    what: &str,
    base: Base<'_>,
    report: &mut Report,
) -> Option<ArtRef> {
    if report.is_broken(span) {
        return None;
    }
    let mut wrong = |message: String, hint: &str| {
        report.push(Problem::error(span, message).hint(hint));
        None
    };
    let form = "write a file and an element id, as in \"front.svg#hand\"";
    if text.trim().is_empty() {
        return wrong(format!("{what} is empty"), form);
    }
    let Some((file, id)) = text.rsplit_once('#') else {
        let hint = format!("add the element's id: \"{text}#id\"");
        return if Path::new(text).extension().is_some() && text.len() < 60 {
            wrong(
                format!("{what} names no element of {}", quoted(text)),
                &hint,
            )
        } else {
            wrong(format!("{what} names no file and element"), form)
        };
    };
    if file.is_empty() && (base.drawing.is_none() || id.is_empty()) {
        return wrong(format!("{what} names no file"), form);
    }
    if id.is_empty() {
        return wrong(format!("{what} names no element of {}", quoted(file)), form);
    }
    let file = match base.drawing {
        Some(drawing) if file.is_empty() => Ok(drawing.to_path_buf()),
        _ => inside(base.folder, file),
    };
    match file {
        Ok(file) => Some(ArtRef {
            file,
            ids: vec![id.to_owned()],
            span,
        }),
        Err((message, hint)) => wrong(format!("{what} {message}"), hint),
    }
}

/// The path from the member's folder to a file that is named in its folder `base`; what is wrong
/// and what to do, if the file is not in the member's folder.
pub(super) fn inside(base: &Path, text: &str) -> Result<PathBuf, (&'static str, &'static str)> {
    let path = relative(text)?;
    let mut out = PathBuf::new();
    for component in base.components().chain(path.components()) {
        match component {
            Component::Normal(name) => out.push(name),
            Component::ParentDir if !out.pop() => {
                return Err((
                    "leads out of the member's folder",
                    "keep a member's files in the folder of its rig.toml",
                ));
            }
            _ => {}
        }
    }
    if out.as_os_str().is_empty() {
        return Err(("names a folder", "name a file"));
    }
    Ok(out)
}

/// A path that is relative to the file naming it, and the same on every platform.
pub(super) fn relative(text: &str) -> Result<&Path, (&'static str, &'static str)> {
    let hint = "write a path relative to this file, with / between folders";
    let drive = text.as_bytes().get(1) == Some(&b':');
    if text.trim().is_empty() {
        Err(("is empty", hint))
    } else if text.contains("://") || text.starts_with("data:") || text.starts_with("file:") {
        Err(("is an address, not a path", hint))
    } else if text.starts_with('/') || drive || Path::new(text).is_absolute() {
        Err(("is an absolute path", hint))
    } else if text.contains('\\') {
        Err(("has a backslash in it", hint))
    } else if text.chars().any(char::is_control) {
        Err(("has a control character in it", hint))
    } else {
        Ok(Path::new(text))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diag::{Problems, SourceId, Sources, short};

    fn read(text: &str, base: &str) -> Result<(String, String), String> {
        let mut report = Report::new(SourceId(0));
        let art = art(
            text,
            report.span(0..0),
            "\"art\"",
            Base {
                folder: Path::new(base),
                drawing: None,
            },
            &mut report,
        );
        let mut problems = Problems::default();
        report.finish(&mut problems);
        let mut sources = Sources::default();
        sources.add("r", "");
        match (art, problems.list()) {
            (Some(art), []) => Ok((art.file.to_str().unwrap().to_owned(), art.ids.concat())),
            (None, [problem]) => Err(short(problem, &sources)),
            other => panic!("{other:?}"),
        }
    }

    fn ok(file: &str, id: &str) -> Result<(String, String), String> {
        Ok((file.to_owned(), id.to_owned()))
    }

    #[test]
    fn a_file_and_an_id() {
        assert_eq!(read("front.svg#hand", ""), ok("front.svg", "hand"));
        assert_eq!(read("./art//a#b.svg#hand", ""), ok("art/a#b.svg", "hand"));
    }

    #[test]
    fn paths_start_at_the_naming_file_and_stay_in_the_folder() {
        assert_eq!(read("a.svg#x", "views"), ok("views/a.svg", "x"));
        assert_eq!(read("../art/a.svg#x", "views"), ok("art/a.svg", "x"));
        assert!(
            read("../../a.svg#x", "views")
                .unwrap_err()
                .contains("leads out of")
        );
        assert!(read("../a.svg#x", "").unwrap_err().contains("leads out of"));
    }

    #[test]
    fn what_is_no_reference_is_named() {
        for (text, message) in [
            ("", "\"art\" is empty"),
            (
                "front.svg",
                "\"art\" names no element of \"front.svg\" (hint: add the element's id: \"front.svg#id\")",
            ),
            ("hand", "\"art\" names no file and element"),
            ("#hand", "\"art\" names no file ("),
            ("front.svg#", "\"art\" names no element of \"front.svg\""),
            ("/art/a.svg#x", "\"art\" is an absolute path"),
            ("C:/a.svg#x", "\"art\" is an absolute path"),
            (
                "https://a.example/a.svg#x",
                "\"art\" is an address, not a path",
            ),
            ("art\\a.svg#x", "\"art\" has a backslash in it"),
            (".#x", "\"art\" names a folder"),
        ] {
            let found = read(text, "").unwrap_err();
            assert!(found.contains(message), "{text}: {found}");
        }
    }
}
