//! `layfig schema`.

use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use serde_json::json;

use super::args::RunningArgs;
use super::console::Console;
use super::exit::Exit;
use crate::cast::FileKind;
use crate::diag::{Problem, Sources};
use crate::files::write_whole;

/// Arguments of `layfig schema`.
#[derive(Clone, Debug, Args)]
pub struct SchemaArgs {
    /// Of which file; with --out all four, where none is given
    #[arg(required_unless_present = "out")]
    file: Option<FileForm>,
    /// Write rig.schema.json and the like into this folder instead of printing
    #[arg(long, short, value_name = "DIR", help_heading = "Output")]
    out: Option<PathBuf>,
}

/// A file that people write.
#[derive(Clone, Copy, Debug, ValueEnum)]
enum FileForm {
    /// rig.toml
    Rig,
    /// The file of a view
    View,
    /// A pose list
    Poses,
    /// A cast file
    Cast,
}

impl FileForm {
    const fn kind(self) -> FileKind {
        match self {
            Self::Rig => FileKind::Rig,
            Self::View => FileKind::View,
            Self::Poses => FileKind::Poses,
            Self::Cast => FileKind::Cast,
        }
    }
}

/// Prints or writes JSON Schemas of the files that people write.
#[must_use]
pub fn run(typed: &SchemaArgs, running: &RunningArgs) -> Exit {
    let console = Console::new(running);
    let kinds: Vec<FileKind> = match typed.file {
        Some(file) => vec![file.kind()],
        None => FileKind::ALL.to_vec(),
    };
    for kind in kinds {
        let text = format!("{:#}", kind.schema());
        let Some(folder) = &typed.out else {
            console.text(&text);
            console.object(|| kind.schema());
            continue;
        };
        if let Err(problem) = write(folder, kind, &text, &console) {
            console.problem(&problem, &Sources::default());
            return Exit::Output;
        }
    }
    Exit::Done
}

fn write(folder: &Path, kind: FileKind, text: &str, console: &Console) -> Result<(), Problem> {
    let path = folder.join(format!("{}.schema.json", kind.name()));
    write_whole(&path, format!("{text}\n").as_bytes())
        .map_err(|why| Problem::error(path.as_path(), format!("cannot be written: {why}")))?;
    console.text(&path.display().to_string());
    console.object(|| json!({ "made": "schema", "files": [path.to_string_lossy()] }));
    Ok(())
}
