//! One finding, and the list of checks.

use crate::cast::LINT_CHECKS;
use crate::diag::{Place, Problem, Severity};

/// What is checked. The names stand in [`LINT_CHECKS`], in this order.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(usize)]
pub enum Check {
    /// Paint whose edge no ink closes.
    OpenPaint,
    /// Ink and paint that are sorted wrongly.
    Sorting,
    /// A point or a piece far off the rest.
    Stray,
    /// A part that no pose shows.
    NeverShown,
    /// A colour that is no swatch.
    OffPalette,
    /// A group of the art that no part uses.
    UnusedGroup,
    /// Names of two sides that do not pair.
    Unpaired,
    /// A pivot outside the overlap of the parts that it joins.
    PivotOff,
    /// Parts over each other at the same depth.
    DepthTie,
    /// A palette that no pose takes.
    UnusedPalette,
    /// A swatch that nothing is coloured with.
    UnusedSwatch,
    /// A replacement that no pose takes.
    UnusedReplacement,
    /// A view that does not say what it faces, and a pose that aims something in it.
    NoFacing,
    /// An expression that no pose wears.
    UnusedExpression,
    /// A reach, or a planted foot, that changes nothing.
    IdleReach,
    /// An allowance that allows nothing.
    Allowance,
}

impl Check {
    /// What files and messages call it.
    #[must_use]
    pub fn name(self) -> &'static str {
        LINT_CHECKS
            .get(self as usize)
            .copied()
            .unwrap_or("allowance")
    }
}

/// Something that a person should look at.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LintFinding {
    /// Which check found it.
    pub check: Check,
    /// What it is about, as an allowance names it: a part, a palette, `front.svg#group`.
    pub about: String,
    /// Where, what, how bad, and what to do.
    pub problem: Problem,
}

impl LintFinding {
    /// From a problem; the check's name is put behind its message.
    #[must_use]
    pub fn new(check: Check, about: impl Into<String>, mut problem: Problem) -> Self {
        problem.message = format!("{} [{}]", problem.message, check.name());
        Self {
            check,
            about: about.into(),
            problem,
        }
    }

    /// An error.
    pub(super) fn error(
        check: Check,
        about: &str,
        place: impl Into<Place>,
        message: String,
        hint: &str,
    ) -> Self {
        Self::new(check, about, Problem::error(place, message).hint(hint))
    }

    /// A warning.
    pub(super) fn warning(
        check: Check,
        about: &str,
        place: impl Into<Place>,
        message: String,
        hint: &str,
    ) -> Self {
        Self::new(check, about, Problem::warning(place, message).hint(hint))
    }

    /// True for an error.
    #[must_use]
    pub fn is_error(&self) -> bool {
        self.problem.severity == Severity::Error
    }
}
