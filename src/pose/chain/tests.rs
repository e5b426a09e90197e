//! Sources: the law of cosines table of `tests/reference/kinematics.json`, y up there; `tests/reference/chains.csv`, by
//! a general optimiser; the stall case of Aristidou and Lasenby, FABRIK, Graphical Models 73(5), 2011.

use super::*;

fn free(along: Point) -> Link {
    Link {
        along,
        limits: FREE,
    }
}

fn table(name: &str) -> Vec<serde_json::Value> {
    let text = include_str!("../../../tests/reference/kinematics.json");
    let all: serde_json::Value = serde_json::from_str(text).unwrap();
    all[name].as_array().unwrap().clone()
}

fn numbers(value: &serde_json::Value) -> Vec<f64> {
    let all = value.as_array().unwrap().iter();
    all.map(|v| v.as_f64().unwrap()).collect()
}

fn same_angle(a: f64, b: f64) -> bool {
    wrapped(a - b).abs() < 1e-6
}

#[test]
fn two_links_are_those_of_the_law_of_cosines() {
    for case in table("ik2") {
        let (a, b) = (case["l1"].as_f64().unwrap(), case["l2"].as_f64().unwrap());
        let target = numbers(&case["target"]);
        let target = [target[0], -target[1]];
        let chain = Chain {
            root: [0.0, 0.0],
            links: vec![free([a, 0.0]), free([b, 0.0])],
        };
        let apart = norm(target);
        for fold in [1.0, -1.0] {
            let found = chain.reach(target, fold);
            let Some(solutions) = case["solutions_deg"].as_array() else {
                let left = (apart - (a + b)).max((a - b).abs() - apart);
                assert!((found.left - left).abs() < 1e-12, "{case}: {found:?}");
                continue;
            };
            assert!(found.left < 1e-9 * (a + b), "{case}: {found:?}");
            let known = solutions.iter().any(|known| {
                let known = numbers(known);
                let first = apart < 1e-12 || same_angle(found.turns[0], -known[0]);
                first && same_angle(found.turns[1], -known[1])
            });
            let bend = found.turns[1];
            let folds = bend * fold >= 0.0 || bend.abs() > 180.0 - 1e-6;
            assert!(known && folds, "{case}, {fold}: {found:?}");
        }
    }
}

#[test]
fn forward_is_that_of_the_table() {
    for case in table("fk") {
        let links = numbers(&case["L"]).into_iter().map(|l| free([l, 0.0]));
        let chain = Chain {
            root: [0.0, 0.0],
            links: links.collect(),
        };
        let turns: Vec<f64> = numbers(&case["q_deg"]).iter().map(|q| -q).collect();
        for (got, want) in chain.points(&turns)[1..]
            .iter()
            .zip(case["joint_ends"].as_array().unwrap())
        {
            let want = numbers(want);
            let off = norm([got[0] - want[0], got[1] + want[1]]);
            assert!(off < 1e-9, "{case}: {got:?}");
        }
    }
}

struct Case {
    chain: Chain,
    target: Point,
    left: f64,
}

/// Chains with limits, and how near SciPy brings their ends to a target.
fn cases() -> Vec<Case> {
    let text = include_str!("../../../tests/reference/chains.csv");
    let pairs = |text: &str| -> Vec<[f64; 2]> {
        let pair = |pair: &str| {
            let (x, y) = pair.split_once(' ').unwrap();
            [x.parse().unwrap(), y.parse().unwrap()]
        };
        text.split(';').map(pair).collect()
    };
    let rows = text.lines().filter(|line| !line.starts_with('#')).skip(1);
    let read = |row: &str| {
        let cells: Vec<&str> = row.split(',').collect();
        let links = pairs(cells[0]).into_iter().zip(pairs(cells[1]));
        let links = links.map(|(along, limits)| Link { along, limits });
        Case {
            chain: Chain {
                root: [0.0, 0.0],
                links: links.collect(),
            },
            target: pairs(cells[2])[0],
            left: cells[3].parse().unwrap(),
        }
    };
    rows.map(read).collect()
}

#[test]
fn chains_with_limits_come_as_near_as_an_optimiser_brings_them() {
    let mut wrong = Vec::new();
    for (
        nth,
        Case {
            chain,
            target,
            left,
        },
    ) in cases().into_iter().enumerate()
    {
        for fold in [1.0, -1.0] {
            let found = chain.reach(target, fold);
            for (turn, link) in found.turns.iter().zip(&chain.links) {
                let [least, most] = link.limits;
                assert!((least..=most).contains(turn), "{nth}: {found:?}");
            }
            let off = norm(sub(chain.end(&found.turns), target));
            assert!((off - found.left).abs() < 1e-9);
            if found.left > left + 1e-6 {
                wrong.push(format!(
                    "{nth}, {} joints: {} and not {left}",
                    chain.links.len(),
                    found.left
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_chain_folded_on_the_line_to_its_target_comes_there() {
    for count in [3, 4, 7] {
        for target in [25.0, 40.0, 12.5] {
            let links = (0..count).map(|_| free([10.0, 0.0])).collect();
            let chain = Chain {
                root: [0.0, 0.0],
                links,
            };
            let found = chain.reach([target, 0.0], 1.0);
            let most = 10.0 * f64::from(count);
            assert!(
                (found.left - (target - most).max(0.0)).abs() < 1e-9,
                "{found:?}"
            );
        }
    }
}

#[test]
fn out_of_reach_it_points_there() {
    for count in [1, 2, 3, 5] {
        let links = (0..count).map(|_| free([10.0, 2.0])).collect();
        let chain = Chain {
            root: [3.0, 4.0],
            links,
        };
        let target = [-300.0, 120.0];
        let found = chain.reach(target, -1.0);
        let apart = norm(sub(target, chain.root));
        assert!(
            (found.left - (apart - chain.length())).abs() < 1e-9,
            "{count}: {found:?}"
        );
    }
}

#[test]
fn joints_fold_as_they_are_drawn_or_as_limits_let_them() {
    let fold = |second: Point, limits: [f64; 2]| {
        let second = Link {
            along: second,
            limits,
        };
        let links = vec![free([0.0, 10.0]), second];
        Chain {
            root: [0.0, 0.0],
            links,
        }
        .own_fold()
    };
    assert_eq!(fold([1.0, 9.0], FREE), -1.0);
    assert_eq!(fold([-1.0, 9.0], FREE), 1.0);
    assert_eq!(fold([1.0, 9.0], [-10.0, 130.0]), 1.0);
    assert_eq!(fold([1.0, 9.0], [-100.0, 130.0]), -1.0);
}
