//! Broken rigs, pose lists and cast files: every mistake is found, in one run, and named in
//! exactly these words.

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

use layfig::art::Library;
use layfig::cast::{PoseList, load_cast, load_member, load_poses};
use layfig::diag::{Place, Problems, Severity, Sources, short};

/// One broken input. The member `rigs/m`, the list `poses.toml` and the cast `cast.toml` are read,
/// as far as they are among the files or nothing else is. Drawings that the files name and that
/// are not given are made up.
struct Row {
    name: &'static str,
    files: &'static [(&'static str, &'static str)],
    expect: &'static [&'static str],
}

/// A rig without mistakes, for pose lists.
const RIG: &str = r##"[character]
name = "Deckhand"
canvas = [100, 200]
[palette.day]
skin = "#d99c78"
[palette.dusk]
skin = "#8a6050"
[part.torso]
art = "a.svg#torso"
[part.arm]
art = "a.svg#arm"
parent = "torso"
pivot = [30, 40]
limits = [-90, 170]
[part.forearm]
art = "a.svg#forearm"
parent = "arm"
pivot = [30, 80]
limits = [-10, 145]
[part.hand]
art = "a.svg#hand"
parent = "forearm"
pivot = [30, 110]
replacements = { fist = "a.svg#fist", point = "a.svg#point" }
"##;

/// A member with two views.
const TURNAROUND: &str = r#"[character]
canvas = [100, 200]
[views]
front = "front.toml"
side = "side.toml"
"#;
const FRONT: &str = r#"[part.torso]
art = "a.svg#torso"
[part.arm]
art = "a.svg#arm"
limits = [-90, 170]
[part.patch]
art = "a.svg#patch"
"#;
const SIDE: &str = r#"[part.torso]
art = "b.svg#torso"
[part.arm]
art = "b.svg#arm"
limits = [-45, 45]
parent = "torso"
pivot = [1, 2]
[part.tail]
art = "b.svg#tail"
parent = "torso"
pivot = [3, 4]
"#;

const ROWS: &[Row] = &[
    Row {
        name: "limits of a check that cannot be",
        files: &[(
            "rigs/m/rig.toml",
            r##"[character]
canvas = [10, 10]
[part.torso]
art = "a.svg#torso"
[check]
jut = [20, 10]
overlap = [20, 40]
gap = "on"
ink = [1, 2, 3]
line = 5
bare = [1, "x"]
jot = [1, 2]
[check.part.tarso]
jut = "off"
"##,
        )],
        expect: &[
            "rigs/m/rig.toml:6:7: error: the more there is the worse: the error limit of \"jut\" is below its warning limit (hint: write jut = [10, 20])",
            "rigs/m/rig.toml:7:11: error: the less there is the worse: the error limit of \"overlap\" is above its warning limit (hint: write overlap = [40, 20])",
            "rigs/m/rig.toml:8:7: error: \"gap\" cannot be \"on\" (hint: write gap = [3, 8], or gap = \"off\")",
            "rigs/m/rig.toml:9:7: error: \"ink\" must be two numbers, not 3 (hint: write ink = [8, 25], or ink = \"off\")",
            "rigs/m/rig.toml:10:8: error: \"line\" must be a warning and an error limit, not a number (hint: write line = [140, 180], or line = \"off\")",
            "rigs/m/rig.toml:11:12: error: \"bare\" must be two numbers, not text (hint: write bare = [3, 10], or bare = \"off\")",
            "rigs/m/rig.toml:12:1: error: unknown key \"jot\" in [check] (hint: did you mean \"jut\"?)",
        ],
    },
    Row {
        name: "a check of a part that is not there, in a view's own file",
        files: &[
            (
                "rigs/m/rig.toml",
                r##"[character]
canvas = [10, 10]
[views]
front = "front.toml"
"##,
            ),
            (
                "rigs/m/front.toml",
                r##"[part.torso]
art = "a.svg#torso"
[check]
jut = [9, 4]
[check.part.tarso]
jut = "off"
"##,
            ),
        ],
        expect: &[
            "rigs/m/front.toml:4:7: error: the more there is the worse: the error limit of \"jut\" is below its warning limit (hint: write jut = [4, 9])",
        ],
    },
    Row {
        name: "limits of lint",
        files: &[(
            "rigs/m/rig.toml",
            r##"[character]
canvas = [10, 10]
[lint]
stray = 120
open-paint = "wide"
pivot-off = -1
[part.torso]
art = "a.svg#torso"
"##,
        )],
        expect: &[
            "rigs/m/rig.toml:4:9: error: \"stray\" must be between 0 and 100",
            "rigs/m/rig.toml:5:14: error: \"open-paint\" must be a number, not text (hint: write open-paint = 12)",
            "rigs/m/rig.toml:6:13: error: \"pivot-off\" must be between 0 and 1000000",
        ],
    },
    Row {
        name: "limits for a part that the view has not",
        files: &[
            (
                "rigs/m/rig.toml",
                r##"[character]
canvas = [10, 10]
[views]
front = "front.toml"
"##,
            ),
            (
                "rigs/m/front.toml",
                r##"[part.torso]
art = "a.svg#torso"
[check.part.tarso]
jut = "off"
"##,
            ),
        ],
        expect: &[
            "rigs/m/front.toml:3:13: error: there is no part \"tarso\" (hint: did you mean \"torso\"?)",
        ],
    },
    Row {
        name: "a check of a part that is not there",
        files: &[(
            "rigs/m/rig.toml",
            r##"[character]
canvas = [10, 10]
[part.torso]
art = "a.svg#torso"
[check.part.tarso]
jut = "off"
"##,
        )],
        expect: &[
            "rigs/m/rig.toml:5:13: error: there is no part \"tarso\" (hint: did you mean \"torso\"?)",
        ],
    },
    Row {
        name: "a missing equals sign",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art "a.svg#torso"
"#,
        )],
        expect: &["rigs/m/rig.toml:3:5: error: a key without a value (hint: expected `=`)"],
    },
    Row {
        name: "several mistakes of syntax at once",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200
[part.torso]
art = = "a.svg#torso"
pivot = [1 2]
"#,
        )],
        expect: &[
            "rigs/m/rig.toml:1:20: error: this list is not closed (hint: write ] at its end)",
            "rigs/m/rig.toml:3:7: error: extra `=`",
            r#"rigs/m/rig.toml:4:10: error: text without quotation marks (hint: expected "...")"#,
        ],
    },
    Row {
        name: "an unclosed text",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso
depth = "low"
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:3:19: error: text that is not closed, or a mistake in it (hint: expected `"`)"#,
            r#"rigs/m/rig.toml:4:9: error: "depth" must be a number, not text (hint: write depth = 1; more is further in front)"#,
        ],
    },
    Row {
        name: "an unclosed header",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso
art = "a.svg#torso"
"#,
        )],
        expect: &["rigs/m/rig.toml:2:12: error: this header is not closed (hint: expected `]`)"],
    },
    Row {
        name: "a number that is none",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
depth = 1.2.3
"#,
        )],
        expect: &["rigs/m/rig.toml:4:12: error: a number that cannot be read"],
    },
    Row {
        name: "a key given twice",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
depth = 1
art = "a.svg#chest"
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:5:1: error: "art" is given twice (hint: keep one of the two)"#,
        ],
    },
    Row {
        name: "a table declared twice",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"

[part.torso] # again
depth = 1
"#,
        )],
        expect: &[
            "rigs/m/rig.toml:5:7: error: [part.torso] is declared twice (hint: merge the two, or rename one)",
        ],
    },
    Row {
        name: "a key given twice in an inline table",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
place = { turn = 1, turn = 2 }
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:4:21: error: "turn" is given twice (hint: keep one of the two)"#,
        ],
    },
    Row {
        name: "a value extended as if it were a table",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
depth = 1
depth.more = 2
"#,
        )],
        expect: &[
            "rigs/m/rig.toml:5:1: error: cannot extend value of type integer with a dotted key",
        ],
    },
    Row {
        name: "lists nested too deeply",
        files: &[(
            "rigs/m/rig.toml",
            "character.canvas = [100, 200]\n[part.torso]\nart = \"a.svg#torso\"\ndepth = [[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]\n",
        )],
        expect: &["rigs/m/rig.toml:4:89: error: lists and tables nest too deeply"],
    },
    Row {
        name: "a dotted key with too many parts",
        files: &[(
            "rigs/m/rig.toml",
            "character.canvas = [100, 200]\n[part.torso]\nart = \"a.svg#torso\"\na.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.a.b = 1\n",
        )],
        expect: &["rigs/m/rig.toml:4:1: error: a dotted key has too many parts"],
    },
    Row {
        name: "an empty file",
        files: &[("rigs/m/rig.toml", "")],
        expect: &[
            "rigs/m/rig.toml:1:1: error: there is no [character] (hint: write [character] with name and canvas = [width, height])",
            r#"rigs/m/rig.toml:1:1: error: no parts are declared (hint: write [part.torso] and under it art = "front.svg#torso")"#,
        ],
    },
    Row {
        name: "an unknown key",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
artt = "a.svg#torso"
colour = 1
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:3:1: error: unknown key "artt" in [part.torso] (hint: did you mean "art"?)"#,
            r#"rigs/m/rig.toml:4:1: error: unknown key "colour" in [part.torso] (hint: known here: art, replacements, parent, pivot, depth, limits, place)"#,
        ],
    },
    Row {
        name: "an unknown table",
        files: &[(
            "rigs/m/rig.toml",
            r##"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
[palete.day]
skin = "#fff"
[parts.arm]
art = "a.svg#arm"
"##,
        )],
        expect: &[
            r#"rigs/m/rig.toml:4:2: error: unknown key "palete" in this file (hint: did you mean "palette"?)"#,
            r#"rigs/m/rig.toml:6:2: error: unknown key "parts" in this file (hint: did you mean "part"?)"#,
        ],
    },
    Row {
        name: "wrong types everywhere",
        files: &[(
            "rigs/m/rig.toml",
            r#"[character]
name = 5
canvas = "large"
ground = true
heads = [6]
poses = 3
[part.torso]
art = { file = "a.svg" }
pivot = 12
depth = 1979-05-27
limits = { from = 1 }
place = 3
replacements = "fist"
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:2:8: error: "name" must be text in quotes, not a number (hint: write name = "Deckhand")"#,
            r#"rigs/m/rig.toml:3:10: error: "canvas" must be two numbers, not text (hint: write canvas = [900, 1200], width and height in user units)"#,
            r#"rigs/m/rig.toml:4:10: error: "ground" must be a number, not true (hint: write ground = 1130)"#,
            r#"rigs/m/rig.toml:5:9: error: "heads" must be a number, not a list (hint: write heads = 6.5, the figure's height in heads)"#,
            r#"rigs/m/rig.toml:6:9: error: "poses" must be a list of texts in quotes, not a number (hint: write poses = ["poses.toml"])"#,
            r#"rigs/m/rig.toml:8:7: error: "art" must be text in quotes, not a table (hint: write a file and an element id, as in "front.svg#hand")"#,
            r#"rigs/m/rig.toml:9:9: error: "pivot" must be two numbers, not one (hint: write pivot = [412, 300], in canvas units)"#,
            r#"rigs/m/rig.toml:10:9: error: "depth" must be a number, not a date (hint: write depth = 1; more is further in front)"#,
            r#"rigs/m/rig.toml:11:10: error: "limits" names no joint (hint: write { joint = "elbow" })"#,
            r#"rigs/m/rig.toml:11:12: error: unknown key "from" in "limits" (hint: known here: joint, clockwise, source, group, rest)"#,
            r#"rigs/m/rig.toml:12:9: error: "place" must be a table, not a number (hint: write place = { move = [120, -40] })"#,
            r#"rigs/m/rig.toml:13:16: error: "replacements" must be a table, not text (hint: write replacements = { fist = "hands.svg#fist" })"#,
        ],
    },
    Row {
        name: "a drawing of several elements",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = ["a.svg#torso", "b.svg#torso"]
[part.arm]
art = ["a.svg#arm", 3]
[part.leg]
art = []
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:3:23: error: the elements of "art" lie in several files (hint: elements of one file can be one drawing; put them into one file)"#,
            r#"rigs/m/rig.toml:5:21: error: "art" must be a list of texts in quotes, not a number (hint: write a file and an element id, as in "front.svg#hand")"#,
            r#"rigs/m/rig.toml:7:7: error: "art" must be text in quotes, not a list (hint: write a file and an element id, as in "front.svg#hand")"#,
        ],
    },
    Row {
        name: "a picture that grows by a number",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
character.grow = 12
[part.torso]
art = "a.svg#torso"
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:2:18: error: "grow" must be true or false, not a number (hint: write grow = true)"#,
        ],
    },
    Row {
        name: "a part that is no table",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part]
