//! The second stage of the arguments: files read, poses chosen, puppets made.

use std::path::{Path, PathBuf};

use serde_json::json;

use super::args::{ChoiceArgs, InputArgs, RunningArgs};
use super::console::Console;
use super::exit::Exit;
use super::progress::Reporter;
use crate::build::{self, Choice, Event, Failure, Filter, Only, Plan, Views, on_threads};
use crate::cast::SheetKind;
use crate::diag::{self, Place, Problem, Problems, Severity, Sources, quoted};
use crate::name::Name;
use crate::project::Subject;
use crate::solve::Puppet;

/// Everything read, and what is to be made of it.
pub struct Show {
    /// The files that were read.
    pub sources: Sources,
    /// What is wrong with them.
    pub problems: Problems,
    /// What to make.
    pub plan: Plan,
    /// One for each model of the plan.
    pub puppets: Vec<Puppet>,
    /// What the cast calls itself, where one was read.
    pub cast: Option<String>,
    /// Threads to use.
    pub threads: usize,
    /// Pose lists were given, in place of the rigs' own.
    pub listed: bool,
    /// A person must look at what was made.
    pub look: bool,
    /// Errors of the files and arguments; a filter that finds nothing is none of them.
    mistakes: usize,
    /// Members and lists that could not be read, and why.
    unread: Vec<(Name, String)>,
}

/// Whose poses a run shows.
pub struct Sorts<'a> {
    /// Kinds of sheet that no list asks for.
    pub kinds: &'a [SheetKind],
    /// Pose lists as they are.
    pub lists: bool,
    /// Sheets that lists ask for: those with these names, or all.
    pub declared: Option<Vec<Filter>>,
    /// Views as they are, with poses or without.
    pub views: bool,
}

impl Show {
    /// Reads and chooses. All problems are in [`Show::problems`], none is told yet.
    #[must_use]
    pub fn read(input: &InputArgs, choice: &ChoiceArgs, only: Only, running: &RunningArgs) -> Self {
        let sorts = Sorts {
            kinds: &[],
            lists: true,
            declared: None,
            views: false,
        };
        Self::read_for(&sorts, input, choice, only, running)
    }

    /// The same, with the poses that some sorts of sheet show.
    #[must_use]
    pub fn read_for(
        sorts: &Sorts<'_>,
        input: &InputArgs,
        choice: &ChoiceArgs,
        only: Only,
        running: &RunningArgs,
    ) -> Self {
        let (mut sources, mut problems) = (Sources::default(), Problems::default());
        let mut unread = Vec::new();
        let input = input.resolved(sources.files(), &mut problems);
        let reading = input.reading(choice.palette.as_deref());
        let (cast, subjects) = reading.all(&input.rigs, &mut sources, &mut problems, &mut unread);
        let choice = Choice {
            views: views(&choice.view),
            only,
            poses: choice.pose.iter().map(Filter::new).collect(),
        };
        let (mut plan, mut unmatched) = Plan::new(&subjects, &choice);
        plan.add_kinds(&subjects, sorts.kinds, sorts.lists, &choice);
        if let Some(names) = &sorts.declared {
            unmatched.extend(plan.add_declared(&subjects, names, &choice));
        }
        let mut selected: Vec<Problem> = Vec::new();
        if sorts.views {
            plan.add_views(&subjects, &choice);
        }
        // Where files could not be read, what a filter looks for may be in them.
        if problems.is_ok() && !unmatched.is_empty() {
            plan = Plan::default();
            selected.extend(unmatched);
        }
        let threads = running.threads();
        let puppets = on_threads(threads, || build::puppets(&plan));
        if plan.models.is_empty() && problems.is_ok() && selected.is_empty() {
            let what = match only {
                Only::Poses => "poses",
                Only::Sweeps => "sweeps",
                Only::All => "poses or sweeps",
            };
            selected.push(Problem::error(
                Place::Nowhere,
                format!("nothing is selected: there are no {what}"),
            ));
        }
        let mistakes = problems.errors();
        problems.extend(selected);
        unread.append(&mut plan.left_out);
        Self {
            sources,
            problems,
            plan,
            puppets,
            cast,
            threads,
            listed: !input.lists.is_empty(),
            look: false,
            mistakes,
            unread,
        }
    }

