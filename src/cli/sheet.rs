//! `layfig sheet`.

use std::path::PathBuf;

use clap::{Args, ValueEnum};
use serde_json::json;

use super::args::{ChoiceArgs, InputArgs, OnlyForm, OutputArgs, RunningArgs};
use super::console::Console;
use super::exit::Exit;
use super::reporter::Reporter;
use super::show::{Looks, Show, Sorts};
use crate::batch::{
    self, Failure, Filter, Kind, Laid, MemberKind, Pages, Plan, Purpose, Wanted, Window,
};
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
    /// Only these of the sheets that pose lists ask for with [sheet.NAME]: names as printed, or their
    /// ends; * for anything
    #[arg(long, value_name = "NAME", num_args = 1.., conflicts_with_all = ["kind", "join"], help_heading = "Selection")]
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
    orient: Option<WayForm>,
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
                way: self.orient.map(|way| match way {
                    WayForm::Landscape => Way::Landscape,
                    WayForm::Portrait => Way::Portrait,
                }),
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
        let wanted = self.kind.is_empty() || self.kind.contains(&KindForm::All);
        (wanted && !self.join).then(|| self.sheet.iter().map(Filter::new).collect())
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
            kinds: if !self.sheet.is_empty() {
                Vec::new()
            } else if self.kind.is_empty() {
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
    let sorts = Sorts {
        kinds: &members,
        lists: !wanted.kinds.is_empty(),
        declared: typed.declared(),
        views: false,
    };
    let looks = match wanted.window {
        Window::Figures => Looks::Bounds,
        _ => Looks::Nowhere,
    };
    let only = typed.only.into();
    let mut show = Show::read_for(&sorts, &typed.input, &typed.choice, only, running, looks);
    let pages = typed.pages();
    let look = pages.look(None);
    let (plan, tried) = (&show.plan, &show.rehearsal);
    let cast = show.cast.as_deref().unwrap_or("Line-up");
    let planned = batch::plan_sheets(plan, tried, out, &look, &wanted).and_then(|mut sheets| {
        let (more, findings) = batch::plan_kinds(plan, &show.puppets, tried, cast, out, &look)?;
        sheets.extend(more);
        Ok((sheets, findings))
    });
    let declared = batch::plan_declared(plan, &show.puppets, tried, out, &pages);
    let mut refused: Vec<(String, Failure)> = Vec::new();
    let sheets = match planned {
        Ok((mut sheets, findings)) => {
            let Laid {
                sheets: more,
                findings: of_more,
                refused: small,
            } = declared;
            sheets.extend(more);
            show.look = !findings.is_empty() || !of_more.is_empty();
            show.problems.extend(findings.into_iter().chain(of_more));
            for (name, problem) in small {
                show.mistake(problem.clone());
                refused.push((name, Failure::Input(problem)));
            }
            sheets
        }
        Err(error) => {
            let problem = Problem::error(Place::Nowhere, error.to_string());
            show.refuse(problem.hint("give --page more height, or --cell less"));
            Vec::new()
        }
    };
    if sheets.is_empty() && refused.is_empty() && !show.plan.models.is_empty() {
        let problem = Problem::error(Place::Nowhere, "nothing is selected: no sheet of that kind");
        let mut needs: Vec<&str> = members.iter().map(|kind| kind.needs()).collect();
        if !wanted.kinds.is_empty() {
            needs.push("pose sheets need poses, range sheets sweeps, onion sheets two of either");
        }
        show.problems.push(problem.hint(needs.join("; ")));
        show.plan = Plan::default();
        show.rehearsal.clear();
    }
    // Of several kinds one may be made of nobody.
    if !sheets.is_empty() && !typed.kind.contains(&KindForm::All) {
        let made = |kind: MemberKind| {
            let mut sections = show.plan.sections.iter();
            sections.any(|section| section.purpose == Purpose::Sheet(kind))
        };
        let lacking: Vec<MemberKind> = members.iter().copied().filter(|k| !made(*k)).collect();
        for kind in lacking {
            let message = format!("no sheet of the kind {}", kind.name());
            let problem = Problem::warning(Place::Nowhere, message);
            show.problems.push(problem.hint(kind.needs()));
        }
    }
    let clash = show.clash(sheets.iter().map(|s| (s.name.as_str(), s.files.as_slice())));
    if !show.print_problems(&console) || clash || sheets.is_empty() {
        return show.end(&console, out, ("page", 0, 0), &refused);
    }
    let jobs = show.plan.jobs();
    let names: Vec<String> = jobs.iter().map(|job| job.name.to_string()).collect();
    let pages = sheets.iter().flat_map(|sheet| &sheet.document.pages);
    let drawn: Vec<usize> = pages.flat_map(Page::figures).map(|f| f.figure).collect();
    let mut failed = refused;
    for (name, tried) in names.iter().zip(&show.rehearsal) {
        if let Err(failure) = tried {
            failed.push((name.clone(), failure.clone()));
        }
    }
    // File, what it shows, how it went.
    let mut made: Vec<(PathBuf, String, Result<(), Failure>)> = Vec::new();
    if typed.png() {
        let mut reporter = Reporter::of(&console, &show.sources, &names, &drawn);
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
        let mut reporter = Reporter::of(&console, &show.sources, &names, &drawn);
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