torso = "a.svg#torso"
"#,
        )],
        expect: &[
            "rigs/m/rig.toml:3:9: error: [part.torso] must be a table, not text (hint: write [part.name])",
        ],
    },
    Row {
        name: "parts in a list of tables",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[[part]]
name = "torso"
art = "a.svg#torso"
"#,
        )],
        expect: &[
            "rigs/m/rig.toml:2:1: error: [part] must be a table, not a list (hint: write [part.name])",
        ],
    },
    Row {
        name: "no character",
        files: &[(
            "rigs/m/rig.toml",
            r#"[part.torso]
art = "a.svg#torso"
"#,
        )],
        expect: &[
            "rigs/m/rig.toml:1:1: error: there is no [character] (hint: write [character] with name and canvas = [width, height])",
        ],
    },
    Row {
        name: "no canvas",
        files: &[(
            "rigs/m/rig.toml",
            r#"[character]
name = "Deckhand"
[part.torso]
art = "a.svg#torso"
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:1:2: error: [character] has no "canvas" (hint: write canvas = [900, 1200], width and height in user units)"#,
        ],
    },
    Row {
        name: "a canvas of the wrong size",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [0, 65001]
[part.torso]
art = "a.svg#torso"
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:1:20: error: the sides of "canvas" must be above 0 and at most 65000 (hint: write canvas = [900, 1200], width and height in user units)"#,
        ],
    },
    Row {
        name: "a canvas of three numbers",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [1, 2, 3]
[part.torso]
art = "a.svg#torso"
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:1:20: error: "canvas" must be two numbers, not 3 (hint: write canvas = [900, 1200], width and height in user units)"#,
        ],
    },
    Row {
        name: "numbers that are not finite",
        files: &[(
            "rigs/m/rig.toml",
            r#"character = { canvas = [inf, nan] }
[part.torso]
art = "a.svg#torso"
pivot = [-inf, 1e999]
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:1:25: error: "canvas" must be a finite number"#,
            r#"rigs/m/rig.toml:1:30: error: "canvas" must be a finite number"#,
            r#"rigs/m/rig.toml:4:10: error: "pivot" must be a finite number"#,
            r#"rigs/m/rig.toml:4:16: error: "pivot" must be between -1000000 and 1000000"#,
        ],
    },
    Row {
        name: "numbers beyond reason",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
pivot = [1000001, 99999999999999999999]
limits = [-40000, 10]
place = { skew = [90, 0] }
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:4:10: error: "pivot" must be between -1000000 and 1000000"#,
            r#"rigs/m/rig.toml:4:19: error: "pivot" must be between -1000000 and 1000000"#,
            r#"rigs/m/rig.toml:5:11: error: "limits" must be between -36000 and 36000"#,
            r#"rigs/m/rig.toml:6:19: error: "skew" must be between -89 and 89"#,
        ],
    },
    Row {
        name: "a blank name",
        files: &[(
            "rigs/m/rig.toml",
            r#"character = { name = "  ", canvas = [100, 200] }
[part.torso]
art = "a.svg#torso"
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:1:22: error: "name" is empty (hint: write name = "Deckhand")"#,
        ],
    },
    Row {
        name: "a name on two lines",
        files: &[(
            "rigs/m/rig.toml",
            r#"character = { name = "a\nb", canvas = [100, 200] }
[part.torso]
art = "a.svg#torso"
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:1:22: error: "name" must be one line, without control characters (hint: write name = "Deckhand")"#,
        ],
    },
    Row {
        name: "a crown below the ground",
        files: &[(
            "rigs/m/rig.toml",
            r#"[character]
canvas = [100, 200]
ground = 20
crown = 180
[part.torso]
art = "a.svg#torso"
"#,
        )],
        expect: &[
            "rigs/m/rig.toml:4:9: error: the crown, 180, is not above the ground, 20 (hint: y grows downwards: the crown's is less than the ground's)",
        ],
    },
    Row {
        name: "pose lists that are not there",
        files: &[
            (
                "rigs/m/rig.toml",
                r#"[character]
canvas = [100, 200]
poses = ["pozes.toml", "/etc/poses.toml", "poses.toml", "poses.toml"]
[part.torso]
art = "a.svg#torso"
"#,
            ),
            (
                "rigs/m/poses.toml",
                "[pose.rest]
",
            ),
        ],
        expect: &[
            r#"rigs/m/rig.toml:3:10: error: no such file: "pozes.toml" (hint: did you mean "poses.toml"?)"#,
            r#"rigs/m/rig.toml:3:24: error: pose list "/etc/poses.toml" is an absolute path (hint: write a path relative to this file, with / between folders)"#,
            r#"rigs/m/rig.toml:3:57: warning: pose list "poses.toml" is named twice (hint: name it once)"#,
        ],
    },
    Row {
        name: "colours that are none",
        files: &[(
            "rigs/m/rig.toml",
            r##"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
[palette.day]
skin = "d99c78"
hair = "#12"
coat = 3
"##,
        )],
        expect: &[
            r##"rigs/m/rig.toml:5:8: error: swatch "skin" is no colour: "d99c78" (hint: write "#rrggbb")"##,
            r##"rigs/m/rig.toml:6:8: error: swatch "hair" is no colour: "#12" (hint: write "#rrggbb")"##,
            r##"rigs/m/rig.toml:7:8: error: swatch "coat" must be text in quotes, not a number (hint: write "#rrggbb")"##,
        ],
    },
    Row {
        name: "a swatch that the first palette lacks",
        files: &[(
            "rigs/m/rig.toml",
            r##"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
[palette.day]
skin = "#d99c78"
[palette.dusk]
skni = "#8a6050"
moon = "#fff"
"##,
        )],
        expect: &[
            r#"rigs/m/rig.toml:7:1: error: palette "dusk" has a swatch "skni" that the first palette, "day", lacks (hint: did you mean "skin"?)"#,
            r#"rigs/m/rig.toml:8:1: error: palette "dusk" has a swatch "moon" that the first palette, "day", lacks (hint: known: skin)"#,
        ],
    },
    Row {
        name: "a palette without swatches",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
[palette.day]
"#,
        )],
        expect: &[
            r##"rigs/m/rig.toml:4:10: error: palette "day" has no swatches (hint: write one colour a line, skin = "#d99c78")"##,
        ],
    },
    Row {
        name: "two swatches that only differ at dusk",
        files: &[(
            "rigs/m/rig.toml",
            r##"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
[palette.day]
skin = "#d99c78"
rope = "#D99C78"
[palette.dusk]
rope = "#554"
"##,
        )],
        expect: &[
            r#"rigs/m/rig.toml:6:1: warning: swatches "skin" and "rope" are the same colour here but not in palette "dusk" (hint: art of this colour will take "skin", unless its id is swatch-rope)"#,
        ],
    },
    Row {
        name: "no parts",
        files: &[(
            "rigs/m/rig.toml",
            "character.canvas = [100, 200]
",
        )],
        expect: &[
            r#"rigs/m/rig.toml:1:1: error: no parts are declared (hint: write [part.torso] and under it art = "front.svg#torso")"#,
        ],
    },
    Row {
        name: "names that cannot be used",
        files: &[(
            "rigs/m/rig.toml",
            r##"character.canvas = [100, 200]
[part.""]
[part."a/b"]
[part.".hidden"]
[part."left arm"]
[part."tab\t"]
[seam."x\\y"]
parts = ["a/b", ".hidden"]
[palette."a:b"]
skin = "#fff"
"##,
        )],
        expect: &[
            "rigs/m/rig.toml:2:7: error: empty part name (hint: use letters, digits, _, - and .)",
            r#"rigs/m/rig.toml:3:7: error: part name "a/b" has "/" in it (hint: use letters, digits, _, - and .)"#,
            r#"rigs/m/rig.toml:4:7: error: part name ".hidden" starts with a dot (hint: use letters, digits, _, - and .)"#,
            r#"rigs/m/rig.toml:5:7: error: part name "left arm" has a space in it (hint: use letters, digits, _, - and .)"#,
            r#"rigs/m/rig.toml:6:7: error: part name "tab\t" has "\t" in it (hint: use letters, digits, _, - and .)"#,
            r#"rigs/m/rig.toml:7:7: error: seam name "x\\y" has "\\" in it (hint: use letters, digits, _, - and .)"#,
            r#"rigs/m/rig.toml:8:10: error: part "a/b" has no art, so it cannot be joined by a seam (hint: give it "art", or name another part)"#,
            r#"rigs/m/rig.toml:8:17: error: part ".hidden" has no art, so it cannot be joined by a seam (hint: give it "art", or name another part)"#,
            r#"rigs/m/rig.toml:9:10: error: palette name "a:b" has ":" in it (hint: use letters, digits, _, - and .)"#,
        ],
    },
    Row {
        name: "a name that is too long",
        files: &[(
            "rigs/m/rig.toml",
            "character.canvas = [100, 200]\n[part.xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx]\nart = \"a.svg#torso\"\n",
        )],
        expect: &[
            r#"rigs/m/rig.toml:2:7: error: part name "xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx..." is longer than 100 characters (hint: use letters, digits, _, - and .)"#,
        ],
    },
    Row {
        name: "an unknown parent",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
[part.forearm_near]
art = "a.svg#forearm"
[part.hand]
art = "a.svg#hand"
parent = "forarm_near"
pivot = [1, 2]
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:8:10: error: unknown part "forarm_near" (hint: did you mean "forearm_near"?)"#,
        ],
    },
    Row {
        name: "a parent that resembles none",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
[part.hand]
parent = "zeppelin"
pivot = [1, 2]
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:5:10: error: unknown part "zeppelin" (hint: known: torso, hand)"#,
        ],
    },
    Row {
        name: "a part that is its own parent",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
[part.hand]
parent = "hand"
pivot = [1, 2]
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:5:10: error: part "hand" is its own parent (hint: one of them must hang on something else, or on nothing)"#,
        ],
    },
    Row {
        name: "parents in a loop",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
pivot = [1, 2]
parent = "hand"
[part.arm]
parent = "torso"
pivot = [1, 2]
[part.hand]
parent = "arm"
pivot = [1, 2]
"#,
        )],
        expect: &[
            "rigs/m/rig.toml:5:10: error: the parents form a loop: torso -> hand -> arm -> torso (hint: one of them must hang on something else, or on nothing)",
        ],
    },
    Row {
        name: "a join without a pivot",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
[part.arm]
parent = "torso"
art = "a.svg#arm"
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:4:7: error: part "arm" has a parent but no "pivot" (hint: write pivot = [x, y], the point of the join, in canvas units)"#,
        ],
    },
    Row {
        name: "reversed limits",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
limits = [170, -60]
"#,
        )],
        expect: &[
            "rigs/m/rig.toml:4:10: error: the limits are reversed (hint: write limits = [-60, 170])",
        ],
    },
    Row {
        name: "joints that limits name",
        files: &[(
            "rigs/m/rig.toml",
            r##"[character]
canvas = [100, 200]
[part.a]
limits = "elbw"
[part.b]
limits = { joint = "elbow", clockwise = "abduction" }
[part.c]
limits = { joint = "knee", source = "CDC" }
[part.d]
limits = { joint = "knee", source = "CDC", group = "adult" }
[part.e]
limits = { clockwise = "flexion" }
[part.f]
limits = { joint = "knee", source = "WHO", side = "left" }
[part.g]
limits = { joint = "knee", rest = "bent" }
[part.h]
limits = { joint = "knee", rest = 140 }
[part.i]
limits = 30
[part.j]
limits = { joint = "wrist", source = "CDC" }
"##,
        )],
        expect: &[
            r#"rigs/m/rig.toml:4:10: error: unknown joint "elbw" (hint: did you mean "elbow"?)"#,
            r#"rigs/m/rig.toml:6:41: error: "elbow" has no motion "abduction" (hint: known: flexion, extension)"#,
            r#"rigs/m/rig.toml:8:10: error: CDC's norms for "knee" are by group (hint: write group = "F 2-8"; there are F 2-8, M 2-8, F 20-44, M 20-44)"#,
            r#"rigs/m/rig.toml:10:52: error: CDC has no norm for "knee" of group "adult" (hint: known: F 2-8, M 2-8, F 20-44, M 20-44)"#,
            r#"rigs/m/rig.toml:12:10: error: "limits" names no joint (hint: write { joint = "elbow" })"#,
            r#"rigs/m/rig.toml:14:44: error: unknown key "side" in "limits" (hint: known here: joint, clockwise, source, group, rest)"#,
            r#"rigs/m/rig.toml:16:35: error: "rest" of "limits" must be a number, not text (hint: write rest = 15, how far the drawing is bent already)"#,
            r#"rigs/m/rig.toml:18:10: warning: the rest pose of "h" is outside its limits (hint: a part rests at a turn of 0; limits count from there)"#,
            r#"rigs/m/rig.toml:20:10: error: "limits" must be two numbers, not one (hint: write limits = [-60, 170], least and greatest turn in degrees)"#,
            r#"rigs/m/rig.toml:22:10: error: CDC has no norm for "wrist" (hint: take another source)"#,
        ],
    },
    Row {
        name: "allowances",
        files: &[(
            "rigs/m/rig.toml",
            r##"[character]
canvas = [100, 200]
[part.a]
art = "a.svg#a"
[lint]
far = 3
[[lint.allow]]
check = "unpared"
reason = "so"
[[lint.allow]]
of = ["a"]
[[lint.allow]]
check = "stray"
of = 3
reason = ""
side = 1
"##,
        )],
        expect: &[
            r#"rigs/m/rig.toml:6:1: error: unknown key "far" in [lint] (hint: known here: allow, open-paint, stray, pivot-off, depth-tie)"#,
            r#"rigs/m/rig.toml:8:9: error: unknown check "unpared" (hint: did you mean "unpaired"?)"#,
            r#"rigs/m/rig.toml:10:1: error: [[lint.allow]] has no "check" (hint: write check = "unpaired", and reason = "..." for whoever reads it next)"#,
            r#"rigs/m/rig.toml:10:1: error: [[lint.allow]] has no "reason" (hint: write check = "unpaired", and reason = "..." for whoever reads it next)"#,
            r#"rigs/m/rig.toml:14:6: error: "of" must be a list of texts in quotes, not a number (hint: write of = ["hook_near"], what the findings are about)"#,
            r#"rigs/m/rig.toml:15:10: error: "reason" is empty (hint: write why it is meant)"#,
            r#"rigs/m/rig.toml:16:1: error: unknown key "side" in [[lint.allow]] (hint: known here: check, of, reason)"#,
        ],
    },
    Row {
        name: "random poses",
        files: &[
            ("rigs/m/rig.toml", RIG),
            (
                "poses.toml",
                r##"[pose.rest]
[stress.a]
seed = -1
[stress.b]
seed = 1.5
count = 0
[stress.c]
count = 4
turn = ["torso", "arm", "arm", "leg"]
[stress.d]
count = 4
turn = []
changes = { behind = { arm = "torso" } }
[stress.e]
count = 4
from = "haul"
changes = [{}, 3, { behind = { arm = "arm" } }, { turn = { arm = 3 } }]
[stress.rest]
count = "many"
[stress.f]
count = 10001
colour = 3
[stress.g]
count = 2
from = "rest"
"##,
            ),
        ],
        expect: &[
            r#"poses.toml:2:9: error: stress "a" has no "count" (hint: write count = 40, the number of poses)"#,
            r#"poses.toml:3:8: error: "seed" must be between 0 and 9007199254740992"#,
            r#"poses.toml:5:8: error: "seed" must be a whole number (hint: write a whole number, seed = 40)"#,
            r#"poses.toml:6:9: error: "count" must be between 1 and 10000"#,
            r#"poses.toml:9:9: error: "torso" has no limits to stay within (hint: write limits = [-60, 170] in the rig, or leave it out here)"#,
            r#"poses.toml:9:25: error: part "arm" is named twice (hint: name each joint once)"#,
            r#"poses.toml:9:32: error: unknown part "leg" (hint: known: torso, arm, forearm, hand)"#,
            r#"poses.toml:12:8: error: "turn" names no part (hint: write turn = ["upper_arm", "forearm"], the parts that turn)"#,
            r#"poses.toml:13:11: error: "changes" must be a list, not a table (hint: write changes = [{ behind = { forearm = "torso" } }])"#,
            r#"poses.toml:16:8: error: unknown pose "haul" (hint: known: rest)"#,
            r#"poses.toml:17:12: error: this entry of "changes" changes nothing (hint: write changes = [{ behind = { forearm = "torso" } }])"#,
            r#"poses.toml:17:16: error: an entry of "changes" must be a table, not a number (hint: write changes = [{ behind = { forearm = "torso" } }])"#,
            r#"poses.toml:17:38: error: "arm" cannot be behind itself (hint: name another part)"#,
            r#"poses.toml:17:51: error: unknown key "turn" in an entry of "changes" (hint: known here: depth, behind, in_front)"#,
            r#"poses.toml:18:9: error: "rest" is a pose and a stress (hint: rename one of the two)"#,
            r#"poses.toml:19:9: error: "count" must be a number, not text (hint: write a whole number, count = 40)"#,
            r#"poses.toml:21:9: error: "count" must be between 1 and 10000"#,
            r#"poses.toml:22:1: error: unknown key "colour" in [stress.f] (hint: known here: from, note, seed, count, turn, changes)"#,
        ],
    },
    Row {
        name: "sheets that a list asks for",
        files: &[
            ("rigs/m/rig.toml", RIG),
            (
                "poses.toml",
                r##"[pose.rest]
[pose.haul]
[stress.bends]
count = 2
turn = "arm"
[sweep.elbow]
turn = "forearm"
[sheet.a]
kind = "poze"
poses = ["hual", "rest", "rest", 3, "x*"]
columns = 0
[sheet.b]
kind = "line-up"
title = ""
margin = 61
orient = "upright"
paper = 3
[sheet.c]
sweeps = ["elbow", "knee", "elbow"]
poses = "rest"
[sheet.d]
kind = "range"
poses = ["rest"]
page = "a5"
cell = 20.5
[sheet.e]
page = "100x9000"
canvas = "yes"
crop = "head"
palette = "noon"
views = ["front"]
[sheet.f]
kind = "turnaround"
columns = 3
[sheet.g]
kind = "colours"
poses = ["rest", "haul"]
palette = "dusk"
[sheet.h]
kind = "charts"
charts = ["hands"]
poses = []
[sheet.i]
poses = []
[sheet."j k"]
color = 3
revision = 3
date = 2031-05-02
[sheet.l]
kind = 3
charts = []
canvas = true
poses = ["bends", "bends@1", "*"]
[sheet.m]
poses = ["haull", "x*"]
sweeps = 3
"##,
            ),
        ],
        expect: &[
            r#"poses.toml:9:8: error: unknown kind of sheet "poze" (hint: did you mean "pose"?)"#,
            r#"poses.toml:10:34: error: "poses" must be a list of texts in quotes, not a number (hint: write poses = ["rest", "haul"], or names with * for anything)"#,
            r#"poses.toml:11:11: error: "columns" must be between 1 and 100"#,
            r#"poses.toml:13:8: error: unknown kind of sheet "line-up" (hint: a line-up shows the whole cast: layfig sheet CAST --kind line-up)"#,
            r#"poses.toml:14:9: error: "title" is empty (hint: write title = "Deck work", or leave it out)"#,
            r#"poses.toml:15:10: error: "margin" must be between 0 and 60"#,
            r#"poses.toml:16:10: error: "orient" cannot be "upright" (hint: write orient = "landscape" or "portrait")"#,
            r#"poses.toml:17:9: error: "paper" must be text in quotes, not a number (hint: write paper = "light" or "dark")"#,
            r#"poses.toml:19:1: error: "sweeps" says nothing on a pose sheet (hint: leave it out, or write kind = "range" or "onion")"#,
            r#"poses.toml:19:20: error: unknown sweep "knee" (hint: known: elbow)"#,
            r#"poses.toml:19:28: error: sweep "elbow" is named twice (hint: name each sweep once)"#,
            r#"poses.toml:23:1: error: "poses" says nothing on a range sheet (hint: leave it out, or write kind = "pose", "onion", "expressions" or "colours")"#,
            r#"poses.toml:24:8: error: unknown page "a5" (hint: write a4, a3, letter, tabloid, 16:9, fit, or pixels as 1920x1080)"#,
            r#"poses.toml:25:8: error: "cell" must be between 32 and 6000"#,
            r#"poses.toml:27:8: error: unknown page "100x9000" (hint: pages are 400 to 8000 px a side)"#,
            r#"poses.toml:28:1: error: "canvas" and "crop" exclude each other (hint: leave out one of the two)"#,
            r#"poses.toml:28:10: error: "canvas" must be true or false, not text (hint: write canvas = true)"#,
            r#"poses.toml:29:8: error: unknown crop "head" (hint: declare it in the rig, with [crop.name])"#,
            r#"poses.toml:30:11: error: unknown palette "noon" (hint: known: day, dusk)"#,
            r#"poses.toml:31:10: error: unknown view "front" (hint: the member has one view, without a name: leave "views" out)"#,
            r#"poses.toml:32:8: error: sheet "f" is a turnaround of a member with one view (hint: give the member [views], or choose another kind)"#,
            r#"poses.toml:34:1: error: "columns" says nothing on a turnaround sheet (hint: leave it out, or write kind = "pose", "range", "onion", "expressions" or "charts")"#,
            r#"poses.toml:37:9: error: a colours sheet shows one pose, not 2 (hint: name one pose)"#,
            r#"poses.toml:38:1: error: "palette" says nothing on a colours sheet (hint: leave it out, or write kind = "pose", "range", "expressions" or "charts")"#,
            r#"poses.toml:41:11: error: unknown chart "hands" (hint: declare it in the rig, with [chart.name])"#,
            r#"poses.toml:42:1: error: "poses" says nothing on a charts sheet (hint: leave it out, or write kind = "pose", "onion", "expressions" or "colours")"#,
            r#"poses.toml:42:9: error: "poses" names no pose (hint: name some, or leave "poses" out for all)"#,
            r#"poses.toml:44:9: error: "poses" names no pose (hint: name some, or leave "poses" out for all)"#,
            r#"poses.toml:45:8: error: sheet name "j k" has a space in it (hint: use letters, digits, _, - and .)"#,
            r#"poses.toml:46:1: error: unknown key "color" in [sheet."j k"] (hint: known here: kind, title, note, views, poses, sweeps, charts, crop, canvas, palette, page, orient, paper, margin, columns, cell, revision, date)"#,
            r#"poses.toml:47:12: error: "revision" must be text in quotes, not a number (hint: write revision = "C")"#,
            r#"poses.toml:50:8: error: "kind" must be text in quotes, not a number (hint: write kind = "pose", or another of pose, range, onion, model, turnaround, expressions, charts, colours)"#,
            r#"poses.toml:51:10: error: "charts" names no chart (hint: write charts = ["hands"], charts of the rig)"#,
            r#"poses.toml:53:19: error: pose "bends@1" is named twice (hint: name each pose once)"#,
            r#"poses.toml:55:10: error: unknown pose "haull" (hint: did you mean "haul"?)"#,
            r#"poses.toml:55:19: error: unknown pose "x*" (hint: no pose of this list has such a name)"#,
            r#"poses.toml:56:1: error: "sweeps" says nothing on a pose sheet (hint: leave it out, or write kind = "range" or "onion")"#,
            r#"poses.toml:56:10: error: "sweeps" must be a list of texts in quotes, not a number (hint: write sweeps = ["elbow_near"], or names with * for anything)"#,
        ],
    },
    Row {
        name: "sheets of a list without poses and sweeps",
        files: &[
            ("rigs/m/rig.toml", RIG),
            (
                "poses.toml",
                r##"[sheet.a]
[sheet.A]
kind = "model"
[sheet.b]
kind = "range"
[sheet.c]
kind = "onion"
poses = ["rest"]
[sheet.d]
kind = "expressions"
"##,
            ),
        ],
        expect: &[
            r#"poses.toml:1:8: error: sheet "a" has no poses to show (hint: declare poses in this list, or choose another "kind")"#,
            r#"poses.toml:2:8: warning: sheets "a" and "A" differ only in case (hint: on some systems their files would be one and the same; rename one)"#,
            r#"poses.toml:4:8: error: sheet "b" has no sweeps to show (hint: declare sweeps in this list, or choose another "kind")"#,
            r#"poses.toml:8:10: error: unknown pose "rest" (hint: the list declares no poses)"#,
            r#"poses.toml:9:8: error: sheet "d" has no poses to show (hint: declare poses in this list, or choose another "kind")"#,
        ],
    },
    Row {
        name: "sheets of several views",
        files: &[
            ("rigs/m/rig.toml", TURNAROUND),
            ("rigs/m/front.toml", FRONT),
            (
                "rigs/m/side.toml",
                "[part.torso]\nart = \"b.svg#torso\"\n[crop.chest]\npart = \"torso\"\n",
            ),
            (
                "poses.toml",
                r##"[pose.rest]
[sheet.a]
views = ["front", "sidde", "front"]
[sheet.b]
views = "both"
[sheet.c]
views = []
[sheet.d]
views = "all"
crop = "chest"
[sheet.e]
crop = "chest"
[sheet.f]
kind = "turnaround"
views = ["front"]
[sheet.g]
views = 3
"##,
            ),
        ],
        expect: &[
            r#"poses.toml:3:19: error: unknown view "sidde" (hint: did you mean "side"?)"#,
            r#"poses.toml:3:28: error: view "front" is named twice (hint: name each view once)"#,
            r#"poses.toml:5:9: error: unknown view "both" (hint: known: front, side)"#,
            r#"poses.toml:7:9: error: "views" names no view (hint: write views = ["front", "side"], or "all")"#,
            r#"poses.toml:10:8: error: view "front" has no crop "chest" (hint: declare it there, or leave the view out of "views")"#,
            r#"poses.toml:15:9: error: a turnaround needs two views or more (hint: name more, or leave "views" out for all)"#,
            r#"poses.toml:17:9: error: "views" must be a list of texts in quotes, not a number (hint: write views = ["front", "side"], or "all")"#,
        ],
    },
    Row {
        name: "limits without the rest pose",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
limits = [10, 60]
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:4:10: warning: the rest pose of "torso" is outside its limits (hint: a part rests at a turn of 0; limits count from there)"#,
        ],
    },
    Row {
        name: "a scale of nothing",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
place = { scale = 0 }
[part.arm]
place = { scale = [1, 0.0] }
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:4:19: error: "scale" must not be 0 (hint: to hide a part, replace it by "none" in a pose)"#,
            r#"rigs/m/rig.toml:6:19: error: "scale" must not be 0 (hint: to hide a part, replace it by "none" in a pose)"#,
        ],
    },
    Row {
        name: "reserved names of replacements",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
replacements = { art = "a.svg#x", none = "a.svg#y", ok = "a.svg#z" }
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:4:18: error: a replacement cannot be called "art" (hint: every part has "art", its own drawing, and "none"; choose another name)"#,
            r#"rigs/m/rig.toml:4:35: error: a replacement cannot be called "none" (hint: every part has "art", its own drawing, and "none"; choose another name)"#,
        ],
    },
    Row {
        name: "references that are none",
        files: &[(
            "rigs/m/rig.toml",
            r##"character.canvas = [100, 200]
[part.a]
art = "torso"
[part.b]
art = "a.svg"
[part.c]
art = "#torso"
[part.d]
art = "a.svg#"
[part.e]
art = ""
"##,
        )],
        expect: &[
            r#"rigs/m/rig.toml:3:7: error: "art" names no file and element (hint: write a file and an element id, as in "front.svg#hand")"#,
            r#"rigs/m/rig.toml:5:7: error: "art" names no element of "a.svg" (hint: add the element's id: "a.svg#id")"#,
            r#"rigs/m/rig.toml:7:7: error: "art" names no file (hint: write a file and an element id, as in "front.svg#hand")"#,
            r#"rigs/m/rig.toml:9:7: error: "art" names no element of "a.svg" (hint: write a file and an element id, as in "front.svg#hand")"#,
            r#"rigs/m/rig.toml:11:7: error: "art" is empty (hint: write a file and an element id, as in "front.svg#hand")"#,
        ],
    },
    Row {
        name: "references that leave the folder",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.a]
