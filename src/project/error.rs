//! What can go wrong, as values.

use std::fmt;
use std::sync::Arc;

use crate::diag::{Problem, Problems, Sources, short};

/// What is wrong in the files of a show. Each problem keeps its place; as text, each is a line with
/// its file, line and column.
#[derive(Clone, Debug)]
pub struct ProjectError {
    problems: Problems,
    sources: Arc<Sources>,
}

impl ProjectError {
    pub(super) fn new(problems: Problems, sources: Arc<Sources>) -> Self {
        Self { problems, sources }
    }

    pub(super) fn of(problem: Problem, sources: &Arc<Sources>) -> Self {
        let mut problems = Problems::default();
        problems.push(problem);
        Self::new(problems, Arc::clone(sources))
    }

    /// All of them, warnings too, in the order they were found.
    #[must_use]
    pub fn problems(&self) -> &[Problem] {
        self.problems.list()
    }

    /// The files that their places are in, for [`Position`](crate::diag::Position) and
    /// [`json`](crate::diag::json()).
    #[must_use]
    pub fn sources(&self) -> &Sources {
        &self.sources
    }
}

impl fmt::Display for ProjectError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (at, problem) in self.problems().iter().enumerate() {
            let comma = if at > 0 { "\n" } else { "" };
            write!(out, "{comma}{}", short(problem, &self.sources))?;
        }
        Ok(())
    }
}

impl std::error::Error for ProjectError {}

/// What a name was to name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Named {
    /// A member of the cast.
    Member,
    /// A view of a member.
    View,
    /// A part of a member.
    Part,
    /// A pose of a member's lists.
    Pose,
    /// A palette of a member.
    Palette,
    /// A replacement of a part.
    Replacement,
    /// An expression of a member.
    Expression,
}

impl fmt::Display for Named {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(match self {
            Self::Member => "member",
            Self::View => "view",
            Self::Part => "part",
            Self::Pose => "pose",
            Self::Palette => "palette",
            Self::Replacement => "replacement",
            Self::Expression => "expression",
        })
    }
}

/// Why something that a program asks for cannot be had.
#[derive(Clone, Debug, thiserror::Error)]
pub enum AskError {
    /// A name that nothing has.
    #[error("there is no {what} {name:?}{}", meant(nearest.as_deref()))]
    Unknown {
        /// What it was to name.
        what: Named,
        /// The name.
        name: String,
        /// The name that was probably meant.
        nearest: Option<String>,
    },
    /// A number that files may not have either.
    #[error(
        "{setting} of {part:?} cannot be {value}: write {least} to {most}{}",
        or_zero(setting)
    )]
    Number {
        /// `turn`, `move` and so on.
        setting: &'static str,
        /// The part.
        part: String,
        /// What was asked for.
        value: f64,
        /// The least there may be.
        least: f64,
        /// The most there may be.
        most: f64,
    },
    /// A pose that has no figure.
    #[error(transparent)]
    Pose(#[from] ProjectError),
}

fn meant(nearest: Option<&str>) -> String {
    nearest.map_or_else(String::new, |name| format!(" (did you mean {name:?}?)"))
}

fn or_zero(setting: &str) -> &'static str {
    if setting == "scale" {
        ", but not 0"
    } else {
        ""
    }
}
