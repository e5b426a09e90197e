//! Limbs made longer and shorter along their lines.

use crate::limbs::{INK, Limb, Setup, by_shapely};
use crate::support::{Staged, averaged, demo, difference, picture};
use layfig::art::Rgb;
use layfig::cast::{NameId, Pose, PoseEntry};
use layfig::export::svg;
use layfig::geom::Point;
use tiny_skia::Pixmap;

const WHITE: Option<Rgb> = Some(Rgb([255, 255, 255]));

const ART: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 400 400">
<g id="arm"><path d="M100 90H200A10 10 0 0 1 200 110H100A10 10 0 0 1 100 90Z" fill="#fff" stroke="#000" stroke-width="2"/></g>
<g id="hand"><path d="M200 90H240V110H200A10 10 0 0 1 200 90Z" fill="#fff" stroke="#000" stroke-width="2"/></g>
<g id="disc"><circle cx="300" cy="300" r="20" fill="#fff"/></g>
</svg>"##;
const RIG: &str = r#"drawing = "a.svg"
[character]
canvas = "a.svg"
poses = ["p.toml"]
[part.arm]
pivot = [100, 100]
[part.band]
parent = "arm"
pivot = [125, 100]
[part.hand]
parent = "arm"
pivot = [200, 100]
[part.ring]
parent = "hand"
pivot = [230, 100]
[part.disc]
pivot = [300, 300]
[seam]
wrist = ["arm", "hand"]
"#;

fn staged(rig: &str, poses: &str) -> Staged {
    Staged::write(&[("rig.toml", rig), ("a.svg", ART), ("p.toml", poses)])
}

fn pivot(staged: &Staged, pose: &str, part: &str, at: [f64; 2]) -> [f64; 2] {
    let figure = staged.figure(pose);
    figure.transform_of(part).expect("a part").apply(at)
}

#[track_caller]
fn assert_near(found: [f64; 2], want: [f64; 2]) {
    let near = (0..2).all(|k| (found[k] - want[k]).abs() < 1e-9);
    assert!(near, "{found:?}, not {want:?}");
}

// By hand: the arm is 100 long from its pivot to the hand's. Soft ends are a quarter of it, at most of what is left:
// with stretch 1.5 lengths grow by (1.5 - 0.25) / 0.75 = 5/3 in the middle, half way there a quarter along: 25 become
// 25 * (1 + 5/3) / 2 = 100/3.
#[test]
fn what_a_stretched_part_carries_rides_on_its_pivots_place_unstretched() {
    let staged = staged(
        RIG,
        "[pose.long]\nstretch = { arm = 1.5 }\n[pose.all]\nfrom = \"long\"\nturn = { arm = 90, hand = -90 }\nscale = { arm = [2, 1] }\nmove = { hand = [3, 0] }\n[pose.short]\nstretch = { arm = 0.5 }\n[pose.hand]\nstretch = { hand = 2 }\n",
    );
    assert_near(
        pivot(&staged, "long", "hand", [200.0, 100.0]),
        [250.0, 100.0],
    );
    assert_near(
        pivot(&staged, "long", "ring", [230.0, 100.0]),
        [280.0, 100.0],
    );
    let third = 100.0 + 100.0 / 3.0;
    assert_near(
        pivot(&staged, "long", "band", [125.0, 100.0]),
        [third, 100.0],
    );
    assert_near(
        pivot(&staged, "short", "hand", [200.0, 100.0]),
        [150.0, 100.0],
    );
    // Stretched to 150, the hand moved by 3, all scaled by 2, turned down.
    assert_near(
        pivot(&staged, "all", "hand", [200.0, 100.0]),
        [100.0, 406.0],
    );
    // 10 along the hand, which is turned back: scaled by 2 with the arm, not stretched.
    let [x, y] = pivot(&staged, "all", "hand", [210.0, 100.0]);
    assert_near([x - 100.0, y - 406.0], [10.0, 0.0]);
    // The hand's own line goes to the middle of its far end, 40 away: the ring at 30 is in the soft end.
    let at = |u: f64| 2.0 - (1.0 - u + (4.0 / 3.0) * (1.0 - u) * (1.0 - u) / (2.0 * 0.25));
    let [x, y] = pivot(&staged, "hand", "ring", [230.0, 100.0]);
    let most: f64 = (2.0 - 0.25) / 0.75;
    assert!((most - 1.0 - 4.0 / 3.0).abs() < 1e-12);
    assert_near([x, y], [200.0 + 40.0 * at(0.75), 100.0]);
}

