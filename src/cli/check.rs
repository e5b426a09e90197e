//! `layfig check`.

use clap::Args;
use serde_json::json;

use super::args::{ChoiceArgs, DetailArgs, InputArgs, OutputArgs, RunningArgs};
use super::console::Console;
use super::exit::Exit;
use super::ranges::{safe, span, worst};
use super::show::{Show, Sorts};
use super::terminal::count;
use super::watch::{self, Made, WatchArgs};
use crate::build::{self, Checked, Event, Only};
use crate::cast::Measure;
use crate::check::{Curve, Finding, Range};
use crate::diag::Severity;

/// Arguments of `layfig check`.
#[derive(Clone, Debug, Args)]
pub struct CheckArgs {
    #[command(flatten)]
    input: InputArgs,
    /// These views, or `all` [default: each member's first]
    #[arg(
        long,
        value_name = "NAME",
        value_delimiter = ',',
        help_heading = "Selection"
    )]
    view: Vec<String>,
    #[command(flatten)]
    output: OutputArgs,
    #[command(flatten)]
    watching: WatchArgs,
    #[command(flatten)]
    detail: DetailArgs,
}

/// Runs it.
#[must_use]
pub fn run(typed: &CheckArgs, running: &RunningArgs) -> Exit {
    let out = &typed.output.out;
    watch::run(typed.watching, &typed.input, running, out, |known| {
        once(typed, running, known)
    })
}

fn once(typed: &CheckArgs, running: &RunningArgs, known: &mut Made) -> Exit {
    let console = Console::new(running);
    let out = &typed.output.out;
    let choice = ChoiceArgs {
        pose: Vec::new(),
        view: typed.view.clone(),
        palette: None,
    };
    let sorts = Sorts {
        kinds: &[],
        lists: true,
        declared: None,
        views: true,
    };
    let mut show = Show::read_for(&sorts, &typed.input, &choice, Only::All, running);
    known.saw(&show.sources);
    show.rehearse(false);
    if !show.print_problems(&console) {
        return show.end(&console, out, ("check", 0, 0), &[]);
    }
    let plan = show.plan.clone();
    let mut wanted = Vec::new();
    for (model, view) in plan.models.iter().enumerate() {
        let name = view.name().to_string();
        let digest = watch::of_check(&plan, model, &show.sources);
        match known.checked(&name, &digest) {
            Some(checked) => tell(&console, &mut show, &checked, typed.detail),
            None => wanted.push((model, name, digest)),
        }
    }
    let models: Vec<usize> = wanted.iter().map(|(model, ..)| *model).collect();
    let names: Vec<String> = wanted.iter().map(|(_, name, _)| name.clone()).collect();
    let make = |show: &Show, watch: &mut dyn FnMut(Event)| {
        build::check_views(&plan, &models, &show.puppets, out, show.threads, watch)
    };
    show.make(
        &console,
        ("check", out),
        &names,
        make,
        |show, at, checked| {
            tell(&console, show, &checked, typed.detail);
            known.note_checked(wanted[at].2.clone(), &checked);
        },
    )
}

fn tell(console: &Console, show: &mut Show, checked: &Checked, detail: DetailArgs) {
    print_findings(console, show, checked, detail);
    let mut all = checked.findings.list.iter();
    show.look |= all.any(|finding| finding.severity == Severity::Error);
}

/// One view: its findings, then the safe ranges of joints that are worth a look.
fn print_findings(console: &Console, show: &Show, checked: &Checked, detail: DetailArgs) {
    let findings = &checked.findings;
    for (finding, picture) in findings.list.iter().zip(&checked.pictures) {
        let mut problem = finding.problem();
        problem.message = format!("{}: {}", checked.name, problem.message);
        if let Some(picture) = picture {
            let hint = problem.hint.take().unwrap_or_default();
            problem.hint = Some(format!("{hint}; see {}", picture.display()));
        }
        console.problem(&problem, &show.sources);
        console.object(|| {
            json!({ "finding": build::finding_json(finding, picture.as_deref()), "view": checked.name })
        });
    }
    let of = |severity| {
        let list = findings.list.iter();
        list.filter(|f| f.severity == severity).count()
    };
    let (errors, warnings) = (of(Severity::Error), of(Severity::Warning));
    let all = findings.ranges.len();
    let shown: Vec<&Range> = findings
        .ranges
        .iter()
        .filter(|range| detail.verbose || asks(range, &findings.list))
        .collect();
    let quiet = match all - shown.len() {
        0 => "",
        1 => "; 1 is safe to its limits (-v shows all)",
        quiet => &format!("; {quiet} are safe to their limits (-v shows all)"),
    };
    console.result(&format!(
        "{}: {}, {}, {}{quiet}",
        checked.name,
        count(all, "joint"),
        count(errors, "error"),
        count(warnings, "warning"),
    ));
    if !shown.is_empty() {
        console.table(&table(&shown));
    }
    console.object(|| {
        json!({
            "checked": checked.name,
            "joints": findings.ranges.len(),
            "errors": errors,
            "warnings": warnings,
            "files": checked.files.iter().map(|p| p.to_string_lossy()).collect::<Vec<_>>(),
        })
    });
}

/// True of a joint that is not safe to its limits, is beyond a warning limit somewhere, or is what a finding is about.
fn asks(range: &Range, found: &[Finding]) -> bool {
    let beyond = |(_, curve, limits): &(Measure, Curve, Option<[f64; 2]>)| {
        limits.is_some_and(|[warning, _]| curve.worst.value > warning)
    };
    let told = |finding: &Finding| finding.parts.first() == Some(&range.part);
    range.safe != Some(range.limits) || range.curves.iter().any(beyond) || found.iter().any(told)
}

/// The safe ranges, a row for each joint.
fn table(ranges: &[&Range]) -> Vec<Vec<String>> {
    let head = ["joint", "on", "limits", "safe", "worst jut", "worst gap"];
    let mut rows: Vec<Vec<String>> = vec![head.map(str::to_owned).to_vec()];
    for range in ranges {
        let mut row = vec![
            range.part.clone(),
            range.parent.clone(),
            span(range.limits),
            safe(range),
        ];
        row.extend(range.curves.iter().map(|(_, curve, _)| worst(curve.worst)));
        rows.push(row);
    }
    rows
}
