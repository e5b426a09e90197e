//! Figures that leave their pictures: told in these words, found by checks, followed by `--grow`, and
//! compared on one ground. All numbers are closed forms of rectangles.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use layfig::compare::{Change, Comparison, Manifest, Picture, State};
use layfig::draw::{numbers_of, picture_of};
use serde_json::Value;

const RIG: &str = r#"[character]
canvas = [100, 80]
poses = ["poses.toml"]
[part.post]
art = "art.svg#post"
[part.box]
art = "art.svg#box"
parent = "post"
pivot = [25, 35]
replacements = { wide = "art.svg#wide" }
[part.rim]
art = "art.svg#rim"
parent = "post"
pivot = [80, 30]
[part.leaf]
art = "art.svg#leaf"
parent = "post"
pivot = [25, 35]
[part.coat]
art = "art.svg#coat"
parent = "post"
pivot = [25, 35]
[mask.leaf]
part = "leaf"
keep = "inside"
of = ["box"]
[garment.coat]
part = "coat"
on = ["box"]
"#;

/// Ink is 4 wide, so that it goes 2 beyond its path; the shade is blurred.
const ART: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 80">
<filter id="soft" x="-1" y="-1" width="3" height="3"><feGaussianBlur stdDeviation="2"/></filter>
<linearGradient id="fade"><stop offset="0" stop-color="#c03020"/><stop offset="1" stop-color="#e0c060"/></linearGradient>
<g id="post"><path fill="#30343c" d="M45 30 H55 V70 H45 Z"/></g>
<g id="box"><path fill="url(#fade)" d="M10 20 H40 V50 H10 Z"/></g>
<g id="wide"><path fill="#c03020" d="M-10 20 H105 V50 H-10 Z"/></g>
<g id="rim"><path fill="none" stroke="#102030" stroke-width="4" d="M70 20 H90 V40 H70 Z"/></g>
<g id="leaf"><path fill="#40a050" d="M15 25 H35 V45 H15 Z"/></g>
<g id="coat"><path fill="#4060c0" d="M5 40 H45 V48 H5 Z"/></g>
</svg>"##;

const POSES: &str = r#"[pose.rest]
[pose.left]
move = { box = [-15.5, 0] }
[pose.right]
move = { box = [63, 0] }
[pose.corner]
move = { box = [-12, -24] }
[pose.low]
move = { box = [0, 31] }
[pose.edge]
move = { box = [-10, 30] }
[pose.ink]
move = { rim = [9, 0] }
[pose.mirrored]
from = "left"
mirror = true
[pose.hidden]
move = { leaf = [-30, 0] }
[pose.half]
move = { box = [-14, 0], leaf = [-26, 0] }
[pose.worn]
move = { coat = [-20, 0] }
[pose.gone]
from = "left"
replace = { box = "none" }
[pose.far]
move = { box = [-40.5, 0] }
"#;

/// What is told, without its place and hint: pose, how far, which part.
const TOLD: &[(&str, &str, &str)] = &[
    ("left", "by 5.5 units at the left", "box"),
    ("right", "by 3 units at the right", "box"),
    ("corner", "by 2 units at the left and 4 at the top", "box"),
    ("low", "by 1 unit at the bottom", "box"),
    ("ink", "by 1 unit at the right", "rim"),
    ("mirrored", "by 5.5 units at the right", "box"),
    ("half", "by 4 units at the left", "box"),
    ("far", "by 30.5 units at the left", "box"),
];

struct Place(tempfile::TempDir);

impl Place {
    fn new() -> Self {
        let place = Self(tempfile::tempdir().unwrap());
        for (name, text) in [
            ("rig.toml", RIG),
            ("art.svg", ART),
            ("poses.toml", POSES),
            (
                "cast.toml",
                "[cast]\nname = \"Crew\"\n[member.m]\nrig = \"m\"\n",
            ),
        ] {
            let folder = if name == "cast.toml" { "" } else { "m" };
            let path = place.path(folder).join(name);
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            std::fs::write(path, text).unwrap();
        }
        place
    }

    fn path(&self, path: &str) -> PathBuf {
        self.0.path().join(path)
    }

    fn edit(&self, file: &str, old: &str, new: &str) {
        let path = self.path(file);
        let text = std::fs::read_to_string(&path).unwrap();
        assert!(text.contains(old), "{old}");
        std::fs::write(path, text.replacen(old, new, 1)).unwrap();
    }

