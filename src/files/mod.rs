//! Where the files of a show come from: the disk, or memory.

#[cfg(feature = "cli")]
mod written;

use std::collections::BTreeMap;
use std::fs::File;
use std::io::{Error, ErrorKind, Read, Result};
use std::path::{Component, Path, PathBuf};
use std::sync::Arc;

#[cfg(feature = "cli")]
pub use written::{file_name, folded, plain, relative, sweep_out, write_pieces, write_whole};

/// The files of a show. Cheap to clone.
///
/// ```
/// use layfig::files::Files;
///
/// let disk = Files::disk("rigs");
/// assert!(disk.is_file("deckhand/rig.toml"));
///
/// let memory = Files::memory([("robo/rig.toml", "[character]"), ("robo/front.svg", "<svg/>")])?;
/// assert!(memory.is_file("robo/../robo/front.svg"));
/// assert!(!memory.is_file("../robo/front.svg"));
/// # Ok::<(), layfig::files::BadPath>(())
/// ```
#[derive(Clone, Debug)]
pub struct Files(Place);

#[derive(Clone, Debug)]
enum Place {
    /// Paths start at this folder.
    Disk(PathBuf),
    /// By path in its shortest form.
    Memory(Arc<BTreeMap<PathBuf, Arc<[u8]>>>),
}

/// A path in memory that is absolute, leads out of it, or names no file.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{0:?} is no path inside memory: write it relative, as in \"deckhand/rig.toml\"")]
pub struct BadPath(pub PathBuf);

/// What a path names.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A regular file of this many bytes.
    File(u64),
    /// A folder.
    Folder,
    /// Something else: a pipe, a device.
    Other,
}

impl Default for Files {
    /// The disk, from the working directory on.
    fn default() -> Self {
        Self::disk("")
    }
}

impl Files {
    /// The files on the disk; relative paths start at this folder.
    #[must_use]
    pub fn disk(folder: impl Into<PathBuf>) -> Self {
        Self(Place::Disk(folder.into()))
    }

    /// Files in memory, by relative paths with `/` between folders; of two with one path the later counts.
    ///
    /// # Errors
    ///
    /// When a path is absolute, leads out of memory or names no file.
    pub fn memory<P: AsRef<Path>, B: AsRef<[u8]>>(
        files: impl IntoIterator<Item = (P, B)>,
    ) -> std::result::Result<Self, BadPath> {
        let mut all = BTreeMap::new();
        for (path, bytes) in files {
            let path = path.as_ref();
            let short = shortest(path).filter(|short| !short.as_os_str().is_empty());
            let short = short.ok_or_else(|| BadPath(path.to_path_buf()))?;
            all.insert(short, bytes.as_ref().into());
        }
        Ok(Self(Place::Memory(Arc::new(all))))
    }

    /// What a path names.
    ///
    /// # Errors
    ///
    /// When it names nothing, or the system refuses to tell.
    pub fn kind(&self, path: impl AsRef<Path>) -> Result<Kind> {
        let path = path.as_ref();
        match &self.0 {
            Place::Disk(root) => {
                let about = std::fs::metadata(root.join(path))?;
                Ok(if about.is_dir() {
                    Kind::Folder
                } else if about.is_file() {
                    Kind::File(about.len())
                } else {
                    Kind::Other
                })
            }
            Place::Memory(all) => {
                let path = shortest(path).ok_or(ErrorKind::NotFound)?;
                if let Some(bytes) = all.get(&path) {
                    return Ok(Kind::File(bytes.len() as u64));
                }
                let below = all.range(path.clone()..).next();
                let folder = below.is_some_and(|(first, _)| first.starts_with(&path));
                let missing = || Error::from(ErrorKind::NotFound);
                folder.then_some(Kind::Folder).ok_or_else(missing)
            }
        }
    }

    /// Whether a path names a regular file.
    #[must_use]
    pub fn is_file(&self, path: impl AsRef<Path>) -> bool {
        matches!(self.kind(path), Ok(Kind::File(_)))
    }

    /// Whether a path names a folder.
    #[must_use]
    pub fn is_folder(&self, path: impl AsRef<Path>) -> bool {
        matches!(self.kind(path), Ok(Kind::Folder))
    }

    /// The bytes of a regular file; of one that is larger than `most`, one byte more than that.
    ///
    /// # Errors
    ///
    /// When it is not there, is no regular file, or cannot be read.
    pub fn read(&self, path: impl AsRef<Path>, most: u64) -> Result<Vec<u8>> {
        let path = path.as_ref();
        // A pipe would keep whoever reads it waiting.
        if !matches!(self.kind(path)?, Kind::File(_)) {
            return Err(Error::new(ErrorKind::InvalidInput, "no regular file"));
        }
        let mut bytes = Vec::new();
        let most = most.saturating_add(1);
        match &self.0 {
            Place::Disk(root) => File::open(root.join(path))?
                .take(most)
                .read_to_end(&mut bytes)?,
            Place::Memory(all) => {
                let found = shortest(path).and_then(|path| all.get(&path));
                let found = found.ok_or(ErrorKind::NotFound)?;
                found.take(most).read_to_end(&mut bytes)?
            }
        };
        Ok(bytes)
    }

