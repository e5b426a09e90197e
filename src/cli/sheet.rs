//! `layfig sheet`.

use clap::{Args, ValueEnum};
use serde_json::json;

use super::args::{self, ChoiceArgs, InputArgs, OnlyForm, OutputArgs, RunningArgs};
use super::console::Console;
use super::exit::Exit;
use super::reporter::Reporter;
use super::show::Show;
use crate::batch::{self, Failure, Window};
use crate::diag::{Place, Problem};
use crate::sheet::{LONGEST_SIDE, Look, PageSize, Paper};

/// Arguments of `layfig sheet`.
#[derive(Clone, Debug, Args)]
pub struct SheetArgs {
    #[command(flatten)]
    input: InputArgs,
    #[command(flatten)]
    choice: ChoiceArgs,
    /// Make sheets of poses, of sweeps or of both
    #[arg(long, value_name = "WHAT", value_enum, default_value_t = OnlyForm::All, help_heading = "Selection")]
    only: OnlyForm,
    #[command(flatten)]
    output: OutputArgs,
    /// Cells in a row [default: as many as suit the page]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=100), help_heading = "Page")]
    columns: Option<u16>,
    /// Height of the figures in pixels [default: what fills the page]
    #[arg(long, value_name = "PX", value_parser = clap::value_parser!(u16).range(32..=6000), help_heading = "Page")]
    cell: Option<u16>,
    /// Pages of this size in pixels [default: 2400 wide, as high as needed up to 3200]
    #[arg(long, value_name = "WxH", value_parser = page, help_heading = "Page")]
    page: Option<(i32, i32)>,
    /// What the sheet is printed on
    #[arg(long, value_name = "PAPER", value_enum, default_value_t = PaperForm::Light, help_heading = "Page")]
    paper: PaperForm,
    /// Crop cells to what the figures of the sheet, or of the sweep, cover together (the default)
    #[arg(long, help_heading = "Page")]
    crop: bool,
    /// Show the whole canvas in each cell
    #[arg(long, conflicts_with = "crop", help_heading = "Page")]
    canvas: bool,
}

/// What a sheet is printed on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum PaperForm {
    /// Warm white
    Light,
    /// Dark grey
    Dark,
}

fn page(text: &str) -> Result<(i32, i32), String> {
    let (width, height) = args::size(text)?;
    let side = |v: u32| {
        i32::try_from(v)
            .ok()
            .filter(|v| (400..=LONGEST_SIDE).contains(v))
    };
    match (side(width), side(height)) {
        (Some(width), Some(height)) => Ok((width, height)),
        _ => Err(format!("pages are 400 to {LONGEST_SIDE} px a side")),
    }
}

impl SheetArgs {
    fn look(&self) -> Look {
        let usual = Look::default();
        Look {
            page: self
                .page
                .map_or(usual.page, |(width, height)| PageSize::Exactly {
                    width,
                    height,
                }),
            columns: self.columns.map(i32::from),
            cell: self.cell.map(i32::from),
            paper: match self.paper {
                PaperForm::Light => Paper::Light,
                PaperForm::Dark => Paper::Dark,
            },
            ..usual
        }
    }
}

/// Runs it.
#[must_use]
pub fn run(typed: &SheetArgs, running: &RunningArgs) -> Exit {
    let console = Console::new(running);
    let out = &typed.output.out;
    let window = if typed.canvas {
        Window::Canvas
    } else {
        Window::Figures
    };
    let mut show = Show::read(
        &typed.input,
        &typed.choice,
        typed.only.into(),
        running,
        window == Window::Figures,
    );
    let sheets = match batch::plan_sheets(&show.plan, &show.rehearsal, out, &typed.look(), window) {
        Ok(sheets) => sheets,
        Err(error) => {
            let problem = Problem::error(Place::Nowhere, error.to_string());
            show.refuse(problem.hint("give --page more height, or --cell less"));
            Vec::new()
        }
    };
    let clash = show.clash(sheets.iter().map(|s| (s.name.as_str(), s.files.as_slice())));
    if !show.tell(&console) || clash || sheets.is_empty() {
        return show.end(&console, out, ("page", 0, 0), &[]);
    }
    let jobs = show.plan.jobs();
    let names: Vec<String> = jobs.iter().map(|job| job.name.clone()).collect();
    let results = {
        let mut reporter = Reporter::new(&console, &show.sources, &names);
        batch::draw_sheets(&show.puppets, &sheets, &jobs, show.threads, |event| {
            reporter.hear(event)
        })
    };
    let mut results = results.into_iter();
    let mut failed: Vec<(String, Failure)> = Vec::new();
    for (name, tried) in names.iter().zip(&show.rehearsal) {
        if let Err(failure) = tried {
            failed.push((name.clone(), failure.clone()));
        }
    }
    let mut made = 0;
    for sheet in &sheets {
        for (file, result) in sheet.files.iter().zip(results.by_ref()) {
            match result {
                Ok(()) => {
                    made += 1;
                    console.result(&file.display().to_string());
                    console.object(
                        || json!({ "made": sheet.name, "files": [file.to_string_lossy()] }),
                    );
                }
                Err(failure) => {
                    console.problem(&failure.problem(&sheet.name), &show.sources);
                    failed.push((sheet.name.clone(), failure));
                }
            }
        }
    }
    let pages = sheets.iter().map(|s| s.files.len()).sum();
    show.end(&console, out, ("page", made, pages), &failed)
}
