//! File names from names, and files that are whole or not there.

use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

use super::Files;

/// A name as a file name that every common file system takes: what a path or a file system gives
/// a meaning of its own becomes `_`. Different names may become the same file name.
#[must_use]
pub fn file_name(name: &str) -> String {
    const LONGEST: usize = 200;
    let mut out = String::with_capacity(name.len());
    for c in name.chars() {
        let c = if c.is_control() || "/\\:*?\"<>|".contains(c) {
            '_'
        } else {
            c
        };
        if out.len() + c.len_utf8() > LONGEST {
            break;
        }
        out.push(c);
    }
    if out.starts_with('.') {
        out.replace_range(..1, "_");
    }
    if out.ends_with(['.', ' ']) {
        out.pop();
        out.push('_');
    }
    let stem = out
        .split('.')
        .next()
        .unwrap_or_default()
        .to_ascii_lowercase();
    let device = matches!(stem.as_str(), "con" | "prn" | "aux" | "nul")
        || (stem.len() == 4
            && (stem.starts_with("com") || stem.starts_with("lpt"))
            && stem.ends_with(|c: char| c.is_ascii_digit()));
    if out.is_empty() || device {
        out.insert(0, '_');
    }
    out
}

/// What two paths share when a file system that ignores case takes them for one file.
#[must_use]
pub fn folded(path: &Path) -> PathBuf {
    PathBuf::from(path.to_string_lossy().to_lowercase())
}

/// A path without the `..` that lead out of folders it went into, if that is still the same file.
#[must_use]
pub fn plain(path: &Path) -> PathBuf {
    Files::default().plain(path)
}

/// The way from a folder to a file or folder, with `..` where need be and `/` between steps: the same
/// however the two were typed.
#[must_use]
pub fn relative(folder: &Path, to: &Path) -> String {
    let (from, to) = (real(folder), real(to));
    let (from, to): (Vec<_>, Vec<_>) = (from.components().collect(), to.components().collect());
    let shared = from.iter().zip(&to).take_while(|(a, b)| a == b).count();
    let mut steps = vec!["..".to_owned(); from.len() - shared];
    let down = to[shared..].iter();
    steps.extend(down.map(|step| step.as_os_str().to_string_lossy().into_owned()));
    steps.join("/")
}

/// A path as the system has it, as far as it leads to something that is there.
fn real(path: &Path) -> PathBuf {
    let whole = Path::new(".").join(path);
    let mut there = whole.as_path();
    loop {
        if let Ok(found) = there.canonicalize() {
            return found.join(whole.strip_prefix(there).unwrap_or(Path::new("")));
        }
        match there.parent() {
            Some(above) => there = above,
            None => return whole,
        }
    }
}

/// How files begin and end that are not in their places yet.
const BESIDE: &str = ".layfig-";
const PART: &str = ".part";
/// How a folder ends that was in the place of a new one.
const OLD: &str = ".old";

/// Takes away what runs left in a folder that were killed while they wrote a file, or a folder of files.
/// Nobody else may be writing there.
///
/// # Errors
///
/// When something cannot be taken away.
pub fn sweep_out(folder: &Path) -> io::Result<()> {
    let Ok(entries) = std::fs::read_dir(folder) else {
        return Ok(());
    };
    for entry in entries {
        let entry = entry?;
        let name = entry.file_name();
        let name = name.to_string_lossy();
        if name.starts_with(BESIDE) && (name.ends_with(PART) || name.ends_with(OLD)) {
            let removed = if entry.file_type()?.is_dir() {
                std::fs::remove_dir_all(entry.path())
            } else {
                std::fs::remove_file(entry.path())
            };
            match removed {
                Err(e) if e.kind() != io::ErrorKind::NotFound => return Err(e),
                _ => {}
            }
        }
    }
    Ok(())
}

/// Writes a file whole: beside its place first, then renamed into it. What was there stays until
/// then, and nothing is left beside it when that fails. Makes the folder if need be.
///
/// # Errors
///
/// When the folder or the file cannot be written.
pub fn write_whole(path: &Path, bytes: &[u8]) -> io::Result<()> {
    write_pieces(path, |file| file.write_all(bytes))
}

