//! The only place that prints. A closed pipe is no reason to stop, or to complain.

use std::io::{IsTerminal as _, Write as _};

use serde_json::Value;

use super::args::{MessageForm, ProgressForm, RunningArgs};
use super::terminal;
use crate::diag::{self, Problem, Severity, Sources};

/// How progress is shown, decided.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Progress {
    /// A bar.
    Bar,
    /// A line now and then.
    Lines,
    /// Not at all.
    Nothing,
}

impl Progress {
    /// A flag beats what is found out; bars are for terminals on which nobody keeps a log.
    #[must_use]
    pub const fn decide(asked: ProgressForm, terminal: bool, ci: bool, silent: bool) -> Self {
        match asked {
            ProgressForm::Bar => Self::Bar,
            ProgressForm::Lines => Self::Lines,
            ProgressForm::None => Self::Nothing,
            ProgressForm::Auto if silent => Self::Nothing,
            ProgressForm::Auto if terminal && !ci => Self::Bar,
            ProgressForm::Auto => Self::Lines,
        }
    }
}

/// Where and how things are told.
#[derive(Clone, Copy, Debug)]
pub struct Console {
    messages: MessageForm,
    quiet: bool,
    /// How progress is shown.
    pub progress: Progress,
    colour: bool,
    /// Columns of standard output, and of standard error.
    widths: [usize; 2],
}

impl Console {
    /// From the arguments and what the process stands in.
    #[must_use]
    pub fn new(running: &RunningArgs) -> Self {
        let terminal = std::io::stderr().is_terminal();
        let set = |name: &str| std::env::var_os(name).is_some_and(|v| !v.is_empty());
        let silent = running.quiet || running.messages == MessageForm::Json;
        let dumb = std::env::var_os("TERM").is_some_and(|t| t == "dumb");
        Self {
            messages: running.messages,
            quiet: running.quiet,
            progress: Progress::decide(running.progress, terminal && !dumb, set("CI"), silent),
            colour: terminal && !dumb && !set("NO_COLOR"),
            widths: [
                terminal::width(&std::io::stdout()),
                terminal::width(&std::io::stderr()),
            ],
        }
    }

    /// A line on standard output; for people it goes on in further lines where it is too long.
    pub fn result(&self, line: &str) {
        match self.messages {
            _ if self.quiet => {}
            MessageForm::Human => terminal::hanging(line, self.widths[0])
                .iter()
                .for_each(|line| out(line)),
            MessageForm::Short => out(line),
            MessageForm::Json => {}
        }
    }

    /// Rows of a table on standard output, set in by two columns; the first row is their head.
    pub fn table(&self, rows: &[Vec<String>]) {
        if !self.quiet && self.messages != MessageForm::Json {
            for line in terminal::table(rows, self.widths[0] - 2) {
                out(&format!("  {line}"));
            }
        }
    }

    /// Text for programs on standard output: a line stays one however long it is.
    pub fn text(&self, text: &str) {
        if !self.quiet && self.messages != MessageForm::Json {
            out(text);
        }
    }

    /// A line of a file on standard output: in a window it goes on in further lines, elsewhere it stays one.
    pub fn quote(&self, line: &str) {
        if std::io::stdout().is_terminal() {
            self.result(line);
        } else {
            self.text(line);
        }
    }

    /// An object on standard output, only where JSON was asked for.
    pub fn object(&self, object: impl FnOnce() -> Value) {
        if self.messages == MessageForm::Json {
            out(&object().to_string());
        }
    }

    /// A line on standard error, for people; `grave` where something went wrong.
    pub fn remark(&self, grave: bool, line: &str) {
        match self.messages {
            _ if self.quiet && !grave => {}
            MessageForm::Human => terminal::hanging(line, self.widths[1])
                .iter()
                .for_each(|line| err(line)),
            MessageForm::Short => err(line),
            MessageForm::Json => {}
        }
    }

    /// A line on standard error about how far the run is; whoever asks for such lines gets them.
    pub fn progress(&self, line: &str) {
        err(line);
    }

    /// A problem.
    pub fn problem(&self, problem: &Problem, sources: &Sources) {
        if self.quiet && problem.severity == Severity::Warning {
            return;
        }
        match self.messages {
            MessageForm::Human => {
                let look = diag::Look {
                    colour: self.colour,
                    width: self.widths[1],
                };
                err(&diag::human(problem, sources, look));
                err("");
            }
            MessageForm::Short => err(&diag::short(problem, sources)),
            MessageForm::Json => out(&diag::json(problem, sources)),
        }
    }
}

fn out(line: &str) {
    let mut to = std::io::stdout().lock();
    let _ = writeln!(to, "{line}");
}

fn err(line: &str) {
    let mut to = std::io::stderr().lock();
    let _ = writeln!(to, "{line}");
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn progress_follows_terminal_and_ci_unless_a_flag_says_otherwise() {
        let decide = Progress::decide;
        assert_eq!(
            decide(ProgressForm::Auto, true, false, false),
            Progress::Bar
        );
        assert_eq!(
            decide(ProgressForm::Auto, true, true, false),
            Progress::Lines
        );
        assert_eq!(
            decide(ProgressForm::Auto, false, false, false),
            Progress::Lines
        );
        assert_eq!(
            decide(ProgressForm::Auto, true, false, true),
            Progress::Nothing
        );
        assert_eq!(decide(ProgressForm::Bar, false, true, true), Progress::Bar);
        assert_eq!(
            decide(ProgressForm::Lines, true, false, true),
            Progress::Lines
        );
        assert_eq!(
            decide(ProgressForm::None, true, false, false),
            Progress::Nothing
        );
    }
}