art = "../a.svg#x"
[part.b]
art = "/art/a.svg#x"
[part.c]
art = "C:\\a.svg#x"
[part.d]
art = "https://a.example/a.svg#x"
[part.e]
art = "art\\a.svg#x"
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:3:7: error: "art" leads out of the member's folder (hint: keep a member's files in the folder of its rig.toml)"#,
            r#"rigs/m/rig.toml:5:7: error: "art" is an absolute path (hint: write a path relative to this file, with / between folders)"#,
            r#"rigs/m/rig.toml:7:7: error: "art" is an absolute path (hint: write a path relative to this file, with / between folders)"#,
            r#"rigs/m/rig.toml:9:7: error: "art" is an address, not a path (hint: write a path relative to this file, with / between folders)"#,
            r#"rigs/m/rig.toml:11:7: error: "art" has a backslash in it (hint: write a path relative to this file, with / between folders)"#,
        ],
    },
    Row {
        name: "a seam of an unknown part",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
[part.arm]
art = "a.svg#arm"
parent = "torso"
pivot = [1, 2]
[seam.shoulder]
parts = ["torso", "amr"]
"#,
        )],
        expect: &[r#"rigs/m/rig.toml:9:19: error: unknown part "amr" (hint: did you mean "arm"?)"#],
    },
    Row {
        name: "seams of the wrong number of parts",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
[part.arm]
art = "a.svg#arm"
parent = "torso"
pivot = [1, 2]
[seam.one]
parts = ["torso"]
[seam.none]
parts = []
[seam.three]
parts = ["torso", "arm", "torso"]
[seam.lost]
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:9:9: error: a seam joins two parts, not 1 (hint: write parts = ["upper_arm", "forearm"])"#,
            r#"rigs/m/rig.toml:11:9: error: a seam joins two parts, not 0 (hint: write parts = ["upper_arm", "forearm"])"#,
            r#"rigs/m/rig.toml:13:9: error: a seam joins two parts, not 3 (hint: write parts = ["upper_arm", "forearm"])"#,
            r#"rigs/m/rig.toml:14:7: error: seam "lost" has no "parts" (hint: write parts = ["upper_arm", "forearm"])"#,
        ],
    },
    Row {
        name: "a seam of a part with itself",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
[part.arm]
art = "a.svg#arm"
parent = "torso"
pivot = [1, 2]
[seam.arm]
parts = ["arm", "arm"]
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:9:17: error: a seam cannot join "arm" to itself (hint: name the two parts that meet)"#,
        ],
    },
    Row {
        name: "the same seam twice",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
[part.arm]
art = "a.svg#arm"
parent = "torso"
pivot = [1, 2]
[seam.shoulder]
parts = ["torso", "arm"]
[seam.armpit]
parts = ["arm", "torso"]
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:10:7: error: seam "armpit" joins the same parts as another, "torso" and "arm" (hint: keep one of the two)"#,
        ],
    },
    Row {
        name: "zones that are none",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
[part.arm]
art = "a.svg#arm"
parent = "torso"
pivot = [1, 2]
[seam.a]
parts = ["torso", "arm"]
zone = "atuo"
[seam.b]
parts = ["torso", "arm"]
zone = 0
[seam.c]
parts = ["torso", "arm"]
zone = true
[seam.d]
parts = ["torso", "arm"]
zone = "../z.svg#z"
opens = "all"
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:10:8: error: unknown zone "atuo" (hint: write "auto", a radius, or a drawing such as "front.svg#elbow_zone")"#,
            r#"rigs/m/rig.toml:11:7: error: seam "b" joins the same parts as another, "torso" and "arm" (hint: keep one of the two)"#,
            r#"rigs/m/rig.toml:13:8: error: the radius of "zone" must be above 0 (hint: write "auto", a radius, or a drawing such as "front.svg#elbow_zone")"#,
            r#"rigs/m/rig.toml:14:7: error: seam "c" joins the same parts as another, "torso" and "arm" (hint: keep one of the two)"#,
            r#"rigs/m/rig.toml:16:8: error: "zone" must be "auto", a radius or a drawing, not true (hint: write "auto", a radius, or a drawing such as "front.svg#elbow_zone")"#,
            r#"rigs/m/rig.toml:17:7: error: seam "d" joins the same parts as another, "torso" and "arm" (hint: keep one of the two)"#,
            r#"rigs/m/rig.toml:19:8: error: "zone" leads out of the member's folder (hint: keep a member's files in the folder of its rig.toml)"#,
            r#"rigs/m/rig.toml:20:9: error: "opens" cannot be "all" (hint: write "both", "parent" or "child")"#,
        ],
    },
    Row {
        name: "a seam of a part without art",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
[part.joint]
[seam.x]
parts = ["torso", "joint"]
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:6:19: error: part "joint" has no art, so it cannot be joined by a seam (hint: give it "art", or name another part)"#,
        ],
    },
    Row {
        name: "an incomplete mask",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
[part.arm]
art = "a.svg#arm"
parent = "torso"
pivot = [1, 2]
[mask.iris]
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:8:7: error: mask "iris" has no "part" (hint: write part = "iris", the part that is masked)"#,
            r#"rigs/m/rig.toml:8:7: error: mask "iris" has no "keep" (hint: write keep = "inside" or keep = "outside")"#,
            r#"rigs/m/rig.toml:8:7: error: mask "iris" has no "of" (hint: write of = ["eye"], the parts whose shape is the mask)"#,
        ],
    },
    Row {
        name: "a mask with wrong words",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
[part.arm]
art = "a.svg#arm"
parent = "torso"
pivot = [1, 2]
[mask.iris]
part = "iris"
keep = "within"
of = []
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:9:8: error: unknown part "iris" (hint: known: torso, arm)"#,
            r#"rigs/m/rig.toml:10:8: error: "keep" cannot be "within" (hint: write "inside" or "outside")"#,
            r#"rigs/m/rig.toml:11:6: error: "of" names no part (hint: write of = ["name"], one or more parts)"#,
        ],
    },
    Row {
        name: "masks in a loop",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.iris]