/// The same, of a file that is written piece by piece.
///
/// # Errors
///
/// When the folder or the file cannot be written, or the pieces cannot be made.
pub fn write_pieces<E: From<io::Error>>(
    path: &Path,
    write: impl FnOnce(&mut std::fs::File) -> Result<(), E>,
) -> Result<(), E> {
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    std::fs::create_dir_all(folder)?;
    let mut builder = tempfile::Builder::new();
    builder.prefix(BESIDE).suffix(PART);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        // The process's umask takes away from these, as for any other new file.
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    let mut file = builder.tempfile_in(folder).map_err(bare)?;
    write(file.as_file_mut())?;
    file.persist(path).map_err(|e| e.error)?;
    Ok(())
}

/// What the system said, without the name of the file beside, which the builder adds: whoever asked
/// knows the one it is for.
fn bare(error: io::Error) -> io::Error {
    let told = error.to_string();
    match told.split_once(" at path ") {
        Some((said, _)) => io::Error::new(error.kind(), said),
        None => error,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plain_names_stay() {
        for name in ["haul", "elbow_near@-10,30", "Öl-Tank", "a.b", "two words"] {
            assert_eq!(file_name(name), name);
        }
    }

    #[test]
    fn names_with_a_meaning_of_their_own_lose_it() {
        assert_eq!(file_name("../../etc"), "_._.._etc");
        assert_eq!(file_name("a/b\\c:d"), "a_b_c_d");
        assert_eq!(file_name(""), "_");
        assert_eq!(file_name(".hidden"), "_hidden");
        assert_eq!(file_name("dot."), "dot_");
        assert_eq!(file_name("con"), "_con");
        assert_eq!(file_name("COM1.x"), "_COM1.x");
        assert_eq!(file_name("command"), "command");
        assert!(file_name(&"ü".repeat(500)).len() <= 201);
    }

    #[test]
    fn a_way_does_not_depend_on_how_it_is_typed() {
        let dir = tempfile::tempdir().unwrap();
        let at = |path: &str| dir.path().join(path);
        std::fs::create_dir_all(at("rigs/dog")).unwrap();
        std::fs::create_dir_all(at("poses")).unwrap();
        for from in ["rigs/dog", "poses/../rigs/dog", "./rigs//dog/."] {
            assert_eq!(
                relative(&at(from), &at("rigs/dog/../../poses")),
                "../../poses"
            );
            assert_eq!(relative(&at(from), &at("rigs/dog/none/yet")), "none/yet");
            assert_eq!(relative(&at(from), &at("rigs/dog")), "");
        }
    }

    #[test]
    fn a_file_is_replaced_whole_and_leaves_nothing_beside_it() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("a/b/c.txt");
        write_whole(&path, b"one").unwrap();
        write_whole(&path, b"two").unwrap();
        assert_eq!(std::fs::read(&path).unwrap(), b"two");
        assert_eq!(
            std::fs::read_dir(path.parent().unwrap()).unwrap().count(),
            1
        );
    }

    #[test]
    fn a_folder_in_the_way_is_an_error_and_leaves_nothing_beside_it() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("c.txt");
        std::fs::create_dir(&path).unwrap();
        assert!(write_whole(&path, b"one").is_err());
        assert_eq!(std::fs::read_dir(dir.path()).unwrap().count(), 1);
    }

    #[cfg(unix)]
    #[test]
    fn files_are_as_readable_as_any_other_new_file() {
        use std::os::unix::fs::PermissionsExt as _;
        let dir = tempfile::tempdir().unwrap();
        let (ours, plain) = (dir.path().join("ours"), dir.path().join("plain"));
        write_whole(&ours, b"x").unwrap();
        std::fs::write(&plain, b"x").unwrap();
        let mode = |p: &Path| std::fs::metadata(p).unwrap().permissions().mode();
        assert_eq!(mode(&ours), mode(&plain));
    }
}
