//! The short ways to write a rig: what they say in short is what the long way says in full.

use std::path::Path;

use layfig::Files;
use layfig::art::Library;
use layfig::cast::{Member, load_member};
use layfig::diag::{Problems, Sources, short};

/// Parts of a figure and its marks, as an artist draws them.
const FRONT: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 400 600" width="100mm" height="150mm">
<g id="torso"><path d="M150 100H250V300H150Z" fill="#d99c78" stroke="#000"/></g>
<g id="arm_left"><path d="M230 110H270V200H230Z" fill="#d99c78" stroke="#000"/></g>
<g id="arm_right"><path d="M130 110H170V200H130Z" fill="#d99c78" stroke="#000"/></g>
<g id="hand_left"><path d="M230 190H270V240H230Z" fill="#d99c78" stroke="#000"/><circle id="wrist" cx="251" cy="196" r="2" fill="#f0f"/></g>
<g id="hand_right"><path d="M130 190H170V240H130Z" fill="#d99c78" stroke="#000"/></g>
<g id="fist_left"><path d="M230 190H270V220H230Z" fill="#2f8f8b" stroke="#000"/></g>
<circle id="elbow" cx="250" cy="120.5" r="3" fill="none" stroke="#f0f"/>
</svg>"##;

/// A member read from these files, in Rust's own words, without places and with drawings by name; and what is told.
fn read(files: &[(&str, &str)]) -> (Option<String>, Vec<String>) {
    let (member, library, told) = load(files);
    let words = member.map(|member| {
        let mut words = format!("{member:#?}");
        while let Some(start) = words.find("Span {") {
            let end = start + words[start..].find('}').unwrap();
            words.replace_range(start..=end, "");
        }
        while let Some(start) = words.find("ArtId(") {
            let end = start + words[start..].find(')').unwrap();
            let id: String = words[start..end]
                .chars()
                .filter(char::is_ascii_digit)
                .collect();
            let art = &library.all()[id.parse::<usize>().unwrap()];
            words.replace_range(start..=end, &format!("{}#{}", art.file.display(), art.id));
        }
        words
    });
    (words, told)
}

fn load(files: &[(&str, &str)]) -> (Option<Member>, Library, Vec<String>) {
    let all = files.iter().copied().chain([("m/front.svg", FRONT)]);
    let mut sources = Sources::of(Files::memory(all).expect("paths"));
    let (mut problems, mut library) = (Problems::default(), Library::new());
    let member = load_member(Path::new("m"), &mut sources, &mut problems, &mut library);
    let told = problems.list().iter().map(|p| short(p, &sources)).collect();
    (member, library, told)
}

#[track_caller]
fn same(short: &[(&str, &str)], long: &[(&str, &str)]) {
    let (short, told) = read(short);
    assert_eq!(told, [""; 0]);
    let (long, told) = read(long);
    assert_eq!(told, [""; 0]);
    let (short, long) = (short.expect("a member"), long.expect("a member"));
    for (short, long) in short.lines().zip(long.lines()) {
        assert_eq!(short, long);
    }
    assert_eq!(short, long);
}

#[track_caller]
fn told(files: &[(&str, &str)], expect: &[&str]) {
    let (_, told) = read(files);
    assert_eq!(told, expect);
}

const CANVAS: &str = "[character]\ncanvas = [400, 600]\n";

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
            "m/side.toml:7:1: error: unknown key \"colour\" in [part.hand] (hint: known here: art, replacements, parent, pivot, tip, depth, limits, place, points, look)",
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

/// The colours of each palette, and of the art.
fn palettes(rig: &str) -> (Vec<String>, Vec<String>) {
    let (member, _, told) = load(&[("m/rig.toml", rig)]);
    let row = |p: &layfig::cast::Palette| {
        let all = p.swatches.iter().map(|(name, rgb)| format!("{name}={rgb}"));
        format!("{}: {}", p.name, all.collect::<Vec<_>>().join(" "))
    };
    let rows = member.map(|member| {
        let drawn = std::iter::once(row(&member.drawn));
        drawn.chain(member.palettes.iter().map(row)).collect()
    });
    (rows.unwrap_or_default(), told)
}

