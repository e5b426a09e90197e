//! Faults planted in a clean demo rig: each is found and named rightly, and nothing is reported before.

mod support;

use std::path::{Path, PathBuf};

use layfig::cast::{Measure, PoseList};
use layfig::check::check;
use support::Staged;

/// What is changed in a file: everything from the first line that starts with `from` up to the next
/// empty line is taken, and `old` in it becomes `new`.
struct Edit {
    file: &'static str,
    from: &'static str,
    old: &'static str,
    new: &'static str,
}

struct Fault {
    name: &'static str,
    edits: &'static [Edit],
    /// What must be found, on which part.
    measure: Measure,
    part: &'static str,
}

const fn edit(from: &'static str, [old, new]: [&'static str; 2]) -> Edit {
    let file = "front.toml";
    Edit {
        file,
        from,
        old,
        new,
    }
}

const fn in_poses(from: &'static str, [old, new]: [&'static str; 2]) -> Edit {
    let file = "../../poses/deckhand.toml";
    Edit {
        file,
        from,
        old,
        new,
    }
}

const fn fault(
    name: &'static str,
    edits: &'static [Edit],
    measure: Measure,
    part: &'static str,
) -> Fault {
    Fault {
        name,
        edits,
        measure,
        part,
    }
}

const FAULTS: &[Fault] = &[
    fault(
        "an elbow's pivot 4 units off",
        &[edit(
            "[part.forearm_far]",
            ["[603.7, 554.8]", "[607.7, 554.8]"],
        )],
        Measure::Jut,
        "forearm_far",
    ),
    fault(
        "an elbow's pivot 4 units low",
        &[edit(
            "[part.forearm_near]",
            ["[308.3, 554.8]", "[308.3, 558.8]"],
        )],
        Measure::Jut,
        "forearm_near",
    ),
    fault(
        "a knee's pivot 8 units off",
        &[edit("[part.shin_near]", ["[404, 878]", "[412, 878]"])],
        Measure::Jut,
        "shin_near",
    ),
    fault(
        "a knee's pivot 8 units high",
        &[edit("[part.shin_far]", ["[508, 878]", "[508, 870]"])],
        Measure::Jut,
        "shin_far",
    ),
    fault(
        "an ankle's pivot 14 units off",
        &[edit("[part.foot_near]", ["[402, 1060]", "[416, 1060]"])],
        Measure::Pivot,
        "foot_near",
    ),
    fault(
        "an ankle's pivot 14 units low",
        &[edit("[part.foot_near]", ["[402, 1060]", "[402, 1074]"])],
        Measure::Jut,
        "foot_near",
    ),
    fault(
        "a wrist's pivot 12 units off",
        &[edit("[part.hand_near]", ["[285, 686.8]", "[297, 686.8]"])],
        Measure::Pivot,
        "hand_near",
    ),
    fault(
        "a shoulder's pivot 40 units off",
        &[edit("[part.upper_arm_near]", ["[354, 414]", "[394, 414]"])],
        Measure::Jut,
        "upper_arm_near",
    ),
    fault(
        "a hip's pivot 30 units off",
        &[edit("[part.thigh_far]", ["[504, 694]", "[534, 694]"])],
        Measure::Jut,
        "thigh_far",
    ),
    fault(
        "a head that turns too far",
        &[edit("[part.head]", ["[-28, 28]", "[-110, 110]"])],
        Measure::Jut,
        "head",
    ),
    fault(
        "an elbow's seam left out",
        &[edit(
            "[seam.elbow_near]",
            [
                "[\"upper_arm_near\", \"forearm_near\"]",
                "[\"torso\", \"forearm_near\"]",
            ],
        )],
        Measure::Seam,
        "forearm_near",
    ),
    fault(
        "a knee's seam left out",
        &[edit(
            "[seam.knee_far]",
            [
                "[\"thigh_far\", \"shin_far\"]",
                "[\"pelvis\", \"shin_far\"]",
            ],
        )],
        Measure::Seam,
        "shin_far",
    ),
    fault(
        "a mask the wrong way round",
        &[edit("[mask.iris_near]", ["\"inside\"", "\"outside\""])],
        Measure::Shown,
        "iris_near",
    ),
    fault(
        "the other mask the wrong way round",
        &[edit("[mask.iris_far]", ["\"inside\"", "\"outside\""])],
        Measure::Shown,
        "iris_far",
    ),
    fault(
        "a mask of the wrong part",
        &[edit(
            "[mask.iris_near]",
            ["[\"eye_near\"]", "[\"foot_near\"]"],
        )],
        Measure::Shown,
        "iris_near",
    ),
    fault(
        "a mask left out",
        &[edit(
            "[mask.iris_far]",
            ["part = \"iris_far\"", "part = \"nose\""],
        )],
        Measure::Spill,
        "iris_far",
    ),
    fault(
        "both masks left out",
        &[
            edit(
                "[mask.iris_far]",
                ["part = \"iris_far\"", "part = \"nose\""],
            ),
            edit(
                "[mask.iris_near]",
                ["part = \"iris_near\"", "part = \"mouth\""],
            ),
        ],
        Measure::Spill,
        "iris_near",
    ),
    fault(
        "an iris that the neck carries",
        &[edit(
            "[part.iris_far]",
            ["parent = \"head\"", "parent = \"torso\""],
        )],
        Measure::Shown,
        "iris_far",
    ),
    fault(
        "an elbow's zone too small",
        &[edit("[seam.elbow_near]", ["\"auto\"", "12"])],
        Measure::ZoneSmall,
        "forearm_near",
    ),
    fault(
        "a knee's zone too small",
        &[edit("[seam.knee_far]", ["\"auto\"", "20"])],
        Measure::ZoneSmall,
        "shin_far",
    ),
    fault(
        "ink left at a hip by a small zone",
        &[edit("[seam.hip_near]", ["86", "20"])],
        Measure::Ink,
        "thigh_near",
    ),
    fault(
        "ink left at a shoulder by a small zone",
        &[edit("[seam.shoulder_near]", ["52", "12"])],
        Measure::Ink,
        "upper_arm_near",
    ),
    fault(
        "an ankle's zone too large",
        &[edit("[seam.ankle_near]", ["\"auto\"", "500"])],
        Measure::ZoneLarge,
        "foot_near",
    ),
    fault(
        "an elbow's zone too large",
        &[edit("[seam.elbow_far]", ["\"auto\"", "400"])],
        Measure::ZoneLarge,
        "forearm_far",
    ),
    fault(
        "a seam that opens one ink, and a pose that changes depths",
        &[edit(
            "[seam.elbow_near]",
            ["zone  = \"auto\"", "zone  = \"auto\"\nopens = \"child\""],
        )],
        Measure::Ink,
        "forearm_near",
    ),
    fault(
        "a thin overlap at the elbow",
        &[edit(
            "[part.forearm_far]",
            ["depth  = 6.4", "depth  = 6.4\nplace = { move = [14, 42] }"],
        )],
        Measure::Overlap,
        "forearm_far",
    ),
    fault(
        "a thin overlap at the knee",
        &[edit(
            "[part.shin_near]",
            ["depth  = 0.2", "depth  = 0.2\nplace = { move = [0, 70] }"],
        )],
        Measure::Overlap,
        "shin_near",
    ),
    fault(
        "a forearm that has come off",
        &[edit(
            "[part.forearm_near]",
            ["depth  = 6", "depth  = 6\nplace = { move = [300, 200] }"],
        )],
        Measure::Overlap,
        "forearm_near",
    ),
    fault(
        "a brow that has come off",
        &[edit("[part.brow_near]", ["[-45, 0]", "[-45, -300]"])],
        Measure::Overlap,
        "brow_near",
    ),
    fault(
        "a hand that reaches over the forearm to the upper arm",
        &[edit("[part.hand_near]", ["[-13, 0.1]", "[10, -120]"])],
        Measure::Ink,
        "forearm_near",
    ),
    fault(
        "a garment on the wrong host",
        &[edit(
            "[garment.boot_shaft_near]",
            ["[\"shin_near\"]", "[\"forearm_near\"]"],
        )],
        Measure::Shown,
        "boot_shaft_near",
    ),
    fault(
        "a garment off its host",
        &[edit(
            "[part.cuff_near]",
            [
                "pivot  = [285, 686.8]",
                "pivot  = [285, 686.8]\nplace = { move = [220, 0] }",
            ],
        )],
        Measure::Shown,
        "cuff_near",
    ),
    fault(
        "a cuff that the upper arm carries",
        &[edit(
            "[part.cuff_far]",
            ["parent = \"forearm_far\"", "parent = \"upper_arm_far\""],
        )],
        Measure::Shown,
        "cuff_far",
    ),
    fault(
        "a garment left out",
        &[edit(
            "[garment.cuff_far]",
            ["part = \"cuff_far\"", "part = \"nose\""],
        )],
        Measure::Bare,
        "cuff_far",
    ),
    fault(
        "a sleeve that leaves the elbow bare",
        &[edit(
            "[part.sleeve_lower_near]",
            [
                "pivot  = [308.3, 554.8]",
                "pivot  = [308.3, 554.8]\nplace = { move = [-5, 40] }",
            ],
        )],
        Measure::Bare,
        "forearm_near",
    ),
    fault(
        "a sleeve drawn up the arm",
        &[edit(
            "[part.sleeve_upper_near]",
            [
                "pivot  = [354, 414]",
                "pivot  = [354, 414]\nplace = { move = [30, -90] }",
            ],
        )],
        Measure::Colour,
        "forearm_near",
    ),
    fault(
        "a sleeve to one side of its arm",
        &[edit(
            "[part.sleeve_upper_near]",
            [
                "pivot  = [354, 414]",
                "pivot  = [354, 414]\nplace = { move = [40, 0] }",
            ],
        )],
        Measure::Edge,
        "sleeve_upper_near",
    ),
    fault(
        "a trim left out",
        &[edit(
            "[garment.sleeve_upper_near]",
            ["trim = \"oilskin_line\"", ""],
        )],
        Measure::Trim,
        "sleeve_upper_near",
    ),
    fault(
        "a cuff's trim left out",
        &[edit("[garment.cuff_near]", ["trim = \"oilskin_line\"", ""])],
        Measure::Trim,
        "cuff_near",
    ),
    fault(
        "a trim of another colour",
        &[edit(
            "[garment.sleeve_lower_far]",
            ["trim = \"oilskin_line\"", "trim = \"teal\""],
        )],
        Measure::Trim,
        "sleeve_lower_far",
    ),
    fault(
        "a trim that stays as it is at dusk",
        &[edit(
            "[garment.sleeve_lower_near]",
            ["trim = \"oilskin_line\"", "trim = \"#7a4a12\""],
        )],
        Measure::Colour,
        "forearm_near",
    ),
    fault(
        "a wrong swatch on one limb half",
        &[edit(
            "[part.thigh_near]",
            ["front.svg#thigh_near", "odd.svg#thigh_near"],
        )],
        Measure::Colour,
        "shin_near",
    ),
    fault(
        "ink of another colour on one limb half",
        &[edit(
            "[part.shin_far]",
            ["front.svg#shin_far", "inked.svg#shin_far"],
        )],
        Measure::Colour,
        "shin_far",
    ),
    fault(
        "a heavier line on one limb half",
        &[edit(
            "[part.thigh_far]",
            ["front.svg#thigh_far", "odd.svg#thigh_far"],
        )],
        Measure::Line,
        "shin_far",
    ),
    fault(
        "a thinner line on a foot",
        &[edit(
            "[part.foot_far]",
            ["front.svg#foot_far", "thin.svg#foot_far"],
        )],
        Measure::Line,
        "foot_far",
    ),
    fault(
        "a pose that turns the head too far",
        &[in_poses("[pose.wave]", ["head = 7", "head = 62"])],
        Measure::Over,
        "head",
    ),
    fault(
        "a pose that breaks the elbow",
        &[in_poses(
            "[pose.arms_behind]",
            ["forearm_near = -57", "forearm_near = -170"],
        )],
        Measure::Over,
        "forearm_near",
    ),
    fault(
        "a jacket drawn up off the hips",
        &[edit(
            "[part.torso]",
            ["depth  = 13", "depth  = 13\nplace = { move = [0, -50] }"],
        )],
        Measure::Gap,
        "torso",
    ),
    fault(
        "a hand drawn out of the sleeve",
        &[edit("[part.hand_near]", ["[-13, 0.1]", "[-13, 26]"])],
        Measure::Jut,
        "hand_near",
    ),
    fault(
        "a sleeve narrower than its arm",
        &[edit(
            "[part.sleeve_upper_far]",
            [
                "art    = \"front.svg#sleeve_upper_far\"",
                "art    = \"narrow.svg#sleeve_upper_far\"",
            ],
        )],
        Measure::Edge,
        "sleeve_upper_far",
    ),
    fault(
        "a boot's shaft 20 units low",
        &[edit(
            "[part.boot_shaft_near]",
            [
                "pivot  = [404, 878]",
                "pivot  = [404, 878]\nplace = { move = [0, 20] }",
            ],
        )],
        Measure::Sides,
        "boot_shaft_near",
    ),
    fault(
        "a shin drawn a sixth too large",
        &[edit(
            "[part.shin_near]",
            [
                "depth  = 0.2",
                "depth  = 0.2\nplace = { scale = 1.17, move = [-68.7, -149.3] }",
            ],
        )],
        Measure::Sides,
        "shin_near",
    ),
    fault(
        "a knee that opens one ink, where the other opens both",
        &[edit(
            "[seam.knee_near]",
            ["zone  = \"auto\"", "zone  = \"auto\"\nopens = \"parent\""],
        )],
        Measure::Ink,
        "shin_near",
    ),
    fault(
        "a wrist's seam left out, where colours differ",
        &[edit(
            "[seam.wrist_near]",
            [
                "[\"forearm_near\", \"hand_near\"]",
                "[\"torso\", \"hand_near\"]",
            ],
        )],
        Measure::Seam,
        "hand_near",
    ),
    fault(
        "a rolled cuff's trim of another colour",
        &[edit(
            "[garment.cuff_rolled_near]",
            ["trim = \"oilskin_line\"", "trim = \"teal\""],
        )],
        Measure::Trim,
        "cuff_rolled_near",
    ),
    fault(
        "a pose that reaches out of the canvas",
        &[in_poses(
            "[pose.alarm]",
            ["root = [125, 0]", "root = [-160, 0]"],
        )],
        Measure::CutOff,
        "hand_near",
    ),
    fault(
        "a pose that sinks below the canvas",
        &[in_poses(
            "[pose.haul]",
            ["root = [-40, 0]", "root = [-40, 120]"],
        )],
        Measure::CutOff,
        "foot_far",
    ),
    fault(
        "a canvas that ends above the soles",
        &[Edit {
            file: "rig.toml",
            from: "[character]",
            old: "canvas = [900, 1200]",
            new: "canvas = [900, 1120]",
        }],
        Measure::CutOff,
        "foot_far",
    ),
];

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
fn found(folder: &Path) -> Vec<(Measure, String)> {
    let staged = Staged::read(folder);
    let lists: Vec<&PoseList> = staged.lists.iter().collect();
    let views = &staged.member.views;
    let front = views
        .iter()
        .position(|v| v.name.as_deref() == Some("front"));
    let findings = check(&staged.puppets[front.unwrap()], &lists);
    let list = findings.list.into_iter();
    list.map(|f| (f.measure, f.parts[0].clone())).collect()
}

