//! How far a night is: done, rate, time left.

use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use super::console::{Console, Progress};
use super::reporter::Lines;
use crate::night::{Event, Night};

/// Hears the events of a night.
pub struct NightProgress<'a> {
    console: &'a Console,
    night: &'a Night,
    done: usize,
    total: usize,
    /// What was guessed of the units that are done, and of all.
    guessed: (f64, f64),
    bar: Option<ProgressBar>,
    lines: Option<Lines>,
    start: Instant,
}

impl<'a> NightProgress<'a> {
    /// For these units of a night.
    #[must_use]
    pub fn new(console: &'a Console, night: &'a Night, todo: &[usize]) -> Self {
        let bar = (console.progress == Progress::Bar).then(|| {
            let target = ProgressDrawTarget::stderr_with_hz(10);
            let bar = ProgressBar::with_draw_target(Some(todo.len() as u64), target);
            let style = ProgressStyle::with_template("  {bar:32} {pos}/{len}  {wide_msg}");
            bar.with_style(style.unwrap_or_else(|_| ProgressStyle::default_bar()))
        });
        Self {
            console,
            night,
            done: 0,
            total: todo.len(),
            guessed: (0.0, todo.iter().map(|&at| night.units[at].guess).sum()),
            bar,
            lines: (console.progress == Progress::Lines).then(Lines::new),
            start: Instant::now(),
        }
    }

    /// Takes an event in.
    pub fn hear(&mut self, event: &Event) {
        let (at, failed) = match event {
            Event::Started(at) => {
                if let Some(bar) = &self.bar {
                    let pace = self.pace();
                    bar.set_message(format!("{pace}  {}", self.night.units[*at].key));
                }
                return;
            }
            Event::Done(at) => (*at, None),
            Event::Failed(at, why) => (*at, Some(why)),
        };
        self.done += 1;
        self.guessed.0 += self.night.units[at].guess;
        if let Some(bar) = &self.bar {
            bar.set_position(self.done as u64);
        }
        if let Some(why) = failed {
            let line = format!("{}: {why}", self.night.units[at].key);
            match &self.bar {
                Some(bar) => bar.suspend(|| self.console.remark(true, &line)),
                None => self.console.remark(true, &line),
            }
        }
        let since = self.start.elapsed();
        let due = |lines: &mut Lines| lines.due(self.done, self.total, since);
        if self.lines.as_mut().is_some_and(due) {
            let line = format!("{}/{}, {}", self.done, self.total, self.pace());
            self.console.progress(&line);
        }
    }

    fn pace(&self) -> String {
        pace(self.done, self.guessed, self.start.elapsed())
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

impl Drop for NightProgress<'_> {
    fn drop(&mut self) {
        if let Some(bar) = &self.bar {
            bar.finish_and_clear();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

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
