//! `layfig lint`.

use clap::Args;
use serde_json::json;

use super::args::{InputArgs, RunningArgs};
use super::console::Console;
use super::exit::Exit;
use super::show::Members;
use crate::lint::{Finding, lint};

/// Arguments of `layfig lint`.
#[derive(Clone, Debug, Args)]
pub struct LintArgs {
    #[command(flatten)]
    input: InputArgs,
}

/// Runs it.
#[must_use]
pub fn run(typed: &LintArgs, running: &RunningArgs) -> Exit {
    let console = Console::new(running);
    let members = Members::read(&typed.input);
    for problem in members.problems.list() {
        console.problem(problem, &members.sources);
    }
    let mut found: Vec<Finding> = Vec::new();
    for subject in &members.subjects {
        found.extend(lint(
            &subject.member,
            &subject.library,
            &subject.lists,
            &members.sources,
        ));
    }
    for finding in &found {
        console.problem(&finding.problem, &members.sources);
    }
    let errors = found.iter().filter(|f| f.is_error()).count();
    let warnings = found.len() - errors;
    let plural = |n: usize, word: &str| format!("{n} {word}{}", if n == 1 { "" } else { "s" });
    console.result(&format!(
        "{}, {} in {}",
        plural(errors, "error"),
        plural(warnings, "warning"),
        plural(members.subjects.len(), "member"),
    ));
    let bad = !members.problems.is_ok();
    let exit = match Exit::of(bad, false, members.subjects.is_empty() && !bad) {
        Exit::Done if errors > 0 => Exit::Look,
        other => other,
    };
    console.object(
        || json!({ "summary": { "errors": errors, "warnings": warnings, "exit": exit.code() } }),
    );
    exit
}
