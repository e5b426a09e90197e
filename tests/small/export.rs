//! Documents of figures that leave the canvas.

use tiny_skia::Pixmap;

use super::show::{ART, Show};

/// A member whose pose `out` leaves the canvas at the left and above; its mouth is drawn as pixels. All edges
/// lie between whole units, so that every renderer draws the same.
fn leaving() -> Show {
    let show = Show::new();
    show.edit(
        "robo/p.toml",
        "[pose.a]",
        "[pose.out]\nmove = { body = [-24, -11], mouth = [-8, 0] }\n[pose.a]",
    );
    let blur = "<filter id=\"still\"><feOffset dx=\"0\" dy=\"0\"/></filter><g id=\"mouth\" filter=\"url(#still)\">";
    show.write("robo/robo.svg", ART.replace("<g id=\"mouth\">", blur));
    show
}

/// A document, drawn at the size that it says.
fn drawn(document: &str) -> Pixmap {
    let tree = usvg::Tree::from_str(document, &usvg::Options::default()).unwrap();
    let size = tree.size().to_int_size();
    let mut pixels = Pixmap::new(size.width(), size.height()).unwrap();
    resvg::render(&tree, tiny_skia::Transform::default(), &mut pixels.as_mut());
    pixels
}

#[test]
fn a_document_that_cuts_a_figure_off_is_told_of() {
    let show = leaving();
    let told = show.run("export robo --messages short", 0);
    let out: Vec<&str> = told
        .lines()
        .filter(|l| l.contains("goes beyond its picture"))
        .collect();
    assert_eq!(out.len(), 1, "{told}");
    assert!(out[0].contains("robo/p.toml:2:"), "{told}");
    let what = "robo/p/out goes beyond its picture, by 8 units at the left and 7 at the top; body goes furthest";
    assert!(out[0].contains(what), "{told}");
    assert!(!show.run("export robo --grow", 0).contains("goes beyond"));
}

#[test]
fn a_grown_document_is_the_grown_picture() {
    let show = leaving();
    let style = "--pose out --background #ffffff --grow -q";
    for scale in ["1", "2", "0.5"] {
        show.run(&format!("render robo --scale {scale} {style}"), 0);
        show.run(&format!("export robo --scale {scale} {style}"), 0);
        let theirs = drawn(&show.read("out/robo/p/out.svg"));
        let ours = Pixmap::load_png(show.path("out/robo/p/out.png")).unwrap();
        assert_eq!(
            [theirs.width(), theirs.height()],
            [ours.width(), ours.height()],
            "scale {scale}"
        );
        // What is drawn as pixels is embedded at twice the size, and its edges are not as sharp when it is drawn.
        let pixels = ours.data().iter().zip(theirs.data());
        let far = pixels.map(|(a, b)| a.abs_diff(*b)).max();
        assert!(far < Some(8), "scale {scale}: {far:?}");
    }
    show.edit("robo/rig.toml", "ground = 60", "ground = 60\ngrow = true");
    let flagged = show.read("out/robo/p/out.svg");
    show.run(
        "export robo --scale 0.5 --pose out --background #ffffff -q",
        0,
    );
    assert_eq!(show.read("out/robo/p/out.svg"), flagged);
}

#[test]
fn a_document_that_cuts_nothing_off_does_not_grow() {
    let show = leaving();
    show.run("export robo --pose rest,a,b -q --out plain", 0);
    show.run("export robo --pose rest,a,b -q --out grown --grow", 0);
    for pose in ["rest", "a", "b"] {
        let [plain, grown] =
            ["plain", "grown"].map(|out| show.read(&format!("{out}/robo/p/{pose}.svg")));
        assert_eq!(plain, grown, "{pose}");
        assert!(plain.contains("width=\"72\" height=\"72\" viewBox=\"0 0 72 72\""));
    }
}

/// What counts as shown is the canvas itself, where its pixels are no whole number.
#[test]
fn a_document_shows_the_canvas_to_its_last_fraction() {
    let show = Show::new();
    show.edit("robo/rig.toml", "[72, 72]", "[55.5, 72]");
    let told = show.run("export robo --pose rest --messages short", 0);
    assert!(told.contains("by 0.5 units at the right"), "{told}");
    let picture = show.run("render robo --pose rest --messages short", 0);
    assert!(!picture.contains("goes beyond"), "{picture}");
}