art = "a.svg#iris"
[part.eye]
art = "a.svg#eye"
[mask.a]
part = "iris"
keep = "inside"
of = ["eye"]
[mask.b]
part = "eye"
keep = "outside"
of = ["iris"]
"#,
        )],
        expect: &[
            "rigs/m/rig.toml:10:7: error: the masks form a loop: iris -> eye -> iris (hint: each is masked by the next; leave one out)",
        ],
    },
    Row {
        name: "a part masked by itself",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
[mask.a]
part = "torso"
keep = "inside"
of = "torso"
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:4:7: error: part "torso" is masked by itself (hint: each is masked by the next; leave one out)"#,
        ],
    },
    Row {
        name: "a mask of a part without art",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
[part.joint]
[mask.a]
part = "joint"
keep = "inside"
of = ["torso", "torso", "joint"]
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:5:7: error: part "joint" is masked by itself (hint: each is masked by the next; leave one out)"#,
            r#"rigs/m/rig.toml:6:8: error: part "joint" has no art, so it cannot be masked (hint: give it "art", or name another part)"#,
            r#"rigs/m/rig.toml:8:16: warning: part "torso" is named twice (hint: name it once)"#,
            r#"rigs/m/rig.toml:8:25: error: part "joint" has no art, so it cannot be a mask (hint: give it "art", or name another part)"#,
        ],
    },
    Row {
        name: "an incomplete garment",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
[part.arm]
art = "a.svg#arm"
parent = "torso"
pivot = [1, 2]
[garment.cuff]
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:8:10: error: garment "cuff" has no "part" (hint: write part = "cuff", the part that is worn)"#,
            r#"rigs/m/rig.toml:8:10: error: garment "cuff" has no "on" (hint: write on = ["forearm"], the parts that wear it)"#,
        ],
    },
    Row {
        name: "a garment on unknown parts",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
[part.arm]
art = "a.svg#arm"
parent = "torso"
pivot = [1, 2]
[part.cuff]
art = "a.svg#cuff"
[garment.cuff]
part = "cuf"
on = ["arn", "torso"]
trim = "oilskin"
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:11:8: error: unknown part "cuf" (hint: did you mean "cuff"?)"#,
            r#"rigs/m/rig.toml:12:7: error: unknown part "arn" (hint: did you mean "arm"?)"#,
            r##"rigs/m/rig.toml:13:8: error: unknown swatch "oilskin" (hint: declare it in [palette.day], or write "#rrggbb")"##,
        ],
    },
    Row {
        name: "a garment on itself and on a garment",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
[part.arm]
art = "a.svg#arm"
parent = "torso"
pivot = [1, 2]
[part.cuff]
art = "a.svg#cuff"
[part.sash]
art = "a.svg#sash"
[garment.cuff]
part = "cuff"
on = ["cuff"]
[garment.sash]
part = "sash"
on = ["torso", "cuff"]
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:14:7: error: part "cuff" is worn, as a garment, so it cannot wear another (hint: name the parts that wear it)"#,
            r#"rigs/m/rig.toml:17:16: error: part "cuff" is worn, as a garment, so it cannot wear another (hint: name the parts that wear it)"#,
        ],
    },
    Row {
        name: "two garments of one part",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
[part.arm]
art = "a.svg#arm"
parent = "torso"
pivot = [1, 2]
[part.cuff]
art = "a.svg#cuff"
[garment.a]
part = "cuff"
on = ["arm"]
[garment.b]
part = "cuff"
on = ["torso"]
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:14:8: error: part "cuff" is worn twice (hint: keep one garment for it, and name all hosts there)"#,
        ],
    },
    Row {
        name: "seams and masks of garments",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
[part.arm]
art = "a.svg#arm"
parent = "torso"
pivot = [1, 2]
[part.cuff]
art = "a.svg#cuff"
[garment.a]
part = "cuff"
on = ["arm"]
[seam.s]
parts = ["arm", "cuff"]
[mask.m]
part = "torso"
keep = "outside"
of = ["cuff"]
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:14:17: error: part "cuff" is worn, as a garment, so it cannot be joined by a seam (hint: name the parts that wear it)"#,
            r#"rigs/m/rig.toml:18:7: error: part "cuff" is worn, as a garment, so it cannot be a mask (hint: name the parts that wear it)"#,
        ],
    },
    Row {
        name: "a garment without art",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
[part.arm]
art = "a.svg#arm"
parent = "torso"
pivot = [1, 2]
[part.cuff]
[garment.a]
part = "cuff"
on = ["arm"]
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:10:8: error: part "cuff" has no art, so it cannot be worn (hint: give it "art", or name another part)"#,
        ],
    },
    Row {
        name: "an unknown swatch and a colour that is none",
        files: &[(
            "rigs/m/rig.toml",
            r##"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
[part.arm]
art = "a.svg#arm"
parent = "torso"
pivot = [1, 2]
[part.cuff]
art = "a.svg#cuff"
[part.sash]
art = "a.svg#sash"
[palette.day]
oilskin = "#d9b23c"
[garment.a]
part = "cuff"
on = ["arm"]
trim = "oilskn"
[garment.b]
part = "sash"
on = ["arm"]
trim = "#12"
"##,
        )],
        expect: &[
            r#"rigs/m/rig.toml:17:8: error: unknown swatch "oilskn" (hint: did you mean "oilskin"?)"#,
            r##"rigs/m/rig.toml:21:8: error: "trim" is no colour: "#12" (hint: write "#rrggbb")"##,
        ],
    },
    Row {
        name: "views that cannot be read",
        files: &[
            (
                "rigs/m/rig.toml",
                r#"character.canvas = [100, 200]
[views]
front = "fornt.toml"
side = 3
back = "../back.toml"
rear = "front.toml"
again = "front.toml"
"#,
            ),
            (
                "rigs/m/front.toml",
                r#"[part.torso]
art = "a.svg#torso"
"#,
            ),
        ],
        expect: &[
            r#"rigs/m/rig.toml:3:9: error: no such file: "fornt.toml" (hint: did you mean "front.toml"?)"#,
            r#"rigs/m/rig.toml:4:8: error: view "side" must be text in quotes, not a number (hint: write side = "front.toml")"#,
            r#"rigs/m/rig.toml:5:8: error: view "back" leads out of the member's folder (hint: keep a member's files in the folder of its rig.toml)"#,
            r#"rigs/m/rig.toml:7:9: error: views "rear" and "again" are the same file (hint: give each view a file of its own)"#,
        ],
    },
    Row {
        name: "views beside parts",
        files: &[
            (
                "rigs/m/rig.toml",
                r#"character.canvas = [100, 200]
[views]
front = "front.toml"
[part.torso]
art = "a.svg#torso"
"#,
            ),
            (
                "rigs/m/front.toml",
                r#"[part.torso]
art = "a.svg#torso"
"#,
            ),
        ],
        expect: &[
            "rigs/m/rig.toml:4:2: error: [part] stands beside [views] (hint: move it to the file of its view)",
        ],
    },
    Row {
        name: "no views in views",
        files: &[(
            "rigs/m/rig.toml",
            "character.canvas = [100, 200]
[views]
",
        )],
        expect: &[
            r#"rigs/m/rig.toml:2:2: error: [views] names no view (hint: write [views] and under it front = "front.toml")"#,
        ],
    },
    Row {
        name: "mistakes in a view file",
        files: &[
            (
                "rigs/m/rig.toml",
                r#"character.canvas = [100, 200]
[views]
front = "front.toml"
side = "views/side.toml"
"#,
            ),
            (
                "rigs/m/front.toml",
                r#"[character]
name = "x"
[part.torso]
art = "a.svg#torso"
parent = "hip"
pivot = [0, 0]
"#,
            ),
            (
                "rigs/m/views/side.toml",
                r#"[part.torso]
art = "../../a.svg#torso"
[prat.arm]
"#,
            ),
        ],
        expect: &[
            r#"rigs/m/front.toml:1:2: error: unknown key "character" in this file (hint: [character] belongs in rig.toml)"#,
            r#"rigs/m/front.toml:5:10: error: unknown part "hip" (hint: known: torso)"#,
            r#"rigs/m/views/side.toml:2:7: error: "art" leads out of the member's folder (hint: keep a member's files in the folder of its rig.toml)"#,
            r#"rigs/m/views/side.toml:3:2: error: unknown key "prat" in this file (hint: did you mean "part"?)"#,
        ],
    },
    Row {
        name: "a rig that is not there",
        files: &[("rigs/m/other.toml", "")],
        expect: &["rigs/m/rig.toml: error: cannot read this file: no such file"],
    },
    Row {
        name: "an unknown part",
        files: &[
            ("rigs/m/rig.toml", RIG),
            (
                "poses.toml",
                "[pose.haul]
turn = { forarm = -35 }
move = { zeppelin = [0, 1] }
",
            ),
        ],
        expect: &[
            r#"poses.toml:2:10: error: unknown part "forarm" (hint: did you mean "forearm"?)"#,
            r#"poses.toml:3:10: error: unknown part "zeppelin" (hint: known: torso, arm, forearm, hand)"#,
        ],
    },
    Row {
        name: "wrong types in a pose",
        files: &[
            ("rigs/m/rig.toml", RIG),
            (
                "poses.toml",
                r#"[pose.a]
from = 1
note = 2
turn = { arm = "up" }
move = { arm = 3 }
scale = { arm = "big" }
skew = { arm = 10 }
behind = { arm = true }
depth = { arm = [1] }
replace = { hand = 1 }
palette = 1
mirror = "yes"
"#,
            ),
        ],
        expect: &[
            r#"poses.toml:2:8: error: "from" must be text in quotes, not a number (hint: write a pose's name)"#,
            r#"poses.toml:3:8: error: "note" must be text in quotes, not a number (hint: write a line of text, or leave it out)"#,
            r#"poses.toml:4:16: error: "turn" of "arm" must be a number, not text (hint: write a number of degrees)"#,
            r#"poses.toml:5:16: error: "move" of "arm" must be two numbers, not one (hint: write two numbers, [0, 14])"#,
            r#"poses.toml:6:17: error: "scale" of "arm" must be a number or two, not text (hint: write arm = 1.2, or [1.2, 0.9] for each way)"#,
            r#"poses.toml:7:16: error: "skew" of "arm" must be two numbers, not one (hint: write two angles, [10, 0])"#,
            r#"poses.toml:8:18: error: "behind" of "arm" must be text in quotes, not true (hint: write a part's name)"#,
            r#"poses.toml:9:17: error: "depth" of "arm" must be a number, not a list (hint: write a number; more is further in front)"#,
            r#"poses.toml:10:20: error: "replace" of "hand" must be text in quotes, not a number (hint: write a replacement's name)"#,
            r#"poses.toml:11:11: error: "palette" must be text in quotes, not a number (hint: write a palette's name)"#,
            r#"poses.toml:12:10: error: "mirror" must be true or false, not text (hint: write mirror = true)"#,
        ],
    },
    Row {
        name: "tables that are none",
        files: &[
            ("rigs/m/rig.toml", RIG),
            (
                "poses.toml",
                r#"[pose.a]
turn = -35
replace = "fist"
"#,
            ),
        ],
        expect: &[
            r#"poses.toml:2:8: error: "turn" must be a table, not a number (hint: write turn = { part = -70 })"#,
            r#"poses.toml:3:11: error: "replace" must be a table, not text (hint: write replace = { part = "fist" })"#,
        ],
    },
    Row {
        name: "settings of comparisons in a rig",
        files: &[(
            "rigs/m/rig.toml",
            r#"[character]
canvas = [100, 200]
[compare]
colour = -1
edge = "soft"
pixels = 1.5
scale = 0
colours = 2
[part.torso]
art = "a.svg#torso"
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:4:10: error: "colour" must be between 0 and 200"#,
            r#"rigs/m/rig.toml:5:8: error: "edge" must be a number, not text (hint: write edge = 0.1, how far an edge may move, in pixels)"#,
            r#"rigs/m/rig.toml:6:10: error: "pixels" must be a whole number, not 1.5 (hint: write pixels = 20, how many pixels may change)"#,
            r#"rigs/m/rig.toml:7:9: error: "scale" must be between 0.001 and 100"#,
            r#"rigs/m/rig.toml:8:1: error: unknown key "colours" in [compare] (hint: did you mean "colour"?)"#,
        ],
    },
    Row {
        name: "settings of comparisons in a pose",
        files: &[
            ("rigs/m/rig.toml", RIG),
            (
                "poses.toml",
                r#"[pose.a]
compare = 3
[pose.b]
compare = { scale = 2 }
"#,
            ),
        ],
        expect: &[
            r#"poses.toml:2:11: error: "compare" must be a table, not a number (hint: write compare = { pixels = 20 })"#,
            r#"poses.toml:4:13: error: unknown key "scale" in "compare" (hint: the scale is the same for all poses: write it under [compare] in rig.toml)"#,
        ],
    },
    Row {
        name: "an unknown key in a pose",
        files: &[
            ("rigs/m/rig.toml", RIG),
            (
                "poses.toml",
                r#"[pose.a]
trun = { arm = 1 }
in_fron = { arm = "torso" }
speed = 3
"#,
            ),
        ],
        expect: &[
            r#"poses.toml:2:1: error: unknown key "trun" in [pose.a] (hint: did you mean "turn"?)"#,
            r#"poses.toml:3:1: error: unknown key "in_fron" in [pose.a] (hint: did you mean "in_front"?)"#,
            r#"poses.toml:4:1: error: unknown key "speed" in [pose.a] (hint: known here: from, note, turn, move, scale, skew, depth, behind, in_front, replace, palette, mirror, compare)"#,
        ],
    },
    Row {
        name: "an unknown base",
        files: &[
            ("rigs/m/rig.toml", RIG),
            (
                "poses.toml",
                r#"[pose.rest]
[pose.haul]
from = "rset"
"#,
            ),
        ],
        expect: &[r#"poses.toml:3:8: error: unknown pose "rset" (hint: did you mean "rest"?)"#],
    },
    Row {
        name: "poses in a loop",
        files: &[
            ("rigs/m/rig.toml", RIG),
            (
                "poses.toml",
                r#"[pose.a]
from = "b"
[pose.b]
from = "c"
[pose.c]
from = "a"
[pose.d]
from = "a"
[pose.e]
from = "e"
"#,
            ),
        ],
        expect: &[
            r#"poses.toml:2:8: error: the poses inherit in a loop: a -> b -> c -> a (hint: leave out one "from")"#,
            r#"poses.toml:10:8: error: pose "e" inherits from itself (hint: leave out one "from")"#,
        ],
    },
    Row {
        name: "an unknown replacement",
        files: &[
            ("rigs/m/rig.toml", RIG),
            (
                "poses.toml",
                r#"[pose.a]
replace = { hand = "fits", arm = "fist", torso = "none" }
"#,
            ),
        ],
        expect: &[
            r#"poses.toml:2:20: error: "hand" has no replacement "fits" (hint: did you mean "fist"?)"#,
            r#"poses.toml:2:34: error: "arm" has no replacement "fist" (hint: known: art, none)"#,
        ],
    },
    Row {
        name: "an unknown palette",
        files: &[
            ("rigs/m/rig.toml", RIG),
            (
                "poses.toml",
                r#"[pose.a]
palette = "dsuk"
"#,
            ),
        ],
        expect: &[r#"poses.toml:2:11: error: unknown palette "dsuk" (hint: did you mean "dusk"?)"#],
    },
    Row {
        name: "behind itself and what it carries",
        files: &[
            ("rigs/m/rig.toml", RIG),
            (
                "poses.toml",
                r#"[pose.a]
behind = { arm = "arm", torso = "hand" }
in_front = { arm = "forearm", hand = "torzo" }
"#,
            ),
        ],
        expect: &[
            r#"poses.toml:2:18: error: "arm" cannot be behind itself (hint: name another part)"#,
            r#"poses.toml:2:33: error: "torso" cannot be behind "hand", which it carries (hint: what it carries goes with it; name another part, or use "depth")"#,
            r#"poses.toml:3:20: error: "arm" cannot be in front of "forearm", which it carries (hint: what it carries goes with it; name another part, or use "depth")"#,
            r#"poses.toml:3:38: error: unknown part "torzo" (hint: did you mean "torso"?)"#,
        ],
    },
    Row {
        name: "behind and in front of the same part",
        files: &[
            ("rigs/m/rig.toml", RIG),
            (
                "poses.toml",
                r#"[pose.a]
behind = { hand = "torso" }
in_front = { hand = "torso" }
"#,
            ),
        ],
        expect: &[
            r#"poses.toml:3:21: error: "hand" cannot be both behind "torso" and in front of it (hint: leave one of the two out)"#,
        ],
    },
    Row {
        name: "a turn beyond the limits",
        files: &[
            ("rigs/m/rig.toml", RIG),
            (
                "poses.toml",
                "[pose.a]
turn = { forearm = 150 }
",
            ),
        ],
        expect: &[
            r#"poses.toml:2:20: warning: a turn of 150 is outside the limits of "forearm", -10 to 145 (hint: stay inside, or widen the limits in the rig)"#,
        ],
    },
    Row {
        name: "a scale of nothing in a pose",
        files: &[
            ("rigs/m/rig.toml", RIG),
            (
                "poses.toml",
                "[pose.a]
scale = { arm = 0, hand = [1, 0] }
",
            ),
        ],
        expect: &[
            r#"poses.toml:2:17: error: "scale" of "arm" must not be 0 (hint: to hide a part, replace it by "none" in a pose)"#,
            r#"poses.toml:2:27: error: "scale" of "hand" must not be 0 (hint: to hide a part, replace it by "none" in a pose)"#,
        ],
    },
    Row {
        name: "names of poses",
        files: &[
            ("rigs/m/rig.toml", RIG),
            (
                "poses.toml",
                r#"[pose."a@b"]
[pose."a,b"]
[pose.".a"]
"#,
            ),
        ],
        expect: &[
            r#"poses.toml:1:7: error: pose name "a@b" has "@" in it (hint: use letters, digits, _, - and .)"#,
            r#"poses.toml:2:7: error: pose name "a,b" has "," in it (hint: use letters, digits, _, - and .)"#,
            r#"poses.toml:3:7: error: pose name ".a" starts with a dot (hint: use letters, digits, _, - and .)"#,
        ],
    },
    Row {
        name: "an empty list",
        files: &[
            ("rigs/m/rig.toml", RIG),
            (
                "poses.toml",
                "# nothing
",
            ),
        ],
        expect: &["poses.toml:1:1: error: no poses are declared (hint: write [pose.rest])"],
    },
    Row {
        name: "a pose twice",
        files: &[
            ("rigs/m/rig.toml", RIG),
            (
                "poses.toml",
                "[pose.a]
[pose.b]
[pose.a]
mirror = true
",
            ),
        ],
        expect: &[
            "poses.toml:3:7: error: [pose.a] is declared twice (hint: merge the two, or rename one)",
        ],
    },
    Row {
        name: "a pose and a sweep of one name",
        files: &[
            ("rigs/m/rig.toml", RIG),
            (
                "poses.toml",
                r#"[pose.elbow]
[sweep.elbow]
turn = "forearm"
"#,
            ),
        ],
        expect: &[
            r#"poses.toml:2:8: error: "elbow" is a pose and a sweep (hint: rename one of the two)"#,
        ],
    },
    Row {
        name: "a sweep without a joint",
        files: &[
            ("rigs/m/rig.toml", RIG),
            (
                "poses.toml",
                r#"[sweep.a]
[sweep.b]
turn = []
[sweep.c]
turn = "forarm"
[sweep.d]
turn = ["arm", "arm"]
"#,
            ),
        ],
        expect: &[
            r#"poses.toml:1:8: error: sweep "a" has no "turn" (hint: write turn = "forearm", the part that turns, or a list of parts)"#,
            r#"poses.toml:3:8: error: "turn" names no part (hint: write turn = "forearm", the part that turns, or a list of parts)"#,
            r#"poses.toml:5:8: error: unknown part "forarm" (hint: did you mean "forearm"?)"#,
            r#"poses.toml:7:16: error: part "arm" is named twice (hint: name each joint once)"#,
        ],
    },
    Row {
        name: "a sweep without a range",
        files: &[
            ("rigs/m/rig.toml", RIG),
            (
                "poses.toml",
                r#"[sweep.a]
turn = "torso"
"#,
            ),
        ],
        expect: &[
            r#"poses.toml:2:8: error: "torso" has no limits to sweep over (hint: write over = [-10, 145] here, or limits in the rig)"#,
        ],
    },
    Row {
        name: "a sweep with wrong numbers",
        files: &[
            ("rigs/m/rig.toml", RIG),
            (
                "poses.toml",
                r#"[sweep.a]
turn = ["arm", "forearm"]
over = [[0, 1], [0, 1], [0, 1]]
step = [1, 0, 2]
[sweep.b]
turn = "arm"
over = 5
step = "small"
[sweep.c]
turn = "arm"
over = [[0]]
step = -1
"#,
            ),
        ],
        expect: &[
            r#"poses.toml:3:8: error: "over" has 3 entries for 2 joints (hint: give one for each joint, or one for all)"#,
            r#"poses.toml:4:8: error: "step" has 3 entries for 2 joints (hint: give one for each joint, or one for all)"#,
            r#"poses.toml:4:12: error: "step" must be between 0.001 and 36000"#,
            r#"poses.toml:7:8: error: "over" must be two numbers, not one (hint: write over = [-10, 145], first and last angle)"#,
            r#"poses.toml:8:8: error: "step" must be a number, not text (hint: write step = 15, degrees from one pose to the next)"#,
            r#"poses.toml:11:9: error: "over" must be two numbers, not 1 (hint: write over = [-10, 145], first and last angle)"#,
            r#"poses.toml:12:8: error: "step" must be between 0.001 and 36000"#,
        ],
    },
    Row {
        name: "a sweep of too many poses",
        files: &[
            ("rigs/m/rig.toml", RIG),
            (
                "poses.toml",
                r#"[sweep.a]
turn = ["arm", "forearm"]
step = 1
"#,
            ),
        ],
        expect: &[
            r#"poses.toml:1:8: error: this sweep makes 40716 poses, more than 10000 (hint: widen "step" or narrow "over")"#,
        ],
    },
    Row {
        name: "a sweep beyond the limits",
        files: &[
            ("rigs/m/rig.toml", RIG),
            (
                "poses.toml",
                r#"[sweep.a]
turn = "forearm"
over = [-20, 145]
"#,
            ),
        ],
        expect: &[
            r#"poses.toml:3:8: warning: a turn of -20 is outside the limits of "forearm", -10 to 145 (hint: stay inside, or widen the limits in the rig)"#,
        ],
    },
    Row {
        name: "a sweep from nowhere",
        files: &[
            ("rigs/m/rig.toml", RIG),
            (
                "poses.toml",
                r#"[pose.rest]
[sweep.a]
turn = "forearm"
from = "rets"
note = ""
start = 1
"#,
            ),
        ],
        expect: &[
            r#"poses.toml:4:8: error: unknown pose "rets" (hint: did you mean "rest"?)"#,
            r#"poses.toml:5:8: error: "note" is empty (hint: write a line of text, or leave it out)"#,
            r#"poses.toml:6:1: error: unknown key "start" in [sweep.a] (hint: known here: from, note, turn, over, step)"#,
        ],
    },
    Row {
        name: "limits of one view",
        files: &[
            ("rigs/m/rig.toml", TURNAROUND),
            ("rigs/m/front.toml", FRONT),
            ("rigs/m/side.toml", SIDE),
            (
                "poses.toml",
                r#"[pose.a]
turn = { arm = 50 }
behind = { patch = "tail" }
"#,
            ),
        ],
        expect: &[
            r#"poses.toml:2:16: warning: a turn of 50 is outside the limits of "arm" in view "side", -45 to 45 (hint: stay inside, or widen the limits in the rig)"#,
            r#"poses.toml:3:20: warning: "patch" and "tail" are together in no view, so this does nothing (hint: leave it out)"#,
        ],
    },
    Row {
        name: "members that are not there",
        files: &[
            (
                "cast.toml",
                r#"[cast]
name = "The Wenderquay Crossing"
[member.m]
rig = "rigs/mm"
[member.n]
[member.o]
rig = "/rigs/m"
[member.p]
rig = 4
rigg = 5
"#,
            ),
            (
                "rigs/m/rig.toml",
                r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
"#,
            ),
        ],
        expect: &[
            r#"cast.toml:4:7: error: no such file: "rigs/mm""#,
            r#"cast.toml:5:9: error: no such file: "n""#,
            r#"cast.toml:7:7: error: "rig" is an absolute path (hint: write a path relative to this file, with / between folders)"#,
            r#"cast.toml:9:7: error: "rig" must be text in quotes, not a number (hint: write rig = "deckhand", a folder or its rig.toml)"#,
            r#"cast.toml:10:1: error: unknown key "rigg" in [member.p] (hint: did you mean "rig"?)"#,
        ],
    },
    Row {
        name: "one rig twice in a cast",
        files: &[
            (
                "cast.toml",
                r#"[member.m]
rig = "rigs/m"
[member.n]
rig = "rigs/m/rig.toml"
"#,
            ),
            (
                "rigs/m/rig.toml",
                r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
"#,
            ),
        ],
        expect: &[
            r#"cast.toml:3:9: error: members "m" and "n" have the same rig (hint: keep one of the two)"#,
        ],
    },
    Row {
        name: "an empty cast",
        files: &[(
            "cast.toml",
            r#"[cast]
title = "x"
"#,
        )],
        expect: &[
            r#"cast.toml:1:1: error: no members are declared (hint: write [member.deckhand] and under it rig = "deckhand")"#,
            r#"cast.toml:2:1: error: unknown key "title" in [cast] (hint: known here: name)"#,
        ],
    },
    Row {
        name: "what follows an unclosed list is read all the same",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200
[part.torso]
art = "a.svg#torso"
dept = 1
[part.arm]
place = { turn = 1
parent = "torzo"
pivot = [1, 2]
"#,
        )],
        expect: &[
            "rigs/m/rig.toml:1:20: error: this list is not closed (hint: write ] at its end)",
            r#"rigs/m/rig.toml:4:1: error: unknown key "dept" in [part.torso] (hint: did you mean "depth"?)"#,
            "rigs/m/rig.toml:6:9: error: this table is not closed (hint: write } at its end)",
            r#"rigs/m/rig.toml:7:10: error: unknown part "torzo" (hint: did you mean "torso"?)"#,
        ],
    },
    Row {
        name: "an unclosed list over several lines",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
[part.arm]
art = "a.svg#arm"
parent = "torso"
pivot = [1, 2]
[mask.m]
part = "torso"
keep = "inside"
of = [
  "arm",
  "torso"
[garment.g]
part = "hat"
on = "arm"
"#,
        )],
        expect: &[
            "rigs/m/rig.toml:11:6: error: this list is not closed (hint: write ] at its end)",
            r#"rigs/m/rig.toml:15:8: error: unknown part "hat" (hint: known: torso, arm)"#,
        ],
    },
    Row {
        name: "a header that cannot be read hides its keys",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part torso]
art = "a.svg#torso"
[part.arm]
art = "a.svg#arm"
parent = "torso"
pivot = [0, 0]
colour = 1
"#,
        )],
        expect: &[
            "rigs/m/rig.toml:2:6: error: this header is not closed (hint: expected `]`)",
            r#"rigs/m/rig.toml:8:1: error: unknown key "colour" in [part.arm] (hint: known here: art, replacements, parent, pivot, depth, limits, place)"#,
        ],
    },
    Row {
        name: "duplicates show the first",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
[part.arm]
art = "a.svg#arm"
depth = 1
depth = 2
place = { turn = 1, move = [0, 0], turn = 3 }
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:7:1: error: "depth" is given twice (hint: keep one of the two)"#,
            r#"rigs/m/rig.toml:8:36: error: "turn" is given twice (hint: keep one of the two)"#,
        ],
    },
    Row {
        name: "a cast folder without a rig",
        files: &[
            (
                "cast.toml",
                r#"[member.m]
rig = "rigs"
"#,
            ),
            (
                "rigs/m/rig.toml",
                r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
"#,
            ),
        ],
        expect: &[r#"cast.toml:2:7: error: no such file: "rigs/rig.toml""#],
    },
    Row {
        name: "names that differ only in case",
        files: &[
            ("rigs/m/rig.toml", RIG),
            (
                "poses.toml",
                "[pose.Rest]
[pose.rest]
",
            ),
        ],
        expect: &[
            r#"poses.toml:2:7: warning: poses "Rest" and "rest" differ only in case (hint: on some systems their files would be one and the same; rename one)"#,
        ],
    },
    Row {
        name: "a text over several lines that is not closed",
        files: &[
            ("rigs/m/rig.toml", RIG),
            (
                "poses.toml",
                r#"[pose.a]
note = """what
[pose.b]
from = "c"
"#,
            ),
        ],
        expect: &[
            r#"poses.toml:2:8: error: this text is not closed (hint: write """ at its end)"#,
            r#"poses.toml:4:8: error: unknown pose "c" (hint: known: a, b)"#,
        ],
    },
    Row {
        name: "control characters in names and texts",
        files: &[
            ("rigs/m/rig.toml", RIG),
            (
                "poses.toml",
                r#"[pose."a\u001b[31m"]
note = "a\tb"
turn = { "ar\nm" = 1 }
"#,
            ),
        ],
        expect: &[
            r#"poses.toml:1:7: error: pose name "a\u{1b}[31m" has "\u{1b}" in it (hint: use letters, digits, _, - and .)"#,
            r#"poses.toml:2:8: error: "note" must be one line, without control characters (hint: write a line of text, or leave it out)"#,
            r#"poses.toml:3:10: error: unknown part "ar\nm" (hint: did you mean "arm"?)"#,
        ],
    },
    Row {
        name: "wide letters and tabs before a mistake",
        files: &[
            ("rigs/m/rig.toml", RIG),
            (
                "poses.toml",
                r#"[pose.a]
	turn = { "手" = 1, arm = "é" }
"#,
            ),
        ],
        expect: &[
            r#"poses.toml:2:11: error: unknown part "手" (hint: known: torso, arm, forearm, hand)"#,
            r#"poses.toml:2:26: error: "turn" of "arm" must be a number, not text (hint: write a number of degrees)"#,
        ],
    },
    Row {
        name: "a key twice around an inline table",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
place = { turn = 1 }
depth = 1
replacements = { depth = "a.svg#x", depth = "a.svg#y" }
depth = 3
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:6:37: error: "depth" is given twice (hint: keep one of the two)"#,
            r#"rigs/m/rig.toml:7:1: error: "depth" is given twice (hint: keep one of the two)"#,
        ],
    },
    Row {
        name: "a canvas without width",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [0, 10]
[part.torso]
art = "a.svg#torso"
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:1:20: error: the sides of "canvas" must be above 0 and at most 65000 (hint: write canvas = [900, 1200], width and height in user units)"#,
        ],
    },
    Row {
        name: "limits below the rest pose",
        files: &[(
            "rigs/m/rig.toml",
            r#"character.canvas = [100, 200]
[part.torso]
art = "a.svg#torso"
limits = [-60, -10]
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:4:10: warning: the rest pose of "torso" is outside its limits (hint: a part rests at a turn of 0; limits count from there)"#,
        ],
    },
    Row {
        name: "behind what it carries in one view",
        files: &[
            ("rigs/m/rig.toml", TURNAROUND),
            ("rigs/m/front.toml", FRONT),
            ("rigs/m/side.toml", SIDE),
            (
                "poses.toml",
                r#"[pose.a]
behind = { torso = "arm" }
[pose.b]
in_front = { torso = "tail" }
"#,
            ),
        ],
        expect: &[
            r#"poses.toml:4:22: error: "torso" cannot be in front of "tail", which it carries (hint: what it carries goes with it; name another part, or use "depth")"#,
        ],
    },
    Row {
        name: "what is said for sheets",
        files: &[(
            "rigs/m/rig.toml",
            r#"[character]
canvas = [100, 200]
height = "168"
drift = -1
[part.torso]
art = "a.svg#torso"
[part.bone]
parent = "torso"
pivot = [50, 100]
[landmarks]
eyes = true
chin = { at = "top" }
knees = { part = "zzzzzzzz", at = "pivot" }
hips = { part = "torso", at = "centre", zoom = 1 }
neck = { part = "bone", at = "top" }
[crop.face]
area = [[10, 10], [5, 20]]
[crop.hand]
part = "torso"
area = [1]
margin = -1
zoom = 2
[note.coat]
text = ""
[note.scarf]
part = "bone"
text = "long"
at = [1]
[measure.arm]
[measure.leg]
along = ["torso"]
[measure.back]
along = ["bone", "torso"]
[chart.mouths]
parts = ["torso"]
crop = "hnad"
[chart.hands]
"#,
        )],
        expect: &[
            r#"rigs/m/rig.toml:3:10: error: "height" cannot be "168" (hint: write height = "168 cm"; units are mm, cm, m, in and ft)"#,
            r#"rigs/m/rig.toml:4:9: error: "drift" must be between 0 and 100"#,
            r#"rigs/m/rig.toml:11:8: error: landmark "eyes" must be a number, or a part and an edge of it, not true (hint: write eyes = 250, or eyes = { part = "eye", at = "middle" })"#,
            r#"rigs/m/rig.toml:12:1: error: landmark "chin" has no "part" (hint: write chin = 250, or chin = { part = "eye", at = "middle" })"#,
            r#"rigs/m/rig.toml:13:18: error: unknown part "zzzzzzzz" (hint: known: torso, bone)"#,
            r#"rigs/m/rig.toml:14:31: error: "at" cannot be "centre" (hint: write "top", "middle", "bottom" or "pivot")"#,
            r#"rigs/m/rig.toml:14:41: error: unknown key "zoom" in landmark "hips" (hint: known here: part, at)"#,
            r#"rigs/m/rig.toml:15:17: error: part "bone" has no art, so it cannot be measured (hint: give it "art", or name another part)"#,
            r#"rigs/m/rig.toml:16:7: error: crop "face" has no "part" (hint: write part = "head", the part that it follows)"#,
            r#"rigs/m/rig.toml:17:8: error: "area" is empty: the first corner is not above and left of the second (hint: write area = [[300, 80], [600, 400]], its top left and bottom right corner)"#,
            r#"rigs/m/rig.toml:20:8: error: "area" must be 2 points, not 1 (hint: write area = [[300, 80], [600, 400]], its top left and bottom right corner)"#,
            r#"rigs/m/rig.toml:21:10: error: "margin" must be between 0 and 10"#,
            r#"rigs/m/rig.toml:22:1: error: unknown key "zoom" in [crop.hand] (hint: known here: area, part, margin)"#,
            r#"rigs/m/rig.toml:23:7: error: note "coat" has no "part" (hint: write part = "cap", the part that it is about)"#,
            r#"rigs/m/rig.toml:24:8: error: "text" is empty (hint: write text = "soft wool")"#,
            r#"rigs/m/rig.toml:26:8: error: part "bone" has no art, so it cannot be pointed at (hint: give it "art", or name another part)"#,
            r#"rigs/m/rig.toml:28:6: error: "at" must be two numbers, not 1 (hint: write at = [430, 210], a place on the canvas)"#,
            r#"rigs/m/rig.toml:29:10: error: measure "arm" has no "along" (hint: write along = ["upper_arm", "forearm", [640, 500]], pivots of parts or points)"#,
            r#"rigs/m/rig.toml:31:9: error: "along" must have 2 to 100 places, not 1 (hint: write along = ["upper_arm", "forearm", [640, 500]], pivots of parts or points)"#,
            r#"rigs/m/rig.toml:33:18: error: part "torso" has no pivot (hint: give it one, or write a point here)"#,
            r#"rigs/m/rig.toml:35:10: error: part "torso" has no replacements to chart (hint: give it "replacements", or name another part)"#,
            r#"rigs/m/rig.toml:36:8: error: unknown crop "hnad" (hint: did you mean "hand"?)"#,
            r#"rigs/m/rig.toml:37:8: error: chart "hands" has no "parts" (hint: write parts = ["mouth"], parts with replacements)"#,
        ],
    },
];

