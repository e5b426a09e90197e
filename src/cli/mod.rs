//! The command line. Arguments come in two stages: as typed ([`args`]), then resolved against the
//! files. Each command has a file of its own.

mod approve;
pub mod args;
mod check;
mod commands;
mod compare;
mod console;
mod draft;
mod exit;
mod explain;
mod export;
mod fit;
mod joints;
mod lint;
mod manual;
mod merge;
mod migrate;
mod night;
mod progress;
mod ranges;
mod render;
mod review;
mod schema;
mod sheet;
mod show;
mod terminal;
mod watch;

use std::ffi::OsString;
use std::process::ExitCode;

use clap::{CommandFactory as _, Parser as _};

pub use approve::ApproveArgs;
pub use check::CheckArgs;
pub use compare::CompareArgs;
pub use draft::DraftArgs;
pub use exit::Exit;
pub use explain::ExplainArgs;
pub use export::ExportArgs;
pub use fit::FitArgs;
pub use joints::JointsArgs;
pub use lint::LintArgs;
pub use manual::{CompletionsArgs, ManArgs};
pub use merge::MergeArgs;
pub use migrate::MigrateArgs;
pub use night::NightArgs;
pub use render::{FramingArgs, RenderArgs};
pub use review::ReviewArgs;
pub use schema::SchemaArgs;
pub use sheet::SheetArgs;
pub use watch::WatchArgs;

use commands::{Command, Typed};

/// Runs the program with these arguments, the program's own name first.
#[must_use]
pub fn main(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let typed = match Typed::try_parse_from(arguments) {
        Ok(typed) => typed,
        Err(told) => {
            // Help and version come this way too, to standard output.
            let _ = told.print();
            let exit = if told.use_stderr() {
                Exit::Input
            } else {
                Exit::Done
            };
            return ExitCode::from(exit.code());
        }
    };
    let exit = match &typed.command {
        Command::Draft(command) => draft::run(command, &typed.running),
        Command::Render(command) => render::run(command, &typed.running),
        Command::Sheet(command) => sheet::run(command, &typed.running),
        Command::Check(command) => check::run(command, &typed.running),
        Command::Export(command) => export::run(command, &typed.running),
        Command::Review(command) => review::run(command, &typed.running),
        Command::Night(command) => night::run(command, &typed.running),
        Command::Merge(command) => merge::run(command, &typed.running),
        Command::Migrate(command) => migrate::run(command, &typed.running),
        Command::Fit(command) => fit::run(command, &typed.running),
        Command::Lint(command) => lint::run(command, &typed.running),
        Command::Joints(command) => joints::run(command, &typed.running),
        Command::Explain(command) => explain::run(command, &typed.running),
        Command::Schema(command) => schema::run(command, &typed.running),
        Command::Compare(command) => compare::run(command, &typed.running),
        Command::Approve(command) => approve::run(command, &typed.running),
        Command::Completions(command) => {
            manual::completions(command, Typed::command(), &typed.running)
        }
        Command::Man(command) => manual::man(command, Typed::command(), &typed.running),
    };
    ExitCode::from(exit.code())
}
