//! `layfig fit`: pivots that are known, pivots found by brute force in Shapely, and what `--write` leaves.

#![expect(clippy::disallowed_methods, reason = "shapes within a tolerance")]

use std::io::Write as _;
use std::path::Path;
use std::process::{Command, Stdio};

use layfig::check::Hidden;
use layfig::fit::{Fitted, fit};
use layfig::geom::{Affine, Point, Region};
use rayon::prelude::*;
use serde_json::{Value, json};

/// Everything within a radius of the line between two points, the radius going from one to the other.
fn taper(from: Point, r: f64, to: Point, s: f64) -> Region {
    let mut points = Vec::new();
    let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
    let along = dy.atan2(dx);
    // The outer tangents touch where the radius is at this angle from the line.
    let tilt = ((r - s) / dx.hypot(dy)).acos();
    let arc = |centre: Point, radius: f64, a: f64, b: f64, points: &mut Vec<Point>| {
        for k in 0..=400 {
            let t = a + (b - a) * f64::from(k) / 400.0;
            points.push([centre[0] + radius * t.cos(), centre[1] + radius * t.sin()]);
        }
    };
    arc(
        from,
        r,
        along + tilt,
        along + std::f64::consts::TAU - tilt,
        &mut points,
    );
    arc(to, s, along - tilt, along + tilt, &mut points);
    Region::from_contours(&[points], tiny_skia::FillRule::Winding)
}

fn off(p: Point, q: Point) -> f64 {
    (p[0] - q[0]).hypot(p[1] - q[1])
}

/// Starts around the truth, 4 to 15 units off.
fn starts(truth: Point) -> Vec<Point> {
    [
        (4.0, 20.0),
        (9.0, 100.0),
        (15.0, 190.0),
        (15.0, 280.0),
        (15.0, 10.0),
    ]
    .map(|(r, degrees): (f64, f64)| {
        let t = degrees.to_radians();
        [truth[0] + r * t.cos(), truth[1] + r * t.sin()]
    })
    .to_vec()
}

// Two capsules whose ends are one circle: nothing comes out and nothing opens only if the pivot is its centre.
#[test]
fn the_pivot_of_a_capsule_joint_is_the_centre_of_its_ends() {
    let joints = [
        ([0.0, 0.0], [-100.0, 0.0], [90.0, 0.0], 20.0, [-60.0, 120.0]),
        (
            [412.0, 300.5],
            [400.0, 200.0],
            [430.0, 392.0],
            26.0,
            [-10.0, 145.0],
        ),
        (
            [50.0, 70.0],
            [50.0, 170.0],
            [-20.0, 10.0],
            12.0,
            [-90.0, 90.0],
        ),
    ];
    for (nth, (truth, a, b, r, limits)) in joints.into_iter().enumerate() {
        let parent = taper(a, r, truth, r);
        let child = taper(truth, r, b, r);
        // All starts for one of them: the search takes its time.
        let taken = if nth == 0 { 5 } else { 2 };
        for start in starts(truth).into_iter().rev().take(taken) {
            let found = fit(&parent, &child, start, limits, Hidden::BOTH).expect("a joint");
            assert!(off(found.best, truth) < 0.05, "{start:?}: {found:?}");
            assert!(found.after.cost < 0.06 && found.is_better(), "{found:?}");
        }
        let kept = fit(&parent, &child, truth, limits, Hidden::BOTH).expect("a joint");
        assert!(!kept.is_better(), "{kept:?}");
    }
}

// As above: the centre of the ends, from wherever the rig has the pivot.
#[test]
fn a_pivot_is_found_from_anywhere() {
    let truth = [412.0, 300.5];
    let parent = taper([400.0, 200.0], 26.0, truth, 26.0);
    let child = taper(truth, 26.0, [430.0, 392.0], 26.0);
    let starts = [
        [0.0, 0.0],
        [412.0, 240.0],
        [-5000.0, 9000.0],
        [900.0, 301.0],
        [430.0, 392.0],
    ];
    let found = starts
        .map(|start| fit(&parent, &child, start, [-10.0, 145.0], Hidden::BOTH).expect("a joint"));
    assert!(off(found[0].best, truth) < 0.05, "{found:?}");
    for one in &found {
        assert_eq!(one.best, found[0].best, "{:?}", one.now);
        assert!(one.is_better());
    }
}

