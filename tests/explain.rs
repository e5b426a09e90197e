//! `layfig explain`: what it prints, and what it answers to a key that there is not.

use std::path::Path;
use std::process::Command;

use layfig::cast::{FileKind, TOPICS, find_keys};

use crate::review::scenario;

/// Exit code, standard output, standard error.
fn run(arguments: &[&str]) -> (i32, String, String) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_layfig"));
    let done = command.arg("explain").args(arguments).output();
    let done = done.expect("the program starts");
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("text");
    (
        done.status.code().expect("a code"),
        text(done.stdout),
        text(done.stderr),
    )
}

#[test]
fn a_key_is_told_with_bounds_default_and_example() {
    let (code, told, _) = run(&["part.pivot"]);
    let want = "part.<part>.pivot   (rig, view)
  The point it turns about, canvas units; or a mark in the drawing, `#shoulder`, which is not
    drawn; or another part's
  takes    two numbers, each from -1000000 to 1000000, or a file and an element's id, or a table
    with of
  default  the middle of the largest circle in what it shares with its parent; of a part without a
    parent that of the canvas
  example  pivot = [412, 300]

";
    assert_eq!((code, told.as_str()), (0, want));
    let (_, told, _) = run(&["pivot"]);
    let paths: Vec<&str> = told.lines().filter(|line| line.contains("   (")).collect();
    let want = [
        "check.pivot   (rig, view)",
        "check.part.<part>.pivot   (rig, view)",
        "part.<part>.pivot   (rig, view)",
    ];
    assert_eq!(paths, want);
}

#[test]
fn without_a_key_all_tables_are_listed() {
    let (code, told, _) = run(&[]);
    assert_eq!(code, 0);
    for table in [
        "character",
        "part.<part>",
        "part.<part>.place",
        "sweep.<sweep>",
        "member.<member>",
    ] {
        let found = told
            .lines()
            .any(|line| line.trim_start().starts_with(&format!("{table} ")));
        assert!(found, "{table}: {told}");
    }
}

#[test]
fn an_unknown_key_is_answered_with_the_nearest() {
    let (code, _, told) = run(&["pivto", "--messages", "short"]);
    assert_eq!(code, 2);
    assert_eq!(
        told,
        "error: unknown key \"pivto\" (hint: did you mean \"pivot\"?)\n"
    );
    let (code, _, told) = run(&["part.pivto", "--messages", "short"]);
    assert_eq!(code, 2);
    assert!(told.contains("did you mean \"part.pivot\"?"), "{told}");
}

#[test]
fn every_key_is_found_by_the_whole_way_to_it() {
    for place in FileKind::ALL.into_iter().flat_map(FileKind::places) {
        let path = place.path();
        let found = find_keys(Some(&path));
        let right = found
            .iter()
            .any(|(found, files)| found.path() == path && files.contains(&place.file));
        assert!(right, "{path}");
    }
}

#[test]
fn a_topic_is_told_in_paragraphs() {
    for topic in TOPICS {
        let (code, told, _) = run(&[topic.name, "--messages", "short"]);
        assert_eq!(code, 0);
        assert!(
            told.contains(&format!("{}: {}\n", topic.name, topic.about)),
            "{told}"
        );
        for paragraph in topic.text {
            assert!(told.contains(&format!("\n  {paragraph}\n")), "{told}");
        }
    }
    let (code, _, told) = run(&["line", "--html"]);
    assert_eq!(code, 2, "{told}");
}

#[test]
fn the_page_has_every_key_and_is_well_formed() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("reference");
    let file = folder.join("reference.html");
    let (code, told, _) = run(&["--html", "-o", file.to_str().expect("a path")]);
    assert_eq!((code, told.trim_end()), (0, file.to_str().expect("a path")));
    let page = std::fs::read_to_string(&file).expect("the page");
    // As XML, which wants every element ended: of those that have no end in HTML (its standard, 13.1.2) the page has
    // one sort.
    let mut pieces = page.split("<meta ");
    let mut xml = pieces
        .next()
        .expect("a start")
        .replacen("<!DOCTYPE html>", "", 1);
    for piece in pieces {
        xml.push_str("<meta ");
        xml.push_str(&piece.replacen('>', "/>", 1));
    }
    let document = roxmltree::Document::parse(&xml).expect("well-formed");
    let nodes = || document.descendants();
    for (place, _) in find_keys(None) {
        let id = place.path().replace(['<', '>'], "");
        let at = nodes().find(|n| n.attribute("id") == Some(&id));
        let at = at.unwrap_or_else(|| panic!("{id} is not on the page"));
        // A table's explanation stands after its heading.
        let at = match at.tag_name().name() {
            "h3" => at.next_sibling_element().expect("an explanation"),
            _ => at,
        };
        let told: String = at.descendants().filter_map(|n| n.text()).collect();
        assert!(told.contains(place.key.about), "{id}: {told}");
    }
    for &paragraph in TOPICS.iter().flat_map(|topic| topic.text) {
        assert!(nodes().any(|n| n.text() == Some(paragraph)), "{paragraph}");
    }
    let mut ids: Vec<&str> = nodes().filter_map(|n| n.attribute("id")).collect();
    let all = ids.len();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), all, "an id stands twice");
    scenario("reference", &folder);
}
