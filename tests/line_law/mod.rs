//! The law of lines on limbs of known shape, against Shapely's reading of it.
//!
//! `support/line_law.py` reads the law as point sets: a point of A's ink is opened where it lies in the zone, on
//! B's clear paint, with nothing between that covers it; a free end is a half disc about the point where the
//! line's middle crosses the opening's edge. Shapely's area of what then shows is compared with the picture's.
//!
//! `crook.rs` looks at the inside of a bend.

#![expect(clippy::disallowed_methods, reason = "shapes within a tolerance")]

mod crook;

use crate::limbs::{Form, Limb, Other, Setup, by_shapely};
use layfig::art::Rgb;
use layfig::draw::{Scratch, Viewport, draw};
use layfig::geom::{Affine, Point};
use layfig::solve::Figure;
use rayon::prelude::*;
use serde_json::Value;

const WHITE: Option<Rgb> = Some(Rgb([255, 255, 255]));
/// Pixels to the unit of whole pictures.
const SCALE: f64 = 4.0;

const fn limb(name: &'static str, from: f64, r: f64, to: f64, s: f64, pivot: Point) -> Limb {
    let ends = [([from, 150.0], r), ([to, 150.0], s)];
    Limb { name, ends, pivot }
}

/// Two limbs that share a joint about (150, 150).
const PAIRS: [(&str, [Limb; 2]); 4] = [
    (
        "capsules",
        [
            limb("a", 50.0, 20.0, 150.0, 20.0, [50.0, 150.0]),
            limb("b", 150.0, 20.0, 240.0, 20.0, [150.0, 150.0]),
        ],
    ),
    (
        "tapered",
        [
            limb("a", 50.0, 28.0, 150.0, 20.0, [50.0, 150.0]),
            limb("b", 150.0, 20.0, 240.0, 12.0, [150.0, 150.0]),
        ],
    ),
    (
        "unequal",
        [
            limb("a", 50.0, 24.0, 150.0, 24.0, [50.0, 150.0]),
            limb("b", 150.0, 17.0, 240.0, 17.0, [150.0, 150.0]),
        ],
    ),
    (
        "off the middle",
        [
            limb("a", 50.0, 20.0, 150.0, 20.0, [50.0, 150.0]),
            limb("b", 150.0, 20.0, 240.0, 20.0, [150.0, 154.0]),
        ],
    ),
];

const CHAIN: [Limb; 3] = [
    limb("a", 60.0, 20.0, 130.0, 18.0, [60.0, 150.0]),
    limb("b", 130.0, 18.0, 190.0, 15.0, [130.0, 150.0]),
    limb("c", 190.0, 15.0, 240.0, 12.0, [190.0, 150.0]),
];

const BAR: [Point; 4] = [[152.0, 90.0], [164.0, 90.0], [164.0, 230.0], [152.0, 230.0]];
const PLATE: [Point; 4] = [
    [100.0, 147.0],
    [186.0, 159.0],
    [180.0, 215.0],
    [94.0, 203.0],
];

fn others(at: Point) -> [Other; 4] {
    let other = |shape, inked| Other {
        name: "x",
        shape,
        inked,
    };
    let disc = Form::Disc([at[0] + 8.0, at[1] - 8.0], 14.0);
    [
        other(disc, false),
        other(disc, true),
        other(Form::Ring(&BAR), true),
        other(Form::Ring(&PLATE), false),
    ]
}

/// A figure's part about a point, `pixels` on each side, black where limb ink shows: 0 to 1.
fn window(figure: &Figure, at: Point, side: f64, pixels: u32) -> Vec<f64> {
    let scale = f64::from(pixels) / side;
    let viewport = Viewport {
        width: pixels,
        height: pixels,
        to_pixels: Affine::scale([scale, scale])
            .after(Affine::translate([side / 2.0 - at[0], side / 2.0 - at[1]])),
    };
    let frame = draw(figure, &viewport, WHITE, false, &mut Scratch::default()).expect("a picture");
    let data = frame.pixels.data().chunks_exact(4);
    data.map(|p| f64::from(255 - p[0]) / 255.0).collect()
}

/// Area of limb ink in a picture, square units.
fn ink(figure: &Figure) -> f64 {
    let [l, t, r, b] = figure.bounds().expect("a figure");
    let side = (r - l).max(b - t) + 4.0;
    let pixels = (side * SCALE).ceil();
    let middle = [(l + r) / 2.0, (t + b) / 2.0];
    let all = window(figure, middle, pixels / SCALE, pixels as u32);
    all.iter().sum::<f64>() / (SCALE * SCALE)
}

struct Case {
    setup: Setup,
    turns: Vec<Vec<f64>>,
    name: String,
}

fn number(v: &Value) -> f64 {
    v.as_f64().expect("a number")
}

