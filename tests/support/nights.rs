//! Running programs, and nights that must be the same.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// What a program that must succeed says.
pub fn output(command: &mut Command) -> String {
    let output = command.stdin(Stdio::null()).output().unwrap();
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    let err = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{command:?}\n{text}\n{err}");
    text
}

/// What the folder of a night has for people: names and bytes, but for what tells times.
pub fn made(folder: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    fn walk(folder: &Path, base: &Path, files: &mut Vec<(PathBuf, Vec<u8>)>) {
        for entry in std::fs::read_dir(folder).unwrap().map(Result::unwrap) {
            let path = entry.path();
            let name = path.strip_prefix(base).unwrap().to_path_buf();
            if path.is_dir() {
                if name != Path::new(".night") {
                    walk(&path, base, files);
                }
            } else if !name.to_string_lossy().starts_with("history.") {
                files.push((name, std::fs::read(&path).unwrap()));
            }
        }
    }
    let mut files = Vec::new();
    walk(folder, folder, &mut files);
    files.sort();
    files
}

/// Two nights with the same files of the same bytes.
pub fn assert_same(one: &Path, other: &Path) {
    let (one, other) = (made(one), made(other));
    let names =
        |files: &[(PathBuf, Vec<u8>)]| files.iter().map(|f| f.0.clone()).collect::<Vec<_>>();
    assert_eq!(names(&one), names(&other));
    for (a, b) in one.iter().zip(&other) {
        assert!(a.1 == b.1, "{} differs", a.0.display());
    }
}
