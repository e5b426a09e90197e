//! The review page in a real browser, opened from the disk: headless Chromium through playwright-core,
//! accessibility judged by axe-core. The scenarios are `tests/support/review/*.mjs`.

use std::path::{Path, PathBuf};
use std::process::Command;

use crate::approved::Demo;
use crate::support::{demo, picture};
use layfig::build::PartMap;
use layfig::cast::PoseEntry;
use layfig::compare::{Comparison, Decisions, State, Verdict};
use layfig::diag::{Problems, Sources};
use layfig::draw::{Effort, png};
use layfig::draw::{Frame, OwnerMap};
use layfig::report::review::ReviewFolder;
use layfig::report::review::{Cause, Entry, Figure, Look, PartChange, Region, Review, thumbnail};
use serde_json::{Value, json};
use tiny_skia::Pixmap;

/// A fresh folder for a page.
fn place(name: &str) -> PathBuf {
    let place = Path::new(env!("CARGO_TARGET_TMPDIR"))
        .join("review")
        .join(name);
    let _ = std::fs::remove_dir_all(&place);
    place
}

/// Runs a scenario; what it prints is told when it fails, and its figures always.
pub fn scenario(name: &str, folder: &Path) {
    // One browser at a time: what a scenario counts in a second must not wait for another's.
    static ALONE: std::sync::Mutex<()> = std::sync::Mutex::new(());
    let _alone = ALONE
        .lock()
        .unwrap_or_else(std::sync::PoisonError::into_inner);
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let output = Command::new("node")
        .arg(root.join("tests/support/review/run.mjs"))
        .args([name.as_ref(), folder.as_os_str()])
        .env("LAYFIG_TOOLS", root.join("target/tools"))
        .output()
        .expect("node runs; bash tests/support/setup.sh installs it");
    let said = String::from_utf8_lossy(&output.stdout);
    let wrong = String::from_utf8_lossy(&output.stderr);
    println!("{said}");
    assert!(output.status.success(), "{name}: {said}{wrong}");
}

fn bytes(pixels: &Pixmap) -> Vec<u8> {
    png(pixels.as_ref(), false, Effort::Quick).expect("a picture")
}

/// Where two pictures differ, in one colour, and the box of it.
fn apart(before: &Pixmap, after: &Pixmap) -> (Pixmap, [u32; 4], u64) {
    let mut out = after.clone();
    let mut area = [u32::MAX, u32::MAX, 0, 0];
    let mut count = 0;
    let width = before.width();
    let pairs = before.pixels().iter().zip(after.pixels());
    for (at, ((b, a), pixel)) in (0_u32..).zip(pairs.zip(out.pixels_mut())) {
        if b == a {
            continue;
        }
        let (x, y) = (at % width, at / width);
        area = [
            area[0].min(x),
            area[1].min(y),
            area[2].max(x + 1),
            area[3].max(y + 1),
        ];
        count += 1;
        *pixel = tiny_skia::PremultipliedColorU8::from_rgba(200, 30, 90, 255).expect("opaque");
    }
    (out, area, count)
}

fn owner(map: &OwnerMap, parts: &[String], x: u32, y: u32) -> Option<String> {
    let number = map.owners[(y * map.width + x) as usize];
    usize::from(number)
        .checked_sub(1)
        .map(|at| parts[at].clone())
}

