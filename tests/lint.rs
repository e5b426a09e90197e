//! `layfig lint`: faults planted in a clean rig, one at a time, are found and named; the clean rig has none.

use std::path::Path;
use std::process::Command;
use std::sync::Arc;

use layfig::art::Library;
use layfig::cast::{load_member, load_poses};
use layfig::diag::{Problems, Sources, short};
use layfig::lint::lint;
use serde_json::Value;

const ART: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 300">
  <g id="torso">
    <path id="torso-paint" fill="#2f4565" d="M70 80H130V200H70Z"/>
    <path id="torso-ink" fill="none" stroke="#1e2436" stroke-width="4" d="M70 80H130V200H70Z"/>
  </g>
  <g id="upper_near"><path fill="#d99c78" stroke="#1e2436" stroke-width="4" d="M48 100A12 12 0 0 1 72 100V150A12 12 0 0 1 48 150Z"/></g>
  <g id="fore_near"><path fill="#d99c78" stroke="#1e2436" stroke-width="4" d="M48 150A12 12 0 0 1 72 150V200A12 12 0 0 1 48 200Z"/></g>
  <g id="upper_far"><path fill="#d99c78" stroke="#1e2436" stroke-width="4" d="M128 100A12 12 0 0 1 152 100V150A12 12 0 0 1 128 150Z"/></g>
  <g id="fore_far"><path fill="#d99c78" stroke="#1e2436" stroke-width="4" d="M128 150A12 12 0 0 1 152 150V200A12 12 0 0 1 128 200Z"/></g>
  <g id="hand"><path fill="#d99c78" stroke="#1e2436" stroke-width="4" d="M50 208A10 10 0 1 1 70 208A10 10 0 1 1 50 208Z"/></g>
  <g id="fist"><path fill="#d99c78" stroke="#1e2436" stroke-width="4" d="M52 208A8 8 0 1 1 68 208A8 8 0 1 1 52 208Z"/></g>
  <g id="badge"><path id="badge-fill" fill="#c2512f" stroke="#1e2436" stroke-width="2" d="M92 120A8 8 0 1 1 108 120A8 8 0 1 1 92 120Z"/></g>
  <g id="pin"><path fill="#c2512f" stroke="#1e2436" stroke-width="2" d="M98 126A8 8 0 1 1 114 126A8 8 0 1 1 98 126Z"/></g>
</svg>
"##;

const RIG: &str = r##"[character]
canvas = [200, 300]
poses  = ["poses.toml"]

[palette.day]
line = "#1e2436"
skin = "#d99c78"
coat = "#2f4565"
rust = "#c2512f"

[palette.dusk]
skin = "#8a6d7c"

[part.torso]
art = "a.svg#torso"

[part.upper_near]
art    = "a.svg#upper_near"
parent = "torso"
pivot  = [60, 100]
depth  = 2
limits = [-60, 60]

[part.fore_near]
art    = "a.svg#fore_near"
parent = "upper_near"
pivot  = [60, 150]
depth  = -0.5
limits = [-10, 140]

[part.hand_near]
art          = "a.svg#hand"
parent       = "fore_near"
pivot        = [60, 200]
depth        = 0.2
replacements = { fist = "a.svg#fist" }

[part.upper_far]
art    = "a.svg#upper_far"
parent = "torso"
pivot  = [140, 100]
depth  = -2

[part.fore_far]
art    = "a.svg#fore_far"
parent = "upper_far"
pivot  = [140, 150]
depth  = 0.5
limits = [-10, 140]

[part.badge]
art    = "a.svg#badge"
parent = "torso"
pivot  = [100, 120]
depth  = 5

[part.pin]
art    = "a.svg#pin"
parent = "torso"
pivot  = [106, 126]
depth  = 5.5

[seam.elbow_near]
parts = ["upper_near", "fore_near"]

[seam.elbow_far]
parts = ["upper_far", "fore_far"]

[[lint.allow]]
check  = "unpaired"
of     = ["hand_near"]
reason = "the far hand is in the pocket"
"##;

const POSES: &str = "[pose.rest]\n\n[pose.haul]\nturn = { fore_near = 90 }\nreplace = { hand_near = \"fist\" }\n\n[pose.night]\npalette = \"dusk\"\n";

