//! Faults planted in a clean demo rig, `support/faults.toml`: each is found and named rightly, with nothing else
//! than what comes of it, and nothing is reported before.

use crate::support;
use std::path::{Path, PathBuf};

use crate::support::Staged;
use layfig::cast::{Measure, PoseList};
use layfig::check::check;

#[derive(serde::Deserialize)]
struct Table {
    fault: Vec<Fault>,
}

#[derive(serde::Deserialize)]
struct Fault {
    name: String,
    edits: Vec<Edit>,
    /// All that is found, as measure and first part; what was planted is first.
    found: Vec<(String, String)>,
}

/// What is changed in a file: everything from the first line that starts with `from` up to the next
/// empty line is taken, and `old` in it becomes `new`.
#[derive(serde::Deserialize)]
struct Edit {
    #[serde(default = "front")]
    file: String,
    from: String,
    old: String,
    new: String,
}

fn front() -> String {
    "front.toml".to_owned()
}

fn faults() -> Vec<Fault> {
    let table: Table = toml::from_str(include_str!("support/faults.toml")).unwrap();
    table.fault
}

/// The demo deckhand in a folder of her own, with replacements: limbs in another colour and with a
/// heavier line, in another ink, with a thin line, and a sleeve that is narrower than its arm.
fn clean(dir: &Path) -> PathBuf {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let copy = |from: &str| {
        let to = dir.join(from);
        std::fs::create_dir_all(&to).unwrap();
        for entry in std::fs::read_dir(root.join(from)).unwrap() {
            let path = entry.unwrap().path();
            if path.is_file() {
                std::fs::copy(&path, to.join(path.file_name().unwrap())).unwrap();
            }
        }
        to
    };
    copy("poses");
    let to = copy("rigs/deckhand");
    // Faults are planted in rigs written out in full.
    for entry in std::fs::read_dir(root.join("tests/full/deckhand")).unwrap() {
        let path = entry.unwrap().path();
        std::fs::copy(&path, to.join(path.file_name().unwrap())).unwrap();
    }
    let art = std::fs::read_to_string(to.join("front.svg")).unwrap();
    let odd = art
        .replace("#2f4565", "#2f8f8b")
        .replace("#233450", "#216b6c")
        .replace("stroke-width=\"6\"", "stroke-width=\"14\"");
    let thin = art.replace("stroke-width=\"6\"", "stroke-width=\"2.5\"");
    std::fs::write(to.join("odd.svg"), odd).unwrap();
    std::fs::write(to.join("inked.svg"), art.replace("#1e2436", "#c2512f")).unwrap();
    std::fs::write(to.join("thin.svg"), thin).unwrap();
    let narrow = art.replace(
        "M602.9 325.8 L469.8 369.1 L555.7 633.5 L688.8 590.2 Z",
        "M564.9 338.2 L507.8 356.8 L593.7 621.2 L650.8 602.6 Z",
    );
    assert_ne!(narrow, art);
    std::fs::write(to.join("narrow.svg"), narrow).unwrap();
    to
}

/// What is found on the front, as measure and first part.
fn found(folder: &Path) -> Vec<(String, String)> {
    let staged = Staged::read(folder);
    let lists: Vec<&PoseList> = staged.lists.iter().collect();
    let views = &staged.member.views;
    let front = views
        .iter()
        .position(|v| v.name.as_deref() == Some("front"));
    let findings = check(&staged.puppets[front.unwrap()], &lists);
    let list = findings.list.into_iter();
    list.map(|f| (f.measure.key().to_owned(), f.parts[0].clone()))
        .collect()
}

fn plant(folder: &Path, fault: &Fault) {
    for edit in &fault.edits {
        let path = folder.join(&edit.file);
        let text = std::fs::read_to_string(&path).unwrap();
        let start = text
            .find(&format!("\n{}", edit.from))
            .unwrap_or_else(|| panic!("{}", fault.name))
            + 1;
        let end = text[start..].find("\n\n").map_or(text.len(), |n| start + n);
        let changed = text[start..end].replacen(&edit.old, &edit.new, 1);
        assert_ne!(changed, text[start..end], "{}: nothing changed", fault.name);
        let planted = format!("{}{changed}{}", &text[..start], &text[end..]);
        std::fs::write(&path, planted).unwrap();
    }
}

