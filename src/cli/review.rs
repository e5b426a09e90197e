//! `layfig review`.

use std::path::{Path, PathBuf};

use clap::Args;
use serde_json::json;

use super::args::{OutputArgs, RunningArgs};
use super::console::Console;
use super::exit::Exit;
use super::progress::Reporter;
use crate::build::{self, Compared};
use crate::compare::{Comparison, FORMAT};
use crate::diag::{Problem, Sources};

/// Arguments of `layfig review`.
#[derive(Clone, Debug, Args)]
pub struct ReviewArgs {
    #[command(flatten)]
    output: OutputArgs,
    /// Folder of the page [default: `review` in the folder for everything]
    #[arg(long, value_name = "DIR", help_heading = "Output")]
    page: Option<PathBuf>,
}

/// Runs it.
#[must_use]
pub fn run(typed: &ReviewArgs, running: &RunningArgs) -> Exit {
    let console = Console::new(running);
    let sources = Sources::default();
    let out = &typed.output.out;
    let files = match build::comparison_files(out) {
        Ok(files) => files,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => Vec::new(),
        Err(error) => {
            let problem = Problem::error(out.as_path(), format!("cannot be read: {error}"));
            console.problem(&problem, &sources);
            return Exit::Input;
        }
    };
    if files.is_empty() {
        let problem = Problem::error(out.as_path(), "there is no comparison in it");
        console.problem(&problem.hint("layfig compare RIG makes one"), &sources);
        return Exit::Nothing;
    }
    let mut compared = Vec::new();
    let mut wrong = false;
    for file in files {
        match read(&file) {
            Ok(one) => compared.push(one),
            Err(why) => {
                wrong = true;
                let problem = Problem::error(file.as_path(), why);
                console.problem(&problem.hint("layfig compare RIG writes it anew"), &sources);
            }
        }
    }
    if compared.is_empty() {
        return Exit::Input;
    }
    let place = typed.page.clone().unwrap_or_else(|| out.join("review"));
    match make(&compared, &place, running.threads(), &console) {
        Ok(()) => Exit::of(wrong, false, false),
        Err(problem) => {
            console.problem(&problem, &sources);
            Exit::Output
        }
    }
}

/// Makes the page and tells where it is.
pub(super) fn make(
    compared: &[Compared],
    place: &Path,
    threads: usize,
    console: &Console,
) -> Result<(), Problem> {
    let poses = compared.iter().flat_map(|c| &c.comparison.poses);
    let names: Vec<String> = poses.map(|p| p.pose.clone()).collect();
    let index = {
        let sources = Sources::default();
        let mut reporter = Reporter::new(console, &sources, &names);
        build::write_review(compared, place, threads, |event| reporter.hear(event))
    };
    let index = index.map_err(|failure| Problem::error(place, failure.to_string()))?;
    let asking: usize = compared.iter().map(|c| c.comparison.counts.asking()).sum();
    let plural = if asking == 1 {
        "pose asks"
    } else {
        "poses ask"
    };
    console.result(&format!(
        "{asking} {plural} for a look: open {}",
        index.display()
    ));
    console.object(
        || json!({ "made": "review", "files": [index.to_string_lossy()], "asking": asking }),
    );
    Ok(())
}

fn read(file: &std::path::Path) -> Result<Compared, String> {
    let text = std::fs::read_to_string(file).map_err(|e| format!("cannot be read: {e}"))?;
    let comparison: Comparison =
        serde_json::from_str(&text).map_err(|e| format!("this is no comparison: {e}"))?;
    if comparison.format != FORMAT {
        return Err(format!(
            "a comparison of format {}, which this version of layfig does not know",
            comparison.format
        ));
    }
    let folder = file.parent().unwrap_or(std::path::Path::new("."));
    Ok(Compared {
        folder: folder.to_path_buf(),
        comparison,
    })
}
