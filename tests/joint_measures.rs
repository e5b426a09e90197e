//! Jut, gap and the largest circle in a region, against tables made outside the project.
//!
//! `reference/jut.csv` (shapely 2.2.0), the butt gap of `reference/capsule_joint.csv` (closed form r^2 t/2,
//! equal to shapely's), `reference/lens.csv` (Weisstein, "Circle-Circle Intersection", MathWorld, eq. 14),
//! `reference/ciede2000.csv` (Sharma, Wu, Dalal, Color Research & Application 30(1), 2005, Table 1),
//! `reference/geometry.json` (closed forms and shapely's maximum inscribed circle).

#![expect(clippy::disallowed_methods, reason = "areas within a tolerance")]

use crate::support::{Staged, rows};
use layfig::art::ciede2000;
use layfig::cast::Measure;
use layfig::check::{Hidden, Joint, check};
use layfig::geom::{Affine, Point, Region};

/// Everything within `r` of the line from `from` to `to`, both on the x axis.
fn capsule(from: f64, to: f64, r: f64) -> Region {
    let cap = |x| Region::disc([x, 0.0], r, 1e-4);
    Region::rect([from, -r, to, r])
        .union(&cap(from))
        .union(&cap(to))
}

fn within_half_a_percent(got: f64, want: f64, what: &str) {
    assert!(
        (got - want).abs() <= want * 0.005 + 1e-3,
        "{what}: {got}, not {want}"
    );
}

#[test]
fn the_area_that_juts_out_is_the_table() {
    let parent = capsule(-100.0, 0.0, 20.0);
    let mut checked = 0;
    for row in rows(include_str!("reference/jut.csv")) {
        let v: Vec<f64> = row.iter().map(|c| c.parse().unwrap()).collect();
        let (r, behind, bend, want) = (v[0], v[1], v[2], v[3]);
        let child = capsule(-behind, 90.0, r);
        // The table takes all of the child behind its pivot, hidden at rest or not.
        let tail = child.intersection(&Region::rect([-200.0, -200.0, 0.0, 200.0]));
        let joint = Joint::new(&parent, &child, [0.0, 0.0], Hidden::BOTH)
            .unwrap()
            .with_child_tail(tail);
        within_half_a_percent(joint.jut_area(bend, [0.0, 0.0]), want, &format!("{v:?}"));
        checked += 1;
    }
    assert_eq!(checked, 25);
}

#[test]
fn what_is_hidden_at_rest_juts_out_as_the_table_says() {
    // Where the child's end is hidden at rest, the end that the joint finds for itself is the table's.
    let parent = capsule(-100.0, 0.0, 20.0);
    for row in rows(include_str!("reference/jut.csv")) {
        let v: Vec<f64> = row.iter().map(|c| c.parse().unwrap()).collect();
        if v[0] > 20.0 {
            continue;
        }
        let child = capsule(-v[1], 90.0, v[0]);
        let of_child = Hidden {
            parent: false,
            child: true,
        };
        let joint = Joint::new(&parent, &child, [0.0, 0.0], of_child).unwrap();
        within_half_a_percent(joint.jut_area(v[2], [0.0, 0.0]), v[3], &format!("{v:?}"));
        let jut = joint.jut(v[2], [0.0, 0.0]).reach;
        assert_eq!(jut > 0.02, v[3] > 1.0, "{v:?}: {jut}");
    }
}

#[test]
fn the_reach_of_a_jut_is_its_closed_form() {
    // A child from 10 behind the pivot, bent by 90 degrees: the end of its round cap is 30 from the
    // pivot, 10 beyond the parent's edge.
    let joint = |behind: f64| {
        let (parent, child) = (capsule(-100.0, 0.0, 20.0), capsule(-behind, 90.0, 20.0));
        Joint::new(&parent, &child, [0.0, 0.0], Hidden::BOTH).unwrap()
    };
    for behind in [2.0, 5.0, 10.0] {
        let jut = joint(behind).jut(90.0, [0.0, 0.0]);
        assert!((jut.reach - behind).abs() < 0.01, "{jut:?}");
        assert!(
            jut.of_child && (jut.at[1] + 20.0 + behind).abs() < 0.01,
            "{jut:?}"
        );
    }
    let true_pivot = joint(0.0);
    assert!(
        (true_pivot.width - 40.0).abs() < 0.05,
        "{}",
        true_pivot.width
    );
    assert!((true_pivot.disc - 20.0).abs() < 0.05, "{}", true_pivot.disc);
    for bend in [-120.0, -45.0, 0.0, 30.0, 150.0] {
        assert!(true_pivot.jut(bend, [0.0, 0.0]).reach < 0.01);
        assert_eq!(true_pivot.gap(bend, [0.0, 0.0]).area, 0.0);
    }
    // A pivot that is off by (0, d) moves the child's centre by d sqrt(2) at 90 degrees: so far does its
    // cap come out at the most.
    let jut = true_pivot.jut(90.0, [0.0, 4.0]).reach;
    assert!(jut > 3.9 && jut < 4.0 * 1.415, "{jut}");
}

