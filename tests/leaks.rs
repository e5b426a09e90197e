//! No seam of the demo cast lets the background through, at any angle of any sweep.

mod support;

use layfig::art::Rgb;
use support::{DEMO, demo, picture};

const SCALE: f64 = 0.75;

#[test]
fn over_magenta_no_opened_seam_leaks() {
    let (mut seams, mut pixels) = (0_u64, 0_u64);
    let mut leaks: Vec<String> = Vec::new();
    for member in DEMO {
        let staged = demo(member);
        for puppet in &staged.puppets {
            let view = &staged.member.views[puppet.view()];
            let name = |part: layfig::cast::PartId| {
                staged.member.names[view.parts[part.at()].name.at()].as_str()
            };
            for pose in staged
                .lists
                .iter()
                .flat_map(|l| l.sweeps.iter().flat_map(|s| &s.poses))
            {
                let figure = puppet.solve(pose).unwrap();
                let clear = picture(&figure, SCALE, None).pixels;
                let magenta = picture(&figure, SCALE, Some(Rgb([255, 0, 255]))).pixels;
                for seam in &view.seams {
                    let (a, b) = (name(seam.parent), name(seam.child));
                    let both = figure
                        .paint_of(a, SCALE)
                        .unwrap()
                        .intersection(&figure.paint_of(b, SCALE).unwrap());
                    // A pixel is inside when it is wholly so.
                    let inside = both.shrunk(0.71 / SCALE, 0.05);
                    let Some(bounds) = inside.bounds() else {
                        continue;
                    };
                    seams += 1;
                    let (w, h) = (clear.width(), clear.height());
                    let range = |from: f64, to: f64, most: u32| {
                        (from * SCALE).floor().clamp(0.0, f64::from(most)) as u32
                            ..(to * SCALE).ceil().clamp(0.0, f64::from(most)) as u32
                    };
                    for y in range(bounds[1], bounds[3], h) {
                        for x in range(bounds[0], bounds[2], w) {
                            let centre =
                                [(f64::from(x) + 0.5) / SCALE, (f64::from(y) + 0.5) / SCALE];
                            if !inside.contains(centre) {
                                continue;
                            }
                            pixels += 1;
                            let (p, q) = (clear.pixel(x, y).unwrap(), magenta.pixel(x, y).unwrap());
                            if p.alpha() != 255 || p != q {
                                leaks.push(format!(
                                    "{member} {} {}: ({x}, {y}) {p:?} {q:?}",
                                    pose.name, seam.name
                                ));
                            }
                        }
                    }
                }
            }
        }
    }
    leaks.truncate(20);
    assert!(leaks.is_empty(), "{}", leaks.join("\n"));
    assert!(
        seams > 1000 && pixels > 1_000_000,
        "only {seams} seams and {pixels} pixels looked at"
    );
}
