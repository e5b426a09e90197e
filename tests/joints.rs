//! Seams, masks and garments against areas in closed form.
//!
//! Two capsules: `reference/capsule_joint.csv` (closed forms derived for this project and agreed with
//! shapely 2.2.0). Lenses: `reference/lens.csv` (Weisstein, "Circle-Circle Intersection", MathWorld,
//! eq. 14). Compositing: `reference/compositing.csv` (W3C Compositing and Blending Level 1, section
//! 9; Skia's own results beside it).

#![expect(clippy::disallowed_methods, reason = "areas within a tolerance")]

use crate::support::{Staged, picture, rows};
use layfig::art::Rgb;

const WHITE: Option<Rgb> = Some(Rgb([255, 255, 255]));
const SCALE: f64 = 4.0;

/// Dark area of a picture on white, square units.
fn ink(staged: &Staged, pose: &str) -> f64 {
    let frame = picture(&staged.figure(pose), SCALE, WHITE);
    let dark: u64 = frame
        .pixels
        .data()
        .chunks_exact(4)
        .map(|p| u64::from(255 - p[1]))
        .sum();
    dark as f64 / 255.0 / (SCALE * SCALE)
}

/// Two capsules about (150, 150), white with black ink of width 4, paths of radius 20; B is drawn over A.
fn capsules(extra: &str, zone: &str, poses: &str) -> Staged {
    capsules_from(150.0, extra, zone, poses)
}

/// The same, the line in the middle of B going from `x`.
fn capsules_from(x: f64, extra: &str, zone: &str, poses: &str) -> Staged {
    let b = format!("M{x} 130H240A20 20 0 0 1 240 170H{x}A20 20 0 0 1 {x} 130Z");
    let svg = r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 300 300">
<g id="a"><path id="a_paint" fill="#fff" d="M50 130H150A20 20 0 0 1 150 170H50A20 20 0 0 1 50 130Z"/>
<path id="a_ink" fill="none" stroke="#000" stroke-width="4" d="M50 130H150A20 20 0 0 1 150 170H50A20 20 0 0 1 50 130Z"/></g>
<g id="b"><path id="b_paint" fill="#fff" d="PATH_OF_B"/>
<path id="b_ink" fill="none" stroke="#000" stroke-width="4" d="PATH_OF_B"/></g>
<rect id="sheet" x="0" y="0" width="300" height="300" fill="#fff"/>
<circle id="coin" cx="150" cy="150" r="12" fill="#fff"/>
<circle id="disc" cx="150" cy="150" r="30" fill="#fff"/>
</svg>"##
        .replace("PATH_OF_B", &b);
    let rig = format!(
        r##"[character]
name = "capsules"
canvas = [300, 300]
poses = ["poses.toml"]
[part.a]
art = "art.svg#a"
pivot = [50, 150]
[part.b]
art = "art.svg#b"
parent = "a"
pivot = [150, 150]
depth = 2
[seam.elbow]
parts = ["a", "b"]
zone = {zone}
{extra}"##
    );
    Staged::write(&[("rig.toml", &rig), ("art.svg", &svg), ("poses.toml", poses)])
}

fn bends(extra: &str) -> String {
    (0..=150)
        .step_by(15)
        .map(|t| format!("[pose.bend{t}]\nturn = {{ b = {t} }}\n{extra}"))
        .collect()
}

/// Union of both capsules at a radius: closed form of the table's header.
fn union(r: f64, bend: f64) -> f64 {
    let half = bend.to_radians() / 2.0;
    2.0 * r * 190.0 + std::f64::consts::PI * r * r - r * r * (half.tan() - half)
}

fn near(got: f64, want: f64, what: &str) {
    assert!(
        (got - want).abs() <= want * 0.002,
        "{what}: {got:.3}, not {want:.3}"
    );
}

#[test]
fn the_closed_form_is_the_table() {
    for row in rows(include_str!("reference/capsule_joint.csv")) {
        let v: Vec<f64> = row.iter().map(|c| c.parse().unwrap()).collect();
        assert!(
            (union(22.0, v[0]) - union(18.0, v[0]) - v[5]).abs() < 2e-3,
            "{v:?}"
        );
    }
}

#[test]
fn an_opened_seam_leaves_the_ring_less_the_overlap() {
    let staged = capsules("", "400", &bends(""));
    for t in (0..=150).step_by(15) {
        let want = union(22.0, f64::from(t)) - union(18.0, f64::from(t));
        near(
            ink(&staged, &format!("bend{t}")),
            want,
            &format!("{t} degrees"),
        );
    }
}