/// A limb with a straight shaft and an end that is half an ellipse.
fn elliptic(end: Point, across: f64, along: f64, length: f64) -> Region {
    let mut points = vec![[length, across], [length, -across]];
    for k in 0..=300 {
        let t = -std::f64::consts::FRAC_PI_2 - std::f64::consts::PI * f64::from(k) / 300.0;
        points.push([along * t.cos(), across * t.sin()]);
    }
    let shape = Region::from_contours(&[points], tiny_skia::FillRule::Winding);
    shape.transformed(&Affine::translate(end))
}

fn mirrored(region: &Region) -> Region {
    region.transformed(&Affine::scale([-1.0, 1.0]))
}

// Reference: Shapely, tests/support/brute_force_pivot.py.
#[test]
fn ends_without_a_centre_have_the_pivot_that_brute_force_finds() {
    let ellipse = elliptic([0.0, 0.0], 20.0, 28.0, 90.0);
    let blunt = elliptic([3.0, 2.0], 20.0, 12.0, 90.0);
    let joints = [
        (mirrored(&ellipse), ellipse.clone(), [-30.0, 100.0]),
        (mirrored(&blunt), ellipse.clone(), [-45.0, 45.0]),
        (
            taper([-110.0, -5.0], 34.0, [10.0, -5.0], 18.0),
            taper([10.0, -5.0], 18.0, [100.0, 20.0], 11.0),
            [-40.0, 110.0],
        ),
        (
            taper([-90.0, 0.0], 30.0, [4.0, 0.0], 22.0),
            taper([-2.0, 3.0], 19.0, [90.0, 10.0], 12.0),
            [-20.0, 130.0],
        ),
    ];
    joints
        .par_iter()
        .with_max_len(1)
        .for_each(|(parent, child, limits)| {
            let (parent, child, limits) = (parent, child, *limits);
            let fitted = |start| fit(parent, child, start, limits, Hidden::BOTH).expect("a joint");
            let found = fitted([9.0, -11.0]);
            let judged = brute_force(parent, child, limits, &found);
            let number = |key: &str| judged[key].as_f64().expect("a number");
            let (ours, least) = (number("cost"), number("least"));
            assert!(ours <= least + 0.05, "{found:?}: {judged}");
            // The two programs mean the same.
            let opens = number("jut") + number("gap") - found.after.jut - found.after.gap;
            assert!(opens.abs() < 0.15, "{found:?}: {judged}");
            for (key, worst) in [("kink", &found.after), ("kink_now", &found.before)] {
                let kink = number(key) - worst.kink;
                assert!(kink.abs() < 1.5, "{found:?}: {judged}");
            }
            let again = fitted([-6.0, 4.0]).after.cost;
            assert!((again - found.after.cost).abs() < 0.05, "{again}");
        });
}

