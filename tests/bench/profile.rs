//! One renderer alone, for a profiler: `cargo bench -- profile MEMBER POSE SIDE TIMES [vello]`.

use layfig::draw::{Scratch, draw_onto};
use layfig::geom::Affine;

use crate::generated;
use crate::rivals::{Vello, exported};
use crate::shapes::Shapes;
use crate::support::demo;

/// Draws one pose again and again.
pub fn run(args: &[String]) {
    let [member, pose, side, times, rest @ ..] = args else {
        panic!("profile MEMBER POSE SIDE TIMES [vello]");
    };
    let staged = if member == "generated" {
        generated::crowd(100)
    } else {
        demo(member)
    };
    let puppet = &staged.puppets[0];
    let pose = staged.pose(pose);
    let side: u32 = side.parse().expect("pixels");
    let times: u32 = times.parse().expect("a count");
    if rest.iter().any(|r| r == "vello") {
        let figure = puppet.figure(pose).expect("the pose solves");
        let (tree, to_side) = exported(&figure, side);
        let mut vello = Vello::new(&Shapes::new(&tree, to_side), side);
        for _ in 0..times {
            vello.draw();
        }
        return;
    }
    let [w, h] = staged.member.canvas;
    let scale = f64::from(side) / w.max(h);
    let mut pixels = tiny_skia::Pixmap::new(side, side).expect("a picture");
    let mut scratch = Scratch::default();
    for _ in 0..times {
        let figure = puppet.figure(pose).expect("the pose solves");
        draw_onto(
            &figure,
            Affine::scale([scale, scale]),
            &mut pixels.as_mut(),
            &mut scratch,
        )
        .expect("it is drawn");
    }
}
