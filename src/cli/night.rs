//! `layfig night`.

mod read;
mod select;
mod work;

use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};

use super::args::{self, Background, RunningArgs};
use super::console::Console;
use super::exit::Exit;
use super::render::{FramingArgs, GrowArgs};
use crate::batch::with_threads;
use crate::diag::{Place, Problem, Sources};
use crate::night::{self, Agenda, Damage, Guard, Kind, Shard, Store};
use select::Selection;
use work::Work;

pub use work::tell;

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
    /// Take only what this night, or this git revision of the inputs, had otherwise
    ///
    /// A night is named by its label, or by the first digits of its inputs, as the history has them;
    /// this one is then compared with it instead of the last. Any other name is taken for a revision of
    /// the git repository that the cast lies in.
    #[arg(long, value_name = "REVISION", help_heading = "Selection")]
    since: Option<String>,
    /// Folder of approved sets, one folder in it for each member [default: `approved` beside each
    /// rig]
    #[arg(long, value_name = "DIR", help_heading = "Comparison")]
    approved: Option<PathBuf>,
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
    #[command(flatten)]
    growing: GrowArgs,
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
    /// Of pose lists, of members, of the cast
    Sheets,
    /// Each view's joints through their limits
    Checks,
    /// Each member's poses against its approved set
    Comparisons,
}

impl From<KindForm> for Kind {
    fn from(form: KindForm) -> Self {
        match form {
            KindForm::Pictures => Self::Picture,
            KindForm::Sheets => Self::Sheet,
            KindForm::Checks => Self::Check,
            KindForm::Comparisons => Self::Comparison,
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
    look: bool,
}

impl Faults {
    const fn exit(&self) -> Exit {
        Exit::of(self.input, self.output, self.nothing).or_look(self.look)
    }
}

/// Runs it.
#[must_use]
pub fn run(typed: &NightArgs, running: &RunningArgs) -> Exit {
    let console = Console::new(running);
    let mut faults = Faults::default();
    let threads = threads(running);
    let Some(mut night) = read::read(typed, threads, &console, &mut faults) else {
        return faults.exit();
    };
    let store = typed.keeping.store();
    let out = &typed.keeping.out;
    night.weigh(&store.measured());
    let Selection { units, since } = match select::select(typed, &night, &store, threads) {
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
    let share = select::share(typed, &night, &store, &units);
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
        work::rehearse(&console, &night, &known, &todo, share.len());
        return faults.exit();
    }
    let mut agenda = Agenda::new(&night, &units, select::words(typed));
    agenda.label.clone_from(&typed.label);
    agenda.since = since;
    let work = Work {
        night: &night,
        agenda: &agenda,
        store: &store,
        out,
        again: typed.again,
        threads,
    };
    match work.run(&console, known, &todo, share.len(), typed.shard) {
        Ok(told) => {
            faults.input |= told.refused;
            faults.output |= told.failed;
            faults.look |= told.look;
            faults.exit()
        }
        Err(e) => refuse_output(&console, out, &e),
    }
}

pub(super) fn threads(running: &RunningArgs) -> usize {
    running.threads.map_or_else(
        || std::thread::available_parallelism().map_or(1, std::num::NonZero::get),
        usize::from,
    )
}

/// Takes the folder for this run; what is damaged in it is kept beside and told.
fn guard(store: &Store, shared: bool, console: &Console, out: &Path) -> Result<Guard, Exit> {
    match store.guard(shared) {
        Ok(Some(guard)) => {
            tell_damage(&guard, store, console, out)?;
            Ok(guard)
        }
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

/// Tells of a folder that cannot be locked, and of files in it that are damaged.
pub(super) fn tell_damage(
    guard: &Guard,
    store: &Store,
    console: &Console,
    out: &Path,
) -> Result<(), Exit> {
    let warn = |place: &Path, message: String| Problem::warning(place, message);
    if let Some(why) = &guard.unlocked {
        let message = format!("this folder cannot be locked: {why}");
        let problem = warn(&store.path(""), message).hint("see that nobody else works in it");
        console.problem(&problem, &Sources::default());
    }
    let damaged = night::damaged(out).and_then(|history| {
        let mut all = store.damaged()?;
        all.extend(history);
        Ok(all)
    });
    for Damage { file, kept, lines } in damaged.map_err(|e| refuse_output(console, out, &e))? {
        let plural = if lines == 1 { "line" } else { "lines" };
        let message = format!("{lines} {plural} cannot be read; the others are used");
        let hint = format!("it is kept as it was in {}", kept.display());
        console.problem(&warn(&file, message).hint(hint), &Sources::default());
    }
    Ok(())
}

pub(super) fn refuse_output(console: &Console, out: &Path, error: &std::io::Error) -> Exit {
    let problem = Problem::error(
        Place::File(out.to_path_buf()),
        format!("cannot write here: {error}"),
    );
    console.problem(&problem, &Sources::default());
    Exit::Output
}
