//! Edits planted in the demo cast: `layfig compare` names each as the first cause, finds the part that
//! it touched and is silent about every other pose. What changed at all is known from elsewhere: from
//! the files of `layfig render` before and after.

use std::collections::BTreeSet;

use crate::approved::{Demo, states};
use layfig::compare::State;

/// One edit.
struct Row {
    name: &'static str,
    member: &'static str,
    file: &'static str,
    from: &'static str,
    to: &'static str,
    /// The cause to be named first.
    cause: &'static str,
    /// Parts of which each changed pose must list one first.
    parts: &'static [&'static str],
}

const ROWS: &[Row] = &[
    Row {
        name: "a pivot",
        member: "ship_dog",
        file: "rigs/ship_dog/rig.toml",
        from: "pivot  = [614, 692]",
        to: "pivot  = [618, 689]",
        cause: "fore_lower_near.pivot",
        parts: &["fore_lower_near"],
    },
    Row {
        name: "a pivot of a root of many",
        member: "ship_dog",
        file: "rigs/ship_dog/rig.toml",
        from: "pivot  = [730, 432]",
        to: "pivot  = [736, 428]",
        cause: "head.pivot",
        parts: &["head"],
    },
    Row {
        name: "a pivot of an end",
        member: "ship_dog",
        file: "rigs/ship_dog/rig.toml",
        from: "pivot  = [715.9, 287.1]",
        to: "pivot  = [712.9, 290.1]",
        cause: "ear_near.pivot",
        parts: &["ear_near"],
    },
    Row {
        name: "a swatch of the second palette",
        member: "ship_dog",
        file: "rigs/ship_dog/rig.toml",
        from: r##"steel           = "#6f7796""##,
        to: r##"steel           = "#6f8796""##,
        cause: "palette dusk: steel",
        parts: &["hind_upper_near"],
    },
    Row {
        name: "another swatch of it",
        member: "ship_dog",
        file: "rigs/ship_dog/rig.toml",
        from: r##"iris            = "#512c1c""##,
        to: r##"iris            = "#517c1c""##,
        cause: "palette dusk: iris",
        parts: &["iris_near"],
    },
    Row {
        name: "the swatch of a trim",
        member: "ship_dog",
        file: "rigs/ship_dog/rig.toml",
        from: r##"oilskin_line    = "#7a4a12""##,
        to: r##"oilskin_line    = "#1e8a12""##,
        cause: "palette day: oilskin_line",
        parts: &["chest", "neck", "kerchief"],
    },
    Row {
        name: "a depth",
        member: "ship_dog",
        file: "rigs/ship_dog/rig.toml",
        from: "pivot  = [962.0, 383.7]\ndepth  = 4",
        to: "pivot  = [962.0, 383.7]\ndepth  = -4",
        cause: "nose.depth",
        parts: &["nose"],
    },
    Row {
        name: "a depth far down",
        member: "ship_dog",
        file: "rigs/ship_dog/rig.toml",
        from: "pivot  = [614, 692]\ndepth  = -1",
        to: "pivot  = [614, 692]\ndepth  = -20",
        cause: "fore_lower_near.depth",
        parts: &["fore_lower_near", "fore_paw_near"],
    },
    Row {
        name: "a drawing of a part",
        member: "ship_dog",
        file: "rigs/ship_dog/rig.toml",
        from: r#"art    = "side.svg#moustache""#,
        to: r#"art    = "side.svg#moustache_puff""#,
        cause: "moustache.art",
        parts: &["moustache"],
    },
    Row {
        name: "a replacement",
        member: "ship_dog",
        file: "rigs/ship_dog/rig.toml",
        from: r#"pant = "side.svg#mouth_pant""#,
        to: r#"pant = "side.svg#mouth_open""#,
        cause: "mouth.replacements.pant",
        parts: &["mouth"],
    },
    Row {
        name: "the zone of a seam",
        member: "ship_dog",
        file: "rigs/ship_dog/rig.toml",
        from: r#"parts = ["fore_upper_near", "fore_lower_near"]
zone  = 50"#,
        to: r#"parts = ["fore_upper_near", "fore_lower_near"]
zone  = 12"#,
        cause: "seam elbow_near",
        parts: &["fore_lower_near", "fore_upper_near"],
    },
    Row {
        name: "whose ink a seam opens",
        member: "ship_dog",
        file: "rigs/ship_dog/rig.toml",
        from: r#"parts = ["chest", "fore_upper_near"]
zone  = 74"#,
        to: r#"parts = ["chest", "fore_upper_near"]
zone  = 74
opens = "child""#,
        cause: "seam shoulder_near",
        parts: &["chest"],
    },
    Row {
        name: "a seam removed",
        member: "ship_dog",
        file: "rigs/ship_dog/rig.toml",
        from: r#"[seam.tail_tip]
parts = ["tail_mid", "tail_tip"]
zone  = 38
"#,
        to: "",
        cause: "seam tail_tip",
        parts: &["tail_tip"],
    },
    Row {
        name: "the side of a mask",
        member: "ship_dog",
        file: "rigs/ship_dog/rig.toml",
        from: r#"part = "iris_near"
keep = "inside""#,
        to: r#"part = "iris_near"
keep = "outside""#,
        cause: "mask iris_near",
        parts: &["iris_near"],
    },
    Row {
        name: "the hosts of a garment",
        member: "ship_dog",
        file: "rigs/ship_dog/rig.toml",
        from: r#"on   = ["chest", "hips", "neck", "fore_upper_near"]"#,
        to: r#"on   = ["chest", "hips", "neck"]"#,
        cause: "garment vest",
        parts: &["vest", "fore_upper_near"],
    },
    Row {
        name: "the trim of a garment",
        member: "ship_dog",
        file: "rigs/ship_dog/rig.toml",
        from: r#"on   = ["chest", "neck"]
trim = "oilskin_line""#,
        to: r##"on   = ["chest", "neck"]
trim = "#00aa00""##,
        cause: "garment kerchief",
        parts: &["chest", "neck", "cheek"],
    },
    Row {
        name: "a path point",
        member: "ship_dog",
        file: "rigs/ship_dog/side.svg",
        from: r#"d="M918.3 365.3 C917.9 355.8"#,
        to: r#"d="M911.3 361.3 C917.9 355.8"#,
        cause: "side.svg#nose",
        parts: &["nose"],
    },
    Row {
        name: "a path point of a mouth",
        member: "ship_dog",
        file: "rigs/ship_dog/side.svg",
        from: r##"id="mouth_fetch_rope_paint" fill="#f2b632" d="M796.4 487.2"##,
        to: r##"id="mouth_fetch_rope_paint" fill="#f2b632" d="M776.4 467.2"##,
        cause: "side.svg#mouth_fetch",
        parts: &["mouth"],
    },
    Row {
        name: "a colour in the art",
        member: "ship_dog",
        file: "rigs/ship_dog/side.svg",
        from: r##"id="nose_shine_paint" fill="#a9b8c4""##,
        to: r##"id="nose_shine_paint" fill="#f9b8c4""##,
        cause: "side.svg#nose",
        parts: &["nose"],
    },
    Row {
        name: "the width of a line",
        member: "ship_dog",
        file: "rigs/ship_dog/side.svg",
        from: r##"id="nose_ink" fill="none" stroke="#1e2436" stroke-width="6""##,
        to: r##"id="nose_ink" fill="none" stroke="#1e2436" stroke-width="11""##,
        cause: "side.svg#nose",
        parts: &["nose"],
    },
    Row {
        name: "a turn in a pose",
        member: "ship_dog",
        file: "poses/ship_dog.toml",
        from: "tail_base = 38,",
        to: "tail_base = 33,",
        cause: "pose ship_dog/wag_high: turn.tail_base",
        parts: &["tail_base"],
    },
    Row {
        name: "a move in a pose",
        member: "ship_dog",
        file: "poses/ship_dog.toml",
        from: "root = [30, 0], hips = [0, 124], head = [-6, 10] }",
        to: "root = [30, 0], hips = [0, 124], head = [-6, 16] }",
        cause: "pose ship_dog/sit: move.head",
        parts: &["head"],
    },
    Row {
        name: "a replaced mouth",
        member: "ship_dog",
        file: "poses/ship_dog.toml",
        from: r#"replace  = { mouth = "smile" }"#,
        to: r#"replace  = { mouth = "bark" }"#,
        cause: "pose ship_dog/sit: replace.mouth",
        parts: &["mouth"],
    },
    Row {
        name: "a palette in a pose",
        member: "ship_dog",
        file: "poses/ship_dog.toml",
        from: r#"note     = "is that a sardine?""#,
        to: r#"note     = "is that a sardine?"
palette  = "dusk""#,
        cause: "pose ship_dog/beg: palette",
        parts: &["vest"],
    },
    Row {
        name: "a side in a pose",
        member: "ship_dog",
        file: "poses/ship_dog.toml",
        from: r#"in_front = { tail_mid = "hind_paw_near" }"#,
        to: r#"in_front = { tail_mid = "hips" }"#,
        cause: "pose ship_dog/sleep: in_front.tail_mid",
        parts: &["tail_mid", "tail_tip"],
    },
    Row {
        name: "a scale in a pose",
        member: "ship_dog",
        file: "poses/ship_dog.toml",
        from: "scale    = { tail_base = [0.85, 0.85] }",
        to: "scale    = { tail_base = [0.95, 0.85] }",
        cause: "pose ship_dog/sleep: scale.tail_base",
        parts: &["tail_base"],
    },
    Row {
        name: "a pose that others inherit",
        member: "ship_dog",
        file: "poses/ship_dog.toml",
        from: r#"note = "on deck, four square, ready for anything""#,
        to: r#"note = "on deck, four square, ready for anything"
turn = { nose = 25 }"#,
        cause: "pose ship_dog/rest: turn.nose",
        parts: &["nose"],
    },
    Row {
        name: "a depth offset in a pose",
        member: "ship_dog",
        file: "poses/ship_dog.toml",
        from: "[pose.wag_high]",
        to: "[pose.wag_high]\ndepth    = { nose = -12 }",
        cause: "pose ship_dog/wag_high: depth.nose",
        parts: &["nose"],
    },
    Row {
        name: "a mouth replaced by none in a pose that has one",
        member: "deckhand",
        file: "poses/deckhand.toml",
        from: "[pose.rest]",
        to: "[pose.rest]\nreplace = { mouth = \"none\" }",
        cause: "pose deckhand/rest: replace.mouth",
        parts: &["mouth"],
    },
    Row {
        name: "a stretch in a pose",
        member: "ship_dog",
        file: "poses/ship_dog.toml",
        from: "[pose.wag_high]",
        to: "[pose.wag_high]\nstretch  = { tail_mid = 1.2 }",
        cause: "pose ship_dog/wag_high: stretch.tail_mid",
        parts: &["tail_mid", "tail_tip"],
    },
    Row {
        name: "an expression",
        member: "ship_dog",
        file: "rigs/ship_dog/rig.toml",
        from: r#"sad = { replace = { lid_near = "sad""#,
        to: r#"sad = { replace = { lid_near = "low""#,
        cause: "expression sad: replace.lid_near",
        parts: &["lid_near"],
    },
    Row {
        name: "a replaced hand",
        member: "mooring_bot",
        file: "poses/mooring_bot.toml",
        from: r#"move    = { pupil = [20, -2], ram_near = [0, 76] }
replace = { claws_near = "wide" }"#,
        to: r#"move    = { pupil = [20, -2], ram_near = [0, 76] }
replace = { claws_near = "closed" }"#,
        cause: "pose mooring_bot/reach: replace.claws_near",
        parts: &["claws_near"],
    },
    Row {
        name: "a pivot of one view",
        member: "deckhand",
        file: "rigs/deckhand/three_quarter.toml",
        from: "pivot  = [321.3, 554.8]",
        to: "pivot  = [324.3, 553.8]",
        cause: "three_quarter/forearm_near.pivot",
        parts: &["forearm_near", "sleeve_upper_near", "hand_near"],
    },
    Row {
        name: "an aim",
        member: "deckhand",
        file: "poses/deckhand.toml",
        from: "upper_arm_far = [62, 65]",
        to: "upper_arm_far = [74, 60]",
        cause: "pose deckhand/hail: aim.upper_arm_far",
        parts: &["forearm_far"],
    },
    Row {
        name: "a lean",
        member: "deckhand",
        file: "poses/deckhand.toml",
        from: "lean = { torso = [-5, 0, 0] }",
        to: "lean = { torso = [-9, 0, 0] }",
        cause: "pose deckhand/hail: lean.torso",
        parts: &["torso", "braid"],
    },
    Row {
        name: "what a view faces",
        member: "deckhand",
        file: "rigs/deckhand/rig.toml",
        from: "facing = 45",
        to: "facing = 52",
        cause: "three_quarter/facing",
        parts: &["torso"],
    },
    Row {
        name: "the place of art",
        member: "ship_dog",
        file: "rigs/ship_dog/rig.toml",
        from: r#"art    = "side.svg#nose"
"#,
        to: r#"art    = "side.svg#nose"
place  = { move = [6, 4] }
"#,
        cause: "nose.place",
        parts: &["nose"],
    },
    Row {
        name: "a mirrored pose",
        member: "mooring_bot",
        file: "poses/mooring_bot.toml",
        from: r#"note    = "good evening, ladies and gentlemen""#,
        to: r#"note    = "good evening, ladies and gentlemen"
mirror  = true"#,
        cause: "pose mooring_bot/wave: mirror",
        parts: &["body"],
    },
];

