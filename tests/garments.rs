//! A garment on two hosts is drawn once over both: no hairline along a host's border, in a picture, in the SVG as
//! resvg draws it, and in the PDF as poppler's pdftoppm draws it; and it splits where something comes between.
//!
//! What shows at a point is closed form: how far the point is from the middles of two capsules and from a bar.

#![expect(clippy::disallowed_methods, reason = "distances within a tolerance")]

use std::path::Path;
use std::process::Command;

use crate::support::{Staged, picture};
use layfig::art::Rgb;
use layfig::export::svg;
use layfig::geom::Point;
use tiny_skia::{Pixmap, Transform};

/// Half-width of the limbs' paint, and of their lines.
const R: f64 = 20.0;
const HALF: f64 = 2.0;
const BENDS: [u32; 6] = [0, 30, 65, 90, 120, 145];
/// The bar that may lie between, left to right; top and bottom are beyond the limbs.
const BAR: [f64; 2] = [112.0, 132.0];

const WORN: [u8; 3] = [160, 0, 160];
const INK: [u8; 3] = [0, 0, 160];
const BETWEEN: [u8; 3] = [200, 120, 0];

const ART: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 300 300">
<g id="a"><path id="a_paint" fill="#00c000" d="M50 130H150A20 20 0 0 1 150 170H50A20 20 0 0 1 50 130Z"/>
<path id="a_ink" fill="none" stroke="#0000a0" stroke-width="4" d="M50 130H150A20 20 0 0 1 150 170H50A20 20 0 0 1 50 130Z"/></g>
<g id="b"><path id="b_paint" fill="#00c000" d="M150 130H240A20 20 0 0 1 240 170H150A20 20 0 0 1 150 130Z"/>
<path id="b_ink" fill="none" stroke="#0000a0" stroke-width="4" d="M150 130H240A20 20 0 0 1 240 170H150A20 20 0 0 1 150 130Z"/></g>
<rect id="bar" x="112" y="-20" width="20" height="340" fill="#c87800"/>
<rect id="sleeve" x="0" y="0" width="300" height="300" fill="#a000a0"/></svg>"##;

