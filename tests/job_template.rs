//! A night from an Open Job Description template, with the reference runner (openjd-cli), which
//! tests/support/setup.sh installs.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).to_path_buf()
}

fn layfig() -> &'static str {
    env!("CARGO_BIN_EXE_layfig")
}

fn output(command: &mut Command) -> String {
    let output = command.stdin(Stdio::null()).output().unwrap();
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    let err = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{command:?}\n{text}\n{err}");
    text
}

/// What the folder of a night has for people: names and bytes, but for what tells times.
fn made(folder: &Path) -> Vec<(PathBuf, Vec<u8>)> {
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

fn assert_same(one: &Path, other: &Path) {
    let (one, other) = (made(one), made(other));
    let names =
        |files: &[(PathBuf, Vec<u8>)]| files.iter().map(|f| f.0.clone()).collect::<Vec<_>>();
    assert_eq!(names(&one), names(&other));
    for (a, b) in one.iter().zip(&other) {
        assert!(a.1 == b.1, "{} differs", a.0.display());
    }
}

#[test]
fn the_template_is_valid_and_its_night_is_the_same() {
    let openjd = root().join("target/tools/venv/bin/openjd");
    let template = root().join("tests/support/openjd/night.yaml");
    let told = output(Command::new(&openjd).arg("check").arg(&template));
    assert!(told.contains("passes validation checks"), "{told}");
    let work = tempfile::tempdir().unwrap();
    let (one, shared) = (work.path().join("one"), work.path().join("shared"));
    output(
        Command::new(layfig())
            .current_dir(root())
            .args(["night", "rigs/ship_dog", "--quiet", "--out"])
            .arg(&one),
    );
    let parameter = |name: &str, value: &Path| format!("{name}={}", value.display());
    output(
        Command::new(&openjd)
            .current_dir(work.path())
            .arg("run")
            .arg(&template)
            .args(["--step", "Merge", "--run-dependencies"])
            .args(["-p", "Shards=3", "-p", "Numbers=1-3"])
            .args(["-p", &parameter("Layfig", Path::new(layfig()))])
            .args(["-p", &parameter("Cast", &root().join("rigs/ship_dog"))])
            .args(["-p", &parameter("OutDir", &shared)]),
    );
    assert_same(&one, &shared);
}