// Two capsules of one radius r whose ends share a centre. A pivot d off that centre moves the centre of the child's
// end by 2 d sin(t/2). Along the limb, the child's end rises d sin t over the parent's edge (d > 0), or the
// parent's over the child's: a line meets a circle about r - d sin t from it, at acos(1 - d sin t / r). Across,
// to the side that closes, circle meets circle: 2 asin(d sin(t/2) / r). To the other side the end rises d (1 - cos t).
#[test]
fn the_kinks_of_two_capsules_are_the_closed_form() {
    let r = 20.0;
    let (parent, child) = (capsule(-100.0, 0.0, r), capsule(0.0, 90.0, r));
    let joint = Joint::new(&parent, &child, [0.0, 0.0], Hidden::BOTH).unwrap();
    for bend in (-15..=15).map(|k| f64::from(k) * 10.0) {
        let none = joint.kink(bend, [0.0, 0.0]);
        assert!(none.degrees < 0.8, "{bend}: {none:?}");
    }
    for d in [0.5_f64, 2.0, 4.0] {
        for bend in [20.0_f64, 45.0, 70.0, 90.0] {
            let t = bend.to_radians();
            let rises = |by: f64| (1.0 - by / r).acos();
            let cases = [
                ([d, 0.0], rises(d * t.sin())),
                ([-d, 0.0], rises(d * t.sin())),
                ([0.0, d], 2.0 * (d * (t / 2.0).sin() / r).asin()),
                ([0.0, -d], rises(d * (1.0 - t.cos()))),
            ];
            for ([x, y], want) in cases {
                for way in [1.0, -1.0] {
                    let got = joint.kink(way * bend, [x, way * y]).degrees;
                    let want = want.to_degrees();
                    assert!(
                        (got - want).abs() < 0.8,
                        "{x}, {y} at {bend} x {way}: {got}, not {want}"
                    );
                }
            }
        }
    }
}

#[test]
fn the_gap_of_two_flat_ends_is_the_wedge() {
    let (parent, child) = (
        Region::rect([-100.0, -20.0, 0.0, 20.0]),
        Region::rect([0.0, -20.0, 90.0, 20.0]),
    );
    let joint = Joint::new(&parent, &child, [0.0, 0.0], Hidden::BOTH).unwrap();
    let mut checked = 0;
    for row in rows(include_str!("reference/capsule_joint.csv")) {
        let (bend, want): (f64, f64) = (row[0].parse().unwrap(), row[9].parse().unwrap());
        let gap = joint.gap(bend, [0.0, 0.0]);
        within_half_a_percent(gap.area, want, &format!("bend {bend}"));
        // The circle in a sector of radius r and angle t: r sin(t/2) / (1 + sin(t/2)).
        let half = (bend.to_radians() / 2.0).sin();
        within_half_a_percent(
            gap.width,
            40.0 * half / (1.0 + half),
            &format!("width at {bend}"),
        );
        checked += 1;
    }
    assert_eq!(checked, 9);
}

