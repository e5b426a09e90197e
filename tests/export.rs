//! The exported SVG, drawn by resvg and by a browser, against our own pictures: every demo pose.

use std::path::{Path, PathBuf};
use std::process::Command;

use crate::support::{DEMO, averaged, demo, difference, evidence, picture};
use layfig::art::Rgb;
use layfig::cast::Pose;
use layfig::export::svg;
use rayon::prelude::*;
use tiny_skia::Pixmap;

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
    // Two browsers draw a half each.
    let halves = [folder.join("0"), folder.join("1")];
    for half in &halves {
        std::fs::create_dir_all(half).unwrap();
    }
    let mut wrong: Vec<String> = Vec::new();
    let mut names: Vec<(String, PathBuf)> = Vec::new();
    for member in DEMO {
        let staged = demo(member);
        for (v, puppet) in staged.puppets.iter().enumerate() {
            let poses: Vec<&Pose> = staged.lists.iter().flat_map(|l| &l.poses).collect();
            let done: Vec<_> = poses
                .par_iter()
                .enumerate()
                .map(|(i, pose)| {
                    let figure = puppet.figure(pose).unwrap();
                    let name = format!("{member}.{v}.{}", pose.name);
                    let text = svg(&figure, &name, SCALE, Some(WHITE));
                    let path = halves[i % 2].join(format!("{name}.svg"));
                    std::fs::write(&path, &text).unwrap();
                    let ours = picture(&figure, SCALE, Some(WHITE)).pixels;
                    ours.save_png(path.with_extension("png")).unwrap();

                    let tree = usvg::Tree::from_str(&text, &usvg::Options::default()).unwrap();
                    let mut theirs = Pixmap::new(ours.width(), ours.height()).unwrap();
                    let as_is = tiny_skia::Transform::identity();
                    resvg::render(&tree, as_is, &mut theirs.as_mut());
                    (judge("resvg", &name, &ours, &theirs), name, path)
                })
                .collect();
            for (fault, name, path) in done {
                wrong.extend(fault);
                names.push((name, path));
            }
        }
    }
    assert!(names.len() >= 200, "{} poses", names.len());
    let browsers = halves.map(|half| {
        Command::new("node")
            .arg(root.join("tests/support/browser_shots.mjs"))
            .arg(half)
            .env("LAYFIG_TOOLS", root.join("target/tools"))
            .spawn()
            .expect("node runs; tests/support/setup.sh installs it")
    });
    for mut browser in browsers {
        assert!(
            browser.wait().unwrap().success(),
            "the browser could not draw; tests/support/setup.sh installs it"
        );
    }
    let faults: Vec<_> = names
        .par_iter()
        .filter_map(|(name, path)| {
            let ours = Pixmap::load_png(path.with_extension("png")).unwrap();
            let theirs = Pixmap::load_png(path.with_extension("browser.png")).unwrap();
            judge("browser", name, &ours, &theirs)
        })
        .collect();
    wrong.extend(faults);
    assert!(
        wrong.is_empty(),
        "{} pictures differ:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}

/// What is wrong between two pictures of one pose, if anything.
fn judge(by: &str, name: &str, ours: &Pixmap, theirs: &Pixmap) -> Option<String> {
    let (ours, theirs) = (&averaged(ours, AVERAGED), &averaged(theirs, AVERAGED));
    let apart = difference(ours, theirs);
    if apart.mean < 1.0 && apart.blob <= 12 {
        return None;
    }
    let seen = evidence(&format!("{by}-{name}"), ours, theirs);
    Some(format!("{by} {name}: {apart:?}, see {}", seen.display()))
}