    /// Runs the program, which must end with this code; gives what it told on both streams.
    fn run(&self, line: &str, code: i32) -> (String, String) {
        let output = Command::new(env!("CARGO_BIN_EXE_layfig"))
            .current_dir(self.0.path())
            .args(line.split_whitespace())
            .args(["--progress", "none"])
            .stdin(Stdio::null())
            .output()
            .unwrap();
        let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
        let (out, err) = (text(&output.stdout), text(&output.stderr));
        assert_eq!(output.status.code(), Some(code), "{line}\n{out}\n{err}");
        (out, err)
    }

    fn picture(&self, path: &str) -> Picture {
        picture_of(&std::fs::read(self.path(path)).unwrap()).unwrap()
    }

    fn comparison(&self) -> Comparison {
        let text = std::fs::read_to_string(self.path("out/m/compare/comparison.json")).unwrap();
        serde_json::from_str(&text).unwrap()
    }

    fn state(&self, pose: &str) -> State {
        let found = self.comparison();
        let pose = found.poses.iter().find(|p| p.name == pose);
        pose.expect("the pose is compared").state
    }
}

/// The warnings, without their places and hints.
fn warnings(err: &str) -> Vec<String> {
    let lines = err.lines().filter_map(|l| l.split_once(": warning: "));
    let hint = " (hint: let the picture follow the figure with --grow, or give the character a larger canvas)";
    lines
        .map(|(_, text)| text.strip_suffix(hint).expect("the hint").to_owned())
        .collect()
}

fn told() -> Vec<String> {
    let line = |(pose, by, part): &(&str, &str, &str)| {
        format!("m/poses/{pose} goes beyond its picture, {by}; {part} goes furthest")
    };
    TOLD.iter().map(line).collect()
}

/// Whether `small` is in `large`, pixel for pixel, with its corner at `[x, y]`.
fn is_window(small: &Picture, large: &Picture, [x, y]: [u32; 2]) -> bool {
    let row = |p: &Picture, y: u32, x: u32| {
        let at = (y as usize * p.width as usize + x as usize) * 4;
        p.rgba[at..at + small.width as usize * 4].to_vec()
    };
    (0..small.height).all(|r| row(small, r, 0) == row(large, r + y, x))
}

fn alpha(p: &Picture, x: u32, y: u32) -> u8 {
    p.rgba[(y as usize * p.width as usize + x as usize) * 4 + 3]
}

#[test]
fn what_a_picture_cuts_off_is_told_once_for_each_pose() {
    let place = Place::new();
    let (out, err) = place.run("render m --messages short", 0);
    assert_eq!(warnings(&err), told());
    assert!(out.contains("made 13 pictures"), "{out}");
    assert!(
        err.contains("m/poses.toml:2:7: warning: m/poses/left"),
        "{err}"
    );
    assert!(err.contains("\n8 warnings\n"), "{err}");
    // Whatever the size of the picture, of which these are whole pixels.
    let (_, err) = place.run("render m --messages short --scale 0.35", 0);
    assert_eq!(warnings(&err), told());
    // At twice the size the canvas has 25 units on either side in this one.
    let (_, err) = place.run("render m --messages short --size 300x160", 0);
    let far = "m/poses/far goes beyond its picture, by 5.5 units at the left; box goes furthest";
    let high = "m/poses/corner goes beyond its picture, by 4 units at the top; box goes furthest";
    let low = "m/poses/low goes beyond its picture, by 1 unit at the bottom; box goes furthest";
    assert_eq!(warnings(&err), [high, low, far]);

    let (_, err) = place.run("compare m --messages short", 1);
    assert_eq!(warnings(&err), told());
    let (_, err) = place.run("approve m --all --messages short", 0);
    assert_eq!(warnings(&err), told());
    let (_, err) = place.run("compare m --messages short --pose left,rest", 0);
    assert_eq!(warnings(&err), told()[..1]);
    let (_, err) = place.run("render m --quiet", 0);
    assert!(err.is_empty(), "{err}");

    let (out, _) = place.run("render m --messages json --pose left", 0);
    let lines = out.lines().map(|l| serde_json::from_str(l).unwrap());
    let lines: Vec<Value> = lines.collect();
    assert_eq!(lines[0]["severity"], "warning");
    assert_eq!(lines[0]["message"], told()[0]);
    let summary = &lines.last().unwrap()["summary"];
    assert_eq!(
        (&summary["warnings"], &summary["exit"]),
        (&1.into(), &0.into())
    );
}

