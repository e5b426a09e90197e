//! What it takes to solve where hands go, feet stay and eyes look.

use std::hint::black_box;
use std::path::PathBuf;

use layfig::Files;
use layfig::diag::{Problems, Sources};
use layfig::pose::solved;
use layfig::project::Reading;

use crate::clock::median;
use crate::table::{Table, short};

const RIG: &str = r#"drawing = "a.svg"
[character]
canvas = [400, 600]
poses = ["poses.toml"]
[part]
pelvis = { pivot = [200, 320] }
torso = { parent = "pelvis", pivot = [200, 310] }
iris = { parent = "torso", pivot = [210, 80], look = [6, 4] }
crate = { pivot = [290, 260] }
"#;
const POSES: [(&str, &str); 4] = [
    ("turns alone", "turn = { torso = 8 }"),
    ("two feet planted", "plant = [\"foot_a\", \"foot_b\"]"),
    (
        "and two hands that reach",
        "plant = [\"foot_a\", \"foot_b\"]\nreach = { hand_a = \"crate\", hand_b = \"hand_a\" }\nlook = \"crate\"",
    ),
    (
        "two hands out of reach, stretched",
        "reach = { hand_a = { to = [390, 10], stretch = 1.3 }, hand_b = { to = [390, 10], stretch = 1.3 } }",
    ),
];

/// Prints the table.
pub fn run() {
    let mut rig = RIG.to_owned();
    for (limb, upper, lower, end, carrier, [x, y], long) in [
        ("a", "arm", "fore", "hand", "torso", [190, 150], 80),
        ("b", "arm", "fore", "hand", "torso", [212, 150], 80),
        ("a", "thigh", "shin", "foot", "pelvis", [194, 330], 110),
        ("b", "thigh", "shin", "foot", "pelvis", [208, 330], 110),
    ] {
        let (knee, heel) = (y + long, y + 2 * long);
        rig += &format!(
            "{upper}_{limb} = {{ parent = \"{carrier}\", pivot = [{x}, {y}], limits = [-170, 170] }}\n\
             {lower}_{limb} = {{ parent = \"{upper}_{limb}\", pivot = [{}, {knee}], limits = [-10, 150] }}\n\
             {end}_{limb} = {{ parent = \"{lower}_{limb}\", pivot = [{x}, {heel}], limits = [-60, 60] }}\n",
            x - 4
        );
    }
    let names = rig.lines().filter_map(|line| line.split_once(" = {"));
    let drawn =
        names.map(|(name, _)| format!(r##"<g id="{name}"><path d="M9 9h9v9z" fill="#888"/></g>"##));
    let art = format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 400 600">{}</svg>"#,
        drawn.collect::<String>()
    );
    let poses = POSES.iter().enumerate();
    let poses: String = poses
        .map(|(at, (_, text))| format!("[pose.p{at}]\n{text}\nmove = {{ pelvis = [12, 30] }}\n"))
        .collect();
    let files = [
        ("m/rig.toml", rig.as_str()),
        ("m/a.svg", &art),
        ("m/poses.toml", &poses),
    ];
    let mut sources = Sources::of(Files::memory(files).expect("paths"));
    let (mut problems, mut unread) = (Problems::default(), Vec::new());
    let rig = (None, PathBuf::from("m"));
    let subject = Reading::default().member(&rig, &mut sources, &mut problems, &mut unread);
    let subject = subject.unwrap_or_else(|| panic!("{:?}", problems.list()));
    let mut table = Table::new(&["pose", "solved in, ms"]);
    let view = &subject.member.views[0];
    for ((name, _), pose) in POSES.iter().zip(&subject.lists[0].poses) {
        const MANY: u32 = 100;
        let time = median(300.0, || {
            for _ in 0..MANY {
                black_box(solved(black_box(pose), view));
            }
        });
        table.row([(*name).to_owned(), short(time / f64::from(MANY))]);
    }
    table.print("Pose: what is said by places, solved to turns, one thread");
}
