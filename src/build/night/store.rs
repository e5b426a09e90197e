//! What nights leave for the next: in a folder, in files that are whole or not there, and journals,
//! of which every whole line is read. A line that cannot be read costs itself and no other.
//!
//! | file | holds |
//! |---|---|
//! | `state.jsonl` | what every unit of the last whole night made |
//! | `measured.jsonl` | how long each took, and when its files were written: what differs from run to run |
//! | `journal/*.jsonl` | one line for each unit made since, written when its files are in place |
//! | `nights/*.json` | digests of each night's inputs and outcomes, by the digest of all inputs |
//! | `shards/*.json` | which shards are done, and what is asked of all of them |

use std::collections::{BTreeMap, BTreeSet};
use std::fs::{File, OpenOptions, TryLockError};
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

use serde::{Deserialize, Serialize};

use super::digest::Digest;
use super::json_lines::{Damage, Grows, damage, files, lines, read, rewrite};
use super::unit::{Key, Made, Record};

/// What was measured of a unit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Measured {
    /// How long it took, microseconds.
    pub us: u64,
    /// When its files were written, nanoseconds since 1970 as the file system has it; where there are
    /// none, a time of this run.
    pub written: Vec<u64>,
}

#[derive(Serialize, Deserialize)]
struct MeasuredLine {
    #[serde(flatten)]
    key: Key,
    #[serde(flatten)]
    measured: Measured,
}

#[derive(Serialize, Deserialize)]
struct JournalLine {
    record: Record,
    measured: Measured,
}

/// What is known of a unit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Known {
    /// What it made.
    pub record: Record,
    /// What was measured then.
    pub measured: Option<Measured>,
    /// True where a journal has it and the last whole night has not.
    pub recent: bool,
}

/// The folder.
#[derive(Clone, Debug)]
pub struct Store {
    dir: PathBuf,
}

/// Keeps other nights out of a folder for as long as it lives; the system lets go of it whatever
/// ends the program.
#[derive(Debug)]
pub struct Guard {
    _lock: File,
    /// Why it keeps nobody out: a shared folder may have no locks. Files are whole all the same.
    pub unlocked: Option<String>,
}

impl Guard {
    /// What came of asking for a lock; `None` when somebody else has it.
    fn of(lock: File, taken: Result<(), TryLockError>) -> Option<Self> {
        let unlocked = match taken {
            Ok(()) => None,
            Err(TryLockError::WouldBlock) => return None,
            Err(TryLockError::Error(why)) => Some(why.to_string()),
        };
        Some(Self {
            _lock: lock,
            unlocked,
        })
    }
}

impl Store {
    /// In this folder, which need not be there yet.
    #[must_use]
    pub fn new(dir: impl Into<PathBuf>) -> Self {
        Self { dir: dir.into() }
    }

    /// A file in it.
    #[must_use]
    pub fn path(&self, name: &str) -> PathBuf {
        self.dir.join(name)
    }

    /// Takes the folder for this run; shards share it. `None` when another run has it.
    ///
    /// # Errors
    ///
    /// When the folder cannot be made.
    pub fn guard(&self, shared: bool) -> io::Result<Option<Guard>> {
        std::fs::create_dir_all(&self.dir)?;
        let file = OpenOptions::new()
            .create(true)
            .truncate(false)
            .write(true)
            .read(true)
            .open(self.path("lock"))?;
        let taken = if shared {
            file.try_lock_shared()
        } else {
            file.try_lock()
        };
        Ok(Guard::of(file, taken))
    }

    /// Times of the last whole night, by unit.
    #[must_use]
    pub fn measured(&self) -> BTreeMap<Key, Measured> {
        lines(&self.path("measured.jsonl"), Grows::AtOnce)
            .map(|line: MeasuredLine| (line.key, line.measured))
            .collect()
    }

