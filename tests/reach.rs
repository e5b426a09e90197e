//! Where a pose says that hands go, feet stay and eyes look: what comes there, what stays, what is told. Where things
//! should be is told by the figure's own transforms, of parts that nothing was solved for.

use std::path::PathBuf;

use layfig::cast::{Measure, Pose, View};
use layfig::diag::{Problems, Sources, short};
use layfig::geom::{Affine, Point};
use layfig::pose::{Solved, solved};
use layfig::project::{Reading, Subject};
use layfig::solve::Figure;
use layfig::{Files, Project};
use proptest::prelude::*;

const RIG: &str = r##"[character]
canvas = [400, 600]
ground = 560
poses = ["poses.toml"]
[views]
side = "side.toml"
front = "front.toml"
"##;

/// A figure with two arms and two legs, and a crate on a stand.
const VIEW: &str = r#"drawing = "a.svg"
[part]
place = { art = false, pivot = [200, 560] }
pelvis = { parent = "place", pivot = [200, 320] }
torso = { parent = "pelvis", pivot = [200, 310], limits = [-60, 60] }
head = { parent = "torso", pivot = [200, 120], limits = [-30, 30] }
iris = { parent = "head", pivot = [210, 80], look = [6, 4] }
arm_near = { parent = "torso", pivot = [190, 150], limits = [-170, 170] }
forearm_near = { parent = "arm_near", pivot = [186, 230], limits = [-150, 10] }
hand_near = { parent = "forearm_near", pivot = [190, 300], limits = [-70, 70], points = { palm = [194, 320] } }
arm_far = { parent = "torso", pivot = [212, 150], tip = { of = "forearm_far" }, limits = [-170, 170] }
forearm_far = { parent = "arm_far", pivot = [216, 230], tip = { of = "hand_far" }, limits = [-150, 150] }
hand_far = { parent = "forearm_far", pivot = [212, 300], limits = [-70, 70] }
thigh_near = { parent = "pelvis", pivot = [194, 330], limits = [-120, 60] }
shin_near = { parent = "thigh_near", pivot = [190, 440], limits = [-5, 140] }
foot_near = { parent = "shin_near", pivot = [194, 545], limits = [-60, 60], points = { heel = [180, 558], toe = [226, 558] } }
thigh_far = { parent = "pelvis", pivot = [208, 330], limits = [-120, 60] }
shin_far = { parent = "thigh_far", pivot = [205, 440], limits = [-5, 140] }
foot_far = { parent = "shin_far", pivot = [208, 545], limits = [-60, 60], points = { heel = [196, 558] } }
stand = { parent = "place", pivot = [320, 560] }
crate = { parent = "stand", pivot = [320, 300], points = { handle = [290, 260] } }
"#;

fn art() -> String {
    let mut all = String::new();
    for line in VIEW.lines().filter(|line| line.contains("pivot = [")) {
        let (name, rest) = line.split_once(" = ").unwrap();
        let (_, pivot) = rest.split_once("pivot = [").unwrap();
        let (x, y) = pivot.split_once(']').unwrap().0.split_once(", ").unwrap();
        let at = format!("M{x} {y}h9v9h-9z");
        let more = match name {
            "crate" => r##"<circle id="grip" cx="300" cy="250" r="2" fill="#000"/>"##,
            _ => "",
        };
        all += &format!(r##"<g id="{name}"><path d="{at}" fill="#888"/>{more}</g>"##);
    }
    format!(r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 400 600">{all}</svg>"#)
}

/// The member, and what is told of its files.
fn read(poses: &str) -> (Subject, Vec<String>) {
    let art = art();
    let files = [
        ("m/rig.toml", RIG),
        ("m/side.toml", VIEW),
        ("m/front.toml", VIEW),
        ("m/a.svg", &art),
        ("m/poses.toml", poses),
    ];
    let mut sources = Sources::of(Files::memory(files).unwrap());
    let (mut problems, mut unread) = (Problems::default(), Vec::new());
    let rig = (None, PathBuf::from("m"));
    let subject = Reading::default().member(&rig, &mut sources, &mut problems, &mut unread);
    let told = problems.list().iter().map(|p| short(p, &sources));
    let told: Vec<String> = told.collect();
    (subject.unwrap_or_else(|| panic!("{told:?}")), told)
}

fn clean(poses: &str) -> Subject {
    let (subject, told) = read(poses);
    assert_eq!(told, [""; 0]);
    subject
}

fn pose<'a>(subject: &'a Subject, name: &str) -> &'a Pose {
    let mut all = subject.lists[0].all();
    all.find(|pose| pose.name == name)
        .unwrap_or_else(|| panic!("{name}"))
}

