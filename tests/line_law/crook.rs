//! The inside of a bend, against Shapely and closed forms.
//!
//! For two capsules of half-width r, one turned by t about the centre of the ends that they share:
//! the middles of the inner lines are the lines at distance r from the two axes, which meet r / cos(t/2) from the
//! joint, r tan(t/2) along each axis. An automatic zone of radius R = r / cos 50 cuts each of them
//! sqrt(R^2 - r^2) = r tan 50 along. So they meet up to 100 degrees, and beyond the line in front runs on for
//! r (tan(t/2) - tan 50). Where the half-widths are r and s the lines meet (s - r cos t) / sin t along the axis of
//! the first, and that in front runs on for as much less sqrt(R^2 - r^2).

use layfig::geom::Point;
use layfig::solve::Figure;
use rayon::prelude::*;
use serde_json::Value;

use super::{PAIRS, SCALE, limb, number, window};
use crate::limbs::{self, Limb, Setup, by_shapely};

/// How dark a point is, 0 to 1, in a pixel of a twentieth of a unit.
fn dark(figure: &Figure, at: Point) -> f64 {
    window(figure, at, 0.05, 1)[0]
}

fn pair(limbs: [Limb; 2], order: [&'static str; 2]) -> Setup {
    Setup {
        limbs: limbs.to_vec(),
        others: Vec::new(),
        order: order.to_vec(),
        zone: None,
    }
}

/// Limbs of unequal width, the parent's and the child's half at the joint; and limbs that widen or narrow to
/// both sides, or are drawn off their middle too.
fn joints() -> Vec<(String, [Limb; 2])> {
    let widths = [(24.0, 20.0), (24.0, 16.0), (24.0, 12.0), (24.0, 8.0)];
    let mut all: Vec<(String, [Limb; 2])> = PAIRS.map(|(n, l)| (n.to_owned(), l)).to_vec();
    for (wide, thin) in widths {
        for (r, s) in [(wide, thin), (thin, wide)] {
            all.push((format!("{r} : {s}"), unequal(r, s, 0.0)));
            if thin == 16.0 || thin == 12.0 {
                all.push((format!("{r} : {s} off the middle"), unequal(r, s, 3.0)));
            }
        }
    }
    let tapered = |from, at, to| {
        [
            limb("a", 50.0, from, 150.0, at, [50.0, 150.0]),
            limb("b", 150.0, at, 240.0, to, [150.0, 150.0]),
        ]
    };
    all.push(("waist".to_owned(), tapered(28.0, 20.0, 27.0)));
    all.push(("bulge".to_owned(), tapered(13.0, 20.0, 13.0)));
    all
}

fn unequal(r: f64, s: f64, off: f64) -> [Limb; 2] {
    [
        limb("a", 50.0, r, 150.0, r, [50.0, 150.0]),
        limb("b", 150.0, s, 240.0, s, [150.0, 150.0 + off]),
    ]
}

// The outline of all paint, by Shapely: where it shows no line at some point, there is a clear gap. The ink of all
// limbs as if they were one, by Shapely: where there is more, something juts in, shorter than a line is wide while
// the crook is closed. Beyond, it is one crease, which grows by under 5 % of the limb's width a degree.
#[test]
fn the_crook_is_closed_up_to_a_hundred_degrees_and_creases_smoothly_beyond() {
    const BENDS: [f64; 14] = [
        0.0, 30.0, 60.0, 75.0, 85.0, 90.0, 95.0, 100.0, 105.0, 110.0, 115.0, 120.0, 130.0, 140.0,
    ];
    let mut jobs = Vec::new();
    for (name, limbs) in joints() {
        for order in [["a", "b"], ["b", "a"]] {
            jobs.push((name.clone(), limbs, order, 1.0));
            if limbs[1].pivot[1] != 150.0 {
                jobs.push((name.clone(), limbs, order, -1.0));
            }
        }
    }
    let gaps: Vec<String> = jobs
        .par_iter()
        .with_max_len(1)
        .flat_map_iter(|(name, limbs, order, side)| {
            let turns: Vec<Vec<f64>> = BENDS.iter().map(|t| vec![side * t]).collect();
            let setup = pair(*limbs, *order);
            let staged = setup.staged(&turns);
            let scenes: Vec<Value> = turns
                .iter()
                .enumerate()
                .map(|(k, t)| setup.scene(&staged, &format!("p{k}"), t, false))
                .collect();
            let width = 2.0 * limbs[0].ends[1].1.max(limbs[1].ends[0].1);
            let mut wrong = Vec::new();
            let mut last = (0.0, 0.0);
            for (k, law) in by_shapely(&scenes).iter().enumerate() {
                let of = format!("{name}, {order:?}, {} degrees", turns[k][0]);
                let figure = staged.figure(&format!("p{k}"));
                let pixels = (300.0 * SCALE) as u32;
                let all = window(&figure, [150.0, 150.0], 300.0, pixels);
                let clear = law["outline"].as_array().expect("a list").iter().find(|p| {
                    let at = |v: &Value| (number(v) * SCALE) as usize;
                    all[at(&p[1]) * pixels as usize + at(&p[0])] < 0.5
                });
                wrong.extend(clear.map(|p| format!("{of}: clear at {p}")));
                let ink = all.iter().sum::<f64>() / (SCALE * SCALE);
                let crease = (ink - number(&law["ideal"])) / limbs::INK;
                if BENDS[k] <= 100.0 && crease.abs() > limbs::INK {
                    wrong.push(format!("{of}: {crease:.2} of ink too much"));
                }
                let (before, crept) = last;
                if k > 0 && crease - crept > 0.05 * width * (BENDS[k] - before) {
                    wrong.push(format!(
                        "{of}: the crease grows from {crept:.2} to {crease:.2}"
                    ));
                }
                last = (BENDS[k], crease);
            }
            wrong
        })
        .collect();
    assert!(gaps.is_empty(), "{}", gaps.join("\n"));
}

/// How far a line goes along a limb from beside the joint to the crook, both limbs as wide as they are.
fn crook(of: f64, other: f64, bend: f64) -> f64 {
    let (sin, cos) = bend.to_radians().sin_cos();
    (other - of * cos) / sin
}

/// How far the line in front runs in from the crook, by looking along its middle; the half disc left out.
fn crease(figure: &Figure, bend: f64, [r, s]: [f64; 2], front: &str) -> f64 {
    let (sin, cos) = bend.to_radians().sin_cos();
    // The inner line lies below A, and where that side of B has turned to.
    let along = |x: f64| match front {
        "a" => [150.0 - x, 150.0 + r],
        _ => [150.0 + x * cos - s * sin, 150.0 + x * sin + s * cos],
    };
    let crook = if front == "a" {
        crook(r, s, bend)
    } else {
        crook(s, r, bend)
    };
    let mut x = crook;
    while x > -22.0 && dark(figure, along(x)) > 0.5 {
        x -= 0.05;
    }
    crook - x - limbs::INK / 2.0
}

// Closed form of the head.
#[test]
fn the_crease_is_as_long_as_the_closed_form_says() {
    let turns: Vec<Vec<f64>> = (92..=150).step_by(2).map(|t| vec![f64::from(t)]).collect();
    for (r, s) in [(20.0, 20.0), (24.0, 16.0), (24.0, 8.0), (12.0, 24.0)] {
        // Within 0.05, as fine as outlines are where a zone is measured.
        // Where the lines meet at 100 degrees; a zone goes there at least, and no further than it must: to half
        // the width over cos 50, and to what is hidden at rest.
        let meet = crook(r, s, 100.0).hypot(r);
        let wide = f64::max(r, s);
        for (order, front) in [(["a", "b"], "b"), (["b", "a"], "a")] {
            let staged = pair(unequal(r, s, 0.0), order).staged(&turns);
            let zone = staged.figure("p0").seam_radius("b").expect("a disc");
            let most = wide / 50_f64.to_radians().cos();
            let name = format!("{r} : {s}, {front}");
            assert!(
                zone > meet - 0.05 && zone < most + 0.05,
                "{name}: {meet:.2}, {zone:.2}, {most:.2}"
            );
            let half = if front == "a" { r } else { s };
            let mut last = None;
            for (k, turn) in turns.iter().enumerate() {
                let t = turn[0];
                let got = crease(&staged.figure(&format!("p{k}")), t, [r, s], front);
                let want = crook(half, r + s - half, t) - (zone * zone - half * half).sqrt();
                // So far along its line the other limb's far edge lies, with its line and a half disc before it.
                let sin = t.to_radians().sin();
                let room = (2.0 * (r + s - half) - limbs::INK / 2.0) / sin - limbs::INK / 2.0;
                if want > room {
                    break;
                }
                // Until its middle is out of the other line, that hides more or less of the end.
                let stands = want > if r == s { 0.0 } else { limbs::INK / 2.0 };
                if stands {
                    assert!(
                        (got - want).abs() < 0.15,
                        "{name}, {t} degrees: {got:.2}, not {want:.2}"
                    );
                } else {
                    // What shows is the corner of two lines.
                    assert!(got < limbs::INK, "{name}, {t} degrees: {got:.2}");
                }
                // Under 5 % of the limb's width a degree.
                if let (Some(before), true) = (last, t <= 140.0) {
                    let grown: f64 = got - before;
                    assert!(
                        grown < 0.05 * 2.0 * wide * 2.0,
                        "{name}, {t} degrees: {grown:.2} in two"
                    );
                }
                last = Some(got);
            }
        }
    }
}

// A body goes on beyond the joint: the arm's own width and what is hidden at rest decide.
#[test]
fn an_arm_on_a_body_has_a_zone_of_its_own_size() {
    for (r, s, deep) in [(60.0, 15.0, 12.0), (60.0, 20.0, 10.0), (40.0, 12.0, 15.0)] {
        let x: f64 = 190.0 + r - deep;
        let body = limb("a", 60.0, r, 190.0, r, [60.0, 150.0]);
        let arm = limb("b", x, s, x + 60.0, s, [x, 150.0]);
        let staged = pair([body, arm], ["a", "b"]).staged(&[vec![0.0]]);
        let zone = staged.figure("p0").seam_radius("b").expect("a disc");
        // The body's outline goes across the arm no further off than its outer edge does at the arm's own.
        let hidden = f64::hypot(deep + limbs::INK / 2.0, s) + 1.5;
        let most = hidden.max(s / 50_f64.to_radians().cos()) + 0.05;
        assert!(zone < most, "{r}, {s}: {zone:.2}, not below {most:.2}");
    }
}
