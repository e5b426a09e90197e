//! A night from an Open Job Description template, with the reference runner (openjd-cli), which
//! tests/support/setup.sh installs.

use std::path::{Path, PathBuf};
use std::process::Command;

use crate::nights::{assert_same, output};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).to_path_buf()
}

fn layfig() -> &'static str {
    env!("CARGO_BIN_EXE_layfig")
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
