//! `layfig night`.

mod args;
mod read;
mod select;
mod work;

use std::path::Path;

use super::args::RunningArgs;
use super::console::Console;
use super::exit::{Exit, Faults};
use super::terminal::count;
use crate::build::night::{self, Damage, Guard, Scope, Store};
use crate::build::on_threads;
use crate::diag::{Place, Problem, Sources};
use select::Selection;
use work::Work;

pub use args::{KeepingArgs, NightArgs};
pub use work::print_summary;

/// Runs it.
#[must_use]
pub fn run(typed: &NightArgs, running: &RunningArgs) -> Exit {
    let console = Console::new(running);
    let mut faults = Faults::default();
    let threads = running.threads();
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
    let fresh = on_threads(threads, || night.fresh(&known, out, typed.verify));
    let todo: Vec<usize> = share
        .iter()
        .copied()
        .filter(|&at| typed.again || !fresh[at])
        .collect();
    if typed.dry_run {
        work::rehearse(&console, &night, &known, &todo, share.len());
        return faults.exit();
    }
    let mut scope = Scope::new(&night, &units, select::words(typed));
    scope.label.clone_from(&typed.label);
    scope.since = since;
    let work = Work {
        night: &night,
        scope: &scope,
        store: &store,
        out,
        again: typed.again,
        threads,
    };
    match work.run(&console, known, &todo, share.len(), typed.shard) {
        Ok(told) => {
            faults.input |= told.input;
            faults.output |= told.output;
            faults.look |= told.look;
            faults.exit()
        }
        Err(e) => refuse_output(&console, out, &e),
    }
}

/// Takes the folder for this run; what is damaged in it is kept beside and told.
fn guard(store: &Store, shared: bool, console: &Console, out: &Path) -> Result<Guard, Exit> {
    match store.guard(shared) {
        Ok(Some(guard)) => {
            print_damage(&guard, store, console, out)?;
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
pub(super) fn print_damage(
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
        let lines = count(lines, "line");
        let message = format!("{lines} cannot be read; the others are used");
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