#[test]
fn the_ink_that_stands_in_the_other_part_is_the_table() {
    // Column seam_ink: the ring of the part in front inside what shows of the other.
    let ring = |from, to| capsule(from, to, 22.0).difference(&capsule(from, to, 18.0));
    let (parent, child) = (capsule(-100.0, 0.0, 22.0), capsule(0.0, 90.0, 22.0));
    let joint = Joint::new(&parent, &child, [0.0, 0.0], Hidden::BOTH).unwrap();
    let mut checked = 0;
    for row in rows(include_str!("reference/capsule_joint.csv")) {
        let (bend, want): (f64, f64) = (row[0].parse().unwrap(), row[7].parse().unwrap());
        let of_child = joint.standing(&ring(0.0, 90.0), &capsule(-100.0, 0.0, 18.0), true, bend);
        within_half_a_percent(of_child.area(), want, &format!("bend {bend}"));
        // What the parent's ink leaves in a child behind it is the same figure in a mirror.
        let of_parent = joint.standing(&ring(-100.0, 0.0), &capsule(0.0, 90.0, 18.0), false, bend);
        within_half_a_percent(of_parent.area(), want, &format!("parent, bend {bend}"));
        checked += 1;
    }
    assert_eq!(checked, 9);
}

#[test]
fn lenses_have_the_closed_form_s_area() {
    for row in rows(include_str!("reference/lens.csv")) {
        let v: Vec<f64> = row.iter().map(|c| c.parse().unwrap()).collect();
        let a = Region::disc([0.0, 0.0], v[0], 1e-5);
        let b = Region::disc([v[2], 0.0], v[1], 1e-5);
        within_half_a_percent(a.intersection(&b).area(), v[3], &format!("{v:?}"));
    }
}

#[test]
fn the_largest_circle_is_the_closed_form_s_and_shapely_s() {
    let json: serde_json::Value =
        serde_json::from_str(include_str!("reference/geometry.json")).unwrap();
    let cases = json["max_inscribed_circle"].as_array().unwrap();
    assert!(cases.len() >= 6);
    for case in cases {
        let points: Vec<Point> = case["polygon"]
            .as_array()
            .unwrap()
            .iter()
            .map(|p| [p[0].as_f64().unwrap(), p[1].as_f64().unwrap()])
            .collect();
        let region = Region::from_contours(&[points], tiny_skia::FillRule::Winding);
        let circle = region.inscribed_circle(1e-4).unwrap();
        for key in ["radius", "shapely_radius"] {
            if let Some(want) = case[key].as_f64() {
                // shapely's own tolerance is a thousandth of the polygon's size.
                let slack = if key == "radius" { 2e-4 } else { 2e-3 * want };
                assert!(
                    (circle.radius - want).abs() <= slack,
                    "{} {key}: {circle:?}, not {want}",
                    case["case"]
                );
            }
        }
        // It is inside, and touches.
        assert!(region.contains(circle.centre));
        assert!((region.distance_to_edge(circle.centre) - circle.radius).abs() < 1e-9);
    }
}

// Shapely itself, in the version that tests/support/setup.sh installs: stars and crescents from a formula.
#[test]
fn the_largest_circle_is_shapely_s_on_forty_shapes() {
    let mut shapes: Vec<Vec<Point>> = Vec::new();
    for k in 0..40_u32 {
        let (n, seed) = (5 + k % 23, f64::from(k));
        let ring = (0..n).map(|i| {
            let t = std::f64::consts::TAU * f64::from(i) / f64::from(n);
            let r = 40.0 + 25.0 * (3.0 * t + seed).sin() + 14.0 * (7.0 * t + 2.0 * seed).cos();
            [r * t.cos() * (1.0 + 0.1 * seed), r * t.sin()]
        });
        shapes.push(ring.collect());
    }
    let program = "import json,sys,shapely\nq=json.load(sys.stdin)\nout=[]\nfor p in q:\n g=shapely.Polygon(p)\n \
        assert g.is_valid\n out.append(shapely.maximum_inscribed_circle(g,tolerance=1e-3).length)\nprint(json.dumps(out))";
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut python = std::process::Command::new(root.join("target/tools/venv/bin/python"))
        .args(["-c", program])
        .stdin(std::process::Stdio::piped())
        .stdout(std::process::Stdio::piped())
        .spawn()
        .expect("tests/support/setup.sh installs Shapely");
    let asked = serde_json::to_vec(&shapes).unwrap();
    std::io::Write::write_all(&mut python.stdin.take().unwrap(), &asked).unwrap();
    let out = python.wait_with_output().unwrap();
    let want: Vec<f64> = serde_json::from_slice(&out.stdout).unwrap();
    assert_eq!(want.len(), shapes.len());
    for (points, want) in shapes.into_iter().zip(want) {
        let region = Region::from_contours(&[points], tiny_skia::FillRule::Winding);
        let circle = region.inscribed_circle(1e-3).unwrap();
        // Both stop within their tolerance of the largest.
        assert!(
            (circle.radius - want).abs() <= 2.5e-3,
            "{circle:?}, not {want}"
        );
    }
}