#[test]
fn every_view_is_told_of() {
    let place = Place::new();
    let (character, parts) = RIG.split_at(RIG.find("[part.post]").unwrap());
    let views = "[views]\nfront = \"front.toml\"\nback = \"back.toml\"\n";
    std::fs::write(place.path("m/rig.toml"), format!("{character}{views}")).unwrap();
    std::fs::write(place.path("m/front.toml"), parts).unwrap();
    let back = parts.replacen("art.svg#box", "art.svg#leaf", 1);
    std::fs::write(place.path("m/back.toml"), back).unwrap();
    let (_, err) = place.run("render m --view all --pose left --messages short", 0);
    let line = |view: &str, by: &str| {
        format!(
            "m/{view}/poses/left goes beyond its picture, by {by} at the left; box goes furthest"
        )
    };
    // The back's box is 5 units smaller all round.
    assert_eq!(
        warnings(&err),
        [line("front", "5.5 units"), line("back", "0.5 units")]
    );
}

#[test]
fn blurred_art_counts_as_far_as_it_shows() {
    let place = Place::new();
    place.edit(
        "m/art.svg",
        "<g id=\"box\">",
        "<g id=\"box\" filter=\"url(#soft)\">",
    );
    place.edit("m/poses.toml", "[-15.5, 0]", "[-4, 0]");
    let (_, err) = place.run("render m --pose left --messages short", 0);
    // The box is at 6 and its filter's region reaches to -24. The blur is three boxes of d = floor(8 * 1.88
    // + 0.5) = 15 px at 4 px to the unit (SVG 1.1, feGaussianBlur), so it ends 21 px or 5.25 units out.
    assert!(err.is_empty(), "{err}");
    place.edit("m/poses.toml", "[-4, 0]", "[-12, 0]");
    let (_, err) = place.run("render m --pose left --messages short", 0);
    let found = warnings(&err);
    // At two deviations there is surely something to see.
    let by: f64 = found[0].split(' ').nth(6).unwrap().parse().unwrap();
    // A pixel of the look is a quarter of a unit; what is written is rounded.
    let most = 2.0 + 5.25 + 2.0 * 0.25 + 0.05;
    assert!((2.0 + 4.0..=most).contains(&by), "{found:?}");
}

