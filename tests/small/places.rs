//! Documents say the same from wherever the program is run.

use std::path::Path;

use super::show::{Show, files};

/// But for what tells times.
fn assert_same(show: &Show, one: &str, other: &str) {
    let untimed = |folder: &str| {
        let mut all = files(&show.path(folder));
        all.retain(|(name, _)| {
            !name.starts_with("history.jsonl") && name != Path::new("history.html")
        });
        all.retain(|(name, _)| name != Path::new(".night/measured.jsonl"));
        all
    };
    let (one, other) = (untimed(one), untimed(other));
    assert!(one.len() > 3);
    let names =
        |all: &[(std::path::PathBuf, Vec<u8>)]| all.iter().map(|f| f.0.clone()).collect::<Vec<_>>();
    assert_eq!(names(&one), names(&other));
    for ((name, a), (_, b)) in one.iter().zip(&other) {
        let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
        assert!(a == b, "{}:\n{}\n{}", name.display(), text(a), text(b));
    }
}

/// A member that differs from its set, one whose set is damaged, one that draws what is not there, one
/// with mistakes in its poses.
fn crew() -> Show {
    let show = Show::empty();
    let mut cast = "[cast]\nname = \"Tin\"\n".to_owned();
    for key in ["robo", "rusty", "lost", "loose"] {
        show.member(key);
        cast += &format!("[member.{key}]\n");
    }
    show.write("cast.toml", cast);
    show.run("approve cast.toml --all -q", 0);
    show.edit("robo/rig.toml", "pivot = [36, 18]", "pivot = [39, 18]");
    let picture = &show.names("robo/approved/pictures")[0];
    std::fs::remove_file(show.path(&format!("robo/approved/pictures/{picture}"))).unwrap();
    show.write("rusty/approved/manifest.json", "{");
    show.edit("lost/rig.toml", "robo.svg#body", "robo.svg#boddy");
    show.edit("loose/p.toml", "mouth = [1", "moth = [1");
    show.edit(
        "loose/rig.toml",
        "\"p.toml\"",
        "\"p.toml\", \"../list.toml\"",
    );
    show.write("list.toml", "[pose.rest]\nturns = 1\n");
    std::fs::create_dir_all(show.path("far/away")).unwrap();
    show
}

#[test]
fn a_night_is_the_same_from_another_folder() {
    let show = crew();
    show.run("night cast.toml --out near -q", 2);
    show.run_in("far/away", "night ../../cast.toml --out ../../away -q", 2);
    assert_same(&show, "near", "away");
    let cast = show.path("cast.toml");
    let line = format!("night {} --out whole -q", cast.display());
    show.run_in("robo", &line, 2);
    assert_same(&show, "near", "robo/whole");
    // One member, by its folder and from inside it.
    show.run("night loose --out one -q", 2);
    show.run_in("loose", "night . --out ../inside -q", 2);
    assert_same(&show, "one", "inside");
}

#[test]
fn a_comparison_is_the_same_from_another_folder() {
    let show = crew();
    show.run("compare robo --out near -q", 1);
    show.run_in("far", "compare ../robo --out ../away -q", 1);
    show.run_in("robo", "compare . --out ../inside -q", 1);
    assert_same(&show, "near", "away");
    assert_same(&show, "near", "inside");
    let text = show.read("near/robo/compare/comparison.json");
    let found: layfig::compare::Comparison = serde_json::from_str(&text).unwrap();
    assert_eq!(found.approved, "approved");
}