/// The deckhand before and after somebody bent an elbow, with every state a pose can have; what the
/// page must say of it lies beside it as `expected.json`.
fn demo_page(name: &str) -> PathBuf {
    const SCALE: f64 = 0.5;
    let folder = place(name);
    let page = ReviewFolder::new(&folder).unwrap();
    let staged = demo("deckhand");
    let puppet = &staged.puppets[0];
    let view = &staged.member.views[0];
    let names: Vec<String> = view
        .parts
        .iter()
        .map(|p| staged.member.names[p.name.0 as usize].clone())
        .collect();
    let at = names.iter().position(|n| n == "forearm_near").unwrap();
    let elbow = view.parts[at].name;
    let mut review = Review {
        title: "The Wenderquay Crossing".to_owned(),
        engine: "0".to_owned(),
        causes: vec![
            Cause {
                member: "deckhand".to_owned(),
                subject: "forearm_near.pivot".to_owned(),
                text: "moved 3.2 units, [412, 300] to [415, 301]".to_owned(),
            },
            Cause {
                member: "deckhand".to_owned(),
                subject: "front.svg#hand_open".to_owned(),
                text: "redrawn".to_owned(),
            },
        ],
        entries: Vec::new(),
    };
    let mut expected: Vec<Value> = Vec::new();
    let states = [
        State::Differs,
        State::Differs,
        State::Differs,
        State::Differs,
        State::Differs,
        State::Differs,
        State::Within,
        State::New,
        State::NotYetApproved,
        State::Removed,
        State::Missing,
        State::Identical,
    ];
    for (number, (pose, state)) in staged.lists[0].poses.iter().zip(states).enumerate() {
        let draw = |pose| -> Frame { picture(&puppet.figure(pose).unwrap(), SCALE, None) };
        let after = draw(pose);
        let mut edited = pose.clone();
        edited.turn.retain(|s| s.part != elbow);
        let turn = pose.turn.iter().find(|s| s.part == elbow);
        let by = [18.0, 9.0, -14.0, 25.0, -6.0, 12.0][number % 6];
        edited.turn.push(PoseEntry {
            part: elbow,
            value: turn.map_or(0.0, |s| s.value) + by,
            span: pose.span,
        });
        let before = draw(&edited);
        let (difference, area, count) = apart(&before.pixels, &after.pixels);
        let compared = matches!(state, State::Differs | State::Within);
        let has_before = compared || matches!(state, State::Removed | State::Missing);
        let has_after = compared || matches!(state, State::New | State::NotYetApproved);
        let mut looks = Vec::new();
        let mut put = |look: Look, pixels: &Pixmap| {
            page.picture(number, look, &bytes(pixels)).unwrap();
            looks.push(look);
        };
        if has_before {
            put(Look::Before, &before.pixels);
        }
        if has_after {
            put(Look::After, &after.pixels);
        }
        if compared {
            put(Look::Difference, &difference);
        }
        if has_before || has_after {
            let shown = if has_after { &after } else { &before };
            put(
                Look::Small,
                &thumbnail(&shown.pixels).unwrap_or_else(|| shown.pixels.clone()),
            );
        }
        let (old, new) = (before.owners.unwrap(), after.owners.unwrap());
        if looks.len() > 1 {
            page.owners(
                number,
                has_before.then_some((&old, &names[..])),
                has_after.then_some((&new, &names[..])),
            )
            .unwrap();
        }
        let counts = PartMap::new(&new, &names.iter().map(String::as_str).collect::<Vec<_>>());
        let part_changes: Vec<PartChange> = ["forearm_near", "hand_near"]
            .iter()
            .map(|part| PartChange {
                part: (*part).to_owned(),
                change: format!("moved {}.2 px", number + 3),
                area: counts
                    .owners
                    .iter()
                    .find(|o| o.name == *part)
                    .and_then(|o| o.area),
            })
            .filter(|_| compared)
            .collect();
        let entry = Entry {
            member: "deckhand".to_owned(),
            view: "front".to_owned(),
            list: if number % 3 == 0 { "watch" } else { "deckhand" }.to_owned(),
            pose: pose.name.clone(),
            key: format!("deckhand/front/deckhand/{}", pose.name),
            note: pose.note.clone(),
            state,
            reason: (state == State::Missing).then(|| "part torso could not be drawn".to_owned()),
            rejected: (number == 1).then(|| "the elbow is too sharp".to_owned()),
            approved: has_before.then(|| format!("{number:032x}")),
            picture: has_after.then(|| format!("{:032x}", number + 1000)),
            size: [new.width, new.height],
            amount: if compared { count as f64 } else { 0.0 },
            figures: vec![
                Figure {
                    label: "Changed pixels".to_owned(),
                    value: count.to_string(),
                    limit: None,
                },
                Figure {
                    label: "Likeness (SSIM)".to_owned(),
                    value: "0.9812".to_owned(),
                    limit: Some("at least 0.999".to_owned()),
                },
            ],
            regions: vec![
                Region {
                    area,
                    pixels: count,
                    parts: vec!["forearm_near".to_owned(), "hand_near".to_owned()],
                };
                usize::from(compared)
            ],
            more_regions: usize::from(compared) * 2,
            parts: part_changes,
            causes: if compared {
                vec![(0, 0.94), (1, 0.11)][..1 + number % 2].to_vec()
            } else {
                Vec::new()
            },
            looks,
            owners: has_before || has_after,
        };
        let mut samples = Vec::new();
        if compared {
            for y in (20..new.height - 20).step_by(37) {
                for x in (area[0]..area[2]).step_by(23) {
                    samples.push(json!({ "x": x, "y": y,
                        "before": owner(&old, &names, x, y), "after": owner(&new, &names, x, y) }));
                }
            }
            samples.truncate(30);
        }
        let owned: serde_json::Map<String, Value> = counts
            .owners
            .iter()
            .map(|o| (o.name.clone(), json!(o.pixels)))
            .collect();
        let parts: Vec<&str> = entry.parts.iter().map(|p| p.part.as_str()).collect();
        let text = format!("{} {} {}", entry.pose, entry.list, parts.join(" "));
        expected.push(json!({ "key": entry.key, "pose": entry.pose, "state": state,
            "parts": parts, "regions": entry.regions.len(), "text": text, "samples": samples, "owned": owned }));
        review.entries.push(entry);
    }
    page.finish(&review).unwrap();
    let text = json!({ "entries": expected }).to_string();
    std::fs::write(folder.join("expected.json"), text).unwrap();
    folder
}

