//! One problem, and the problems of a run.

use std::path::{Path, PathBuf};

use super::Span;

/// How bad a problem is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Nothing can be made of this input.
    Error,
    /// The input works, but probably not as meant.
    Warning,
}

impl Severity {
    /// `error` or `warning`.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Error => "error",
            Self::Warning => "warning",
        }
    }
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
        Self {
            severity: Severity::Error,
            message: message.into(),
            place: place.into(),
            also: Vec::new(),
            hint: None,
        }
    }

    /// A warning at a place.
    pub fn warning(place: impl Into<Place>, message: impl Into<String>) -> Self {
        Self {
            severity: Severity::Warning,
            ..Self::error(place, message)
        }
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

impl std::fmt::Display for Problem {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(out, "{}: {}", self.severity.word(), self.message)?;
        match &self.hint {
            Some(hint) => write!(out, " (hint: {hint})"),
            None => Ok(()),
        }
    }
}

impl std::error::Error for Problem {}

impl From<Span> for Place {
    fn from(span: Span) -> Self {
        Self::Span(span)
    }
}

impl From<Option<Span>> for Place {
    fn from(span: Option<Span>) -> Self {
        span.map_or(Self::Nowhere, Self::Span)
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

    /// Adds several, in their order.
    pub fn extend(&mut self, problems: impl IntoIterator<Item = Problem>) {
        self.list.extend(problems);
    }

    /// All of them.
    #[must_use]
    pub fn list(&self) -> &[Problem] {
        &self.list
    }

    /// How many are errors.
    #[must_use]
    pub fn errors(&self) -> usize {
        self.list
            .iter()
            .filter(|p| p.severity == Severity::Error)
            .count()
    }

    /// How many are warnings.
    #[must_use]
    pub fn warnings(&self) -> usize {
        self.list.len() - self.errors()
    }

    /// True when none is an error.
    #[must_use]
    pub fn is_ok(&self) -> bool {
        self.errors() == 0
    }
}