fn figure(subject: &Subject, view: usize, name: &str) -> Figure {
    subject.puppet(view).figure(pose(subject, name)).unwrap()
}

fn at(figure: &Figure, part: &str, point: Point) -> Point {
    figure.transform_of(part).unwrap().apply(point)
}

fn angle(figure: &Figure, part: &str) -> f64 {
    let Affine { a, b, .. } = figure.transform_of(part).unwrap();
    libm::atan2(b, a).to_degrees()
}

fn apart(a: Point, b: Point) -> f64 {
    libm::hypot(a[0] - b[0], a[1] - b[1])
}

#[track_caller]
fn assert_at(found: Point, want: Point, within: f64) {
    assert!(apart(found, want) < within, "{found:?} for {want:?}");
}

const PALM: Point = [194.0, 320.0];

#[test]
fn a_hand_goes_where_it_should_and_along_with_that() {
    let targets = [
        ("crate", [290.0, 260.0]),
        ("crate.handle", [290.0, 260.0]),
        ("#grip", [300.0, 250.0]),
        ("a.svg#grip", [300.0, 250.0]),
    ];
    for (to, point) in targets {
        for more in [
            "",
            "turn = { crate = 12, stand = -3, torso = 14, hand_near = 25 }\nmove = { pelvis = [12, 20] }\n",
            "scale = { arm_near = [1.1, 0.9], torso = [1, 0.95] }\nturn = { torso = 20 }\n",
            "stretch = { arm_near = 1.2 }\nturn = { torso = 10 }\n",
        ] {
            let subject = clean(&format!(
                "[pose.a]\nreach = {{ hand_near = \"{to}\" }}\n{more}"
            ));
            for view in [0, 1] {
                let figure = figure(&subject, view, "a");
                assert_at(
                    at(&figure, "hand_near", PALM),
                    at(&figure, "crate", point),
                    1e-6,
                );
            }
        }
    }
}

#[test]
fn a_point_means_one_view_and_offsets_go_along() {
    let subject = clean(
        "[pose.a]\nreach = { hand_near = { to = \"crate\", offset = [-20, -20] } }\nturn = { stand = 2 }\n\
         [pose.a.view.front]\nreach = { hand_near = [120, 240] }\n\
         [pose.b]\nfrom = \"a\"\nreach = { hand_near = false }\n",
    );
    let side = figure(&subject, 0, "a");
    assert_at(
        at(&side, "hand_near", PALM),
        at(&side, "crate", [270.0, 240.0]),
        1e-6,
    );
    assert_at(
        at(&figure(&subject, 1, "a"), "hand_near", PALM),
        [120.0, 240.0],
        1e-6,
    );
    for view in [0, 1] {
        assert_at(
            at(&figure(&subject, view, "b"), "hand_near", PALM),
            PALM,
            1e-9,
        );
    }
}

#[test]
fn reaches_wait_for_each_other_and_circles_are_mistakes() {
    let subject = clean(
        "[pose.a]\nreach = { hand_near = \"hand_far\", hand_far = \"crate\" }\nturn = { torso = 8 }\n",
    );
    let figure = figure(&subject, 0, "a");
    let crate_ = at(&figure, "crate", [290.0, 260.0]);
    assert_at(at(&figure, "hand_far", [212.0, 300.0]), crate_, 1e-6);
    assert_at(at(&figure, "hand_near", PALM), crate_, 1e-6);
    let (_, told) = read(
        "[pose.rest]\n[pose.a]\nreach = { hand_near = \"hand_far\", hand_far = \"hand_near\" }\n\
         [pose.b]\nreach = { hand_near = \"forearm_near\" }\n",
    );
    assert_eq!(
        told,
        [
            "m/poses.toml:3:23: error: pose \"a\": the ends of limbs wait for each other in view \"side\": \"hand_near\" -> \"hand_far\" -> \"hand_near\" (hint: give one of them another target)",
            "m/poses.toml:5:23: error: pose \"b\": \"hand_near\" goes to something that it carries along itself in view \"side\" (hint: name a target that its own limb does not carry)",
        ]
    );
}