/// Many poses of many members, their pictures small.
fn crowd_page(count: usize) -> PathBuf {
    let folder = place("crowd");
    let page = ReviewFolder::new(&folder).unwrap();
    let staged = demo("ship_dog");
    let figure = staged.puppets[0].figure(&staged.lists[0].poses[0]).unwrap();
    let drawn = picture(&figure, 0.3, None);
    let small = bytes(&drawn.pixels);
    let mut review = Review {
        title: "Whole crew".to_owned(),
        causes: (0..40)
            .map(|c| Cause {
                member: format!("member_{}", c % 20),
                subject: format!("part_{c}.pivot"),
                text: format!("moved {c}.5 units"),
            })
            .collect(),
        ..Review::default()
    };
    for number in 0..count {
        page.picture(number, Look::Small, &small).unwrap();
        page.picture(number, Look::Before, &small).unwrap();
        page.picture(number, Look::After, &small).unwrap();
        review.entries.push(Entry {
            member: format!("member_{}", number % 20),
            list: format!("list_{}", number % 7),
            pose: format!("pose_{number}"),
            key: format!("k{number}"),
            state: if number % 5 == 0 {
                State::Identical
            } else {
                State::Differs
            },
            size: [drawn.pixels.width(), drawn.pixels.height()],
            amount: ((number * 7919) % 1000) as f64,
            parts: (0..number % 6)
                .map(|p| PartChange {
                    part: format!("part_{}", (number + p) % 60),
                    change: "moved 4 px".to_owned(),
                    area: None,
                })
                .collect(),
            regions: vec![Region {
                area: [10, 10, 40, 50],
                pixels: 300,
                parts: Vec::new(),
            }],
            causes: vec![(number % 40, 1.0)],
            looks: vec![Look::Small, Look::Before, Look::After],
            ..Entry::default()
        });
    }
    page.finish(&review).unwrap();
    folder
}

/// Names that no rig could have and that reach the page nevertheless: notes, display names, file names.
fn hostile_page() -> PathBuf {
    let folder = place("hostile");
    let page = ReviewFolder::new(&folder).unwrap();
    let long = "very_long_name_".repeat(200);
    let names = [
        "</script><script>window.broken=1</script>",
        "<img src=x onerror=\"window.broken=2\">",
        "\"'`><svg onload=window.broken=3>",
        "javascript:alert(4)",
        "{{constructor}}${alert(5)}",
        "pose\u{202e}gnp.evil\u{2066}\u{200f}\u{7}",
        "\u{5d0}\u{5d1}\u{5d2} \u{645}\u{631}\u{62d}\u{628}\u{627}",
        "__proto__",
        "../../../../etc/passwd",
        "a%2f..%2fb#c?d",
        "",
        &long,
    ];
    let small = bytes(&Pixmap::new(30, 40).unwrap());
    let mut review = Review {
        title: format!("{}{}", names[0], names[5]),
        ..Review::default()
    };
    for (number, name) in names.iter().enumerate() {
        let name = (*name).to_owned();
        for look in [Look::Before, Look::After, Look::Small] {
            page.picture(number, look, &small).unwrap();
        }
        let map = OwnerMap {
            width: 30,
            height: 40,
            owners: vec![1; 1200],
        };
        page.owners(number, None, Some((&map, std::slice::from_ref(&name))))
            .unwrap();
        review.causes.push(Cause {
            member: name.clone(),
            subject: name.clone(),
            text: name.clone(),
        });
        review.entries.push(Entry {
            member: name.clone(),
            view: name.clone(),
            list: name.clone(),
            pose: name.clone(),
            key: format!("{number}{name}"),
            note: Some(name.clone()),
            reason: Some(name.clone()),
            rejected: Some(name.clone()),
            state: State::Differs,
            size: [30, 40],
            amount: f64::NAN,
            figures: vec![Figure {
                label: name.clone(),
                value: name.clone(),
                limit: Some(name.clone()),
            }],
            regions: vec![Region {
                area: [1, 1, 5, 5],
                pixels: 9,
                parts: vec![name.clone()],
            }],
            parts: vec![PartChange {
                part: name.clone(),
                change: name.clone(),
                area: Some([1, 1, 9, 9]),
            }],
            causes: vec![(number, 1.0)],
            looks: vec![Look::Before, Look::After, Look::Small],
            owners: true,
            ..Entry::default()
        });
    }
    page.finish(&review).unwrap();
    folder
}