#[test]
fn each_planted_edit_is_named_first_and_no_other_pose_is_spoken_of() {
    let demo = Demo::new();
    let mut failures = String::new();
    for member in ["ship_dog", "mooring_bot", "deckhand"] {
        demo.run(&format!("approve rigs/{member} --all --scale 0.2 -q"), 0);
        demo.run(
            &format!("render rigs/{member} --scale 0.2 -q --out then"),
            0,
        );
    }
    for row in ROWS {
        let edit = demo.edit(row.file, row.from, row.to);
        let rig = format!("rigs/{}", row.member);
        demo.run(&format!("render {rig} --scale 0.2 -q --out now"), 0);
        demo.run(&format!("compare {rig} --scale 0.2 -q"), 1);
        let found = demo.comparison(row.member);
        edit.undo();

        let mut wrong = |what: String| failures.push_str(&format!("{}: {what}\n", row.name));
        let first = found.causes.first().map(|c| c.subject.as_str());
        if first != Some(row.cause) {
            wrong(format!("the first cause is {first:?}"));
        }
        let mut changed = BTreeSet::new();
        for pose in &found.poses {
            if pose.state == State::Identical {
                continue;
            }
            changed.insert(pose.key.clone());
            if pose.state == State::Within {
                continue;
            }
            let causes = pose.causes.iter();
            let causes: Vec<&str> = causes
                .map(|c| found.causes[c.cause].subject.as_str())
                .collect();
            if causes.first() != Some(&row.cause) {
                wrong(format!("{} is said to be because of {causes:?}", pose.key));
            }
            let first = pose.parts.first().map(|p| p.part.as_str());
            if !first.is_some_and(|p| row.parts.contains(&p)) {
                let all: Vec<_> = pose.parts.iter().map(|p| (&p.part, &p.text)).collect();
                wrong(format!("{} lists {all:?}", pose.key));
            }
        }
        let rendered = demo.changed_files("then", "now", row.member);
        if changed != rendered {
            wrong(format!(
                "changed are {rendered:?}, spoken of are {changed:?}"
            ));
        }
        if rendered.is_empty() {
            wrong("the edit shows nowhere".to_owned());
        }
    }
    assert!(failures.is_empty(), "{failures}");
}