#[test]
fn swatches_are_as_drawn_and_palettes_say_what_differs() {
    let rig = |character: &str, tables: &str| {
        format!(
            "[character]\ncanvas = [400, 600]\n{character}\n{tables}\n[part.torso]\nart = \"front.svg#torso\"\n"
        )
    };
    let swatch = "[swatch]\nskin = \"#d99c78\"\nteal = \"#2f8f8b\"\n";
    let dusk = "[palette.dusk]\nskin = \"#8a6d7c\"\n";
    let drawn = "drawn: skin=#d99c78 teal=#2f8f8b";
    let at_dusk = "dusk: skin=#8a6d7c teal=#2f8f8b";
    let read = |character: &str, tables: &str| {
        let (rows, told) = palettes(&rig(character, tables));
        assert_eq!(told, [""; 0]);
        rows
    };
    assert_eq!(
        read("", &format!("{swatch}{dusk}")),
        [drawn, drawn, at_dusk]
    );
    assert_eq!(
        read("palette = \"dusk\"", &format!("{swatch}{dusk}")),
        [drawn, at_dusk]
    );
    let day = "[palette.day]\n";
    let as_day = drawn.replace("drawn:", "day:");
    assert_eq!(
        read("palette = \"day\"", &format!("{swatch}{dusk}{day}")),
        [drawn, &as_day, at_dusk]
    );
    assert_eq!(read("", swatch), [drawn, drawn]);
    // Without [swatch] the first palette is as drawn, whichever is the default.
    let old = "[palette.day]\nskin = \"#d99c78\"\n[palette.dusk]\nskin = \"#8a6d7c\"\n";
    assert_eq!(
        read("palette = \"dusk\"", old),
        [
            "drawn: skin=#d99c78",
            "dusk: skin=#8a6d7c",
            "day: skin=#d99c78"
        ]
    );
    let (_, told) = palettes(&rig(
        "palette = \"dask\"",
        &format!("{swatch}{dusk}[palette.night]\nblue = \"#00f\"\n"),
    ));
    assert_eq!(
        told,
        [
            "m/rig.toml:3:11: error: unknown palette \"dask\" (hint: did you mean \"dusk\"?)",
            "m/rig.toml:10:1: error: palette \"night\" has a swatch \"blue\" that [swatch] lacks (hint: known: skin, teal)",
        ]
    );
}

/// The demo rigs, written in short, are what `tests/full` says at length: all but where they say it.
#[test]
fn the_demo_rigs_are_what_they_are_in_full() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    for name in ["deckhand", "ship_dog", "mooring_bot"] {
        let files = |folders: &[&str]| -> Vec<(String, Vec<u8>)> {
            let mut all = std::collections::BTreeMap::new();
            for folder in folders {
                for entry in std::fs::read_dir(root.join(folder).join(name)).expect("a folder") {
                    let path = entry.expect("an entry").path();
                    if path.is_file() {
                        let name = path
                            .file_name()
                            .expect("a name")
                            .to_string_lossy()
                            .into_owned();
                        all.insert(format!("m/{name}"), std::fs::read(&path).expect("a file"));
                    }
                }
            }
            let mut all: Vec<_> = all.into_iter().collect();
            all.push((format!("poses/{name}.toml"), b"[pose.rest]".to_vec()));
            all
        };
        let records = |folders: &[&str]| {
            let files: Vec<(String, Vec<u8>)> = files(folders)
                .into_iter()
                .map(|(path, bytes)| {
                    let path = if path.starts_with("poses") {
                        path
                    } else {
                        format!("rigs/{path}")
                    };
                    (path, bytes)
                })
                .collect();
            let mut sources = Sources::of(Files::memory(files).expect("paths"));
            let (mut problems, mut library) = (Problems::default(), Library::new());
            let path = Path::new("rigs/m");
            let member = load_member(path, &mut sources, &mut problems, &mut library);
            let told: Vec<String> = problems.list().iter().map(|p| short(p, &sources)).collect();
            assert_eq!(told, [""; 0]);
            let member = member.expect("a member");
            let record = |view| layfig::compare::RigRecord::of(&member, view, &library);
            (0..member.views.len()).map(record).collect::<Vec<_>>()
        };
        let (mut short, mut full) = (records(&["rigs"]), records(&["rigs", "tests/full"]));
        for record in short.iter_mut().chain(&mut full) {
            let record = record.as_mut().expect("a record");
            // A joint that one view has and another has not may stand elsewhere: it draws nothing.
            record.parts.sort_keys();
            record.seams.sort_keys();
            record.masks.sort_keys();
            record.garments.sort_keys();
        }
        assert!(short == full, "{name}");
    }
}
