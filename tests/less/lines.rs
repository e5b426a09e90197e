//! Tables in a line.

use super::{CANVAS, same, told};

#[test]
fn seams_garments_masks_and_replacements_in_a_line() {
    same(
        &[(
            "m/rig.toml",
            r##"drawing = "front.svg"
[character]
canvas = [400, 600]
[part]
torso = { replacements = "#*_right" }
arm_left = { parent = "torso", pivot = [250, 120] }
hand_left = { parent = "arm_left", pivot = [250, 195], replacements = "#fist_*" }
fist_left = { parent = "arm_left", pivot = { of = "hand_left" } }
[seam]
shoulder = ["torso", "arm_left"]
wrist = { parts = ["arm_left", "hand_left"], zone = 20 }
[garment]
fist_left = { on = "hand_left" }
[mask]
arm_left = { keep = "outside", of = "hand_left" }
"##,
        )],
        &[(
            "m/rig.toml",
            r##"[character]
canvas = [400, 600]
[part.torso]
art = "front.svg#torso"
replacements = { arm = "front.svg#arm_right", hand = "front.svg#hand_right" }
[part.arm_left]
art = "front.svg#arm_left"
parent = "torso"
pivot = [250, 120]
[part.hand_left]
art = "front.svg#hand_left"
parent = "arm_left"
pivot = [250, 195]
replacements = { left = "front.svg#fist_left" }
[part.fist_left]
art = "front.svg#fist_left"
parent = "arm_left"
pivot = [250, 195]
[seam.shoulder]
parts = ["torso", "arm_left"]
[seam.wrist]
parts = ["arm_left", "hand_left"]
zone = 20
[garment.fist_left]
part = "fist_left"
on = ["hand_left"]
[mask.arm_left]
part = "arm_left"
keep = "outside"
of = ["hand_left"]
"##,
        )],
    );
    let rig = |text: &str| format!("drawing = \"front.svg\"\n{CANVAS}[part.torso]\n{text}");
    let one = |text: &str, expect: &[&str]| told(&[("m/rig.toml", &rig(text))], expect);
    one(
        "replacements = \"#hend_*\"\n",
        &[
            "m/rig.toml:5:16: error: no element of front.svg is called \"hend_*\" (hint: replacements have ids that differ only where the * stands)",
        ],
    );
    one(
        "replacements = \"#*_*\"\n",
        &[
            "m/rig.toml:5:16: error: an id of \"replacements\" has one * in it, not 2 (hint: write replacements = \"hands.svg#hand_*\", the names standing for the *)",
        ],
    );
    one(
        "[seam]\nneck = [\"torso\"]\nhip = [\"torso\", \"hip\"]\n",
        &[
            "m/rig.toml:6:8: error: a seam joins two parts, not 1 (hint: write neck = [\"upper_arm\", \"forearm\"])",
            "m/rig.toml:7:17: error: unknown part \"hip\" (hint: known: torso)",
        ],
    );
    one(
        "[garment]\ncuff = { on = \"torso\" }\n",
        &[
            "m/rig.toml:6:1: error: garment \"cuff\" has no \"part\", and no part is called so (hint: write part = \"cuff\", the part that is worn)",
        ],
    );
}
