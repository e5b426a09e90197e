//! `layfig compare`.

use std::path::{Path, PathBuf};

use clap::Args;
use serde_json::json;

use super::args::{self, ChoiceArgs, DetailArgs, InputArgs, OutputArgs, RunningArgs};
use super::console::Console;
use super::exit::Exit;
use super::progress::Reporter;
use super::render::GrowArgs;
use super::review;
use super::show::Show;
use super::terminal::count;
use crate::build::{self, CompareStyle, Compared, Failure, Job, Only, Round, Sets};
use crate::cast::Member;
use crate::compare::ApprovedSet;
use crate::compare::{Comparison, PoseComparison, State, is_own};
use crate::diag::{Place, Problem};
use crate::solve::Puppet;

/// Arguments of `layfig compare`.
#[derive(Clone, Debug, Args)]
pub struct CompareArgs {
    #[command(flatten)]
    pub(super) input: InputArgs,
    #[command(flatten)]
    pub(super) choice: ChoiceArgs,
    #[command(flatten)]
    pub(super) comparing: ComparingArgs,
    #[command(flatten)]
    output: OutputArgs,
    /// Make the review page of what was compared as well, in `review` in that folder
    #[arg(long, help_heading = "Output")]
    review: bool,
    #[command(flatten)]
    detail: DetailArgs,
}

/// With what, and how large.
#[derive(Clone, Debug, Args)]
pub struct ComparingArgs {
    /// Take poses, sweeps or both
    #[arg(long, value_name = "WHAT", value_enum, default_value_t = Only::Poses, help_heading = "Selection")]
    pub only: Only,
    /// Folder of approved sets, one folder in it for each member [default: `approved` beside each
    /// rig]
    #[arg(long, value_name = "DIR", help_heading = "Comparison")]
    pub approved: Option<PathBuf>,
    /// Pixels to the canvas unit [default: the rig's, or 1]
    #[arg(long, value_name = "S", value_parser = args::scale, help_heading = "Comparison")]
    pub scale: Option<f64>,
    #[command(flatten)]
    pub growing: GrowArgs,
}

/// Everything read for a comparison.
pub(super) struct Ready {
    pub show: Show,
    /// Of the members with something to draw.
    pub sets: Sets,
    pub style: CompareStyle,
    /// Nothing was filtered out.
    pub whole: bool,
}

impl Ready {
    /// Reads rigs, lists and approved sets.
    pub fn read(
        input: &InputArgs,
        choice: &ChoiceArgs,
        comparing: &ComparingArgs,
        out: Option<&PathBuf>,
        running: &RunningArgs,
    ) -> Self {
        let mut show = Show::read(input, choice, comparing.only, running);
        let style = CompareStyle {
            scale: comparing.scale,
            out: out.cloned(),
            grow: comparing.growing.grow,
        };
        let mut sets = Sets::new();
        let mut wrong: Vec<Problem> = Vec::new();
        let mut members: Vec<&Member> = show.plan.models.iter().map(|m| &*m.member).collect();
        members.dedup_by_key(|member| &member.key);
        for member in members {
            match ApprovedSet::open(&ApprovedSet::place(member, comparing.approved.as_deref())) {
                Ok(set) => {
                    sets.insert(member.key.clone(), set);
                }
                Err(problem) => wrong.push(problem),
            }
        }
        let too_large = build::framings(&show.plan, &style).find_map(|v| v.check().err());
        if let Some(error) = too_large {
            let problem = Problem::error(Place::Nowhere, error.to_string());
            wrong.push(problem.hint("compare at a smaller scale"));
        }
        for problem in wrong {
            show.refuse(problem);
        }
        Self {
            whole: choice.pose.is_empty() && !show.listed,
            show,
            sets,
            style,
        }
    }