#[test]
fn a_joint_measures_the_same_wherever_it_stands() {
    let place = Affine::translate([300.0, 120.0]).after(Affine::turn(33.0));
    let put = |r: Region| r.transformed(&place);
    let pivot = place.apply([0.0, 0.0]);
    let (parent, child) = (capsule(-100.0, 0.0, 20.0), capsule(-10.0, 90.0, 18.0));
    let here = Joint::new(&parent, &child, [0.0, 0.0], Hidden::BOTH).unwrap();
    let there = Joint::new(&put(parent), &put(child), pivot, Hidden::BOTH).unwrap();
    for bend in [-90.0, 20.0, 75.0, 130.0] {
        let (a, b) = (here.jut(bend, [0.0, 0.0]), there.jut(bend, pivot));
        assert!((a.reach - b.reach).abs() < 0.01, "{a:?} {b:?}");
        let (a, b) = (here.jut_area(bend, [0.0, 0.0]), there.jut_area(bend, pivot));
        assert!((a - b).abs() < 0.1 + a * 1e-3, "{a} {b}");
    }
}

#[test]
fn colour_differences_are_the_published_ones() {
    let mut checked = 0;
    for row in rows(include_str!("reference/ciede2000.csv")) {
        let v: Vec<f64> = row.iter().map(|c| c.parse().unwrap()).collect();
        let got = ciede2000([v[1], v[2], v[3]], [v[4], v[5], v[6]]);
        assert!((got - v[7]).abs() <= 5e-5, "{v:?}: {got}");
        checked += 1;
    }
    assert_eq!(checked, 34);
}

/// Two limbs of paint 18 units to each side of the middle, with a round patch about or beside their joint.
fn patched(patch: &str, limits: &str) -> Vec<(Measure, f64)> {
    let svg = format!(
        r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 300 300">
<g id="a"><path id="a_paint" fill="#a06040" d="M50 130H150A20 20 0 0 1 150 170H50A20 20 0 0 1 50 130Z"/>
<path id="a_ink" fill="none" stroke="#000" stroke-width="4" d="M50 130H150A20 20 0 0 1 150 170H50A20 20 0 0 1 50 130Z"/></g>
<g id="b"><path id="b_paint" fill="#a06040" d="M150 130H240A20 20 0 0 1 240 170H150A20 20 0 0 1 150 130Z"/>
<path id="b_ink" fill="none" stroke="#000" stroke-width="4" d="M150 130H240A20 20 0 0 1 240 170H150A20 20 0 0 1 150 130Z"/></g>
<g id="patch">{patch}</g></svg>"##
    );
    let rig = format!(
        "[character]\nname = \"limb\"\ncanvas = [300, 300]\n\
         [part.a]\nart = \"art.svg#a\"\npivot = [50, 150]\n\
         [part.b]\nart = \"art.svg#b\"\nparent = \"a\"\npivot = [150, 150]\ndepth = 2\nlimits = {limits}\n\
         [seam.elbow]\nparts = [\"a\", \"b\"]\npatch = \"art.svg#patch\"\n"
    );
    let staged = Staged::write(&[("rig.toml", &rig), ("art.svg", &svg)]);
    let list = check(&staged.puppets[0], &[]).list;
    list.into_iter().map(|f| (f.measure, f.value)).collect()
}