#[test]
fn every_control_does_its_work() {
    scenario("controls", &demo_page("controls"));
}

#[test]
fn everything_goes_by_keyboard_alone() {
    scenario("keyboard", &demo_page("keyboard"));
}

#[test]
fn of_a_thousand_poses_only_those_in_sight_are_in_the_document() {
    scenario("crowd", &crowd_page(1000));
}

#[test]
fn hostile_names_stay_names() {
    scenario("hostile", &hostile_page());
}

#[test]
fn pictures_never_change_more_than_three_times_a_second() {
    scenario("blink", &demo_page("blink"));
}

#[test]
fn the_page_is_accessible_light_and_dark() {
    scenario("access", &demo_page("access"));
}

#[test]
fn it_works_on_a_tablet() {
    scenario("tablet", &demo_page("tablet"));
}

#[test]
fn decisions_are_kept_and_exported_as_they_were_made() {
    let folder = demo_page("decisions");
    scenario("decisions", &folder);
    let expected = std::fs::read_to_string(folder.join("expected.json")).unwrap();
    let expected: Value = serde_json::from_str(&expected).unwrap();
    let numbers: Vec<&str> = expected["entries"]
        .as_array()
        .unwrap()
        .iter()
        .map(|e| e["key"].as_str().unwrap())
        .collect();
    let text = std::fs::read_to_string(folder.join("decisions.json")).unwrap();
    let (mut sources, mut problems) = (Sources::default(), Problems::default());
    let read = Decisions::read(
        Path::new("decisions.json"),
        &text,
        &mut sources,
        &mut problems,
    );
    let read = read.unwrap_or_else(|| panic!("{:#?}", problems.list()));
    // The two most changed poses, in the order of the files; the scenario approved the first of them by size.
    assert_eq!(read.decisions.len(), 2);
    let rejected = read
        .decisions
        .iter()
        .find(|d| d.decision == Verdict::Reject);
    let note = "wrist \u{201c}pops\u{201d} \u{2013} </script> \u{5d0} \u{1f9ed}\nsecond line";
    assert_eq!(rejected.map(|d| d.note.as_str()), Some(note));
    for decision in &read.decisions {
        let number = numbers
            .iter()
            .position(|key| *key == decision.pose)
            .expect("a pose of the page");
        let approved = decision.approved.as_ref().map(ToString::to_string);
        let picture = decision.picture.as_ref().map(ToString::to_string);
        assert_eq!(approved, Some(format!("{number:032x}")));
        assert_eq!(picture, Some(format!("{:032x}", number + 1000)));
    }
}

/// A pose that asks: what the page must show of it, and what is decided of it.
fn wish(comparison: &Comparison, at: usize, pose: &layfig::compare::PoseComparison) -> Value {
    let (decision, note) = match at % 3 {
        0 => (Some("approve"), ""),
        1 => (Some("reject"), "a <b>gap</b> at the \"wrist\""),
        _ => (None, ""),
    };
    let causes = pose.causes.iter();
    let causes = causes.map(|c| comparison.causes[c.cause].subject.as_str());
    json!({
        "pose": pose.pose, "state": pose.state, "size": [pose.width, pose.height],
        "causes": causes.collect::<Vec<_>>(), "rejected": pose.rejected,
        "parts": pose.parts.iter().map(|p| p.part.as_str()).collect::<Vec<_>>(),
        "decision": decision, "note": note,
    })
}

