//! Left and right written once: the twin that is written by hand is the reference.

use super::{CANVAS, FRONT, load, same, told};

#[test]
fn a_side_takes_what_it_does_not_say_from_the_other() {
    same(
        &[(
            "m/rig.toml",
            &format!(
                r##"drawing = "front.svg"
{CANVAS}[part.torso]
[part.arm_left]
parent = "torso"
pivot = [250.3, 120]
depth = 2
limits = [-40, 170]
[part.hand_left]
parent = "arm_left"
pivot = "#wrist"
limits = {{ joint = "wrist", clockwise = "flexion" }}
[part.fist_left]
parent = "hand_left"
pivot = {{ of = "hand_left" }}
replacements = {{ bare = "#arm_left" }}
[part.arm_right]
mirror_of = "arm_left"
[part.hand_right]
mirror_of = "hand_left"
depth = -1
[part.fist_right]
mirror_of = "fist_left"
[seam]
shoulder_left = ["torso", "arm_left"]
wrist = {{ parts = ["arm_left", "hand_left"], zone = 20, opens = "child" }}
[mask]
hand_left = {{ keep = "outside", of = "arm_left" }}
[garment]
fist_left = {{ on = ["hand_left", "arm_left"], trim = "#123456" }}
"##
            ),
        )],
        &[(
            "m/rig.toml",
            r##"[character]
canvas = [400, 600]
[part.torso]
art = "front.svg#torso"
[part.arm_left]
art = "front.svg#arm_left"
parent = "torso"
pivot = [250.3, 120]
depth = 2
limits = [-40, 170]
[part.hand_left]
art = "front.svg#hand_left"
parent = "arm_left"
pivot = [251, 196]
limits = [-70, 80]
[part.fist_left]
art = "front.svg#fist_left"
parent = "hand_left"
pivot = [251, 196]
replacements = { bare = "front.svg#arm_left" }
[part.arm_right]
art = "front.svg#arm_right"
parent = "torso"
pivot = [149.7, 120]
depth = 2
limits = [-170, 40]
[part.hand_right]
art = "front.svg#hand_right"
parent = "arm_right"
pivot = [149, 196]
depth = -1
limits = [-80, 70]
[part.fist_right]
art = "front.svg#fist_left"
parent = "hand_right"
pivot = [149, 196]
replacements = { bare = "front.svg#arm_left" }
place = { move = [400, 0], scale = [-1, 1] }
[seam.shoulder_left]
parts = ["torso", "arm_left"]
[seam.shoulder_right]
parts = ["torso", "arm_right"]
[seam.wrist]
parts = ["arm_left", "hand_left"]
zone = 20
opens = "child"
[seam.wrist_right]
parts = ["arm_right", "hand_right"]
zone = 20
opens = "child"
[mask.hand_left]
part = "hand_left"
keep = "outside"
of = ["arm_left"]
[mask.hand_right]
part = "hand_right"
keep = "outside"
of = ["arm_right"]
[garment.fist_left]
part = "fist_left"
on = ["hand_left", "arm_left"]
trim = "#123456"
[garment.fist_right]
part = "fist_right"
on = ["hand_right", "arm_right"]
trim = "#123456"
"##,
        )],
    );
}

