//! What poses say of single views: over all else that they say, inherited in a documented order. Each view's figure
//! is the one that its values make when they are written out by hand.

use std::process::Command;

use layfig::geom::Affine;

use crate::support::Staged;

const RIG: &str = r##"[character]
canvas = [100, 100]
poses = ["../poses.toml"]
[palette.day]
red = "#d22f27"
[palette.dusk]
red = "#702010"
[views]
front = "front.toml"
side = "side.toml"
"##;
const VIEW: &str = r#"[part.body]
art = "a.svg#body"
[part.arm]
art = "a.svg#arm"
parent = "body"
pivot = [50, 20]
replacements = { up = "a.svg#up" }
[part.hand]
art = "a.svg#hand"
parent = "arm"
pivot = [50, 50]
limits = [-90, 90]
"#;
const ART: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">
<g id="body"><path d="M40 10H60V60H40Z" fill="#d22f27"/></g>
<g id="arm"><path d="M46 18H54V52H46Z" fill="#888888"/></g>
<g id="up"><path d="M44 18H56V52H44Z" fill="#444444"/></g>
<g id="hand"><path d="M47 48H53V62H47Z" fill="#222222"/></g>
</svg>
"##;

fn staged(poses: &str) -> Staged {
    Staged::write(&[
        ("rig.toml", RIG),
        ("front.toml", VIEW),
        ("side.toml", VIEW),
        ("a.svg", ART),
        ("../poses.toml", poses),
    ])
}

/// Turns of arm and hand in both views, told from where the parts go.
fn turns(staged: &Staged, pose: &str) -> [[f64; 2]; 2] {
    [0, 1].map(|view| {
        let figure = staged.puppets[view]
            .figure(staged.pose(pose))
            .expect("it is solved");
        let [arm, hand] = ["arm", "hand"].map(|part| figure.transform_of(part).expect("a part"));
        let angle = |t: Affine| libm::atan2(t.b, t.a).to_degrees();
        [
            angle(arm),
            angle(hand.after(arm.inverse().expect("a way back"))),
        ]
    })
}

#[track_caller]
fn assert_near(found: [[f64; 2]; 2], want: [[f64; 2]; 2]) {
    let both = found.as_flattened().iter().zip(want.as_flattened());
    for (found, want) in both {
        assert!((found - want).abs() < 1e-9, "{found} for {want}");
    }
}

// The order by hand: what a pose inherits (of all views, then of the view), what it says of all views, what it says
// of the view.
#[test]
fn each_view_takes_what_is_said_of_it_over_the_rest() {
    let show = staged(
        r#"[pose.a]
turn = { arm = 10, hand = 20 }
[pose.a.view.side]
turn = { arm = 30 }
[pose.b]
from = "a"
turn = { hand = 40 }
[pose.c]
from = "a"
turn = { arm = 50 }
[pose.d]
from = "c"
[pose.d.view.side]
turn = { hand = 60 }
[pose.d.view.front]
turn = { arm = 70 }
[pose.e]
from = "d"
turn = { hand = 80 }
[sweep.bend]
turn = "arm"
from = "d"
over = [0, 5]
step = 5
"#,
    );
    for (pose, want) in [
        ("a", [[10.0, 20.0], [30.0, 20.0]]),
        // The view's own is inherited ...
        ("b", [[10.0, 40.0], [30.0, 40.0]]),
        // ... under what is said of all views.
        ("c", [[50.0, 20.0], [50.0, 20.0]]),
        ("d", [[70.0, 20.0], [50.0, 60.0]]),
        ("e", [[70.0, 80.0], [50.0, 80.0]]),
        // A sweep's joint goes through its angles in all views.
        ("bend@5", [[5.0, 20.0], [5.0, 60.0]]),
    ] {
        assert_near(turns(&show, pose), want);
    }
}

#[test]
fn a_view_has_every_setting_of_a_pose() {
    let said = "move = { hand = [1, 2] }\nscale = { arm = 1.5 }\nskew = { hand = [3, 4] }\nturn = { arm = 5 }\n\
                depth = { arm = -2 }\nbehind = { hand = \"body\" }\nreplace = { arm = \"up\" }\npalette = \"dusk\"\nmirror = true\n";
    let show = staged(&format!(
        "[pose.out]\n{said}[pose.in]\nturn = {{ hand = 1 }}\nmirror = false\n[pose.in.view.side]\nturn = {{ hand = 0, arm = 5 }}\n{}",
        said.replace("turn = { arm = 5 }\n", "")
    ));
    let picture = |pose: &str, view: usize| {
        let figure = show.puppets[view]
            .figure(show.pose(pose))
            .expect("it is solved");
        crate::support::picture(&figure, 1.0, None).pixels
    };
    assert_eq!(picture("in", 1).data(), picture("out", 1).data());
    assert_ne!(picture("in", 0).data(), picture("out", 0).data());
}

#[test]
fn an_edit_of_one_view_is_a_cause_in_that_view_alone() {
    let dir = tempfile::tempdir().expect("a folder");
    let put = |name: &str, text: &str| {
        let path = dir.path().join(name);
        std::fs::create_dir_all(path.parent().expect("a folder")).expect("a folder");
        std::fs::write(path, text).expect("a file");
    };
    for (name, text) in [
        ("m/rig.toml", RIG),
        ("m/front.toml", VIEW),
        ("m/side.toml", VIEW),
        ("m/a.svg", ART),
    ] {
        put(name, text);
    }
    put(
        "poses.toml",
        "[pose.a]\nturn = { arm = 10 }\n[pose.a.view.side]\nturn = { arm = 30 }\n",
    );
    let run = |line: &str| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_layfig"));
        let done = command
            .current_dir(dir.path())
            .args(line.split_whitespace())
            .output();
        let done = done.expect("it runs");
        (
            done.status.code(),
            String::from_utf8_lossy(&done.stdout).into_owned()
                + &String::from_utf8_lossy(&done.stderr),
        )
    };
    assert_eq!(run("approve m --view all --all -q").0, Some(0));
    assert_eq!(run("compare m --view all -q").0, Some(0));
    put(
        "poses.toml",
        "[pose.a]\nturn = { arm = 10 }\n[pose.a.view.side]\nturn = { arm = 35 }\n",
    );
    let (code, told) = run("compare m --view all --messages json");
    assert_eq!(code, Some(1), "{told}");
    let text = std::fs::read_to_string(dir.path().join("out/m/compare/comparison.json"))
        .expect("a document");
    let found: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    let causes = found["causes"].as_array().expect("causes");
    assert_eq!(causes.len(), 1, "{text}");
    assert_eq!(
        causes[0]["poses"],
        serde_json::json!(["m/side/poses/a"]),
        "{text}"
    );
    assert!(causes[0].to_string().contains("turn.arm"), "{text}");
}
