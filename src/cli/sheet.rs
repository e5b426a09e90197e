//! `layfig sheet`.

use std::path::PathBuf;
use std::sync::LazyLock;

use clap::builder::PossibleValue;
use clap::{Args, ValueEnum};
use serde_json::json;

use super::args::{ChoiceArgs, InputArgs, OutputArgs, RunningArgs};
use super::console::Console;
use super::exit::Exit;
use super::progress::Reporter;
use super::show::{Show, Sorts};
use super::watch::{self, Made, WatchArgs};
use crate::build::{self, Failure, Filter, Only, Pages, Plan, PlannedSheet, Purpose, Window};
use crate::cast::SheetKind;
use crate::diag::{Place, Problem};
use crate::sheet::{Page, PageSetup, Paper, Stock, Way};

/// Arguments of `layfig sheet`.
#[derive(Clone, Debug, Args)]
pub struct SheetArgs {
    #[command(flatten)]
    input: InputArgs,
    #[command(flatten)]
    choice: ChoiceArgs,
    /// Make sheets of poses, of sweeps or of both
    #[arg(long, value_name = "WHAT", value_enum, default_value_t = Only::All, help_heading = "Selection")]
    only: Only,
    #[command(flatten)]
    output: OutputArgs,
    /// Files to make: one PNG for each page, one PDF for each member, or both
    #[arg(long, value_name = "FORM", value_enum, default_value_t = FormatForm::Png, help_heading = "Output")]
    format: FormatForm,
    /// Kinds of sheets [default: pose range]
    #[arg(
        long,
        value_name = "KIND,...",
        value_enum,
        value_delimiter = ',',
        help_heading = "Selection"
    )]
    kind: Vec<KindForm>,
    /// Only these of the sheets that pose lists ask for with [sheet.NAME]: names as printed, or their
    /// ends; * for anything
    #[arg(long, value_name = "NAME,...", value_delimiter = ',', conflicts_with_all = ["kind", "join"], help_heading = "Selection")]
    sheet: Vec<String>,
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
    /// Which way paper is held [default: landscape]
    #[arg(long, value_name = "WAY", value_enum, help_heading = "Page")]
    orient: Option<Way>,
    /// Pixels to the inch of paper
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(72..=450), default_value_t = 200, help_heading = "Page")]
    dpi: u16,
    /// Margin around each page in millimetres of paper [default: what suits the page]
    #[arg(long, value_name = "MM", value_parser = margin, help_heading = "Page")]
    margin: Option<f64>,
    /// What the sheet is printed on [default: light]
    #[arg(long, value_name = "PAPER", value_enum, help_heading = "Page")]
    paper: Option<PaperForm>,
    /// Production, for the title block
    #[arg(long, value_name = "NAME", help_heading = "Title block")]
    production: Option<String>,
    /// Revision, for the title block
    #[arg(long, value_name = "TEXT", help_heading = "Title block")]
    revision: Option<String>,
    /// Date, for the title block; nothing is taken from the clock
    #[arg(long, value_name = "TEXT", help_heading = "Title block")]
    date: Option<String>,
    /// Crop cells to what the figures of the sheet, or of the sweep, cover together (the default)
    #[arg(long, help_heading = "Page")]
    crop: bool,
    /// Show the whole canvas in each cell
    #[arg(long, conflicts_with = "crop", help_heading = "Page")]
    canvas: bool,
    #[command(flatten)]
    watching: WatchArgs,
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

/// A kind of sheet, or all.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct KindForm(Option<SheetKind>);

impl ValueEnum for KindForm {
    fn value_variants<'a>() -> &'a [Self] {
        static FORMS: LazyLock<Vec<KindForm>> = LazyLock::new(|| {
            let kinds = SheetKind::ALL.into_iter().map(Some);
            kinds.chain([None]).map(KindForm).collect()
        });
        &FORMS
    }

    fn to_possible_value(&self) -> Option<PossibleValue> {
        Some(match self.0.map(SheetKind::spec) {
            Some(spec) => PossibleValue::new(spec.name).help(spec.about),
            None => PossibleValue::new("all").help("All of them"),
        })
    }
}

fn page(text: &str) -> Result<Stock, String> {
    text.parse()
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

    fn pages(&self) -> Pages {
        Pages {
            setup: PageSetup {
                stock: self.page,
                way: self.orient,
                paper: self.paper.map(|paper| match paper {
                    PaperForm::Light => Paper::Light,
                    PaperForm::Dark => Paper::Dark,
                }),
                margin: self.margin,
                columns: self.columns,
                cell: self.cell,
                production: self.production.clone(),
                revision: self.revision.clone(),
                date: self.date.clone(),
            },
            usual: if self.pdf() { Stock::A4 } else { Stock::Fit },
            dpi: f64::from(self.dpi),
            window: match (self.canvas, self.crop) {
                (true, _) => Some(Window::Canvas),
                (_, true) => Some(Window::Figures),
                _ => None,
            },
        }
    }

    /// The sheets of lists that are wanted, by name; empty for all.
    fn declared(&self) -> Option<Vec<Filter>> {
        let wanted = self.kind.is_empty() || self.kind.contains(&KindForm(None));
        (wanted && !self.join).then(|| self.sheet.iter().map(Filter::new).collect())
    }

    /// The kinds that are wanted: those that lists have, and others.
    fn kinds(&self) -> (Vec<SheetKind>, Vec<SheetKind>) {
        let wanted = |kind: &SheetKind| {
            let usual = self.kind.is_empty()
                && self.sheet.is_empty()
                && matches!(kind, SheetKind::Pose | SheetKind::Range);
            let mut named = self.kind.iter();
            usual || named.any(|form| form.0.is_none_or(|named| named == *kind))
        };
        let wanted = SheetKind::ALL.into_iter().filter(wanted);
        wanted.partition(|kind| kind.is_of_list())
    }
}