fn files(order: &str, bar: bool) -> [(&'static str, String); 3] {
    let between = if bar {
        "[part.bar]\nart = \"art.svg#bar\"\npivot = [0, 0]\ndepth = 1\n"
    } else {
        ""
    };
    let rig = format!(
        "[character]\nname = \"c\"\ncanvas = [300, 300]\nposes = [\"p.toml\"]\n\
         [part.a]\nart = \"art.svg#a\"\npivot = [50, 150]\n{between}\
         [part.b]\nart = \"art.svg#b\"\nparent = \"a\"\npivot = [150, 150]\ndepth = 2\n\
         [part.sleeve]\nart = \"art.svg#sleeve\"\nparent = \"a\"\npivot = [150, 150]\n\
         [garment.sleeve]\npart = \"sleeve\"\non = [\"a\", \"b\"]\n\
         [seam.elbow]\nparts = [\"a\", \"b\"]\nzone = 400\n"
    );
    let poses = BENDS.map(|t| format!("[pose.bend{t}]\nturn = {{ b = {t} }}\n{order}"));
    [
        ("rig.toml", rig),
        ("art.svg", ART.to_owned()),
        ("p.toml", poses.concat()),
    ]
}

/// Distances to the middles of A and of B bent.
fn off(p: Point, bend: u32) -> [f64; 2] {
    let (sin, cos) = f64::from(bend).to_radians().sin_cos();
    let to = |x: f64, y: f64, length: f64| {
        let (dx, dy) = (p[0] - 150.0, p[1] - 150.0);
        let t = (dx * x + dy * y).clamp(0.0, length);
        (dx - t * x).hypot(dy - t * y)
    };
    [to(-1.0, 0.0, 100.0), to(cos, sin, 90.0)]
}

/// What must show at a point, `None` where an edge is nearer than `margin`.
fn shown(p: Point, bend: u32, front: usize, bar: bool, margin: f64) -> Option<[u8; 3]> {
    let d = off(p, bend);
    let inner = |d: f64| d < R - HALF - margin;
    let line = |d: f64| d > R - HALF + margin && d < R + HALF - margin;
    let outside = |d: f64| d > R + HALF + margin;
    if !bar {
        return (inner(d[0]) || inner(d[1])).then_some(WORN);
    }
    let in_bar = p[0] > BAR[0] + margin && p[0] < BAR[1] - margin;
    // The front limb's line ends in half discs there, beyond the bar's edge.
    let beyond = 2.0 * HALF + margin;
    let off_bar = p[0] < BAR[0] - beyond || p[0] > BAR[1] + beyond;
    // The front limb shows itself over the bar, its whole line too.
    if in_bar {
        return match d[front] {
            d if inner(d) => Some(WORN),
            d if line(d) => Some(INK),
            d if outside(d) => (p[1] > 0.0 && p[1] < 300.0).then_some(BETWEEN),
            _ => None,
        };
    }
    (off_bar && (inner(d[0]) || inner(d[1]))).then_some(WORN)
}

/// Points of a picture that are not as they must be, of how many: `at` takes a pixel's middle to the canvas.
fn unlike(
    picture: &Pixmap,
    bend: u32,
    (front, bar): (usize, bool),
    margin: f64,
    at: impl Fn(f64, f64) -> Point,
) -> (usize, Vec<String>) {
    let (mut looked, mut wrong) = (0, Vec::new());
    for y in 0..picture.height() {
        for x in 0..picture.width() {
            let p = at(f64::from(x) + 0.5, f64::from(y) + 0.5);
            let Some(want) = shown(p, bend, front, bar, margin) else {
                continue;
            };
            let got = picture.pixel(x, y).expect("a pixel");
            let got = [got.red(), got.green(), got.blue()];
            looked += 1;
            if got.iter().zip(want).any(|(g, w)| g.abs_diff(w) > 2) {
                wrong.push(format!("{bend} degrees at {p:.1?}: {got:?}, not {want:?}"));
            }
        }
    }
    (looked, wrong)
}

const ORDERS: [(&str, usize); 2] = [
    ("", 1),
    ("in_front = { a = \"bar\" }\nbehind = { b = \"bar\" }\n", 0),
];

/// Each with a bar between and without.
fn cases() -> impl Iterator<Item = (&'static str, usize, bool)> {
    let order = |(order, front): (&'static str, usize)| [(order, front, true)];
    ORDERS
        .into_iter()
        .flat_map(order)
        .chain([("", 1, false), ("behind = { b = \"a\" }\n", 0, false)])
}

fn all_right(what: &str, looked: usize, wrong: &[String], least: usize) {
    assert!(
        looked > least,
        "{what}: only {looked} points were looked at"
    );
    let some = &wrong[..wrong.len().min(10)];
    assert!(
        wrong.is_empty(),
        "{what}: {} of {looked} points:\n{}",
        wrong.len(),
        some.join("\n")
    );
}

#[test]
fn pictures_and_svgs_show_no_border_of_a_host_inside_a_garment() {
    for (order, front, bar) in cases() {
        let files = files(order, bar);
        let files: Vec<(&str, &str)> = files.iter().map(|(n, t)| (*n, t.as_str())).collect();
        let staged = Staged::write(&files);
        for bend in BENDS {
            let figure = staged.figure(&format!("bend{bend}"));
            // Where borders fall on pixels differs from scale to scale.
            for scale in [1.0, 2.3, 4.0] {
                let at = |x: f64, y: f64| [x / scale, y / scale];
                let margin = 1.5 / scale;
                let what = format!("{order} bar {bar} scale {scale}");
                let ours = picture(&figure, scale, Some(Rgb([255; 3]))).pixels;
                let (looked, wrong) = unlike(&ours, bend, (front, bar), margin, at);
                all_right(&format!("PNG {what}"), looked, &wrong, 4000);

                let text = svg(&figure, "worn", scale, Some(Rgb([255; 3])));
                let tree = usvg::Tree::from_str(&text, &usvg::Options::default()).expect("SVG");
                let mut theirs = Pixmap::new(ours.width(), ours.height()).expect("a picture");
                resvg::render(&tree, Transform::identity(), &mut theirs.as_mut());
                let (looked, wrong) = unlike(&theirs, bend, (front, bar), margin, at);
                all_right(&format!("SVG {what}"), looked, &wrong, 4000);
            }
        }
    }
}

/// A page of one figure as pdftoppm draws it.
fn page(folder: &Path, bend: u32) -> Pixmap {
    let out = folder.join(format!("out{bend}"));
    let made = Command::new(env!("CARGO_BIN_EXE_layfig"))
        .arg("sheet")
        .arg(folder.join("rig/rig.toml"))
        .args([
            "--pose",
            &format!("bend{bend}"),
            "--kind",
            "pose",
            "--format",
            "pdf",
        ])
        .args(["--page", "700x700", "--quiet", "--out"])
        .arg(&out)
        .output()
        .expect("layfig runs");
    assert!(
        made.status.success(),
        "{}",
        String::from_utf8_lossy(&made.stderr)
    );
    let pdf = out.join("rig/sheets.pdf");
    let stem = out.join("page");
    let drawn = Command::new("pdftoppm")
        .args(["-r", "288", "-singlefile", "-png"])
        .args([&pdf, &stem])
        .status()
        .expect("tests/support/setup.sh installs pdftoppm");
    assert!(drawn.success());
    Pixmap::load_png(stem.with_extension("png")).expect("a PNG")
}

/// A box about the pixels that have the colour of ink, within whole pixels.
fn ink_box(page: &Pixmap) -> [f64; 4] {
    let mut b = [
        f64::INFINITY,
        f64::INFINITY,
        f64::NEG_INFINITY,
        f64::NEG_INFINITY,
    ];
    for (k, p) in page.pixels().iter().enumerate() {
        if p.red() < 100 && p.green() < 100 && p.blue() > 130 {
            let (x, y) = (
                (k as u32 % page.width()) as f64,
                (k as u32 / page.width()) as f64,
            );
            b = [
                b[0].min(x),
                b[1].min(y),
                b[2].max(x + 1.0),
                b[3].max(y + 1.0),
            ];
        }
    }
    b
}

#[test]
fn a_pdf_shows_no_border_of_a_host_inside_a_garment() {
    for (order, front, bar) in cases() {
        let folder = tempfile::tempdir().expect("a folder");
        std::fs::create_dir(folder.path().join("rig")).expect("a folder");
        for (name, text) in files(order, bar) {
            std::fs::write(folder.path().join("rig").join(name), text).expect("written");
        }
        for bend in [0, 65, 120] {
            let page = page(folder.path(), bend);
            // A's round end is farthest to the left, 22 from (50, 150); what is farthest up is A's line, 128, or
            // B's end; so the scale follows from how wide the ink is.
            let b = ink_box(&page);
            let (sin, cos) = f64::from(bend).to_radians().sin_cos();
            let right = (150.0 + 90.0 * cos).max(150.0) + R + HALF;
            let bottom = (150.0 + 90.0 * sin).max(150.0) + R + HALF;
            let scale = (b[2] - b[0]) / (right - 28.0);
            let tall = (b[3] - b[1]) / (bottom - 128.0);
            assert!((scale / tall - 1.0).abs() < 0.03, "{b:?}: {scale}, {tall}");
            let at = |x: f64, y: f64| [28.0 + (x - b[0]) / scale, 128.0 + (y - b[1]) / scale];
            let (looked, wrong) = unlike(&page, bend, (front, bar), 2.5 / scale, at);
            all_right(&format!("PDF {order} bar {bar}"), looked, &wrong, 4000);
        }
    }
}
