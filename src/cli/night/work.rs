//! A run of a night and its end, and what is told of it.

use std::collections::BTreeMap;
use std::path::Path;

use serde_json::json;

use crate::build::CUT_OFF_HINT;
use crate::cli::console::Console;
use crate::cli::exit::Faults;
use crate::cli::progress::{Reporter, spoken};
use crate::cli::terminal::count;

use crate::build::night::{
    self, Key, Kind, Known, Level, Night, Places, Scope, Shard, State, Store, Summary, UnitSummary,
    brief,
};
use crate::diag::{Place, Problem, Sources};

/// Prints the plan.
pub(super) fn rehearse(
    console: &Console,
    night: &Night,
    known: &BTreeMap<Key, Known>,
    todo: &[usize],
    all: usize,
) {
    let mut total = 0.0;
    for at in night::heavy_first(night, todo) {
        let unit = &night.units[at];
        let why = match known.get(&unit.key) {
            None => "new",
            Some(known) if known.record.inputs != unit.inputs => "its inputs changed",
            Some(_) => "made again",
        };
        total += unit.guess;
        let ms = unit.guess / 1000.0;
        console.result(&format!("{}  {why}, about {ms:.0} ms", unit.key));
        console.object(|| json!({ "plan": unit.key, "why": why, "milliseconds": ms.round(), "file": night.file(unit).to_string_lossy() }));
    }
    let seconds = (total / 1e6).ceil() as u64;
    let (due, same) = (todo.len(), all - todo.len());
    console.result(&format!(
        "{due} of {all} to make, about {} of work; {same} as they were",
        spoken(seconds)
    ));
    console.object(|| json!({ "summary": { "to_make": due, "of": all, "seconds": total / 1e6 } }));
}

/// A run and its end.
pub(super) struct Work<'a> {
    pub night: &'a Night,
    pub scope: &'a Scope,
    pub store: &'a Store,
    pub out: &'a Path,
    /// Nothing that is there is built on.
    pub again: bool,
    pub threads: usize,
}

impl Work<'_> {
    /// Makes what is to do; the end of a night follows unless this is a shard.
    pub fn run(
        &self,
        console: &Console,
        mut known: BTreeMap<Key, Known>,
        todo: &[usize],
        share: usize,
        shard: Option<Shard>,
    ) -> std::io::Result<Faults> {
        let night = self.night;
        let mut failed: Vec<(Key, String)> = Vec::new();
        let mut made = 0;
        if !todo.is_empty() {
            let journal = self.store.journal(&shard.unwrap_or(Shard::WHOLE).name())?;
            let names: Vec<String> = night.units.iter().map(|u| u.key.to_string()).collect();
            let guesses: Vec<f64> = night.units.iter().map(|u| u.guess).collect();
            let mut progress = Reporter::of(console, None, &names, todo, Some(&guesses));
            let places = Places {
                out: self.out,
                store: self.store,
                again: self.again,
            };
            let results = night::run(night, todo, places, &journal, self.threads, |event| {
                progress.hear(event);
            });
            drop(progress);
            for (at, result) in results {
                let key = night.units[at].key.clone();
                match result {
                    Ok(it) => {
                        made += usize::from(it.record.refused.is_none());
                        known.insert(key, it);
                    }
                    Err(why) => failed.push((key, why.to_string())),
                }
            }
        }
        if let Some(shard) = shard {
            night::save_shard(self.store, shard, self.scope, failed.clone())?;
            console.result(&format!(
                "shard {} of {}: made {made} of {share}, {} as they were",
                shard.number,
                shard.of,
                share - todo.len()
            ));
            console.object(|| json!({ "summary": { "shard": shard.number, "of": shard.of, "made": made, "failed": failed } }));
            // What its units found, the merge tells.
            return Ok(Faults {
                input: !night.unread.is_empty(),
                output: !failed.is_empty(),
                ..Faults::default()
            });
        }
        let (store, scope) = (self.store, self.scope);
        let summary = night::close(self.out, store, scope, known, &failed, self.threads)?;
        console.result(&format!("made {made}, {} as they were", share - todo.len()));
        Ok(print_summary(console, &summary, self.out))
    }
}

