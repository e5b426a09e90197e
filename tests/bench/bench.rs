//! The benchmark: `cargo bench`. One run prints every table, medians with ratios.
//!
//! Compositing: one posed figure, drawn by layfig and by others from the same geometry: resvg draws
//! the exported SVG; vello_cpu and tiny-skia get the SVG's shapes taken apart beforehand, strokes
//! already expanded, so that they pay for nothing but drawing. Layfig pays for solving the pose too.

mod generated;
mod rivals;

use std::time::Instant;

use layfig::draw::{Scratch, draw_onto};
use layfig::geom::Affine;
use rivals::{Ops, Skia, Vello};

#[path = "../support/mod.rs"]
mod support;

/// Median time of a call, milliseconds, over about `budget` milliseconds.
pub fn median(budget: f64, mut call: impl FnMut()) -> f64 {
    call();
    call();
    let started = Instant::now();
    let mut times = Vec::new();
    while times.len() < 7 || started.elapsed().as_secs_f64() * 1e3 < budget {
        let t = Instant::now();
        call();
        times.push(t.elapsed().as_secs_f64() * 1e3);
        if times.len() >= 2000 {
            break;
        }
    }
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

fn compositing(name: &str, staged: &support::Staged, pose: &str) {
    let puppet = &staged.puppets[0];
    let pose = staged.pose(pose);
    let figure = puppet.solve(pose).expect("the pose solves");
    let [w, h] = staged.member.canvas;
    println!(
        "\n{name}, pose {}: milliseconds a pose, one thread",
        pose.name
    );
    println!(
        "| square px | layfig | of it solve | vello_cpu | tiny-skia | resvg | vello_cpu / layfig | tiny-skia / layfig | resvg / layfig |"
    );
    println!("|---|---|---|---|---|---|---|---|---|");
    for side in [256_u32, 512, 1024, 2048] {
        let scale = f64::from(side) / w.max(h);
        let to_pixels = Affine::scale([scale, scale]);
        let mut pixels = tiny_skia::Pixmap::new(side, side).expect("a picture");
        let mut scratch = Scratch::default();
        let ours = median(400.0, || {
            pixels.data_mut().fill(0);
            let figure = puppet.solve(pose).expect("the pose solves");
            draw_onto(&figure, to_pixels, &mut pixels.as_mut(), &mut scratch);
        });
        let solve = median(50.0, || {
            std::hint::black_box(puppet.solve(pose).expect("the pose solves"));
        });

        // A quarter of the scale: clip outlines come four times as fine as the document's size asks.
        let text = layfig::export::svg(&figure, name, scale / 4.0, None);
        let tree = usvg::Tree::from_str(&text, &usvg::Options::default()).expect("our SVG is read");
        let fit = side as f32 / (tree.size().width().max(tree.size().height()));
        let to_side = tiny_skia::Transform::from_scale(fit, fit);
        let mut theirs = tiny_skia::Pixmap::new(side, side).expect("a picture");
        let resvg = median(400.0, || {
            theirs.data_mut().fill(0);
            resvg::render(&tree, to_side, &mut theirs.as_mut());
        });

        let ops = Ops::new(&tree, to_side);
        let mut vello = Vello::new(&ops, side);
        let vello_time = median(400.0, || vello.draw());
        let mut skia = Skia::new(&ops, side);
        let skia_time = median(400.0, || skia.draw());
        if std::env::var_os("LAYFIG_BENCH_PICTURES").is_some() {
            let dir = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("bench");
            std::fs::create_dir_all(&dir).expect("a folder");
            for (who, p) in [
                ("layfig", &pixels),
                ("resvg", &theirs),
                ("vello", &vello.pixmap()),
                ("skia", skia.pixmap()),
            ] {
                p.save_png(dir.join(format!("{name}-{side}-{who}.png")))
                    .expect("a picture is written");
            }
        }
        println!(
            "| {side} | {ours:.3} | {solve:.3} | {vello_time:.3} | {skia_time:.3} | {resvg:.3} | {:.2} | {:.2} | {:.2} |",
            vello_time / ours,
            skia_time / ours,
            resvg / ours
        );
    }
}

fn main() {
    // `cargo test` runs benches' main without `--bench`: nothing to measure then.
    if !std::env::args().any(|a| a == "--bench") {
        return;
    }
    // `cargo bench -- profile ship_dog rest 1024 200 [vello]`: one renderer alone, for a profiler.
    let args: Vec<String> = std::env::args().skip_while(|a| a != "profile").collect();
    if let [_, member, pose, side, times, rest @ ..] = &args[..] {
        let staged = if member == "generated" {
            generated::crowd(100)
        } else {
            support::demo(member)
        };
        let side: u32 = side.parse().expect("pixels");
        let [w, h] = staged.member.canvas;
        let scale = f64::from(side) / w.max(h);
        let mut pixels = tiny_skia::Pixmap::new(side, side).expect("a picture");
        let mut scratch = Scratch::default();
        let times: u32 = times.parse().expect("a count");
        if rest.iter().any(|r| r == "vello") {
            let figure = staged.puppets[0]
                .solve(staged.pose(pose))
                .expect("the pose solves");
            let text = layfig::export::svg(&figure, member, scale / 4.0, None);
            let tree =
                usvg::Tree::from_str(&text, &usvg::Options::default()).expect("our SVG is read");
            let fit = side as f32 / (tree.size().width().max(tree.size().height()));
            let ops = Ops::new(&tree, tiny_skia::Transform::from_scale(fit, fit));
            let mut vello = Vello::new(&ops, side);
            for _ in 0..times {
                vello.draw();
            }
            return;
        }
        for _ in 0..times {
            let figure = staged.puppets[0]
                .solve(staged.pose(pose))
                .expect("the pose solves");
            draw_onto(
                &figure,
                Affine::scale([scale, scale]),
                &mut pixels.as_mut(),
                &mut scratch,
            );
        }
        return;
    }
    let dog = support::demo("ship_dog");
    compositing("ship_dog", &dog, "rest");
    let hand = support::demo("deckhand");
    compositing("deckhand", &hand, "haul");
    let large = generated::crowd(100);
    compositing("generated, 100 parts", &large, "bent");
}