/// One fault: where, what is replaced by what, and what must be found: the check and what it is about.
type Fault = (
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    &'static str,
);

const FAULTS: [Fault; 23] = [
    (
        "a.svg",
        "stroke-width=\"4\" d=\"M70 80H130V200H70Z\"",
        "stroke-width=\"4\" d=\"M70 200V80H130V200\"",
        "open-paint",
        "torso",
    ),
    (
        "a.svg",
        "fill=\"#2f4565\" d=\"M70 80H130V200H70Z\"",
        "fill=\"#2f4565\" d=\"M70 80H130V213H70Z\"",
        "open-paint",
        "torso",
    ),
    ("a.svg", "torso-ink", "torso-line-paint", "sorting", "torso"),
    ("a.svg", "torso-paint", "torso-coat-ink", "sorting", "torso"),
    (
        "a.svg",
        "<path id=\"torso-paint\" fill=\"#2f4565\" d=\"M70 80H130V200H70Z\"/>\n",
        "",
        "sorting",
        "torso",
    ),
    (
        "a.svg",
        "<g id=\"hand\">",
        "<g id=\"hand\"><path fill=\"#d99c78\" d=\"M190 20h2v2h-2z\"/>",
        "stray",
        "hand_near",
    ),
    (
        "a.svg",
        "A8 8 0 1 1 92 120Z",
        "A8 8 0 1 1 92 120L100 -60Z",
        "stray",
        "badge",
    ),
    (
        "a.svg",
        "V200A12 12 0 0 1 128 200Z",
        "V200A12 12 0 0 1 128 200L20 290Z",
        "stray",
        "fore_far",
    ),
    (
        "rig.toml",
        "depth  = 5\n",
        "depth  = -9\n",
        "never-shown",
        "badge",
    ),
    (
        "a.svg",
        "id=\"badge-fill\" fill=\"#c2512f\"",
        "id=\"badge-fill\" fill=\"#c25130\"",
        "off-palette",
        "badge",
    ),
    (
        "a.svg",
        "id=\"badge-fill\"",
        "id=\"swatch-rost\"",
        "off-palette",
        "badge",
    ),
    (
        "a.svg",
        "</svg>",
        "<g id=\"guide\"><path fill=\"#2f4565\" d=\"M0 0h9v9z\"/></g></svg>",
        "unused-group",
        "a.svg#guide",
    ),
    (
        "rig.toml",
        "fore_far]",
        "fore_fra]",
        "unpaired",
        "fore_near",
    ),
    (
        "rig.toml",
        "parent = \"upper_far\"",
        "parent = \"upper_near\"",
        "unpaired",
        "fore_far",
    ),
    (
        "rig.toml",
        "pivot  = [60, 150]",
        "pivot  = [60, 190]",
        "pivot-off",
        "fore_near",
    ),
    (
        "rig.toml",
        "pivot  = [60, 150]",
        "pivot  = [60, 150]\nplace  = { move = [0, 40] }",
        "pivot-off",
        "fore_near",
    ),
    ("rig.toml", "depth  = 5.5", "depth  = 5", "depth-tie", "pin"),
    (
        "poses.toml",
        "palette = \"dusk\"",
        "",
        "unused-palette",
        "dusk",
    ),
    (
        "poses.toml",
        "palette = \"dusk\"",
        "palette = \"dusk\"\nplant = [\"hand_near\"]",
        "idle-reach",
        "hand_near",
    ),
    (
        "rig.toml",
        "rust = \"#c2512f\"",
        "rust = \"#c2512f\"\nmoss = \"#445533\"",
        "unused-swatch",
        "moss",
    ),
    (
        "poses.toml",
        "replace = { hand_near = \"fist\" }",
        "",
        "unused-replacement",
        "hand_near.fist",
    ),
    (
        "rig.toml",
        "[[lint.allow]]",
        "[expression.nod]\nturn = { torso = 4 }\n\n[[lint.allow]]",
        "unused-expression",
        "nod",
    ),
    (
        "rig.toml",
        "of     = [\"hand_near\"]",
        "of     = [\"hand_near\"]\nreason = \"so\"\n[[lint.allow]]\ncheck  = \"stray\"",
        "allowance",
        "stray",
    ),
];

