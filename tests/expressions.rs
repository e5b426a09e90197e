//! Expressions: named settings of a rig that poses wear. Each pose comes to what its values make when they are written
//! out by hand.

use layfig::pose::ResolvedPose;

use crate::support::Staged;

const ART: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">
<g id="head"><path d="M40 10H60V60H40Z" fill="#d22f27"/></g>
<g id="brow"><path d="M46 18H54V22H46Z" fill="#888888"/></g>
<g id="mouth"><path d="M44 40H56V44H44Z" fill="#444444"/></g>
<g id="grit"><path d="M44 38H56V46H44Z" fill="#222222"/></g>
<g id="smile"><path d="M44 42H56V46H44Z" fill="#222222"/></g>
</svg>
"##;
const VIEW: &str = r##"drawing = "../a.svg"
[part.head]
pivot = [50, 60]
[part.brow]
parent = "head"
pivot = [50, 20]
[part.mouth]
parent = "head"
pivot = [50, 42]
replacements = { grit = "#grit", smile = "#smile" }
"##;
const RIG: &str = r#"[character]
canvas = [100, 100]
poses = ["poses.toml"]
[views]
front = "v/front.toml"
side = "v/side.toml"
[expression.angry]
turn = { brow = 12 }
move = { brow = [0, 4] }
scale = { mouth = [1.2, 0.8] }
stretch = { brow = 1.5 }
replace = { mouth = "grit" }
depth = { brow = 2 }
[expression.angry.view.side]
move = { brow = [2, 4] }
[expression.glad]
turn = { brow = -6 }
replace = { mouth = "smile" }
[expression.nod]
turn = { head = 8 }
"#;

fn same(poses: &str, by_hand: &str) {
    let by_hand = by_hand.replace("[pose.p", "[pose.q");
    let staged = Staged::write(&[
        ("rig.toml", RIG),
        ("v/front.toml", VIEW),
        ("v/side.toml", VIEW),
        ("a.svg", ART),
        ("poses.toml", &format!("{poses}\n{by_hand}")),
    ]);
    for view in &staged.member.views {
        let [worn, written] = ["p", "q"].map(|pose| ResolvedPose::new(staged.pose(pose), view));
        assert_eq!(worn, written, "{poses} in {:?}", view.name);
    }
}

#[test]
fn an_expression_is_what_it_says() {
    same(
        "[pose.p]\nexpression = \"angry\"",
        "[pose.p]\nturn = { brow = 12 }\nmove = { brow = [0, 4] }\nscale = { mouth = [1.2, 0.8] }\nstretch = { brow = 1.5 }\nreplace = { mouth = \"grit\" }\ndepth = { brow = 2 }\n[pose.p.view.side]\nmove = { brow = [2, 4] }",
    );
}

#[test]
fn later_ones_go_over_earlier_ones_and_the_poses_own_values_over_all() {
    same(
        "[pose.p]\nexpression = [\"angry\", \"glad\", \"nod\"]\nmove = { brow = [1, 1] }",
        "[pose.p]\nturn = { brow = -6, head = 8 }\nmove = { brow = [1, 1] }\nscale = { mouth = [1.2, 0.8] }\nstretch = { brow = 1.5 }\nreplace = { mouth = \"smile\" }\ndepth = { brow = 2 }",
    );
}

#[test]
fn a_share_is_of_the_numbers_and_drawings_come_from_one_half_on() {
    same(
        "[pose.p]\nexpression = { angry = 0.5, nod = 0.25 }",
        "[pose.p]\nturn = { brow = 6, head = 2 }\nmove = { brow = [0, 2] }\nscale = { mouth = [1.1, 0.9] }\nstretch = { brow = 1.25 }\nreplace = { mouth = \"grit\" }\ndepth = { brow = 2 }\n[pose.p.view.side]\nmove = { brow = [1, 2] }",
    );
    same(
        "[pose.p]\nexpression = { angry = 0.25, glad = 0 }",
        "[pose.p]\nturn = { brow = 3 }\nmove = { brow = [0, 1] }\nscale = { mouth = [1.05, 0.95] }\nstretch = { brow = 1.125 }\n[pose.p.view.side]\nmove = { brow = [0.5, 1] }",
    );
}

#[test]
fn a_pose_that_inherits_wears_what_the_other_does_or_its_own_instead() {
    let base = "[pose.base]\nexpression = \"angry\"\nturn = { head = 3 }\n";
    same(
        &format!("{base}[pose.p]\nfrom = \"base\"\nturn = {{ mouth = 1 }}"),
        "[pose.p]\nexpression = \"angry\"\nturn = { head = 3, mouth = 1 }",
    );
    // Nothing of the other's expression is left, what it says itself is.
    same(
        &format!("{base}[pose.p]\nfrom = \"base\"\nexpression = \"glad\""),
        "[pose.p]\nturn = { head = 3, brow = -6 }\nreplace = { mouth = \"smile\" }",
    );
    same(
        &format!("{base}[pose.p]\nfrom = \"base\"\nexpression = {{}}"),
        "[pose.p]\nturn = { head = 3 }",
    );
    // Its own goes over what the other says itself, and so through a pose between.
    same(
        &format!(
            "{base}[pose.mid]\nfrom = \"base\"\nmove = {{ head = [1, 0] }}\n[pose.p]\nfrom = \"mid\"\nexpression = \"nod\""
        ),
        "[pose.p]\nturn = { head = 8 }\nmove = { head = [1, 0] }",
    );
}
