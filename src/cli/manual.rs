//! `layfig completions` and `layfig man`: what shells and readers of manuals want.

use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

use clap::{Args, CommandFactory as _};
use clap_complete::Shell;
use clap_mangen::Man;

use super::args::RunningArgs;
use super::commands::Typed;
use super::console::Console;
use super::exit::Exit;
use crate::diag::{Place, Problem, Sources};
use crate::files::write_whole;

/// Arguments of `layfig completions`.
#[derive(Clone, Debug, Args)]
pub struct CompletionsArgs {
    /// For this shell
    shell: Shell,
}

/// Arguments of `layfig man`.
#[derive(Clone, Debug, Args)]
pub struct ManArgs {
    /// Write a page for each command here; without it, the first page goes to standard output
    #[arg(long, short, value_name = "DIR")]
    out: Option<PathBuf>,
}

/// Writes what a shell completes with to standard output.
#[must_use]
pub fn completions(typed: &CompletionsArgs, running: &RunningArgs) -> Exit {
    let mut script = Vec::new();
    clap_complete::generate(typed.shell, &mut Typed::command(), "layfig", &mut script);
    told(io::stdout().write_all(&script), running)
}

/// Writes the manual.
#[must_use]
pub fn man(typed: &ManArgs, running: &RunningArgs) -> Exit {
    let mut command = Typed::command();
    command.build();
    let done = match &typed.out {
        None => Man::new(command).render(&mut io::stdout()),
        Some(folder) => pages(&command, folder),
    };
    told(done, running)
}

fn pages(command: &clap::Command, folder: &Path) -> io::Result<()> {
    std::fs::create_dir_all(folder)?;
    let inner = command.get_subcommands().filter(|c| c.get_name() != "help");
    for command in std::iter::once(command).chain(inner) {
        let page = Man::new(command.clone());
        let name = page.get_filename();
        let mut text = Vec::new();
        page.render(&mut text)?;
        write_whole(&folder.join(name), &text)?;
    }
    Ok(())
}

fn told(done: io::Result<()>, running: &RunningArgs) -> Exit {
    let error = match done {
        Ok(()) => return Exit::Done,
        // Who reads has enough.
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => return Exit::Done,
        Err(error) => error,
    };
    let problem = Problem::error(Place::Nowhere, format!("cannot write: {error}"));
    Console::new(running).problem(&problem, &Sources::default());
    Exit::Output
}
