//! `layfig approve`.

use std::path::PathBuf;

use clap::Args;
use serde_json::json;

use super::args::{ChoiceArgs, InputArgs, RunningArgs};
use super::compare::{ComparingArgs, Ready};
use super::console::Console;
use super::exit::Exit;
use super::progress::Reporter;
use crate::build::{self, Failure, Filter, Job};
use crate::compare::OpenSet;
use crate::compare::{
    self, Comparison, Decision, Decisions, PoseComparison, Rejection, State, Verdict,
};
use crate::diag::{Place, Problem, Problems, quoted};

/// Arguments of `layfig approve`.
#[derive(Clone, Debug, Args)]
pub struct ApproveArgs {
    #[command(flatten)]
    input: InputArgs,
    #[command(flatten)]
    choice: ChoiceArgs,
    #[command(flatten)]
    comparing: ComparingArgs,
    #[command(flatten)]
    which: WhichArgs,
}

/// What to approve. With `--pose` alone: these poses.
#[derive(Clone, Debug, Args)]
#[command(next_help_heading = "Approval")]
pub struct WhichArgs {
    /// Approve everything that was drawn
    #[arg(long, conflicts_with_all = ["part", "cause", "decisions"])]
    all: bool,
    /// Approve poses in which no other part changed by itself
    #[arg(
        long,
        value_name = "NAME,...",
        value_delimiter = ',',
        conflicts_with = "decisions"
    )]
    part: Vec<String>,
    /// Approve poses that nothing else changed: causes as `layfig compare` names them, or their ends;
    /// * for anything
    #[arg(
        long,
        value_name = "CAUSE,...",
        value_delimiter = ',',
        conflicts_with = "decisions"
    )]
    cause: Vec<String>,
    /// Do what this file says, as the review page writes it
    #[arg(long, value_name = "FILE")]
    decisions: Option<PathBuf>,
    /// Also forget poses that are no longer in their lists, and remove files that no approved pose
    /// needs
    #[arg(long)]
    prune: bool,
}

/// What is to be done with one pose.
enum Act {
    /// Its new picture becomes the approved one.
    Approve,
    /// It leaves the set.
    Forget,
    /// The new picture is refused.
    Reject(Rejection),
}

/// Runs it.
#[must_use]
pub fn run(typed: &ApproveArgs, running: &RunningArgs) -> Exit {
    let console = Console::new(running);
    let mut ready = Ready::read(&typed.input, &typed.choice, &typed.comparing, None, running);
    let which = &typed.which;
    let said = which.all
        || which.prune
        || !which.part.is_empty()
        || !which.cause.is_empty()
        || which.decisions.is_some()
        || !typed.choice.pose.is_empty();
    if !said {
        let problem = Problem::error(Place::Nowhere, "what to approve is not said");
        let hint = "give --all, --pose, --part, --cause or --decisions; --prune alone only tidies";
        ready.show.refuse(problem.hint(hint));
    }
    let decisions = which.decisions.as_ref().and_then(|path| {
        let mut problems = Problems::default();
        let read = match std::fs::read_to_string(path) {
            Ok(text) => Decisions::read(path, &text, &mut ready.show.sources, &mut problems),
            Err(e) => {
                let message = format!("cannot read the decisions: {e}");
                problems.push(Problem::error(path.as_path(), message));
                None
            }
        };
        for problem in problems.list() {
            ready.show.refuse(problem.clone());
        }
        read
    });
    let place = ready.sets.values().next().map(|s| s.folder.clone());
    let place = place.unwrap_or_default();
    if !ready.show.print_problems(&console) {
        return ready.show.end(&console, &place, ("approval", 0, 0), &[]);
    }
    let (comparisons, mut failed, _) = ready.compare(&console);
    let mut stale = 0;
    let mut met = vec![false; which.part.len() + which.cause.len()];
    let mut decided: Vec<&Decision> = Vec::new();
    let mut approved = 0;
    let mut total = 0;
    for comparison in &comparisons {
        for remark in &comparison.remarks {
            console.remark(true, &format!("{}: {remark}", comparison.member));
        }
        let mut acts: Vec<(&PoseComparison, Act)> = Vec::new();
        for pose in &comparison.poses {
            if let Some(decisions) = &decisions {
                let decision = decisions.decisions.iter().find(|d| d.pose == pose.pose);
                if let Some(decision) = decision {
                    decided.push(decision);
                    match decide(pose, decision) {
                        Ok(act) => acts.extend(act.map(|act| (pose, act))),
                        Err(why) => {
                            stale += 1;
                            console.remark(true, &format!("stale decision  {}: {why}", pose.pose));
                        }
                    }
                }
                continue;
            }
            match chosen(comparison, pose, typed, &mut met) {
                Ok(act) => acts.extend(act.map(|act| (pose, act))),
                Err(why) => console.remark(false, &format!("left  {}: {why}", pose.pose)),
            }
        }
        total += acts.len();
        approved += promote(
            &ready,
            &console,
            comparison,
            &acts,
            which.prune,
            &mut failed,
        );
    }
    for decision in decisions.iter().flat_map(|d| &d.decisions) {
        if !decided.iter().any(|d| d.pose == decision.pose) {
            stale += 1;
            console.remark(
                true,
                &format!(
                    "stale decision  {}: no such pose is drawn here, or is approved",
                    decision.pose
                ),
            );
        }
    }
    let names = which.part.iter().map(|n| ("part", n));
    let names = names.chain(which.cause.iter().map(|n| ("cause", n)));
    for ((what, name), met) in names.zip(&met) {
        if !met {
            let verb = if what == "part" {
                "changed"
            } else {
                "changed a picture"
            };
            let message = format!("no {what} called {} {verb}", quoted(name));
            let problem = Problem::error(Place::Nowhere, message)
                .hint("layfig compare tells what changed, and why");
            console.problem(&problem, &ready.show.sources);
            ready.show.mistake(problem);
        }
    }
    ready.show.look = stale > 0;
    total = total.max(approved);
    ready
        .show
        .end(&console, &place, ("approval", approved, total), &failed)
}

