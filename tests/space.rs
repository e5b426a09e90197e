//! Aims and leans in every view against NumPy (`support/space.py`, which has nothing of the program): where limbs go on
//! the page, how long they are, and which of two is nearer.

use std::fmt::Write as _;
use std::io::Write as _;
use std::path::Path;
use std::process::{Command, Stdio};

use layfig::geom::{Affine, Point};
use layfig::pose::ResolvedPose;
use serde_json::{Value, json};

use crate::support::{Staged, picture};

/// Numbers that look random, the same on every machine (Marsaglia, Xorshift RNGs, 2003).
struct Dice(u64);

impl Dice {
    fn roll(&mut self, least: f64, most: f64) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        let share = (self.0 >> 11) as f64 / (1_u64 << 53) as f64;
        // Four decimals, as files have them.
        ((least + share * (most - least)) * 1e4).round() / 1e4
    }

    fn one_in(&mut self, many: u32) -> bool {
        self.roll(0.0, f64::from(many)) < 1.0
    }
}

/// What `support/space.py` says of each case.
fn by_numpy(cases: &[Value]) -> Vec<Value> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut python = Command::new(root.join("target/tools/venv/bin/python"))
        .arg(root.join("tests/support/space.py"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("tests/support/setup.sh installs NumPy with Shapely");
    let mut to = python.stdin.take().expect("a pipe");
    to.write_all(json!(cases).to_string().as_bytes())
        .expect("written");
    drop(to);
    let out = python.wait_with_output().expect("an answer");
    let all: Vec<Value> = serde_json::from_slice(&out.stdout).expect("JSON");
    assert_eq!(all.len(), cases.len());
    all
}

struct Joint {
    name: String,
    parent: Option<usize>,
    pivot: Point,
    side: f64,
    left: f64,
    tip: Option<Point>,
    drawn: Option<Point>,
    depth: f64,
    aim: Option<Point>,
    lean: Option<[f64; 3]>,
    turn: f64,
}

/// A body of two leaning parts with limbs of three on both sides, and a tail; all of it at random.
fn body(dice: &mut Dice) -> Vec<Joint> {
    let joint = |name: &str, parent, pivot, side| Joint {
        name: name.to_owned(),
        parent,
        pivot,
        side,
        left: 0.0,
        tip: None,
        drawn: None,
        depth: 0.0,
        aim: None,
        lean: None,
        turn: 0.0,
    };
    let mut all = vec![
        joint("hips", None, [500.0, 600.0], 0.0),
        joint("chest", Some(0), [dice.roll(480.0, 520.0), 520.0], 0.0),
    ];
    for body in &mut all {
        body.lean = (!dice.one_in(3)).then(|| [0; 3].map(|_| dice.roll(-70.0, 70.0)));
        body.turn = dice.roll(-20.0, 20.0);
        body.tip = Some([body.pivot[0] + dice.roll(-90.0, 90.0), body.pivot[1] - 80.0]);
    }
    for (word, side) in [("near", -1.0), ("far", 1.0)] {
        let mut parent = 1;
        let mut at = [
            500.0 + side * dice.roll(20.0, 90.0),
            dice.roll(380.0, 420.0),
        ];
        for limb in ["arm", "fore", "hand", "finger"] {
            let mut own = joint(&format!("{limb}_{word}"), Some(parent), at, side);
            own.depth = dice.roll(-3.0, 3.0);
            if limb != "finger" {
                own.aim =
                    (!dice.one_in(9)).then(|| [dice.roll(0.0, 180.0), dice.roll(-180.0, 360.0)]);
                own.drawn = dice
                    .one_in(4)
                    .then(|| [dice.roll(10.0, 150.0), dice.roll(20.0, 60.0)]);
                own.turn = if dice.one_in(3) {
                    dice.roll(-40.0, 40.0)
                } else {
                    0.0
                };
            }
            parent = all.len();
            all.push(own);
            at = [
                at[0] + dice.roll(-60.0, 60.0),
                at[1] + dice.roll(30.0, 90.0),
            ];
        }
    }
    let half = (all[2].pivot[0] - all[6].pivot[0]).abs() / 2.0;
    for at in 2..all.len() {
        // The pair of each, in the only view.
        let pair = if at < 6 { at + 4 } else { at - 4 };
        let apart = (all[at].pivot[0] - all[pair].pivot[0]).abs() / 2.0;
        all[at].left = all[at].side * apart;
    }
    assert!(half > 0.0);
    all
}

const ART: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1000 1000"><g id="a"><path d="M400 400H600V600H400Z" fill="#d22f27"/></g></svg>"##;

/// A rig of one view, and its pose.
fn files(all: &[Joint], facing: f64, shortest: f64) -> (String, String) {
    let mut rig = format!(
        "[character]\ncanvas = [1000, 1000]\nposes = [\"p.toml\"]\nnear = \"right\"\nfacing = {facing:?}\nshortest = {shortest:?}\n"
    );
    let mut seams = String::from("[seam]\n");
    for own in all {
        let Joint {
            name, pivot, depth, ..
        } = own;
        write!(
            rig,
            "[part.{name}]\nart = \"a.svg#a\"\npivot = {pivot:?}\ndepth = {depth:?}\n"
        )
        .unwrap();
        if let Some(parent) = own.parent {
            let parent = &all[parent].name;
            writeln!(rig, "parent = \"{parent}\"").unwrap();
            if own.side != 0.0 && !name.starts_with("arm") {
                writeln!(seams, "{name} = [\"{parent}\", \"{name}\"]").unwrap();
            }
        }
        if let Some(tip) = own.tip {
            writeln!(rig, "tip = {tip:?}").unwrap();
        }
        if let Some(drawn) = own.drawn {
            writeln!(rig, "drawn = {drawn:?}").unwrap();
        }
    }
    let table = |key: &str, value: &dyn Fn(&Joint) -> Option<String>| {
        let said = all
            .iter()
            .filter_map(|own| Some(format!("{} = {}", own.name, value(own)?)));
        format!("{key} = {{ {} }}\n", said.collect::<Vec<_>>().join(", "))
    };
    let pose = format!(
        "[pose.p]\n{}{}{}",
        table("aim", &|own| own.aim.map(|aim| format!("{aim:?}"))),
        table("lean", &|own| own.lean.map(|lean| format!("{lean:?}"))),
        table("turn", &|own| (own.turn != 0.0)
            .then(|| format!("{:?}", own.turn))),
    );
    (format!("{rig}{seams}"), pose)
}

fn case(all: &[Joint], facing: f64) -> Value {
    let parts = all.iter().enumerate().map(|(at, own)| {
        let next = all.get(at + 1).filter(|next| next.parent == Some(at));
        let tip = own.tip.or(next.map(|next| next.pivot));
        json!({
            "parent": own.parent, "pivot": own.pivot, "tip": tip, "side": own.side, "left": own.left,
            "drawn": own.drawn, "aim": own.aim, "lean": own.lean,
        })
    });
    json!({ "facing": facing, "parts": parts.collect::<Vec<_>>() })
}

#[test]
fn limbs_point_are_long_and_lie_where_numpy_says() {
    let mut dice = Dice(0x2545_F491_4F6C_DD1D);
    let bodies: Vec<(Vec<Joint>, f64, f64)> = (0..150)
        .map(|_| {
            (
                body(&mut dice),
                dice.roll(-200.0, 360.0),
                dice.roll(0.01, 0.5),
            )
        })
        .collect();
    let asked: Vec<Value> = bodies
        .iter()
        .map(|(all, facing, _)| case(all, *facing))
        .collect();
    let (mut directions, mut lengths, mut orders, mut clamped) = (0, 0, 0, 0);
    for ((all, facing, shortest), want) in bodies.iter().zip(by_numpy(&asked)) {
        let (rig, pose) = files(all, *facing, *shortest);
        let staged = Staged::write(&[("rig.toml", &rig), ("p.toml", &pose), ("a.svg", ART)]);
        let resolved = ResolvedPose::new(staged.pose("p"), &staged.member.views[0]);
        let figure = staged.figure("p");
        let order = figure.depth_order();
        let place = |name: &str| {
            order
                .iter()
                .position(|known| *known == name)
                .expect("a part")
        };
        let want = want.as_array().expect("a list");
        for (at, (own, want)) in all.iter().zip(want).enumerate() {
            let setting = resolved.parts[at].setting;
            if own.aim.is_none() {
                continue;
            }
            let next = all[at + 1].pivot;
            let line = [0, 1].map(|k| next[k] - own.pivot[k]);
            let page: Option<Point> = serde_json::from_value(want["page"].clone()).expect("a pair");
            let share = want["share"].as_f64();
            if let (Some([x, y]), Some(share)) = (page, share) {
                let t = figure.transform_of(&own.name).expect("a part");
                // Its plain turn adds.
                let [along, down] = Affine::turn(own.turn).apply([x, y]);
                let got = [t.a * line[0] + t.c * line[1], t.b * line[0] + t.d * line[1]];
                let length = libm::hypot(got[0], got[1]);
                assert!(
                    (got[0] / length - along).abs() < 1e-9 && (got[1] / length - down).abs() < 1e-9,
                    "{} goes along {got:?}, not [{along}, {down}]",
                    own.name
                );
                directions += 1;
                assert!(
                    (setting.stretch - share.max(*shortest)).abs() < 1e-9,
                    "{share} {setting:?}"
                );
                lengths += 1;
                clamped += usize::from(share < *shortest);
            }
            let carrier = &all[own.parent.expect("a carrier")].name;
            let toward = want["toward"].as_f64().expect("a number");
            // Of limbs that are not aimed nothing is said.
            let all_aimed = all[2..]
                .iter()
                .all(|own| own.aim.is_some() || own.name.starts_with("finger"));
            if toward.abs() > 0.15 && all_aimed {
                assert_eq!(
                    place(&own.name) > place(carrier),
                    toward > 0.0,
                    "{} {toward}",
                    own.name
                );
                orders += 1;
            }
        }
    }
    assert!(
        directions > 400 && lengths > 400 && orders > 150 && clamped > 20,
        "{directions} {lengths} {orders} {clamped}"
    );
}

/// A capsule of a figure: on the end of another, or on the middle of the body, this far to the left, up and forward.
struct Capsule {
    name: &'static str,
    on: Option<&'static str>,
    at: [f64; 3],
    side: f64,
    length: f64,
    radius: f64,
}

/// Trunk, head, arms and legs. Bodies stand, limbs hang.
fn figure() -> Vec<Capsule> {
    let capsule = |name, on, at, side, length, radius| Capsule {
        name,
        on,
        at,
        side,
        length,
        radius,
    };
    let mut all = vec![
        capsule("trunk", None, [0.0; 3], 0.0, 150.0, 30.0),
        capsule("head", Some("trunk"), [0.0; 3], 0.0, 70.0, 24.0),
    ];
    for (side, names) in [
        (1.0, ["upper_left", "fore_left", "thigh_left", "shin_left"]),
        (
            -1.0,
            ["upper_right", "fore_right", "thigh_right", "shin_right"],
        ),
    ] {
        let [upper, fore, thigh, shin] = names;
        all.push(capsule(
            upper,
            Some("trunk"),
            [side * 55.0, -10.0, 0.0],
            side,
            100.0,
            16.0,
        ));
        all.push(capsule(fore, Some(upper), [0.0; 3], side, 90.0, 13.0));
        all.push(capsule(
            thigh,
            None,
            [side * 25.0, 0.0, 0.0],
            side,
            130.0,
            20.0,
        ));
        all.push(capsule(shin, Some(thigh), [0.0; 3], side, 120.0, 15.0));
    }
    all
}

const SIDE: u32 = 800;
const MIDDLE: Point = [400.0, 400.0];

/// The view that faces so: its file and its drawing, every capsule as it stands or hangs, and a ball at its end.
fn drawn(all: &[Capsule], facing: f64) -> (String, String) {
    let mut svg =
        format!("<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {SIDE} {SIDE}\">\n");
    let (mut parts, mut seams) = (String::new(), String::from("[seam]\n"));
    let cos = libm::cos(facing.to_radians());
    let mut ends: Vec<Point> = Vec::new();
    for own in all {
        let Capsule {
            name,
            radius: r,
            length,
            ..
        } = own;
        let on = own.on.map(|on| {
            all.iter()
                .position(|other| other.name == on)
                .expect("a name")
        });
        let [x, y] = on.map_or(MIDDLE, |on| ends[on]);
        let [x, y] = [x + own.at[0] * cos, y - own.at[1]];
        let tip = if own.side == 0.0 {
            y - length
        } else {
            y + length
        };
        ends.push([x, tip]);
        let (top, low) = (y.min(tip), y.max(tip));
        let group = |name: &str, top: f64, low: f64| {
            let (left, right) = (x - r, x + r);
            format!(
                "<g id=\"{name}\"><path fill=\"#d22f27\" d=\"M{left} {top} A{r} {r} 0 0 1 {right} {top} V{low} A{r} {r} 0 0 1 {left} {low} Z\"/></g>\n"
            )
        };
        svg.push_str(&group(name, top, low));
        svg.push_str(&group(&format!("end_{name}"), tip, tip));
        writeln!(
            parts,
            "[part.{name}]\nart = \"a{facing}.svg#{name}\"\npivot = [{x:?}, {y:?}]"
        )
        .unwrap();
        if let Some(on) = own.on {
            writeln!(parts, "parent = \"{on}\"").unwrap();
        }
        writeln!(
            parts,
            "[part.end_{name}]\nart = \"a{facing}.svg#end_{name}\"\nparent = \"{name}\"\npivot = [{x:?}, {tip:?}]"
        )
        .unwrap();
        writeln!(seams, "{name} = [\"{name}\", \"end_{name}\"]").unwrap();
    }
    (format!("{parts}{seams}"), svg + "</svg>")
}

#[test]
fn a_figure_of_capsules_is_seen_from_eight_sides_as_shapely_sees_it() {
    let all = figure();
    let facings = [0.0, 45.0, 90.0, 135.0, 180.0, 225.0, 270.0, 315.0];
    let mut dice = Dice(0x9E37_79B9_7F4A_7C15);
    let mut rig =
        format!("[character]\ncanvas = [{SIDE}, {SIDE}]\nposes = [\"p.toml\"]\n[views]\n");
    let mut files: Vec<(String, String)> = Vec::new();
    for facing in facings {
        writeln!(
            rig,
            "v{facing} = {{ file = \"v{facing}.toml\", facing = {facing:?} }}"
        )
        .unwrap();
        let (view, svg) = drawn(&all, facing);
        files.extend([
            (format!("v{facing}.toml"), view),
            (format!("a{facing}.svg"), svg),
        ]);
    }
    let mut poses = String::new();
    let mut says: Vec<(Vec<Option<Point>>, [f64; 3])> = Vec::new();
    for pose in 0..6 {
        // Half of a limb's length is seen at least, from wherever.
        let mut aim = |own: &Capsule| {
            let lift = dice.roll(0.0, 60.0);
            let lift = if dice.one_in(2) { 180.0 - lift } else { lift };
            (own.side != 0.0).then(|| [lift, dice.roll(-180.0, 180.0)])
        };
        let aims: Vec<Option<Point>> = all.iter().map(&mut aim).collect();
        let lean = [
            dice.roll(-50.0, 50.0),
            dice.roll(-30.0, 30.0),
            dice.roll(-90.0, 90.0),
        ];
        let table = all
            .iter()
            .zip(&aims)
            .filter_map(|(own, aim)| Some(format!("{} = {:?}", own.name, (*aim)?)));
        let table = table.collect::<Vec<_>>().join(", ");
        writeln!(
            poses,
            "[pose.p{pose}]\naim = {{ {table} }}\nlean = {{ head = {lean:?} }}"
        )
        .unwrap();
        says.push((aims, lean));
    }
    files.extend([("rig.toml".to_owned(), rig), ("p.toml".to_owned(), poses)]);
    let files: Vec<(&str, &str)> = files
        .iter()
        .map(|(name, text)| (&**name, &**text))
        .collect();
    let staged = Staged::write(&files);
    let mut asked = Vec::new();
    for (pose, (aims, lean)) in says.iter().enumerate() {
        for (facing, puppet) in facings.iter().zip(&staged.puppets) {
            let figure = puppet
                .figure(staged.pose(&format!("p{pose}")))
                .expect("it is solved");
            let limbs = all.iter().zip(aims).map(|(own, aim)| {
                let Capsule { name, on, at, side, length, radius } = own;
                let lean = (*name == "head").then_some(lean);
                json!({
                    "name": name, "on": on, "at": at, "side": side, "length": length, "radius": radius,
                    "aim": aim, "lean": lean,
                })
            });
            let limbs: Vec<Value> = limbs.collect();
            asked.push(json!({
                "facing": facing, "middle": MIDDLE, "limbs": limbs, "side": SIDE,
                "runs": runs(&picture(&figure, 1.0, None)),
            }));
        }
    }
    for (at, found) in by_numpy(&asked).iter().enumerate() {
        assert!(found["drawn"].as_u64() > Some(20_000), "{at}: {found}");
        assert_eq!(found["wrong"].as_u64(), Some(0), "{at}: {found}");
    }
    assert_eq!(asked.len(), 48);
}

/// Rows of pixels that are covered by half or more: row, start, end.
fn runs(frame: &layfig::draw::Frame) -> Vec<[u32; 3]> {
    let pixels = frame.pixels.pixels();
    let mut runs: Vec<[u32; 3]> = Vec::new();
    for row in 0..SIDE {
        for x in 0..SIDE {
            if pixels[(row * SIDE + x) as usize].alpha() < 128 {
                continue;
            }
            match runs.last_mut() {
                Some([last, _, end]) if *last == row && *end == x => *end += 1,
                _ => runs.push([row, x, x + 1]),
            }
        }
    }
    runs
}