    /// Tells all problems. False when nothing can be made.
    #[must_use]
    pub fn print_problems(&self, console: &Console) -> bool {
        for problem in self.problems.list() {
            console.problem(problem, &self.sources);
        }
        !self.plan.models.is_empty()
    }

    /// Reports two jobs that would write the same file, before anything is made.
    #[must_use]
    pub fn clash(&mut self, files: &[(String, Vec<PathBuf>)]) -> bool {
        let clashes = build::clashes(files);
        let any = !clashes.is_empty();
        for clash in clashes {
            self.mistake(clash);
        }
        any
    }

    /// Adds an error of the input.
    pub fn mistake(&mut self, problem: Problem) {
        self.mistakes += usize::from(problem.severity == Severity::Error);
        self.problems.push(problem);
    }

    /// Members, lists and poses that could not be read, by printed name, and why.
    #[must_use]
    pub fn unread(&self) -> &[(Name, String)] {
        &self.unread
    }

    /// Tells of something that was found when a pose was drawn.
    pub fn tell(&mut self, console: &Console, problem: Problem) {
        console.problem(&problem, &self.sources);
        self.problems.push(problem);
    }

    /// Solves all poses before anything is made, so that mistakes show; gives what each covers where `bounds` asks
    /// for it.
    pub fn rehearse(&mut self, bounds: bool) -> Vec<Result<Option<[f64; 4]>, Failure>> {
        let plan = self.plan.clone();
        let jobs = plan.jobs();
        let tried = build::rehearse(&self.puppets, &jobs, self.threads, bounds);
        for (job, tried) in jobs.iter().zip(&tried) {
            if let Err(failure) = tried {
                self.failed(&job.name.to_string(), failure);
            }
        }
        tried
    }

    /// Adds what the input is at fault for of why something called `name` was not made. Views share their poses, and
    /// their mistakes.
    pub fn failed(&mut self, name: &str, failure: &Failure) {
        let problem = failure.problem(name);
        if failure.is_input() && !self.problems.list().contains(&problem) {
            self.mistake(problem);
        }
    }

    /// Makes something under each of these names, all of one sort, and tells how that went.
    pub fn make<T>(
        mut self,
        console: &Console,
        (sort, out): (&str, &Path),
        names: &[String],
        make: impl FnOnce(&Self, &mut dyn FnMut(Event)) -> Vec<Result<T, Failure>>,
        mut tell: impl FnMut(&mut Self, usize, T),
    ) -> Exit {
        let mut reporter = Reporter::new(console, &self.sources, names);
        let results = make(&self, &mut |event| reporter.hear(event));
        drop(reporter);
        let mut failed = Vec::new();
        for (at, (result, name)) in results.into_iter().zip(names).enumerate() {
            match result {
                Ok(made) => tell(&mut self, at, made),
                Err(failure) => {
                    self.failed(name, &failure);
                    failed.push((name.clone(), failure));
                }
            }
        }
        let total = names.len();
        let made = total - failed.len();
        self.end(console, out, (sort, made, total), &failed)
    }

    /// Adds an error of the input that leaves nothing to make.
    pub fn refuse(&mut self, problem: Problem) {
        self.mistake(problem);
        self.plan = Plan::default();
    }

