//! Faults of poses planted in the demo deckhand's front, `support/pose_faults.toml`: each is found and named by the
//! right measure, with no other finding of these measures beside it, and nothing is reported before.

mod support;

use std::path::Path;

use layfig::cast::{Measure, PoseList};
use layfig::check::check;
use support::Staged;

/// A text that stands once in a file, and what it becomes.
type Edit = [String; 2];

#[derive(serde::Deserialize)]
struct Table {
    fault: Vec<Fault>,
}

#[derive(serde::Deserialize)]
struct Fault {
    name: String,
    /// In the drawing and in the rig of the view.
    #[serde(default)]
    art: Vec<Edit>,
    #[serde(default)]
    rig: Vec<Edit>,
    /// Lines of the pose.
    pose: String,
    /// What must be found, on which part.
    measure: String,
    part: String,
}

const MEASURES: [Measure; 4] = [
    Measure::BareEdge,
    Measure::LooseEnd,
    Measure::Island,
    Measure::Floating,
];

/// What these measures find on the front with a pose beside rest, as measure and first part.
fn found(fault: Option<&Fault>) -> Vec<(&'static str, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("rigs/deckhand");
    let dir = tempfile::tempdir().unwrap();
    for entry in std::fs::read_dir(root).unwrap() {
        let path = entry.unwrap().path();
        std::fs::copy(&path, dir.path().join(path.file_name().unwrap())).unwrap();
    }
    let edit = |file: &str, edits: &[Edit]| {
        let path = dir.path().join(file);
        let mut text = std::fs::read_to_string(&path).unwrap();
        for [old, new] in edits {
            assert_eq!(text.matches(old.as_str()).count(), 1, "{file}: {old}");
            text = text.replace(old.as_str(), new);
        }
        std::fs::write(path, text).unwrap();
    };
    let rig = std::fs::read_to_string(dir.path().join("rig.toml")).unwrap();
    let start = rig.find("\nposes").unwrap() + 1;
    let end = start + rig[start..].find(']').unwrap() + 1;
    let rig = format!("{}poses = [\"planted.toml\"]{}", &rig[..start], &rig[end..]);
    // Limits that leave nothing out on a single pose: those of the program spare what peeks out in a whole list.
    let rig = format!("{rig}\n[check]\nisland = [1.5, 0.75]\nloose_end = [15, 40]\n");
    std::fs::write(dir.path().join("rig.toml"), rig).unwrap();
    let mut poses = "[pose.rest]\n\n".to_owned();
    if let Some(fault) = fault {
        edit("front.svg", &fault.art);
        edit("front.toml", &fault.rig);
        poses += &format!("[pose.planted]\n{}\n", fault.pose);
    }
    std::fs::write(dir.path().join("planted.toml"), poses).unwrap();
    let staged = Staged::read(dir.path());
    let lists: Vec<&PoseList> = staged.lists.iter().collect();
    let views = &staged.member.views;
    let front = views
        .iter()
        .position(|v| v.name.as_deref() == Some("front"));
    let findings = check(&staged.puppets[front.unwrap()], &lists);
    let list = findings.list.into_iter();
    list.filter(|f| MEASURES.contains(&f.measure))
        .map(|f| (f.measure.key(), f.parts[0].clone()))
        .collect()
}

#[test]
fn every_planted_fault_of_a_pose_is_found_alone_and_nothing_before() {
    use rayon::prelude::*;
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/support/pose_faults.toml");
    let table: Table = toml::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    assert!(table.fault.len() >= 20);
    let before = found(None);
    assert!(before.is_empty(), "reported on the clean rig: {before:?}");
    let wrong: Vec<String> = table
        .fault
        .par_iter()
        .filter_map(|fault| {
            let now = found(Some(fault));
            let want = [(fault.measure.as_str(), fault.part.clone())];
            (now != want).then(|| format!("{}: {now:?}", fault.name))
        })
        .collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