fn write(folder: &Path, fault: Option<&Fault>) {
    for (file, text) in [("a.svg", ART), ("rig.toml", RIG), ("poses.toml", POSES)] {
        let text = match fault {
            Some((f, from, to, ..)) if *f == file => {
                assert!(text.contains(from), "{from} is not in {file}");
                let text = text.replacen(from, to, 1);
                if to.is_empty() && from.contains("torso-paint") {
                    // The paint goes to the end of its group, over the ink.
                    text.replacen(
                        "V200H70Z\"/>\n  </g>",
                        &format!("V200H70Z\"/>\n{from}  </g>"),
                        1,
                    )
                } else if *from == "fore_far]" {
                    text.replace("\"fore_far\"", "\"fore_fra\"")
                } else {
                    text
                }
            }
            _ => text.to_owned(),
        };
        std::fs::write(folder.join(file), text).expect("written");
    }
}

/// Findings as check and what they are about, and how each is told.
fn findings(folder: &Path) -> Vec<(String, String, String)> {
    let (mut sources, mut problems) = (Sources::default(), Problems::default());
    let mut library = Library::new();
    let member = load_member(folder, &mut sources, &mut problems, &mut library);
    let member = Arc::new(member.unwrap_or_else(|| panic!("{:?}", problems.list())));
    let list = load_poses(
        &folder.join("poses.toml"),
        &member,
        &mut sources,
        &mut problems,
    );
    // Colours that are no swatch are told by all commands, before any finding.
    let mut others = problems.list().iter();
    let swatch = |p: &layfig::diag::Problem| p.message.contains("is no swatch");
    assert!(others.all(swatch), "{:?}", problems.list());
    let lists: Vec<_> = list.into_iter().map(Arc::new).collect();
    lint(&member, &library, &lists, &sources)
        .into_iter()
        .map(|f| {
            let told = short(&f.problem, &sources);
            (f.check.name().to_owned(), f.about, told)
        })
        .collect()
}

#[test]
fn the_clean_rig_has_no_finding() {
    let folder = tempfile::tempdir().expect("a folder");
    write(folder.path(), None);
    assert_eq!(findings(folder.path()), []);
}

#[test]
fn the_demo_cast_is_clean_but_for_what_it_allows_with_a_reason() {
    let out = Command::new(env!("CARGO_BIN_EXE_layfig"))
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args(["lint", "rigs/cast.toml", "--messages", "short"])
        .output()
        .expect("it runs");
    let told =
        String::from_utf8_lossy(&out.stdout).into_owned() + &String::from_utf8_lossy(&out.stderr);
    assert_eq!(out.status.code(), Some(0), "{told}");
    assert!(told.contains("0 errors, 0 warnings in 3 members"), "{told}");
}

#[test]
fn planted_faults_are_found_and_named() {
    let mut missed = Vec::new();
    for fault in &FAULTS {
        let folder = tempfile::tempdir().expect("a folder");
        write(folder.path(), Some(fault));
        let found = findings(folder.path());
        let (file, _, to, check, about) = fault;
        let named = found.iter().find(|(c, a, _)| c == check && a == about);
        // A line and a column, and no other check that takes the fault for its own.
        let placed = named.is_some_and(|(_, _, told)| {
            let path = folder.path().join(
                if ["unused-palette", "unused-replacement", "unused-expression"].contains(check) {
                    "rig.toml"
                } else {
                    file
                },
            );
            let start = if check.starts_with("unpaired") || check.starts_with("pivot") {
                String::new()
            } else {
                format!("{}:", path.display())
            };
            let rest = told.strip_prefix(&start);
            rest.is_some_and(|r| {
                r.matches(':').count() >= 2 && told.contains(&format!("[{check}]"))
            })
        });
        if !placed {
            missed.push(format!("{check} of {about} by {to:?}: {found:#?}"));
        }
    }
    assert!(missed.is_empty(), "{}", missed.join("\n"));
}

