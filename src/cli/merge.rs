//! `layfig merge`.

use clap::Args;

use super::args::RunningArgs;
use super::console::Console;
use super::exit::Exit;
use super::night::{KeepingArgs, print_damage, print_summary, refuse_output};
use crate::build::night;
use crate::diag::{Place, Problem, Sources};

/// Arguments of `layfig merge`.
#[derive(Clone, Debug, Args)]
pub struct MergeArgs {
    #[command(flatten)]
    keeping: KeepingArgs,
}

/// Runs it.
#[must_use]
pub fn run(typed: &MergeArgs, running: &RunningArgs) -> Exit {
    let console = Console::new(running);
    let out = &typed.keeping.out;
    let store = typed.keeping.store();
    let refuse = |message: String, hint: &str| {
        let problem = Problem::error(Place::File(out.clone()), message).hint(hint);
        console.problem(&problem, &Sources::default());
    };
    let _guard = match store.guard(false) {
        Ok(Some(guard)) => match print_damage(&guard, &store, &console, out) {
            Ok(()) => guard,
            Err(exit) => return exit,
        },
        Ok(None) => {
            let hint = "merge when all shards are done";
            refuse("a shard is still at work in this folder".to_owned(), hint);
            return Exit::Output;
        }
        Err(e) => return refuse_output(&console, out, &e),
    };
    let (scope, failed) = match night::gather(&store) {
        Ok(gathered) => gathered,
        Err(why) => {
            refuse(
                why.to_string(),
                "run the shards that lack, all with the same arguments",
            );
            return Exit::Output;
        }
    };
    let known = store.known();
    let lost = scope.units.iter().find(|unit| {
        let made = known
            .get(&unit.key)
            .is_some_and(|known| known.record.inputs == unit.inputs && known.is_sound(out, false));
        !made && failed.iter().all(|(key, _)| *key != unit.key)
    });
    if let Some(unit) = lost {
        let hint = "run the shards again: they make only what lacks";
        refuse(format!("the shards have not made {}", unit.key), hint);
        return Exit::Output;
    }
    match night::close(out, &store, &scope, known, &failed, running.threads()) {
        Ok(summary) => print_summary(&console, &summary, out).exit(),
        Err(e) => refuse_output(&console, out, &e),
    }
}