    /// Everything that is known. Where journals contradict each other about a unit, the one whose
    /// files were written last has it; where that does not decide, nothing is known of it.
    #[must_use]
    pub fn known(&self) -> BTreeMap<Key, Known> {
        let mut measured = self.measured();
        let mut known: BTreeMap<Key, Known> = self
            .settled()
            .into_iter()
            .map(|(key, record)| {
                let measured = measured.remove(&key);
                let known = Known {
                    record,
                    measured,
                    recent: false,
                };
                (key, known)
            })
            .collect();
        // The last written of each unit, and when; nothing where two of one time contradict each other.
        let mut recent: BTreeMap<Key, (u64, Option<Known>)> = BTreeMap::new();
        for journal in self.journals() {
            let own: BTreeMap<Key, JournalLine> = lines(&journal, Grows::ByLines)
                .map(|line: JournalLine| (line.record.key.clone(), line))
                .collect();
            for (key, line) in own {
                let new = Known {
                    recent: true,
                    record: line.record,
                    measured: Some(line.measured),
                };
                let written = new.last_written();
                let believed = match recent.get(&key) {
                    Some((last, _)) if written < *last => continue,
                    Some((last, other)) if written == *last => other
                        .as_ref()
                        .filter(|other| other.record == new.record)
                        .map(|_| new),
                    _ => Some(new),
                };
                recent.insert(key, (written, believed));
            }
        }
        for (key, (_, new)) in recent {
            let old = known.remove(&key);
            if let Some(mut new) = new {
                new.recent = old.is_none_or(|old| old.record != new.record);
                known.insert(key, new);
            }
        }
        known
    }

    /// Every file that the state or a journal tells of.
    #[must_use]
    pub fn made_before(&self) -> BTreeSet<String> {
        let mut made: BTreeSet<String> = BTreeSet::new();
        let mut take = |record: Record| made.extend(record.files.into_iter().map(|f| f.path));
        self.settled().into_values().for_each(&mut take);
        for journal in self.journals() {
            lines(&journal, Grows::ByLines).for_each(|line: JournalLine| take(line.record));
        }
        made
    }

    /// What the last whole night made; no journal has a say in it.
    #[must_use]
    pub fn settled(&self) -> BTreeMap<Key, Record> {
        lines(&self.path("state.jsonl"), Grows::AtOnce)
            .map(|record: Record| (record.key.clone(), record))
            .collect()
    }

    /// The journals, in the order of their names.
    #[must_use]
    pub fn journals(&self) -> Vec<PathBuf> {
        files(&self.path("journal"), "jsonl")
    }

    /// Keeps damaged files of the folder beside their places, and names them.
    ///
    /// # Errors
    ///
    /// When one cannot be read or kept.
    pub fn damaged(&self) -> io::Result<Vec<Damage>> {
        let mut all = Vec::new();
        all.extend(damage::<Record>(&self.path("state.jsonl"), Grows::AtOnce)?);
        all.extend(damage::<MeasuredLine>(
            &self.path("measured.jsonl"),
            Grows::AtOnce,
        )?);
        for journal in self.journals() {
            all.extend(damage::<JournalLine>(&journal, Grows::ByLines)?);
        }
        Ok(all)
    }

    /// Starts a journal of its own for a run.
    ///
    /// # Errors
    ///
    /// When it cannot be made.
    pub fn journal(&self, run: &str) -> io::Result<Journal> {
        let folder = self.path("journal");
        std::fs::create_dir_all(&folder)?;
        let mut number = 1_u32;
        loop {
            let path = folder.join(format!("{run}.{number:04}.jsonl"));
            match OpenOptions::new().create_new(true).append(true).open(path) {
                Ok(file) => return Ok(Journal(Mutex::new(file))),
                Err(e) if e.kind() == io::ErrorKind::AlreadyExists => number += 1,
                Err(e) => return Err(e),
            }
        }
    }

