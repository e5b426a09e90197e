//! `layfig night`.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use serde_json::json;

use super::args::{self, Background, RunningArgs};
use super::console::Console;
use super::exit::Exit;
use super::night_progress::NightProgress;
use super::pace::spoken;
use super::render::FramingArgs;
use super::show::is_cast;
use crate::batch::{self, Filter, PictureStyle, nearest, with_threads};
use crate::cast;
use crate::diag::{Place, Problem, Problems, Sources, quoted};
use crate::night::{
    self, Agenda, Digest, Guard, Key, Kind, Known, Night, Shard, State, Store, Style, Summary,
    Task, Unit, brief,
};
use crate::sheet::Look;

/// Arguments of `layfig night`.
#[derive(Clone, Debug, Args)]
pub struct NightArgs {
    /// A cast file; or a member's folder, or its rig.toml
    cast: PathBuf,
    /// Only these members; * for anything
    #[arg(long, value_name = "NAME", num_args = 1.., help_heading = "Selection")]
    member: Vec<String>,
    /// Only these views
    #[arg(long, value_name = "NAME", num_args = 1.., help_heading = "Selection")]
    view: Vec<String>,
    /// Only these poses, and the sheets that show them: names as printed, or their ends
    #[arg(long, value_name = "NAME", num_args = 1.., help_heading = "Selection")]
    pose: Vec<String>,
    /// Only these sorts of things
    #[arg(long, value_name = "WHAT", value_enum, num_args = 1.., help_heading = "Selection")]
    make: Vec<KindForm>,
    /// Compare with this night instead of the last, and take only what it had otherwise
    ///
    /// A night is named by its label, or by the first digits of its inputs, as the history has them.
    #[arg(long, value_name = "NIGHT", help_heading = "Selection")]
    since: Option<String>,
    #[command(flatten)]
    keeping: KeepingArgs,
    /// What to call this night in the history: its date, say
    #[arg(long, value_name = "WORDS", help_heading = "Output")]
    label: Option<String>,
    #[command(flatten)]
    framing: FramingArgs,
    /// Behind the figure: #rrggbb or transparent
    #[arg(long, value_name = "COLOUR", default_value = "transparent", value_parser = args::background, help_heading = "Picture")]
    background: Background,
    /// Make only one of several shares; end with `layfig merge` when all are made
    #[arg(long, value_name = "I/N", value_parser = shard, help_heading = "Running")]
    shard: Option<Shard>,
    /// Make everything again, whatever is there
    #[arg(long, help_heading = "Running")]
    again: bool,
    /// Read all files that are there, to see that they are what was written
    #[arg(long, help_heading = "Running")]
    verify: bool,
    /// Tell what would be made, and make nothing
    #[arg(long, help_heading = "Running")]
    dry_run: bool,
}

/// Where a night's files are.
#[derive(Clone, Debug, Args)]
#[command(next_help_heading = "Output")]
pub struct KeepingArgs {
    /// Folder for everything that is made
    #[arg(long, value_name = "DIR", default_value = "out/night")]
    pub out: PathBuf,
    /// Folder for what the next night needs to know [default: .night in the output folder]
    #[arg(long, value_name = "DIR")]
    pub cache: Option<PathBuf>,
}

impl KeepingArgs {
    /// What the next night needs to know.
    pub fn store(&self) -> Store {
        Store::new(
            self.cache
                .clone()
                .unwrap_or_else(|| self.out.join(".night")),
        )
    }
}

/// Sorts of things.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum KindForm {
    /// One for each pose
    Pictures,
    /// Of poses, and of sweeps
    Sheets,
}

impl From<KindForm> for Kind {
    fn from(form: KindForm) -> Self {
        match form {
            KindForm::Pictures => Self::Picture,
            KindForm::Sheets => Self::Sheet,
        }
    }
}

/// Reads `2/4`.
fn shard(text: &str) -> Result<Shard, String> {
    let wrong = || "write which of how many, such as 2/4".to_owned();
    let (number, of) = text.split_once('/').ok_or_else(wrong)?;
    let (number, of) = match (number.parse(), of.parse()) {
        (Ok(number), Ok(of)) => (number, of),
        _ => return Err(wrong()),
    };
    if (1..=of).contains(&number) && of <= 10_000 {
        Ok(Shard { number, of })
    } else {
        Err("shards are counted from 1, and there are at most 10000".to_owned())
    }
}

