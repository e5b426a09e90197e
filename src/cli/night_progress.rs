//! How far a night is: done, rate, time left.

use super::console::Console;
use super::progress::Counter;
use crate::night::{Event, Night};

/// Hears the events of a night.
pub struct NightProgress<'a> {
    console: &'a Console,
    night: &'a Night,
    /// What was guessed of the units that are done, and of all.
    guessed: (f64, f64),
    counter: Counter<'a>,
}

impl<'a> NightProgress<'a> {
    /// For these units of a night.
    #[must_use]
    pub fn new(console: &'a Console, night: &'a Night, todo: &[usize]) -> Self {
        Self {
            console,
            night,
            guessed: (0.0, todo.iter().map(|&at| night.units[at].guess).sum()),
            counter: Counter::new(console, todo.len()),
        }
    }

    /// Takes an event in.
    pub fn hear(&mut self, event: &Event) {
        let key = |at: usize| &self.night.units[at].key;
        let (at, failed) = match event {
            Event::Started(at) => {
                let making = || format!("{}  {}", self.counter.pace(self.guessed), key(*at));
                self.counter.making(making);
                return;
            }
            Event::Done(at) => (*at, None),
            Event::Failed(at, why) => (*at, Some(why)),
        };
        if let Some(why) = failed {
            let line = format!("{}: {why}", key(at));
            self.counter.aside(|| self.console.remark(true, &line));
        }
        self.guessed.0 += self.night.units[at].guess;
        self.counter.step(Some(self.guessed));
    }
}