#[test]
fn it_holds_with_the_order_turned_round() {
    let staged = capsules("", "400", &bends("behind = { b = \"a\" }\n"));
    for t in (0..=150).step_by(15) {
        let want = union(22.0, f64::from(t)) - union(18.0, f64::from(t));
        near(
            ink(&staged, &format!("bend{t}")),
            want,
            &format!("{t} degrees"),
        );
    }
}

// The coin covers no ink: it ends 12 from the joint, and no line comes nearer to it than 18.
#[test]
fn it_holds_with_a_part_between_that_covers_no_ink() {
    let coin = "[part.coin]\nart = \"art.svg#coin\"\npivot = [150, 150]\ndepth = 1\n";
    let staged = capsules(coin, "400", &bends(""));
    assert_eq!(staged.figure("bend0").depth_order(), ["a", "coin", "b"]);
    for t in (0..=150).step_by(15) {
        let want = union(22.0, f64::from(t)) - union(18.0, f64::from(t));
        near(
            ink(&staged, &format!("bend{t}")),
            want,
            &format!("{t} degrees"),
        );
    }
}

// A disc of radius 30 about the joint hides all of A that B's line would open into: that line is nowhere farther
// from the joint than 22 / cos 30 up to 60 degrees. B shows its whole ring, A what lies outside the disc: half a
// ring and two bands, from 18 to 22 off its middle, of which the disc covers sqrt(30^2 - y^2) at y.
#[test]
fn with_a_disc_over_the_joint_between_the_front_part_keeps_its_ring() {
    let disc = "[part.disc]\nart = \"art.svg#disc\"\npivot = [150, 150]\ndepth = 1\n";
    let staged = capsules(disc, "400", &bends(""));
    let pi = std::f64::consts::PI;
    let ring = 2.0 * 90.0 * 4.0 + pi * (22.0 * 22.0 - 18.0 * 18.0);
    // The integral of sqrt(R^2 - y^2).
    let under = |y: f64| (y * (900.0 - y * y).sqrt() + 900.0 * (y / 30.0).asin()) / 2.0;
    let rest = pi * (22.0 * 22.0 - 18.0 * 18.0) / 2.0 + 2.0 * (400.0 - (under(22.0) - under(18.0)));
    for t in [0, 15, 30, 45, 60] {
        near(
            ink(&staged, &format!("bend{t}")),
            ring + rest,
            &format!("{t} degrees"),
        );
    }
}

#[test]
fn with_a_sheet_between_the_front_part_alone_shows_its_whole_ring() {
    let sheet = "[part.sheet]\nart = \"art.svg#sheet\"\npivot = [150, 150]\ndepth = 1\n";
    let ring = 2.0 * 90.0 * 4.0 + std::f64::consts::PI * (22.0 * 22.0 - 18.0 * 18.0);
    let other = ring + 2.0 * 10.0 * 4.0;
    for (order, shown) in [
        ("", ring),
        (
            "in_front = { a = \"sheet\" }\nbehind = { b = \"sheet\" }\n",
            other,
        ),
    ] {
        for zone in ["400", "\"auto\""] {
            let staged = capsules(sheet, zone, &bends(order));
            for t in (0..=150).step_by(15) {
                near(
                    ink(&staged, &format!("bend{t}")),
                    shown,
                    &format!("{order} {zone} {t} degrees"),
                );
            }
        }
    }
}

#[test]
fn without_a_seam_the_front_part_keeps_its_ring() {
    let staged = capsules("opens = \"parent\"\n", "400", &bends(""));
    for row in rows(include_str!("reference/capsule_joint.csv")) {
        let (t, unpatched): (f64, f64) = (row[0].parse().unwrap(), row[6].parse().unwrap());
        near(
            ink(&staged, &format!("bend{t}")),
            unpatched,
            &format!("{t} degrees"),
        );
    }
}

// Closed forms. The middles of two lines 20 off the joint meet 20 / cos(t/2) from it at a bend of t. The ink of a
// cap 35 behind the joint reaches 35 + 22 from it; the zone's own rim is kept 1.5 units clear of that.
#[test]
fn the_automatic_zone_reaches_the_crook_at_a_hundred_degrees_and_the_hidden_outline() {
    for (from, want) in [(150.0, 20.0 / 50_f64.to_radians().cos()), (115.0, 58.5)] {
        let staged = capsules_from(from, "", "\"auto\"", &bends(""));
        let r = staged.figure("bend0").seam_radius("elbow").unwrap();
        assert!((r - want).abs() < 0.05, "{r}, not {want}");
    }
}