    /// The names of what is in a folder, in order, the first `most` found.
    #[must_use]
    pub fn names(&self, folder: &Path, most: usize) -> Vec<String> {
        let mut names: Vec<String> = match &self.0 {
            Place::Disk(root) => {
                let folder = root.join(folder);
                let here = folder.as_os_str().is_empty();
                let entries = std::fs::read_dir(if here { Path::new(".") } else { &folder });
                let entries = entries.into_iter().flatten().take(most);
                let names = entries.filter_map(|entry| entry.ok()?.file_name().into_string().ok());
                names.collect()
            }
            Place::Memory(all) => {
                let folder = shortest(folder).unwrap_or_else(|| "..".into());
                let below = all
                    .keys()
                    .filter_map(|path| path.strip_prefix(&folder).ok());
                let names = below.filter_map(|path| path.iter().next()?.to_str());
                names.map(str::to_owned).take(most).collect()
            }
        };
        names.sort_unstable();
        names.dedup();
        names
    }

    /// The one path of a file or folder, however it was written, links followed; `None` where nothing is.
    #[must_use]
    pub fn whole(&self, path: &Path) -> Option<PathBuf> {
        match &self.0 {
            Place::Disk(root) => root.join(path).canonicalize().ok(),
            Place::Memory(_) => self.kind(path).ok().and_then(|_| shortest(path)),
        }
    }

    /// A path without the `..` that lead out of folders it went into, if that is still the same file.
    #[must_use]
    pub fn plain(&self, path: &Path) -> PathBuf {
        let mut short = PathBuf::new();
        for step in path.components() {
            let back = step == Component::ParentDir
                && matches!(short.components().next_back(), Some(Component::Normal(_)));
            if back {
                short.pop();
            } else {
                short.push(step);
            }
        }
        match (self.whole(&short), self.whole(path)) {
            (Some(a), Some(b)) if a == b => short,
            _ => path.to_path_buf(),
        }
    }
}

/// A relative path without `.` and `..`; `None` for one that leads out.
fn shortest(path: &Path) -> Option<PathBuf> {
    let mut out = PathBuf::new();
    for component in path.components() {
        match component {
            Component::Normal(name) => out.push(name),
            Component::CurDir => {}
            Component::ParentDir if out.pop() => {}
            _ => return None,
        }
    }
    Some(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn memory() -> Files {
        Files::memory([("./a/b.txt", "bee"), ("a/c/d.txt", "dee"), ("a-x", "")]).unwrap()
    }

    #[test]
    fn memory_has_files_and_their_folders() {
        let files = memory();
        for (path, kind) in [
            ("a/b.txt", Some(Kind::File(3))),
            ("a/c/../b.txt", Some(Kind::File(3))),
            ("a-x", Some(Kind::File(0))),
            ("a", Some(Kind::Folder)),
            ("a/c/", Some(Kind::Folder)),
            ("", Some(Kind::Folder)),
            (".", Some(Kind::Folder)),
            ("b", None),
            ("a/b", None),
            ("a/b.txt/x", None),
            ("../a/b.txt", None),
            ("a/../../a/b.txt", None),
            ("/a/b.txt", None),
        ] {
            assert_eq!(files.kind(path).ok(), kind, "{path}");
        }
    }

    #[test]
    fn memory_is_read_as_the_disk_is() {
        let dir = tempfile::tempdir().unwrap();
        for (path, text) in [("a/b.txt", "bee"), ("a/c/d.txt", "dee"), ("a-x", "")] {
            let path = dir.path().join(path);
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            std::fs::write(path, text).unwrap();
        }
        for files in [memory(), Files::disk(dir.path())] {
            let read = |path, most| files.read(path, most).ok();
            assert_eq!(read("a/b.txt", 9).unwrap(), b"bee");
            assert_eq!(read("a/b.txt", 3).unwrap(), b"bee");
            assert_eq!(read("a/b.txt", 1).unwrap(), b"be", "one byte too many");
            assert_eq!(read("a", 9), None);
            assert_eq!(read("b", 9), None);
            assert_eq!(files.names(Path::new("a"), 9), ["b.txt", "c"]);
            assert_eq!(files.names(Path::new(""), 9), ["a", "a-x"]);
            assert!(files.names(Path::new("b"), 9).is_empty());
            let whole = |path| files.whole(Path::new(path));
            assert_eq!(whole("a/c/../b.txt"), whole("a/b.txt"));
            assert!(whole("a/b.txt").unwrap().starts_with(whole("a").unwrap()));
            assert_eq!(whole("a/x"), None);
        }
    }

    #[test]
    fn what_leads_out_of_memory_is_refused() {
        for path in ["../a", "/a", "", ".", "a/../.."] {
            let bad = Files::memory([(path, "")]).unwrap_err();
            assert_eq!(bad, BadPath(path.into()));
        }
    }
}
