//! Our pictures against a slow and plain path: the figure's exported outlines and clips, put on a
//! picture eight times as large one after the other by tiny-skia, then averaged down.

use crate::shapes::{Shapes, What};
use crate::support::{DEMO, Staged, averaged, demo, difference, evidence, picture};
use layfig::art::Rgb;
use layfig::cast::Pose;
use layfig::export::svg;
use layfig::solve::{Figure, Puppet};
use rayon::prelude::*;
use tiny_skia::{Color, Pixmap, Transform};

/// Pixels of the canvas's longer side.
const SIDE: f64 = 300.0;
/// How much larger the slow picture is before it is averaged.
const FINER: u32 = 8;
const WHITE: Rgb = Rgb([255, 255, 255]);
/// Pixels of the largest blob that is no structural difference.
const BLOB: usize = 12;

/// Where two soft edges lie in one row of pixels over a long way. Compositing multiplies what each
/// leaves uncovered, at whatever size; the large picture, averaged, adds up what is covered. Such a
/// place must be named here, and tiny-skia's own picture at the small size must show the same there.
const EDGES_MEET: [(&str, &str); 3] = [
    (
        "mooring_bot.0.",
        "both tracks stand on the floor, so the lower lines of both end in one row",
    ),
    (
        "deckhand.0.elbow_rolled",
        "the ink of the cuff's rear host is drawn a second time where the cuff's edge laps",
    ),
    (
        "deckhand.4.ready",
        "the ink of the cuff's rear host is drawn a second time where the cuff's edge laps",
    ),
];

fn scale_of(puppet: &Puppet) -> f64 {
    let [w, h] = puppet.member().canvas;
    SIDE / w.max(h)
}

/// The figure's document, half as large as the large picture: what only pixels can show is in it at
/// twice its own size, and its clips are finer still.
fn document(figure: &Figure, scale: f64) -> usvg::Tree {
    let text = svg(figure, "figure", scale * f64::from(FINER / 2), None);
    usvg::Tree::from_str(&text, &usvg::Options::default()).expect("our SVG is read")
}

/// The document's shapes for a picture `finer` times as large as ours.
fn shapes_of(document: &usvg::Tree, finer: u32) -> Shapes {
    let scale = finer as f32 / (FINER / 2) as f32;
    Shapes::new(document, Transform::from_scale(scale, scale))
}

fn drawn(shapes: &Shapes, width: u32, height: u32) -> Pixmap {
    let mut out = Pixmap::new(width, height).expect("a picture");
    out.fill(Color::WHITE);
    shapes.draw(&mut out);
    out
}

fn slow_picture(shapes: &Shapes, ours: &Pixmap) -> Pixmap {
    let large = drawn(shapes, ours.width() * FINER, ours.height() * FINER);
    averaged(&large, FINER)
}

/// Our picture with the slow one's pixels where `plain` is as near to ours as no blob is counted.
fn with_meeting_edges(ours: &Pixmap, plain: &Pixmap, slow: &Pixmap) -> Pixmap {
    let mut out = ours.clone();
    let near = |a: &[u8], b: &[u8]| a.iter().zip(b).all(|(a, b)| a.abs_diff(*b) <= 32);
    for ((to, plain), slow) in out
        .data_mut()
        .chunks_exact_mut(4)
        .zip(plain.data().chunks_exact(4))
        .zip(slow.data().chunks_exact(4))
    {
        if near(to, plain) {
            to.copy_from_slice(slow);
        }
    }
    out
}

/// Every pose in every view; of every sweep its start, its middle or its end, each in one view.
fn poses(staged: &Staged, view: usize) -> Vec<&Pose> {
    let mut out: Vec<&Pose> = Vec::new();
    for list in &staged.lists {
        out.extend(&list.poses);
        for (i, sweep) in list.sweeps.iter().enumerate() {
            if i % staged.puppets.len() != view {
                continue;
            }
            let last = sweep.poses.len().saturating_sub(1);
            out.extend(sweep.poses.get(last * (i % 3) / 2));
        }
    }
    out
}

struct Judged {
    mean: f64,
    blob: usize,
    /// The entry of [`EDGES_MEET`] that was needed.
    known: Option<usize>,
    wrong: Option<String>,
}