/// What a run tells in the end.
#[derive(Default)]
struct Faults {
    input: bool,
    output: bool,
    nothing: bool,
}

impl Faults {
    const fn exit(&self) -> Exit {
        Exit::of(self.input, self.output, self.nothing)
    }
}

/// Runs it.
#[must_use]
pub fn run(typed: &NightArgs, running: &RunningArgs) -> Exit {
    let console = Console::new(running);
    let mut faults = Faults::default();
    let threads = running.threads.map_or_else(
        || std::thread::available_parallelism().map_or(1, std::num::NonZero::get),
        usize::from,
    );
    let Some(mut night) = read(typed, threads, &console, &mut faults) else {
        return faults.exit();
    };
    let store = typed.keeping.store();
    let out = &typed.keeping.out;
    night.weigh(&store.measured());
    let mut since = None;
    let selected = match select(typed, &night, &store, &mut since) {
        Ok(selected) => selected,
        Err(problems) => {
            for problem in problems {
                console.problem(&problem, &Sources::default());
            }
            faults.nothing = true;
            return faults.exit();
        }
    };
    let _guard = if typed.dry_run {
        None
    } else {
        match guard(&store, typed.shard.is_some(), &console, out) {
            Ok(guard) => Some(guard),
            Err(exit) => return exit,
        }
    };
    let share = share(typed.shard, &night, &store, &selected);
    let known = store.known();
    let fresh = with_threads(
        threads,
        |_: &(dyn Fn(()) + Sync)| night.fresh(&known, out, typed.verify),
        |()| (),
    );
    let todo: Vec<usize> = share
        .iter()
        .copied()
        .filter(|&at| typed.again || !fresh[at])
        .collect();
    if typed.dry_run {
        rehearse(&console, &night, &known, &todo, share.len());
        return faults.exit();
    }
    let mut agenda = Agenda::new(&night, &selected, selection(typed));
    agenda.label.clone_from(&typed.label);
    agenda.since = since;
    let work = Work {
        night: &night,
        agenda: &agenda,
        store: &store,
        out,
        threads,
    };
    let told = work.run(&console, known, &todo, share.len(), typed.shard);
    match told {
        Ok((refused, failed)) => {
            faults.input |= refused;
            faults.output |= failed;
            faults.exit()
        }
        Err(e) => refuse_output(&console, out, &e),
    }
}

/// Takes the folder for this run.
fn guard(store: &Store, shared: bool, console: &Console, out: &Path) -> Result<Guard, Exit> {
    match store.guard(shared) {
        Ok(Some(guard)) => Ok(guard),
        Ok(None) => {
            let message = "another night is at work in this folder";
            let problem = Problem::error(Place::File(out.to_path_buf()), message);
            let hint = "wait until it ends, or give this one another --out";
            console.problem(&problem.hint(hint), &Sources::default());
            Err(Exit::Output)
        }
        Err(e) => Err(refuse_output(console, out, &e)),
    }
}

pub(super) fn refuse_output(console: &Console, out: &Path, error: &std::io::Error) -> Exit {
    let problem = Problem::error(
        Place::File(out.to_path_buf()),
        format!("cannot write here: {error}"),
    );
    console.problem(&problem, &Sources::default());
    Exit::Output
}

