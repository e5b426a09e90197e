//! The demo cast in a folder of its own, and the program run on it.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use layfig::compare::{Comparison, State};
use tempfile::TempDir;

/// The demo cast.
pub struct Demo {
    dir: TempDir,
}

/// An edit that can be taken back.
pub struct Edit {
    path: PathBuf,
    before: String,
}

impl Edit {
    /// Takes it back.
    pub fn undo(self) {
        std::fs::write(self.path, self.before).unwrap();
    }
}

impl Demo {
    pub fn new() -> Self {
        let demo = Self {
            dir: tempfile::tempdir().unwrap(),
        };
        let root = Path::new(env!("CARGO_MANIFEST_DIR"));
        for folder in ["rigs", "poses"] {
            copy(&root.join(folder), &demo.path(folder));
        }
        for member in ["ship_dog", "mooring_bot", "deckhand"] {
            let _ = std::fs::remove_dir_all(demo.path(&format!("rigs/{member}/approved")));
        }
        demo
    }

    pub fn path(&self, path: &str) -> PathBuf {
        self.dir.path().join(path)
    }

    pub fn read(&self, path: &str) -> String {
        std::fs::read_to_string(self.path(path)).unwrap()
    }

    pub fn command(&self, line: &str) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_layfig"));
        command
            .current_dir(self.dir.path())
            .args(line.split_whitespace())
            .stdin(Stdio::null());
        command
    }

    /// Runs the program, which must end with this code; gives what it printed, errors last.
    pub fn run(&self, line: &str, code: i32) -> String {
        let output = self.command(line).output().unwrap();
        let text = format!(
            "{}{}",
            String::from_utf8_lossy(&output.stdout),
            String::from_utf8_lossy(&output.stderr)
        );
        assert_eq!(output.status.code(), Some(code), "{line}: {text}");
        text
    }

    pub fn edit(&self, file: &str, from: &str, to: &str) -> Edit {
        let path = self.path(file);
        let before = std::fs::read_to_string(&path).unwrap();
        assert!(before.contains(from), "{file} has no {from}");
        std::fs::write(&path, before.replacen(from, to, 1)).unwrap();
        Edit { path, before }
    }

    pub fn comparison(&self, member: &str) -> Comparison {
        let text = self.read(&format!("out/{member}/compare/comparison.json"));
        serde_json::from_str(&text).unwrap()
    }

    /// All files under a folder, with their bytes.
    pub fn files(&self, folder: &str) -> BTreeMap<String, Vec<u8>> {
        let root = self.path(folder);
        let mut out = BTreeMap::new();
        let mut folders = vec![root.clone()];
        while let Some(folder) = folders.pop() {
            for entry in std::fs::read_dir(&folder).into_iter().flatten() {
                let path = entry.unwrap().path();
                if path.is_dir() {
                    folders.push(path);
                } else {
                    let name = path.strip_prefix(&root).unwrap().to_string_lossy();
                    out.insert(name.into_owned(), std::fs::read(&path).unwrap());
                }
            }
        }
        out
    }

    /// Pictures of a member that are not the same in two folders, by their keys in a manifest.
    pub fn changed_files(&self, then: &str, now: &str, member: &str) -> BTreeSet<String> {
        let then = self.files(&format!("{then}/{member}"));
        let now = self.files(&format!("{now}/{member}"));
        assert_eq!(then.len(), now.len());
        let changed = now.iter().filter(|(name, bytes)| then[*name] != **bytes);
        changed
            .map(|(name, _)| name.strip_suffix(".png").unwrap().to_owned())
            .collect()
    }
}

/// The states that occur.
pub fn states(comparison: &Comparison) -> Vec<&'static str> {
    let states = State::ALL.into_iter();
    states
        .filter(|&s| comparison.counts.get(s) > 0)
        .map(State::words)
        .collect()
}

/// Copies a folder.
pub fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap() {
        let path = entry.unwrap().path();
        let to = to.join(path.file_name().unwrap());
        if path.is_dir() {
            copy(&path, &to);
        } else {
            std::fs::copy(&path, &to).unwrap();
        }
    }
}
