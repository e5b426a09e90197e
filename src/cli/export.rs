//! `layfig export`.

use clap::Args;

use super::args::{self, Background, ChoiceArgs, InputArgs, OutputArgs, RunningArgs};
use super::exit::Exit;
use super::render::{GrowArgs, one_file_each};
use super::show::Show;
use super::watch::Made;
use crate::build::{self, Only};

/// Arguments of `layfig export`.
#[derive(Clone, Debug, Args)]
pub struct ExportArgs {
    #[command(flatten)]
    input: InputArgs,
    #[command(flatten)]
    choice: ChoiceArgs,
    /// Take poses, sweeps or both
    #[arg(long, value_name = "WHAT", value_enum, default_value_t = Only::Poses, help_heading = "Selection")]
    only: Only,
    #[command(flatten)]
    output: OutputArgs,
    /// Size of the document: pixels to the canvas unit
    #[arg(long, value_name = "S", default_value = "1", value_parser = args::scale, help_heading = "Picture")]
    scale: f64,
    /// Behind the figure: a colour (#rrggbb, #rgb, white) or transparent
    #[arg(long, value_name = "COLOUR", default_value = "transparent", value_parser = args::background, help_heading = "Picture")]
    background: Background,
    #[command(flatten)]
    growing: GrowArgs,
}

/// Runs it.
#[must_use]
pub fn run(typed: &ExportArgs, running: &RunningArgs) -> Exit {
    let show = Show::read(&typed.input, &typed.choice, typed.only, running);
    let style = build::ExportStyle {
        scale: typed.scale,
        background: typed.background.0,
        grow: typed.growing.grow,
    };
    one_file_each(
        show,
        running,
        &typed.output,
        &[".svg"],
        "document",
        &mut Made::default(),
        |show, jobs, watch| {
            build::export_svgs(
                &show.plan,
                &show.puppets,
                jobs,
                &typed.output.out,
                &style,
                show.threads,
                watch,
            )
        },
    )
}
