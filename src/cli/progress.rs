//! How far a run is: a bar, or a line now and then; and what went wrong in it.

use std::collections::BTreeMap;
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use super::console::{Console, Progress};
use crate::build::{Event, Failure};
use crate::diag::{Problem, Sources};

/// Hears the events of a run, and tells of them as the console wants it.
pub struct Reporter<'a> {
    console: &'a Console,
    /// The files that failures have places in; without, they are told in a line each.
    sources: Option<&'a Sources>,
    names: &'a [String],
    /// Jobs in order; failures are told when all before them have ended.
    queue: Vec<usize>,
    next: usize,
    ended: BTreeMap<usize, Option<Failure>>,
    /// Views share their poses, and their mistakes.
    told: Vec<Problem>,
    /// What was guessed of each job's work, where jobs differ by far.
    guesses: Option<&'a [f64]>,
    /// Jobs that are done, and the work in them.
    done: (usize, f64),
    /// The same of all.
    total: (usize, f64),
    bar: Option<ProgressBar>,
    lines: Option<Lines>,
    start: Instant,
}

impl<'a> Reporter<'a> {
    /// For jobs of these names.
    #[must_use]
    pub fn new(console: &'a Console, sources: &'a Sources, names: &'a [String]) -> Self {
        let all: Vec<usize> = (0..names.len()).collect();
        Self::of(console, Some(sources), names, &all, None)
    }

    /// For some of the jobs of these names, by place; one may be among them more than once.
    #[must_use]
    pub fn of(
        console: &'a Console,
        sources: Option<&'a Sources>,
        names: &'a [String],
        jobs: &[usize],
        guesses: Option<&'a [f64]>,
    ) -> Self {
        let mut queue = jobs.to_vec();
        queue.sort_unstable();
        queue.dedup();
        let bar = (console.progress == Progress::Bar).then(|| {
            let target = ProgressDrawTarget::stderr_with_hz(10);
            let bar = ProgressBar::with_draw_target(Some(jobs.len() as u64), target);
            let style = ProgressStyle::with_template("  {bar:32} {pos}/{len}  {wide_msg}");
            bar.with_style(style.unwrap_or_else(|_| ProgressStyle::default_bar()))
        });
        let work = jobs.iter().map(|&at| guesses.map_or(1.0, |all| all[at]));
        Self {
            console,
            sources,
            names,
            queue,
            next: 0,
            ended: BTreeMap::new(),
            told: Vec::new(),
            guesses,
            done: (0, 0.0),
            total: (jobs.len(), work.sum()),
            bar,
            lines: (console.progress == Progress::Lines).then(Lines::new),
            start: Instant::now(),
        }
    }

    /// Takes an event in.
    pub fn hear(&mut self, event: Event) {
        let (at, ended) = match event {
            Event::Started(at) => {
                if let Some(bar) = &self.bar {
                    let name = &self.names[at];
                    bar.set_message(match self.guesses {
                        Some(_) => format!("{}  {name}", self.pace()),
                        None => name.clone(),
                    });
                }
                return;
            }
            Event::Done(at) => (at, None),
            Event::Failed(at, failure) => (at, Some(failure)),
        };
        self.done.0 += 1;
        self.done.1 += self.guesses.map_or(1.0, |all| all[at]);
        if let Some(bar) = &self.bar {
            bar.set_position(self.done.0 as u64);
        }
        let (done, total, since) = (self.done.0, self.total.0, self.start.elapsed());
        let due = |lines: &mut Lines| lines.due(done, total, since);
        if self.lines.as_mut().is_some_and(due) {
            self.console
                .progress(&format!("{done}/{total}  {}", self.pace()));
        }
        // A job may be done several times.
        self.ended.insert(at, ended);
        while let Some(&at) = self.queue.get(self.next)
            && let Some(ended) = self.ended.remove(&at)
        {
            if let Some(failure) = ended {
                self.print_failure(at, &failure);
            }
            self.next += 1;
        }
    }

    fn pace(&self) -> String {
        pace(
            self.done.0,
            (self.done.1, self.total.1),
            self.start.elapsed(),
        )
    }

    /// Beside the bar.
    fn print_failure(&mut self, at: usize, failure: &Failure) {
        let name = &self.names[at];
        let problem = failure.problem(name);
        if self.sources.is_some() && self.told.contains(&problem) {
            return;
        }
        let print = || match self.sources {
            Some(sources) => self.console.problem(&problem, sources),
            None => self.console.remark(true, &format!("{name}: {failure}")),
        };
        match &self.bar {
            Some(bar) => bar.suspend(print),
            None => print(),
        }
        self.told.push(problem);
    }
}

impl Drop for Reporter<'_> {
    fn drop(&mut self) {
        if let Some(bar) = &self.bar {
            bar.finish_and_clear();
        }
    }
}

/// Decides when a counter line is due: never two within two seconds, and then only when a tenth
/// of the work or a minute has passed since the last.
#[derive(Debug)]
struct Lines {
    last: Duration,
    tenths: usize,
}

impl Lines {
    const LEAST: Duration = Duration::from_secs(2);
    const MOST: Duration = Duration::from_secs(60);

    const fn new() -> Self {
        Self {
            last: Duration::ZERO,
            tenths: 0,
        }
    }

    /// True when a line is due now, `since` the start.
    fn due(&mut self, done: usize, total: usize, since: Duration) -> bool {
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

/// Rate and time left. Units differ by far in what they take: the time left follows from what was
/// guessed of each, measured by what those that are done took.
fn pace(done: usize, (guessed, all): (f64, f64), since: Duration) -> String {
    let seconds = since.as_secs_f64();
    if done == 0 || seconds <= 0.0 || guessed <= 0.0 {
        return "starting".to_owned();
    }
    let rate = done as f64 / seconds;
    let rate = if rate >= 10.0 {
        format!("{rate:.0}")
    } else {
        format!("{rate:.1}")
    };
    let left = ((all - guessed) / guessed * seconds).max(0.0).ceil() as u64;
    format!("{rate} a second, {} left", spoken(left))
}

/// A time in seconds as people say it.
pub fn spoken(seconds: u64) -> String {
    match seconds {
        0..60 => format!("{seconds} s"),
        60..3600 => format!("{} min {} s", seconds / 60, seconds % 60),
        _ => format!("{} h {} min", seconds / 3600, seconds / 60 % 60),
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

    #[test]
    fn the_time_left_follows_from_the_work_left_not_from_the_count() {
        let ten = Duration::from_secs(10);
        assert_eq!(pace(0, (0.0, 5.0), ten), "starting");
        // One heavy unit of two hundred, and it was half of the work.
        assert_eq!(pace(1, (50.0, 100.0), ten), "0.1 a second, 10 s left");
        assert_eq!(pace(400, (400.0, 401.0), ten), "40 a second, 1 s left");
    }

    #[test]
    fn times_are_spoken() {
        assert_eq!(spoken(59), "59 s");
        assert_eq!(spoken(61), "1 min 1 s");
        assert_eq!(spoken(7260), "2 h 1 min");
    }
}
