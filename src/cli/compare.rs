//! `layfig compare`.

use std::path::{Path, PathBuf};

use clap::Args;
use serde_json::json;

use super::args::{self, ChoiceArgs, InputArgs, OutputArgs, RunningArgs};
use super::console::Console;
use super::exit::Exit;
use super::progress::Reporter;
use super::render::GrowArgs;
use super::review;
use super::show::Show;
use crate::build::{self, CompareStyle, Compared, Failure, Job, Only, Round, Sets};
use crate::cast::Member;
use crate::compare::ApprovedSet;
use crate::compare::{Comparison, PoseComparison, State};
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
        print_comparison(&console, comparison, &set.folder);
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

/// Tells of a comparison.
pub(super) fn print_comparison(console: &Console, comparison: &Comparison, set: &Path) {
    for remark in &comparison.remarks {
        console.remark(true, &format!("{}: {remark}", comparison.member));
    }
    let causes = comparison.causes.iter();
    for cause in causes.filter(|c| !c.poses.is_empty()) {
        let count = cause.poses.len();
        let plural = if count == 1 { "pose" } else { "poses" };
        console.result(&format!(
            "{}: {count} {plural} because of {} ({})",
            comparison.member, cause.subject, cause.text
        ));
    }
    for pose in comparison.poses.iter().filter(|p| p.state.asks()) {
        console.result(&line(pose));
    }
    let silent = comparison.causes.iter().filter(|c| c.poses.is_empty());
    let silent: Vec<&str> = silent.map(|c| c.subject.as_str()).collect();
    if !silent.is_empty() {
        let some = match silent[..] {
            [ref first @ .., _] if first.len() >= 6 => {
                format!("{} and {} more", silent[..6].join(", "), silent.len() - 6)
            }
            _ => silent.join(", "),
        };
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
                match comparison.orphans.len() {
                    1 => "1 file".to_owned(),
                    n => format!("{n} files"),
                },
                set.display()
            ),
        );
    }
    console.result(&format!("{}: {}", comparison.member, counts(comparison)));
}

/// `12 poses: 3 differ, 9 identical`.
fn counts(comparison: &Comparison) -> String {
    let all = comparison.poses.len();
    let plural = if all == 1 { "pose" } else { "poses" };
    let states = State::ALL.into_iter().filter_map(|state| {
        let count = comparison.counts.get(state);
        let words = match (state, count) {
            (State::Differs, 2..) => "differ",
            _ => state.words(),
        };
        (count > 0).then(|| format!("{count} {words}"))
    });
    let states: Vec<String> = states.collect();
    format!("{all} {plural}: {}", states.join(", "))
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
        facts.push(format!("{} more parts", pose.parts.len() - 3));
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