#[test]
fn every_row_is_reported_in_full() {
    let mut failures = String::new();
    for row in ROWS {
        let found = problems(row);
        if found != row.expect {
            let _ = writeln!(
                failures,
                "{}\n  expected {:#?}\n  found {found:#?}",
                row.name, row.expect
            );
        }
    }
    assert!(failures.is_empty(), "{failures}");
}

#[test]
fn names_of_rows_are_unique() {
    let mut names: Vec<&str> = ROWS.iter().map(|row| row.name).collect();
    names.sort_unstable();
    names.dedup();
    assert_eq!(names.len(), ROWS.len());
}

/// What is reported for a row, paths relative to its folder.
fn problems(row: &Row) -> Vec<String> {
    let folder = tempfile::tempdir().expect("a folder");
    for (path, text) in row.files {
        write(&folder.path().join(path), text);
    }
    for (path, ids) in drawings(row.files) {
        let path = folder.path().join(path);
        if !path.exists() {
            write(&path, &svg(&ids));
        }
    }
    let mut sources = Sources::default();
    let mut problems = Problems::default();
    let given = |path: &str| row.files.iter().any(|(file, _)| *file == path);
    if given("cast.toml") {
        load_cast(
            &folder.path().join("cast.toml"),
            &mut sources,
            &mut problems,
        );
    } else {
        let path = folder.path().join("rigs/m");
        let mut library = Library::new();
        let member = load_member(&path, &mut sources, &mut problems, &mut library);
        assert_eq!(
            member.is_some(),
            problems.is_ok(),
            "{}: a member or errors",
            row.name
        );
        if let Some(member) = member
            && given("poses.toml")
        {
            let path = folder.path().join("poses.toml");
            let list = load_poses(&path, &member, &mut sources, &mut problems);
            check_list(row.name, list.as_ref(), &sources, &problems);
        }
    }
    let start = format!("{}/", folder.path().display());
    let lines = problems
        .list()
        .iter()
        .map(|problem| short(problem, &sources));
    lines.map(|line| line.replace(&start, "")).collect()
}

