//! The reference of all keys that people write, as one page: nothing to run, nothing from elsewhere.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use crate::cast::{FileKind, Key, KeyPlace, TOPICS, find_keys};

/// Its own style, and nothing else.
const POLICY: &str =
    "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'";
const STYLE: &str = include_str!("reference.css");

/// The page.
#[must_use]
pub fn reference_html() -> String {
    let all = find_keys(None);
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(POLICY);
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="referrer" content="no-referrer";
                title { "What layfig's files take" }
                style { (PreEscaped(STYLE)) }
            }
            body {
                header {
                    h1 { "What layfig's files take" }
                    p.quiet { "Every key of rigs, views, pose lists and casts. Version " (env!("CARGO_PKG_VERSION")) "." }
                }
                nav aria-label="Contents" { (contents(&all)) }
                main {
                    @for file in FileKind::ALL { (of_file(file, &all)) }
                    section aria-labelledby="topics" {
                        h2 id="topics" { "What keys mean together" }
                        @for topic in TOPICS {
                            h3 id=(format!("topic-{}", topic.name)) { (topic.about) }
                            @for paragraph in topic.text { p { (paragraph) } }
                        }
                    }
                }
            }
        }
    }
    .into_string()
}

type Found = (KeyPlace, Vec<FileKind>);

/// Tables that stand in this file, and in none before it.
fn tables(file: FileKind, all: &[Found]) -> impl Iterator<Item = &Found> {
    let here = move |(place, files): &&Found| files[0] == file && is_headed(place.key);
    all.iter().filter(here)
}

fn contents(all: &[Found]) -> Markup {
    html! {
        ul {
            @for file in FileKind::ALL {
                li {
                    a href=(format!("#file-{}", file.name())) { (file.about()) }
                    ul {
                        @for (place, _) in tables(file, all).filter(|(place, _)| all.iter().any(|(key, _)| inside(key, place))) {
                            li { a href=(format!("#{}", id(place))) { code { (header(place)) } } }
                        }
                    }
                }
            }
            li {
                a href="#topics" { "What keys mean together" }
                ul { @for topic in TOPICS { li { a href=(format!("#topic-{}", topic.name)) { (topic.name) } } } }
            }
        }
    }
}

fn of_file(file: FileKind, all: &[Found]) -> Markup {
    let heading = format!("file-{}", file.name());
    let shared = all.iter().filter(|(place, files)| {
        files[0] != file && files.contains(&file) && place.tables.is_empty()
    });
    let shared: Vec<&KeyPlace> = shared.map(|(place, _)| place).collect();
    html! {
        section aria-labelledby=(heading) {
            h2 id=(heading) { (file.about()) }
            @if !shared.is_empty() {
                p {
                    "The same tables as in rig.toml: "
                    @for (at, place) in shared.iter().enumerate() {
                        @if at > 0 { ", " }
                        a href=(format!("#{}", id(place))) { code { (place.key.name) } }
                    }
                    "."
                }
            }
            @let alone = all.iter().filter(|(place, files)| files[0] == file && is_alone(place)).collect::<Vec<_>>();
            @if !alone.is_empty() {
                h3 { "Before all tables" }
                div.keys { @for (key, _) in alone { (of_key(key)) } }
            }
            @for (place, _) in tables(file, all) {
                h3 id=(id(place)) { code { (header(place)) } }
                p { (place.key.about) "." }
                @let within = all.iter().filter(|(key, _)| inside(key, place)).collect::<Vec<_>>();
                @if !within.is_empty() {
                    div.keys { @for (key, _) in within { (of_key(key)) } }
                }
            }
        }
    }
}

/// True of keys that stand before all tables, and those of tables that are written in a value there.
fn is_alone(place: &KeyPlace) -> bool {
    !is_headed(place.key) && !place.tables.iter().any(|table| is_headed(table))
}

/// True of a table that is written below a header of its own.
fn is_headed(key: &Key) -> bool {
    key.kind.keys().is_some() && key.example.is_empty()
}

/// True of keys that are explained under this table: its own, and those of tables that are written in a value.
fn inside(key: &KeyPlace, table: &KeyPlace) -> bool {
    let depth = table.tables.len() + 1;
    let path = table.path();
    let own = |key: &KeyPlace| key.path().starts_with(&format!("{path}."));
    let headed = key.tables.iter().skip(depth).any(|table| is_headed(table));
    own(key) && !is_headed(key.key) && !headed
}

fn of_key(place: &KeyPlace) -> Markup {
    let key = place.key;
    let id = id(place);
    let fact = |name: &str, told: Markup| html! { dt { (name) } dd { (told) } };
    html! {
        div.key id=(id) {
            h4 { a href=(format!("#{id}")) { code { (place.path()) } } }
            p { (key.about) }
            dl {
                (fact("takes", html! { (key.kind.told()) }))
                @if let Some(default) = key.usual.told() { (fact("default", html! { (default) })) }
                @if !key.beside.is_empty() { (fact("with", html! { (key.beside.join(", ")) })) }
                @if !key.without.is_empty() { (fact("without", html! { (key.without.join(", ")) })) }
                (fact("example", html! { code { (key.name) " = " (key.example) } }))
            }
        }
    }
}

/// As it is written over a table.
fn header(place: &KeyPlace) -> String {
    let path = place.path();
    if place.key.is_list_of_tables() {
        format!("[[{path}]]")
    } else {
        format!("[{path}]")
    }
}

/// What an address calls it: `part.part.pivot` of `part.<part>.pivot`.
fn id(place: &KeyPlace) -> String {
    place.path().replace(['<', '>'], "")
}
