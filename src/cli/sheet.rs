//! `layfig sheet`.

use std::path::PathBuf;

use clap::{Args, ValueEnum};
use serde_json::json;

use super::args::{self, ChoiceArgs, InputArgs, OnlyForm, OutputArgs, RunningArgs};
use super::console::Console;
use super::exit::Exit;
use super::reporter::Reporter;
use super::show::Show;
use crate::batch::{self, Failure, Kind, MemberKind, Plan, Wanted, Window};
use crate::diag::{Place, Problem};
use crate::sheet::{Imprint, LONGEST_SIDE, Look, Paper, Stock, Way};

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
    /// Files to make: one PNG for each page, one PDF for each member, or both
    #[arg(long, value_name = "FORM", value_enum, default_value_t = FormatForm::Png, help_heading = "Output")]
    format: FormatForm,
    /// Kinds of sheets [default: pose range]
    #[arg(long, value_name = "KIND", value_enum, num_args = 1.., value_delimiter = ',', help_heading = "Selection")]
    kind: Vec<KindForm>,
    /// One sheet for all lists of a member, grouped by list
    #[arg(long, help_heading = "Selection")]
    join: bool,
    /// Cells in a row [default: as many as suit the page]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=100), help_heading = "Page")]
    columns: Option<u16>,
    /// Height of the figures in pixels [default: what fills the page]
    #[arg(long, value_name = "PX", value_parser = clap::value_parser!(u16).range(32..=6000), help_heading = "Page")]
    cell: Option<u16>,
    /// a4, a3, letter, tabloid, 16:9, pixels as 1920x1080, or fit: 2400 px wide, as high as needed
    /// [default: fit, or a4 where a PDF is made]
    #[arg(long, value_name = "SIZE", value_parser = page, help_heading = "Page")]
    page: Option<Stock>,
    /// Which way paper is held
    #[arg(long, value_name = "WAY", value_enum, default_value_t = WayForm::Landscape, help_heading = "Page")]
    orient: WayForm,
    /// Pixels to the inch of paper
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(72..=450), default_value_t = 200, help_heading = "Page")]
    dpi: u16,
    /// Margin around each page in millimetres of paper [default: what suits the page]
    #[arg(long, value_name = "MM", value_parser = margin, help_heading = "Page")]
    margin: Option<f64>,
    /// What the sheet is printed on
    #[arg(long, value_name = "PAPER", value_enum, default_value_t = PaperForm::Light, help_heading = "Page")]
    paper: PaperForm,
    /// Production, for the title block
    #[arg(
        long,
        value_name = "NAME",
        default_value = "",
        hide_default_value = true,
        help_heading = "Title block"
    )]
    production: String,
    /// Revision, for the title block
    #[arg(
        long,
        value_name = "TEXT",
        default_value = "",
        hide_default_value = true,
        help_heading = "Title block"
    )]
    revision: String,
    /// Date, for the title block; nothing is taken from the clock
    #[arg(
        long,
        value_name = "TEXT",
        default_value = "",
        hide_default_value = true,
        help_heading = "Title block"
    )]
    date: String,
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

/// Which files are made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum FormatForm {
    /// One picture for each page
    Png,
    /// One document for each member, with vector figures and bookmarks
    Pdf,
    /// Both
    Both,
}

/// A kind of sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum KindForm {
    /// Poses with names and notes
    Pose,
    /// Sweeps as rows, or as grids for two joints
    Range,
    /// Poses, and the steps of sweeps, over each other in tints
    Onion,
    /// A view at rest: ruler in heads, measurements, colours, notes
    Model,
    /// All views on one ground; a landmark that drifts between them is flagged
    Turnaround,
    /// Poses that change only the head, cropped to it
    Expressions,
    /// Every replacement of a part, in its place
    Charts,
    /// All members to one scale on one ground
    LineUp,
    /// One pose in every palette
    Colours,
    /// All of them
    All,
}