#[test]
fn grown_pictures_have_the_canvas_as_it_was_and_all_of_the_figure() {
    let place = Place::new();
    // Arguments; scale; the picture without growing; pose, then pixels more left, top, right, bottom.
    type Grown = (&'static str, [u32; 4]);
    let cases: [(&str, [u32; 2], &[Grown]); 5] = [
        (
            "--scale 1",
            [100, 80],
            &[
                ("left", [6, 0, 0, 0]),
                ("right", [0, 0, 3, 0]),
                ("corner", [2, 4, 0, 0]),
                ("low", [0, 0, 0, 1]),
                ("ink", [0, 0, 1, 0]),
                ("mirrored", [0, 0, 6, 0]),
                ("half", [4, 0, 0, 0]),
            ],
        ),
        (
            "--width 200",
            [200, 160],
            &[("left", [11, 0, 0, 0]), ("corner", [4, 8, 0, 0])],
        ),
        (
            "--height 20",
            [25, 20],
            &[("left", [2, 0, 0, 0]), ("low", [0, 0, 0, 1])],
        ),
        // 100 units are 33 1/3 pixels, and the last pixel has room for 2 units.
        (
            "--scale 0.3333333333",
            [34, 27],
            &[("right", [0, 0, 1, 0]), ("low", [0, 0, 0, 0])],
        ),
        (
            "--size 300x160",
            [300, 160],
            &[("left", [0; 4]), ("far", [11, 0, 0, 0])],
        ),
    ];
    for (args, [w, h], poses) in cases {
        for extra in ["", " --background #ffffff"] {
            place.run(
                &format!("render m --owners {args}{extra} -q --out plain"),
                0,
            );
            let (_, err) = place.run(
                &format!("render m --owners --grow {args}{extra} --out grown"),
                0,
            );
            assert!(err.is_empty(), "{err}");
            for (pose, [left, top, right, bottom]) in poses {
                let file = |out: &str| format!("{out}/m/poses/{pose}.png");
                let (plain, grown) = (place.picture(&file("plain")), place.picture(&file("grown")));
                assert_eq!((plain.width, plain.height), (w, h), "{args} {pose}");
                let size = (w + left + right, h + top + bottom);
                assert_eq!((grown.width, grown.height), size, "{args} {pose}");
                assert!(is_window(&plain, &grown, [*left, *top]), "{args} {pose}");
                let owners = format!("grown/m/poses/{pose}.owners.json");
                let owners = std::fs::read_to_string(place.path(&owners)).unwrap();
                let owners: Value = serde_json::from_str(&owners).unwrap();
                assert_eq!(
                    (&owners["width"], &owners["height"]),
                    (&size.0.into(), &size.1.into())
                );
            }
            // Those that do not leave are the same bytes.
            for pose in ["rest", "edge", "hidden", "worn", "gone"] {
                let bytes = |out: &str| {
                    std::fs::read(place.path(&format!("{out}/m/poses/{pose}.png"))).unwrap()
                };
                assert!(bytes("plain") == bytes("grown"), "{args} {pose}");
            }
        }
    }
    // The box is 30 units wide, from -5.5 on: half of the first pixel, then all.
    place.run("render m --grow --pose left -q --out grown", 0);
    let grown = place.picture("grown/m/poses/left.png");
    let row: Vec<u8> = (0..32).map(|x| alpha(&grown, x, 22)).collect();
    assert!(
        (127..=128).contains(&row[0]) && (127..=128).contains(&row[30]),
        "{row:?}"
    );
    assert!(
        row[1..30].iter().all(|&a| a == 255) && row[31] == 0,
        "{row:?}"
    );
}

#[test]
fn demo_pictures_grow_as_well() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let place = Place::new();
    for folder in ["rigs", "poses"] {
        let from = root.join(folder);
        let done = std::process::Command::new("cp")
            .args(["-r", &from.display().to_string()])
            .arg(place.path("."))
            .status();
        assert!(done.unwrap().success());
    }
    // No pose of the demo cast leaves its picture as it stands.
    place.edit("poses/deckhand.toml", "root = [125, 0]", "root = [20, 0]");
    place.edit("poses/deckhand.toml", "root = [-110, 0]", "root = [0, 0]");
    place.edit("poses/ship_dog.toml", "root = [84, 0]", "root = [60, 0]");
    for (member, view, pose, scale) in [
        ("deckhand", "back", "alarm", "0.3"),
        ("deckhand", "back", "lean_rail", "0.77"),
        ("ship_dog", "", "howl", "1.3"),
    ] {
        let rig = place.path("rigs").join(member);
        let view_of = if view.is_empty() {
            String::new()
        } else {
            format!("--view {view}")
        };
        let line = format!(
            "render {} --pose {pose} {view_of} --scale {scale} -q",
            rig.display()
        );
        place.run(&format!("{line} --out plain"), 0);
        place.run(&format!("{line} --grow --out grown"), 0);
        let file = |out: &str| {
            let folder = Path::new(out).join(member).join(view);
            folder
                .join(member)
                .join(format!("{pose}.png"))
                .display()
                .to_string()
        };
        let (plain, grown) = (place.picture(&file("plain")), place.picture(&file("grown")));
        let (more, at) = (
            grown.width - plain.width,
            if pose == "lean_rail" { 0 } else { 1 },
        );
        assert!(is_window(&plain, &grown, [more * at, 0]), "{pose}");
        // Cut off before, and not now; and no column more than it needs.
        let column = |p: &Picture, x: u32| (0..p.height).any(|y| alpha(p, x, y) > 0);
        let edge = |p: &Picture| if at == 1 { 0 } else { p.width - 1 };
        assert!(
            more > 0 && column(&plain, edge(&plain)) && column(&grown, edge(&grown)),
            "{pose}"
        );
    }
}