// An aim does something in views that say what they face, and in no other: told once for a view.
#[test]
fn an_aim_in_a_view_that_faces_nothing_is_told() {
    let found = |side: &str, front: &str, pose: &str| {
        let folder = tempfile::tempdir().expect("a folder");
        let rig = format!(
            "[character]\ncanvas = [200, 300]\nposes = [\"poses.toml\"]\n[palette.day]\nnavy = \"#2f4565\"\n[views]\nfront = {front}\nside = {side}\n"
        );
        let view = "[part.torso]\nart = \"a.svg#torso\"\n";
        let art = "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 200 300\"><g id=\"torso\"><path fill=\"#2f4565\" d=\"M70 80H130V200H70Z\"/></g></svg>";
        let poses = format!("[pose.rest]\n[pose.a]\n{pose}\n[pose.b]\nfrom = \"a\"\n");
        for (name, text) in [
            ("rig.toml", &*rig),
            ("front.toml", view),
            ("side.toml", view),
            ("a.svg", art),
            ("poses.toml", &poses),
        ] {
            std::fs::write(folder.path().join(name), text).expect("written");
        }
        let mut all = findings(folder.path());
        all.retain(|(check, ..)| check == "no-facing");
        all.into_iter()
            .map(|(_, about, _)| about)
            .collect::<Vec<_>>()
    };
    let (plain, faces) = ("\"side.toml\"", "{ file = \"side.toml\", facing = 90 }");
    let turned = "{ file = \"front.toml\", facing = 0 }";
    for said in [
        "aim = { torso = [150, 0] }",
        "lean = { torso = [20, 0, 0] }",
    ] {
        assert_eq!(found(plain, turned, said), ["side"], "{said}");
        assert_eq!(found(faces, turned, said), [""; 0]);
    }
    assert_eq!(found(plain, turned, "turn = { torso = 4 }"), [""; 0]);
    let elsewhere = "[pose.a.view.front]\naim = { torso = [150, 0] }";
    assert_eq!(found(plain, turned, elsewhere), [""; 0]);
}

#[test]
fn errors_give_exit_code_1_and_say_so() {
    let folder = tempfile::tempdir().expect("a folder");
    let run = |arguments: &[&str]| {
        let out = Command::new(env!("CARGO_BIN_EXE_layfig"))
            .current_dir(folder.path())
            .args(arguments)
            .output()
            .expect("it runs");
        let text = String::from_utf8_lossy(&out.stdout).into_owned();
        (out.status.code(), text)
    };
    write(folder.path(), None);
    assert_eq!(run(&["lint", "rig.toml"]).0, Some(0));
    write(folder.path(), Some(&FAULTS[9]));
    let (code, text) = run(&["lint", "rig.toml", "--messages", "json"]);
    assert_eq!(code, Some(1), "{text}");
    let last: Value = serde_json::from_str(text.lines().last().expect("a line")).expect("JSON");
    assert_eq!(last["summary"]["errors"], 1);
    // A warning is no error.
    write(folder.path(), Some(&FAULTS[16]));
    assert_eq!(run(&["lint", "rig.toml"]).0, Some(0));
    // A name that no art has is a mistake in the rig.
    write(folder.path(), None);
    let text = RIG.replace("a.svg#pin", "a.svg#pine");
    std::fs::write(folder.path().join("rig.toml"), text).expect("written");
    assert_eq!(run(&["lint", "rig.toml"]).0, Some(2));
}

#[test]
fn a_rig_sets_from_what_on_it_is_found_fault_with() {
    let folder = tempfile::tempdir().expect("a folder");
    let with = |fault: usize, limits: &str| {
        write(folder.path(), Some(&FAULTS[fault]));
        let path = folder.path().join("rig.toml");
        let rig = std::fs::read_to_string(&path).expect("read");
        let first = rig.find("[[lint.allow]]").expect("an allowance");
        let rig = format!("{}[lint]\n{limits}\n\n{}", &rig[..first], &rig[first..]);
        std::fs::write(&path, rig).expect("written");
        let check = FAULTS[fault].3;
        let found = findings(folder.path());
        found.iter().filter(|(c, ..)| c == check).count()
    };
    for (fault, looser, default) in [
        (0, "open-paint = 900", "open-paint = 12"),
        (5, "stray = 100", "stray = 20"),
        (14, "pivot-off = 60", "pivot-off = 2"),
        (16, "depth-tie = 900", "depth-tie = 60"),
    ] {
        assert_eq!(with(fault, looser), 0, "{looser}");
        assert!(with(fault, default) > 0, "{default}");
    }
}
