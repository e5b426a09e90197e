//! Limbs made longer and shorter along their lines.

use crate::support::Staged;

const ART: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 400 400">
<g id="arm"><path d="M100 90H200A10 10 0 0 1 200 110H100A10 10 0 0 1 100 90Z" fill="#fff" stroke="#000" stroke-width="2"/></g>
<g id="hand"><path d="M200 90H240V110H200A10 10 0 0 1 200 90Z" fill="#fff" stroke="#000" stroke-width="2"/></g>
<g id="disc"><circle cx="300" cy="300" r="20" fill="#fff"/></g>
</svg>"##;
const RIG: &str = r#"drawing = "a.svg"
[character]
canvas = "a.svg"
poses = ["p.toml"]
[part.arm]
pivot = [100, 100]
[part.band]
parent = "arm"
pivot = [125, 100]
[part.hand]
parent = "arm"
pivot = [200, 100]
[part.ring]
parent = "hand"
pivot = [230, 100]
[part.disc]
pivot = [300, 300]
[seam]
wrist = ["arm", "hand"]
"#;

fn staged(rig: &str, poses: &str) -> Staged {
    Staged::write(&[("rig.toml", rig), ("a.svg", ART), ("p.toml", poses)])
}

fn pivot(staged: &Staged, pose: &str, part: &str, at: [f64; 2]) -> [f64; 2] {
    let figure = staged.figure(pose);
    figure.transform_of(part).expect("a part").apply(at)
}

#[track_caller]
fn assert_near(found: [f64; 2], want: [f64; 2]) {
    let near = (0..2).all(|k| (found[k] - want[k]).abs() < 1e-9);
    assert!(near, "{found:?}, not {want:?}");
}

// By hand: the arm is 100 long from its pivot to the hand's. Soft ends are a quarter of it, at most of what is left:
// with stretch 1.5 lengths grow by (1.5 - 0.25) / 0.75 = 5/3 in the middle, half way there a quarter along: 25 become
// 25 * (1 + 5/3) / 2 = 100/3.
#[test]
fn what_a_stretched_part_carries_rides_on_its_pivots_place_unstretched() {
    let staged = staged(
        RIG,
        "[pose.long]\nstretch = { arm = 1.5 }\n[pose.all]\nfrom = \"long\"\nturn = { arm = 90, hand = -90 }\nscale = { arm = [2, 1] }\nmove = { hand = [3, 0] }\n[pose.short]\nstretch = { arm = 0.5 }\n[pose.hand]\nstretch = { hand = 2 }\n",
    );
    assert_near(
        pivot(&staged, "long", "hand", [200.0, 100.0]),
        [250.0, 100.0],
    );
    assert_near(
        pivot(&staged, "long", "ring", [230.0, 100.0]),
        [280.0, 100.0],
    );
    let third = 100.0 + 100.0 / 3.0;
    assert_near(
        pivot(&staged, "long", "band", [125.0, 100.0]),
        [third, 100.0],
    );
    assert_near(
        pivot(&staged, "short", "hand", [200.0, 100.0]),
        [150.0, 100.0],
    );
    // Stretched to 150, the hand moved by 3, all scaled by 2, turned down.
    assert_near(
        pivot(&staged, "all", "hand", [200.0, 100.0]),
        [100.0, 406.0],
    );
    // 10 along the hand, which is turned back: scaled by 2 with the arm, not stretched.
    let [x, y] = pivot(&staged, "all", "hand", [210.0, 100.0]);
    assert_near([x - 100.0, y - 406.0], [10.0, 0.0]);
    // The hand's own line goes to the middle of its far end, 40 away: the ring at 30 is in the soft end.
    let at = |u: f64| 2.0 - (1.0 - u + (4.0 / 3.0) * (1.0 - u) * (1.0 - u) / (2.0 * 0.25));
    let [x, y] = pivot(&staged, "hand", "ring", [230.0, 100.0]);
    let most: f64 = (2.0 - 0.25) / 0.75;
    assert!((most - 1.0 - 4.0 / 3.0).abs() < 1e-12);
    assert_near([x, y], [200.0 + 40.0 * at(0.75), 100.0]);
}

#[test]
fn a_line_ends_at_its_tip_else_at_a_joint_else_at_the_far_end() {
    let end = |extra: &str, part: &str| {
        let rig = RIG.replace(
            "pivot = [100, 100]\n",
            &format!("pivot = [100, 100]\n{extra}"),
        );
        let staged = staged(&rig, "[pose.rest]\n");
        let view = &staged.member.views[0];
        let names = &staged.member.names;
        let found = view.parts.iter().find(|p| names[p.name.at()] == part);
        found.expect("a part").end
    };
    assert_near(end("", "arm").expect("a joint"), [200.0, 100.0]);
    assert_near(
        end("tip = [200, 120]\n", "arm").expect("a tip"),
        [200.0, 120.0],
    );
    let of = end("tip = { of = \"ring\" }\n", "arm");
    assert_near(of.expect("a part's pivot"), [230.0, 100.0]);
    // The ring has no art, so no line; a disc that turns about its middle has no axis.
    assert_eq!(end("", "ring"), None);
    assert_eq!(end("", "disc"), None);
    let [x, y] = end("", "hand").expect("a far end");
    assert!(
        (x - 240.0).abs() < 1e-6 && (y - 100.0).abs() < 1e-6,
        "{x} {y}"
    );
}