#[test]
fn a_patch_outside_the_paint_is_a_segment_of_its_circle() {
    let round = |cy: f64, r: f64| {
        format!("<circle id=\"patch_paint\" cx=\"150\" cy=\"{cy}\" r=\"{r}\" fill=\"#a06040\"/>")
    };
    // About the pivot and within both round ends it lies on paint at every bend.
    assert_eq!(patched(&round(150.0, 17.5), "[0, 150]"), []);
    // Moved aside by d, what lies beyond the edge of the paint 18 units from the middle is a segment: circle
    // of radius r, chord h = 18 - d from its centre, area r^2 acos(h/r) - h sqrt(r^2 - h^2).
    for (d, r) in [(6.0, 18.0), (10.0, 12.0), (4.0, 17.0)] {
        let h: f64 = 18.0 - d;
        let segment = r * r * (h / r).acos() - h * (r * r - h * h).sqrt();
        let want = 100.0 * segment / (std::f64::consts::PI * r * r);
        let found = patched(&round(150.0 + d, r), "[0, 0]");
        assert_eq!(found.len(), 1, "{found:?}");
        assert_eq!(found[0].0, Measure::Spill);
        // Curves are flattened: that takes up to a twentieth of a percent of the patch.
        assert!(
            (found[0].1 - want).abs() < 0.06,
            "moved by {d}: {} {want}",
            found[0].1
        );
    }
    // A straight limb hides what a bent one does not: a patch along the upper limb's side.
    let long = "<rect id=\"patch_paint\" x=\"140\" y=\"136\" width=\"40\" height=\"10\" fill=\"#a06040\"/>";
    assert_eq!(patched(long, "[0, 0]"), []);
    assert!(
        patched(long, "[0, 120]")
            .iter()
            .any(|f| f.0 == Measure::Spill)
    );
    // And one of another colour shows: CIEDE2000 of the two paints as the published formula gives it.
    let green = round(150.0, 15.0).replace("#a06040", "#40a060");
    let found = patched(&green, "[0, 90]");
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!(found[0].0, Measure::Colour);
}

#[test]
fn the_safe_range_in_the_file_is_the_closed_form() {
    // The child's round end of radius 20 has its centre 10 behind the pivot: bent by t its centre is 10 sin t off
    // the parent's middle, and so far it comes out. The error limit of 16 % of a width of 40 is 6.4 units.
    let limit = (6.4_f64 / 10.0).asin().to_degrees();
    let dir = tempfile::tempdir().unwrap();
    let limb = |id: &str, from: f64, to: f64| {
        format!(
            "<path id=\"{id}\" fill=\"#a06040\" d=\"M{from} 130H{to}A20 20 0 0 1 {to} 170H{from}A20 20 0 0 1 {from} 130Z\"/>"
        )
    };
    let svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 300 300\">{}{}</svg>",
        limb("a", 50.0, 150.0),
        limb("b", 140.0, 240.0)
    );
    let rig = "[character]\nname = \"limb\"\ncanvas = [300, 300]\n\
               [part.a]\nart = \"art.svg#a\"\npivot = [50, 150]\n\
               [part.b]\nart = \"art.svg#b\"\nparent = \"a\"\npivot = [150, 150]\ndepth = 2\nlimits = [-80, 70]\n\
               [seam.elbow]\nparts = [\"a\", \"b\"]\n";
    let folder = dir.path().join("limb");
    std::fs::create_dir(&folder).unwrap();
    std::fs::write(folder.join("rig.toml"), rig).unwrap();
    std::fs::write(folder.join("art.svg"), svg).unwrap();
    let out = std::process::Command::new(env!("CARGO_BIN_EXE_layfig"))
        .current_dir(dir.path())
        .args(["check", "limb"])
        .output()
        .unwrap();
    assert_eq!(out.status.code(), Some(1), "{out:?}");
    let written = std::fs::read(dir.path().join("out/limb/check/findings.json")).unwrap();
    let found: serde_json::Value = serde_json::from_slice(&written).unwrap();
    let joint = &found["joints"][0];
    let near = |value: &serde_json::Value, want: f64, by: f64, what: &str| {
        let value = value.as_f64().unwrap();
        assert!((value - want).abs() <= by, "{what}: {value}, not {want}");
    };
    assert_eq!(joint["part"], "b");
    near(&joint["width"], 40.0, 0.1, "width");
    near(&joint["safe"][0], -limit, 0.15, "least");
    near(&joint["safe"][1], limit, 0.15, "most");
    // The finding is the worst of the whole range: at -80 degrees, where it is 10 sin 80.
    let worst = &found["findings"][0];
    assert_eq!(worst["measure"], "jut");
    near(&worst["turn"]["b"], -80.0, 0.1, "angle");
    let reach = 10.0 * 80.0_f64.to_radians().sin();
    near(&worst["value"], 100.0 * reach / 40.0, 0.15, "jut");
}
