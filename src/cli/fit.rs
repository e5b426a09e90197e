//! `layfig fit`.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use clap::Args;
use rayon::prelude::*;
use serde_json::json;

use super::args::{InputArgs, OutputArgs, RunningArgs};
use super::console::Console;
use super::exit::Exit;
use super::show::Members;
use crate::batch::{Effort, file_name, png, with_threads, write_whole};
use crate::diag::{Place, Problem, Sources, quoted};
use crate::draw::Scratch;
use crate::fit::{Proposal, picture, proposals, with_pivot};
use crate::solve::Puppet;

/// Arguments of `layfig fit`.
#[derive(Clone, Debug, Args)]
pub struct FitArgs {
    /// A member's folder, its rig.toml, or a cast file for all its members
    rig: PathBuf,
    /// Only the joints of these parts
    #[arg(long, value_name = "NAME", num_args = 1.., help_heading = "Selection")]
    part: Vec<String>,
    /// These views, or `all` [default: each member's first]
    #[arg(long, value_name = "NAME", num_args = 1.., help_heading = "Selection")]
    view: Vec<String>,
    /// Joints without a seam too, where the child turns behind its parent
    #[arg(long, help_heading = "Selection")]
    hard: bool,
    #[command(flatten)]
    output: OutputArgs,
    /// Write the better pivots into the rigs; nothing else in the files changes
    #[arg(long)]
    write: bool,
}

/// What was found for one view.
struct Found {
    subject: usize,
    name: String,
    puppet: Puppet,
    proposals: Vec<Proposal>,
}