/// What the flags say of a pose: what to do, nothing, or why it is left as it is although its part
/// or cause was named.
fn chosen(
    comparison: &Comparison,
    pose: &PoseComparison,
    typed: &ApproveArgs,
    met: &mut [bool],
) -> Result<Option<Act>, String> {
    let which = &typed.which;
    match pose.state {
        State::Missing => return Ok(None),
        State::Removed => return Ok(which.prune.then_some(Act::Forget)),
        _ => {}
    }
    if which.part.is_empty() && which.cause.is_empty() {
        let asked = which.all || !typed.choice.pose.is_empty();
        return Ok(asked.then_some(Act::Approve));
    }
    if pose.state != State::Differs {
        return Ok(None);
    }
    let mut other: Vec<&str> = Vec::new();
    let mut any = false;
    if !which.part.is_empty() {
        for part in pose.parts.iter().filter(|p| compare::is_own(p)) {
            let at = which
                .part
                .iter()
                .position(|n| Filter::new(n).matches(&part.part));
            match at {
                Some(at) => {
                    met[at] = true;
                    any = true;
                }
                None => other.push(&part.part),
            }
        }
    }
    if !which.cause.is_empty() {
        for one in &pose.causes {
            let subject = &comparison.causes[one.cause].subject;
            let at = which
                .cause
                .iter()
                .position(|n| n == subject || Filter::new(n).matches(subject));
            match at {
                Some(at) => {
                    met[which.part.len() + at] = true;
                    any = true;
                }
                None => other.push(subject),
            }
        }
    }
    match (any, other.is_empty()) {
        (true, true) => Ok(Some(Act::Approve)),
        (true, false) => Err(format!("{} changed it too", other.join(", "))),
        (false, _) => Ok(None),
    }
}

/// What a decision says of a pose, unless it was made of other pictures.
fn decide(pose: &PoseComparison, decision: &Decision) -> Result<Option<Act>, String> {
    if decision.picture != pose.picture {
        return Err("its new picture is another by now".to_owned());
    }
    // What was approved meanwhile is what the decision says already.
    if pose.state == State::Identical && decision.decision == Verdict::Approve {
        return Ok(None);
    }
    if decision.approved != pose.approved {
        return Err("its approved picture is another by now".to_owned());
    }
    match (decision.decision, &pose.picture) {
        (Verdict::Approve, Some(_)) => Ok(Some(Act::Approve)),
        (Verdict::Approve, None) if pose.state == State::Removed => Ok(Some(Act::Forget)),
        (Verdict::Approve, None) => Err("it cannot be drawn".to_owned()),
        (Verdict::Reject, Some(pixels)) => Ok(Some(Act::Reject(Rejection {
            pixels: pixels.clone(),
            note: decision.note.clone(),
        }))),
        (Verdict::Reject, None) => Ok(None),
    }
}

