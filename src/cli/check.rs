//! `layfig check`.

use clap::Args;
use serde_json::json;

use super::args::{ChoiceArgs, InputArgs, OutputArgs, RunningArgs};
use super::console::Console;
use super::exit::Exit;
use super::ranges::{safe, span, worst};
use super::show::{Show, Sorts};
use super::watch::{self, WatchArgs};
use crate::build::{self, Checked, Event, Only};
use crate::check::Range;
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
}

/// Runs it.
#[must_use]
pub fn run(typed: &CheckArgs, running: &RunningArgs) -> Exit {
    let out = &typed.output.out;
    watch::run(typed.watching, &typed.input, running, out, |_| {
        once(typed, running)
    })
}

fn once(typed: &CheckArgs, running: &RunningArgs) -> Exit {
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
    show.rehearse(false);
    if !show.print_problems(&console) {
        return show.end(&console, out, ("check", 0, 0), &[]);
    }
    let models = show.plan.models.iter();
    let names: Vec<String> = models.map(|model| model.name().to_string()).collect();
    let make = |show: &Show, watch: &mut dyn FnMut(Event)| {
        build::check_views(&show.plan, &show.puppets, out, show.threads, watch)
    };
    show.make(
        &console,
        ("check", out),
        &names,
        make,
        |show, _, checked| {
            print_findings(&console, show, &checked);
            let mut all = checked.findings.list.iter();
            show.look |= all.any(|f| f.severity == Severity::Error);
        },
    )
}

/// One view: its findings, then the safe ranges of its joints.
fn print_findings(console: &Console, show: &Show, checked: &Checked) {
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
    console.result(&checked.name);
    for line in table(&findings.ranges) {
        console.result(&format!("  {line}"));
    }
    let of = |severity| {
        let list = findings.list.iter();
        list.filter(|f| f.severity == severity).count()
    };
    let (errors, warnings) = (of(Severity::Error), of(Severity::Warning));
    console.result(&format!(
        "  {} joints, {errors} errors, {warnings} warnings",
        findings.ranges.len()
    ));
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

/// The safe ranges, a line for each joint.
fn table(ranges: &[Range]) -> Vec<String> {
    let mut rows: Vec<Vec<String>> = vec![
        ["joint", "on", "limits", "safe", "worst jut", "worst gap"]
            .map(str::to_owned)
            .to_vec(),
    ];
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
    if rows.len() == 1 {
        return Vec::new();
    }
    let wide = |k: usize| {
        let cells = rows.iter().filter_map(|r| r.get(k));
        cells.map(|c| c.chars().count()).max().unwrap_or(0)
    };
    let widths: Vec<usize> = (0..rows[0].len()).map(wide).collect();
    rows.iter()
        .map(|row| {
            let cells: Vec<String> = row
                .iter()
                .zip(&widths)
                .map(|(cell, &w)| format!("{cell:<w$}"))
                .collect();
            cells.join("  ").trim_end().to_owned()
        })
        .collect()
}