#[test]
fn a_line_ends_at_its_tip_else_at_a_joint_else_at_the_far_end() {
    let end = |extra: &str, part: &str| {
        let rig = RIG.replace(
            "pivot = [100, 100]\n",
            &format!("pivot = [100, 100]\n{extra}"),
        );
        let staged = staged(&rig, "[pose.rest]\n");
        let view = &staged.member.views[0];
        let names = &staged.member.names;
        let found = view.parts.iter().find(|p| names[p.name.at()] == part);
        found.expect("a part").end
    };
    assert_near(end("", "arm").expect("a joint"), [200.0, 100.0]);
    assert_near(
        end("tip = [200, 120]\n", "arm").expect("a tip"),
        [200.0, 120.0],
    );
    let of = end("tip = { of = \"ring\" }\n", "arm");
    assert_near(of.expect("a part's pivot"), [230.0, 100.0]);
    // The ring has no art, so no line; a disc that turns about its middle has no axis.
    assert_eq!(end("", "ring"), None);
    assert_eq!(end("", "disc"), None);
    let [x, y] = end("", "hand").expect("a far end");
    assert!(
        (x - 240.0).abs() < 1e-6 && (y - 100.0).abs() < 1e-6,
        "{x} {y}"
    );
}

/// Two capsules, half as wide as this, the first stretched by one factor, the second by another.
const WIDE: f64 = 20.0;

fn limb(name: &'static str, from: f64, to: f64) -> Limb {
    let end = |x: f64| ([x, 150.0], WIDE);
    Limb {
        name,
        ends: [end(from), end(to)],
        pivot: [from, 150.0],
    }
}

