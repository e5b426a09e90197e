//! What can be typed: the commands and what all of them share. The comments here are the help text.

use clap::{Parser, Subcommand};

use super::approve::ApproveArgs;
use super::args::RunningArgs;
use super::check::CheckArgs;
use super::compare::CompareArgs;
use super::draft::DraftArgs;
use super::explain::ExplainArgs;
use super::export::ExportArgs;
use super::fit::FitArgs;
use super::joints::JointsArgs;
use super::lint::LintArgs;
use super::manual::{CompletionsArgs, ManArgs};
use super::merge::MergeArgs;
use super::migrate::MigrateArgs;
use super::night::NightArgs;
use super::render::RenderArgs;
use super::review::ReviewArgs;
use super::schema::SchemaArgs;
use super::sheet::SheetArgs;

/// Renders and proofs jointed 2D characters from their rigs and pose lists.
#[derive(Debug, Parser)]
#[command(
    name = "layfig",
    version,
    max_term_width = 100,
    after_help = super::exit::Exit::help(),
    arg_required_else_help = true,
    subcommand_required = true
)]
pub struct Typed {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
    /// How to run.
    #[command(flatten)]
    pub running: RunningArgs,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Make a first rig from a drawing in layers
    Draft(DraftArgs),
    /// Draw each pose as a PNG
    Render(RenderArgs),
    /// Lay poses out on labelled pages for approval
    Sheet(SheetArgs),
    /// Take every joint through its limits and tell what juts out, opens or spills
    Check(CheckArgs),
    /// Write each pose as a standard SVG
    Export(ExportArgs),
    /// Make the page on which comparisons are looked at and decided
    Review(ReviewArgs),
    /// Make everything of a whole cast that is not as it was, and tell what changed
    Night(NightArgs),
    /// End a night that was made in shards
    Merge(MergeArgs),
    /// Find the pivot at which each seam holds best
    Fit(FitArgs),
    /// Look for what is probably wrong with art and rigs
    Lint(LintArgs),
    /// Rewrite rigs in the shorter spelling of today; comments and order stay
    ///
    /// Without --write nothing is written: each line that would change is told, and the exit code is 1 where there is one.
    Migrate(MigrateArgs),
    /// List human joints that limits can name, with their published ranges
    Joints(JointsArgs),
    /// Tell what a key of a file means, takes, and is without being given
    Explain(ExplainArgs),
    /// Print JSON Schemas of rigs, views, pose lists and casts, for editors
    Schema(SchemaArgs),
    /// Draw each pose and compare it with the approved picture
    Compare(CompareArgs),
    /// Make new pictures the approved ones
    Approve(ApproveArgs),
    /// Print a script that completes commands and options in a shell
    Completions(CompletionsArgs),
    /// Print the manual, or write a page for each command
    Man(ManArgs),
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory as _;

    use super::*;

    #[test]
    fn the_arguments_are_consistent() {
        Typed::command().debug_assert();
    }
}