#[test]
fn joints_fold_as_their_limits_let_them_or_as_is_said() {
    let to = |fold: &str| format!("reach = {{ hand_far = {{ to = \"crate\"{fold} }} }}\n");
    let subject = clean(&format!(
        "[pose.own]\n{}[pose.up]\n{}[pose.down]\n{}[pose.other]\n{}",
        to(""),
        to(", fold = \"up\""),
        to(", fold = \"down\""),
        to(", fold = \"other\"")
    ));
    let elbow = |name: &str| at(&figure(&subject, 0, name), "forearm_far", [216.0, 230.0]);
    assert!(elbow("up")[1] < elbow("down")[1] - 20.0);
    assert!(apart(elbow("own"), elbow("other")) > 20.0);
    // Knees bend one way alone, whatever lies nearer.
    let subject =
        clean("[pose.a]\nplant = [\"foot_near\", \"foot_far\"]\nmove = { pelvis = [0, 40] }\n");
    let figure = figure(&subject, 0, "a");
    for (shin, thigh) in [("shin_near", "thigh_near"), ("shin_far", "thigh_far")] {
        assert!(
            angle(&figure, shin) - angle(&figure, thigh) > 10.0,
            "{shin}"
        );
    }
}

#[test]
fn limbs_stretch_as_far_as_they_may() {
    let subject = clean(
        "[pose.a]\nreach = { hand_far = { to = \"crate\", offset = [20, 30], stretch = 1.5 } }\n[pose.b]\nreach = { hand_far = { to = \"crate\", offset = [-60, 10], stretch = 1.5 } }\n",
    );
    let view = &subject.member.views[0];
    for (name, offset, stretched) in [("a", [20.0, 30.0], true), ("b", [-60.0, 10.0], false)] {
        let figure = figure(&subject, 0, name);
        let crate_ = at(&figure, "crate", [290.0 + offset[0], 260.0 + offset[1]]);
        assert_at(at(&figure, "hand_far", [212.0, 300.0]), crate_, 1e-5);
        let Solved { pose, .. } = solved(pose(&subject, name), view);
        let lengths: Vec<f64> = ["arm_far", "forearm_far"]
            .map(|part| of(&subject, view, &pose, part))
            .into();
        assert_eq!(
            lengths.iter().all(|&l| l > 1.0 && l <= 1.5),
            stretched,
            "{lengths:?}"
        );
    }
}

fn of(subject: &Subject, view: &View, pose: &layfig::pose::ResolvedPose, part: &str) -> f64 {
    let named = |p: &layfig::cast::Part| subject.member.names[p.name.at()] == part;
    pose.parts[view.parts.iter().position(named).unwrap()]
        .setting
        .stretch
}

#[test]
fn what_does_not_come_there_is_told() {
    let (subject, told) = read(
        "[pose.far]\nreach = { hand_near = { to = \"crate\", offset = [200, 0] } }\n\
         [pose.turned]\nreach = { hand_far = \"crate\" }\nturn = { arm_far = 20 }\n\
         [pose.low]\nplant = { foot_near = \"toe\" }\nmove = { pelvis = [130, 10] }\n\
         [pose.both]\nreach = { hand_near = \"crate\", forearm_near = \"stand\" }\n\
         [pose.gone.view.side]\nreach = { hand_near = \"a.svg#nothing\" }\n",
    );
    // Straight there, as far as the arm is long: its own closed form.
    let figure = figure(&subject, 0, "far");
    let shoulder = [190.0, 150.0];
    let arm = apart(shoulder, [186.0, 230.0]) + apart([186.0, 230.0], PALM);
    let left = apart(shoulder, [490.0, 260.0]) - arm;
    let off = apart(at(&figure, "hand_near", PALM), [490.0, 260.0]);
    assert!((off - left).abs() < 1e-6, "{off} {left}");
    let starts = [
        format!(
            "m/poses.toml:2:23: warning: pose \"far\": \"hand_near\" ends {left:.1} units from where it should be in view \"side\" (hint: "
        ),
        "m/poses.toml:4:22: warning: pose \"turned\": \"hand_far\" ends ".to_owned(),
    ];
    for start in starts {
        assert!(
            told.iter().any(|line| line.starts_with(&start)),
            "{start}: {told:#?}"
        );
    }
    let has = |words: &str| {
        assert!(
            told.iter().any(|line| line.contains(words)),
            "{words}: {told:#?}"
        )
    };
    has("pose \"both\": \"forearm_near\" takes along what \"hand_near\" turns");
    has("error: no part shows \"a.svg#nothing\"");
}