/// What changes no picture changes no pose, and the exit code is that of nothing to look at.
#[test]
fn edits_that_show_nowhere_are_silent() {
    let demo = Demo::new();
    let line = "compare rigs/ship_dog --scale 0.15 -q";
    demo.run("approve rigs/ship_dog --all --scale 0.15 -q", 0);
    for (file, from, to) in [
        (
            "rigs/ship_dog/rig.toml",
            "[palette.day]",
            "# by lamplight\n[palette.day]",
        ),
        (
            "rigs/ship_dog/rig.toml",
            "ground = ",
            "drift = 4\nground = ",
        ),
        (
            "poses/ship_dog.toml",
            "[pose.wag_high]",
            "[pose.wag_high]\n# higher?",
        ),
        (
            "rigs/ship_dog/side.svg",
            "<svg",
            "<!-- drawn again -->\n<svg",
        ),
    ] {
        let edit = demo.edit(file, from, to);
        demo.run(line, 0);
        let found = demo.comparison("ship_dog");
        edit.undo();
        assert_eq!(states(&found), ["identical"], "{to}");
        assert!(found.causes.iter().all(|c| c.poses.is_empty()), "{to}");
    }
}

/// Several edits at once: each is told with the poses that it changed and no others, the one that
/// changed the most first.
#[test]
fn causes_are_ranked_by_the_poses_that_they_touch() {
    let demo = Demo::new();
    demo.run("approve rigs/ship_dog --all --scale 0.2 -q", 0);
    demo.run("render rigs/ship_dog --scale 0.2 -q --out then", 0);
    let edits = [
        (
            "poses/ship_dog.toml",
            "tail_base = 38,",
            "tail_base = 30,",
            "pose ship_dog/wag_high: turn.tail_base",
        ),
        (
            "rigs/ship_dog/rig.toml",
            "pant = \"side.svg#mouth_pant\"",
            "pant = \"side.svg#mouth_open\"",
            "mouth.replacements.pant",
        ),
        (
            "rigs/ship_dog/side.svg",
            "id=\"nose_shine_paint\" fill=\"#a9b8c4\"",
            "id=\"nose_shine_paint\" fill=\"#f9b8c4\"",
            "side.svg#nose",
        ),
    ];
    // What each changes alone, by the files of its pictures.
    let mut alone = Vec::new();
    for (file, from, to, cause) in edits {
        let edit = demo.edit(file, from, to);
        demo.run("render rigs/ship_dog --scale 0.2 -q --out now", 0);
        edit.undo();
        alone.push((cause, demo.changed_files("then", "now", "ship_dog")));
    }
    alone.sort_by_key(|(_, poses)| std::cmp::Reverse(poses.len()));
    assert!(alone.windows(2).all(|two| two[0].1.len() > two[1].1.len()));
    for (file, from, to, _) in edits {
        demo.edit(file, from, to);
    }
    demo.run("compare rigs/ship_dog --scale 0.2 -q", 1);
    let found = demo.comparison("ship_dog");
    let told: Vec<(&str, BTreeSet<String>)> = found
        .causes
        .iter()
        .filter(|c| !c.poses.is_empty())
        .map(|c| {
            let keys = c.poses.iter().map(|p| p.replacen("ship_dog/", "", 1));
            (c.subject.as_str(), keys.collect())
        })
        .collect();
    assert_eq!(told, alone);
}