#[test]
fn grown_pictures_are_compared_on_one_ground() {
    let place = Place::new();
    place.run("approve m --all --grow -q", 0);
    place.run("compare m --grow -q", 0);
    assert_eq!(place.comparison().counts.identical, 13);
    let manifest = std::fs::read_to_string(place.path("m/approved/manifest.json")).unwrap();
    let manifest = Manifest::read(&manifest).unwrap();
    let corner = &manifest.poses["poses/corner"];
    assert_eq!(
        ((corner.width, corner.height), corner.origin),
        ((102, 84), [2, 4])
    );
    let owners = format!("m/approved/owners/{}.png", corner.owners);
    let (w, h, _) = numbers_of(&std::fs::read(place.path(&owners)).unwrap()).unwrap();
    assert_eq!((w, h), (102, 84));
    assert_eq!(manifest.poses["poses/rest"].origin, [0, 0]);

    // Out by 12 left where it was 5.5, and to the right where it was left: the canvas stays in place.
    place.edit("m/poses.toml", "box = [-15.5, 0]", "box = [-22, 0]");
    place.edit("m/poses.toml", "box = [-12, -24]", "box = [65, -24]");
    place.run("compare m --grow -q", 1);
    let found = place.comparison();
    let of = |pose: &str| found.poses.iter().find(|p| p.name == pose).unwrap();
    for (pose, size, by) in [("left", (112, 80), -6.5), ("corner", (107, 84), 77.0)] {
        let one = of(pose);
        assert_eq!(
            (one.state, one.width, one.height),
            (State::Differs, size.0, size.1)
        );
        let part = one.parts.iter().find(|p| p.part == "box").unwrap();
        let moved = part.changes.iter().find_map(|c| match c {
            Change::Moved { by, .. } => Some(*by),
            _ => None,
        });
        assert_eq!(moved, Some([by, 0.0]), "{pose}");
        let cause = &found.causes[one.causes[0].cause];
        assert_eq!(cause.subject, format!("pose poses/{pose}: move.box"));
        let files = &one.files;
        for name in [&files.before, &files.after, &files.difference] {
            let path = format!("out/m/compare/{}", name.as_deref().unwrap());
            let picture = place.picture(&path);
            assert_eq!((picture.width, picture.height), size, "{pose}");
        }
        for name in [&files.before_owners, &files.after_owners] {
            let path = place.path("out/m/compare").join(name.as_deref().unwrap());
            let (w, h, _) = numbers_of(&std::fs::read(path).unwrap()).unwrap();
            assert_eq!((w, h), size, "{pose}");
        }
        // Nothing but the box has changed, wherever the canvas went.
        for region in &one.regions {
            assert!(
                region
                    .parts
                    .iter()
                    .all(|p| p == "box" || p == "coat" || p == "leaf")
            );
        }
    }
    assert_eq!(of("rest").state, State::Identical);
    place.run("approve m --all --grow -q", 0);
    place.run("compare m --grow -q", 0);
}

#[test]
fn the_same_pixels_elsewhere_are_another_picture() {
    let place = Place::new();
    // 115 units wide, out at both ends: 5 units to the right it is the same picture.
    let bar = "[pose.bar]\nreplace = { box = \"wide\", post = \"none\", rim = \"none\", leaf = \"none\", coat = \"none\" }\n";
    std::fs::write(place.path("m/poses.toml"), bar).unwrap();
    place.run("approve m --all --grow -q", 0);
    let moved = format!("{bar}move = {{ box = [5, 0] }}\n");
    std::fs::write(place.path("m/poses.toml"), moved).unwrap();
    place.run("compare m --grow -q", 1);
    let found = place.comparison();
    let figures = found.poses[0].figures.as_ref().unwrap();
    assert_eq!((found.poses[0].width, figures.changed), (120, 2 * 5 * 30));
    place.run("compare m -q", 1);
}

#[test]
fn growing_is_told_as_the_cause_where_nothing_else_changed() {
    let place = Place::new();
    place.run("approve m --all -q", 0);
    place.run("compare m --grow -q", 1);
    let found = place.comparison();
    assert_eq!((found.counts.differs, found.counts.identical), (8, 5));
    assert_eq!(found.causes[0].subject, "canvas");
    let text = "the picture grew with the figure, the approved one did not";
    assert_eq!(
        (found.causes[0].text.as_str(), found.causes[0].poses.len()),
        (text, 8)
    );
    place.run("approve m --all --grow -q", 0);
    place.run("compare m -q", 1);
    let text = "the approved picture grew with the figure, this one did not";
    assert_eq!(place.comparison().causes[0].text, text);
}

#[test]
fn a_rig_can_let_its_pictures_grow() {
    let place = Place::new();
    let (_, err) = place.run("check m --messages short", 1);
    assert_eq!(err.matches("goes beyond the canvas").count(), 8);
    place.edit(
        "m/rig.toml",
        "canvas = [100, 80]",
        "canvas = [100, 80]\ngrow = true",
    );
    let (_, err) = place.run("render m --out own", 0);
    assert!(err.is_empty(), "{err}");
    place.edit("m/rig.toml", "grow = true", "grow = false");
    place.run("render m --grow --out flag", 0);
    place.edit("m/rig.toml", "grow = false", "grow = true");
    for (pose, ..) in TOLD {
        let bytes = |out: &str| std::fs::read(place.path(&format!("{out}/m/poses/{pose}.png")));
        assert!(bytes("own").unwrap() == bytes("flag").unwrap(), "{pose}");
    }
    place.run("approve m --all -q", 0);
    place.run("compare m --grow -q", 0);
    place.run("compare m -q", 0);
    assert_eq!(place.state("left"), State::Identical);
    let (_, err) = place.run("check m --messages short", 0);
    assert!(!err.contains("goes beyond"), "{err}");
}