/// Reads the cast and plans. `None` when there is nothing to go on with; all is told then.
fn read(
    typed: &NightArgs,
    threads: usize,
    console: &Console,
    faults: &mut Faults,
) -> Option<Night> {
    let mut sources = Sources::default();
    let mut problems = Problems::default();
    let mut left_out = Vec::new();
    let mut name = String::new();
    let rigs: Vec<(Option<String>, PathBuf)> = if is_cast(&typed.cast) {
        match cast::load_cast(&typed.cast, &mut sources, &mut problems) {
            Some(cast) => {
                name = cast.name;
                left_out = cast.left_out;
                let members = cast.members.into_iter();
                members.map(|m| (Some(m.key), m.rig)).collect()
            }
            None => Vec::new(),
        }
    } else {
        vec![(None, typed.cast.clone())]
    };
    for problem in problems.list() {
        console.problem(problem, &sources);
    }
    faults.input |= !problems.is_ok();
    let members = with_threads(
        threads,
        |_: &(dyn Fn(()) + Sync)| night::read(&rigs),
        |()| (),
    );
    for member in &members {
        for problem in member.problems.list() {
            console.problem(problem, &member.sources);
        }
        faults.input |= !member.problems.is_ok();
    }
    if name.is_empty()
        && let Some(first) = members.first()
    {
        name.clone_from(&first.key);
    }
    let style = Style {
        picture: PictureStyle {
            framing: typed.framing.resolved(),
            background: typed.background.0,
            owners: false,
        },
        look: Look::default(),
    };
    let framing = style.picture.framing;
    let mut night = Night::new(name, members, style);
    let entries = left_out
        .into_iter()
        .map(|key| (key, "its entry in the cast has errors".to_owned()));
    night.unread.extend(entries);
    let mut grave = night.clashes();
    grave.extend(batch::check_size(&night.plan, framing).err());
    for problem in &grave {
        console.problem(problem, &Sources::default());
    }
    if !grave.is_empty() {
        faults.input = true;
        return None;
    }
    if night.units.is_empty() {
        if !faults.input {
            let problem = Problem::error(Place::Nowhere, "nothing is selected: there are no poses");
            console.problem(&problem, &sources);
        }
        faults.nothing = true;
        return None;
    }
    Some(night)
}

/// The selected units by place, or why there are none.
fn select(
    typed: &NightArgs,
    night: &Night,
    store: &Store,
    since: &mut Option<Digest>,
) -> Result<Vec<usize>, Vec<Problem>> {
    let mut problems = Vec::new();
    let members: Vec<Filter> = typed.member.iter().map(Filter::new).collect();
    let views: Vec<Filter> = typed.view.iter().map(Filter::new).collect();
    let poses: Vec<Filter> = typed.pose.iter().map(Filter::new).collect();
    let mut names: [Vec<String>; 3] = Default::default();
    names[0] = night.members.iter().map(|m| m.key.clone()).collect();
    for model in &night.plan.models {
        names[1].extend(model.view_name().map(str::to_owned));
    }
    for section in &night.plan.sections {
        let all = section.all_poses();
        names[2].extend(all.iter().map(|p| format!("{}/{}", section.name, p.name)));
    }
    for ((what, filters), names) in [("member", &members), ("view", &views), ("pose", &poses)]
        .into_iter()
        .zip(&names)
    {
        for filter in filters {
            if !names.iter().any(|name| filter.matches(name)) {
                let message = format!("no {what} is called {}", quoted(filter.as_str()));
                let mut problem = Problem::error(Place::Nowhere, message);
                if let Some(near) = nearest(filter.as_str(), names.iter().map(String::as_str)) {
                    problem = problem.hint(format!("did you mean {}?", quoted(near)));
                }
                problems.push(problem);
            }
        }
    }
    let mut before = None;
    if let Some(revision) = &typed.since {
        let entries = night::history(&typed.keeping.out);
        let found = night::find(&entries, revision);
        match found.and_then(|entry| Some((entry, store.night(&entry.inputs)?))) {
            Some((entry, digests)) => {
                *since = Some(entry.inputs.clone());
                before = Some(digests);
            }
            None => problems.push(unknown_night(revision, &entries)),
        }
    }
    if !problems.is_empty() {
        return Err(problems);
    }
    let any = |filters: &[Filter], name: &str| {
        filters.is_empty() || filters.iter().any(|filter| filter.matches(name))
    };
    let wanted = |unit: &Unit| {
        let model = &night.plan.models[night.model(unit)];
        let kinds = typed.make.is_empty()
            || typed
                .make
                .iter()
                .any(|&form| Kind::from(form) == unit.key.kind);
        kinds
            && any(&members, &model.member.key)
            && (views.is_empty() || model.view_name().is_some_and(|name| any(&views, name)))
            && shows(night, unit, &poses)
            && before.as_ref().is_none_or(|before| {
                let then = before.get(&unit.key.to_string());
                then.is_none_or(|[inputs, _]| *inputs != unit.inputs)
            })
    };
    let selected: Vec<usize> = (0..night.units.len())
        .filter(|&at| wanted(&night.units[at]))
        .collect();
    if selected.is_empty() && before.is_none() {
        let message = "nothing is selected: nothing is all of what was asked for";
        return Err(vec![Problem::error(Place::Nowhere, message)]);
    }
    Ok(selected)
}

