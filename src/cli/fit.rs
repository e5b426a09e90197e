//! `layfig fit`.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use clap::Args;
use rayon::prelude::*;
use serde_json::json;

use super::args::{InputArgs, OutputArgs, RunningArgs};
use super::console::Console;
use super::exit::Exit;
use super::ranges::{safe, span, tenths, worst};
use super::show::Members;
use super::terminal::count;
use crate::build::{on_threads, range_json};
use crate::check::Range;
use crate::diag::{Place, Problem, quoted};
use crate::draw::Scratch;
use crate::draw::{Effort, png};
use crate::files::{file_name, write_whole};
use crate::fit::{NotFitted, Proposal, Worst, picture, proposals, with_pivot};
use crate::solve::Puppet;

/// Arguments of `layfig fit`.
#[derive(Clone, Debug, Args)]
pub struct FitArgs {
    /// A member's folder, its rig.toml, or a cast file for all its members
    rig: PathBuf,
    /// Only the joints of these parts
    #[arg(
        long,
        value_name = "NAME,...",
        value_delimiter = ',',
        help_heading = "Selection"
    )]
    part: Vec<String>,
    /// These views, or `all` [default: each member's first]
    #[arg(
        long,
        value_name = "NAME,...",
        value_delimiter = ',',
        help_heading = "Selection"
    )]
    view: Vec<String>,
    /// Joints without a seam too, where the child turns behind its parent and its pivot is near what both share
    #[arg(long, help_heading = "Selection")]
    hard: bool,
    #[command(flatten)]
    output: OutputArgs,
    /// Write the better pivots into the rigs; nothing else in the files changes
    #[arg(long)]
    write: bool,
}

/// A kink below this is not told, degrees.
const SMOOTH: f64 = 3.0;

/// What was found for one view.
struct Found {
    subject: usize,
    name: String,
    puppet: Puppet,
    proposals: Vec<Result<Proposal, NotFitted>>,
}

/// Runs it.
#[must_use]
pub fn run(typed: &FitArgs, running: &RunningArgs) -> Exit {
    let console = Console::new(running);
    let input = InputArgs {
        rig: typed.rig.clone(),
        more: Vec::new(),
    };
    let mut members = Members::read(&input);
    let views = members.puppets(&typed.view);
    for name in &typed.part {
        let known = |p: &Puppet| p.member().names.contains(name);
        if members.problems.is_ok() && !views.iter().any(|(_, _, p)| known(p)) {
            let message = format!("no member has a part {}", quoted(name));
            members
                .problems
                .push(Problem::error(Place::Nowhere, message));
        }
    }
    for problem in members.problems.list() {
        console.problem(problem, &members.sources);
    }
    let wanted = |name: &str| typed.part.is_empty() || typed.part.iter().any(|p| p == name);
    let found: Vec<Found> = on_threads(running.threads(), || {
        let views = views.into_par_iter();
        views
            .map(|(subject, name, puppet)| Found {
                proposals: proposals(&puppet, wanted, typed.hard),
                subject,
                name,
                puppet,
            })
            .collect()
    });
    let (mut failed, mut refused) = (false, false);
    let mut scratch = Scratch::default();
    let mut edits: BTreeMap<PathBuf, Vec<(&Found, &Proposal)>> = BTreeMap::new();
    let mut total = 0;
    for view in &found {
        let library = &members.subjects[view.subject].library;
        for proposal in &view.proposals {
            let proposal = match proposal {
                Ok(proposal) => proposal,
                Err(why) => {
                    refused = true;
                    console.problem(&refusal(&view.name, why), &members.sources);
                    continue;
                }
            };
            total += 1;
            let name = format!("{} {}", view.name, proposal.name);
            let mut file = typed.output.out.join(&view.name);
            file.push("fit");
            let called = proposal.seam.as_ref().unwrap_or(&proposal.name);
            file.push(format!("{}.png", file_name(called)));
            let title = match &proposal.seam {
                Some(seam) => format!("{name}, seam {seam}"),
                None => format!("{name}, no seam"),
            };
            let drawn = picture(&view.puppet, library, proposal, &title, &mut scratch)
                .and_then(|page| save(&page, &file));
            if let Err(problem) = drawn {
                failed = true;
                console.problem(&problem, &members.sources);
            }
            print_proposal(&console, &name, proposal, &file);
            if proposal.is_better() {
                let part = &view.puppet.member().views[view.puppet.view()].parts;
                let source = part[proposal.part.at()].span.source;
                if let Some(rig) = members.sources.get(source) {
                    let edits = edits.entry(rig.path.clone()).or_default();
                    edits.push((view, proposal));
                }
            }
        }
    }
    let better: usize = edits.values().map(Vec::len).sum();
    if typed.write {
        for (rig, edits) in &edits {
            match edit(rig, edits) {
                Ok(problems) => {
                    refused |= !problems.is_empty();
                    for problem in &problems {
                        console.problem(problem, &members.sources);
                    }
                    if problems.len() < edits.len() {
                        console.result(&format!("wrote {}", rig.display()));
                    }
                }
                Err(problem) => {
                    failed = true;
                    console.problem(&problem, &members.sources);
                }
            }
        }
    }
    if total > 0 {
        let unwritten = if typed.write || better == 0 {
            ""
        } else {
            "; --write puts them into the rigs"
        };
        console.result(&format!(
            "{better} of {} {} a better pivot{unwritten}",
            count(total, "joint"),
            if better == 1 || total == 1 {
                "has"
            } else {
                "have"
            },
        ));
    } else if members.problems.is_ok() && !refused {
        let problem = Problem::error(Place::Nowhere, "nothing is selected: no seam turns")
            .hint("a seam turns when its child has limits");
        console.problem(&problem, &members.sources);
    }
    console.object(|| json!({ "summary": { "joints": total, "better": better } }));
    Exit::of(!members.problems.is_ok() || refused, failed, total == 0)
}

