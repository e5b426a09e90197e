//! The exported SVG, drawn by resvg and by a browser, against our own pictures: every demo pose.

mod support;

use std::path::{Path, PathBuf};
use std::process::Command;

use layfig::art::Rgb;
use layfig::export::svg;
use support::{DEMO, averaged, demo, difference, evidence, picture};

const WHITE: Rgb = Rgb([255, 255, 255]);
/// Everyone draws twice as large as the pictures that are compared, 450 to 600 px, and is averaged:
/// renderers place an edge within an eighth of a pixel, and a shape that differs differs by more.
const SCALE: f64 = 1.0;
const AVERAGED: u32 = 2;

#[test]
fn every_demo_pose_exports_to_an_svg_that_others_draw_the_same() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("export");
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    let (mut wrong, mut names): (Vec<String>, Vec<(String, PathBuf)>) = (Vec::new(), Vec::new());
    let mut poses = 0;
    for member in DEMO {
        let staged = demo(member);
        for (v, puppet) in staged.puppets.iter().enumerate() {
            for pose in staged.lists.iter().flat_map(|l| &l.poses) {
                let figure = puppet.solve(pose).unwrap();
                let name = format!("{member}.{v}.{}", pose.name);
                let text = svg(&figure, &name, SCALE, Some(WHITE));
                let path = folder.join(format!("{name}.svg"));
                std::fs::write(&path, &text).unwrap();
                let ours = picture(&figure, SCALE, Some(WHITE)).pixels;
                ours.save_png(folder.join(format!("{name}.png"))).unwrap();

                let tree = usvg::Tree::from_str(&text, &usvg::Options::default()).unwrap();
                let mut theirs = tiny_skia::Pixmap::new(ours.width(), ours.height()).unwrap();
                resvg::render(
                    &tree,
                    tiny_skia::Transform::identity(),
                    &mut theirs.as_mut(),
                );
                judge("resvg", &name, &ours, &theirs, &mut wrong);
                names.push((name, path));
                poses += 1;
            }
        }
    }
    assert!(poses >= 39, "{poses} poses");
    let shots = Command::new("node")
        .arg(root.join("tests/support/browser_shots.mjs"))
        .arg(&folder)
        .env("LAYFIG_TOOLS", root.join("target/tools"))
        .status()
        .expect("node runs; tests/support/setup.sh installs it");
    assert!(
        shots.success(),
        "the browser could not draw; tests/support/setup.sh installs it"
    );
    for (name, path) in &names {
        let ours = tiny_skia::Pixmap::load_png(path.with_extension("png")).unwrap();
        let theirs = tiny_skia::Pixmap::load_png(path.with_extension("browser.png")).unwrap();
        judge("browser", name, &ours, &theirs, &mut wrong);
    }
    assert!(
        wrong.is_empty(),
        "{} pictures differ:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}

fn judge(
    by: &str,
    name: &str,
    ours: &tiny_skia::Pixmap,
    theirs: &tiny_skia::Pixmap,
    wrong: &mut Vec<String>,
) {
    let (ours, theirs) = (&averaged(ours, AVERAGED), &averaged(theirs, AVERAGED));
    let apart = difference(ours, theirs);
    if apart.mean >= 1.0 || apart.blob > 12 {
        let seen = evidence(&format!("{by}-{name}"), ours, theirs);
        wrong.push(format!("{by} {name}: {apart:?}, see {}", seen.display()));
    }
}
