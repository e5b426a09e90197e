//! Faults planted in a clean demo rig: each is found and named rightly, and none is reported before.

mod support;

use std::path::{Path, PathBuf};

use layfig::cast::{Measure, PoseList};
use layfig::check::check;
use support::Staged;

/// What is changed in a file: everything from the first line that starts with `from` up to the next
/// empty line is taken, and `old` in it becomes `new`.
struct Fault {
    name: &'static str,
    file: &'static str,
    from: &'static str,
    old: &'static str,
    new: &'static str,
    /// What must be found, on which part.
    measure: Measure,
    part: &'static str,
}

const FRONT: &str = "front.toml";

const fn fault(
    name: &'static str,
    from: &'static str,
    [old, new]: [&'static str; 2],
    measure: Measure,
    part: &'static str,
) -> Fault {
    Fault {
        name,
        file: FRONT,
        from,
        old,
        new,
        measure,
        part,
    }
}

const FAULTS: &[Fault] = &[
    fault(
        "an elbow's pivot 4 units off",
        "[part.forearm_far]",
        ["[603.7, 554.8]", "[607.7, 554.8]"],
        Measure::Jut,
        "forearm_far",
    ),
    fault(
        "an elbow's pivot 4 units low",
        "[part.forearm_near]",
        ["[308.3, 554.8]", "[308.3, 558.8]"],
        Measure::Jut,
        "forearm_near",
    ),
    fault(
        "a knee's pivot 8 units off",
        "[part.shin_near]",
        ["[404, 878]", "[412, 878]"],
        Measure::Jut,
        "shin_near",
    ),
    fault(
        "a knee's pivot 8 units high",
        "[part.shin_far]",
        ["[508, 878]", "[508, 870]"],
        Measure::Jut,
        "shin_far",
    ),
    fault(
        "an elbow's seam left out",
        "[seam.elbow_near]",
        [
            "parts = [\"upper_arm_near\", \"forearm_near\"]",
            "parts = [\"torso\", \"forearm_near\"]",
        ],
        Measure::Seam,
        "forearm_near",
    ),
    fault(
        "a knee's seam left out",
        "[seam.knee_far]",
        [
            "parts = [\"thigh_far\", \"shin_far\"]",
            "parts = [\"pelvis\", \"shin_far\"]",
        ],
        Measure::Seam,
        "shin_far",
    ),
    fault(
        "a mask the wrong way round",
        "[mask.iris_near]",
        ["\"inside\"", "\"outside\""],
        Measure::Shown,
        "iris_near",
    ),
    fault(
        "the other mask the wrong way round",
        "[mask.iris_far]",
        ["\"inside\"", "\"outside\""],
        Measure::Shown,
        "iris_far",
    ),
    fault(
        "a mask of the wrong part",
        "[mask.iris_near]",
        ["[\"eye_near\"]", "[\"foot_near\"]"],
        Measure::Shown,
        "iris_near",
    ),
    fault(
        "a mask left out",
        "[mask.iris_far]",
        ["part = \"iris_far\"", "part = \"nose\""],
        Measure::Spill,
        "iris_far",
    ),
    fault(
        "an elbow's zone too small",
        "[seam.elbow_near]",
        ["\"auto\"", "12"],
        Measure::ZoneSmall,
        "forearm_near",
    ),
    fault(
        "a knee's zone too small",
        "[seam.knee_far]",
        ["\"auto\"", "20"],
        Measure::ZoneSmall,
        "shin_far",
    ),
    fault(
        "an ankle's zone too large",
        "[seam.ankle_near]",
        ["\"auto\"", "500"],
        Measure::ZoneLarge,
        "foot_near",
    ),
    fault(
        "an elbow's zone too large",
        "[seam.elbow_far]",
        ["\"auto\"", "400"],
        Measure::ZoneLarge,
        "forearm_far",
    ),
    fault(
        "a thin overlap at the elbow",
        "[part.forearm_far]",
        ["depth  = 6.4", "depth  = 6.4\nplace = { move = [14, 42] }"],
        Measure::Overlap,
        "forearm_far",
    ),
    fault(
        "a thin overlap at the knee",
        "[part.shin_near]",
        ["depth  = 0.2", "depth  = 0.2\nplace = { move = [0, 70] }"],
        Measure::Overlap,
        "shin_near",
    ),
    fault(
        "a garment on the wrong host",
        "[garment.boot_shaft_near]",
        ["[\"shin_near\"]", "[\"forearm_near\"]"],
        Measure::Shown,
        "boot_shaft_near",
    ),
    fault(
        "a garment off its host",
        "[part.cuff_near]",
        [
            "pivot  = [285, 686.8]",
            "pivot  = [285, 686.8]\nplace = { move = [220, 0] }",
        ],
        Measure::Shown,
        "cuff_near",
    ),
    fault(
        "a trim left out",
        "[garment.sleeve_upper_near]",
        ["trim = \"oilskin_line\"", ""],
        Measure::Trim,
        "sleeve_upper_near",
    ),
    fault(
        "a trim of another colour",
        "[garment.sleeve_lower_far]",
        ["trim = \"oilskin_line\"", "trim = \"teal\""],
        Measure::Trim,
        "sleeve_lower_far",
    ),
    fault(
        "a wrong swatch on one limb half",
        "[part.thigh_near]",
        ["front.svg#thigh_near", "odd.svg#thigh_near"],
        Measure::Colour,
        "shin_near",
    ),
    fault(
        "a heavier line on one limb half",
        "[part.thigh_far]",
        ["front.svg#thigh_far", "odd.svg#thigh_far"],
        Measure::Line,
        "shin_far",
    ),
];

/// The demo deckhand's front, in a folder of its own.
fn clean(dir: &Path) -> PathBuf {
    let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("rigs/deckhand");
    let to = dir.join("deckhand");
    std::fs::create_dir_all(&to).unwrap();
    for entry in std::fs::read_dir(from).unwrap() {
        let path = entry.unwrap().path();
        std::fs::copy(&path, to.join(path.file_name().unwrap())).unwrap();
    }
    let rig = std::fs::read_to_string(to.join("rig.toml")).unwrap();
    let lines = rig.lines().filter(|l| {
        let others = ["three_quarter", "side", "back", "poses"];
        !others.iter().any(|o| l.starts_with(o))
    });
    let rig: String = lines.map(|l| format!("{l}\n")).collect();
    std::fs::write(to.join("rig.toml"), rig).unwrap();
    // Thighs in another colour and with a heavier line.
    let art = std::fs::read_to_string(to.join("front.svg")).unwrap();
    let odd = art
        .replace("#2f4565", "#2f8f8b")
        .replace("#233450", "#216b6c")
        .replace("stroke-width=\"6\"", "stroke-width=\"14\"");
    std::fs::write(to.join("odd.svg"), odd).unwrap();
    to
}

/// What is found, as measure and first part.
fn found(folder: &Path) -> Vec<(Measure, String)> {
    let staged = Staged::read(folder);
    let lists: Vec<&PoseList> = staged.lists.iter().collect();
    let findings = check(&staged.puppets[0], &lists);
    let list = findings.list.into_iter();
    list.map(|f| (f.measure, f.parts[0].clone())).collect()
}

#[test]
fn every_planted_fault_is_found_and_none_before() {
    let dir = tempfile::tempdir().unwrap();
    let folder = clean(dir.path());
    let before = found(&folder);
    let mut wrong = Vec::new();
    for f in FAULTS {
        let path = folder.join(f.file);
        let text = std::fs::read_to_string(&path).unwrap();
        let start = text
            .find(&format!("\n{}", f.from))
            .unwrap_or_else(|| panic!("{}", f.name))
            + 1;
        let end = text[start..].find("\n\n").map_or(text.len(), |n| start + n);
        let changed = text[start..end].replacen(f.old, f.new, 1);
        assert_ne!(changed, text[start..end], "{}: nothing changed", f.name);
        let planted = format!("{}{changed}{}", &text[..start], &text[end..]);
        std::fs::write(&path, planted).unwrap();
        let want = (f.measure, f.part.to_owned());
        let now = found(&folder);
        if before.contains(&want) {
            wrong.push(format!("{}: reported on the clean rig", f.name));
        }
        if !now.contains(&want) {
            let new: Vec<_> = now.iter().filter(|n| !before.contains(n)).collect();
            wrong.push(format!("{}: not found; new is {new:?}", f.name));
        }
        std::fs::write(&path, text).unwrap();
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_demo_rigs_have_no_errors() {
    use layfig::diag::Severity;
    for member in support::DEMO {
        let staged = support::demo(member);
        let lists: Vec<&PoseList> = staged.lists.iter().collect();
        for puppet in &staged.puppets {
            for f in check(puppet, &lists).list {
                assert_eq!(f.severity, Severity::Warning, "{member}: {}", f.message);
            }
        }
    }
}