fn brute_force(parent: &Region, child: &Region, limits: [f64; 2], found: &Fitted) -> Value {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut python = Command::new(root.join("target/tools/venv/bin/python"))
        .arg(root.join("tests/support/brute_force_pivot.py"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("tests/support/setup.sh installs Shapely");
    let question = json!({
        "parent": parent.contours()[0],
        "child": child.contours()[0],
        "limits": limits,
        "pivot": found.best,
        "now": found.now,
        "kinks_at": [found.before.kink_at, found.after.kink_at],
        "width": found.width,
    });
    let mut to = python.stdin.take().expect("a pipe");
    to.write_all(question.to_string().as_bytes())
        .expect("written");
    drop(to);
    let out = python.wait_with_output().expect("an answer");
    serde_json::from_slice(&out.stdout).expect("JSON")
}

const ART: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 300 300">
  <g id="upper"><path fill="#d99c78" stroke="#222" stroke-width="4" d="M130 60 A20 20 0 0 1 170 60 V150 A20 20 0 0 1 130 150 Z"/></g>
  <g id="fore"><path fill="#d99c78" stroke="#222" stroke-width="4" d="M130 150 A20 20 0 0 1 170 150 V240 A20 20 0 0 1 130 240 Z"/></g>
</svg>
"##;

const RIG: &str = "# the rig\r\n[character]\r\ncanvas = [300, 300]\r\n\r\n[part.upper]\r\n\
    art = \"a.svg#upper\"\r\n\r\n[part.fore]   # the lower arm\r\nart    = \"a.svg#fore\"\r\n\
    parent = \"upper\"\r\npivot  = [ 146.50 ,\t155 ]  # about here\r\nlimits = [-10, 140]\r\n\r\n\
    [seam.elbow]\r\nparts = [\"upper\", \"fore\"]\r\n# the end";

fn layfig(folder: &Path, arguments: &[&str]) -> (i32, String) {
    let out = Command::new(env!("CARGO_BIN_EXE_layfig"))
        .current_dir(folder)
        .args(arguments)
        .output()
        .expect("it runs");
    let text = String::from_utf8_lossy(&out.stdout).into_owned();
    let told = String::from_utf8_lossy(&out.stderr);
    assert!(!told.contains("panicked"), "{told}");
    (out.status.code().expect("a code"), text + &told)
}

/// The two numbers that stand in a rig's text in place of others; no other byte may differ.
fn only_edit(before: &str, [x, gap, y]: [&str; 3], after: &str) -> Point {
    let (head, tail) = before
        .split_once(&format!("{x}{gap}{y}"))
        .expect("the numbers");
    let middle = after
        .strip_prefix(head)
        .and_then(|t| t.strip_suffix(tail))
        .unwrap_or_else(|| panic!("other bytes changed:\n{after}"));
    let (x, y) = middle.split_once(gap).expect("the layout is kept");
    [x.parse().expect("x"), y.parse().expect("y")]
}

#[test]
fn writing_changes_the_pivot_and_nothing_else() {
    let folder = tempfile::tempdir().expect("a folder");
    let rig = folder.path().join("rig.toml");
    std::fs::write(folder.path().join("a.svg"), ART).expect("written");
    std::fs::write(&rig, RIG).expect("written");
    let (code, told) = layfig(folder.path(), &["fit", "rig.toml"]);
    assert_eq!(code, 0, "{told}");
    assert!(told.contains("1 of 1 joint has a better pivot"), "{told}");
    assert_eq!(std::fs::read_to_string(&rig).expect("read"), RIG);
    let (code, told) = layfig(folder.path(), &["fit", "rig.toml", "--write"]);
    assert_eq!(code, 0, "{told}");
    let now = std::fs::read_to_string(&rig).expect("read");
    let at = only_edit(RIG, ["146.50", " ,\t", "155"], &now);
    assert!(off(at, [150.0, 150.0]) < 0.05, "{at:?}");
    // The zone reaches over the round end's outer edge, 22 units from its centre, and 1.5 beyond.
    let (_, told) = layfig(folder.path(), &["fit", "rig.toml", "--messages", "json"]);
    let line = told
        .lines()
        .find(|l| l.contains("\"fit\""))
        .expect("a joint");
    let zone = &serde_json::from_str::<Value>(line).expect("JSON")["fit"]["zone"]["best"];
    assert!(
        (zone.as_f64().expect("a radius") - 23.5).abs() < 0.1,
        "{zone}"
    );
    // Nothing is left to do, and nothing but the rig, the art and the pictures is there.
    let (code, told) = layfig(folder.path(), &["fit", "rig.toml", "--write"]);
    assert!(
        code == 0 && told.contains("0 of 1 joint has a better pivot"),
        "{told}"
    );
    assert_eq!(std::fs::read_to_string(&rig).expect("read"), now);
    let mut names: Vec<_> = std::fs::read_dir(folder.path())
        .expect("a folder")
        .map(|e| {
            e.expect("an entry")
                .file_name()
                .into_string()
                .expect("a name")
        })
        .collect();
    names.sort_unstable();
    assert_eq!(names, ["a.svg", "out", "rig.toml"]);
    let (code, told) = layfig(folder.path(), &["fit", "rig.toml", "--part", "nobody"]);
    assert_eq!(code, 2, "{told}");
}

#[test]
fn a_pivot_that_is_not_two_numbers_is_not_written_and_that_is_told() {
    let mark = "<circle id=\"elbow\" cx=\"146.5\" cy=\"155\" r=\"2\" fill=\"#f0f\"/></svg>";
    let art = ART.replace("</svg>", mark);
    for (pivot, told_of) in [
        ("pivot = \"a.svg#elbow\"", "a mark, \"a.svg#elbow\""),
        ("pivot = { of = \"hidden\" }", "that of \"hidden\""),
    ] {
        let folder = tempfile::tempdir().expect("a folder");
        let rig = folder.path().join("rig.toml");
        std::fs::write(folder.path().join("a.svg"), &art).expect("written");
        let text = RIG.replace("pivot  = [ 146.50 ,\t155 ]  # about here", pivot)
            + "\r\n[part.hidden]\r\nparent = \"upper\"\r\npivot = [146.5, 155]\r\n";
        std::fs::write(&rig, &text).expect("written");
        let line = ["fit", "rig.toml", "--write", "--messages", "short"];
        let (code, told) = layfig(folder.path(), &line);
        assert_eq!(code, 2, "{told}");
        let want = format!(
            "rig.toml:8:7: error: not written: the pivot of [part.fore] is {told_of}, not two numbers (hint: the better one would be pivot = [150"
        );
        assert!(told.contains(&want), "{told}");
        assert!(!told.contains("wrote"), "{told}");
        assert_eq!(std::fs::read_to_string(&rig).expect("read"), text);
    }
}

/// What `check` writes of one joint.
fn checked(folder: &Path, member: &str, part: &str) -> Value {
    let file = folder.join("out").join(member).join("check/findings.json");
    let text = std::fs::read_to_string(file).expect("findings");
    let found: Value = serde_json::from_str(&text).expect("JSON");
    let joints = found["joints"].as_array().expect("joints");
    let joint = joints.iter().find(|j| j["part"] == part);
    joint.expect("the joint").clone()
}

/// What `fit` tells of each joint.
fn fits(folder: &Path, arguments: &[&str]) -> Vec<Value> {
    let (_, told) = layfig(folder, &[arguments, &["--messages", "json"]].concat());
    let lines = told.lines().filter(|l| l.contains("\"fit\""));
    lines
        .map(|l| serde_json::from_str::<Value>(l).expect("JSON")["fit"].clone())
        .collect()
}

// The pivot is 4 beyond the centre of the round end, which a turn by t moves by 8 sin(t/2): by so much it comes
// out. The limb is 44 wide; a limit of 10 % is reached at 2 asin(4.4/8) degrees.
#[test]
fn fit_tells_what_check_tells() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path();
    std::fs::create_dir(path.join("limb")).expect("a folder");
    std::fs::write(path.join("limb/a.svg"), ART).expect("written");
    let limits = "\r\n[check]\r\njut = [5, 12]\r\n[check.part.fore]\r\njut = [4, 10]\r\n";
    let text = RIG.replace("[ 146.50 ,\t155 ]", "[150, 154]") + limits;
    std::fs::write(path.join("limb/rig.toml"), &text).expect("written");
    layfig(path, &["check", "limb"]);
    let before = checked(path, "limb", "fore");
    let fitted = &fits(path, &["fit", "limb"])[0];
    assert_eq!(fitted["now"], before);
    let safe = before["safe"][1].as_f64().expect("an angle");
    let chord = 2.0 * (22.0_f64.powi(2) - 4.0_f64.powi(2)).sqrt();
    let want = 2.0 * (0.1 * chord / 8.0).asin().to_degrees();
    assert!(
        (safe - want).abs() < 0.7 && before["safe"][0] == -10.0,
        "{safe}, not {want}"
    );
    let (_, told) = layfig(path, &["fit", "limb", "--write"]);
    let line = |start: &str| {
        told.lines()
            .find(|l| l.trim().starts_with(start))
            .expect("a line")
    };
    let tenths = (safe * 10.0).round() / 10.0;
    assert_eq!(
        line("safe"),
        format!("  safe   -10 to {tenths} -> -10 to 140")
    );
    layfig(path, &["check", "limb"]);
    assert_eq!(fitted["best"], checked(path, "limb", "fore"));
    // A pivot far from both parts is no better off in a check, and found from there.
    let far = text.replace("[150, 154]", "[15, 40]");
    std::fs::write(path.join("limb/rig.toml"), far).expect("written");
    let (code, told) = layfig(path, &["check", "limb"]);
    assert!(code == 1 && told.contains("outside both"), "{told}");
    let lost = &fits(path, &["fit", "limb"])[0];
    assert_eq!(lost["now"], checked(path, "limb", "fore"));
    assert_eq!(lost["pivot"]["best"], fitted["pivot"]["best"]);
}

#[test]
fn fit_tells_of_the_demo_cast_what_check_tells() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let folder = tempfile::tempdir().expect("a folder");
    let rig = root.join("rigs/ship_dog");
    let rig = rig.to_str().expect("a path");
    layfig(folder.path(), &["check", rig]);
    let found = fits(folder.path(), &["fit", rig]);
    assert_eq!(found.len(), 16);
    for joint in found {
        let part = joint["part"].as_str().expect("a name");
        assert_eq!(joint["now"], checked(folder.path(), "ship_dog", part));
    }
}

