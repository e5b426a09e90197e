//! The run: units on threads, heavy first, each journalled when its files are in place.

use std::time::Instant;

use super::make::{Output, UnitMaker};
use super::order::heavy_first;
use super::plan::{Night, Unit};
use super::shared::{Places, Puppets};
use super::store::{Journal, Known, Measured, stat};
use super::unit::Record;
use crate::build::{self, Event, Failure, guarded};
use crate::diag;
use crate::draw::Scratch;

/// What became of the units that were to do, in their order.
pub type Results = Vec<(usize, Result<Known, Failure>)>;

/// Does these units of the night. Events and failures tell units by their place in the night, and files from
/// the output folder.
pub fn run(
    night: &Night,
    todo: &[usize],
    places: Places<'_>,
    journal: &Journal,
    threads: usize,
    mut watch: impl FnMut(Event),
) -> Results {
    let order = heavy_first(night, todo);
    let puppets = Puppets::new(night, &order);
    let work = |&at: &usize, scratch: &mut Scratch| {
        let unit = &night.units[at];
        let made = guarded(|| finish((night, &puppets), unit, places, journal, scratch));
        puppets.done(unit);
        made.map_err(|failure| failure.below(places.out))
    };
    let made = build::run(&order, threads, work, |event| {
        watch(event.of(|at| order[at]))
    });
    let mut results: Results = order.iter().copied().zip(made).collect();
    results.sort_unstable_by_key(|(at, _)| *at);
    results
}

/// Makes a unit's files, then the line in the journal that says so.
fn finish(
    (night, puppets): (&Night, &Puppets<'_>),
    unit: &Unit,
    places: Places<'_>,
    journal: &Journal,
    scratch: &mut Scratch,
) -> Result<Known, Failure> {
    let started = Instant::now();
    let maker = UnitMaker {
        night,
        places,
        puppets,
    };
    let (output, refused) = match maker.make(unit, scratch) {
        Ok(output) => (output, None),
        Err(Failure::Input(problem)) => {
            let why = match unit.member {
                Some(member) => night.members[member].short(&problem),
                None => diag::short(&problem, &diag::Sources::default()),
            };
            (Output::default(), Some(why))
        }
        Err(failure) => return Err(failure),
    };
    let Output { files, findings } = output;
    let mut written: Vec<u64> = files
        .iter()
        .map(|made| stat(&places.out.join(&made.path)).map_or(0, |(written, _)| written))
        .collect();
    if written.is_empty() {
        written.push(journal.written());
    }
    let measured = Measured {
        us: u64::try_from(started.elapsed().as_micros()).unwrap_or(u64::MAX),
        written,
    };
    let record = Record {
        key: unit.key.clone(),
        inputs: unit.inputs.clone(),
        files,
        findings,
        refused,
    };
    let failed = |e| Failure::write("the journal", e);
    journal.add(&record, &measured).map_err(failed)?;
    Ok(Known {
        record,
        measured: Some(measured),
        recent: true,
    })
}