/// Reflection in x = a is x -> 2a - x; with R = diag(-1, 1), R turn(t) = turn(-t) R, R skew(x, y) = skew(-x, -y) R.
#[test]
fn an_axis_of_its_own_places_of_art_and_what_is_said_or_left_out() {
    same(
        &[(
            "m/rig.toml",
            &format!(
                r##"axis = 210
{CANVAS}[part.torso]
art = "front.svg#torso"
[part.arm_near]
art = "front.svg#arm_left"
parent = "torso"
pivot = [250, 120]
limits = [-40, 170]
place = {{ move = [12, 3], turn = 20, scale = [1.5, 2], skew = [5, -4] }}
[part.hand_near]
art = "front.svg#hand_right"
replacements = {{ fist = "front.svg#fist_left", arm = "front.svg#arm_right" }}
parent = "arm_near"
pivot = [250.5, 195]
[part.arm_far]
mirror_of = "arm_near"
limits = [-5, 5]
parent = "hand_near"
[part.hand_far]
mirror_of = "hand_near"
art = "front.svg#fist_left"
replacements = {{ arm = "front.svg#arm_left" }}
pivot = [170, 190]
[seam]
elbow_near = ["torso", "arm_near"]
elbow_far = {{ parts = ["torso", "arm_far"], zone = 9 }}
wrist_near = ["arm_near", "hand_near"]
wrist_far = false
hands = ["hand_near", "hand_far"]
[mask]
hand_near = {{ keep = "inside", of = "torso" }}
hand_far = false
"##
            ),
        )],
        &[(
            "m/rig.toml",
            &format!(
                r##"{CANVAS}[part.torso]
art = "front.svg#torso"
[part.arm_near]
art = "front.svg#arm_left"
parent = "torso"
pivot = [250, 120]
limits = [-40, 170]
place = {{ move = [12, 3], turn = 20, scale = [1.5, 2], skew = [5, -4] }}
[part.hand_near]
art = "front.svg#hand_right"
replacements = {{ fist = "front.svg#fist_left", arm = "front.svg#arm_right" }}
parent = "arm_near"
pivot = [250.5, 195]
[part.arm_far]
art = "front.svg#arm_right"
parent = "hand_near"
pivot = [170, 120]
limits = [-5, 5]
[part.hand_far]
art = "front.svg#fist_left"
replacements = {{ arm = "front.svg#arm_left" }}
parent = "arm_far"
pivot = [170, 190]
[seam.elbow_near]
parts = ["torso", "arm_near"]
[seam.elbow_far]
parts = ["torso", "arm_far"]
zone = 9
[seam.wrist_near]
parts = ["arm_near", "hand_near"]
[seam.hands]
parts = ["hand_near", "hand_far"]
[mask.hand_near]
part = "hand_near"
keep = "inside"
of = ["torso"]
"##
            ),
        )],
    );
    // Without a drawing of its own: the other's, mirrored.
    let bare = FRONT.replace("arm_right", "arm_r");
    let long = "art = \"front.svg#arm_left\"\nparent = \"torso\"\npivot = [150, 120]\nlimits = [-170, 40]\n\
                place = { move = [388, 3], turn = -20, scale = [-1.5, 2], skew = [-5, 4] }";
    let rig = |arm: &str| {
        format!(
            "{CANVAS}[part.torso]\nart = \"front.svg#torso\"\n[part.arm_left]\nart = \"front.svg#arm_left\"\nparent = \"torso\"\npivot = [250, 120]\nlimits = [-40, 170]\n\
             place = {{ move = [12, 3], turn = 20, scale = [1.5, 2], skew = [5, -4] }}\n[part.arm_right]\n{arm}\n"
        )
    };
    same(
        &[
            ("m/front.svg", &bare),
            ("m/rig.toml", &rig("mirror_of = \"arm_left\"")),
        ],
        &[("m/front.svg", &bare), ("m/rig.toml", &rig(long))],
    );
}

#[test]
fn pivots_that_are_found_are_found_on_the_other_side() {
    let rig = format!(
        r##"drawing = "front.svg"
{CANVAS}[part.torso]
[part.arm_left]
parent = "torso"
[part.arm_right]
mirror_of = "arm_left"
[part.sleeve_left]
art = "#fist_left"
parent = "arm_left"
pivot = {{ of = "arm_left" }}
[part.sleeve_right]
mirror_of = "sleeve_left"
[part.cuff_left]
art = "#fist_left"
parent = "hand_left"
[part.cuff_right]
mirror_of = "cuff_left"
[part.hand_left]
parent = "arm_left"
pivot = "#wrist_left"
[part.hand_right]
mirror_of = "hand_left"
"##
    );
    let marks = FRONT.replace("\"wrist\"", "\"wrist_left\"").replace(
        "</svg>",
        "<circle id=\"wrist_right\" cx=\"148\" cy=\"195\" r=\"2\" fill=\"#f0f\"/></svg>",
    );
    let (member, _, found) = load(&[("m/front.svg", &marks), ("m/rig.toml", &rig)]);
    assert_eq!(found, [""; 0]);
    let member = member.expect("a member");
    let at = |name: &str| {
        let at = member.names.iter().position(|n| n == name).expect(name);
        member.views[0].parts[at].pivot
    };
    // The mark that was drawn for it, not the other one mirrored.
    assert_eq!(at("hand_right"), [148.0, 195.0]);
    // It turns where its own arm turns, and that at its own overlap: the rectangles are mirror images in x = 200.
    assert_eq!(at("sleeve_right"), at("arm_right"));
    let ([left, _], [right, _]) = (at("arm_left"), at("arm_right"));
    assert!((left + right - 400.0).abs() < 0.05, "{left} {right}");
    // What has no drawing of its own is mirrored to the last digit.
    assert_eq!(at("cuff_left")[1], at("cuff_right")[1]);
    let sum = at("cuff_left")[0] + at("cuff_right")[0];
    assert!((sum - 400.0).abs() < 2e-6, "{sum}");
}