/// Does it, for one member: pictures first, the manifest last. Gives how many poses were approved.
fn promote(
    ready: &Ready,
    console: &Console,
    comparison: &Comparison,
    acts: &[(&PoseComparison, Act)],
    prune: bool,
    failed: &mut Vec<(String, Failure)>,
) -> usize {
    let Some(known) = ready.sets.get(&comparison.member) else {
        return 0;
    };
    if acts.is_empty() && !(prune && known.folder.is_dir()) {
        return 0;
    }
    let trouble = |failed: &mut Vec<(String, Failure)>, path: PathBuf, why: String| {
        failed.push((comparison.member.clone(), Failure::Write { path, why }));
    };
    let open = match OpenSet::lock(&known.folder) {
        Ok(open) => open,
        Err(e) => {
            trouble(failed, known.folder.clone(), e.to_string());
            return 0;
        }
    };
    if let Some(why) = &open.unlocked {
        let message = format!("this folder cannot be locked: {why}");
        let problem = Problem::warning(known.folder.as_path(), message)
            .hint("see that nobody else approves in it");
        console.problem(&problem, &ready.show.sources);
    }
    let wanted = |name: &str| {
        acts.iter()
            .any(|(p, act)| p.pose == name && matches!(act, Act::Approve))
    };
    let all = ready.show.plan.jobs();
    let jobs: Vec<Job<'_>> = all
        .into_iter()
        .filter(|j| wanted(&j.name.to_string()))
        .collect();
    let names: Vec<String> = jobs.iter().map(|j| j.name.to_string()).collect();
    let drawn = {
        let mut reporter = Reporter::new(console, &ready.show.sources, &names);
        let puppet = |at: usize| ready.show.puppets[at].clone();
        let round = ready.round(&jobs, &puppet);
        build::promote(&round, (&open, known), |event| reporter.hear(event))
    };
    let mut entries = Vec::new();
    for (name, result) in names.iter().zip(drawn) {
        match result {
            Ok(entry) => entries.push((name, entry)),
            Err(failure) => failed.push((name.clone(), failure)),
        }
    }
    let count = entries.len();
    let changed = open.change(|manifest| {
        for (_, (key, seen, rig)) in &entries {
            manifest.rigs.insert(seen.rig.clone(), rig.clone());
            manifest.poses.insert(key.clone(), seen.clone());
            manifest.rejected.remove(key);
        }
        for (pose, act) in acts {
            match act {
                Act::Approve => {}
                Act::Forget => {
                    manifest.poses.remove(&pose.key);
                    manifest.rejected.remove(&pose.key);
                }
                Act::Reject(rejection) => {
                    manifest
                        .rejected
                        .insert(pose.key.clone(), rejection.clone());
                }
            }
        }
    });
    let done = changed.and_then(|set| {
        if prune {
            for name in open.prune()? {
                console.remark(
                    false,
                    &format!("removed  {}", set.folder.join(name).display()),
                );
            }
        }
        Ok(())
    });
    if let Err(problem) = done {
        let path = match &problem.place {
            Place::File(path) => path.clone(),
            _ => known.folder.clone(),
        };
        trouble(failed, path, problem.message.clone());
        console.problem(&problem, &ready.show.sources);
        return 0;
    }
    for (name, _) in &entries {
        console.object(|| json!({ "approved": name }));
    }
    for (pose, act) in acts {
        match act {
            // Those that were the same anyway are no news.
            Act::Approve if pose.state == State::Identical => {}
            Act::Approve => console.result(&format!("approved  {}", pose.pose)),
            Act::Forget => {
                console.result(&format!("forgotten  {}", pose.pose));
                console.object(|| json!({ "forgotten": pose.pose }));
            }
            Act::Reject(rejection) => {
                let note = if rejection.note.is_empty() {
                    String::new()
                } else {
                    format!(": {}", crate::diag::clean(&rejection.note))
                };
                console.result(&format!("refused  {}{note}", pose.pose));
                console.object(|| json!({ "refused": pose.pose, "note": rejection.note }));
            }
        }
    }
    count
        + acts
            .iter()
            .filter(|(_, a)| !matches!(a, Act::Approve))
            .count()
}