fn judged(name: &str, puppet: &Puppet, pose: &Pose) -> Judged {
    let figure = puppet.figure(pose).expect("the pose solves");
    let scale = scale_of(puppet);
    let ours = picture(&figure, scale, Some(WHITE)).pixels;
    let document = document(&figure, scale);
    let slow = slow_picture(&shapes_of(&document, FINER), &ours);
    let apart = difference(&ours, &slow);
    let (mut wrong, mut known) = (apart.mean >= 2.0, None);
    if apart.blob > BLOB {
        let plain = drawn(&shapes_of(&document, 1), ours.width(), ours.height());
        let rest = difference(&with_meeting_edges(&ours, &plain, &slow), &slow);
        known = EDGES_MEET
            .iter()
            .position(|(start, _)| name.starts_with(start));
        wrong |= known.is_none() || rest.blob > BLOB;
    }
    let wrong = wrong.then(|| {
        let seen = evidence(&format!("slow-{name}"), &ours, &slow);
        format!("{name}: {apart:?}, see {}", seen.display())
    });
    Judged {
        mean: apart.mean,
        blob: apart.blob,
        known,
        wrong,
    }
}

#[test]
fn every_demo_pose_is_what_plain_supersampling_gives() {
    let cast: Vec<_> = DEMO.iter().map(|name| (name, demo(name))).collect();
    let jobs: Vec<(String, &Puppet, &Pose)> = cast
        .iter()
        .flat_map(|(name, staged)| {
            staged.puppets.iter().flat_map(move |puppet| {
                poses(staged, puppet.view()).into_iter().map(move |pose| {
                    let name = format!("{name}.{}.{}", puppet.view(), pose.name);
                    (name, puppet, pose)
                })
            })
        })
        .collect();
    assert!(jobs.len() >= 200, "{} pictures", jobs.len());
    let judged: Vec<Judged> = jobs
        .par_iter()
        .with_max_len(1)
        .map(|(name, puppet, pose)| judged(name, puppet, pose))
        .collect();
    let wrong: Vec<&str> = judged.iter().filter_map(|j| j.wrong.as_deref()).collect();
    let mean = judged.iter().map(|j| j.mean).fold(0.0, f64::max);
    let blob = judged.iter().filter(|j| j.known.is_none()).map(|j| j.blob);
    println!(
        "{} pictures, largest mean difference {mean:.3}, largest blob {:?} but for edges that meet",
        judged.len(),
        blob.max()
    );
    assert!(
        wrong.is_empty(),
        "{} pictures differ:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
    for (i, (start, why)) in EDGES_MEET.iter().enumerate() {
        let needed = judged.iter().any(|j| j.known == Some(i));
        assert!(
            needed,
            "nothing of {start} needs an exception any more: {why}"
        );
    }
}

#[test]
fn a_lost_clip_and_a_shift_of_a_pixel_are_structural_differences() {
    let staged = demo("deckhand");
    let puppet = &staged.puppets[0];
    let figure = staged.figure("rest");
    let scale = scale_of(puppet);
    let ours = picture(&figure, scale, Some(WHITE)).pixels;
    let document = document(&figure, scale);
    let mut shapes = shapes_of(&document, FINER);
    for piece in &mut shapes.list {
        piece.clips.clear();
    }
    let unclipped = difference(&ours, &slow_picture(&shapes, &ours));
    assert!(unclipped.blob > BLOB, "{unclipped:?}");

    let finer = FINER as f32 / (FINER / 2) as f32;
    let shifted = Shapes::new(
        &document,
        Transform::from_scale(finer, finer).post_translate(FINER as f32, 0.0),
    );
    let shifted = difference(&ours, &slow_picture(&shifted, &ours));
    assert!(shifted.blob > BLOB, "{shifted:?}");
}

#[test]
fn gradients_and_pictures_are_among_what_is_compared() {
    let (mut gradients, mut pictures) = (0, 0);
    for member in DEMO {
        let staged = demo(member);
        for puppet in &staged.puppets {
            let figure = puppet.figure(staged.pose("rest")).expect("the pose solves");
            for piece in &shapes_of(&document(&figure, scale_of(puppet)), 1).list {
                match &piece.what {
                    What::Outline { paint, .. } => {
                        gradients +=
                            usize::from(!matches!(paint.shader, tiny_skia::Shader::SolidColor(_)));
                    }
                    What::Picture { .. } => pictures += 1,
                }
            }
        }
    }
    assert!(gradients > 0 && pictures > 0, "{gradients}, {pictures}");
}
