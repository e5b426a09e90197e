//! `layfig explain`.

use std::path::{Path, PathBuf};

use clap::Args;
use serde_json::json;

use super::args::RunningArgs;
use super::console::Console;
use super::exit::Exit;
use crate::cast::{FileKind, KeyPlace, TOPICS, Topic, find_keys};
use crate::diag::{Place, Problem, Sources, nearest, quoted};
use crate::files::write_whole;
use crate::report::reference_html;

/// Arguments of `layfig explain`.
#[derive(Clone, Debug, Args)]
pub struct ExplainArgs {
    /// A key, a table or a topic, as pivot or part.pivot; without one, all tables and topics are listed
    key: Option<String>,
    /// Write the whole reference as a page for a browser
    #[arg(long, conflicts_with = "key", help_heading = "Output")]
    html: bool,
    /// The file of that page
    #[arg(
        long,
        short,
        value_name = "FILE",
        default_value = "out/reference.html",
        requires = "html",
        help_heading = "Output"
    )]
    out: PathBuf,
}

/// Prints what the keys of rigs, views, pose lists and casts mean.
#[must_use]
pub fn run(typed: &ExplainArgs, running: &RunningArgs) -> Exit {
    let console = Console::new(running);
    if typed.html {
        return page(&typed.out, &console);
    }
    let Some(asked) = &typed.key else {
        list(&console);
        return Exit::Done;
    };
    let found = find_keys(Some(asked));
    let topic = TOPICS.iter().find(|topic| topic.name == asked);
    if found.is_empty() && topic.is_none() {
        let problem = Problem::error(Place::Nowhere, format!("unknown key {}", quoted(asked)));
        console.problem(&problem.hint(hint(asked)), &Sources::default());
        return Exit::Input;
    }
    for (place, files) in &found {
        explain(place, files, &console);
    }
    if let Some(topic) = topic {
        tell(topic, &console);
    }
    Exit::Done
}

fn page(file: &Path, console: &Console) -> Exit {
    if let Err(why) = write_whole(file, reference_html().as_bytes()) {
        let problem = Problem::error(file, format!("cannot be written: {why}"));
        console.problem(&problem, &Sources::default());
        return Exit::Output;
    }
    console.text(&file.display().to_string());
    console.object(|| json!({ "made": "reference", "files": [file.to_string_lossy()] }));
    Exit::Done
}

fn tell(topic: &Topic, console: &Console) {
    console.result(&format!("{}: {}", topic.name, topic.about));
    for paragraph in topic.text {
        console.result("");
        console.result(&format!("  {paragraph}"));
    }
    console.result("");
    console.object(
        || json!({ "topic": { "name": topic.name, "about": topic.about, "text": topic.text } }),
    );
}

/// All tables, by file.
fn list(console: &Console) {
    for file in FileKind::ALL {
        console.result(&format!("{}: {}", file.name(), file.about()));
        let places = file.places();
        let tables = places
            .iter()
            .filter(|place| place.key.kind.keys().is_some());
        let mut rows = Vec::new();
        for place in tables.filter(|place| !place.only_holds()) {
            let (path, about) = (place.path(), place.key.about);
            console.object(
                || json!({ "table": { "file": file.name(), "path": path, "about": about } }),
            );
            rows.push(vec![path, about.to_owned()]);
        }
        console.table(&rows);
        console.result("");
    }
    console.result("topics: what keys mean together");
    let topics = TOPICS.iter();
    let topics = topics.map(|topic| vec![topic.name.to_owned(), topic.about.to_owned()]);
    console.table(&topics.collect::<Vec<_>>());
    console.result("");
    console.result(
        "layfig explain part, part.pivot, pivot or lines tells more; --html makes a page of all.",
    );
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
    let topics = TOPICS.iter().map(|topic| topic.name);
    let names = all.iter().map(|(place, _)| place.key.name).chain(topics);
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