/// Which way paper is held.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum WayForm {
    /// Wider than high
    Landscape,
    /// Higher than wide
    Portrait,
}

fn page(text: &str) -> Result<Stock, String> {
    let named = match text.to_ascii_lowercase().as_str() {
        "a4" => Some(Stock::A4),
        "a3" => Some(Stock::A3),
        "letter" => Some(Stock::Letter),
        "tabloid" => Some(Stock::Tabloid),
        "16:9" => Some(Stock::Wide),
        "fit" => Some(Stock::Fit),
        _ => None,
    };
    if let Some(named) = named {
        return Ok(named);
    }
    let (width, height) = args::size(text).map_err(|_| {
        "write a4, a3, letter, tabloid, 16:9, fit, or pixels as 1920x1080".to_owned()
    })?;
    let side = |v: u32| {
        i32::try_from(v)
            .ok()
            .filter(|v| (400..=LONGEST_SIDE).contains(v))
    };
    match (side(width), side(height)) {
        (Some(width), Some(height)) => Ok(Stock::Pixels(width, height)),
        _ => Err(format!("pages are 400 to {LONGEST_SIDE} px a side")),
    }
}

fn margin(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(mm) if (0.0..=60.0).contains(&mm) => Ok(mm),
        _ => Err("write millimetres from 0 to 60".to_owned()),
    }
}

impl SheetArgs {
    fn pdf(&self) -> bool {
        self.format != FormatForm::Png
    }

    fn png(&self) -> bool {
        self.format != FormatForm::Pdf
    }

    #[expect(clippy::cast_possible_truncation, reason = "margins are small")]
    fn look(&self) -> Look {
        let usual = if self.pdf() { Stock::A4 } else { Stock::Fit };
        let way = match self.orient {
            WayForm::Landscape => Way::Landscape,
            WayForm::Portrait => Way::Portrait,
        };
        let dpi = f64::from(self.dpi);
        let (page, points) = self.page.unwrap_or(usual).page(way, dpi);
        Look {
            page,
            points,
            dpi,
            margin: self.margin.map(|mm| libm::round(mm * dpi / 25.4) as i32),
            columns: self.columns.map(i32::from),
            cell: self.cell.map(i32::from),
            paper: match self.paper {
                PaperForm::Light => Paper::Light,
                PaperForm::Dark => Paper::Dark,
            },
            imprint: Imprint {
                production: self.production.clone(),
                revision: self.revision.clone(),
                date: self.date.clone(),
            },
        }
    }

    fn members(&self) -> Vec<MemberKind> {
        let of = |form: &KindForm| match form {
            KindForm::Pose | KindForm::Range | KindForm::Onion => vec![],
            KindForm::Model => vec![MemberKind::Model],
            KindForm::Turnaround => vec![MemberKind::Turnaround],
            KindForm::Expressions => vec![MemberKind::Expressions],
            KindForm::Charts => vec![MemberKind::Charts],
            KindForm::LineUp => vec![MemberKind::LineUp],
            KindForm::Colours => vec![MemberKind::Colours],
            KindForm::All => MemberKind::ALL.to_vec(),
        };
        let mut kinds: Vec<MemberKind> = self.kind.iter().flat_map(of).collect();
        kinds.sort_unstable();
        kinds.dedup();
        kinds
    }

    fn wanted(&self) -> Wanted {
        let all = [Kind::Pose, Kind::Range, Kind::Onion];
        let mut kinds: Vec<Kind> = Vec::new();
        for form in &self.kind {
            match form {
                KindForm::Pose => kinds.push(Kind::Pose),
                KindForm::Range => kinds.push(Kind::Range),
                KindForm::Onion => kinds.push(Kind::Onion),
                KindForm::All => kinds.extend(all),
                _ => {}
            }
        }
        let usual = Wanted::default();
        Wanted {
            kinds: if self.kind.is_empty() {
                usual.kinds
            } else {
                all.into_iter().filter(|k| kinds.contains(k)).collect()
            },
            window: if self.canvas {
                Window::Canvas
            } else {
                Window::Figures
            },
            join: self.join,
        }
    }
}

