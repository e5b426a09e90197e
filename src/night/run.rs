//! The run: units on threads, heavy first, each journalled when its files are in place.

use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Instant;

use super::make::{Desk, Output};
use super::order::heavy_first;
use super::plan::{Night, Unit};
use super::store::{Journal, Known, Measured, Store, stat};
use super::unit::Record;
use crate::batch::{Failure, guarded, with_threads};
use crate::diag;
use crate::draw::Scratch;
use crate::solve::Puppet;

/// What happens in a night; `usize` is the unit's place in the night.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Event {
    /// A thread took the unit up.
    Started(usize),
    /// It is made, or it was found that nothing can be made of its inputs.
    Done(usize),
    /// It could not be drawn or written.
    Failed(usize, String),
}

/// What became of the units that were to do, in their order.
pub type Results = Vec<(usize, Result<Known, String>)>;

/// Where a night's files are.
#[derive(Clone, Copy, Debug)]
pub struct Places<'a> {
    /// For all that people and programs read.
    pub out: &'a Path,
    /// For what the next night needs to know.
    pub store: &'a Store,
    /// Nothing that is there is built on.
    pub again: bool,
}

/// Does these units of the night.
pub fn run(
    night: &Night,
    todo: &[usize],
    places: Places<'_>,
    journal: &Journal,
    threads: usize,
    watch: impl FnMut(Event),
) -> Results {
    let order = heavy_first(night, todo);
    let puppets = Puppets::new(night, &order);
    let next = AtomicUsize::new(0);
    let results = Mutex::new(Vec::with_capacity(order.len()));
    with_threads(
        threads,
        |tell: &(dyn Fn(Event) + Sync)| {
            let worker = || {
                let mut scratch = Scratch::default();
                while let Some(&at) = order.get(next.fetch_add(1, Ordering::Relaxed)) {
                    tell(Event::Started(at));
                    let unit = &night.units[at];
                    let made =
                        guarded(|| finish((night, &puppets), unit, places, journal, &mut scratch));
                    puppets.done(unit);
                    let made = made.map_err(|failure| failure.below(places.out).to_string());
                    tell(match &made {
                        Ok(_) => Event::Done(at),
                        Err(why) => Event::Failed(at, why.clone()),
                    });
                    results
                        .lock()
                        .unwrap_or_else(PoisonError::into_inner)
                        .push((at, made));
                }
            };
            // Each thread has its own loop, which no other can take up in the middle of a unit.
            rayon::broadcast(|_| worker());
        },
        watch,
    );
    let mut results = results.into_inner().unwrap_or_else(PoisonError::into_inner);
    results.sort_unstable_by_key(|(at, _)| *at);
    results
}

/// Views prepared when their first unit is taken up, and dropped with their last.
pub(super) struct Puppets<'a> {
    night: &'a Night,
    slots: Vec<(AtomicUsize, Mutex<Option<Puppet>>)>,
}

impl<'a> Puppets<'a> {
    fn new(night: &'a Night, units: &[usize]) -> Self {
        let slots: Vec<_> = night
            .plan
            .models
            .iter()
            .map(|_| (AtomicUsize::new(0), Mutex::new(None)))
            .collect();
        for model in units.iter().flat_map(|&at| shared(&night.units[at])) {
            slots[*model].0.fetch_add(1, Ordering::Relaxed);
        }
        Self { night, slots }
    }

    /// Of a model of the night, by place.
    pub(super) fn get(&self, model: usize) -> Puppet {
        let mut slot = self.slots[model]
            .1
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        slot.get_or_insert_with(|| self.apart(model)).clone()
    }

    /// The same, not kept for anybody else.
    pub(super) fn apart(&self, model: usize) -> Puppet {
        let it = &self.night.plan.models[model];
        Puppet::new(Arc::clone(&it.member), it.view, &it.library)
            .expect("a view with its own drawings")
    }

    fn done(&self, unit: &Unit) {
        for &model in shared(unit) {
            let (left, slot) = &self.slots[model];
            if left.fetch_sub(1, Ordering::AcqRel) == 1 {
                *slot.lock().unwrap_or_else(PoisonError::into_inner) = None;
            }
        }
    }
}

/// The views that a unit shares with others. One that shows the whole cast would keep all of them.
fn shared(unit: &Unit) -> &[usize] {
    if unit.member.is_some() {
        &unit.models
    } else {
        &[]
    }
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
    let desk = Desk {
        night,
        places,
        puppets,
    };
    let (output, refused) = match desk.make(unit, scratch) {
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
    let failed = |e: std::io::Error| Failure::Write {
        path: "the journal".into(),
        why: e.to_string(),
    };
    journal.add(&record, &measured).map_err(failed)?;
    Ok(Known {
        record,
        measured: Some(measured),
        recent: true,
    })
}
