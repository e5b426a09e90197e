//! Events in, progress and failures out.

use std::collections::BTreeMap;
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use super::console::{Console, Progress};
use super::pace::pace;
use crate::batch::{Event, Failure};
use crate::diag::Sources;

/// Decides when a counter line is due: never two within two seconds, and then only when a tenth
/// of the work or a minute has passed since the last.
#[derive(Debug)]
pub(super) struct Lines {
    last: Duration,
    tenths: usize,
}

impl Lines {
    const LEAST: Duration = Duration::from_secs(2);
    const MOST: Duration = Duration::from_secs(60);

    pub(super) const fn new() -> Self {
        Self {
            last: Duration::ZERO,
            tenths: 0,
        }
    }

    /// True when a line is due now, `since` the start.
    pub(super) fn due(&mut self, done: usize, total: usize, since: Duration) -> bool {
        let passed = since.saturating_sub(self.last);
        let tenths = done * 10 / total.max(1);
        let due =
            done < total && passed >= Self::LEAST && (tenths > self.tenths || passed >= Self::MOST);
        if due {
            self.last = since;
            self.tenths = tenths;
        }
        due
    }
}

/// Hears the events of a run.
pub struct Reporter<'a> {
    console: &'a Console,
    sources: &'a Sources,
    names: &'a [String],
    /// Jobs that are done, in order; failures are told when all before them have ended.
    queue: Vec<usize>,
    /// How many things are done, a job perhaps several times.
    total: usize,
    next: usize,
    ended: BTreeMap<usize, Option<Failure>>,
    done: usize,
    bar: Option<ProgressBar>,
    lines: Option<Lines>,
    start: Instant,
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
        let total = jobs.len();
        let mut queue = jobs.to_vec();
        queue.sort_unstable();
        queue.dedup();
        let bar = (console.progress == Progress::Bar).then(|| {
            let bar = ProgressBar::with_draw_target(
                Some(total as u64),
                ProgressDrawTarget::stderr_with_hz(10),
            );
            let style = ProgressStyle::with_template("  {bar:32} {pos}/{len}  {wide_msg}");
            bar.with_style(style.unwrap_or_else(|_| ProgressStyle::default_bar()))
        });
        Self {
            console,
            sources,
            names,
            queue,
            total,
            next: 0,
            ended: BTreeMap::new(),
            done: 0,
            bar,
            lines: (console.progress == Progress::Lines).then(Lines::new),
            start: Instant::now(),
        }
    }

    /// Takes an event in.
    pub fn hear(&mut self, event: Event) {
        match event {
            Event::Started(at) => {
                if let Some(bar) = &self.bar {
                    bar.set_message(self.names[at].clone());
                }
                return;
            }
            Event::Done(at) => self.ended.insert(at, None),
            Event::Failed(at, failure) => self.ended.insert(at, Some(failure)),
        };
        self.done += 1;
        if let Some(bar) = &self.bar {
            bar.set_position(self.done as u64);
        }
        let (done, total, since) = (self.done, self.total, self.start.elapsed());
        if self
            .lines
            .as_mut()
            .is_some_and(|lines| lines.due(done, total, since))
        {
            let pace = pace(done, (done as f64, total as f64), since);
            self.console.progress(&format!("{done}/{total}  {pace}"));
        }
        while let Some(&at) = self.queue.get(self.next)
            && let Some(ended) = self.ended.remove(&at)
        {
            if let Some(failure) = ended {
                self.tell(at, &failure);
            }
            self.next += 1;
        }
    }

    fn tell(&self, at: usize, failure: &Failure) {
        let problem = failure.problem(&self.names[at]);
        let tell = || self.console.problem(&problem, self.sources);
        match &self.bar {
            Some(bar) => bar.suspend(tell),
            None => tell(),
        }
    }
}

impl Drop for Reporter<'_> {
    fn drop(&mut self) {
        if let Some(bar) = &self.bar {
            bar.finish_and_clear();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(total: usize, each: Duration) -> Vec<usize> {
        let mut lines = Lines::new();
        (1..=total)
            .filter(|&n| lines.due(n, total, each * u32::try_from(n).unwrap()))
            .collect()
    }

    #[test]
    fn a_quick_run_tells_nothing() {
        assert!(told(1000, Duration::from_millis(1)).is_empty());
    }

    #[test]
    fn a_run_tells_every_tenth_but_not_within_two_seconds() {
        assert_eq!(
            told(1000, Duration::from_millis(100)),
            [100, 200, 300, 400, 500, 600, 700, 800, 900]
        );
        assert_eq!(told(1000, Duration::from_millis(5)), [400, 800]);
    }

    #[test]
    fn a_slow_run_tells_every_minute() {
        assert_eq!(told(100, Duration::from_secs(30)).len(), 49);
    }
}