fn arm(lengths: [f64; 2], order: &[&'static str]) -> Setup {
    let joint = 30.0 + lengths[0];
    Setup {
        limbs: vec![limb("a", 30.0, joint), limb("b", joint, joint + lengths[1])],
        others: Vec::new(),
        order: order.to_vec(),
        zone: None,
    }
}

fn stretched(by: [f64; 2], turn: f64, order: &[&'static str]) -> Staged {
    let [rig, svg, poses] = arm([90.0, 80.0], order).files(&[vec![turn]]);
    let rig = rig.replace("[part.b]\n", "[part.b]\ntip = [200, 150]\n");
    let said = format!("[pose.p0]\nstretch = {{ a = {}, b = {} }}\n", by[0], by[1]);
    let poses = poses.replace("[pose.p0]\n", &said);
    Staged::write(&[("rig.toml", &rig), ("a.svg", &svg), ("p.toml", &poses)])
}

/// Area of ink, black on white, square units.
fn ink(staged: &Staged) -> f64 {
    let frame = picture(&staged.figure("p0"), 4.0, WHITE);
    let dark = frame.pixels.data().chunks_exact(4);
    let dark: f64 = dark.map(|p| f64::from(255 - p[0]) / 255.0).sum();
    dark / 16.0
}

// A capsule stretched along its line is the capsule that is drawn so long: the same pixels, and the area of ink that
// Shapely reads off the law of lines (`support/line_law.py`) for limbs of that length, the seam closed at every bend.
#[test]
fn stretched_limbs_are_those_that_are_drawn_so_long() {
    let mut asked = Vec::new();
    let mut drawn = Vec::new();
    for by in [0.6, 0.8, 1.2, 1.4] {
        for (turn, order) in [(0.0, ["a", "b"]), (60.0, ["a", "b"]), (-95.0, ["b", "a"])] {
            let factors = [by, 2.0 - by];
            let long = arm([90.0 * factors[0], 80.0 * factors[1]], &order);
            let long_staged = long.staged(&[vec![turn]]);
            let short = stretched(factors, turn, &order);
            asked.push(long.scene(&long_staged, "p0", &[turn], true));
            let [a, b] = [&short, &long_staged].map(|s| picture(&s.figure("p0"), 4.0, WHITE));
            let pairs = a.pixels.data().iter().zip(b.pixels.data());
            let most = pairs.map(|(a, b)| a.abs_diff(*b)).max();
            assert!(most <= Some(1), "{by} {turn}: {most:?}");
            drawn.push((by, turn, ink(&short)));
            // Closed form: a rectangle and a disc.
            let area = short
                .figure("p0")
                .paint_of("a", 8.0)
                .expect("a part")
                .area();
            let want = 2.0 * WIDE * 90.0 * by + std::f64::consts::PI * WIDE * WIDE;
            assert!(
                (area - want).abs() < want * 1e-3,
                "{by}: {area}, not {want}"
            );
        }
    }
    for ((by, turn, got), law) in drawn.iter().zip(by_shapely(&asked)) {
        let want = law["area"].as_f64().expect("a number");
        assert!(
            (got - want).abs() < want * 0.003,
            "{by} {turn}: {got}, not {want}"
        );
    }
}

/// A wedge, its line along x from (100, 100) to (200, 100), with a bar across and a line along it.
const WEDGE: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 400 200">
<g id="wedge"><path id="wedge_paint" d="M90 60L210 85V115L90 140Z" fill="#fff"/>
<path id="edge_ink" d="M90 60L210 85V115L90 140Z" fill="none" stroke="#000" stroke-width="4"/>
<path id="bar_ink" d="M150 80V120" fill="none" stroke="#000" stroke-width="4"/></g></svg>"##;

fn wedge(by: f64) -> Staged {
    let rig = "drawing = \"a.svg\"\n[character]\ncanvas = \"a.svg\"\nposes = [\"p.toml\"]\n[part.wedge]\npivot = [100, 100]\ntip = [200, 100]\n";
    let poses = format!("[pose.p0]\nstretch = {{ wedge = {by} }}\n");
    Staged::write(&[("rig.toml", rig), ("a.svg", WEDGE), ("p.toml", &poses)])
}

/// Where a place along the line goes: the integral of what lengths grow by, worked out by the trapezoidal rule from
/// the words of `layfig explain posing`: none at the ends, most in the middle, in between in proportion.
fn along(by: f64, at: f64) -> f64 {
    let soft = 0.25 * by.min(1.0);
    let most = (by - soft) / (1.0 - soft);
    let grows = |t: f64| 1.0 + (most - 1.0) * (t.min(1.0 - t) / soft).clamp(0.0, 1.0);
    let steps = 20_000;
    let step = at / f64::from(steps);
    let at = |k: i32| grows(f64::from(k) * step);
    (0..steps).map(|k| (at(k) + at(k + 1)) / 2.0 * step).sum()
}

// Lines keep their width, along the limb and across it, and outlines go where the map puts them: a point of the
// wedge's edge at x is as far off the line as it was drawn.
#[test]
fn lines_keep_their_width_and_outlines_follow() {
    for by in [0.5, 0.75, 1.3, 1.5] {
        let staged = wedge(by);
        let frame = picture(&staged.figure("p0"), 8.0, WHITE);
        let (width, data) = (frame.pixels.width() as usize, frame.pixels.data());
        let dark = |x: f64, y: f64| {
            let at = (y * 8.0) as usize * width + (x * 8.0) as usize;
            f64::from(255 - data[at * 4]) / 255.0
        };
        let units = |from: f64| (0..80).map(move |k| from + f64::from(k) / 8.0 + 1.0 / 16.0);
        let bar = 100.0 + 100.0 * along(by, 0.5);
        let across: f64 = units(bar - 5.0).map(|x| dark(x, 100.0)).sum::<f64>() / 8.0;
        assert!((across - INK).abs() < 0.05, "{by}: {across} across");
        let middle: f64 = units(bar - 5.0).map(|x| dark(x, 100.0) * x).sum::<f64>() / 8.0;
        assert!(
            (middle / across - bar).abs() < 0.03,
            "{by}: {}",
            middle / across
        );
        for at in [0.1, 0.3, 0.7, 0.9] {
            let x = 100.0 + 100.0 * along(by, at);
            // By the drawing: 60 at 90 down to 85 at 210.
            let want = 60.0 + 25.0 * (10.0 + 100.0 * at) / 120.0;
            let column: Vec<(f64, f64)> = units(want - 5.0).map(|y| (y, dark(x, y))).collect();
            let all: f64 = column.iter().map(|(_, d)| d).sum();
            let middle: f64 = column.iter().map(|(y, d)| y * d).sum::<f64>() / all;
            assert!(
                (middle - want).abs() < 0.06,
                "{by} at {at}: {middle}, not {want}"
            );
        }
    }
}

// A sleeve is stretched with the limb that it is worn on; what else the limb carries is not.
#[test]
fn garments_are_stretched_with_their_host() {
    let art = r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 400 200">
<g id="arm"><path d="M100 90H300V110H100Z" fill="#fff"/></g>
<g id="sleeve"><path d="M100 80H200V120H100Z" fill="#800"/></g>
<g id="watch"><path d="M240 95H250V105H240Z" fill="#080"/></g></svg>"##;
    let rig = "drawing = \"a.svg\"\n[character]\ncanvas = \"a.svg\"\nposes = [\"p.toml\"]\n[part.arm]\npivot = [100, 100]\ntip = [300, 100]\n[part.sleeve]\nparent = \"arm\"\npivot = [150, 100]\n[part.watch]\nparent = \"arm\"\npivot = [245, 100]\n[garment.sleeve]\non = \"arm\"\n";
    let poses = "[pose.p0]\nstretch = { arm = 0.5 }\n";
    let staged = Staged::write(&[("rig.toml", rig), ("a.svg", art), ("p.toml", poses)]);
    let figure = staged.figure("p0");
    let ends = |part: &str| {
        let paint = figure.paint_of(part, 8.0).expect("a part");
        let [left, _, right, _] = paint.bounds().expect("some paint");
        [left, right]
    };
    let near = |found: Point, want: Point| {
        let near = (0..2).all(|k| (found[k] - want[k]).abs() < 0.03);
        assert!(near, "{found:?}, not {want:?}");
    };
    near(ends("arm"), [100.0, 200.0]);
    near(ends("sleeve"), [100.0, 150.0]);
    let at = 100.0 + 200.0 * along(0.5, 0.725);
    near(ends("watch"), [at - 5.0, at + 5.0]);
}

/// The demo deckhand with all limbs stretched.
fn deckhand(staged: &Staged, by: f64) -> Pose {
    let limbs = ["upper_arm", "forearm", "thigh", "shin"];
    let names = limbs
        .iter()
        .flat_map(|limb| ["near", "far"].map(|side| format!("{limb}_{side}")));
    let entry = |name: String| {
        let known = staged.member.names.iter().position(|n| *n == name);
        PoseEntry {
            part: NameId(u32::try_from(known.expect("a part")).expect("few")),
            value: by,
            span: None,
        }
    };
    Pose {
        stretch: names.map(entry).collect(),
        ..staged.pose("haul").clone()
    }
}

// The exported figure, drawn by resvg, is the one that is drawn here: sleeves, seams and all.
#[test]
fn stretched_figures_export_to_what_others_draw_the_same() {
    let staged = demo("deckhand");
    for (v, puppet) in staged.puppets.iter().enumerate() {
        for by in [0.7, 1.3] {
            let figure = puppet.figure(&deckhand(&staged, by)).expect("a figure");
            let ours = picture(&figure, 1.0, WHITE).pixels;
            let text = svg(&figure, "stretched", 1.0, WHITE);
            let tree = usvg::Tree::from_str(&text, &usvg::Options::default()).expect("an SVG");
            let mut theirs = Pixmap::new(ours.width(), ours.height()).expect("a picture");
            resvg::render(
                &tree,
                tiny_skia::Transform::identity(),
                &mut theirs.as_mut(),
            );
            // As every demo pose is compared: `export.rs`.
            let found = difference(&averaged(&ours, 2), &averaged(&theirs, 2));
            assert!(
                found.mean < 1.0 && found.blob <= 12,
                "{v} {by}: {:?}",
                (found.mean, found.blob, found.at)
            );
        }
    }
}