/// A picture of one colour.
fn tile(colour: [u8; 3]) -> Vec<u8> {
    let mut pixels = tiny_skia::Pixmap::new(40, 30).unwrap();
    let [r, g, b] = colour;
    pixels.fill(tiny_skia::Color::from_rgba8(r, g, b, 255));
    layfig::draw::png(pixels.as_ref(), false, layfig::draw::Effort::Quick).unwrap()
}

/// Art that only pixels can show: an image in a file of its own, one in the drawing itself, a blurred
/// lamp. An edit of one is no edit of the others, though all are in one file.
#[test]
fn a_changed_image_names_the_drawing_that_shows_it() {
    use base64::Engine as _;
    let demo = Demo::new();
    let inline = |colour| {
        let text = base64::engine::general_purpose::STANDARD.encode(tile(colour));
        format!("data:image/png;base64,{text}")
    };
    std::fs::create_dir_all(demo.path("rigs/lamp")).unwrap();
    let write = |name: &str, bytes: &[u8]| {
        std::fs::write(demo.path(&format!("rigs/lamp/{name}")), bytes).unwrap();
    };
    let rig: String = ["post", "sign", "badge", "glow"]
        .iter()
        .map(|part| {
            let parent = if *part == "post" {
                ""
            } else {
                "parent = \"post\"\n"
            };
            format!("[part.{part}]\nart = \"lamp.svg#{part}\"\npivot = [100, 100]\n{parent}")
        })
        .collect();
    let head = "[character]\nname = \"Lamp\"\ncanvas = [200, 200]\nposes = [\"poses.toml\"]\n";
    write("rig.toml", format!("{head}{rig}").as_bytes());
    write(
        "poses.toml",
        b"[pose.rest]\n[pose.lean]\nturn = { post = 8 }\n",
    );
    write("sign.png", &tile([20, 60, 160]));
    let svg = format!(
        r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 200">
<filter id="soft"><feGaussianBlur stdDeviation="4"/></filter>
<g id="post"><path id="post_paint" fill="#446688" d="M90 20H110V180H90Z"/></g>
<g id="sign"><image href="sign.png" x="40" y="40" width="40" height="30"/></g>
<g id="badge"><image href="{}" x="120" y="40" width="40" height="30"/></g>
<g id="glow"><circle cx="100" cy="150" r="14" fill="#f2b632" filter="url(#soft)"/></g>
</svg>"##,
        inline([200, 40, 40])
    );
    write("lamp.svg", svg.as_bytes());
    demo.run("approve rigs/lamp --all -q", 0);
    demo.run("compare rigs/lamp -q", 0);
    let named = |what: &str| {
        demo.run("compare rigs/lamp -q", 1);
        let found = demo.comparison("lamp");
        let causes: Vec<&str> = found.causes.iter().map(|c| c.subject.as_str()).collect();
        assert_eq!(causes, [format!("lamp.svg#{what}")]);
        for pose in &found.poses {
            assert_eq!(pose.state, State::Differs);
            let parts: Vec<&str> = pose.parts.iter().map(|p| p.part.as_str()).collect();
            assert_eq!(parts.first(), Some(&what), "{parts:?}");
        }
    };
    write("sign.png", &tile([20, 160, 60]));
    named("sign");
    write("sign.png", &tile([20, 60, 160]));
    write(
        "lamp.svg",
        svg.replace(&inline([200, 40, 40]), &inline([40, 40, 200]))
            .as_bytes(),
    );
    named("badge");
    write("lamp.svg", svg.replace("r=\"14\"", "r=\"19\"").as_bytes());
    named("glow");
    write("lamp.svg", svg.replace("H110", "H114").as_bytes());
    named("post");
    write("lamp.svg", svg.as_bytes());
    demo.run("compare rigs/lamp -q", 0);
}

#[test]
fn nothing_differs_over_twenty_runs_and_any_number_of_threads() {
    let demo = Demo::new();
    demo.run("approve rigs/ship_dog --all --scale 0.15 -q", 0);
    let mut first: Option<String> = None;
    for round in 0..20 {
        let threads = 1 + round % 5;
        demo.run(
            &format!("compare rigs/ship_dog --scale 0.15 -q --threads {threads}"),
            0,
        );
        let text = demo.read("out/ship_dog/compare/comparison.json");
        assert_eq!(states(&demo.comparison("ship_dog")), ["identical"]);
        assert_eq!(
            *first.get_or_insert_with(|| text.clone()),
            text,
            "{threads}"
        );
    }
    // Pictures of differences are the same as well.
    demo.edit("poses/ship_dog.toml", "tail_base = 38,", "tail_base = 33,");
    let mut first = None;
    for threads in [1, 2, 4] {
        demo.run(
            &format!("compare rigs/ship_dog --scale 0.15 -q --threads {threads}"),
            1,
        );
        let files = demo.files("out/ship_dog/compare");
        assert!(files.keys().any(|f| f.ends_with("wag_high.difference.png")));
        assert_eq!(*first.get_or_insert_with(|| files.clone()), files);
    }
}