const CREW: [&str; 3] = ["deckhand", "ship_dog", "mooring_bot"];

/// What asks for a look after a comparison of the cast, into the page's folder.
fn wishes(demo: &Demo) -> Vec<Value> {
    let mut all = Vec::new();
    for member in CREW {
        let comparison = demo.comparison(member);
        for pose in comparison.poses.iter().filter(|p| p.state.asks()) {
            all.push(wish(&comparison, all.len(), pose));
        }
    }
    let text = Value::from(all.clone()).to_string();
    std::fs::write(demo.path("out/review/wishes.json"), text).unwrap();
    all
}

fn of<'a>(wishes: &'a [Value], decision: &str) -> Vec<&'a str> {
    let some = wishes.iter().filter(|w| w["decision"] == decision);
    some.map(|w| w["pose"].as_str().unwrap()).collect()
}

/// From the approved cast over planted edits, the page and the keys to the next comparison, in which
/// exactly what was not approved still asks.
#[test]
fn a_review_of_real_comparisons_ends_in_what_was_decided() {
    const SMALL: &str = "rigs/cast.toml --scale 0.15 -q";
    let demo = Demo::new();
    demo.run(&format!("compare {SMALL} --review"), 1);
    demo.run(&format!("approve {SMALL} --all"), 0);
    demo.run(&format!("compare {SMALL} --review"), 0);
    assert!(demo.path("out/review/index.html").is_file());
    demo.edit(
        "rigs/ship_dog/rig.toml",
        "pivot  = [715.9, 287.1]",
        "pivot  = [706.9, 296.1]",
    );
    demo.edit(
        "poses/ship_dog.toml",
        "replace  = { mouth = \"smile\" }",
        "replace  = { mouth = \"bark\" }",
    );
    demo.edit("poses/ship_dog.toml", "[pose.face_sly]", "[pose.face_foxy]");
    // A note that tries to be markup.
    demo.edit(
        "poses/ship_dog.toml",
        "is that a sardine?",
        "is that <img src=x onerror=alert(1)> a </script> \\\"sardine\\\"?",
    );
    demo.edit(
        "poses/mooring_bot.toml",
        "replace = { claws_near = \"wide\" }",
        "replace = { claws_near = \"closed\" }",
    );
    demo.run(&format!("compare {SMALL} --review"), 1);
    let first = wishes(&demo);
    let state = |s: &str| first.iter().filter(|w| w["state"] == s).count();
    assert!(first.len() > 25 && state("new") == 1 && state("removed") == 1);
    let page = demo.path("out/review");
    scenario("rounds", &page);

    // The page's file does what the keys said, once and again.
    let line = format!("approve {SMALL} --decisions out/review/decisions.json");
    let told = demo.run(&line.replace(" -q", " -v"), 0);
    assert_eq!(
        told.matches("refused  ").count(),
        of(&first, "reject").len()
    );
    demo.run(&line, 0);
    demo.run(&format!("compare {SMALL} --review"), 1);
    let second = wishes(&demo);
    let left: Vec<&str> = second.iter().map(|w| w["pose"].as_str().unwrap()).collect();
    let kept = first.iter().filter(|w| w["decision"] != "approve");
    let kept: Vec<&str> = kept.map(|w| w["pose"].as_str().unwrap()).collect();
    assert_eq!(left, kept);
    // What was rejected says so, in the words of the one who did.
    let refused = second.iter().filter(|w| !w["rejected"].is_null());
    let refused: Vec<&str> = refused.map(|w| w["pose"].as_str().unwrap()).collect();
    let removed = |p: &&str| {
        first
            .iter()
            .any(|w| w["pose"] == **p && w["state"] == "removed")
    };
    let rejected: Vec<&str> = of(&first, "reject")
        .into_iter()
        .filter(|p| !removed(p))
        .collect();
    assert_eq!(refused, rejected);
    scenario("rounds", &page);
    demo.run(&line, 0);

    // Decisions of a picture that is another by now are left undone, and somebody must look.
    demo.run(&format!("compare {SMALL}"), 1);
    demo.edit(
        "rigs/ship_dog/rig.toml",
        "pivot  = [706.9, 296.1]",
        "pivot  = [708.9, 294.1]",
    );
    assert!(demo.run(&line, 1).contains("stale decision  "));
    demo.run(&format!("approve {SMALL} --all --prune"), 0);
    demo.run(&format!("compare {SMALL} --review"), 0);
    assert!(wishes(&demo).is_empty());
}
