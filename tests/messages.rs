//! What people see: problems written out in full.

use std::fs;
use std::path::Path;

use layfig::art::Library;
use layfig::cast::{load_member, load_poses};
use layfig::diag::{Look, Place, Problem, Problems, Sources, Span, human};

/// All problems of a rig and a pose list, as a terminal shows them without colours.
fn shown(rig: &str, poses: Option<&str>) -> String {
    let folder = tempfile::tempdir().expect("a folder");
    let member_folder = folder.path().join("m");
    fs::create_dir(&member_folder).expect("a folder");
    fs::write(member_folder.join("rig.toml"), rig).expect("a file");
    let ids = ["torso", "arm", "forearm"];
    let groups = ids.map(|id| format!("<g id=\"{id}\"><path d=\"M1 1H9V9Z\" fill=\"#777\"/></g>"));
    let svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 10 10\">{}</svg>",
        groups.concat()
    );
    fs::write(member_folder.join("a.svg"), svg).expect("a file");
    let mut sources = Sources::default();
    let mut problems = Problems::default();
    let mut library = Library::new();
    let member = load_member(&member_folder, &mut sources, &mut problems, &mut library);
    if let Some(poses) = poses {
        let path = folder.path().join("poses.toml");
        fs::write(&path, poses).expect("a file");
        let member = member.expect("a member");
        load_poses(&path, &member, &mut sources, &mut problems);
    }
    let start = format!("{}/", folder.path().display());
    let all = problems
        .list()
        .iter()
        .map(|p| human(p, &sources, Look::default()));
    all.map(|text| text.replace(&start, ""))
        .collect::<Vec<_>>()
        .join("\n\n")
}

fn trimmed(text: &str) -> String {
    text.lines()
        .map(str::trim_end)
        .collect::<Vec<_>>()
        .join("\n")
}

#[test]
fn a_wrong_name_is_underlined_and_the_right_one_offered() {
    let rig = "\
[character]
canvas = [100, 200]

[part.forearm_near]
art = \"a.svg#forearm\"

[part.hand_near]
parent = \"forarm_near\"  # a slip
pivot = [30, 40]
";
    assert_eq!(
        shown(rig, None),
        "\
error: unknown part \"forarm_near\"
 --> m/rig.toml:8:10
  |
8 | parent = \"forarm_near\"  # a slip
  |          ^^^^^^^^^^^^^
  |
  = hint: did you mean \"forearm_near\"?"
    );
}