    /// Replaces the state; what journals told is then in it.
    ///
    /// # Errors
    ///
    /// When a file cannot be written.
    pub fn settle(&self, all: &BTreeMap<Key, Known>) -> io::Result<()> {
        let mut state = Vec::new();
        let mut measured = Vec::new();
        for (key, known) in all {
            serde_json::to_writer(&mut state, &known.record)?;
            state.push(b'\n');
            if let Some(it) = &known.measured {
                let line = MeasuredLine {
                    key: key.clone(),
                    measured: it.clone(),
                };
                serde_json::to_writer(&mut measured, &line)?;
                measured.push(b'\n');
            }
        }
        rewrite(&self.path("measured.jsonl"), &measured)?;
        rewrite(&self.path("state.jsonl"), &state)
    }

    /// The digests of a night, if it is remembered.
    #[must_use]
    pub fn night(&self, inputs: &Digest) -> Option<Digests> {
        read(&self.path("nights").join(format!("{inputs}.json")))
    }

    /// Remembers a night.
    ///
    /// # Errors
    ///
    /// When it cannot be written.
    pub fn remember(&self, inputs: &Digest, digests: &Digests) -> io::Result<()> {
        let path = self.path("nights").join(format!("{inputs}.json"));
        rewrite(&path, serde_json::to_string(digests)?.as_bytes())
    }
}

/// For each unit of a night the digests of its inputs and of its outcome.
pub type Digests = BTreeMap<String, [Digest; 2]>;

/// What one run made, as it makes it.
#[derive(Debug)]
pub struct Journal(Mutex<File>);

impl Journal {
    /// When the file system last saw it written: later than all that earlier runs wrote.
    #[must_use]
    pub fn written(&self) -> u64 {
        let file = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        file.metadata()
            .ok()
            .and_then(|m| nanoseconds(&m))
            .unwrap_or(0)
    }

    /// Adds a unit whose files are in place.
    ///
    /// # Errors
    ///
    /// When it cannot be written.
    pub fn add(&self, record: &Record, measured: &Measured) -> io::Result<()> {
        #[derive(Serialize)]
        struct Line<'a> {
            record: &'a Record,
            measured: &'a Measured,
        }
        let mut line = serde_json::to_vec(&Line { record, measured })?;
        line.push(b'\n');
        // One call for one line: lines of other threads stay apart.
        let mut file = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        file.write_all(&line)
    }
}

/// When a file was last written, and its length.
#[must_use]
pub fn stat(path: &Path) -> Option<(u64, u64)> {
    let about = std::fs::metadata(path).ok().filter(|m| m.is_file())?;
    Some((nanoseconds(&about)?, about.len()))
}

fn nanoseconds(about: &std::fs::Metadata) -> Option<u64> {
    let written = about.modified().ok()?;
    let since = written.duration_since(std::time::UNIX_EPOCH).ok()?;
    u64::try_from(since.as_nanos()).ok()
}

impl Known {
    fn last_written(&self) -> u64 {
        let times = self.measured.iter().flat_map(|m| &m.written);
        times.copied().max().unwrap_or(0)
    }

    /// True when the unit's files are what they were when it was made. A file that was not touched
    /// since is not read again, unless `verify` asks for it; one that was copied is.
    #[must_use]
    pub fn is_sound(&self, out: &Path, verify: bool) -> bool {
        let times = self.measured.as_ref().map_or(&[][..], |m| &m.written);
        self.record.files.iter().enumerate().all(|(at, made)| {
            let path = out.join(&made.path);
            let Some((written, bytes)) = stat(&path) else {
                return false;
            };
            bytes == made.bytes
                && ((!verify && times.get(at) == Some(&written)) || has_digest(&path, made))
        })
    }
}