/// A list without errors is whole; of one with errors nothing stays in whose lines an error is.
fn check_list(row: &str, list: Option<&PoseList>, sources: &Sources, problems: &Problems) {
    assert!(list.is_some() || !problems.is_ok(), "{row}: no list");
    let Some(list) = list else { return };
    assert!(list.left_out.is_empty() || !problems.is_ok(), "{row}");
    let poses = list
        .poses
        .iter()
        .map(|pose| (&pose.name, pose.span.unwrap()));
    let sweeps = list.sweeps.iter().map(|sweep| (&sweep.name, sweep.span));
    for (name, span) in poses.chain(sweeps) {
        let text = &sources.get(span.source).unwrap().text;
        let start = span.start as usize;
        let end = text[start..]
            .find("\n[")
            .map_or(text.len(), |at| start + at);
        for problem in problems.list() {
            if let Place::Span(at) = problem.place
                && problem.severity == Severity::Error
                && at.source == span.source
            {
                let at = at.start as usize;
                assert!(
                    !(start..end).contains(&at),
                    "{row}: {name} is bad: {problem:?}"
                );
            }
        }
    }
}

fn write(path: &Path, text: &str) {
    fs::create_dir_all(path.parent().expect("a folder")).expect("a folder");
    fs::write(path, text).expect("a file");
}