/// Ink that stays when the zone is a disc, by brute force over distances to the two segments. On the inside of the
/// bend a line ends where its middle, 20 off, crosses the disc, in a half disc of its own width.
fn brute(bend: f64, zone: f64) -> f64 {
    let (sin, cos) = bend.to_radians().sin_cos();
    let segment = |x: f64, y: f64, bx: f64, by: f64, len: f64| {
        let t = (x * bx + y * by).clamp(0.0, len);
        (x - t * bx).hypot(y - t * by)
    };
    let (step, mut count) = (0.1, 0_u64);
    for i in 0..2600 {
        for j in 0..2600 {
            let (x, y) = (
                -130.0 + (f64::from(i) + 0.5) * step,
                -130.0 + (f64::from(j) + 0.5) * step,
            );
            let (a, b) = (
                segment(x, y, -1.0, 0.0, 100.0),
                segment(x, y, cos, sin, 90.0),
            );
            let end = (zone * zone - 20.0 * 20.0).sqrt();
            let near = |along: f64, inwards: f64| {
                if along > 0.0 && (18.0..22.0).contains(&inwards) {
                    along < end && (along - end).hypot(inwards - 20.0) > 2.0
                } else {
                    x.hypot(y) < zone
                }
            };
            let ring = |d: f64| (18.0..22.0).contains(&d);
            let (line_a, line_b) = (
                ring(a) && !(near(-x, y) && b < 18.0),
                ring(b) && !(near(x * cos + y * sin, y * cos - x * sin) && a < 18.0),
            );
            // B lies over A: A's line shows outside B's paint, and where B's paint has no ink of its own
            // it hides A's line.
            if line_b || (line_a && b >= 18.0) {
                count += 1;
            }
        }
    }
    count as f64 * step * step
}

#[test]
fn outside_the_zone_the_inks_stay_and_end_in_half_discs() {
    let staged = capsules("", "26", &bends(""));
    for t in [0, 60, 120, 150] {
        near(
            ink(&staged, &format!("bend{t}")),
            brute(f64::from(t), 26.0),
            &format!("{t} degrees"),
        );
    }
}

#[test]
fn a_garment_on_two_hosts_leaves_no_trace_of_them() {
    // White limbs, black garment all over, no ink: every pixel within the limbs must be black, the
    // edges of the hosts over each other included.
    let garment = "[part.sleeve]\nart = \"art.svg#sleeve\"\nparent = \"a\"\npivot = [150, 150]\n[garment.sleeve]\npart = \"sleeve\"\non = [\"a\", \"b\"]\n";
    let svg = r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 300 300">
<path id="a" fill="#fff" d="M50 130H150A20 20 0 0 1 150 170H50A20 20 0 0 1 50 130Z"/>
<path id="b" fill="#fff" d="M150 130H240A20 20 0 0 1 240 170H150A20 20 0 0 1 150 130Z"/>
<rect id="sleeve" x="0" y="0" width="300" height="300" fill="#000"/></svg>"##;
    let rig = format!(
        "[character]\nname = \"c\"\ncanvas = [300, 300]\nposes = [\"p.toml\"]\n[part.a]\nart = \"art.svg#a\"\npivot = [50, 150]\n[part.b]\nart = \"art.svg#b\"\nparent = \"a\"\npivot = [150, 150]\n{garment}"
    );
    let poses: String = (0..=150)
        .step_by(15)
        .map(|t| format!("[pose.bend{t}]\nturn = {{ b = {t}, sleeve = {t} }}\n"))
        .collect();
    let staged = Staged::write(&[("rig.toml", &rig), ("art.svg", svg), ("p.toml", &poses)]);
    for pose in staged.poses() {
        let frame = picture(&staged.figure(&pose.name), SCALE, None);
        // Premultiplied white shows as colour; black at any alpha shows none.
        let most = frame
            .pixels
            .data()
            .chunks_exact(4)
            .map(|p| p[0])
            .max()
            .unwrap();
        assert_eq!(most, 0, "{}", pose.name);
    }
}

