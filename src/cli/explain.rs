//! `layfig explain`.

use clap::Args;
use serde_json::json;

use super::args::RunningArgs;
use super::console::Console;
use super::exit::Exit;
use crate::cast::{FileKind, KeyPlace, find_keys};
use crate::diag::{Place, Problem, Sources, nearest, quoted};

/// Arguments of `layfig explain`.
#[derive(Clone, Debug, Args)]
pub struct ExplainArgs {
    /// A key or a table, as pivot or part.pivot; without one, all tables are listed
    key: Option<String>,
}

/// Prints what the keys of rigs, views, pose lists and casts mean.
#[must_use]
pub fn run(typed: &ExplainArgs, running: &RunningArgs) -> Exit {
    let console = Console::new(running);
    let Some(asked) = &typed.key else {
        list(&console);
        return Exit::Done;
    };
    let found = find_keys(Some(asked));
    if found.is_empty() {
        let problem = Problem::error(Place::Nowhere, format!("unknown key {}", quoted(asked)));
        console.problem(&problem.hint(hint(asked)), &Sources::default());
        return Exit::Input;
    }
    for (place, files) in &found {
        explain(place, files, &console);
    }
    Exit::Done
}

/// All tables, by file.
fn list(console: &Console) {
    for file in FileKind::ALL {
        console.result(&format!("{}: {}", file.name(), file.about()));
        let places = file.places();
        let tables = places
            .iter()
            .filter(|place| place.key.kind.keys().is_some());
        for place in tables.filter(|place| !place.only_holds()) {
            let (path, about) = (place.path(), place.key.about);
            console.result(&format!("  {path:<32} {about}"));
            console.object(
                || json!({ "table": { "file": file.name(), "path": path, "about": about } }),
            );
        }
        console.result("");
    }
    console.result("layfig explain part, part.pivot or pivot tells more.");
}

fn explain(place: &KeyPlace, files: &[FileKind], console: &Console) {
    let key = place.key;
    let files: Vec<&str> = files.iter().map(|file| file.name()).collect();
    let (path, takes, default) = (place.path(), key.kind.told(), key.usual.told());
    console.result(&format!("{path}   ({})", files.join(", ")));
    console.result(&format!("  {}", key.about));
    let line = |name: &str, words: &str| console.result(&format!("  {name:<8} {words}"));
    match key.kind.keys() {
        Some(keys) if key.example.is_empty() => {
            for key in keys {
                line(key.name, key.about);
            }
        }
        _ => line("takes", &takes),
    }
    if let Some(default) = &default {
        line("default", default);
    }
    if !key.beside.is_empty() {
        line("with", &key.beside.join(", "));
    }
    if !key.without.is_empty() {
        line("without", &key.without.join(", "));
    }
    if !key.example.is_empty() {
        line("example", &format!("{} = {}", key.name, key.example));
    }
    console.result("");
    console.object(|| {
        json!({ "key": {
            "files": files,
            "path": path,
            "about": key.about,
            "takes": takes,
            "default": default,
            "example": (!key.example.is_empty()).then_some(key.example),
        }})
    });
}

/// The key that was probably meant.
fn hint(asked: &str) -> String {
    let all = find_keys(None);
    let whole: Vec<String> = all.iter().map(|(place, _)| place.short_path()).collect();
    let names = all.iter().map(|(place, _)| place.key.name);
    let near = if asked.contains('.') {
        nearest(asked, whole.iter().map(String::as_str))
    } else {
        nearest(asked, names)
    };
    near.map_or_else(
        || "layfig explain lists all tables".to_owned(),
        |near| format!("did you mean {}?", quoted(near)),
    )
}