#[test]
fn other_places_are_labelled() {
    let rig = "\
[character]
canvas = [100, 200]
[part.torso]
art = \"a.svg#torso\"
[part.arm]
art = \"a.svg#arm\"
[seam.shoulder]
parts = [\"torso\", \"arm\"]
[seam.armpit]
parts = [\"arm\", \"torso\"]
";
    assert_eq!(
        shown(rig, None),
        "\
error: seam \"armpit\" joins the same parts as another, \"arm\" and \"torso\"
 --> m/rig.toml:9:7
  |
7 | [seam.shoulder]
  |       -------- the first seam of these parts
8 | parts = [\"torso\", \"arm\"]
9 | [seam.armpit]
  |       ^^^^^^
  |
  = hint: keep one of the two"
    );
}

#[test]
fn a_value_given_twice_shows_the_first() {
    let rig = "\
[character]
canvas = [100, 200]
[part.torso]
art = \"a.svg#torso\"
depth = 1
depth = 2
[part.torso]
";
    assert_eq!(
        shown(rig, None),
        "\
error: \"depth\" is given twice
 --> m/rig.toml:6:1
  |
5 | depth = 1
  | ----- first given here
6 | depth = 2
  | ^^^^^
  |
  = hint: keep one of the two

error: [part.torso] is declared twice
 --> m/rig.toml:7:7
  |
3 | [part.torso]
  | ------------ first declared here
...
7 | [part.torso]
  |       ^^^^^
  |
  = hint: merge the two, or rename one"
    );
}

#[test]
fn carets_stand_under_wide_letters_and_behind_tabs() {
    let rig = "[character]\ncanvas = [100, 200]\n[part.torso]\nart = \"a.svg#torso\"\n";
    let poses = "[pose.a]\n\tturn = { \"手袋\" = 1 }\n";
    assert_eq!(
        shown(rig, Some(poses)),
        "\
error: unknown part \"手袋\"
 --> poses.toml:2:11
  |
2 |     turn = { \"手袋\" = 1 }
  |              ^^^^^^
  |
  = hint: known: torso"
    );
}

#[test]
fn a_warning_says_so() {
    let rig =
        "[character]\ncanvas = [100, 200]\n[part.torso]\nart = \"a.svg#torso\"\nlimits = [-5, 5]\n";
    assert_eq!(
        shown(rig, Some("[pose.a]\nturn = { torso = 6.5 }\n")),
        "\
warning: a turn of 6.5 is outside the limits of \"torso\", -5 to 5
 --> poses.toml:2:18
  |
2 | turn = { torso = 6.5 }
  |                  ^^^
  |
  = hint: stay inside, or widen the limits in the rig"
    );
}

#[test]
fn a_file_that_is_not_text_is_named() {
    let sources = Sources::default();
    let problem = Problem::error(Path::new("rigs/m/rig.toml"), "this file is not UTF-8 text")
        .hint("save it as UTF-8");
    assert_eq!(
        human(&problem, &sources, Look::default()),
        "error: this file is not UTF-8 text\n--> rigs/m/rig.toml\n = hint: save it as UTF-8"
    );
    let problem = Problem::error(Place::Nowhere, "no member is selected");
    assert_eq!(
        human(&problem, &sources, Look::default()),
        "error: no member is selected"
    );
}

#[test]
fn long_lines_are_trimmed_around_the_place() {
    let mut sources = Sources::default();
    let text = format!("a = \"{}\" b = {} c\n", "x".repeat(300), "y".repeat(300));
    let source = sources.add("long.toml", text);
    let start = 307;
    let problem = Problem::error(
        Span {
            source,
            start,
            end: start + 1,
        },
        "no new line",
    );
    let look = Look {
        colour: false,
        width: 60,
    };
    let shown = human(&problem, &sources, look);
    assert!(
        shown.lines().all(|line| line.chars().count() <= 70),
        "{shown}"
    );
    assert!(shown.contains("long.toml:1:308"), "{shown}");
    let lines: Vec<&str> = shown.lines().collect();
    let caret = lines[4].find('^').expect("a caret");
    assert_eq!(&lines[3][caret..=caret], "b", "{shown}");
}

#[test]
fn an_enormous_line_is_only_looked_at_around_the_place() {
    let mut sources = Sources::default();
    let text = format!("{}HERE{}", "é".repeat(1 << 20), "z".repeat(1 << 20));
    let source = sources.add("huge.svg", text);
    let start = 2 << 20;
    let problem = Problem::error(
        Span {
            source,
            start,
            end: start + 4,
        },
        "a mistake",
    );
    let shown = human(&problem, &sources, Look::default());
    assert!(shown.contains("huge.svg:1:1048577"), "{shown}");
    assert!(shown.len() < 2000, "{}", shown.len());
    let lines: Vec<&str> = shown.lines().collect();
    let caret = lines
        .last()
        .and_then(|line| line.chars().position(|c| c == '^'))
        .expect("a caret");
    let marked: String = lines[lines.len() - 2].chars().skip(caret).take(4).collect();
    assert_eq!(marked, "HERE", "{shown}");
}

#[test]
fn a_mistake_over_several_lines_shows_its_first() {
    let mut sources = Sources::default();
    let source = sources.add("a.toml", "pivot = [\n  1,\n  2,\n  3]\n");
    let problem = Problem::error(
        Span {
            source,
            start: 8,
            end: 24,
        },
        "too many",
    );
    assert_eq!(
        human(&problem, &sources, Look::default()),
        "error: too many\n --> a.toml:1:9\n  |\n1 | pivot = [\n  |         ^"
    );
}

#[test]
fn places_in_other_files_and_far_away_are_shown_too() {
    let mut sources = Sources::default();
    let far = "\n".repeat(1000);
    let one = sources.add("one.toml", format!("first{far}again{far}"));
    let two = sources.add("two.toml", "other\n");
    let span = |source, start, end| Span { source, start, end };
    let problem = Problem::error(span(one, 1005, 1010), "twice")
        .also(span(one, 0, 5), "here")
        .also(span(two, 0, 5), "and there");
    assert_eq!(
        trimmed(&human(&problem, &sources, Look::default())),
        "\
error: twice
    --> one.toml:1001:1
     |
1001 | again
     | ^^^^^
     |
    ::: one.toml:1:1
     |
   1 | first
     | ----- here
     |
    ::: two.toml:1:1
     |
   1 | other
     | ----- and there"
    );
}

#[test]
fn the_end_of_a_file_is_a_place() {
    let mut sources = Sources::default();
    let source = sources.add("a.toml", "a = [1,\n");
    let problem = Problem::error(
        Span {
            source,
            start: 8,
            end: 8,
        },
        "no end",
    );
    assert_eq!(
        trimmed(&human(&problem, &sources, Look::default())),
        "error: no end\n --> a.toml:2:1\n  |\n2 |\n  | ^"
    );
}

#[test]
fn nothing_that_a_terminal_obeys_gets_through() {
    let mut sources = Sources::default();
    let source = sources.add("a\u{1b}[31m.toml", "x = \"\u{1b}[31m\u{202e}red\"\n");
    let span = Span {
        source,
        start: 4,
        end: 16,
    };
    let problem = Problem::error(span, "bad \u{1b}[31m\n name")
        .hint("\u{7}ring")
        .also(span, "\u{1b}]0;title");
    let shown = human(&problem, &sources, Look::default());
    let wrong = |c: char| (c.is_control() && c != '\n') || c == '\u{202e}';
    assert!(!shown.contains(wrong), "{shown:?}");
}

#[test]
fn colours_are_there_when_asked_for() {
    let mut sources = Sources::default();
    let source = sources.add("a.toml", "a = 1\n");
    let problem = Problem::error(
        Span {
            source,
            start: 0,
            end: 1,
        },
        "no",
    )
    .hint("yes");
    let plain = human(&problem, &sources, Look::default());
    let coloured = human(
        &problem,
        &sources,
        Look {
            colour: true,
            width: 140,
        },
    );
    assert!(!plain.contains('\u{1b}') && coloured.contains('\u{1b}'));
    assert!(!coloured.contains("\u{1b}]8;"), "no links");
}
