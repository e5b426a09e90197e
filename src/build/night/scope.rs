//! What a night asks for, as its shards and the merge share it: nothing that needs the inputs again.

use std::io;
use std::path::PathBuf;

use serde::{Deserialize, Serialize};

use super::digest::Digest;
use super::json_lines::{files, read, rewrite};
use super::plan::Night;
use super::shard::Shard;
use super::store::Store;
use super::unit::{Key, Level, NightFinding};
use crate::diag::Severity;
use crate::name::Name;

/// A member in a scope.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ScopeMember {
    /// What the cast calls it.
    pub key: String,
    /// Its display name; empty where its rig could not be read.
    pub name: String,
    /// What is wrong with its files.
    pub problems: Vec<NightFinding>,
}

/// A unit in a scope.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ScopeUnit {
    /// Which.
    #[serde(flatten)]
    pub key: Key,
    /// Its member's place among the members; of what shows the whole cast, none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub member: Option<usize>,
    /// Of what it depends on.
    pub inputs: Digest,
}

/// What a night asks for.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Scope {
    /// The version of the program.
    pub engine: String,
    /// The show's name.
    pub cast: String,
    /// What this night is called.
    pub label: Option<String>,
    /// Of all that the cast asks for.
    pub inputs: Digest,
    /// The night to compare with, if another than the last: the digest of its inputs.
    pub since: Option<Digest>,
    /// What was selected, in words; `None` for everything.
    pub selection: Option<String>,
    /// The cast, in its order.
    pub members: Vec<ScopeMember>,
    /// What cannot be made, and why.
    pub unread: Vec<(Name, String)>,
    /// What is selected, in order.
    pub units: Vec<ScopeUnit>,
}

impl Scope {
    /// Of the selected units of a night.
    #[must_use]
    pub fn new(night: &Night, selected: &[usize], selection: Option<String>) -> Self {
        let members = night.members.iter().map(|member| {
            let problems = member.problems.list().iter();
            ScopeMember {
                key: member.key.clone(),
                name: member
                    .subject
                    .as_ref()
                    .map_or_else(String::new, |s| s.member.name.clone()),
                problems: problems
                    .map(|problem| NightFinding {
                        level: match problem.severity {
                            Severity::Error => Level::Error,
                            Severity::Warning => Level::Warning,
                        },
                        text: member.short(problem),
                    })
                    .collect(),
            }
        });
        let units = selected.iter().map(|&at| {
            let unit = &night.units[at];
            ScopeUnit {
                key: unit.key.clone(),
                member: unit.member,
                inputs: unit.inputs.clone(),
            }
        });
        Self {
            engine: crate::compare::ENGINE.to_owned(),
            cast: night.cast.clone(),
            label: None,
            inputs: night.inputs(),
            since: None,
            selection,
            members: members.collect(),
            unread: night.unread.clone(),
            units: units.collect(),
        }
    }

    fn digest(&self) -> io::Result<Digest> {
        Ok(Digest::of(&serde_json::to_vec(self)?))
    }
}

/// What a shard leaves when it is done.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ShardDone {
    /// Which.
    pub number: usize,
    /// Of how many.
    pub of: usize,
    /// Of the scope that it worked on.
    #[serde(rename = "agenda")]
    pub scope: Digest,
    /// Units that could not be drawn or written, and why.
    pub failed: Vec<(Key, String)>,
}

/// Why shards cannot be merged.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NotMerged {
    /// There are none.
    #[error("no shard has been made here")]
    None,
    /// They were split differently.
    #[error("shards of {one} and of {other} lie here together")]
    Split {
        /// One number of shards.
        one: usize,
        /// Another.
        other: usize,
    },
    /// Some are missing.
    #[error("{} of {of} shards {}", missing.len(), not_done(missing))]
    Missing {
        /// Which.
        missing: Vec<usize>,
        /// Of how many.
        of: usize,
    },
    /// They worked on different things.
    #[error("shards {a} and {b} were made from different inputs or with different arguments")]
    Differ {
        /// One shard.
        a: usize,
        /// Another.
        b: usize,
    },
}

fn not_done(missing: &[usize]) -> String {
    let numbers: Vec<String> = missing.iter().map(ToString::to_string).collect();
    let verb = if missing.len() == 1 { "is" } else { "are" };
    format!("{verb} not done: {}", numbers.join(", "))
}

/// Says that a shard is done, for [`gather`].
///
/// # Errors
///
/// When it cannot be written.
pub fn save_shard(
    store: &Store,
    shard: Shard,
    scope: &Scope,
    failed: Vec<(Key, String)>,
) -> io::Result<()> {
    let digest = scope.digest()?;
    let folder = store.path("shards");
    let file = folder.join(format!("agenda-{digest}.json"));
    rewrite(&file, &serde_json::to_vec(scope)?)?;
    let done = ShardDone {
        number: shard.number,
        of: shard.of,
        scope: digest,
        failed,
    };
    let file = folder.join(format!("{}.json", shard.name()));
    rewrite(&file, &serde_json::to_vec(&done)?)
}

/// What all shards together were asked for, and what of it failed.
///
/// # Errors
///
/// When not all shards of one night are done.
pub fn gather(store: &Store) -> Result<(Scope, Vec<(Key, String)>), NotMerged> {
    let folder = store.path("shards");
    let mut done: Vec<ShardDone> = shard_files(store).iter().filter_map(|p| read(p)).collect();
    done.sort_by_key(|it| it.number);
    let Some(first) = done.first() else {
        return Err(NotMerged::None);
    };
    let of = first.of;
    if let Some(other) = done.iter().find(|it| it.of != of) {
        return Err(NotMerged::Split {
            one: of,
            other: other.of,
        });
    }
    let missing: Vec<usize> = (1..=of)
        .filter(|n| done.iter().all(|it| it.number != *n))
        .collect();
    if !missing.is_empty() {
        return Err(NotMerged::Missing { missing, of });
    }
    if let Some(other) = done.iter().find(|it| it.scope != first.scope) {
        return Err(NotMerged::Differ {
            a: first.number,
            b: other.number,
        });
    }
    let scope = read(&folder.join(format!("agenda-{}.json", first.scope)));
    let scope = scope.ok_or(NotMerged::None)?;
    let failed = done.into_iter().flat_map(|it| it.failed).collect();
    Ok((scope, failed))
}

/// The files of the shards that are done.
fn shard_files(store: &Store) -> Vec<PathBuf> {
    files(&store.path("shards"), "json")
        .into_iter()
        .filter(|path| {
            let name = path.file_name().unwrap_or_default().to_string_lossy();
            !name.starts_with("agenda-")
        })
        .collect()
}

/// Takes away what shards handed in.
///
/// # Errors
///
/// When something of it cannot be taken away.
pub fn clear(store: &Store) -> io::Result<()> {
    // The shards first: a scope without shards is nothing, shards without it could not be read.
    for path in shard_files(store)
        .into_iter()
        .chain(files(&store.path("shards"), "json"))
    {
        match std::fs::remove_file(path) {
            Err(e) if e.kind() != io::ErrorKind::NotFound => return Err(e),
            _ => {}
        }
    }
    Ok(())
}
