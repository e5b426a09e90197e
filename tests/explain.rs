//! `layfig explain`: what it prints, and what it answers to a key that there is not.

use std::process::Command;

use layfig::cast::{FileKind, find_keys};

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
  The point it turns about, canvas units; must for parts with a parent
  takes    two numbers, each from -1000000 to 1000000
  default  the middle of the canvas
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
