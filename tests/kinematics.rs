//! Chains of parts against textbook planar arms.
//!
//! `reference/kinematics.json`: Craig, Introduction to Robotics, 3rd ed., ch. 3 exercise (its inputs
//! are values from memory); Lynch & Park, Modern Robotics, Example 6.1; further chains computed
//! with numpy. There y is up and turns are counter-clockwise, here y is down and turns are clockwise:
//! the numbers are the same.

use std::fmt::Write as _;

use crate::support::Staged;

#[test]
fn chains_reach_where_the_textbooks_say() {
    let table: serde_json::Value =
        serde_json::from_str(include_str!("reference/kinematics.json")).unwrap();
    let cases = table["fk"].as_array().unwrap();
    assert!(cases.len() >= 8);
    for case in cases {
        let numbers = |key: &str| -> Vec<f64> {
            case[key]
                .as_array()
                .unwrap()
                .iter()
                .map(|v| v.as_f64().unwrap())
                .collect()
        };
        let (lengths, turns) = (numbers("L"), numbers("q_deg"));
        let mut rig = String::from(
            "[character]\nname = \"chain\"\ncanvas = [100, 100]\nposes = [\"poses.toml\"]\n",
        );
        let mut poses = String::from("[pose.bent]\nturn = { ");
        let mut x = 0.0;
        for (i, (length, turn)) in lengths.iter().zip(&turns).enumerate() {
            let parent = if i == 0 {
                String::new()
            } else {
                format!("parent = \"link{}\"\n", i - 1)
            };
            write!(rig, "[part.link{i}]\n{parent}pivot = [{x:?}, 0.0]\n").unwrap();
            write!(
                poses,
                "{}link{i} = {turn:?}",
                if i == 0 { "" } else { ", " }
            )
            .unwrap();
            x += length;
        }
        poses.push_str(" }\n");
        let staged = Staged::write(&[("rig.toml", &rig), ("poses.toml", &poses)]);
        let figure = staged.figure("bent");
        let mut at = 0.0;
        for (i, end) in case["joint_ends"].as_array().unwrap().iter().enumerate() {
            at += lengths[i];
            let got = figure
                .transform_of(&format!("link{i}"))
                .unwrap()
                .apply([at, 0.0]);
            for k in 0..2 {
                let want = end[k].as_f64().unwrap();
                assert!(
                    (got[k] - want).abs() < 1e-9,
                    "{} joint {i}: {got:?}, not {end}",
                    case["case"]
                );
            }
        }
    }
}

#[test]
fn a_part_scales_then_skews_then_turns_about_its_pivot_then_moves() {
    let rig = "[character]\nname = \"one\"\ncanvas = [100, 100]\nposes = [\"p.toml\"]\n[part.a]\npivot = [10, 20]\n[part.b]\nparent = \"a\"\npivot = [30, 20]\n";
    let poses = "[pose.all]\nturn = { a = 90 }\nmove = { a = [5, 7] }\nscale = { a = [2, 3] }\nskew = { a = [45, 0] }\n[pose.flip]\nfrom = \"all\"\nmirror = true\n";
    let staged = Staged::write(&[("rig.toml", rig), ("p.toml", poses)]);
    // (1, 1) from the pivot: scaled (2, 3), skewed (2 + 3, 3), turned clockwise (-3, 5), moved.
    let got = staged
        .figure("all")
        .transform_of("b")
        .unwrap()
        .apply([11.0, 21.0]);
    assert!(
        (got[0] - 12.0).abs() < 1e-12 && (got[1] - 32.0).abs() < 1e-12,
        "{got:?}"
    );
    let got = staged
        .figure("flip")
        .transform_of("b")
        .unwrap()
        .apply([11.0, 21.0]);
    assert!(
        (got[0] - 88.0).abs() < 1e-12 && (got[1] - 32.0).abs() < 1e-12,
        "{got:?}"
    );
}