fn unknown_night(revision: &str, entries: &[night::Entry]) -> Problem {
    let message = format!("the history has no night {}", quoted(revision));
    let problem = Problem::error(Place::Nowhere, message);
    let titles: Vec<&str> = entries
        .iter()
        .rev()
        .take(4)
        .map(night::Entry::title)
        .collect();
    if titles.is_empty() {
        problem.hint("there was no night yet")
    } else {
        problem.hint(format!("the latest are {}", titles.join(", ")))
    }
}

/// True when the unit shows one of these poses.
fn shows(night: &Night, unit: &Unit, filters: &[Filter]) -> bool {
    if filters.is_empty() {
        return true;
    }
    let section = &night.plan.sections[unit.task.section()];
    let any = |name: &str| {
        let name = format!("{}/{name}", section.name);
        filters.iter().any(|filter| filter.matches(&name))
    };
    match unit.task {
        Task::Picture { pose, .. } => any(&section.list.poses[section.poses[pose]].name),
        Task::Sheet { sweeps: false, .. } => section.poses().any(|pose| any(&pose.name)),
        Task::Sheet { sweeps: true, .. } => section
            .sweeps()
            .any(|(sweep, poses)| any(&sweep.name) || poses.iter().any(|pose| any(&pose.name))),
    }
}

/// What was selected, in words.
fn selection(typed: &NightArgs) -> Option<String> {
    let mut words = Vec::new();
    let kinds: Vec<String> = typed
        .make
        .iter()
        .map(|&form| format!("{}s", Kind::from(form).word()))
        .collect();
    for (sort, names) in [
        ("members", &typed.member),
        ("views", &typed.view),
        ("poses", &typed.pose),
        ("", &kinds),
    ] {
        if !names.is_empty() {
            words.push(format!("{sort} {}", names.join(", ")).trim().to_owned());
        }
    }
    if let Some(since) = &typed.since {
        words.push(format!("what changed since {since}"));
    }
    (!words.is_empty()).then(|| words.join("; "))
}

/// The selected units that this run has to see to. The costs are those that the last whole night
/// left: the same for all shards, whichever of them is done.
fn share(shard: Option<Shard>, night: &Night, store: &Store, selected: &[usize]) -> Vec<usize> {
    let Some(shard) = shard else {
        return selected.to_vec();
    };
    let settled = store.settled();
    let mut costs = vec![0.0; night.units.len()];
    for &at in selected {
        let unit = &night.units[at];
        let same = settled
            .get(&unit.key)
            .is_some_and(|record| record.inputs == unit.inputs);
        // To see that nothing is to do takes next to nothing.
        costs[at] = if same { 10.0 } else { unit.guess };
    }
    let shares = night::split(night, &costs, shard.of);
    let mine = selected.iter().copied();
    mine.filter(|&at| shares[at] + 1 == shard.number).collect()
}

/// Prints the plan.
fn rehearse(
    console: &Console,
    night: &Night,
    known: &BTreeMap<Key, Known>,
    todo: &[usize],
    all: usize,
) {
    let mut total = 0.0;
    for at in night::heavy_first(night, todo) {
        let unit = &night.units[at];
        let why = match known.get(&unit.key) {
            None => "new",
            Some(known) if known.record.inputs != unit.inputs => "its inputs changed",
            Some(_) => "made again",
        };
        total += unit.guess;
        let ms = unit.guess / 1000.0;
        console.result(&format!("{}  {why}, about {ms:.0} ms", unit.key));
        console.object(|| json!({ "plan": unit.key, "why": why, "milliseconds": ms.round(), "file": night.file(unit).to_string_lossy() }));
    }
    let seconds = (total / 1e6).ceil() as u64;
    let (count, same) = (todo.len(), all - todo.len());
    console.result(&format!(
        "{count} of {all} to make, about {} of work; {same} as they were",
        spoken(seconds)
    ));
    console
        .object(|| json!({ "summary": { "to_make": count, "of": all, "seconds": total / 1e6 } }));
}