/// Runs it.
#[must_use]
pub fn run(typed: &SheetArgs, running: &RunningArgs) -> Exit {
    let out = &typed.output.out;
    watch::run(typed.watching, &typed.input, running, out, |known| {
        once(typed, running, known)
    })
}

fn once(typed: &SheetArgs, running: &RunningArgs, known: &mut Made) -> Exit {
    let console = Console::new(running);
    let out = &typed.output.out;
    let (of_lists, others) = typed.kinds();
    let sorts = Sorts {
        kinds: &others,
        lists: !of_lists.is_empty(),
        declared: typed.declared(),
        views: false,
    };
    let pages = typed.pages();
    let only = typed.only;
    let mut show = Show::read_for(&sorts, &typed.input, &typed.choice, only, running);
    known.saw(&show.sources);
    let rehearsal = show.rehearse(pages.window != Some(Window::Canvas));
    let plan = &show.plan;
    let mut groups = plan.sheets(&of_lists, typed.join);
    // What shows several views, or members, comes after the others; what lists ask for is last.
    groups.sort_by_cached_key(|group| {
        let first = &plan.sections[group.sections[0]];
        match first.purpose {
            Purpose::Sheet(SheetKind::Turnaround) => (1, first.name.member.clone()),
            Purpose::Sheet(SheetKind::LineUp) => (2, String::new()),
            Purpose::Declared => (3, String::new()),
            _ => (0, String::new()),
        }
    });
    let cast = show.cast.as_deref().unwrap_or("Line-up");
    let plan = (plan, &groups[..]);
    let laid = build::lay_out_sheets(plan, &show.puppets, &rehearsal, cast, out, &pages);
    let mut refused: Vec<(String, Failure)> = Vec::new();
    let sheets = match laid {
        Ok(laid) => {
            show.look = !laid.findings.is_empty();
            show.problems.extend(laid.findings);
            for (name, problem) in laid.refused {
                show.mistake(problem.clone());
                refused.push((name, Failure::Input(problem)));
            }
            laid.sheets
        }
        Err(error) => {
            let problem = Problem::error(Place::Nowhere, error.to_string());
            show.refuse(problem.hint("give --page more height, or --cell less"));
            Vec::new()
        }
    };
    if sheets.is_empty() && refused.is_empty() && !show.plan.models.is_empty() {
        let problem = Problem::error(Place::Nowhere, "nothing is selected: no sheet of that kind");
        let kinds = others.iter().chain(of_lists.first());
        let needs: Vec<&str> = kinds.map(|kind| kind.spec().needs).collect();
        show.problems.push(problem.hint(needs.join("; ")));
        show.plan = Plan::default();
    }
    // Of several kinds one may be made of nobody.
    if !sheets.is_empty() && !typed.kind.contains(&KindForm(None)) {
        for kind in others {
            let sections = &show.plan.sections;
            if sections
                .iter()
                .all(|section| section.purpose != Purpose::Sheet(kind))
            {
                let message = format!("no sheet of the kind {}", kind.name());
                let problem = Problem::warning(Place::Nowhere, message);
                show.problems.push(problem.hint(kind.spec().needs));
            }
        }
    }
    let files = sheets.iter().map(|s| (s.name.clone(), s.files.clone()));
    let clash = show.clash(&files.collect::<Vec<_>>());
    if !show.print_problems(&console) || clash || sheets.is_empty() {
        return show.end(&console, out, ("page", 0, 0), &refused);
    }
    let jobs = show.plan.jobs();
    let names: Vec<String> = jobs.iter().map(|job| job.name.to_string()).collect();
    let drawn = |sheets: &[PlannedSheet]| -> Vec<usize> {
        let pages = sheets.iter().flat_map(|sheet| &sheet.document.pages);
        pages.flat_map(Page::figures).map(|f| f.figure).collect()
    };
    let mut failed = refused;
    for (name, tried) in names.iter().zip(&rehearsal) {
        if let Err(failure) = tried {
            failed.push((name.clone(), failure.clone()));
        }
    }
    // File, what it shows, how it went.
    let mut made: Vec<(PathBuf, String, Result<(), Failure>)> = Vec::new();
    if typed.png() {
        let sheets = known.pages(&show.plan, &jobs, sheets.clone());
        let drawn = drawn(&sheets);
        let mut reporter = Reporter::of(&console, Some(&show.sources), &names, &drawn, None);
        let results = build::draw_sheets(&show.puppets, &sheets, &jobs, show.threads, |event| {
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
        let sheets = known.packs(&show.plan, &jobs, sheets);
        let drawn = drawn(&sheets);
        let mut reporter = Reporter::of(&console, Some(&show.sources), &names, &drawn, None);
        let packs = build::write_packs(&show.puppets, &sheets, &jobs, show.threads, |event| {
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
                known.note(std::slice::from_ref(&file));
                console.text(&file.display().to_string());
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
