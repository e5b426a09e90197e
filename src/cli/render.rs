//! `layfig render`.

use std::path::PathBuf;

use clap::Args;
use serde_json::json;

use super::args::{self, Background, ChoiceArgs, InputArgs, OutputArgs, RunningArgs};
use super::console::Console;
use super::exit::Exit;
use super::show::Show;
use super::watch::{self, Made, WatchArgs};
use crate::build::{self, Event, Failure, Framing, Only, PictureStyle};
use crate::diag::Problem;
use crate::draw::MOST_SIDE;

/// Arguments of `layfig render`.
#[derive(Clone, Debug, Args)]
pub struct RenderArgs {
    #[command(flatten)]
    input: InputArgs,
    #[command(flatten)]
    choice: ChoiceArgs,
    /// Take poses, sweeps or both
    #[arg(long, value_name = "WHAT", value_enum, default_value_t = Only::Poses, help_heading = "Selection")]
    only: Only,
    #[command(flatten)]
    output: OutputArgs,
    #[command(flatten)]
    framing: FramingArgs,
    /// Behind the figure: a colour (#rrggbb, #rgb, white) or transparent
    #[arg(long, value_name = "COLOUR", default_value = "transparent", value_parser = args::background, help_heading = "Picture")]
    background: Background,
    /// Also map which part owns each pixel: POSE.owners.png with a legend, and POSE.owners.json
    #[arg(long, help_heading = "Picture")]
    owners: bool,
    #[command(flatten)]
    growing: GrowArgs,
    #[command(flatten)]
    watching: WatchArgs,
}

/// What becomes of figures that leave their pictures.
#[derive(Clone, Copy, Debug, Args)]
#[command(next_help_heading = "Picture")]
pub struct GrowArgs {
    /// Let the picture grow where the figure leaves it, in whole pixels
    #[arg(long)]
    pub grow: bool,
}

/// How large pictures are; the canvas keeps its shape.
#[derive(Clone, Debug, Args)]
#[command(next_help_heading = "Picture")]
#[group(multiple = false)]
pub struct FramingArgs {
    /// Pixels to the canvas unit [default: 1]
    #[arg(long, value_name = "S", value_parser = args::scale)]
    scale: Option<f64>,
    /// Pictures of this size in pixels, the canvas centred in them
    #[arg(long, value_name = "WxH", value_parser = args::size)]
    size: Option<(u32, u32)>,
    /// Pictures of this width in pixels
    #[arg(long, value_name = "PX", value_parser = clap::value_parser!(u32).range(1..=i64::from(MOST_SIDE)))]
    width: Option<u32>,
    /// Pictures of this height in pixels
    #[arg(long, value_name = "PX", value_parser = clap::value_parser!(u32).range(1..=i64::from(MOST_SIDE)))]
    height: Option<u32>,
}

impl FramingArgs {
    pub(super) fn resolved(&self) -> Framing {
        if let Some((width, height)) = self.size {
            Framing::Size(width, height)
        } else if let Some(width) = self.width {
            Framing::Width(width)
        } else if let Some(height) = self.height {
            Framing::Height(height)
        } else {
            Framing::Scale(self.scale.unwrap_or(1.0))
        }
    }
}

/// Runs it.
#[must_use]
pub fn run(typed: &RenderArgs, running: &RunningArgs) -> Exit {
    let out = &typed.output.out;
    watch::run(typed.watching, &typed.input, running, out, |made| {
        once(typed, running, made)
    })
}

fn once(typed: &RenderArgs, running: &RunningArgs, made: &mut Made) -> Exit {
    let style = PictureStyle {
        framing: typed.framing.resolved(),
        background: typed.background.0,
        owners: typed.owners,
        grow: typed.growing.grow,
    };
    let mut show = Show::read(&typed.input, &typed.choice, typed.only, running);
    if let Err(problem) = build::check_size(&show.plan, style.framing) {
        show.refuse(problem);
    }
    let endings = build::picture_endings(&style);
    one_file_each(
        show,
        running,
        &typed.output,
        endings,
        "picture",
        made,
        |show, jobs, watch| {
            build::draw_pictures(
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

/// Makes something of every pose that can be drawn, and tells of it.
pub(super) fn one_file_each(
    mut show: Show,
    running: &RunningArgs,
    output: &OutputArgs,
    endings: &[&str],
    sort: &str,
    known: &mut Made,
    make: impl FnOnce(
        &Show,
        &[build::Job<'_>],
        &mut dyn FnMut(Event),
    ) -> Vec<Result<Option<Problem>, Failure>>,
) -> Exit {
    let console = Console::new(running);
    known.saw(&show.sources);
    let plan = show.plan.clone();
    let jobs = plan.jobs();
    let files = jobs.iter().map(|job| {
        let paths = endings.iter();
        let paths = paths.map(|ending| job.file(&plan, &output.out, ending));
        (job.name.to_string(), paths.collect())
    });
    let files: Vec<(String, Vec<PathBuf>)> = files.collect();
    let clash = show.clash(&files);
    if !show.print_problems(&console) || clash {
        return show.end(&console, &output.out, (sort, 0, 0), &[]);
    }
    let mut all: Vec<(build::Job<'_>, Vec<PathBuf>)> = jobs
        .into_iter()
        .zip(files.into_iter().map(|(_, paths)| paths))
        .collect();
    known.leave_out(&plan, &mut all);
    let (jobs, files): (Vec<_>, Vec<_>) = all.into_iter().unzip();
    let names: Vec<String> = jobs.iter().map(|job| job.name.to_string()).collect();
    let made = |show: &Show, watch: &mut dyn FnMut(Event)| make(show, &jobs, watch);
    show.make(&console, (sort, &output.out), &names, made, |show, at, told| {
        told.into_iter().for_each(|problem| show.tell(&console, problem));
        let (name, paths) = (&names[at], &files[at]);
        known.note(paths);
        console.object(|| json!({ "made": name, "files": paths.iter().map(|p| p.to_string_lossy()).collect::<Vec<_>>() }));
    })
}