fn save(page: &tiny_skia::Pixmap, file: &Path) -> Result<(), Problem> {
    let failed = |why: String| {
        let message = format!("cannot write the picture: {why}");
        Problem::error(Place::File(file.to_path_buf()), message)
    };
    let bytes = png(page.as_ref(), true, Effort::Small).map_err(|e| failed(e.to_string()))?;
    write_whole(file, &bytes).map_err(|e| failed(e.to_string()))
}

/// Puts the pivots of one file into it; those that cannot be put there come back as problems.
fn edit(rig: &Path, edits: &[(&Found, &Proposal)]) -> Result<Vec<Problem>, Problem> {
    let failed = |why: String| {
        let message = format!("the pivots were not written: {why}");
        Problem::error(Place::File(rig.to_path_buf()), message)
    };
    let old = std::fs::read_to_string(rig).map_err(|e| failed(e.to_string()))?;
    let mut text = old.clone();
    let mut refused = Vec::new();
    for (view, proposal) in edits {
        let fitted = &proposal.fitted;
        let member = view.puppet.member();
        let of = &member.views[view.puppet.view()];
        let turned = proposal.turned(of);
        let new = turned.iter().rev().try_fold(text.clone(), |text, id| {
            let name = &member.names[of.parts[id.at()].name.at()];
            with_pivot(&text, name, fitted.now, fitted.best)
        });
        match new {
            Ok(new) => text = new,
            Err(why) => {
                let [x, y] = fitted.best;
                let span = of.parts[proposal.part.at()].span;
                let problem = Problem::error(span, format!("not written: {why}"));
                refused.push(problem.hint(format!("the better one would be pivot = [{x}, {y}]")));
            }
        }
    }
    if text != old {
        write_whole(rig, text.as_bytes()).map_err(|e| failed(e.to_string()))?;
    }
    Ok(refused)
}

/// A joint that is not fitted, as a problem.
fn refusal(view: &str, why: &NotFitted) -> Problem {
    let NotFitted::Far { part, span, .. } = why;
    Problem::error(*span, format!("{view}: {why}")).hint(format!(
        "leave it, or move the pivot of {part} by hand to where the two overlap; without --hard it is passed over"
    ))
}

fn print_proposal(console: &Console, name: &str, proposal: &Proposal, file: &Path) {
    let fitted = &proposal.fitted;
    let better = proposal.is_better();
    let pivot = |[x, y]: [f64; 2]| format!("[{x}, {y}]");
    let line = |label: &str, [now, best]: [String; 2]| {
        let told = if better {
            format!("{now} -> {best}")
        } else {
            now
        };
        console.result(&format!("  {label:<6} {told}"));
    };
    console.result(&format!("{name}, limits {}", span(proposal.limits)));
    let [now, best] = proposal.costs();
    let away = libm::hypot(
        fitted.best[0] - fitted.now[0],
        fitted.best[1] - fitted.now[1],
    );
    let judged = if better && now.is_finite() {
        let saved = 100.0 * (1.0 - best / now);
        format!(
            "{}, {away:.2} units away, {saved:.0} % better",
            pivot(fitted.best)
        )
    } else if better {
        format!("{}, {away:.2} units away", pivot(fitted.best))
    } else {
        String::new()
    };
    if better {
        line("pivot", [pivot(fitted.now), judged]);
    } else {
        line(
            "pivot",
            [format!("{} is as good as any", pivot(fitted.now)), judged],
        );
    }
    let ranges = [&proposal.told[0], &proposal.told[1]].map(|t| t.as_ref().map(|t| &t.range));
    for (nth, label) in ["jut", "gap"].into_iter().enumerate() {
        let curve = |range: Option<&Range>| {
            range.map_or_else(nothing, |range| worst(range.curves[nth].1.worst))
        };
        line(label, ranges.map(curve));
    }
    if proposal.kinks {
        let kink = |w: &Worst| match w.kink {
            ..SMOOTH => "-".to_owned(),
            kink => format!("{kink:.0} degrees at {}", tenths(w.kink_at)),
        };
        line("kink", [kink(&fitted.before), kink(&fitted.after)]);
    }
    line("safe", ranges.map(|range| range.map_or_else(nothing, safe)));
    if let Some(best) = proposal.zone_best {
        let now = proposal.zone_now;
        let now = now.map_or("drawn".to_owned(), |r| format!("{r:.1}"));
        console.result(&format!("  zone   {now} -> {best:.1}"));
    }
    console.result(&format!("  {}", file.display()));
    console.object(|| {
        let kink = |w: &Worst| json!({ "degrees": w.kink, "turn": w.kink_at });
        let kinks = proposal.kinks;
        json!({ "fit": {
            "name": name,
            "part": proposal.name,
            "seam": proposal.seam,
            "pivot": { "now": fitted.now, "best": fitted.best, "better": better },
            "now": ranges[0].map(range_json),
            "best": ranges[1].map(range_json),
            "kink": kinks.then(|| json!({ "now": kink(&fitted.before), "best": kink(&fitted.after) })),
            "zone": { "now": proposal.zone_now, "best": proposal.zone_best },
            "file": file.to_string_lossy(),
        }})
    });
}

/// Of a joint where a check measures nothing.
fn nothing() -> String {
    "not measured: the pivot is outside both parts".to_owned()
}
