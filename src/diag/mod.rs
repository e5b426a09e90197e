//! Problems as values: where, what, and a hint. Nothing here prints.
//!
//! Every reader of this crate takes a `&mut Problems` and goes on after a mistake, so that
//! one run reports all of them. [`Sources`] keeps the text of every file read, so that a
//! [`Span`] can be turned into a line and column when a problem is rendered.

use std::path::{Path, PathBuf};

/// A file that was read, by its place in [`Sources`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SourceId(pub u32);

/// A stretch of a file, in bytes from its start; `end` is one past the last byte.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Span {
    /// Which file.
    pub source: SourceId,
    /// First byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
}

/// The text of one file.
#[derive(Clone, Debug)]
pub struct Source {
    /// The path as it is shown to the user.
    pub path: PathBuf,
    /// The whole text.
    pub text: String,
}

/// All files read in a run.
#[derive(Clone, Debug, Default)]
pub struct Sources {
    files: Vec<Source>,
}

impl Sources {
    /// Keeps a file's text and returns its id.
    pub fn add(&mut self, path: impl Into<PathBuf>, text: impl Into<String>) -> SourceId {
        self.files.push(Source { path: path.into(), text: text.into() });
        SourceId(u32::try_from(self.files.len() - 1).unwrap_or(u32::MAX))
    }

    /// The file with this id.
    #[must_use]
    pub fn get(&self, id: SourceId) -> &Source {
        &self.files[id.0 as usize]
    }
}

/// How bad a problem is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Nothing can be made of this input.
    Error,
    /// The input works, but probably not as meant.
    Warning,
}

/// Where a problem is: inside a text, or a whole file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Place {
    /// A stretch of a file that was read.
    Span(Span),
    /// A file that could not be read, or has no text.
    File(PathBuf),
    /// No file: an argument, say.
    Nowhere,
}

/// One problem.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// Error or warning.
    pub severity: Severity,
    /// What is wrong, in one line, lower case, no full stop.
    pub message: String,
    /// Where.
    pub place: Place,
    /// Other places that matter, each with a short label.
    pub also: Vec<(Span, String)>,
    /// What to do about it.
    pub hint: Option<String>,
}

impl Problem {
    /// An error at a place.
    pub fn error(place: impl Into<Place>, message: impl Into<String>) -> Self {
        Self { severity: Severity::Error, message: message.into(), place: place.into(), also: Vec::new(), hint: None }
    }

    /// A warning at a place.
    pub fn warning(place: impl Into<Place>, message: impl Into<String>) -> Self {
        Self { severity: Severity::Warning, ..Self::error(place, message) }
    }

    /// Adds what to do about it.
    #[must_use]
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = Some(hint.into());
        self
    }

    /// Points at another place that matters.
    #[must_use]
    pub fn also(mut self, span: Span, label: impl Into<String>) -> Self {
        self.also.push((span, label.into()));
        self
    }
}

impl From<Span> for Place {
    fn from(span: Span) -> Self {
        Self::Span(span)
    }
}

impl From<&Path> for Place {
    fn from(path: &Path) -> Self {
        Self::File(path.to_path_buf())
    }
}

/// The problems of a run, in the order they were found.
#[derive(Clone, Debug, Default)]
pub struct Problems {
    list: Vec<Problem>,
}

impl Problems {
    /// Adds one.
    pub fn push(&mut self, problem: Problem) {
        self.list.push(problem);
    }

    /// All of them.
    #[must_use]
    pub fn list(&self) -> &[Problem] {
        &self.list
    }

    /// How many are errors.
    #[must_use]
    pub fn errors(&self) -> usize {
        self.list.iter().filter(|p| p.severity == Severity::Error).count()
    }

    /// True when none is an error.
    #[must_use]
    pub fn is_ok(&self) -> bool {
        self.errors() == 0
    }
}

/// The candidate nearest to a name, if one is near enough to be a slip of the pen.
#[must_use]
pub fn nearest<'a>(name: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    candidates.into_iter().find(|c| strsim::damerau_levenshtein(name, c) < 3)
}
