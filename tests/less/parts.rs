//! Parts that are elements of a drawing.

use super::{CANVAS, FRONT, same, told};

#[test]
fn parts_take_the_elements_of_their_names() {
    same(
        &[(
            "m/rig.toml",
            r##"drawing = "front.svg"
[character]
canvas = "front.svg"
[part.root]
[part.torso]
parent = "root"
pivot = [200, 300]
[part.arm]
art = "#arm_left"
parent = "torso"
pivot = [250, 120]
[part.arm_right]
art = false
parent = "torso"
pivot = [150, 120]
replacements = { bare = "#arm_right" }
[seam.shoulder]
parts = ["torso", "arm"]
"##,
        )],
        &[(
            "m/rig.toml",
            r##"[character]
canvas = [400, 600]
[part.root]
[part.torso]
art = "front.svg#torso"
parent = "root"
pivot = [200, 300]
[part.arm]
art = "front.svg#arm_left"
parent = "torso"
pivot = [250, 120]
[part.arm_right]
parent = "torso"
pivot = [150, 120]
replacements = { bare = "front.svg#arm_right" }
[seam.shoulder]
parts = ["torso", "arm"]
"##,
        )],
    );
}

#[test]
fn drawings_that_are_not_there_are_told() {
    let rig = |top: &str, canvas: &str| {
        format!("{top}\n[character]\ncanvas = {canvas}\n[part.torso]\nart = \"#torso\"\n")
    };
    told(
        &[("m/rig.toml", &rig("drawing = \"fron.svg\"", "[400, 600]"))],
        &[
            "m/rig.toml:1:11: error: no such file: \"fron.svg\" (hint: did you mean \"front.svg\"?)",
            "m/rig.toml:5:7: error: \"art\" names no file (hint: write a file and an element id, as in \"front.svg#hand\")",
        ],
    );
    told(
        &[("m/rig.toml", &rig("", "\"../front.svg\""))],
        &[
            "m/rig.toml:3:10: error: \"canvas\" leads out of the member's folder (hint: keep a member's files in the folder of its rig.toml)",
            "m/rig.toml:5:7: error: \"art\" names no file (hint: write a file and an element id, as in \"front.svg#hand\")",
        ],
    );
    let corner = FRONT.replace("0 0 400", "-20 0 400");
    told(
        &[
            ("m/side.svg", &corner),
            ("m/rig.toml", &rig("drawing = \"side.svg\"", "\"side.svg\"")),
        ],
        &[
            "m/rig.toml:3:10: error: the viewBox of \"side.svg\" starts at -20 0, not at 0 0 (hint: move the drawing and write viewBox=\"0 0 400 600\")",
        ],
    );
    told(
        &[
            (
                "m/rig.toml",
                &format!("drawing = \"front.svg\"\n{CANVAS}[views]\nfront = \"front.toml\"\n"),
            ),
            ("m/front.toml", "drawing = \"front.svg\"\n[part.torso]\n"),
        ],
        &[
            "m/rig.toml:1:1: error: \"drawing\" stands beside [views] (hint: move it to the file of its view)",
        ],
    );
}