#[test]
fn check_finds_what_a_pose_does_not_reach() {
    let art = art();
    let found = |offset: u32| -> Vec<f64> {
        let poses = format!(
            "[pose.far]\nreach = {{ hand_near = {{ to = \"crate\", offset = [{offset}, 0] }} }}\n"
        );
        let files = [
            ("rig.toml", RIG),
            ("side.toml", VIEW),
            ("front.toml", VIEW),
            ("a.svg", &art),
            ("poses.toml", &poses),
        ];
        let project = Project::open(Files::memory(files).unwrap()).unwrap();
        let views = project.check();
        let all = views.iter().flat_map(|view| &view.findings.list);
        all.filter(|found| found.measure == Measure::Reach)
            .map(|found| found.value)
            .collect()
    };
    assert_eq!(found(0), [0.0; 0]);
    // What is left over from a straight arm, in each of the two views.
    let shoulder = [190.0, 150.0];
    let arm = apart(shoulder, [186.0, 230.0]) + apart([186.0, 230.0], PALM);
    let left = apart(shoulder, [490.0, 260.0]) - arm;
    let far = found(200);
    assert_eq!(far.len(), 2);
    assert!(
        far.iter().all(|value| (value - left).abs() < 1e-6),
        "{far:?} {left}"
    );
}

#[test]
fn a_foot_that_its_limits_stop_turns_about_the_point_that_stays() {
    let (subject, told) = read(
        "[pose.a]\nplant = { foot_near = \"toe\" }\nmove = { pelvis = [60, 40] }\n[pose.b]\nplant = { foot_near = \"toe\" }\nturn = { foot_near = 10 }\nmove = { pelvis = [0, 12] }\n",
    );
    let toe = [226.0, 558.0];
    for name in ["a", "b"] {
        let figure = figure(&subject, 0, name);
        assert_at(at(&figure, "foot_near", toe), toe, 1e-6);
    }
    assert!((angle(&figure(&subject, 0, "b"), "foot_near") - 10.0).abs() < 1e-9);
    assert!(
        told.iter()
            .all(|line| line.contains("degrees off the angle")),
        "{told:?}"
    );
}

#[test]
fn eyes_go_to_what_is_looked_at_within_their_own_bounds() {
    let subject = clean(
        "[pose.hand]\nlook = \"hand_near\"\nturn = { head = 12, arm_near = -80 }\n[pose.up]\nlook = { turn = 10, up = 30 }\n\
         [pose.near]\nlook = { to = \"head\", offset = [13, -42] }\n[pose.not]\nfrom = \"up\"\nlook = false\n",
    );
    let eye = [210.0, 80.0];
    let (here, hand) = (figure(&subject, 0, "hand"), figure(&subject, 0, "hand"));
    let back = here.transform_of("head").unwrap().inverse().unwrap();
    let target = back.apply(at(&hand, "hand_near", PALM));
    let gone = back.apply(at(&here, "iris", eye));
    let by = [gone[0] - eye[0], gone[1] - eye[1]];
    // On the ellipse, straight towards the hand.
    assert!(
        (libm::hypot(by[0] / 6.0, by[1] / 4.0) - 1.0).abs() < 1e-9,
        "{by:?}"
    );
    let way = [target[0] - eye[0], target[1] - eye[1]];
    assert!(
        (by[0] * way[1] - by[1] * way[0]).abs() < 1e-6 && by[0] * way[0] + by[1] * way[1] > 0.0
    );
    // What lies within the eye is looked at itself.
    assert_at(
        at(&figure(&subject, 0, "near"), "iris", eye),
        [213.0, 78.0],
        1e-9,
    );
    let up = at(&figure(&subject, 0, "up"), "iris", eye);
    let sine = |degrees: f64| libm::sin(degrees.to_radians()) / libm::sin(40_f64.to_radians());
    assert_at(
        up,
        [eye[0] + 6.0 * sine(10.0), eye[1] - 4.0 * sine(30.0)],
        1e-9,
    );
    assert_at(at(&figure(&subject, 0, "not"), "iris", eye), eye, 1e-12);
}