#[test]
fn every_planted_fault_is_found_and_nothing_before() {
    use rayon::prelude::*;
    let dir = tempfile::tempdir().unwrap();
    let before = found(&clean(dir.path()));
    assert!(before.is_empty(), "reported on the clean rig: {before:?}");
    let wrong: Vec<String> = faults()
        .par_iter()
        .filter_map(|fault| {
            let dir = tempfile::tempdir().unwrap();
            let folder = clean(dir.path());
            plant(&folder, fault);
            let mut now = found(&folder);
            let mut want = fault.found.clone();
            now.sort();
            now.dedup();
            want.sort();
            (now != want).then(|| format!("{}: {now:?}", fault.name))
        })
        .collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_measure_has_a_planted_fault() {
    // What is seen of poses is planted in planted_pose_faults.rs, what they do not reach in reach.rs.
    use Measure::{BareEdge, Floating, Island, LooseEnd, Reach};
    let faults = faults();
    for measure in Measure::ALL {
        let planted = faults.iter().any(|f| f.found[0].0 == measure.key());
        let elsewhere = matches!(measure, BareEdge | Floating | Island | LooseEnd | Reach);
        assert!(planted || elsewhere, "{}", measure.key());
    }
}

#[test]
fn nothing_is_found_on_the_demo_rigs() {
    for member in support::DEMO {
        let staged = support::demo(member);
        let lists: Vec<&PoseList> = staged.lists.iter().collect();
        for puppet in &staged.puppets {
            let found = check(puppet, &lists).list;
            let told: Vec<&str> = found.iter().map(|f| f.message.as_str()).collect();
            assert!(told.is_empty(), "{member}: {told:?}");
        }
    }
}

#[test]
fn depth_changes_of_stress_poses_are_taken() {
    let dir = tempfile::tempdir().unwrap();
    let folder = clean(dir.path());
    let mut all = faults().into_iter();
    let fault = all
        .find(|f| f.name.contains("a pose that changes depths"))
        .unwrap();
    plant(&folder, &fault);
    let [planted, ..] = &fault.found[..] else {
        panic!("nothing is expected of it")
    };
    let rig = std::fs::read_to_string(folder.join("rig.toml")).unwrap();
    let rig = rig.replace("poses/deckhand.toml", "poses/deckhand_stress.toml");
    std::fs::write(folder.join("rig.toml"), rig).unwrap();
    let staged = Staged::read(&folder);
    let views = &staged.member.views;
    let front = views
        .iter()
        .position(|v| v.name.as_deref() == Some("front"))
        .unwrap();
    let ink = |lists: &[&PoseList]| {
        let list = check(&staged.puppets[front], lists).list.into_iter();
        list.filter(|f| f.measure.key() == planted.0 && f.parts[0] == planted.1)
            .map(|f| f.order)
            .collect::<Vec<_>>()
    };
    assert!(ink(&[]).is_empty());
    let order = ink(&[&staged.lists[0]]);
    let order = order[0].as_deref().unwrap();
    assert!(order.starts_with("deckhand_stress/limbs@"), "{order}");
}

#[test]
fn joints_are_checked_without_any_pose() {
    let dir = tempfile::tempdir().unwrap();
    let folder = clean(dir.path());
    let rig = std::fs::read_to_string(folder.join("rig.toml")).unwrap();
    let lines = rig.lines().filter(|l| !l.starts_with("poses"));
    let rig: String = lines.map(|l| format!("{l}\n")).collect();
    std::fs::write(folder.join("rig.toml"), rig).unwrap();
    let run = |view: &str| {
        let out = std::process::Command::new(env!("CARGO_BIN_EXE_layfig"))
            .current_dir(&folder)
            .args(["check", ".", "--view", view])
            .output()
            .unwrap();
        let told = String::from_utf8_lossy(&out.stdout).into_owned();
        (out.status.code(), told)
    };
    let (code, told) = run("front");
    assert_eq!(code, Some(0), "{told}");
    assert!(told.contains("24 joints, 0 errors, 0 warnings"), "{told}");
    // A joint that does not hold is an error all the same.
    let front = std::fs::read_to_string(folder.join("front.toml")).unwrap();
    let bent = front.replace("[603.7, 554.8]", "[613.7, 554.8]");
    std::fs::write(folder.join("front.toml"), bent).unwrap();
    assert_eq!(run("front").0, Some(1));
    // Other commands have nothing to show.
    let out = std::process::Command::new(env!("CARGO_BIN_EXE_layfig"))
        .current_dir(&folder)
        .args(["render", "."])
        .output()
        .unwrap();
    assert_eq!(out.status.code(), Some(3));
}
