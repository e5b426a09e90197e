//! `layfig migrate`.

use std::path::PathBuf;

use clap::Args;
use serde_json::json;

use super::args::{InputArgs, RunningArgs};
use super::console::Console;
use super::exit::Exit;
use super::terminal::count;
use crate::diag::{Problem, Problems, Sources};
use crate::files::write_whole;
use crate::migrate::{self, Change, Migrated};
use crate::project::Roster;

/// Arguments of `layfig migrate`.
#[derive(Clone, Debug, Args)]
pub struct MigrateArgs {
    /// A member's folder, its rig.toml, a cast file for all its members, or a folder of members
    rig: PathBuf,
    /// More of these
    #[arg(value_name = "RIG")]
    more: Vec<PathBuf>,
    /// Write the files instead of telling what would change
    #[arg(long)]
    write: bool,
}

/// Runs it.
#[must_use]
pub fn run(typed: &MigrateArgs, running: &RunningArgs) -> Exit {
    let console = Console::new(running);
    let (mut sources, mut problems) = (Sources::default(), Problems::default());
    let input = InputArgs {
        rig: typed.rig.clone(),
        more: typed.more.clone(),
    };
    let input = input.resolved(sources.files(), &mut problems);
    let strays = input.lists.iter().map(|list| {
        Problem::error(list.as_path(), "this is no rig").hint("pose lists have no older spelling")
    });
    problems.extend(strays);
    let mut all = Vec::new();
    let mut looked = 0;
    for path in &input.rigs {
        for (_, rig) in Roster::read(path, &mut sources, &mut problems).rigs {
            looked += 1;
            match migrate::rig(&rig, &mut sources) {
                Ok(files) => all.extend(files),
                Err(problem) => problems.push(problem),
            }
        }
    }
    for problem in problems.list() {
        console.problem(problem, &sources);
    }
    let mut failed = false;
    for file in &all {
        tell(&console, file);
        if typed.write
            && let Err(why) = write_whole(&file.path, file.new.as_bytes())
        {
            failed = true;
            let message = format!("cannot be written: {why}");
            console.problem(&Problem::error(file.path.as_path(), message), &sources);
        }
    }
    console.result(&match (all.len(), typed.write) {
        (0, _) => format!("nothing to rewrite in {}", count(looked, "rig")),
        (files, true) => format!("rewrote {}", count(files, "file")),
        (files, false) => {
            format!("{} to rewrite; --write does it", count(files, "file"))
        }
    });
    match Exit::of(!problems.is_ok(), failed, false) {
        Exit::Done if !all.is_empty() && !typed.write => Exit::Look,
        exit => exit,
    }
}

fn tell(console: &Console, file: &Migrated) {
    let path = file.path.display();
    let lines = |text: &str| count(text.lines().count(), "line");
    console.result(&format!(
        "{path}: {} -> {}",
        lines(&file.old),
        lines(&file.new)
    ));
    for change in migrate::changes(&file.old, &file.new) {
        console.quote(&match change {
            Change::At(line) => format!("{path}:{line}"),
            Change::Out(line) => format!("- {line}"),
            Change::In(line) => format!("+ {line}"),
        });
    }
    console.object(|| {
        json!({ "rewrite": {
            "file": file.path.to_string_lossy(),
            "from": file.old.lines().count(),
            "to": file.new.lines().count(),
            "text": file.new,
        }})
    });
}