#[test]
fn sweeps_and_stress_go_on_from_planted_feet() {
    let (subject, told) = read(
        "[pose.a]\nplant = [\"foot_near\", \"foot_far\"]\nmove = { pelvis = [0, 30] }\nreach = { hand_near = \"crate\" }\n\
         [sweep.bow]\nfrom = \"a\"\nturn = \"torso\"\nover = [-10, 20]\nstep = 5\n\
         [stress.s]\nfrom = \"a\"\ncount = 8\nturn = [\"torso\", \"head\"]\n",
    );
    assert!(
        told.iter().all(|line| line.contains("units from where")),
        "{told:?}"
    );
    let mut seen = 0;
    for one in subject.lists[0].all() {
        let figure = figure(&subject, 0, &one.name);
        assert_at(
            at(&figure, "foot_near", [180.0, 558.0]),
            [180.0, 558.0],
            1e-6,
        );
        seen += 1;
    }
    assert_eq!(seen, 1 + 7 + 8);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Both feet stay to a hundredth of a unit, heel and angle, while all that carries them moves within reach.
    #[test]
    fn planted_feet_stay(x in -45.0..45.0_f64, y in 12.0..90.0_f64, turn in -20.0..20.0_f64, torso in -60.0..60.0_f64) {
        let subject = clean_or_far(&format!(
            "[pose.a]\nplant = [\"foot_near\", \"foot_far\"]\nmove = {{ pelvis = [{x}, {y}], place = [7, -3] }}\nturn = {{ pelvis = {turn}, torso = {torso} }}\n"
        ));
        let view = &subject.member.views[0];
        let Solved { notes, .. } = solved(pose(&subject, "a"), view);
        prop_assume!(notes.is_empty());
        let figure = figure(&subject, 0, "a");
        for (foot, heel) in [("foot_near", [180.0, 558.0]), ("foot_far", [196.0, 558.0])] {
            let want = [heel[0] + 7.0, heel[1] - 3.0];
            prop_assert!(apart(at(&figure, foot, heel), want) < 0.01);
            prop_assert!(angle(&figure, foot).abs() < 1e-6);
        }
    }
}

fn clean_or_far(poses: &str) -> Subject {
    read(poses).0
}

/// A hand that goes along with a crate: the crate's move is edited, and what the hand did of itself is told too.
#[test]
fn a_target_that_moved_is_a_cause_of_what_its_hand_did() {
    let folder = tempfile::tempdir().expect("a folder");
    let write = |name: &str, text: &str| {
        let path = folder.path().join(name);
        std::fs::create_dir_all(path.parent().expect("a parent")).expect("a folder");
        std::fs::write(path, text).expect("written");
    };
    let pose = |y: i32| {
        format!(
            "[pose.a]\nreach = {{ hand_near = {{ to = \"crate\", fold = \"down\" }} }}\nplant = [\"foot_near\"]\nlook = {{ to = \"crate\", offset = [1, 2] }}\nmove = {{ crate = [0, {y}], pelvis = [0, 12] }}\n"
        )
    };
    write("m/rig.toml", RIG);
    write("m/side.toml", VIEW);
    write("m/front.toml", VIEW);
    write("m/a.svg", &art());
    let run = |args: &[&str]| {
        let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_layfig"));
        let out = command.current_dir(folder.path()).args(args).output();
        let out = out.expect("it runs");
        String::from_utf8_lossy(&out.stdout).into_owned() + &String::from_utf8_lossy(&out.stderr)
    };
    write("m/poses.toml", &pose(0));
    run(&["approve", "m", "--all"]);
    write("m/poses.toml", &pose(-12));
    let told = run(&["compare", "m", "-o", "out"]);
    let path = folder.path().join("out/m/compare/comparison.json");
    let text = std::fs::read_to_string(&path).unwrap_or_else(|_| panic!("{told}"));
    assert!(
        text.contains("reach of hand_near") && text.contains("moved "),
        "{told}{text}"
    );
}
