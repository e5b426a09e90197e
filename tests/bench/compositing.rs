//! One posed figure, drawn by layfig and by others from the same geometry: resvg draws the exported
//! SVG; vello_cpu and tiny-skia get the SVG's shapes taken apart beforehand, strokes already
//! expanded, so that they pay for nothing but drawing. Layfig pays for solving the pose too.

use layfig::draw::{Scratch, draw_onto};
use layfig::geom::Affine;

use crate::clock::{in_turn, median};
use crate::generated;
use crate::rivals::{Skia, Vello, exported};
use crate::shapes::Shapes;
use crate::support::{Staged, demo};
use crate::table::{Table, short};

/// Prints the tables.
pub fn run() {
    compositing("ship_dog", &demo("ship_dog"), "rest");
    compositing("deckhand", &demo("deckhand"), "haul");
    compositing("generated, 100 parts", &generated::crowd(100), "bent");
}

fn compositing(name: &str, staged: &Staged, pose: &str) {
    let puppet = &staged.puppets[0];
    let pose = staged.pose(pose);
    let figure = puppet.figure(pose).expect("the pose solves");
    let [w, h] = staged.member.canvas;
    let mut table = Table::new(&[
        "square px",
        "layfig",
        "of it solve",
        "vello_cpu",
        "tiny-skia",
        "resvg",
        "vello_cpu / layfig",
        "tiny-skia / layfig",
        "resvg / layfig",
    ]);
    for side in [256_u32, 512, 1024, 2048] {
        let scale = f64::from(side) / w.max(h);
        let to_pixels = Affine::scale([scale, scale]);
        let mut pixels = tiny_skia::Pixmap::new(side, side).expect("a picture");
        let mut scratch = Scratch::default();
        let solve = median(50.0, || {
            std::hint::black_box(puppet.figure(pose).expect("the pose solves"));
        });
        let (tree, to_side) = exported(&figure, side);
        let shapes = Shapes::new(&tree, to_side);
        let mut theirs = tiny_skia::Pixmap::new(side, side).expect("a picture");
        let mut vello = Vello::new(&shapes, side);
        let mut skia = Skia::new(&shapes, side);
        let mut draw_ours = || {
            pixels.data_mut().fill(0);
            let figure = puppet.figure(pose).expect("the pose solves");
            draw_onto(&figure, to_pixels, &mut pixels.as_mut(), &mut scratch).expect("it is drawn");
        };
        let mut draw_vello = || vello.draw();
        let fast = in_turn(
            (400_000 / (side as usize * 4)).clamp(40, 200),
            &mut [&mut draw_ours, &mut draw_vello],
        );
        let slow = in_turn(
            7,
            &mut [&mut || skia.draw(), &mut || {
                theirs.data_mut().fill(0);
                resvg::render(&tree, to_side, &mut theirs.as_mut());
            }],
        );
        let ([ours, vello_time], [skia_time, resvg]) = (&fast[..], &slow[..]) else {
            unreachable!("a time for each call");
        };
        let (ours, vello_time, skia_time, resvg) = (*ours, *vello_time, *skia_time, *resvg);
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
        table.row([
            side.to_string(),
            short(ours),
            short(solve),
            short(vello_time),
            short(skia_time),
            short(resvg),
            short(vello_time / ours),
            short(skia_time / ours),
            short(resvg / ours),
        ]);
    }
    table.print(&format!(
        "Compositing, {name}, pose {}: milliseconds a pose, one thread",
        pose.name
    ));
}
