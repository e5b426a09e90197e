//! One line for each night, never changed once written.

use std::io;
use std::path::Path;

use serde::{Deserialize, Serialize};

use super::digest::{Digest, brief};
use super::json_lines::{Damage, Grows, damage, lines, rewrite};
use super::summary::Counts;

/// A night in the history.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Entry {
    /// What it was called: its date, say.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub label: Option<String>,
    /// Of all inputs.
    pub inputs: Digest,
    /// The night that it was compared with: the digest of its inputs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub since: Option<Digest>,
    /// The version of the program.
    pub engine: String,
    /// What it came to.
    #[serde(flatten)]
    pub counts: Counts,
    /// Units that were made; the others were as the last night had left them.
    pub made: usize,
    /// What making them took, over all threads and shards, seconds.
    pub seconds: f64,
}

impl Entry {
    /// What people call the night.
    #[must_use]
    pub fn title(&self) -> &str {
        self.label.as_deref().unwrap_or(brief(&self.inputs))
    }
}

/// All nights, the oldest first.
#[must_use]
pub fn history(out: &Path) -> Vec<Entry> {
    lines(&out.join(FILE), Grows::AtOnce).collect()
}

/// Keeps a damaged history beside its place, before what can be read of it is written there.
///
/// # Errors
///
/// When it cannot be read or kept.
pub fn damaged(out: &Path) -> io::Result<Option<Damage>> {
    damage::<Entry>(&out.join(FILE), Grows::AtOnce)
}

/// The file, in the output folder.
pub const FILE: &str = "history.jsonl";

/// Writes the history with a new entry. It is written whole: a run that breaks off cannot leave half
/// a line.
///
/// # Errors
///
/// When it cannot be written.
pub fn write(out: &Path, entries: &[Entry]) -> io::Result<()> {
    let mut bytes = Vec::new();
    for entry in entries {
        serde_json::to_writer(&mut bytes, entry)?;
        bytes.push(b'\n');
    }
    rewrite(&out.join(FILE), &bytes)
}

/// The night that a revision names: a label, or the first digits of its inputs' digest. Where several
/// have it, the latest.
#[must_use]
pub fn find<'a>(entries: &'a [Entry], revision: &str) -> Option<&'a Entry> {
    let labelled = |e: &&Entry| e.label.as_deref() == Some(revision);
    let digits = |e: &&Entry| revision.len() >= 4 && e.inputs.as_str().starts_with(revision);
    entries
        .iter()
        .rev()
        .find(labelled)
        .or_else(|| entries.iter().rev().find(digits))
}