    /// Tells how it went, and gives the exit code.
    ///
    /// Of `sort`, `made` were made of `total`; `failed` names what was not, with the reason.
    pub fn end(
        &self,
        console: &Console,
        out: &Path,
        (sort, made, total): (&str, usize, usize),
        failed: &[(String, Failure)],
    ) -> Exit {
        let plural = |n: usize| {
            if n == 1 {
                sort.to_owned()
            } else {
                format!("{sort}s")
            }
        };
        let input_failed = failed.iter().any(|(_, f)| f.is_input());
        let empty = self.plan.models.is_empty();
        let bad_input = self.mistakes > 0 || input_failed;
        let bad_output = failed.iter().any(|(_, f)| !f.is_input());
        let exit = Exit::of(bad_input, bad_output, empty).or_look(self.look);
        if !failed.is_empty() || (!self.unread.is_empty() && total > 0) {
            console.remark(true, "not made:");
            for (name, why) in &self.unread {
                console.remark(true, &format!("  {name}: {why}"));
            }
            for (name, failure) in failed {
                console.remark(true, &format!("  {name}: {failure}"));
            }
        }
        let counts = diag::summary(&self.problems);
        if !counts.is_empty() {
            console.remark(!self.problems.is_ok(), &counts);
        }
        if total > 0 {
            let done = if made == total {
                format!("made {made} {}", plural(made))
            } else {
                format!("made {made} of {total} {}", plural(total))
            };
            console.result(&format!("{done} in {}", out.display()));
        }
        let told = |name: &str, why: String| json!({ "name": name, "why": why });
        console.object(|| {
            json!({ "summary": {
                "sort": sort,
                "made": made,
                "of": total,
                "failed": failed.iter().map(|(name, why)| told(name, why.to_string())).collect::<Vec<_>>(),
                "unread": self.unread.iter().map(|(name, why)| told(&name.to_string(), why.clone())).collect::<Vec<_>>(),
                "out": out.to_string_lossy(),
                "errors": self.problems.errors(),
                "warnings": self.problems.warnings(),
                "exit": exit.code(),
            }})
        });
        exit
    }
}

/// Members and their lists, for commands that plan for themselves.
pub struct Members {
    /// The files that were read.
    pub sources: Sources,
    /// What is wrong with them.
    pub problems: Problems,
    /// Those that could be read, with those of their lists that could.
    pub subjects: Vec<Subject>,
}

impl Members {
    /// Reads them. All problems are in [`Members::problems`], none is told yet.
    #[must_use]
    pub fn read(input: &InputArgs) -> Self {
        let (mut sources, mut problems) = (Sources::default(), Problems::default());
        let input = input.resolved(sources.files(), &mut problems);
        let reading = input.reading(None);
        let (_, subjects) = reading.all(&input.rigs, &mut sources, &mut problems, &mut Vec::new());
        Self {
            sources,
            problems,
            subjects,
        }
    }

    /// Puppets of the chosen views: the subject's place, `member` or `member/view`, the puppet. A view
    /// that no member has is a problem.
    pub fn puppets(&mut self, names: &[String]) -> Vec<(usize, String, Puppet)> {
        let choice = views(names);
        let mut all = Vec::new();
        let mut unused: Vec<&String> = names.iter().filter(|n| *n != "all").collect();
        for (at, subject) in self.subjects.iter().enumerate() {
            let member = &subject.member;
            let named = member.views.iter().filter_map(|view| view.name.as_deref());
            unused.retain(|u| !named.clone().any(|n| Filter::new(*u).matches(n)));
            for view in build::chosen_views(member, &choice) {
                let name = match &member.views[view].name {
                    Some(view) if member.views.len() > 1 => format!("{}/{view}", member.key),
                    _ => member.key.clone(),
                };
                all.push((at, name, subject.puppet(view)));
            }
        }
        if self.problems.is_ok() {
            for name in unused {
                let message = format!("no member has a view {}", quoted(name));
                self.problems.push(Problem::error(Place::Nowhere, message));
            }
        }
        all
    }
}

pub(super) fn views(names: &[String]) -> Views {
    if names.is_empty() {
        Views::First
    } else if names.iter().any(|n| n == "all") {
        Views::All
    } else {
        Views::Named(names.iter().map(Filter::new).collect())
    }
}