/// A run and its end.
struct Work<'a> {
    night: &'a Night,
    agenda: &'a Agenda,
    store: &'a Store,
    out: &'a Path,
    threads: usize,
}

impl Work<'_> {
    /// Tells whether inputs were refused, and whether something could not be made.
    fn run(
        &self,
        console: &Console,
        mut known: BTreeMap<Key, Known>,
        todo: &[usize],
        share: usize,
        shard: Option<Shard>,
    ) -> std::io::Result<(bool, bool)> {
        let night = self.night;
        let mut failed: Vec<(Key, String)> = Vec::new();
        let mut made = 0;
        if !todo.is_empty() {
            let journal = self.store.journal(&shard.unwrap_or(Shard::WHOLE).name())?;
            let mut progress = NightProgress::new(console, night, todo);
            let results = night::run(night, todo, self.out, &journal, self.threads, |event| {
                progress.hear(&event);
            });
            drop(progress);
            for (at, result) in results {
                let key = night.units[at].key.clone();
                match result {
                    Ok(it) => {
                        made += usize::from(it.record.refused.is_none());
                        known.insert(key, it);
                    }
                    Err(why) => failed.push((key, why)),
                }
            }
        }
        if let Some(shard) = shard {
            night::hand_in(self.store, shard, self.agenda, failed.clone())?;
            console.result(&format!(
                "shard {} of {}: made {made} of {share}, {} as they were",
                shard.number,
                shard.of,
                share - todo.len()
            ));
            console.object(|| json!({ "summary": { "shard": shard.number, "of": shard.of, "made": made, "failed": failed } }));
            return Ok((!night.unread.is_empty(), !failed.is_empty()));
        }
        let summary = night::close(self.out, self.store, self.agenda, known, &failed)?;
        console.result(&format!("made {made}, {} as they were", share - todo.len()));
        Ok(tell(console, &summary, self.out))
    }
}

/// Tells what a night came to; gives whether inputs were refused, and whether something could not be
/// made.
pub(super) fn tell(console: &Console, summary: &Summary, out: &Path) -> (bool, bool) {
    let counts = &summary.counts;
    let units = || summary.members.iter().flat_map(|m| &m.units);
    let lost = || units().filter(|u| matches!(u.state, State::Refused | State::Failed));
    if !summary.unread.is_empty() || lost().next().is_some() {
        console.remark(true, "not made:");
        for (name, why) in &summary.unread {
            console.remark(true, &format!("  {name}: {why}"));
        }
        for unit in lost() {
            let why = unit.why.as_deref().unwrap_or("it was not made");
            console.remark(true, &format!("  {}: {why}", unit.key));
        }
    }
    if let Some(since) = &summary.since {
        let name = since.label.as_deref().unwrap_or(brief(&since.inputs));
        let line = format!(
            "since night {name}: {} changed, {} new, {} gone",
            counts.changed, counts.new, counts.gone
        );
        console.result(&line);
        const MOST: usize = 12;
        for unit in units().filter(|u| u.state == State::Changed).take(MOST) {
            console.result(&format!("  {}", unit.key));
        }
        if counts.changed > MOST {
            console.result(&format!("  and {} more", counts.changed - MOST));
        }
    }
    let page = out.join("index.html");
    console.result(&format!(
        "{} pictures and {} sheets: {}",
        counts.pictures,
        counts.sheets,
        page.display()
    ));
    console.object(|| {
        json!({ "summary": {
            "counts": counts,
            "inputs": summary.inputs,
            "since": summary.since,
            "unread": summary.unread,
            "page": page.to_string_lossy(),
        }})
    });
    let refused = counts.refused > 0 || !summary.unread.is_empty() || counts.errors > 0;
    (refused, counts.failed > 0)
}