/// Two discs; the second is masked by the first, or worn by it.
fn discs(big: f64, small: f64, d: f64, table: &str) -> Staged {
    let x = 60.0 + d;
    let svg = format!(
        r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 120 120">
<circle id="host" cx="60" cy="60" r="{big}" fill="#fff"/><circle id="guest" cx="{x}" cy="60" r="{small}" fill="#000"/></svg>"##
    );
    let rig = format!(
        r##"[character]
name = "discs"
canvas = [120, 120]
poses = ["p.toml"]
[part.host]
art = "art.svg#host"
pivot = [60, 60]
[part.guest]
art = "art.svg#guest"
pivot = [60, 60]
{table}"##
    );
    Staged::write(&[
        ("rig.toml", &rig),
        ("art.svg", &svg),
        ("p.toml", "[pose.rest]\n"),
    ])
}

#[test]
fn masks_and_garments_show_lenses() {
    for row in rows(include_str!("reference/lens.csv")) {
        let v: Vec<f64> = row.iter().map(|c| c.parse().unwrap()).collect();
        let (big, small, d, lens) = (v[0], v[1], v[2], v[3]);
        // Edges that run one on the other: the product of two coverages loses up to a sixth of a pixel
        // along them, as it does in every renderer of clip paths.
        let shared = if big == small && d == 0.0 {
            std::f64::consts::TAU * big / 6.0 / SCALE
        } else {
            0.0
        };
        let rest = std::f64::consts::PI * small * small - lens;
        // 0.2 %, and a tenth of a square unit (1.6 pixels) where circles touch.
        let near = |got: f64, want: f64, what: &str| {
            assert!(
                (got - want).abs() <= want * 0.002 + 0.1 + shared,
                "{what} {v:?}: {got}, not {want}"
            );
        };
        let inside = discs(
            big,
            small,
            d,
            "[mask.m]\npart = \"guest\"\nkeep = \"inside\"\nof = [\"host\"]\n",
        );
        near(ink(&inside, "rest"), lens, "inside");
        let outside = discs(
            big,
            small,
            d,
            "[mask.m]\npart = \"guest\"\nkeep = \"outside\"\nof = [\"host\"]\n",
        );
        near(ink(&outside, "rest"), rest, "outside");
        let worn = discs(
            big,
            small,
            d,
            "[garment.g]\npart = \"guest\"\non = [\"host\"]\n",
        );
        near(ink(&worn, "rest"), lens, "worn");
    }
}

#[test]
fn translucent_parts_composite_as_the_standard_says() {
    let mut checked = 0;
    for row in rows(include_str!("reference/compositing.csv")) {
        if row[0] != "src-over" {
            continue;
        }
        let bytes = |cell: &str| -> Vec<u8> {
            cell.split(' ')
                .map(|v| v.parse::<f64>().unwrap().round() as u8)
                .collect()
        };
        let (src, dst, ideal, skia) = (bytes(row[1]), bytes(row[2]), bytes(row[5]), bytes(row[6]));
        let rect = |id: &str, c: &[u8]| {
            format!(
                "<rect id=\"{id}\" width=\"8\" height=\"8\" fill=\"#{:02x}{:02x}{:02x}\" fill-opacity=\"{}\"/>",
                c[0],
                c[1],
                c[2],
                f64::from(c[3]) / 255.0
            )
        };
        // An element of no opacity is no art: it leaves what is there.
        let both = [("dst", &dst), ("src", &src)];
        let shown: Vec<_> = both.iter().filter(|(_, c)| c[3] > 0).collect();
        let svg: String = shown.iter().map(|(id, c)| rect(id, c)).collect();
        let parts: String = shown
            .iter()
            .map(|(id, _)| format!("[part.{id}]\nart = \"a.svg#{id}\"\npivot = [0, 0]\n"))
            .collect();
        let svg =
            format!("<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 8 8\">{svg}</svg>");
        let rig =
            format!("[character]\nname = \"c\"\ncanvas = [8, 8]\nposes = [\"p.toml\"]\n{parts}");
        let staged = Staged::write(&[
            ("rig.toml", &rig),
            ("a.svg", &svg),
            ("p.toml", "[pose.rest]\n"),
        ]);
        let frame = picture(&staged.figure("rest"), 1.0, None);
        let got = &frame.pixels.data()[..4];
        for c in 0..4 {
            assert!(
                got[c].abs_diff(ideal[c]) <= 1 && got[c].abs_diff(skia[c]) <= 1,
                "{row:?}: {got:?}"
            );
        }
        checked += 1;
    }
    assert_eq!(checked, 9);
}
