//! What commands print for people: tables, one line a member, plural forms, and lines that fit the window.

use std::process::Command;

use unicode_width::UnicodeWidthStr as _;

use crate::cli::Show;

/// What a command prints, one stream after the other; it must end so.
#[track_caller]
fn told(show: &Show, line: &str, code: i32) -> [String; 2] {
    let mut command = show.command(line);
    let done = command.args(["--progress", "none"]).output().unwrap();
    let [out, err] = [done.stdout, done.stderr].map(|text| String::from_utf8(text).unwrap());
    assert_eq!(done.status.code(), Some(code), "{out}{err}");
    [out, err]
}

fn change(show: &Show, file: &str, from: &str, to: &str) {
    let text = std::fs::read_to_string(show.path(file)).unwrap();
    assert!(text.contains(from), "{file} has no {from}");
    show.write(file, &text.replace(from, to));
}

#[test]
fn an_approval_has_a_line_for_each_member_with_its_own_folder() {
    let show = Show::new();
    let [out, _] = told(&show, "approve cast.toml --all", 0);
    let want = "mate: approved 3 pictures in rigs/mate/approved\n\
                cook: approved 3 pictures in rigs/cook/approved\n";
    assert_eq!(out, want);
    let [out, _] = told(&show, "approve rigs/cook --pose rest", 0);
    let want = "cook: approved 1 picture, the same as before in rigs/cook/approved\n";
    assert_eq!(out, want);
    change(&show, "poses/actions.toml", "[pose.wave]", "[pose.greet]");
    let [out, _] = told(&show, "approve rigs/cook --all --prune -v", 0);
    let want = "approved  cook/actions/rest
approved  cook/actions/haul
approved  cook/actions/greet
forgotten  cook/actions/wave
cook: approved 3 pictures, 2 the same as before; forgot 1 pose in rigs/cook/approved\n";
    assert_eq!(out, want);
}

#[test]
fn a_comparison_is_a_table_by_cause() {
    let show = Show::new();
    told(&show, "approve rigs/mate --all", 0);
    let [out, _] = told(&show, "compare rigs/mate", 0);
    assert_eq!(
        out,
        "mate: 3 poses: 3 identical\nmade 3 comparisons in out\n"
    );
    change(
        &show,
        "poses/actions.toml",
        "{ arm = -70 }",
        "{ arm = -40 }",
    );
    change(
        &show,
        "poses/actions.toml",
        "[pose.rest]",
        "[pose.new]\n[pose.rest]",
    );
    change(
        &show,
        "rigs/mate/rig.toml",
        "teal = \"#2f8f8b\"",
        "teal = \"#2f8f3b\"",
    );
    let [out, _] = told(&show, "compare rigs/mate", 1);
    let want = "mate: 4 poses: 2 differ, 1 new, 1 identical
  cause                                    poses    parts
  pose actions/haul: turn.arm: -70 to -40  1: haul  arm, hand
  palette day: teal: #2f8f8b to #2f8f3b    1: wave  arm
  new                                      1: new
made 4 comparisons in out\n";
    assert_eq!(out, want);
}

#[test]
fn a_check_shows_joints_that_are_worth_a_look() {
    let show = Show::new();
    let [out, _] = told(&show, "check rigs/mate", 0);
    let want = "mate: 1 joint, 0 errors, 0 warnings; 1 is safe to its limits (-v shows all)
made 1 check in out\n";
    assert_eq!(out, want);
    let [out, _] = told(&show, "check rigs/mate -v", 0);
    let want = "mate: 1 joint, 0 errors, 0 warnings
  joint  on     limits     safe       worst jut  worst gap
  arm    torso  -90 to 90  -90 to 90  -          3 % at 87
made 1 check in out\n";
    assert_eq!(out, want);
    // Torso and arm are not of one colour: where they are joined that is a finding on the arm.
    let rig = "rigs/mate/rig.toml";
    change(
        &show,
        rig,
        "[64, 74]\nreplace",
        "[64, 74]\nlimits = [-20, 20]\nreplace",
    );
    let seam = "[seam.shoulder]\nparts = [\"torso\", \"arm\"]\n[part.pack]";
    change(&show, rig, "[part.pack]", seam);
    let [out, err] = told(&show, "check rigs/mate", 1);
    assert!(err.contains("paint changes across seam shoulder"), "{err}");
    let want = "mate: 2 joints, 2 errors, 1 warning; 1 is safe to its limits (-v shows all)
  joint  on     limits     safe         worst jut     worst gap
  arm    torso  -90 to 90  -90 to 33.3  23 % at 67.8  3 % at 87
made 1 check in out\n";
    assert_eq!(out, want);
}

