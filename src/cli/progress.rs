//! How far a run is: a bar, or a line now and then.

use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use super::console::{Console, Progress};
use super::pace::pace;

/// Counts what is done and tells it as the console wants it told.
pub(super) struct Counter<'a> {
    console: &'a Console,
    done: usize,
    total: usize,
    bar: Option<ProgressBar>,
    lines: Option<Lines>,
    start: Instant,
}

impl<'a> Counter<'a> {
    pub fn new(console: &'a Console, total: usize) -> Self {
        let bar = (console.progress == Progress::Bar).then(|| {
            let target = ProgressDrawTarget::stderr_with_hz(10);
            let bar = ProgressBar::with_draw_target(Some(total as u64), target);
            let style = ProgressStyle::with_template("  {bar:32} {pos}/{len}  {wide_msg}");
            bar.with_style(style.unwrap_or_else(|_| ProgressStyle::default_bar()))
        });
        Self {
            console,
            done: 0,
            total,
            bar,
            lines: (console.progress == Progress::Lines).then(Lines::new),
            start: Instant::now(),
        }
    }

    /// What is being made; only a bar shows it.
    pub fn making(&self, what: impl FnOnce() -> String) {
        if let Some(bar) = &self.bar {
            bar.set_message(what());
        }
    }

    /// One more is done. `work` is what was guessed of those that are done, and of all.
    pub fn step(&mut self, work: Option<(f64, f64)>) {
        self.done += 1;
        if let Some(bar) = &self.bar {
            bar.set_position(self.done as u64);
        }
        let (done, total, since) = (self.done, self.total, self.start.elapsed());
        let due = |lines: &mut Lines| lines.due(done, total, since);
        if self.lines.as_mut().is_some_and(due) {
            let pace = self.pace(work.unwrap_or((done as f64, total as f64)));
            self.console.progress(&format!("{done}/{total}  {pace}"));
        }
    }

    /// Rate and time left.
    pub fn pace(&self, work: (f64, f64)) -> String {
        pace(self.done, work, self.start.elapsed())
    }

    /// Prints beside the bar.
    pub fn aside(&self, print: impl FnOnce()) {
        match &self.bar {
            Some(bar) => bar.suspend(print),
            None => print(),
        }
    }
}

impl Drop for Counter<'_> {
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