    /// What is drawn, and how.
    pub fn round<'a>(
        &'a self,
        jobs: &'a [Job<'a>],
        puppet: &'a (dyn Fn(usize) -> Puppet + Sync),
    ) -> Round<'a> {
        Round {
            plan: &self.show.plan,
            puppet,
            jobs,
            sources: &self.show.sources,
            style: &self.style,
            threads: self.show.threads,
        }
    }

    /// Compares all that can be drawn, and tells of pictures that do not show all. Gives the comparisons by member,
    /// what failed, and how many poses were drawn.
    pub fn compare(
        &mut self,
        console: &Console,
    ) -> (Vec<Comparison>, Vec<(String, Failure)>, usize) {
        let show = &self.show;
        let jobs = show.plan.jobs();
        let names: Vec<String> = jobs.iter().map(|j| j.name.to_string()).collect();
        let mut reporter = Reporter::new(console, &show.sources, &names);
        let puppet = |at: usize| show.puppets[at].clone();
        let round = self.round(&jobs, &puppet);
        let unread = (show.unread(), self.whole);
        let all = build::compare_members(&round, &self.sets, &|_| None, unread, |event| {
            reporter.hear(event);
        });
        drop(reporter);
        for problem in all.cut_off {
            self.show.tell(console, problem);
        }
        let failed = all.failed.into_iter();
        let failed = failed.map(|(name, why)| (name.to_string(), why));
        let failed: Vec<(String, Failure)> = failed.collect();
        for (name, why) in &failed {
            self.show.failed(name, why);
        }
        (all.of_members, failed, all.made)
    }
}

/// Runs it.
#[must_use]
pub fn run(typed: &CompareArgs, running: &RunningArgs) -> Exit {
    let console = Console::new(running);
    let out = &typed.output.out;
    let mut ready = Ready::read(
        &typed.input,
        &typed.choice,
        &typed.comparing,
        Some(out),
        running,
    );
    let clash = clash(&mut ready, out);
    if !ready.show.print_problems(&console) || clash {
        return ready.show.end(&console, out, ("comparison", 0, 0), &[]);
    }
    let (mut comparisons, mut failed, made) = ready.compare(&console);
    for comparison in &mut comparisons {
        let Some(set) = ready.sets.get(&comparison.member) else {
            continue;
        };
        print_comparison(&console, comparison, &set.folder, typed.detail);
        match build::write_comparison(comparison, set, out) {
            Ok(path) => console.object(|| {
                json!({
                    "compared": comparison.member,
                    "counts": comparison.counts,
                    "files": [path.to_string_lossy()],
                })
            }),
            Err(failure) => {
                console.problem(&failure.problem(&comparison.member), &ready.show.sources);
                failed.push((comparison.member.clone(), failure));
            }
        }
        ready.show.look |= comparison.counts.asking() > 0;
    }
    if typed.review {
        let compared = comparisons.into_iter().map(|comparison| Compared {
            folder: build::comparison_folder(out, &comparison.member),
            comparison,
        });
        let compared: Vec<Compared> = compared.collect();
        let place = out.join("review");
        if let Err(problem) = review::make(&compared, &place, ready.show.threads, &console) {
            console.problem(&problem, &ready.show.sources);
            let why = problem.message;
            failed.push(("review".to_owned(), Failure::Write { path: place, why }));
        }
    }
    let total = made + failed.len();
    ready
        .show
        .end(&console, out, ("comparison", made, total), &failed)
}

/// Two poses that would write the same files.
fn clash(ready: &mut Ready, out: &std::path::Path) -> bool {
    let plan = &ready.show.plan;
    let jobs = plan.jobs().into_iter();
    let files = jobs.map(|job| (job.name.to_string(), vec![job.file(plan, out, ".png")]));
    let files: Vec<_> = files.collect();
    ready.show.clash(&files)
}

/// Tells of a comparison: how many poses are how, then a table of why.
fn print_comparison(console: &Console, comparison: &Comparison, set: &Path, detail: DetailArgs) {
    for remark in &comparison.remarks {
        console.remark(true, &format!("{}: {remark}", comparison.member));
    }
    console.result(&format!("{}: {}", comparison.member, counts(comparison)));
    let rows = table(comparison);
    if rows.len() > 1 {
        console.table(&rows);
    }
    let asking = comparison.poses.iter().filter(|p| p.state.asks());
    for pose in asking.filter(|p| detail.verbose || p.rejected.is_some()) {
        console.result(&format!("  {}", line(pose)));
    }
    let silent = comparison.causes.iter().filter(|c| c.poses.is_empty());
    let silent: Vec<&str> = silent.map(|c| c.subject.as_str()).collect();
    if !silent.is_empty() {
        let some = first(&silent, 6);
        console.remark(
            false,
            &format!(
                "{}: edits that changed no picture: {some}",
                comparison.member
            ),
        );
    }
    if !comparison.orphans.is_empty() {
        console.remark(
            false,
            &format!(
                "{}: {} in {} that no approved pose needs; layfig approve --prune removes them",
                comparison.member,
                count(comparison.orphans.len(), "file"),
                set.display()
            ),
        );
    }
}

