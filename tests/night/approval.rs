//! Checks, comparisons and the review page in a night: who must look, and how that is told.

use serde_json::Value;

use super::show::{CREW, STRICT, Show, UNCHECKED, assert_same};

/// Test cases of the JUnit report that fail, by name.
fn failing(show: &Show, folder: &str) -> Vec<String> {
    let text = std::fs::read_to_string(show.path(folder).join("junit.xml")).unwrap();
    let report = roxmltree::Document::parse(&text).unwrap();
    let cases = report.descendants().filter(|n| n.has_tag_name("testcase"));
    cases
        .filter(|case| case.children().any(|n| n.has_tag_name("failure")))
        .map(|case| case.attribute("name").unwrap().to_owned())
        .collect()
}

#[test]
fn pictures_that_are_not_as_approved_ask_for_a_look() {
    let show = Show::new();
    let out = show.run("night cast.toml --label mon", 0);
    assert!(out.contains("3 comparisons"), "{out}");
    let summary = show.summary("out/night");
    assert_eq!(
        summary["counts"]["differing"], 0,
        "nobody approved anything"
    );
    assert_eq!(summary["counts"]["warnings"], CREW.len());
    assert!(summary.get("review").is_none());
    assert!(!show.path("out/night/mate/compare").exists());
    let page = std::fs::read_to_string(show.path("out/night/index.html")).unwrap();
    assert!(page.contains("no set yet") && page.contains("not yet approved: 4 poses"));

    show.run("approve cast.toml --all", 0);
    let out = show.run("night cast.toml --label tue", 0);
    assert!(out.contains("made 3,"), "{out}");
    let summary = show.summary("out/night");
    assert_eq!(summary["counts"]["differing"], 0);
    assert_eq!(summary["review"], "review/index.html");
    assert!(show.path("out/night/review/index.html").is_file());
    assert!(failing(&show, "out/night").is_empty());

    show.edit(
        "rigs/mate/rig.toml",
        "pivot  = [64, 46]",
        "pivot  = [66, 48]",
    );
    show.edit(
        "poses/actions.toml",
        "[pose.night]",
        "[pose.gale]\nturn = { arm = 10 }\n\n[pose.night]",
    );
    let out = show.run("night cast.toml --label wed", 1);
    assert!(
        out.contains("to look at: 6 not as approved, 0 found by checks and sheets"),
        "{out}"
    );
    // The mate's three poses that turn the arm and are approved, and a new pose of each.
    assert!(
        out.contains("mate/actions/haul differs") && out.contains("arm.pivot (moved 2.8 units"),
        "{out}"
    );
    assert!(
        out.contains("cook/actions/gale new, not in the approved set"),
        "{out}"
    );
    let summary = show.summary("out/night");
    assert_eq!(summary["counts"]["differing"], 6);
    let expected = ["comparison mate", "comparison cook", "comparison pilot"];
    assert_eq!(failing(&show, "out/night"), expected);
    let page = std::fs::read_to_string(show.path("out/night/index.html")).unwrap();
    assert!(page.contains("href=\"./review/index.html\""));
    let data = std::fs::read_to_string(show.path("out/night/review/data.js")).unwrap();
    assert!(data.contains("mate/actions/haul") && data.contains("arm.pivot"));
    // Nothing is made, and the look is still asked for.
    let first = show.made("out/night");
    let out = show.run("night cast.toml --label wed", 1);
    assert!(out.contains("made 0,"), "{out}");
    assert_same(&first, &show.made("out/night"), "once more");
    // The history counts poses that changed, apart from sheets and reports.
    let history = show.history("out/night");
    let counts: Vec<_> = history
        .iter()
        .map(|e| (&e["poses"], &e["differing"]))
        .collect();
    let numbers: Vec<_> = counts
        .iter()
        .map(|(a, b)| (a.as_u64().unwrap(), b.as_u64().unwrap()))
        .collect();
    assert_eq!(numbers, [(0, 0), (0, 0), (3, 6)]);

    show.run("approve cast.toml --all", 0);
    show.run("night cast.toml --label thu", 0);
    assert!(
        !show
            .path("out/night/mate/compare/actions/haul.after.png")
            .exists()
    );
}

#[test]
fn a_night_makes_what_the_commands_make() {
    let show = Show::to_look_at();
    show.run("night cast.toml", 1);
    let night = show.made("out/night");
    show.run("compare cast.toml --out r", 1);
    show.run("check cast.toml --view all --out r", 1);
    show.run("sheet cast.toml --kind all --out r", 0);
    show.run("render cast.toml --only poses --out r", 0);
    show.run("review --out r", 0);
    let files = show.made("r");
    assert!(files.len() > 60, "{}", files.len());
    for (name, bytes) in files {
        assert!(night[&name] == bytes, "{name}");
    }
}