#[test]
fn checks_find_one_place_for_each_pose() {
    let place = Place::new();
    place.edit(
        "m/rig.toml",
        "[part.post]",
        "[check.part.rim]\ncut_off = \"off\"\n[part.post]",
    );
    place.run("check m -q", 1);
    let text = std::fs::read_to_string(place.path("out/m/check/findings.json")).unwrap();
    let found: Value = serde_json::from_str(&text).unwrap();
    let found = found["findings"].as_array().unwrap();
    let found: Vec<&Value> = found.iter().filter(|f| f["measure"] == "cut_off").collect();
    // Beyond 8 units it is an error; errors come first. The rim is let off.
    let told = TOLD.iter().filter(|(pose, ..)| *pose != "ink");
    assert_eq!(found.len(), told.count());
    assert_eq!(found[0]["severity"], "error");
    let message =
        "pose poses/far goes beyond the canvas, by 30.5 units at the left; box goes furthest";
    assert_eq!(found[0]["message"], message);
    assert_eq!(
        (&found[0]["value"], &found[0]["limit"]),
        (&30.5.into(), &8.0.into())
    );
    // All of the box is outside: from -30.5 to -0.5, and 20 to 50.
    assert_eq!(
        found[0]["place"]["centre"],
        serde_json::json!([-15.5, 35.0])
    );
    assert_eq!(found[1]["severity"], "warning");
    let picture = found[0]["picture"].as_str().unwrap();
    assert!(place.path("out/m/check").join(picture).is_file());
}

#[test]
fn a_night_tells_of_it_and_can_let_pictures_grow() {
    let place = Place::new();
    let make = "--make pictures,comparisons";
    let (_, err) = place.run(&format!("night cast.toml {make} --messages short"), 0);
    let nowhere = |line: &str| {
        line.strip_prefix("warning: ")
            .map(|l| format!(": warning: {l}"))
    };
    let lines: Vec<String> = err.lines().filter_map(nowhere).collect();
    assert_eq!(warnings(&lines.join("\n")), told());
    let summary = || -> Value {
        let text = std::fs::read_to_string(place.path("out/night/summary.json")).unwrap();
        serde_json::from_str(&text).unwrap()
    };
    let found = summary();
    let units = found["members"][0]["units"].as_array().unwrap();
    let pictures = units.iter().filter(|u| u["kind"] == "picture");
    let findings: Vec<&Value> = pictures
        .filter_map(|u| u["findings"].as_array())
        .flatten()
        .collect();
    let texts: Vec<&str> = findings.iter().filter_map(|f| f["text"].as_str()).collect();
    assert_eq!(texts, told());
    assert!(findings.iter().all(|f| f["level"] == "warning"));
    // They are known without being drawn again.
    let (out, err) = place.run(&format!("night cast.toml {make}"), 0);
    assert!(out.contains("made 0, 14 as they were"), "{out}");
    assert_eq!(err.matches("goes beyond its picture").count(), TOLD.len());
    // With the flag all is made again, and is what `render` makes.
    let (out, err) = place.run(&format!("night cast.toml {make} --grow"), 0);
    assert!(out.contains("made 13, 1 as they were"), "{out}");
    assert!(err.is_empty(), "{err}");
    place.run("render cast.toml --grow -q --out r", 0);
    for (pose, ..) in TOLD {
        let bytes = |out: &str| std::fs::read(place.path(&format!("{out}/m/poses/{pose}.png")));
        assert!(bytes("out/night").unwrap() == bytes("r").unwrap(), "{pose}");
    }
    // Comparisons grow along, and remember what they saw by how it was drawn.
    place.run("approve cast.toml --all --grow -q", 0);
    place.run(&format!("night cast.toml {make} --grow -q"), 0);
    place.run(&format!("night cast.toml {make} -q"), 1);
    place.run(&format!("night cast.toml {make} --grow -q"), 0);
}
