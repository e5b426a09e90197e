//! No seam of the demo cast lets the background through, at any angle of any sweep.

use crate::support::{DEMO, demo, picture};
use layfig::art::Rgb;
use layfig::cast::{PartId, Pose};
use layfig::solve::Puppet;
use rayon::prelude::*;

const SCALE: f64 = 0.5;

/// Seams and pixels looked at, and what leaked.
type Seen = (u64, u64, Vec<String>);

fn look(puppet: &Puppet, pose: &Pose) -> Seen {
    let member = puppet.member();
    let view = &member.views[puppet.view()];
    let name = |part: PartId| member.names[view.parts[part.at()].name.at()].as_str();
    let figure = puppet.figure(pose).unwrap();
    let clear = picture(&figure, SCALE, None).pixels;
    let magenta = picture(&figure, SCALE, Some(Rgb([255, 0, 255]))).pixels;
    let (mut seams, mut pixels, mut leaks) = (0, 0, Vec::new());
    for seam in &view.seams {
        let paint = |part| figure.paint_of(name(part), SCALE).unwrap();
        // A pixel is inside when it is wholly so.
        let inside = paint(seam.parent)
            .intersection(&paint(seam.child))
            .shrunk(0.71 / SCALE, 0.05);
        let Some(bounds) = inside.bounds() else {
            continue;
        };
        seams += 1;
        let range = |from: f64, to: f64, most: u32| {
            let side = |v: f64| v.clamp(0.0, f64::from(most)) as u32;
            side((from * SCALE).floor())..side((to * SCALE).ceil())
        };
        for y in range(bounds[1], bounds[3], clear.height()) {
            for x in range(bounds[0], bounds[2], clear.width()) {
                let centre = [(f64::from(x) + 0.5) / SCALE, (f64::from(y) + 0.5) / SCALE];
                if !inside.contains(centre) {
                    continue;
                }
                pixels += 1;
                let (p, q) = (clear.pixel(x, y).unwrap(), magenta.pixel(x, y).unwrap());
                if p.alpha() != 255 || p != q {
                    leaks.push(format!(
                        "{} view {} {} {}: ({x}, {y}) {p:?} {q:?}",
                        member.key,
                        puppet.view(),
                        pose.name,
                        seam.name
                    ));
                }
            }
        }
    }
    (seams, pixels, leaks)
}

#[test]
fn over_magenta_no_opened_seam_leaks() {
    let mut all: Seen = (0, 0, Vec::new());
    for member in DEMO {
        let staged = demo(member);
        for puppet in &staged.puppets {
            let sweeps = staged.lists.iter().flat_map(|l| &l.sweeps);
            let poses: Vec<&Pose> = sweeps.flat_map(|s| &s.poses).collect();
            let seen: Vec<Seen> = poses.par_iter().map(|pose| look(puppet, pose)).collect();
            for (seams, pixels, leaks) in seen {
                all.0 += seams;
                all.1 += pixels;
                all.2.extend(leaks);
            }
        }
    }
    let (seams, pixels, mut leaks) = all;
    leaks.truncate(20);
    assert!(leaks.is_empty(), "{}", leaks.join("\n"));
    assert!(
        seams > 10_000 && pixels > 1_000_000,
        "only {seams} seams and {pixels} pixels looked at"
    );
}
