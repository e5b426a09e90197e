//! What a run writes for the next one to read.

use layfig::compare::{Manifest, State};

use super::show::{Show, causes};

#[test]
fn an_inherited_value_is_read_back_as_it_was_written() {
    let show = Show::new();
    show.run("approve robo --all -q", 0);
    let text = show.read("robo/approved/manifest.json");
    let manifest = Manifest::read(&text).unwrap();
    let turn = &manifest.poses["p/b"].pose.says["turn.antenna"];
    assert_eq!(turn.value, 20.0);
    assert_eq!(turn.from.as_deref(), Some("a"));
    assert_eq!(manifest.text().unwrap(), text);
    show.edit("robo/rig.toml", "pivot = [36, 18]", "pivot = [39, 18]");
    show.run("compare robo -q", 1);
    let found = show.comparison("robo");
    assert_eq!(causes(&found, "a"), ["antenna.pivot"]);
    assert_eq!(causes(&found, "b"), ["antenna.pivot"]);
    show.run("approve robo --cause antenna.pivot -q", 0);
    show.run("compare robo -q", 0);
    // Pose "b" shows the mouth that "a" replaces: an edit of that drawing is its cause.
    show.edit("robo/robo.svg", "M28 38H44V48H28Z", "M28 36H44V48H28Z");
    show.run("compare robo -q", 1);
    assert_eq!(causes(&show.comparison("robo"), "b"), ["robo.svg#open"]);
}

#[test]
fn a_damaged_line_costs_itself_and_no_other() {
    let show = Show::new();
    let night = |label: &str| {
        show.edit("robo/p.toml", "[1, 0.5", "[1, 0.51");
        show.run(&format!("night cast.toml --label {label}"), 0)
    };
    for label in ["mon", "tue", "wed"] {
        night(label);
    }
    let history = show.read("out/night/history.jsonl");
    let (first, rest) = history.split_once('\n').unwrap();
    let damaged = format!("{}\n{rest}", &first[..first.len() / 2]);
    show.write("out/night/history.jsonl", &damaged);
    let state = show.read("out/night/.night/state.jsonl");
    let lines: Vec<&str> = state.lines().collect();
    let at = lines
        .iter()
        .position(|line| line.contains("\"name\":\"robo/p/b\""))
        .unwrap();
    assert!(at > 0 && at + 1 < lines.len());
    let state = state.replacen(lines[at], &lines[at][..20], 1);
    show.write("out/night/.night/state.jsonl", &state);

    let told = show.run("night cast.toml --label wed --messages short", 0);
    assert!(
        told.contains("out/night/history.jsonl: warning: 1 line cannot be read"),
        "{told}"
    );
    assert!(told.contains("state.jsonl: warning: 1 line"), "{told}");
    assert!(told.contains("made 1,"), "{told}");
    night("thu");
    let history = show.read("out/night/history.jsonl");
    let labels: Vec<String> = history
        .lines()
        .map(|line| {
            let entry: serde_json::Value = serde_json::from_str(line).unwrap();
            entry["label"].as_str().unwrap().to_owned()
        })
        .collect();
    assert_eq!(labels, ["tue", "wed", "thu"]);
    let names = show.names("out/night");
    let kept = names.iter().find(|n| n.ends_with(".damaged")).unwrap();
    assert_eq!(show.read(&format!("out/night/{kept}")), damaged);
    // What is whole is told of no more.
    let told = show.run("night cast.toml --label thu", 0);
    assert!(!told.contains("cannot be read"), "{told}");
}

/// What another build would have drawn is played by the pixels of another drawing.
#[test]
fn another_build_of_the_program_is_a_cause_like_any_other() {
    let show = Show::new();
    let manifest = "robo/approved/manifest.json";
    let read = || Manifest::read(&show.read(manifest)).unwrap();
    show.run("approve robo --all -q", 0);
    let mut then = read();
    let engine = &then.poses["p/rest"].engine;
    assert_eq!(engine, layfig::compare::ENGINE);
    let (_, sources) = engine.split_once('+').expect("a version and a build");
    assert!(sources.len() == 16 && sources.bytes().all(|b| b.is_ascii_hexdigit()));
    show.run("night cast.toml --make pictures -q", 0);
    let night: serde_json::Value =
        serde_json::from_str(&show.read("out/night/summary.json")).unwrap();
    assert_eq!(night["engine"], engine.as_str());

    show.edit("robo/robo.svg", "M28 41H44V45H28Z", "M28 41H44V49H28Z");
    show.run("approve robo --all -q", 0);
    for (key, now) in read().poses {
        let old = then.poses.get_mut(&key).unwrap();
        let drawn = (old.pixels.clone(), old.picture.clone(), old.owners.clone());
        *old = now;
        (old.pixels, old.picture, old.owners) = drawn;
    }
    then.rigs = read().rigs;
    // The same build cannot have drawn both.
    show.write(manifest, then.text().unwrap());
    show.run("compare robo -q", 1);
    let found = show.comparison("robo");
    assert!(found.causes.is_empty());
    let rest = found.poses.iter().find(|p| p.name == "rest").unwrap();
    assert_eq!(rest.reason.as_deref(), Some("no recorded edit explains it"));
    assert_eq!(rest.state, State::Differs);

    for pose in then.poses.values_mut() {
        pose.engine = engine_of_another_build();
    }
    show.write(manifest, then.text().unwrap());
    let told = show.run("compare robo", 1);
    let text = format!(
        "robo: 1 pose because of layfig (the program changed, {} to {})",
        engine_of_another_build(),
        layfig::compare::ENGINE
    );
    assert!(told.contains(&text), "{told}");
    assert_eq!(causes(&show.comparison("robo"), "rest"), ["layfig"]);
    // An edit far from it explains its own pixels and no others.
    show.edit("robo/rig.toml", "pivot = [36, 18]", "pivot = [36, 22]");
    show.edit(
        "robo/p.toml",
        "[pose.rest]",
        "[pose.rest]\nturn = { antenna = 30 }",
    );
    show.run("compare robo -q", 1);
    let found = show.comparison("robo");
    assert_eq!(
        causes(&found, "rest"),
        ["antenna.pivot", "pose p/rest: turn.antenna", "layfig"]
    );
    assert_eq!(causes(&found, "a"), ["antenna.pivot"]);
    show.run("approve robo --cause layfig", 0);
    show.run(
        "approve robo --cause antenna.pivot,*turn.antenna,layfig -q",
        0,
    );
    show.run("compare robo -q", 0);
    assert!(
        read()
            .poses
            .values()
            .any(|p| p.engine == layfig::compare::ENGINE)
    );
}

fn engine_of_another_build() -> String {
    format!("{}+0123456789abcdef", env!("CARGO_PKG_VERSION"))
}