/// Runs it.
#[must_use]
pub fn run(typed: &SheetArgs, running: &RunningArgs) -> Exit {
    let console = Console::new(running);
    let out = &typed.output.out;
    let wanted = typed.wanted();
    let members = typed.members();
    let mut show = Show::read_for(
        (&members, !wanted.kinds.is_empty()),
        &typed.input,
        &typed.choice,
        typed.only.into(),
        running,
        wanted.window == Window::Figures,
    );
    let look = typed.look();
    let (plan, tried) = (&show.plan, &show.rehearsal);
    let cast = show.cast.as_deref().unwrap_or("Line-up");
    let planned = batch::plan_sheets(plan, tried, out, &look, &wanted).and_then(|mut sheets| {
        let (more, findings) = batch::plan_kinds(plan, &show.puppets, tried, cast, out, &look)?;
        sheets.extend(more);
        Ok((sheets, findings))
    });
    let sheets = match planned {
        Ok((sheets, findings)) => {
            show.look = !findings.is_empty();
            show.problems.extend(findings);
            sheets
        }
        Err(error) => {
            let problem = Problem::error(Place::Nowhere, error.to_string());
            show.refuse(problem.hint("give --page more height, or --cell less"));
            Vec::new()
        }
    };
    if sheets.is_empty() && !show.plan.sections.is_empty() {
        let problem = Problem::error(Place::Nowhere, "nothing is selected: no sheet of that kind");
        let hint = "pose sheets need poses, range sheets sweeps, onion sheets two of either";
        show.problems.push(problem.hint(hint));
        show.plan = Plan::default();
        show.rehearsal.clear();
    }
    let clash = show.clash(sheets.iter().map(|s| (s.name.as_str(), s.files.as_slice())));
    if !show.tell(&console) || clash || sheets.is_empty() {
        return show.end(&console, out, ("page", 0, 0), &[]);
    }
    let jobs = show.plan.jobs();
    let names: Vec<String> = jobs.iter().map(|job| job.name.clone()).collect();
    let mut failed: Vec<(String, Failure)> = Vec::new();
    for (name, tried) in names.iter().zip(&show.rehearsal) {
        if let Err(failure) = tried {
            failed.push((name.clone(), failure.clone()));
        }
    }
    // File, what it shows, how it went.
    let mut made: Vec<(PathBuf, String, Result<(), Failure>)> = Vec::new();
    if typed.png() {
        let mut reporter = Reporter::new(&console, &show.sources, &names);
        let results = batch::draw_sheets(&show.puppets, &sheets, &jobs, show.threads, |event| {
            reporter.hear(event)
        });
        let pages = sheets.iter().flat_map(|s| {
            s.files
                .iter()
                .map(move |file| (file.clone(), s.name.clone()))
        });
        made.extend(
            pages
                .zip(results)
                .map(|((file, name), result)| (file, name, result)),
        );
    }
    if typed.pdf() {
        let mut reporter = Reporter::new(&console, &show.sources, &names);
        let packs = batch::write_packs(&show.puppets, &sheets, &jobs, show.threads, |event| {
            reporter.hear(event)
        });
        for (file, result) in packs {
            let first = sheets.iter().find(|s| s.pack == file);
            let name = first.map_or(String::new(), |s| format!("{} sheets", s.pack_title));
            made.push((file, name, result));
        }
    }
    let total = made.len();
    let mut done = 0;
    for (file, name, result) in made {
        match result {
            Ok(()) => {
                done += 1;
                console.result(&file.display().to_string());
                console.object(|| json!({ "made": name, "files": [file.to_string_lossy()] }));
            }
            Err(failure) => {
                console.problem(&failure.problem(&name), &show.sources);
                failed.push((name, failure));
            }
        }
    }
    let sort = if typed.png() { "page" } else { "document" };
    show.end(&console, out, (sort, done, total), &failed)
}