/// How many free ends were compared, and what is wrong.
fn judged(case: &Case) -> (usize, Vec<String>) {
    let staged = case.setup.staged(&case.turns);
    let (mut ends, mut wrong) = (0, Vec::new());
    let names: Vec<String> = (0..case.turns.len()).map(|k| format!("p{k}")).collect();
    let scenes: Vec<Value> = names
        .iter()
        .zip(&case.turns)
        .map(|(pose, turns)| case.setup.scene(&staged, pose, turns, true))
        .collect();
    for ((pose, turns), law) in names.iter().zip(&case.turns).zip(by_shapely(&scenes)) {
        let figure = staged.figure(pose);
        let (got, want) = (ink(&figure), number(&law["area"]));
        if (got - want).abs() > want * 0.003 {
            wrong.push(format!(
                "{} {turns:?}: area {got:.2}, not {want:.2}",
                case.name
            ));
        }
        if turns[0] == 90.0 {
            let mirrored = ink(&staged.figure(&pose.replace('p', "m")));
            if (mirrored - want).abs() > want * 0.003 {
                wrong.push(format!(
                    "{} {turns:?} mirrored: area {mirrored:.2}",
                    case.name
                ));
            }
        }
        for end in law["ends"].as_array().expect("a list") {
            let at = [number(&end["at"][0]), number(&end["at"][1])];
            let (side, half) = (number(&end["side"]), number(&end["half"]));
            let pixels = number(&end["pixels"]) as u32;
            let bits = end["bits"].as_str().expect("digits").as_bytes();
            let is = |i: usize| {
                let digit = char::from(bits[i / 4]).to_digit(16).expect("a digit");
                digit >> (3 - i % 4) & 1 == 1
            };
            let got = window(&figure, at, side, pixels);
            let unlike = got
                .iter()
                .enumerate()
                .filter(|&(i, v)| (*v > 0.5) != is(i))
                .count();
            let unlike = unlike as f64 * (side / f64::from(pixels)).powi(2);
            if unlike > 0.1 * half {
                wrong.push(format!(
                    "{} {turns:?}: the end at {at:.1?} is {:.0} % of a half disc off",
                    case.name,
                    100.0 * unlike / half
                ));
            }
            ends += 1;
        }
    }
    (ends, wrong)
}

fn judge(cases: &[Case], least_ends: usize) {
    let all: Vec<(usize, Vec<String>)> = cases.par_iter().with_max_len(1).map(judged).collect();
    let ends: usize = all.iter().map(|a| a.0).sum();
    let wrong: Vec<&str> = all.iter().flat_map(|a| &a.1).map(String::as_str).collect();
    let figures: usize = cases.iter().map(|c| c.turns.len()).sum();
    println!("{figures} figures, {ends} free ends");
    assert!(
        wrong.is_empty(),
        "{} of {figures}:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
    assert!(ends >= least_ends, "only {ends} free ends were looked at");
}

/// Orders with another part at each place.
fn with_at_each_place(order: &[&'static str]) -> Vec<Vec<&'static str>> {
    (0..=order.len())
        .map(|k| [&order[..k], &["x"], &order[k..]].concat())
        .collect()
}

#[test]
fn two_limbs_show_the_ink_that_the_law_leaves() {
    let bends = |list: &[f64]| list.iter().map(|t| vec![*t]).collect::<Vec<_>>();
    let all = bends(&[0.0, 30.0, 60.0, 90.0, 120.0, 150.0]);
    let mut cases = Vec::new();
    for (pair, limbs) in PAIRS {
        for order in [["a", "b"], ["b", "a"]] {
            for zone in [None, Some(27.0), Some(400.0)] {
                let setup = |others: Vec<Other>, order| Setup {
                    limbs: limbs.to_vec(),
                    others,
                    order,
                    zone,
                };
                cases.push(Case {
                    setup: setup(Vec::new(), order.to_vec()),
                    turns: all.clone(),
                    name: format!("{pair}, {order:?}, zone {zone:?}"),
                });
                if zone.is_some() {
                    continue;
                }
                for (nth, other) in others([150.0, 150.0]).into_iter().enumerate() {
                    for order in with_at_each_place(&order) {
                        cases.push(Case {
                            name: format!("{pair}, {order:?}, zone {zone:?}, {nth}"),
                            setup: setup(vec![other], order),
                            turns: bends(&[20.0, 90.0, 140.0]),
                        });
                    }
                }
            }
        }
    }
    judge(&cases, 100);
}

#[test]
fn three_limbs_show_the_ink_that_the_law_leaves() {
    let turns: Vec<Vec<f64>> = [
        [0.0, 0.0],
        [60.0, 40.0],
        [90.0, -60.0],
        [140.0, 30.0],
        [35.0, 150.0],
        [110.0, 110.0],
    ]
    .map(Vec::from)
    .to_vec();
    let mut cases = Vec::new();
    for order in [
        ["a", "b", "c"],
        ["a", "c", "b"],
        ["b", "a", "c"],
        ["b", "c", "a"],
        ["c", "a", "b"],
        ["c", "b", "a"],
    ] {
        let setup = |others: Vec<Other>, order| Setup {
            limbs: CHAIN.to_vec(),
            others,
            order,
            zone: None,
        };
        cases.push(Case {
            setup: setup(Vec::new(), order.to_vec()),
            turns: turns.clone(),
            name: format!("chain, {order:?}"),
        });
        for (nth, other) in others([130.0, 150.0]).into_iter().enumerate() {
            for (place, order) in with_at_each_place(&order).into_iter().enumerate() {
                if (nth + place) % 2 == 1 {
                    continue;
                }
                cases.push(Case {
                    name: format!("chain, {order:?}, {nth}"),
                    setup: setup(vec![other], order),
                    turns: turns[1..5].to_vec(),
                });
            }
        }
    }
    judge(&cases, 50);
}