#[test]
fn a_view_like_another_mirrors_its_own() {
    let views =
        "[character]\ncanvas = [400, 600]\n[views]\nfront = \"front.toml\"\nback = \"back.toml\"\n";
    let front = "drawing = \"front.svg\"\n[part.torso]\n[part.arm_left]\nparent = \"torso\"\npivot = [250, 120]\nlimits = [-1, 2]\n\
                 [part.arm_right]\nmirror_of = \"arm_left\"\n[seam]\narm_left = [\"torso\", \"arm_left\"]\n";
    let full = |pivot: &str, arm: &str| {
        format!(
            "drawing = \"front.svg\"\n[part.torso]\n[part.arm_left]\nparent = \"torso\"\npivot = {pivot}\nlimits = [-1, 2]\n[part.arm_right]\n{arm}\n[seam]\narm_left = [\"torso\", \"arm_left\"]\n"
        )
    };
    let files = |front, back| {
        [
            ("m/rig.toml", views),
            ("m/front.toml", front),
            ("m/back.toml", back),
        ]
    };
    let twin = "parent = \"torso\"\npivot = [150, 120]\nlimits = [-2, 1]";
    let front_full = full("[250, 120]", twin) + "arm_right = [\"torso\", \"arm_right\"]\n";
    let other = full("[240, 120]", &twin.replace("150", "160"));
    same(
        &files(
            front,
            "like = \"front.toml\"\npart.arm_left.pivot = [240, 120]\nseam.arm_right = false\n",
        ),
        &files(&front_full, &other),
    );
}

#[test]
fn mirrors_that_cannot_be_are_told() {
    let one = |text: &str, expect: &[&str]| {
        let rig = format!(
            "drawing = \"front.svg\"\n{CANVAS}[part.torso]\n[part.arm_left]\nparent = \"torso\"\npivot = [250, 120]\n{text}"
        );
        told(&[("m/rig.toml", &rig)], expect);
    };
    one(
        "[part.arm_right]\nmirror_of = \"arm_lift\"\n",
        &["m/rig.toml:9:13: error: unknown part \"arm_lift\" (hint: did you mean \"arm_left\"?)"],
    );
    one(
        "mirror_of = \"arm_left\"\n",
        &[
            "m/rig.toml:8:13: error: part \"arm_left\" mirrors itself (hint: name the part of the other side)",
        ],
    );
    one(
        "[part.arm_right]\nmirror_of = \"arm_left\"\n[part.hand_left]\nmirror_of = \"arm_right\"\n",
        &[
            "m/rig.toml:11:13: error: part \"arm_right\" is a mirror of another itself (hint: write it in full, or name \"arm_left\")",
        ],
    );
    one(
        "replacements = { fist = \"#fist_left\" }\n[part.arm_right]\nmirror_of = \"arm_left\"\n",
        &[
            "m/rig.toml:10:13: error: part \"arm_right\" has its own drawing, but none for \"fist\", which is \"fist_left\" there (hint: draw it for this side too, or write \"replacements\" here)",
        ],
    );
    one(
        "[part.arm_right]\nmirror_of = \"arm_left\"\n[seam.a_left]\nparts = [\"torso\", \"arm_left\"]\nzone = \"#fist_left\"\n",
        &[
            "m/rig.toml:12:8: error: zone \"fist_left\" is not drawn for seam \"a_right\" (hint: draw it for this side too, or write [seam.a_right])",
        ],
    );
    one(
        "[part.arm_right]\nmirror_of = \"arm_left\"\n[seam]\na_left = [\"torso\", \"arm_left\"]\na_rite = false\n",
        &[
            "m/rig.toml:12:1: error: there is no mirrored seam \"a_rite\" to leave out (hint: known: a_right)",
        ],
    );
    one(
        "[garment]\ncuff = false\n",
        &[
            "m/rig.toml:9:1: error: there is no mirrored garment \"cuff\" to leave out (hint: take this line out)",
        ],
    );
}
