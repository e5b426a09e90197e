//! Pivots that are marks, other parts' or left out.

use super::{CANVAS, load, told};

/// Where parts of a view turn, by name.
fn pivots(files: &[(&str, &str)]) -> Vec<(String, [f64; 2])> {
    let (member, _, told) = load(files);
    assert_eq!(told, [""; 0]);
    let member = member.expect("a member");
    let parts = member.views[0].parts.iter();
    parts
        .map(|part| (member.names[part.name.at()].clone(), part.pivot))
        .collect()
}

#[test]
fn pivots_are_marks_others_or_the_middle_of_what_is_shared() {
    let rig = format!(
        r##"drawing = "front.svg"
{CANVAS}[part.torso]
[part.cuff]
art = "#fist_left"
parent = "torso"
pivot = {{ of = "sleeve" }}
[part.sleeve]
art = "#hand_right"
parent = "torso"
pivot = {{ of = "arm_left" }}
[part.arm_left]
parent = "torso"
pivot = "#elbow"
[part.hand_left]
parent = "arm_left"
pivot = "#wrist"
[part.joint]
parent = "torso"
pivot = {{ of = "torso" }}
[part.arm_right]
parent = "joint"
[measure.arm]
along = ["arm_left", "cuff", [1, 2]]
"##
    );
    let found = pivots(&[("m/rig.toml", &rig)]);
    let at = |name: &str| found.iter().find(|(known, _)| known == name).unwrap().1;
    assert_eq!(at("torso"), [200.0, 300.0]);
    assert_eq!(at("arm_left"), [250.0, 120.5]);
    assert_eq!(at("sleeve"), at("arm_left"));
    assert_eq!(at("cuff"), at("arm_left"));
    assert_eq!(at("hand_left"), [251.0, 196.0]);
    // What the two rectangles share, lines of 1 and all, is from 149.5 to 170.5 wide and from 109.5 to 200.5 high: every
    // largest circle, of radius 10.5, lies on its middle line.
    let [x, y] = at("arm_right");
    assert!(
        (x - 160.0).abs() < 0.02 && (120.0..190.0).contains(&y),
        "{x} {y}"
    );
    // The mark is no part of the drawing that it stands in.
    let (member, library, _) = load(&[("m/rig.toml", &rig)]);
    let member = member.expect("a member");
    let hand = member.views[0].parts[4].art.art().expect("art");
    let shapes = &library.get(hand).expect("loaded").shapes;
    assert_eq!(shapes.len(), 2, "paint and ink");
    assert_eq!(
        member.views[0].guides.measures[0].along,
        [[250.0, 120.5], [250.0, 120.5], [1.0, 2.0]]
    );
}

#[test]
fn pivots_that_cannot_be_found_are_told() {
    let rig = |parts: &str| format!("drawing = \"front.svg\"\n{CANVAS}[part.torso]\n{parts}");
    let one = |parts: &str, expect: &[&str]| told(&[("m/rig.toml", &rig(parts))], expect);
    one(
        "[part.fist_left]\nparent = \"torso\"\npivot = \"#elbo\"\n",
        &[
            "m/rig.toml:7:9: error: no element \"elbo\" in front.svg (hint: did you mean \"elbow\"?)",
        ],
    );
    one(
        "[part.arm_left]\nparent = \"torso\"\n[part.hand_right]\nparent = \"arm_left\"\n",
        &[
            "m/rig.toml:7:7: error: part \"hand_right\" has no \"pivot\" and covers nothing of \"arm_left\", which carries it (hint: write pivot = [x, y], the point of the join, in canvas units)",
        ],
    );
    one(
        "[part.joint]\nparent = \"torso\"\n",
        &[
            "m/rig.toml:5:7: error: part \"joint\" has a parent but no \"pivot\" (hint: write pivot = [x, y], the point of the join, in canvas units)",
        ],
    );
    one(
        "[part.root]\n[part.arm_left]\nparent = \"root\"\n",
        &[
            "m/rig.toml:6:7: error: part \"arm_left\" has no \"pivot\", and nothing that carries it has art (hint: write pivot = [x, y], the point of the join, in canvas units)",
        ],
    );
    one(
        "[part.arm_left]\nparent = \"torso\"\npivot = { of = \"arm_right\" }\n[part.arm_right]\nparent = \"torso\"\npivot = { of = \"arm_left\" }\n",
        &[
            "m/rig.toml:5:7: error: the pivots form a loop: arm_left -> arm_right -> arm_left (hint: give one of them a point, pivot = [x, y])",
        ],
    );
    one(
        "[part.arm_left]\nparent = \"torso\"\npivot = { of = \"tors\" }\n[part.arm_right]\nparent = \"torso\"\npivot = {}\n",
        &[
            "m/rig.toml:7:16: error: unknown part \"tors\" (hint: did you mean \"torso\"?)",
            "m/rig.toml:10:1: error: \"pivot\" has no \"of\" (hint: write of = \"torso\")",
        ],
    );
}