fn has_digest(path: &Path, made: &Made) -> bool {
    std::fs::read(path).is_ok_and(|bytes| Digest::of(&bytes) == made.digest)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::night::unit::Kind;

    fn record(name: &str, inputs: &str, dir: &Path) -> (Record, Measured) {
        let bytes = format!("{name} {inputs}");
        std::fs::write(dir.join(name), &bytes).unwrap();
        let record = Record {
            key: Key {
                kind: Kind::Picture,
                of: crate::name::Name::new(name, None),
                sheet: None,
            },
            inputs: Digest::of(inputs.as_bytes()),
            files: vec![Made {
                path: name.into(),
                bytes: bytes.len() as u64,
                digest: Digest::of(bytes.as_bytes()),
            }],
            findings: vec![],
            refused: None,
        };
        let written = vec![stat(&dir.join(name)).unwrap().0];
        (record, Measured { us: 5, written })
    }

    #[test]
    fn a_journal_counts_up_to_its_last_whole_line() {
        let dir = tempfile::tempdir().unwrap();
        let store = Store::new(dir.path().join("state"));
        let journal = store.journal("1of1").unwrap();
        for name in ["a", "b"] {
            let (record, measured) = record(name, "x", dir.path());
            journal.add(&record, &measured).unwrap();
        }
        assert_eq!(store.known().len(), 2);
        let path = &store.journals()[0];
        let bytes = std::fs::read(path).unwrap();
        let first = bytes.iter().position(|&b| b == b'\n').unwrap() + 1;
        for cut in 0..bytes.len() {
            std::fs::write(path, &bytes[..cut]).unwrap();
            assert_eq!(store.known().len(), usize::from(cut >= first), "{cut}");
            assert_eq!(store.damaged().unwrap(), [], "{cut}: a kill is no damage");
        }
    }

    #[test]
    fn of_journals_that_contradict_each_other_the_last_is_believed() {
        let dir = tempfile::tempdir().unwrap();
        let store = Store::new(dir.path().join("state"));
        let (one, measured) = record("a", "x", dir.path());
        let (two, _) = record("a", "y", dir.path());
        store.journal("r").unwrap().add(&one, &measured).unwrap();
        assert_eq!(store.known().len(), 1);
        store.journal("r").unwrap().add(&one, &measured).unwrap();
        assert_eq!(store.known().len(), 1);
        store.journal("r").unwrap().add(&two, &measured).unwrap();
        assert_eq!(store.known().len(), 0);
        let mut later = measured;
        later.written[0] += 1;
        store.journal("r").unwrap().add(&one, &later).unwrap();
        assert_eq!(store.known()[&one.key].record, one);
    }

    #[test]
    fn a_file_that_changed_behind_our_back_is_made_again() {
        let dir = tempfile::tempdir().unwrap();
        let (record, measured) = record("a", "x", dir.path());
        let known = Known {
            record,
            measured: Some(measured),
            recent: false,
        };
        let sound = || known.is_sound(dir.path(), false);
        assert!(sound());
        let path = dir.path().join("a");
        // The same bytes at another time, as a copy has them.
        std::fs::write(&path, "a x").unwrap();
        assert!(sound());
        std::fs::write(&path, "a y").unwrap();
        assert!(!sound());
        std::fs::remove_file(&path).unwrap();
        assert!(!sound());
    }

    #[test]
    fn a_lock_that_cannot_be_had_is_told() {
        let dir = tempfile::tempdir().unwrap();
        let file = || File::create(dir.path().join("lock")).unwrap();
        let none = TryLockError::Error(io::Error::other("no locks available"));
        let guard = Guard::of(file(), Err(none)).unwrap();
        assert_eq!(guard.unlocked.as_deref(), Some("no locks available"));
        assert!(Guard::of(file(), Err(TryLockError::WouldBlock)).is_none());
        assert!(Guard::of(file(), Ok(())).unwrap().unlocked.is_none());
    }

    #[test]
    fn one_run_at_a_time_has_the_folder_but_shards_share_it() {
        let dir = tempfile::tempdir().unwrap();
        let store = Store::new(dir.path());
        let first = store.guard(true).unwrap().unwrap();
        let second = store.guard(true).unwrap().unwrap();
        assert!(store.guard(false).unwrap().is_none());
        drop((first, second));
        let _alone = store.guard(false).unwrap().unwrap();
        assert!(store.guard(true).unwrap().is_none());
    }
}
