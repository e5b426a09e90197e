//! Events in, progress and failures out.

use std::collections::BTreeMap;

use super::console::Console;
use super::progress::Counter;
use crate::batch::{Event, Failure};
use crate::diag::Sources;

/// Hears the events of a run.
pub struct Reporter<'a> {
    console: &'a Console,
    sources: &'a Sources,
    names: &'a [String],
    /// Jobs that are done, in order; failures are told when all before them have ended.
    queue: Vec<usize>,
    next: usize,
    ended: BTreeMap<usize, Option<Failure>>,
    counter: Counter<'a>,
}

impl<'a> Reporter<'a> {
    /// For jobs of these names.
    #[must_use]
    pub fn new(console: &'a Console, sources: &'a Sources, names: &'a [String]) -> Self {
        let all: Vec<usize> = (0..names.len()).collect();
        Self::of(console, sources, names, &all)
    }

    /// For some of the jobs of these names, by place; one may be among them more than once.
    #[must_use]
    pub fn of(
        console: &'a Console,
        sources: &'a Sources,
        names: &'a [String],
        jobs: &[usize],
    ) -> Self {
        let mut queue = jobs.to_vec();
        queue.sort_unstable();
        queue.dedup();
        Self {
            console,
            sources,
            names,
            queue,
            next: 0,
            ended: BTreeMap::new(),
            // A job may be done several times.
            counter: Counter::new(console, jobs.len()),
        }
    }

    /// Takes an event in.
    pub fn hear(&mut self, event: Event) {
        match event {
            Event::Started(at) => {
                self.counter.making(|| self.names[at].clone());
                return;
            }
            Event::Done(at) => self.ended.insert(at, None),
            Event::Failed(at, failure) => self.ended.insert(at, Some(failure)),
        };
        self.counter.step(None);
        while let Some(&at) = self.queue.get(self.next)
            && let Some(ended) = self.ended.remove(&at)
        {
            if let Some(failure) = ended {
                self.print_failure(at, &failure);
            }
            self.next += 1;
        }
    }

    fn print_failure(&self, at: usize, failure: &Failure) {
        let problem = failure.problem(&self.names[at]);
        let print = || self.console.problem(&problem, self.sources);
        self.counter.aside(print);
    }
}
