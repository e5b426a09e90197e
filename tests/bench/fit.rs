//! `layfig fit` on the seams of the whole demo cast; and what its measures cost beside plain ones, which ask
//! every edge about every point and take the daylight out of the shapes.

use layfig::check::Joint;
use layfig::fit::{Proposal, proposals};
use layfig::geom::{Affine, Point, Region, Room};

use crate::clock::{in_turn, middle, timed};
use crate::support::{DEMO, demo};
use crate::table::{Table, short};

/// Angles over the limits, and pivots for each.
const ANGLES: u32 = 6;
const PIVOTS: [[f64; 2]; 3] = [[0.0, 0.0], [0.02, -0.01], [-0.05, 0.08]];
/// Joints that are measured both ways.
const JOINTS: [&str; 4] = ["forearm_near", "shin_near", "upper_arm_near", "thigh_near"];

/// Prints the tables: reading and preparing the rigs is not in the time.
pub fn run(rounds: usize) {
    let mut table = Table::new(&["member", "seams", "1 thread, ms", "2 threads, ms"]);
    let mut sums = [0.0, 0.0];
    let mut seams = 0;
    let mut some: Vec<Proposal> = Vec::new();
    for member in DEMO {
        let staged = demo(member);
        let mut found = 0;
        let mut times = [Vec::new(), Vec::new()];
        for _ in 0..rounds {
            for (threads, times) in [1, 2].into_iter().zip(&mut times) {
                let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build();
                let (time, all) = timed(|| {
                    let fit = || {
                        let all = staged.puppets.iter();
                        all.flat_map(|p| proposals(p, |_| true, false))
                            .flatten()
                            .collect()
                    };
                    pool.expect("a pool").install::<_, Vec<Proposal>>(fit)
                });
                times.push(time);
                found = all.len();
                if some.len() < JOINTS.len() {
                    let named = |p: &&Proposal| {
                        JOINTS.contains(&p.name.as_str()) && !some.iter().any(|s| s.name == p.name)
                    };
                    let more: Vec<Proposal> = all.iter().filter(named).cloned().collect();
                    some.extend(more);
                }
            }
        }
        let times = times.map(middle);
        seams += found;
        sums = [sums[0] + times[0], sums[1] + times[1]];
        table.row([
            member.to_owned(),
            found.to_string(),
            short(times[0]),
            short(times[1]),
        ]);
    }
    table.row([
        "together".to_owned(),
        seams.to_string(),
        short(sums[0]),
        short(sums[1]),
    ]);
    table.print("Fit: the seams of the demo cast, all views");
    both_ways(&some, rounds);
}

/// The same measures of the same joints, plain and as `fit` takes them.
fn both_ways(joints: &[Proposal], rounds: usize) {
    let mut table = Table::new(&["joint", "plain, ms", "fit's, ms", "plain / fit's"]);
    for proposal in joints {
        let joint = &proposal.joint;
        let precision = joint.width * 2e-4;
        let [least, most] = proposal.limits;
        let mut asked: Vec<(f64, Point)> = Vec::new();
        for k in 0..ANGLES {
            let angle = least + (most - least) * f64::from(k) / f64::from(ANGLES - 1);
            asked.extend(PIVOTS.map(|[x, y]| {
                let [px, py] = proposal.fitted.best;
                (angle, [px + x * joint.width, py + y * joint.width])
            }));
        }
        let (mut plain, mut fits) = (Vec::new(), Vec::new());
        let times = in_turn(
            rounds,
            &mut [
                &mut || plain = asked.iter().map(|&(a, p)| plainly(joint, a, p)).collect(),
                &mut || {
                    let room = Room {
                        least: 0.0,
                        enough: f64::INFINITY,
                        precision,
                        likely: None,
                    };
                    let gap = |a, p| joint.opening(a, p, room).map_or(0.0, |c| 2.0 * c.radius);
                    fits = asked
                        .iter()
                        .map(|&(a, p)| [joint.jut(a, p).reach, gap(a, p)])
                        .collect();
                },
            ],
        );
        for (a, b) in plain.iter().zip(&fits) {
            assert!(a[0] == b[0], "{}: {a:?}, {b:?}", proposal.name);
            // Either circle may be smaller than the largest by the precision.
            assert!(
                (a[1] - b[1]).abs() <= 3.0 * precision,
                "{}: {a:?}, {b:?}",
                proposal.name
            );
        }
        table.row([
            format!("{}, {} measures", proposal.name, 2 * asked.len()),
            short(times[0]),
            short(times[1]),
            short(times[0] / times[1]),
        ]);
    }
    table.print("Fit: what comes out and what opens, measured plainly and as fit does");
}

/// What comes out and what opens.
fn plainly(joint: &Joint, angle: f64, pivot: Point) -> [f64; 2] {
    let out = |points: &[Point], turn: Affine, of: &Region| {
        let far = points.iter().map(|&p| of.distance(turn.apply(p)));
        far.fold(0.0, f64::max)
    };
    let [parent, child] = joint.sides();
    let jut = out(child.1, Joint::turned(angle, pivot), parent.0);
    let jut = jut.max(out(parent.1, Joint::turned(-angle, pivot), child.0));
    [jut, joint.gap(angle, pivot).width]
}