/// Runs a command in a window of so many columns, which `script` (bsdutils) plays, and gives its lines without colours.
fn in_a_window(show: &Show, columns: usize, line: &str) -> Vec<String> {
    let typed = format!(
        "stty cols {columns} rows 40; {} {line} --progress none",
        env!("CARGO_BIN_EXE_layfig")
    );
    let done = Command::new("script")
        .args(["-qec", &typed, "/dev/null"])
        .current_dir(show.path(""))
        .output()
        .expect("script starts");
    let text = String::from_utf8(done.stdout).unwrap();
    let mut plain = String::new();
    let mut rest = text.as_str();
    // ECMA-48: an escape, [, numbers, a letter.
    while let Some((before, after)) = rest.split_once("\u{1b}[") {
        plain.push_str(before);
        rest = after.trim_start_matches(|c: char| !c.is_ascii_alphabetic());
        rest = &rest[1..];
    }
    plain.push_str(rest);
    plain
        .lines()
        .map(|line| line.trim_end().to_owned())
        .collect()
}

#[test]
fn no_line_is_wider_than_the_window() {
    let show = Show::new();
    told(&show, "approve cast.toml --all", 0);
    change(
        &show,
        "rigs/mate/rig.toml",
        "pivot  = [64, 46]",
        "pivot  = [34, 46]",
    );
    change(
        &show,
        "poses/actions.toml",
        "[pose.rest]",
        "[pose.rest]\nturn = { arm = 95 }",
    );
    show.write(
        "rigs/cook/rig.toml",
        "[character]\nname = 5\n[part.x]\nparent = \"y\"\n",
    );
    for columns in [60, 80, 120] {
        let mut filled = 0;
        for line in [
            "check cast.toml",
            "compare cast.toml -v",
            "lint cast.toml",
            "render cast.toml",
            "render rigs/ --pose rest,haul --background navy",
            "export rigs/mate -o made",
            "sheet rigs/mate -o made",
            "approve rigs/mate --all -v",
            "fit rigs/mate",
            "migrate rigs/mate",
            "render nobody",
            "render rigs/mate --pose nothing",
            "joints",
            "night --help",
            "explain part.pivot",
            "explain",
        ] {
            let lines = in_a_window(&show, columns, line);
            assert!(lines.len() > 1, "{lines:?}");
            for text in &lines {
                assert!(text.width() <= columns, "{columns}, {line}: {text}");
            }
            filled += lines
                .iter()
                .filter(|text| text.width() > columns - 10)
                .count();
        }
        assert!(filled > 10, "{columns}: {filled}");
    }
}

#[test]
fn messages_go_on_under_themselves() {
    let show = Show::new();
    let meant = "[[lint.allow]]\ncheck = \"off-palette\"\nreason = \"meant\"\n[palette.day]";
    change(&show, "rigs/mate/rig.toml", "[palette.day]", meant);
    change(
        &show,
        "rigs/mate/rig.toml",
        "poses = [\"../../poses/actions.toml\"]",
        "",
    );
    let [_, err] = told(&show, "render rigs/mate", 3);
    let want = "warning: mate names no pose lists
--> rigs/mate
 = hint: give pose lists after the rig, or name them in it: poses =
         [\"../../poses/actions.toml\"]

error: nothing is selected: there are no poses

1 error, 1 warning\n";
    assert_eq!(err, want);
}
