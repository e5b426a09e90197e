//! Faults of poses planted in the demo cast, `support/pose_faults.toml`: each is found and named by the right
//! measure at the limits of the program, with no other finding of these measures beside it, and nothing is reported
//! before.

use std::path::Path;

use crate::support::Staged;
use layfig::cast::{Measure, PoseList};
use layfig::check::check;

/// A text that stands once in a file, and what it becomes.
type Edit = [String; 2];

#[derive(serde::Deserialize)]
struct Table {
    fault: Vec<Fault>,
}

#[derive(Clone, serde::Deserialize)]
struct Fault {
    name: String,
    #[serde(default = "deckhand")]
    member: String,
    /// Of the deckhand.
    #[serde(default = "front")]
    view: String,
    /// In the drawing and in the rig of the view.
    #[serde(default)]
    art: Vec<Edit>,
    #[serde(default)]
    rig: Vec<Edit>,
    /// Lines of the pose.
    pose: String,
    /// All that must be found, each a measure and the part that it is about.
    finds: Vec<String>,
}

fn deckhand() -> String {
    "deckhand".to_owned()
}

fn front() -> String {
    "front".to_owned()
}

const MEASURES: [Measure; 5] = [
    Measure::BareEdge,
    Measure::LooseEnd,
    Measure::Island,
    Measure::Floating,
    Measure::CutOff,
];

/// What these measures find with a fault, as measure and first part; without `planted` on the clean rig at rest.
fn found(fault: &Fault, planted: bool) -> Vec<String> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("rigs")
        .join(&fault.member);
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
    let mut poses = "[pose.rest]\n\n".to_owned();
    if planted {
        let (art, rig) = match fault.member.as_str() {
            "ship_dog" => ("side.svg".to_owned(), "rig.toml".to_owned()),
            _ => (
                format!("{}.svg", fault.view),
                format!("{}.toml", fault.view),
            ),
        };
        edit(&art, &fault.art);
        edit(&rig, &fault.rig);
        poses += &format!("[pose.planted]\n{}\n", fault.pose);
    }
    std::fs::write(dir.path().join("planted.toml"), poses).unwrap();
    let rig = std::fs::read_to_string(dir.path().join("rig.toml")).unwrap();
    let start = rig.find("\nposes").unwrap() + 1;
    let end = start + rig[start..].find(']').unwrap() + 1;
    let rig = format!("{}poses = [\"planted.toml\"]{}", &rig[..start], &rig[end..]);
    std::fs::write(dir.path().join("rig.toml"), rig).unwrap();
    let staged = Staged::read(dir.path());
    let lists: Vec<&PoseList> = staged.lists.iter().collect();
    let mut views = staged.member.views.iter();
    let view = views.position(|v| v.name.as_deref() == Some(fault.view.as_str()));
    let findings = check(&staged.puppets[view.unwrap_or(0)], &lists);
    let list = findings.list.into_iter();
    let mut all: Vec<String> = list
        .filter(|f| MEASURES.contains(&f.measure))
        .map(|f| format!("{} {}", f.measure.key(), f.parts[0]))
        .collect();
    all.sort();
    all
}

#[test]
fn every_planted_fault_of_a_pose_is_found_alone_and_nothing_before() {
    use rayon::prelude::*;
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/support/pose_faults.toml");
    let table: Table = toml::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    let of = |key: &str| {
        let finds = table.fault.iter().flat_map(|f| &f.finds);
        finds.filter(|f| f.split(' ').next() == Some(key)).count()
    };
    for measure in MEASURES {
        assert!(of(measure.key()) >= 4, "{}", measure.key());
    }
    let mut places: Vec<(&str, &str)> = Vec::new();
    let wrong: Vec<String> = table
        .fault
        .par_iter()
        .filter_map(|fault| {
            let now = found(fault, true);
            let mut want = fault.finds.clone();
            want.sort();
            (now != want).then(|| format!("{}: {now:?}", fault.name))
        })
        .collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    for fault in &table.fault {
        let place = (fault.member.as_str(), fault.view.as_str());
        if !places.contains(&place) {
            places.push(place);
            let before = found(fault, false);
            assert!(before.is_empty(), "reported on the clean rig: {before:?}");
        }
    }
    assert!(places.len() >= 4, "{places:?}");
}
