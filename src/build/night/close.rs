//! The end of a night: summaries, history and state, in an order that any break can be gone on from.

use std::collections::{BTreeMap, BTreeSet};
use std::io;
use std::path::{Path, PathBuf};

use super::digest::Digest;
use super::history::{self, Entry};
use super::json_lines::rewrite;
use super::scope::{self, Scope};
use super::store::{Digests, Known, Store};
use super::summary::{Since, Summary, sum_up};
use super::unit::Key;
use super::{junit, page, review, trends};
use crate::files::sweep_out;

/// Writes everything that tells of a night. The same night closed again changes nothing.
///
/// # Errors
///
/// When a file cannot be written.
pub fn close(
    out: &Path,
    store: &Store,
    scope: &Scope,
    mut known: BTreeMap<Key, Known>,
    failed: &[(Key, String)],
    threads: usize,
) -> io::Result<Summary> {
    review::review(out, scope, &mut known, threads)?;
    let failed: BTreeMap<Key, String> = failed.iter().cloned().collect();
    let mut entries = history::history(out);
    let same = entries
        .last()
        .filter(|last| last.inputs == scope.inputs && last.label == scope.label)
        .cloned();
    let since = since(store, scope, &entries, same.as_ref());
    let summary = sum_up(scope, &known, &failed, since);
    if scope.selection.is_none() && failed.is_empty() {
        let digests: Digests = scope
            .units
            .iter()
            .filter_map(|unit| {
                let record = &known.get(&unit.key)?.record;
                Some((
                    unit.key.to_string(),
                    [record.inputs.clone(), record.outcome()],
                ))
            })
            .collect();
        store.remember(&scope.inputs, &digests)?;
        if same.is_none() {
            let made: Vec<&Known> = scope
                .units
                .iter()
                .filter_map(|unit| known.get(&unit.key).filter(|known| known.recent))
                .collect();
            let us: u64 = made
                .iter()
                .filter_map(|known| known.measured.as_ref())
                .map(|measured| measured.us)
                .sum();
            entries.push(Entry {
                label: scope.label.clone(),
                inputs: scope.inputs.clone(),
                since: summary.since.as_ref().map(|since| since.inputs.clone()),
                engine: scope.engine.clone(),
                counts: summary.counts,
                made: made.len(),
                seconds: (us / 1000) as f64 / 1000.0,
            });
        }
    }
    let mut json = serde_json::to_vec_pretty(&summary)?;
    json.push(b'\n');
    rewrite(&out.join("summary.json"), &json)?;
    let report = junit::junit(&summary).map_err(io::Error::other)?;
    rewrite(&out.join("junit.xml"), report.as_bytes())?;
    rewrite(&out.join("index.html"), page::summary(&summary).as_bytes())?;
    history::write(out, &entries)?;
    let nights = trends::trends(&scope.cast, &entries);
    rewrite(&out.join("history.html"), nights.as_bytes())?;
    // Where something failed, the next run ends this night.
    if failed.is_empty() {
        settle(out, store, scope, known)?;
    }
    Ok(summary)
}

/// The night to compare with: the one that was asked for, else the one before this.
fn since(
    store: &Store,
    scope: &Scope,
    entries: &[Entry],
    same: Option<&Entry>,
) -> Option<(Since, Digests)> {
    let inputs: &Digest = match (&scope.since, same) {
        (Some(asked), _) => asked,
        (None, Some(same)) => same.since.as_ref()?,
        (None, None) => &entries.last()?.inputs,
    };
    let label = entries
        .iter()
        .rev()
        .filter(|e| Some(*e) != same)
        .find(|e| e.inputs == *inputs)
        .and_then(|e| e.label.clone());
    let since = Since {
        label,
        inputs: inputs.clone(),
    };
    Some((since, store.night(inputs)?))
}

/// Makes this night the one that the next builds on: files that no unit makes any more go, and
/// journals are folded into the state.
fn settle(
    out: &Path,
    store: &Store,
    scope: &Scope,
    mut known: BTreeMap<Key, Known>,
) -> io::Result<()> {
    let journals = store.journals();
    if scope.selection.is_none() {
        let wanted: BTreeSet<&Key> = scope.units.iter().map(|unit| &unit.key).collect();
        known.retain(|key, _| {
            wanted.contains(key) || is_unread(scope, key) || *key == Key::review()
        });
    }
    let kept: BTreeSet<&str> = known
        .values()
        .flat_map(|known| &known.record.files)
        .map(|made| made.path.as_str())
        .collect();
    for path in store.made_before() {
        if !kept.contains(path.as_str()) && is_below(&path) {
            match std::fs::remove_file(out.join(&path)) {
                Err(e) if e.kind() != io::ErrorKind::NotFound => return Err(e),
                _ => {}
            }
        }
    }
    // Runs that were killed may have left files that never came into their places.
    let mut folders: BTreeSet<PathBuf> = kept
        .iter()
        .filter_map(|path| out.join(path).parent().map(Path::to_path_buf))
        .collect();
    folders.insert(out.to_path_buf());
    folders.extend(["", "nights", "shards"].map(|name| store.path(name)));
    for folder in folders {
        sweep_out(&folder)?;
    }
    store.settle(&known)?;
    for journal in journals {
        match std::fs::remove_file(journal) {
            Err(e) if e.kind() != io::ErrorKind::NotFound => return Err(e),
            _ => {}
        }
    }
    scope::clear(store)
}

/// True for a unit that may be there again once a mistake is mended: what was made of it stays.
fn is_unread(scope: &Scope, key: &Key) -> bool {
    let mut of = key.of.clone();
    if of.list.is_some() {
        of.sheet.clone_from(&key.sheet);
    }
    scope.unread.iter().any(|(name, _)| name.holds(&of))
}

/// True for a path that leads nowhere but down: nothing else is taken away, whatever a state says.
fn is_below(path: &str) -> bool {
    path.split('/')
        .all(|step| !matches!(step, "" | "." | "..") && !step.contains(['\\', ':']))
}
