//! How far a night is: done, rate, time left.

use std::time::Instant;

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use super::console::{Console, Progress};
use super::pace::pace;
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

impl Drop for NightProgress<'_> {
    fn drop(&mut self) {
        if let Some(bar) = &self.bar {
            bar.finish_and_clear();
        }
    }
}