/// A hand that hangs behind the arm without a seam: the round end of one is the other, both about [150, 240].
const HAND: &str = r##"  <g id="hand"><path fill="#d99c78" stroke="#222" stroke-width="4" d="M130 240 A20 20 0 0 1 170 240 V270 A20 20 0 0 1 130 270 Z"/></g>
</svg>
"##;

// A pivot that lies d beyond the centre of the hand's end moves that centre by 2 d sin(t/2) at t degrees, and by
// so much the end comes out. Nearer than the centre there is no pivot at which nothing does.
#[test]
fn joints_without_a_seam_are_fitted_when_asked_for() {
    let folder = tempfile::tempdir().expect("a folder");
    let art = ART.replace("</svg>\n", HAND);
    std::fs::write(folder.path().join("a.svg"), art).expect("written");
    let hand = "\r\n[part.hand]\r\nart = \"a.svg#hand\"\r\nparent = \"fore\"\r\ndepth = -1\r\n\
        pivot = [150.25,243.5]\r\nlimits = [-60, 80]\r\n";
    let text = RIG.replace("[ 146.50 ,\t155 ]", "[150, 150]") + hand;
    let rig = folder.path().join("rig.toml");
    std::fs::write(&rig, &text).expect("written");
    let (code, told) = layfig(folder.path(), &["fit", "rig.toml", "--write"]);
    assert!(
        code == 0 && told.contains("0 of 1 joint has a better pivot"),
        "{told}"
    );
    assert!(!told.contains("hand"), "{told}");
    let (code, told) = layfig(folder.path(), &["fit", "rig.toml", "--part", "hand"]);
    assert!(code != 0 && told.contains("nothing is selected"), "{told}");
    assert_eq!(std::fs::read_to_string(&rig).expect("read"), text);
    let (code, told) = layfig(
        folder.path(),
        &["fit", "rig.toml", "--hard", "--write", "--messages", "json"],
    );
    let joints = told.lines().filter(|l| l.contains("\"fit\""));
    let joints: Vec<Value> = joints
        .map(|l| serde_json::from_str(l).expect("JSON"))
        .collect();
    assert_eq!((code, joints.len()), (0, 2), "{told}");
    let before = &joints[1]["fit"]["now"];
    let worst = &before["measures"]["jut"]["worst"];
    let number = |value: &Value| value.as_f64().expect("a number");
    let jut = number(&worst["value"]) * number(&before["width"]) / 100.0;
    let d = (3.5_f64).hypot(0.25);
    assert!(
        (jut - 2.0 * d * 40_f64.to_radians().sin()).abs() < 0.05,
        "{before}"
    );
    assert_eq!(worst["angle"], json!(80.0), "{before}");
    assert!(told.contains("\"better\":1}"), "{told}");
    let now = std::fs::read_to_string(&rig).expect("read");
    let at = only_edit(&text, ["150.25", ",", "243.5"], &now);
    assert!(off(at, [150.0, 240.0]) < 0.15, "{at:?}");
    // It holds all the way then, and no zone is told where there is no seam.
    let arguments = [
        "fit",
        "rig.toml",
        "--hard",
        "--part",
        "hand",
        "--messages",
        "json",
    ];
    let (_, told) = layfig(folder.path(), &arguments);
    let line = told
        .lines()
        .find(|l| l.contains("\"fit\""))
        .expect("a joint");
    let joint = &serde_json::from_str::<Value>(line).expect("JSON")["fit"];
    assert_eq!(joint["now"]["safe"], json!([-60.0, 80.0]), "{joint}");
    assert!(
        joint["seam"].is_null() && joint["zone"]["best"].is_null(),
        "{joint}"
    );
    assert!(
        folder
            .path()
            .join(joint["file"].as_str().expect("a file"))
            .is_file()
    );
    // Before its parent a child hides nothing, and there is nothing to fit.
    std::fs::write(&rig, text.replace("depth = -1", "depth = 1")).expect("written");
    let (_, told) = layfig(folder.path(), &["fit", "rig.toml", "--hard"]);
    assert!(
        told.contains("of 1 joint ") && !told.contains("hand"),
        "{told}"
    );
    // A hinge far from what the parts share is not moved there: it is refused, and the rest is fitted.
    std::fs::write(&rig, text.replace("[150.25,243.5]", "[240,60]")).expect("written");
    let before = std::fs::read_to_string(&rig).expect("read");
    let (code, told) = layfig(folder.path(), &["fit", "rig.toml", "--hard", "--write"]);
    assert_eq!(code, 2, "{told}");
    assert!(
        told.contains("the pivot of hand is 1")
            && told.contains("units outside what hand and fore share"),
        "{told}"
    );
    assert!(told.contains("0 of 1 joint has a better pivot"), "{told}");
    assert_eq!(std::fs::read_to_string(&rig).expect("read"), before);
}
