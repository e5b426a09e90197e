//! A gate for a pipeline: files that cannot be read, or a check that finds an error, end it with a code of its own.

use std::path::Path;
use std::process::ExitCode;

use layfig::diag::{Severity, short};
use layfig::{Files, Project};

fn main() -> ExitCode {
    let rigs = std::env::args().nth(1);
    let (told, code) = run(Path::new(rigs.as_deref().unwrap_or("rigs/ship_dog")));
    for line in told {
        println!("{line}");
    }
    ExitCode::from(code)
}

/// Gives what is to be told, and the code: 0 for nothing found, 1 for findings, 2 for mistakes in files.
pub fn run(folder: &Path) -> (Vec<String>, u8) {
    let project = match Project::open(Files::disk(folder)) {
        Ok(project) => project,
        Err(error) => return (vec![error.to_string()], 2),
    };
    let mut told = Vec::new();
    let mut code = 0;
    for checked in project.check() {
        for finding in &checked.findings.list {
            told.push(short(&finding.problem(), project.sources()));
            if finding.severity == Severity::Error {
                code = 1;
            }
        }
    }
    (told, code)
}
