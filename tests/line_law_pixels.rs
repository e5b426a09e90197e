//! Every demo pose against a brute-force reading of the law of lines: see `support/raster_law.rs`.
//!
//! Each pixel of a picture is sixteen samples of the reference. Where more than half of a pixel's ink is not what
//! the law says, the pixel differs: an edge that is sampled never does, a line that stands or is gone always. What
//! the law itself adds to (a), (b) and (c) differs by design and has to stay within the share: half discs at free
//! ends, and islands that are gone.

use std::sync::Arc;

use crate::planes::Drawings;
use crate::raster_law::{Apart, NOTHING, Seen};
use crate::support::{DEMO, demo};
use layfig::art::Rgb;
use layfig::cast::Pose;
use layfig::draw::{Scratch, Viewport, draw};
use layfig::geom::Affine;
use layfig::pose::ResolvedPose;
use layfig::solve::Puppet;
use rayon::prelude::*;
use tiny_skia::Pixmap;

/// Pixels to the unit.
const SCALE: f64 = 1.0;
/// Samples to a pixel's side.
const FINER: usize = 4;
/// Most ink pixels that may differ, of all in a picture.
const MOST: f64 = 0.005;

struct Judged {
    name: String,
    ink: usize,
    differ: usize,
    /// What differs, by part.
    parts: Vec<(String, usize)>,
    picture: Option<Pixmap>,
}

/// The place of a figure on a picture of whole pixels.
fn viewport(bounds: [f64; 4], scale: f64) -> Viewport {
    let [l, t] = [bounds[0].floor() - 4.0, bounds[1].floor() - 4.0];
    let side = |from: f64, to: f64| ((to + 4.0 - from).ceil() * scale) as u32;
    Viewport {
        width: side(l, bounds[2]),
        height: side(t, bounds[3]),
        to_pixels: Affine::scale([scale, scale]).after(Affine::translate([-l, -t])),
    }
}

fn judged(name: String, puppet: &Puppet, pose: &Pose, drawings: &Drawings<'_>) -> Judged {
    let pose = drawings.marked_pose(pose, &puppet.member().views[puppet.view()]);
    let figure = puppet.figure(&pose).expect("the pose solves");
    let viewport = viewport(figure.bounds().expect("a figure"), SCALE);
    let black = Some(Rgb([0, 0, 0]));
    let frame = draw(&figure, &viewport, black, false, &mut Scratch::default()).expect("a picture");
    let finer = Affine::scale([FINER as f64, FINER as f64]).after(viewport.to_pixels);
    let apart = Apart::new(puppet, &pose, &figure, drawings, finer);
    let (w, h) = (viewport.width as usize, viewport.height as usize);
    let seen = apart.seen(w * FINER, h * FINER);
    let law = |x: usize, y: usize| -> (f64, Seen) {
        let mut dark = 0;
        let mut some = NOTHING;
        for j in 0..FINER {
            let row = (y * FINER + j) * w * FINER + x * FINER;
            for s in &seen[row..row + FINER] {
                dark += usize::from(s.dark);
                some = if some == NOTHING || s.dark { *s } else { some };
            }
        }
        (dark as f64 / (FINER * FINER) as f64, some)
    };
    let (mut ink, mut differ) = (0, 0);
    let mut parts: Vec<(String, usize)> = Vec::new();
    let names = figure.part_names();
    let mut picture = Pixmap::new(viewport.width, viewport.height).expect("a picture");
    for (k, (got, to)) in frame
        .pixels
        .data()
        .chunks_exact(4)
        .zip(picture.data_mut().chunks_exact_mut(4))
        .enumerate()
    {
        let got = f64::from(got[0]) / 255.0;
        let (want, of) = law(k % w, k / w);
        let is = got > 0.5 || want > 0.5;
        let apart = (got - want).abs() > 0.5;
        ink += usize::from(is);
        let shade = 255 - (160.0 * want) as u8;
        to.copy_from_slice(&[shade, shade, shade, 255]);
        if apart {
            differ += 1;
            to.copy_from_slice(if got > want {
                &[255, 0, 0, 255]
            } else {
                &[0, 0, 255, 255]
            });
            let who = names
                .get(usize::from(of.part))
                .copied()
                .unwrap_or("nothing");
            let sort = if got > want { "+" } else { "-" };
            let who = format!("{sort}{who}");
            match parts.iter_mut().find(|p| p.0 == who) {
                Some(p) => p.1 += 1,
                None => parts.push((who, 1)),
            }
        }
    }
    parts.sort_by_key(|p| std::cmp::Reverse(p.1));
    let wrong = differ as f64 > MOST * ink as f64;
    Judged {
        name,
        ink,
        differ,
        parts,
        picture: wrong.then_some(picture),
    }
}

#[test]
fn every_demo_pose_shows_the_ink_that_the_law_leaves() {
    let mut all: Vec<Judged> = Vec::new();
    for member in DEMO {
        let staged = demo(member);
        let drawings = Drawings::new(&staged.library);
        let marked = Arc::new(drawings.marked(&staged.member, true));
        let puppets: Vec<Puppet> = (0..marked.views.len())
            .map(|v| Puppet::new(Arc::clone(&marked), v, &staged.library).unwrap())
            .collect();
        let poses: Vec<&Pose> = staged.lists.iter().flat_map(|l| &l.poses).collect();
        let jobs: Vec<(&Puppet, &Pose)> = puppets
            .iter()
            .flat_map(|p| poses.iter().map(move |pose| (p, *pose)))
            // The reading here takes art as it is drawn; limbs that are stretched have tests/stretch.rs.
            .filter(|(p, pose)| {
                let view = &p.member().views[p.view()];
                let posed = ResolvedPose::new(pose, view);
                posed.parts.iter().all(|part| part.setting.stretch == 1.0)
            })
            .collect();
        all.extend(
            jobs.par_iter()
                .with_max_len(1)
                .map(|(puppet, pose)| {
                    judged(
                        format!("{member}.{}.{}", puppet.view(), pose.name),
                        puppet,
                        pose,
                        &drawings,
                    )
                })
                .collect::<Vec<_>>(),
        );
    }
    let share = |j: &Judged| j.differ as f64 / j.ink as f64;
    all.sort_by(|a, b| share(b).total_cmp(&share(a)));
    let mean = all.iter().map(share).sum::<f64>() / all.len() as f64;
    println!(
        "{} poses, {:.3} % of ink pixels differ on the whole",
        all.len(),
        100.0 * mean
    );
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("evidence");
    std::fs::create_dir_all(&folder).expect("a folder");
    let mut wrong = Vec::new();
    for j in &all {
        if let Some(picture) = &j.picture {
            let path = folder.join(format!("law-{}.png", j.name));
            picture.save_png(&path).expect("written");
            wrong.push(format!(
                "{}: {} of {} ({:.2} %), {:?}, see {}",
                j.name,
                j.differ,
                j.ink,
                100.0 * share(j),
                j.parts,
                path.display()
            ));
        }
    }
    assert!(all.len() >= 200, "{} poses", all.len());
    assert!(
        wrong.is_empty(),
        "{} pictures differ:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}