#[test]
fn what_is_lost_of_an_approved_set_is_seen() {
    let show = Show::new();
    show.run("approve cast.toml --all", 0);
    show.run("night cast.toml", 0);
    // Poses drawn before are not drawn again to be compared; their approved files are looked at all the same.
    let pictures = show.path("rigs/mate/approved/pictures");
    let lost = std::fs::read_dir(&pictures)
        .unwrap()
        .next()
        .unwrap()
        .unwrap()
        .path();
    let kept = std::fs::read(&lost).unwrap();
    std::fs::remove_file(&lost).unwrap();
    let out = show.run("night cast.toml", 1);
    assert!(out.contains("not yet approved"), "{out}");
    assert!(out.contains("is missing"), "{out}");
    std::fs::write(&lost, &kept).unwrap();
    show.run("night cast.toml", 0);
    // Damage that keeps the length is found where files are read.
    let mut bytes = kept.clone();
    let middle = bytes.len() / 2;
    bytes[middle] ^= 1;
    std::fs::write(&lost, &bytes).unwrap();
    let out = show.run("night cast.toml --verify", 1);
    assert!(out.contains("is damaged"), "{out}");
    std::fs::write(&lost, &kept).unwrap();
    std::fs::write(show.path("rigs/cook/approved/manifest.json"), "{").unwrap();
    let out = show.run("night cast.toml", 1);
    assert!(
        out.contains("is damaged, so that no pose counts as approved"),
        "{out}"
    );
}

#[test]
fn a_finding_of_a_check_and_a_drifting_landmark_ask_for_a_look() {
    let show = Show::new();
    show.edit("rigs/cook/rig.toml", UNCHECKED, STRICT);
    // The pilot in two views, one of them taller by 9 of 75 units: more than 1 %.
    let rig = std::fs::read_to_string(show.path("rigs/pilot/rig.toml")).unwrap();
    let (head, parts) = rig.split_once("[part.torso]").unwrap();
    let parts = format!("[part.torso]{}", parts.replace(UNCHECKED, ""));
    let views = "[views]\nfront = \"front.toml\"\nside = \"side.toml\"\n";
    show.write("rigs/pilot/rig.toml", &format!("{head}{views}{UNCHECKED}"));
    show.write("rigs/pilot/front.toml", &parts);
    show.write(
        "rigs/pilot/side.toml",
        &parts.replace("front.svg", "side.svg"),
    );
    let svg = super::show::SVG.replace("M35 40h30v45h-30z", "M35 31h30v54h-30z");
    show.write("rigs/pilot/side.svg", &svg);
    let out = show.run("night cast.toml", 1);
    assert!(out.contains("cook: "), "{out}");
    assert!(out.contains("pilot turnaround: crown"), "{out}");
    let failing = failing(&show, "out/night");
    assert_eq!(failing, ["check cook", "sheet pilot turnaround"]);
    let summary = show.summary("out/night");
    assert_eq!(summary["counts"]["differing"], 0);
    let faults = summary["counts"]["faults"].as_u64().unwrap();
    let errors = summary["counts"]["errors"].as_u64().unwrap();
    assert!(faults >= 2 && errors == faults, "{faults} {errors}");
    let found: Vec<&Value> = summary["members"][1]["units"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|u| u["kind"] == "check")
        .collect();
    assert!(
        found[0]["findings"]
            .as_array()
            .is_some_and(|f| !f.is_empty())
    );
    let files = found[0]["files"].as_array().unwrap();
    let paths: Vec<&str> = files.iter().map(|f| f["path"].as_str().unwrap()).collect();
    assert!(
        paths.contains(&"cook/check/ranges.png")
            && paths.iter().any(|p| p.starts_with("cook/check/01-")),
        "{paths:?}"
    );
}

#[test]
fn pictures_inside_drawings_count() {
    let show = Show::new();
    let png = |grey: u8| {
        let mut bytes = Vec::new();
        let mut encoder = png::Encoder::new(&mut bytes, 1, 1);
        encoder.set_color(png::ColorType::Grayscale);
        let mut writer = encoder.write_header().unwrap();
        writer.write_image_data(&[grey]).unwrap();
        writer.finish().unwrap();
        bytes
    };
    let base64 = |bytes: &[u8]| {
        // RFC 4648, section 4.
        let table = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
        let mut text = String::new();
        for three in bytes.chunks(3) {
            let of = |at: usize| u32::from(three.get(at).copied().unwrap_or(0));
            let word = of(0) << 16 | of(1) << 8 | of(2);
            for step in 0..4 {
                let index = (word >> (18 - 6 * step)) & 63;
                text.push(if step > three.len() {
                    '='
                } else {
                    char::from(table[index as usize])
                });
            }
        }
        text
    };
    let image = |href: &str| {
        format!("<image x=\"60\" y=\"70\" width=\"9\" height=\"15\" href=\"{href}\"/>")
    };
    let lamp = "<path fill=\"#2f8f8b\" d=\"M60 70h9v15h-9z\"/>";
    // In the file itself, and in a file of its own.
    show.edit(
        "rigs/mate/front.svg",
        lamp,
        &image(&format!("data:image/png;base64,{}", base64(&png(40)))),
    );
    show.edit("rigs/cook/front.svg", lamp, &image("lamp.png"));
    std::fs::write(show.path("rigs/cook/lamp.png"), png(40)).unwrap();
    show.run("night cast.toml", 0);
    let before = show.made("out/night");
    assert!(show.plan("--make pictures").is_empty());
    show.edit("rigs/mate/front.svg", &base64(&png(40)), &base64(&png(200)));
    std::fs::write(show.path("rigs/cook/lamp.png"), png(200)).unwrap();
    assert_eq!(
        show.plan("--make pictures"),
        ["picture cook/actions/light", "picture mate/actions/light"]
    );
    show.run("night cast.toml", 0);
    let after = show.made("out/night");
    for name in ["cook/actions/light.png", "mate/actions/light.png"] {
        assert!(before[name] != after[name], "{name}");
    }
    assert!(before["pilot/actions/light.png"] == after["pilot/actions/light.png"]);
}
