//! `layfig render`.

use std::path::PathBuf;

use clap::Args;
use serde_json::json;

use super::args::{self, Background, ChoiceArgs, InputArgs, OutputArgs, RunningArgs};
use super::console::Console;
use super::exit::Exit;
use super::progress::Reporter;
use super::show::{Looks, Show};
use crate::build::{self, Failure, Framing, Only, PictureStyle};
use crate::cast::Member;
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
}

/// What becomes of figures that leave their pictures.
#[derive(Clone, Copy, Debug, Args)]
#[command(next_help_heading = "Picture")]
pub struct GrowArgs {
    /// Let the picture grow where the figure leaves it, in whole pixels
    #[arg(long)]
    pub grow: bool,
}

impl GrowArgs {
    /// What is looked at: where pictures grow nothing is cut off.
    pub(super) fn looks<'a>(self, shown: &'a (dyn Fn(&Member) -> [f64; 4] + Sync)) -> Looks<'a> {
        if self.grow {
            Looks::Nowhere
        } else {
            Looks::Picture(shown)
        }
    }
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
    let style = PictureStyle {
        framing: typed.framing.resolved(),
        background: typed.background.0,
        owners: typed.owners,
        grow: typed.growing.grow,
    };
    let shown = |member: &Member| style.framing.viewport(member.canvas).shown();
    let mut show = Show::read(
        &typed.input,
        &typed.choice,
        typed.only,
        running,
        typed.growing.looks(&shown),
    );
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
    make: impl FnOnce(
        &Show,
        &[build::Job<'_>],
        &mut dyn FnMut(build::Event),
    ) -> Vec<Result<(), Failure>>,
) -> Exit {
    let console = Console::new(running);
    let plan = show.plan.clone();
    let mut failed: Vec<(String, Failure)> = Vec::new();
    let mut jobs = Vec::new();
    let mut files: Vec<(String, Vec<PathBuf>)> = Vec::new();
    for (job, tried) in plan.jobs().into_iter().zip(&show.rehearsal) {
        if let Err(failure) = tried {
            failed.push((job.name.to_string(), failure.clone()));
            continue;
        }
        let paths = endings
            .iter()
            .map(|ending| job.file(&plan, &output.out, ending))
            .collect();
        files.push((job.name.to_string(), paths));
        jobs.push(job);
    }
    let clash = show.clash(&files);
    if !show.print_problems(&console) || clash {
        return show.end(&console, &output.out, (sort, 0, 0), &[]);
    }
    let names: Vec<String> = jobs.iter().map(|job| job.name.to_string()).collect();
    let results = {
        let mut reporter = Reporter::new(&console, &show.sources, &names);
        make(&show, &jobs, &mut |event| reporter.hear(event))
    };
    let mut made = 0;
    for (result, (name, paths)) in results.into_iter().zip(files) {
        match result {
            Ok(()) => {
                made += 1;
                console.object(|| json!({ "made": name, "files": paths.iter().map(|p| p.to_string_lossy()).collect::<Vec<_>>() }));
            }
            Err(failure) => failed.push((name, failure)),
        }
    }
    show.end(
        &console,
        &output.out,
        (sort, made, made + failed.len()),
        &failed,
    )
}
