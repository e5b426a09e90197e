//! What the exit code says.

use std::fmt::Write as _;

/// How a run ended. Where several things apply, the first of `Output`, `Input`, `Nothing`, `Look`
/// is told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u8)]
pub enum Exit {
    /// All was made that was asked for.
    Done = 0,
    /// All was made, but a person must look: pictures differ from the approved set, a check found
    /// an error, a landmark drifts between views.
    Look = 1,
    /// Files or arguments have mistakes. What could be made nevertheless was made.
    Input = 2,
    /// Nothing was selected: a filter found nothing, there are no poses, or nobody has what a kind of sheet
    /// needs.
    Nothing = 3,
    /// Something could not be drawn or written.
    Output = 4,
}

impl Exit {
    /// All codes and their meanings, as the help prints them.
    pub const TABLE: [(Self, &'static str); 5] = [
        (Self::Done, "everything asked for was made"),
        (
            Self::Look,
            "made, but a person must look: pictures differ from the approved set, a check found an error, or a landmark drifts between views",
        ),
        (
            Self::Input,
            "mistakes in files or arguments; what could be made nevertheless was made",
        ),
        (
            Self::Nothing,
            "nothing selected: a filter found nothing, there are no poses, or nobody has what a kind of sheet needs",
        ),
        (Self::Output, "something could not be drawn or written"),
    ];

    /// The number that the system gets.
    #[must_use]
    pub const fn code(self) -> u8 {
        self as u8
    }

    /// The code of a run in which these things happened.
    #[must_use]
    pub const fn of(bad_input: bool, bad_output: bool, nothing: bool) -> Self {
        if bad_output {
            Self::Output
        } else if bad_input {
            Self::Input
        } else if nothing {
            Self::Nothing
        } else {
            Self::Done
        }
    }

    /// The same, or [`Exit::Look`] where all went well and a person must look.
    #[must_use]
    pub const fn or_look(self, look: bool) -> Self {
        match self {
            Self::Done if look => Self::Look,
            other => other,
        }
    }

    /// The table as text.
    #[must_use]
    pub fn help() -> String {
        let mut text = String::from("Exit codes:\n");
        for (exit, meaning) in Self::TABLE {
            let _ = writeln!(text, "  {}  {meaning}", exit.code());
        }
        text.truncate(text.trim_end().len());
        text
    }
}

/// What went wrong in a run, or is to be looked at.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Faults {
    /// Inputs have mistakes.
    pub input: bool,
    /// Something could not be made.
    pub output: bool,
    /// Nothing is selected.
    pub nothing: bool,
    /// A person must look.
    pub look: bool,
}

impl Faults {
    /// The code of the run.
    #[must_use]
    pub const fn exit(self) -> Exit {
        Exit::of(self.input, self.output, self.nothing).or_look(self.look)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_not_made_is_told_first_and_a_look_last() {
        assert_eq!(Exit::of(false, false, false), Exit::Done);
        assert_eq!(Exit::of(true, true, true), Exit::Output);
        assert_eq!(Exit::of(true, false, true), Exit::Input);
        assert_eq!(Exit::of(false, true, true), Exit::Output);
        assert_eq!(Exit::of(false, false, true), Exit::Nothing);
        assert_eq!(Exit::Done.or_look(true), Exit::Look);
        assert_eq!(Exit::Done.or_look(false), Exit::Done);
        assert_eq!(Exit::Nothing.or_look(true), Exit::Nothing);
    }

    #[test]
    fn the_table_has_every_code_once() {
        let codes: Vec<u8> = Exit::TABLE.iter().map(|(e, _)| e.code()).collect();
        assert_eq!(codes, [0, 1, 2, 3, 4]);
    }
}