/// Tells what a night came to.
pub fn print_summary(console: &Console, summary: &Summary, out: &Path) -> Faults {
    let counts = &summary.counts;
    let lost = || {
        let units = summary.units();
        units.filter(|u| matches!(u.state, State::Refused | State::Failed))
    };
    if !summary.unread.is_empty() || lost().next().is_some() {
        console.remark(true, "not made:");
        for (name, why) in &summary.unread {
            console.remark(true, &format!("  {name}: {why}"));
        }
        for unit in lost() {
            let why = unit.why.as_deref().unwrap_or("it was not made");
            console.remark(true, &format!("  {}: {why}", unit.key));
        }
    }
    if let Some(since) = &summary.since {
        let name = since.label.as_deref().unwrap_or(brief(&since.inputs));
        let line = format!(
            "since night {name}: {} changed, {} new, {} gone",
            counts.changed, counts.new, counts.gone
        );
        console.result(&line);
        let changed = summary.units().filter(|u| u.state == State::Changed);
        some(console, changed.map(|unit| unit.key.to_string()).collect());
    }
    cut_off(console, summary);
    look_at(console, summary);
    let page = out.join("index.html");
    console.result(&format!(
        "{}, {}, {}, {}: {}",
        count(counts.pictures, "picture"),
        count(counts.sheets, "sheet"),
        count(counts.checks, "check"),
        count(counts.comparisons, "comparison"),
        page.display()
    ));
    console.object(|| {
        json!({ "summary": {
            "counts": counts,
            "inputs": summary.inputs,
            "since": summary.since,
            "unread": summary.unread,
            "page": page.to_string_lossy(),
        }})
    });
    let problems = summary.members.iter().flat_map(|m| &m.problems);
    let mistakes = problems.filter(|p| p.level == Level::Error).count();
    Faults {
        input: counts.refused > 0 || !summary.unread.is_empty() || mistakes > 0,
        output: counts.failed > 0,
        nothing: false,
        look: counts.faults + counts.differing > 0,
    }
}

/// Figures that their pictures cut off, which is all that is found on pictures.
fn cut_off(console: &Console, summary: &Summary) {
    let pictures = summary.units().filter(|u| u.key.kind == Kind::Picture);
    for finding in pictures.flat_map(|unit| &unit.findings) {
        let problem = Problem::warning(Place::Nowhere, finding.text.as_str());
        console.problem(&problem.hint(CUT_OFF_HINT), &Sources::default());
    }
}

/// Findings that a person must look at.
fn look_at(console: &Console, summary: &Summary) {
    let counts = &summary.counts;
    if counts.faults + counts.differing == 0 {
        return;
    }
    console.result(&format!(
        "to look at: {} not as approved, {} found by checks and sheets",
        counts.differing, counts.faults
    ));
    let lines = |unit: &UnitSummary| -> Vec<String> {
        let grave = unit.findings.iter().filter(|f| f.level == Level::Error);
        grave
            .map(|finding| {
                // A pose has its member's name already.
                if finding.text.starts_with(&format!("{}/", unit.key.of)) {
                    finding.text.clone()
                } else {
                    format!("{}: {}", unit.key.name(), finding.text)
                }
            })
            .collect()
    };
    some(console, summary.units().flat_map(lines).collect());
}

/// Some lines, and how many more there are.
fn some(console: &Console, lines: Vec<String>) {
    const MOST: usize = 12;
    for line in lines.iter().take(MOST) {
        console.result(&format!("  {line}"));
    }
    if lines.len() > MOST {
        console.result(&format!("  and {} more", lines.len() - MOST));
    }
}