fn plant(folder: &Path, fault: &Fault) {
    for edit in fault.edits {
        let path = folder.join(edit.file);
        let text = std::fs::read_to_string(&path).unwrap();
        let start = text
            .find(&format!("\n{}", edit.from))
            .unwrap_or_else(|| panic!("{}", fault.name))
            + 1;
        let end = text[start..].find("\n\n").map_or(text.len(), |n| start + n);
        let changed = text[start..end].replacen(edit.old, edit.new, 1);
        assert_ne!(changed, text[start..end], "{}: nothing changed", fault.name);
        let planted = format!("{}{changed}{}", &text[..start], &text[end..]);
        std::fs::write(&path, planted).unwrap();
    }
}

#[test]
fn every_planted_fault_is_found_and_nothing_before() {
    use rayon::prelude::*;
    assert!(FAULTS.len() >= 40);
    let dir = tempfile::tempdir().unwrap();
    let before = found(&clean(dir.path()));
    assert!(before.is_empty(), "reported on the clean rig: {before:?}");
    let wrong: Vec<String> = FAULTS
        .par_iter()
        .filter_map(|fault| {
            let dir = tempfile::tempdir().unwrap();
            let folder = clean(dir.path());
            plant(&folder, fault);
            let now = found(&folder);
            let want = (fault.measure, fault.part.to_owned());
            (!now.contains(&want)).then(|| format!("{}: not found, but {now:?}", fault.name))
        })
        .collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
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
    let fault = FAULTS
        .iter()
        .find(|f| f.name.contains("a pose that changes depths"))
        .unwrap();
    plant(&folder, fault);
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
        list.filter(|f| f.measure == fault.measure && f.parts[0] == fault.part)
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
