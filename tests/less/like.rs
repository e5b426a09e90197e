//! Views that say only what differs from another.

use super::{FRONT, same, told};

const VIEWS: &str =
    "[character]\ncanvas = [400, 600]\n[views]\nfront = \"front.toml\"\nside = \"side.toml\"\n";
const WHOLE: &str = r##"drawing = "front.svg"
[part.torso]
[part.arm]
art = "#arm_left"
parent = "torso"
pivot = [250, 120]
limits = [-40, 170]
[part.hand]
art = "#hand_left"
parent = "arm"
pivot = [250, 195]
place = { move = [1, 2], turn = 3 }
[seam.elbow]
parts = ["torso", "arm"]
[seam.wrist]
parts = ["arm", "hand"]
zone = 20
[landmarks]
chin = 100
[check]
jut = [8, 16]
"##;

#[test]
fn a_view_like_another_says_what_differs() {
    let like = r##"like = "front.toml"
drawing = "side.svg"
part.hand.place = false
seam.wrist.zone = 30
seam.elbow = false
[part.cap]
art = "#torso"
[part.arm]
pivot = [240, 130]
limits = [-10, 20]
[landmarks]
chin = false
crown = 20
[check]
spill = [1, 2]
"##;
    let full = WHOLE
        .replace("front.svg", "side.svg")
        .replace(
            "[250, 120]\nlimits = [-40, 170]",
            "[240, 130]\nlimits = [-10, 20]",
        )
        .replace("place = { move = [1, 2], turn = 3 }", "")
        .replace(
            "[seam.elbow]\nparts = [\"torso\", \"arm\"]",
            "[part.cap]\nart = \"#torso\"",
        )
        .replace("zone = 20", "zone = 30")
        .replace("chin = 100", "crown = 20")
        .replace("jut = [8, 16]", "jut = [8, 16]\nspill = [1, 2]");
    let files = |side| {
        [
            ("m/rig.toml", VIEWS),
            ("m/front.toml", WHOLE),
            ("m/side.svg", FRONT),
            ("m/side.toml", side),
        ]
    };
    same(&files(like), &files(&full));
    // Through another: what that leaves out is not there.
    let views = format!("{VIEWS}back = \"back.toml\"\n");
    let files = |side, back| {
        let [_, front, drawing, side] = files(side);
        [
            ("m/rig.toml", views.as_str()),
            front,
            drawing,
            side,
            ("m/back.toml", back),
        ]
    };
    let back = "like = \"side.toml\"\npart.cap = false\npart.hat.art = \"#torso\"\npart.arm.limits = [-1, 2]\n";
    let whole = full
        .replace("part.cap", "part.hat")
        .replace("[-10, 20]", "[-1, 2]");
    same(&files(like, back), &files(&full, &whole));
}

#[test]
fn mistakes_in_a_view_like_another_are_told_where_they_are_made() {
    let files = |side| {
        [
            ("m/rig.toml", VIEWS),
            ("m/front.toml", WHOLE),
            ("m/side.toml", side),
        ]
    };
    told(
        &files(
            "like = \"front.toml\"\npart.arms = false\npart.arm.parent = \"tors\"\nnote.x = false\n[part.hand]\npivot = 3\ncolour = 2\n",
        ),
        &[
            "m/side.toml:2:6: error: there is no part \"arms\" in \"front.toml\" to leave out (hint: did you mean \"arm\"?)",
            "m/side.toml:3:19: error: unknown part \"tors\" (hint: did you mean \"torso\"?)",
            "m/side.toml:4:10: error: [note.x] must be a table, not false (hint: write [note.name])",
            "m/side.toml:6:9: error: \"pivot\" must be two numbers, not one (hint: write pivot = [412, 300], in canvas units)",
            "m/side.toml:7:1: error: unknown key \"colour\" in [part.hand] (hint: known here: art, replacements, mirror_of, parent, pivot, tip, depth, limits, place, side, drawn, foreshortened, points, look)",
        ],
    );
    // What is left out is missed where it is named, in the other file.
    told(
        &files("like = \"front.toml\"\npart.arm = false\n"),
        &[
            "m/front.toml:10:10: error: unknown part \"arm\" (hint: known: torso, hand)",
            "m/front.toml:14:19: error: unknown part \"arm\" (hint: known: torso, hand)",
            "m/front.toml:16:10: error: unknown part \"arm\" (hint: known: torso, hand)",
        ],
    );
    told(
        &files("like = \"front.tml\"\n"),
        &[
            "m/side.toml:1:8: error: no such file: \"front.tml\" (hint: did you mean \"front.toml\"?)",
        ],
    );
    told(
        &files("like = \"other/front.toml\"\n"),
        &[
            "m/side.toml:1:8: error: \"like\" names a file of another folder (hint: keep views that are like each other in one folder)",
        ],
    );
    told(
        &files("like = \"side.toml\"\n"),
        &["m/side.toml:1:8: error: this view is like itself (hint: write one of them in full)"],
    );
    told(
        &files("like = 3\n[part.torso]\nart = \"front.svg#torso\"\n"),
        &[
            "m/side.toml:1:8: error: \"like\" must be text in quotes, not a number (hint: write like = \"side.toml\")",
        ],
    );
    let ring = [
        ("m/rig.toml", VIEWS),
        ("m/front.toml", "like = \"side.toml\"\n"),
        ("m/side.toml", "like = \"front.toml\"\n"),
    ];
    told(
        &ring,
        &[
            "m/side.toml:1:8: error: the views are like each other in a loop: front.toml -> side.toml -> front.toml (hint: write one of them in full)",
            "m/front.toml:1:8: error: the views are like each other in a loop: side.toml -> front.toml -> side.toml (hint: write one of them in full)",
        ],
    );
    // A fault of the other is told once, however many are like it.
    let broken = WHOLE.replace("[250, 195]", "[250");
    told(
        &[
            ("m/rig.toml", VIEWS),
            ("m/front.toml", &broken),
            ("m/side.toml", "like = \"front.toml\"\n"),
        ],
        &["m/front.toml:11:9: error: this list is not closed (hint: write ] at its end)"],
    );
    let wrong = WHOLE.replace("[250, 195]", "250");
    told(
        &[
            ("m/rig.toml", VIEWS),
            ("m/front.toml", &wrong),
            ("m/side.toml", "like = \"front.toml\"\n"),
        ],
        &[
            "m/front.toml:11:9: error: \"pivot\" must be two numbers, not one (hint: write pivot = [412, 300], in canvas units)",
        ],
    );
}