/// The drawings that files name: each SVG file with the ids asked of it.
fn drawings(files: &[(&str, &str)]) -> Vec<(PathBuf, Vec<String>)> {
    let mut all: Vec<(PathBuf, Vec<String>)> = Vec::new();
    for (path, text) in files {
        let folder = Path::new(path).parent().unwrap_or(Path::new(""));
        for text in text.split('"') {
            let Some((file, id)) = text.split_once(".svg#") else {
                continue;
            };
            let plain = |c: char| c.is_ascii_alphanumeric() || "_-/".contains(c);
            if file.is_empty() || id.is_empty() || file.starts_with('/') || !file.chars().all(plain)
            {
                continue;
            }
            let file = folder.join(format!("{file}.svg"));
            match all.iter_mut().find(|(other, _)| *other == file) {
                Some((_, ids)) => ids.push(id.to_owned()),
                None => all.push((file, vec![id.to_owned()])),
            }
        }
    }
    all
}

/// A drawing with these elements.
fn svg(ids: &[String]) -> String {
    let mut ids = ids.to_vec();
    ids.sort_unstable();
    ids.dedup();
    let mut text =
        String::from("<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 100 200\">\n");
    for id in ids {
        let _ = writeln!(
            text,
            "<g id=\"{id}\"><path d=\"M10 10H90V90H10Z\" fill=\"#d99c78\" stroke=\"#000\"/></g>"
        );
    }
    text + "</svg>\n"
}