/// Runs it.
#[must_use]
pub fn run(typed: &FitArgs, running: &RunningArgs) -> Exit {
    let console = Console::new(running);
    let input = InputArgs {
        rig: typed.rig.clone(),
        poses: Vec::new(),
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
    let threads = running.threads.map_or(0, usize::from);
    let wanted = |name: &str| typed.part.is_empty() || typed.part.iter().any(|p| p == name);
    let found: Vec<Found> = with_threads(
        threads,
        |_: &(dyn Fn(()) + Sync)| {
            views
                .into_par_iter()
                .map(|(subject, name, puppet)| Found {
                    proposals: proposals(&puppet, wanted, typed.hard),
                    subject,
                    name,
                    puppet,
                })
                .collect()
        },
        |()| (),
    );
    let mut failed = false;
    let mut scratch = Scratch::default();
    let mut edits: BTreeMap<PathBuf, Vec<(&Found, &Proposal)>> = BTreeMap::new();
    let mut total = 0;
    for view in &found {
        let library = &members.subjects[view.subject].library;
        for proposal in &view.proposals {
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
            tell(&console, &name, proposal, &file);
            if proposal.fitted.is_better() {
                let part = &view.puppet.member().views[view.puppet.view()].parts;
                let source = part[proposal.part.at()].span.source;
                let rig = members.sources.get(source).path.clone();
                edits.entry(rig).or_default().push((view, proposal));
            }
        }
    }
    let better: usize = edits.values().map(Vec::len).sum();
    if typed.write {
        for (rig, edits) in &edits {
            if let Err(problem) = edit(rig, edits) {
                failed = true;
                console.problem(&problem, &Sources::default());
            } else {
                console.result(&format!("wrote {}", rig.display()));
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
            "{better} of {total} joints have a better pivot{unwritten}"
        ));
    } else if members.problems.is_ok() {
        let problem = Problem::error(Place::Nowhere, "nothing is selected: no seam turns")
            .hint("a seam turns when its child has limits");
        console.problem(&problem, &members.sources);
    }
    console.object(|| json!({ "summary": { "joints": total, "better": better } }));
    Exit::of(!members.problems.is_ok(), failed, total == 0)
}

fn save(page: &tiny_skia::Pixmap, file: &Path) -> Result<(), Problem> {
    let failed = |why: String| {
        let message = format!("cannot write the picture: {why}");
        Problem::error(Place::File(file.to_path_buf()), message)
    };
    let bytes = png(page.as_ref(), true, Effort::Small).map_err(|e| failed(e.to_string()))?;
    write_whole(file, &bytes).map_err(|e| failed(e.to_string()))
}

/// Puts the pivots of one file into it.
fn edit(rig: &Path, edits: &[(&Found, &Proposal)]) -> Result<(), Problem> {
    let failed = |why: String| {
        let message = format!("the pivots were not written: {why}");
        Problem::error(Place::File(rig.to_path_buf()), message)
    };
    let mut text = std::fs::read_to_string(rig).map_err(|e| failed(e.to_string()))?;
    for (view, proposal) in edits {
        let fitted = &proposal.fitted;
        text = with_pivot(&text, &proposal.name, fitted.now, fitted.best)
            .map_err(|e| failed(e.to_string()))?;
        // A joint without art in between turns about the same point as the part that shows.
        let member = view.puppet.member();
        let parts = &member.views[view.puppet.view()].parts;
        let mut at = Some(proposal.joined[1]);
        while let Some(id) = at.filter(|&id| id != proposal.part) {
            let part = &parts[id.at()];
            let name = &member.names[part.name.at()];
            text = with_pivot(&text, name, fitted.now, fitted.best)
                .map_err(|e| failed(e.to_string()))?;
            at = part.parent;
        }
    }
    write_whole(rig, text.as_bytes()).map_err(|e| failed(e.to_string()))
}

fn tell(console: &Console, name: &str, proposal: &Proposal, file: &Path) {
    let fitted = &proposal.fitted;
    let [least, most] = proposal.limits;
    let range = |range: Option<[f64; 2]>| match range {
        Some([a, b]) => format!("{a:.0} to {b:.0}"),
        None => "not even at rest".to_owned(),
    };
    let pivot = |[x, y]: [f64; 2]| format!("[{x}, {y}]");
    let (before, after) = (&fitted.before, &fitted.after);
    let away = libm::hypot(
        fitted.best[0] - fitted.now[0],
        fitted.best[1] - fitted.now[1],
    );
    console.result(&format!("{name}, {least} to {most} degrees"));
    if fitted.is_better() {
        let saved = 100.0 * (1.0 - after.cost() / before.cost());
        console.result(&format!(
            "  pivot      {} -> {}, {away:.2} units away, {saved:.0} % better",
            pivot(fitted.now),
            pivot(fitted.best)
        ));
        console.result(&format!(
            "  comes out  {:.2} at {:.1} -> {:.2} at {:.1}",
            before.jut, before.jut_at, after.jut, after.jut_at
        ));
        console.result(&format!(
            "  opens      {:.2} at {:.1} -> {:.2} at {:.1}",
            before.gap, before.gap_at, after.gap, after.gap_at
        ));
        console.result(&format!(
            "  holds      {} -> {}",
            range(fitted.holds_now),
            range(fitted.holds_best)
        ));
    } else {
        console.result(&format!(
            "  pivot      {} is as good as any: comes out {:.2} at {:.1}, opens {:.2} at {:.1}",
            pivot(fitted.now),
            before.jut,
            before.jut_at,
            before.gap,
            before.gap_at
        ));
        console.result(&format!("  holds      {}", range(fitted.holds_now)));
    }
    if let Some(best) = proposal.zone_best {
        let now = proposal.zone_now;
        let now = now.map_or("drawn".to_owned(), |r| format!("{r:.1}"));
        console.result(&format!("  zone       {now} -> {best:.1}"));
    }
    console.result(&format!("  {}", file.display()));
    console.object(|| {
        let worst = |w: &crate::fit::Worst| {
            json!({ "jut": w.jut, "jut_at": w.jut_at, "gap": w.gap, "gap_at": w.gap_at })
        };
        json!({ "fit": {
            "name": name,
            "part": proposal.name,
            "seam": proposal.seam,
            "limits": proposal.limits,
            "width": fitted.width,
            "pivot": { "now": fitted.now, "best": fitted.best, "better": fitted.is_better() },
            "now": worst(before),
            "best": worst(after),
            "holds": { "now": fitted.holds_now, "best": fitted.holds_best },
            "zone": { "now": proposal.zone_now, "best": proposal.zone_best },
            "file": file.to_string_lossy(),
        }})
    });
}
