//! Kinds of sheet that a list can ask for, and which keys they take.

use super::field::Field;
use super::fields::Fields;
use super::report::Report;
use crate::diag::{Problem, quoted};

/// A kind of sheet that a list can ask for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SheetKind {
    /// Poses with names and notes.
    Pose,
    /// Sweeps, each as a row, or as a grid for two joints.
    Range,
    /// Poses, and the steps of sweeps, over each other in tints.
    Onion,
    /// A view at rest, measured.
    Model,
    /// Views on one ground.
    Turnaround,
    /// Poses cropped to the head.
    Expressions,
    /// Replacements of parts, in their places.
    Charts,
    /// One pose in every palette.
    Colours,
}

impl SheetKind {
    /// All of them.
    pub const ALL: [Self; 8] = [
        Self::Pose,
        Self::Range,
        Self::Onion,
        Self::Model,
        Self::Turnaround,
        Self::Expressions,
        Self::Charts,
        Self::Colours,
    ];

    /// What files call it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Pose => "pose",
            Self::Range => "range",
            Self::Onion => "onion",
            Self::Model => "model",
            Self::Turnaround => "turnaround",
            Self::Expressions => "expressions",
            Self::Charts => "charts",
            Self::Colours => "colours",
        }
    }

    /// True when a key says something on such a sheet.
    pub(super) fn takes(self, key: &str) -> bool {
        let kinds: &[Self] = match key {
            "poses" => &[Self::Pose, Self::Onion, Self::Expressions, Self::Colours],
            "sweeps" => &[Self::Range, Self::Onion],
            "charts" => &[Self::Charts],
            "canvas" => &[Self::Pose, Self::Range, Self::Onion],
            "crop" => &[Self::Pose, Self::Range, Self::Onion, Self::Expressions],
            "palette" => &[Self::Pose, Self::Range, Self::Expressions, Self::Charts],
            "columns" | "cell" => &[
                Self::Pose,
                Self::Range,
                Self::Onion,
                Self::Expressions,
                Self::Charts,
            ],
            _ => return true,
        };
        kinds.contains(&self)
    }
}

/// The entry of a key, which is an error where it says nothing on such a sheet.
pub(super) fn fitting<'t>(
    key: &'static str,
    kind: Option<SheetKind>,
    fields: &mut Fields<'t>,
    report: &mut Report,
) -> Option<Field<'t>> {
    let value = fields.take(key)?;
    if let Some(kind) = kind
        && !kind.takes(key)
    {
        let others: Vec<String> = SheetKind::ALL
            .into_iter()
            .filter(|kind| kind.takes(key))
            .map(|kind| quoted(kind.name()))
            .collect();
        let name = quoted(key);
        let article = if kind == SheetKind::Onion || kind == SheetKind::Expressions {
            "an"
        } else {
            "a"
        };
        let message = format!("{name} says nothing on {article} {} sheet", kind.name());
        let others = match others.split_last() {
            Some((last, [])) => last.clone(),
            Some((last, others)) => format!("{} or {last}", others.join(", ")),
            None => String::new(),
        };
        let hint = format!("leave it out, or write kind = {others}");
        report.push(Problem::error(value.name_span, message).hint(hint));
    }
    Some(value)
}
