//! `layfig lint`.

use std::path::Path;

use clap::Args;
use serde_json::json;

use super::args::{InputArgs, RunningArgs};
use super::console::Console;
use super::exit::Exit;
use super::show::Members;
use super::terminal::count;
use super::watch::{self, Made, WatchArgs};
use crate::build::Filter;
use crate::diag::{self, Place, Problem, quoted};
use crate::lint::{LintFinding, lint_views};

/// Arguments of `layfig lint`.
#[derive(Clone, Debug, Args)]
pub struct LintArgs {
    #[command(flatten)]
    input: InputArgs,
    /// Only these views, or `all` [default: all]
    #[arg(
        long,
        value_name = "NAME,...",
        value_delimiter = ',',
        help_heading = "Selection"
    )]
    view: Vec<String>,
    #[command(flatten)]
    watching: WatchArgs,
}

/// Runs it.
#[must_use]
pub fn run(typed: &LintArgs, running: &RunningArgs) -> Exit {
    watch::run(
        typed.watching,
        &typed.input,
        running,
        Path::new(""),
        |made| once(typed, running, made),
    )
}

fn once(typed: &LintArgs, running: &RunningArgs, made: &mut Made) -> Exit {
    let console = Console::new(running);
    let members = Members::read(&typed.input);
    made.saw(&members.sources);
    for problem in members.problems.list() {
        console.problem(problem, &members.sources);
    }
    let filters: Vec<Filter> = typed.view.iter().map(Filter::new).collect();
    let all = filters.is_empty() || typed.view.iter().any(|name| name == "all");
    let mut found: Vec<LintFinding> = Vec::new();
    let mut looked = 0;
    let mut used = vec![all; filters.len()];
    for subject in &members.subjects {
        let mut wanted = |name: Option<&str>| {
            let mut any = all;
            for (filter, used) in filters.iter().zip(&mut used) {
                let found = name.is_some_and(|name| filter.matches(name));
                *used |= found;
                any |= found;
            }
            any
        };
        let views = subject.member.views.iter().enumerate();
        let views = views.filter(|(_, view)| wanted(view.name.as_deref()));
        let views: Vec<usize> = views.map(|(at, _)| at).collect();
        if !views.is_empty() {
            looked += 1;
            found.extend(lint_views(
                &subject.member,
                &subject.library,
                &subject.lists,
                &members.sources,
                &views,
            ));
        }
    }
    let bad = !members.problems.is_ok();
    // Where files could not be read, what a filter looks for may be in them.
    let unmatched = filters.iter().zip(used).filter(|(_, used)| !used && !bad);
    let mut nothing = looked == 0 && !bad;
    for (filter, _) in unmatched {
        let message = format!("no member has a view {}", quoted(filter.as_str()));
        console.problem(&Problem::error(Place::Nowhere, message), &members.sources);
        nothing = true;
    }
    for finding in &found {
        console.problem(&finding.problem, &members.sources);
    }
    let of_files = diag::summary(&members.problems);
    if !of_files.is_empty() {
        console.remark(bad, &format!("{of_files} in files"));
    }
    let errors = found.iter().filter(|f| f.is_error()).count();
    let warnings = found.len() - errors;
    if looked > 0 {
        console.result(&format!(
            "{}, {} in {}",
            count(errors, "error"),
            count(warnings, "warning"),
            count(looked, "member"),
        ));
    }
    let exit = match Exit::of(bad, false, nothing) {
        Exit::Done if errors > 0 => Exit::Look,
        other => other,
    };
    console.object(|| {
        json!({ "summary": {
            "errors": errors + members.problems.errors(),
            "warnings": warnings + members.problems.warnings(),
            "exit": exit.code(),
        }})
    });
    exit
}
