//! Drawings that we did not make, read as parts and drawn equal to resvg's drawing of the file.

use crate::support;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Arc;

use indexmap::IndexMap;
use layfig::art::Library;
use layfig::cast::{Drawing, Member, NameId, Part, PartId, Pose, Setting, View};
use layfig::diag::{Problems, SourceId, Sources, Span};
use layfig::draw::{Scratch, Viewport, draw};
use layfig::geom::Affine;
use layfig::solve::Puppet;

const SIDE: u32 = 192;

fn span() -> Span {
    Span {
        source: SourceId(0),
        start: 0,
        end: 0,
    }
}

/// A member that is one part.
fn member(art: layfig::art::ArtId, canvas: f64) -> Member {
    let part = Part {
        name: NameId(0),
        span: span(),
        art: Drawing::Art(art),
        replacements: IndexMap::new(),
        parent: None,
        pivot: [0.0, 0.0],
        depth: 0.0,
        limits: None,
        place: Setting::REST,
        space: layfig::cast::Space::default(),
        points: IndexMap::new(),
        look: None,
        tip: None,
        end: None,
    };
    let view = View {
        name: None,
        drawing: None,
        ground: None,
        parts: vec![part],
        seams: Vec::new(),
        masks: Vec::new(),
        garments: Vec::new(),
        facing: None,
        shortest: 0.4,
        guides: layfig::cast::Guides::default(),
        check: Default::default(),
        check_parts: Vec::new(),
        by_name: vec![Some(PartId(0))],
    };
    Member {
        name: "drawing".into(),
        key: "drawing".into(),
        folder: PathBuf::new(),
        canvas: [canvas, canvas],
        grow: false,
        near: None,
        ground: None,
        crown: None,
        heads: None,
        height: None,
        drift: 0.01,
        compare: layfig::cast::CompareSettings::default(),
        poses: Vec::new(),
        drawn: layfig::cast::Palette {
            name: "drawn".into(),
            swatches: indexmap::IndexMap::new(),
        },
        palettes: Vec::new(),
        names: vec!["part".into()],
        allowed: Vec::new(),
        lint: Default::default(),
        views: vec![view],
        expressions: IndexMap::new(),
    }
}

fn rest() -> Pose {
    Pose {
        name: "rest".into(),
        ..Pose::rest()
    }
}

/// A set of drawings, fetched once.
pub(crate) fn fetched(package: &str) -> serde_json::Value {
    let dir = Path::new(env!("CARGO_MANIFEST_DIR")).join("target/third-party");
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/support/fetch_art.sh");
    let fetched = Command::new("bash")
        .arg(script)
        .arg(&dir)
        .status()
        .expect("bash runs");
    assert!(
        fetched.success(),
        "the drawings could not be fetched (npm is needed)"
    );
    let text =
        std::fs::read_to_string(dir.join(format!("{package}.json"))).expect("the fetched set");
    serde_json::from_str(&text).expect("the set is JSON")
}

fn check(package: &str, most: usize) {
    let set = fetched(package);
    let icons = set["icons"].as_object().expect("the set has icons");
    let size = set["width"]
        .as_f64()
        .or(set["height"].as_f64())
        .unwrap_or(16.0);
    let step = icons.len() / most;
    let work = tempfile::tempdir().expect("a folder to work in");
    let mut scratch = Scratch::default();
    let (mut drawn, mut wrong) = (0, Vec::new());
    for (name, icon) in icons.iter().step_by(step.max(1)).take(most) {
        let body = icon["body"].as_str().expect("an icon has a body");
        let w = icon["width"].as_f64().unwrap_or(size);
        let svg = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" xmlns:xlink=\"http://www.w3.org/1999/xlink\" width=\"90mm\" height=\"90mm\" viewBox=\"0 0 {w} {w}\"><g id=\"part\">{body}</g></svg>"
        );
        let file = work.path().join(format!("{name}.svg"));
        std::fs::write(&file, &svg).expect("the drawing is written");
        let (mut sources, mut problems, mut library) =
            (Sources::default(), Problems::default(), Library::new());
        let art = library.load(
            &mut sources,
            &mut problems,
            work.path(),
            &file,
            "part",
            span(),
        );
        let Some(art) = art else {
            wrong.push(format!("{name}: {:?}", problems.list()));
            continue;
        };
        let scale = f64::from(SIDE) / w;
        let puppet = Puppet::new(Arc::new(member(art, w)), 0, &library).unwrap();
        let figure = puppet.figure(&rest()).expect("one part stands still");
        let viewport = Viewport {
            width: SIDE,
            height: SIDE,
            to_pixels: Affine::scale([scale, scale]),
        };
        let ours = draw(&figure, &viewport, None, false, &mut scratch)
            .expect("a small picture")
            .pixels;

        let tree = usvg::Tree::from_str(&svg, &usvg::Options::default()).expect("usvg reads it");
        let mut theirs = tiny_skia::Pixmap::new(SIDE, SIDE).expect("a picture");
        let s = SIDE as f32 / tree.size().width();
        resvg::render(
            &tree,
            tiny_skia::Transform::from_scale(s, s),
            &mut theirs.as_mut(),
        );

        // resvg's edges have four levels from row to row, up to 32 of 255 off the covered area; two
        // edges in one pixel add up. Beyond 64 it is another shape.
        let apart = support::difference_over(ours.data(), theirs.data(), SIDE, SIDE, 64);
        drawn += 1;
        if apart.mean >= 1.0 || apart.blob > 12 {
            let seen = support::evidence(&format!("{package}-{name}"), &ours, &theirs);
            wrong.push(format!("{name}: {apart:?}, see {}", seen.display()));
        }
    }
    assert!(
        wrong.is_empty(),
        "{} of {drawn}:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
    assert!(drawn >= most, "only {drawn} drawings");
}

#[test]
fn flat_emoji_are_drawn_as_resvg_draws_them() {
    check("fluent-emoji-flat", 150);
}

#[test]
fn gradient_emoji_are_drawn_as_resvg_draws_them() {
    check("noto", 150);
}