/// What asks for a look, by cause: those that changed pictures, then what no cause is known of, by state and reason.
fn table(comparison: &Comparison) -> Vec<Vec<String>> {
    let mut rows = vec![["cause", "poses", "parts"].map(str::to_owned).to_vec()];
    let mut row = |why: String, poses: &[&PoseComparison], about: &[String]| {
        let names: Vec<&str> = poses.iter().map(|p| p.name.as_str()).collect();
        let mut parts: Vec<&str> = about.iter().map(String::as_str).collect();
        if parts.is_empty() {
            let own = poses.iter().flat_map(|p| &p.parts).filter(|p| is_own(p));
            for part in own.map(|p| p.part.as_str()) {
                if !parts.contains(&part) {
                    parts.push(part);
                }
            }
        }
        let poses = format!("{}: {}", names.len(), first(&names, 3));
        rows.push(vec![why, poses, first(&parts, 3)]);
    };
    for cause in comparison.causes.iter().filter(|c| !c.poses.is_empty()) {
        let poses = comparison.poses.iter();
        let poses = poses.filter(|p| cause.poses.contains(&p.pose) && p.state.asks());
        let poses: Vec<&PoseComparison> = poses.collect();
        if !poses.is_empty() {
            let why = format!("{}: {}", cause.subject, cause.text);
            row(why, &poses, &cause.parts);
        }
    }
    let mut others: Vec<(String, Vec<&PoseComparison>)> = Vec::new();
    let unexplained = |p: &&PoseComparison| p.state.asks() && p.causes.is_empty();
    for pose in comparison.poses.iter().filter(unexplained) {
        let reason = pose.reason.iter().map(|why| format!(": {why}"));
        let why = format!("{}{}", pose.state.words(), reason.collect::<String>());
        match others.iter_mut().find(|(known, _)| *known == why) {
            Some((_, poses)) => poses.push(pose),
            None => others.push((why, vec![pose])),
        }
    }
    for (why, poses) in others {
        row(why, &poses, &[]);
    }
    rows
}

/// The first few of them, and how many more there are.
fn first(names: &[&str], most: usize) -> String {
    if names.len() <= most + 1 {
        return names.join(", ");
    }
    let more = names.len() - most;
    format!("{} and {more} more", names[..most].join(", "))
}

/// `12 poses: 3 differ, 9 identical`.
fn counts(comparison: &Comparison) -> String {
    let all = count(comparison.poses.len(), "pose");
    let states = State::ALL.into_iter().filter_map(|state| {
        let number = comparison.counts.get(state);
        let words = match (state, number) {
            (State::Differs, 2..) => "differ",
            _ => state.words(),
        };
        (number > 0).then(|| format!("{number} {words}"))
    });
    let states: Vec<String> = states.collect();
    format!("{all}: {}", states.join(", "))
}

/// One pose in one line.
fn line(pose: &PoseComparison) -> String {
    let mut text = format!("{}  {}", pose.state.words(), pose.pose);
    let mut facts: Vec<String> = Vec::new();
    facts.extend(pose.reason.clone());
    if let Some(figures) = &pose.figures {
        facts.push(format!(
            "{} px, worst ΔE {:.1}",
            figures.changed, figures.worst
        ));
    }
    let parts = pose.parts.iter().take(3);
    facts.extend(parts.map(|p| format!("{} {}", p.part, p.text)));
    if pose.parts.len() > 3 {
        facts.push(count(pose.parts.len() - 3, "more part"));
    }
    if let Some(note) = &pose.rejected {
        let note = if note.is_empty() {
            "no note".to_owned()
        } else {
            crate::diag::quoted(note)
        };
        facts.push(format!("refused before: {note}"));
    }
    if !facts.is_empty() {
        text = format!("{text}: {}", facts.join("; "));
    }
    text
}
