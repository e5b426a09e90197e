//! Approved sets: what is approved by what, stale decisions, thresholds, damage, and `kill -9`.

use std::time::{Duration, Instant};

use crate::approved::{Demo, copy, states};
use layfig::compare::{Comparison, State};
use serde_json::{Value, json};

const SET: &str = "rigs/ship_dog/approved";
const SMALL: &str = "rigs/ship_dog --scale 0.12 -q";

fn state(found: &Comparison, pose: &str) -> State {
    let pose = found.poses.iter().find(|p| p.name == pose);
    pose.expect("the pose is compared").state
}

fn start() -> Demo {
    let demo = Demo::new();
    demo.run(&format!("compare {SMALL}"), 1);
    assert_eq!(states(&demo.comparison("ship_dog")), ["not yet approved"]);
    demo.run(&format!("approve {SMALL}"), 2);
    demo.run(&format!("approve {SMALL} --all"), 0);
    demo.run(&format!("compare {SMALL}"), 0);
    demo
}

#[test]
fn poses_parts_and_causes_are_approved_one_by_one() {
    let demo = start();
    // Two edits: one in two poses' mouths, one in the tail; one pose has both.
    demo.edit("poses/ship_dog.toml", "tail_base = 38,", "tail_base = 20,");
    demo.edit(
        "rigs/ship_dog/rig.toml",
        "pant = \"side.svg#mouth_pant\"",
        "pant = \"side.svg#mouth_bark\"",
    );
    demo.run(&format!("compare {SMALL}"), 1);
    let found = demo.comparison("ship_dog");
    assert_eq!(found.counts.differs, 4);
    assert_eq!(found.causes[0].subject, "mouth.replacements.pant");
    assert_eq!(found.causes[0].poses.len(), 4);
    assert_eq!(found.causes[1].poses, ["ship_dog/ship_dog/wag_high"]);

    let text = demo.run(
        "approve rigs/ship_dog --scale 0.12 --progress none --part mouth -v",
        0,
    );
    assert!(
        text.contains("approved  ship_dog/ship_dog/play_bow"),
        "{text}"
    );
    assert!(
        text.contains("left  ship_dog/ship_dog/wag_high: tail_base changed it too"),
        "{text}"
    );
    demo.run(&format!("compare {SMALL}"), 1);
    assert_eq!(demo.comparison("ship_dog").counts.differs, 1);

    // By a cause alone the pose with two is left; by both it is not.
    demo.run(
        &format!("approve {SMALL} --cause mouth.replacements.pant"),
        0,
    );
    demo.run(&format!("compare {SMALL}"), 1);
    demo.run(&format!("approve {SMALL} --cause nose.depth"), 2);
    let mut command = demo.command(&format!("approve {SMALL} --cause mouth.replacements.pant"));
    command.args(["--cause", "pose ship_dog/wag_high: turn.tail_base"]);
    assert!(command.status().unwrap().success());
    demo.run(&format!("compare {SMALL}"), 0);

    // By pose; the others stay as they were.
    demo.edit(
        "rigs/ship_dog/rig.toml",
        "pivot  = [730, 432]",
        "pivot  = [738, 432]",
    );
    demo.run(&format!("approve {SMALL} --pose beg,sit"), 0);
    demo.run(&format!("compare {SMALL}"), 1);
    let found = demo.comparison("ship_dog");
    assert_eq!(state(&found, "beg"), State::Identical);
    assert_eq!(state(&found, "sit"), State::Identical);
    assert_eq!(state(&found, "bark"), State::Differs);
    assert_eq!(found.poses.len(), 29, "nothing else left the set");

    // Replaced pictures are orphans, told and kept until asked.
    assert!(!found.orphans.is_empty());
    let files = demo.files(SET).len();
    demo.run(&format!("approve {SMALL} --prune"), 0);
    assert_eq!(demo.files(SET).len(), files - found.orphans.len());
    demo.run(&format!("compare {SMALL}"), 1);
    assert!(demo.comparison("ship_dog").orphans.is_empty());
    assert_eq!(state(&demo.comparison("ship_dog"), "bark"), State::Differs);
}

#[test]
fn poses_come_and_go() {
    let demo = start();
    let text = demo.read("poses/ship_dog.toml");
    let renamed = text.replace("[pose.face_sly]", "[pose.face_foxy]");
    std::fs::write(demo.path("poses/ship_dog.toml"), renamed).unwrap();
    demo.run(&format!("compare {SMALL}"), 1);
    let found = demo.comparison("ship_dog");
    assert_eq!(state(&found, "face_foxy"), State::New);
    assert_eq!(state(&found, "face_sly"), State::Removed);
    // A filter makes nothing removed, and an approval of all forgets nothing.
    demo.run(&format!("compare {SMALL} --pose rest"), 0);
    assert_eq!(demo.comparison("ship_dog").poses.len(), 1);
    demo.run(&format!("approve {SMALL} --all"), 0);
    demo.run(&format!("compare {SMALL}"), 1);
    assert_eq!(
        states(&demo.comparison("ship_dog")),
        ["removed", "identical"]
    );
    demo.run(&format!("approve {SMALL} --prune"), 0);
    demo.run(&format!("compare {SMALL}"), 0);
    // A pose that has a mistake now is missing, not removed.
    demo.edit(
        "poses/ship_dog.toml",
        "[pose.face_foxy]",
        "[pose.face_foxy]\nbogus = 1",
    );
    demo.run(&format!("compare {SMALL}"), 2);
    assert_eq!(
        state(&demo.comparison("ship_dog"), "face_foxy"),
        State::Missing
    );
}

#[test]
fn decisions_are_done_unless_they_are_stale() {
    let demo = start();
    demo.edit(
        "rigs/ship_dog/rig.toml",
        "pivot  = [730, 432]",
        "pivot  = [738, 432]",
    );
    demo.run(&format!("compare {SMALL}"), 1);
    let found = demo.comparison("ship_dog");
    let decide = |name: &str, decision: &str| {
        let pose = found.poses.iter().find(|p| p.name == name).unwrap();
        json!({
            "pose": pose.pose, "decision": decision, "note": "chin \"too\" low",
            "approved": pose.approved, "picture": pose.picture,
        })
    };
    let write = |decisions: Value| {
        let all = json!({ "format": 1, "decisions": decisions });
        std::fs::write(demo.path("said.json"), all.to_string()).unwrap();
    };
    write(json!([decide("beg", "approve"), decide("sit", "reject")]));
    let line = format!("approve {SMALL} --decisions said.json");
    demo.run(&line, 0);
    demo.run(&format!("compare {SMALL}"), 1);
    let now = demo.comparison("ship_dog");
    assert_eq!(state(&now, "beg"), State::Identical);
    assert_eq!(state(&now, "sit"), State::Differs);
    let refused = now.poses.iter().find(|p| p.name == "sit").unwrap();
    assert_eq!(refused.rejected.as_deref(), Some("chin \"too\" low"));
    // Again is no harm.
    demo.run(&line, 0);

    // The picture is another: nobody decided about this one.
    demo.edit(
        "rigs/ship_dog/rig.toml",
        "pivot  = [738, 432]",
        "pivot  = [745, 432]",
    );
    write(json!([decide("bark", "approve")]));
    let text = demo.run(&line, 1);
    assert!(
        text.contains("stale decision  ship_dog/ship_dog/bark"),
        "{text}"
    );
    demo.run(&format!("compare {SMALL}"), 1);
    let now = demo.comparison("ship_dog");
    assert_eq!(state(&now, "bark"), State::Differs);
    let sit = now.poses.iter().find(|p| p.name == "sit").unwrap();
    assert_eq!(sit.rejected, None);

    // What is no decisions file is told with its place.
    for (text, place, words) in [
        (
            "{\"format\": 1,\n \"decisions\": [{}]}",
            "said.json:2:",
            "missing field `pose`",
        ),
        (
            "{\"format\": 7, \"decisions\": []}",
            "said.json:1:2",
            "format 7",
        ),
        ("not json", "said.json:1:", "no decisions file"),
        (
            "{\"format\": 1, \"decisions\": [], \"x\": 1}",
            "said.json:1:",
            "unknown field `x`",
        ),
    ] {
        std::fs::write(demo.path("said.json"), text).unwrap();
        let told = demo.run(&format!("{line} --messages short"), 2);
        assert!(
            told.contains(place) && told.contains(words),
            "{text}: {told}"
        );
    }
}

#[test]
fn thresholds_are_the_poses_own_or_the_rigs() {
    let demo = start();
    demo.edit("poses/ship_dog.toml", "tail_base = 38,", "tail_base = 37,");
    demo.run(&format!("compare {SMALL}"), 1);
    let changed = demo.comparison("ship_dog").poses[1]
        .figures
        .unwrap()
        .changed;
    assert!(changed > 10);
    let own = demo.edit(
        "poses/ship_dog.toml",
        "[pose.wag_high]",
        &format!("[pose.wag_high]\ncompare = {{ pixels = {changed} }}"),
    );
    demo.run(&format!("compare {SMALL}"), 0);
    assert_eq!(
        states(&demo.comparison("ship_dog")),
        ["within tolerance", "identical"]
    );
    own.undo();
    for (setting, own) in [
        ("pixels = 100000", "pixels = 0"),
        ("colour = 150", "colour = 1"),
        ("edge = 1", "edge = 0.1"),
    ] {
        let rig = demo.edit(
            "rigs/ship_dog/rig.toml",
            "[palette.day]",
            &format!("[compare]\n{setting}\n\n[palette.day]"),
        );
        demo.run(&format!("compare {SMALL}"), 0);
        let loose = demo.comparison("ship_dog").poses[1]
            .figures
            .unwrap()
            .changed;
        // A pose's own threshold comes before its rig's.
        let pose = demo.edit(
            "poses/ship_dog.toml",
            "[pose.wag_high]",
            &format!("[pose.wag_high]\ncompare = {{ {own} }}"),
        );
        demo.run(&format!("compare {SMALL}"), 1);
        let strict = demo.comparison("ship_dog").poses[1]
            .figures
            .unwrap()
            .changed;
        assert_eq!(strict, changed, "{own}");
        assert!(
            loose < strict || setting.starts_with("pixels"),
            "{setting}: {loose}"
        );
        pose.undo();
        rig.undo();
    }
    demo.run(&format!("compare {SMALL}"), 1);
    // Another scale is another picture, and told as such.
    demo.run("compare rigs/ship_dog --scale 0.1 -q", 1);
    let found = demo.comparison("ship_dog");
    assert_eq!(found.causes[0].subject, "scale of the pictures");
    assert_eq!(found.counts.differs, 29);
}

#[test]
fn what_is_missing_or_damaged_is_not_yet_approved() {
    let demo = start();
    let manifest: Value =
        serde_json::from_str(&demo.read(&format!("{SET}/manifest.json"))).unwrap();
    let file = |pose: &str, what: &str| {
        let digest = manifest["poses"][format!("ship_dog/{pose}")][what]
            .as_str()
            .unwrap();
        let folder = if what == "picture" {
            "pictures"
        } else {
            "owners"
        };
        demo.path(&format!("{SET}/{folder}/{digest}.png"))
    };
    let whole = std::fs::read(file("beg", "picture")).unwrap();
    std::fs::write(file("beg", "picture"), &whole[..whole.len() / 2]).unwrap();
    std::fs::remove_file(file("sit", "owners")).unwrap();
    std::fs::write(file("bark", "picture"), "").unwrap();
    demo.run(&format!("compare {SMALL}"), 1);
    let found = demo.comparison("ship_dog");
    for (pose, word) in [("beg", "damaged"), ("sit", "missing"), ("bark", "damaged")] {
        assert_eq!(state(&found, pose), State::NotYetApproved);
        let pose = found.poses.iter().find(|p| p.name == pose).unwrap();
        assert!(
            pose.reason.as_ref().unwrap().contains(word),
            "{:?}",
            pose.reason
        );
    }
    assert_eq!(found.counts.identical, 26);
    demo.run(&format!("approve {SMALL} --pose beg,sit,bark"), 0);
    demo.run(&format!("compare {SMALL}"), 0);

    // A manifest that two people merged badly: kept beside, and no pose counts as approved.
    let path = demo.path(&format!("{SET}/manifest.json"));
    let good = std::fs::read_to_string(&path).unwrap();
    std::fs::write(
        &path,
        good.replacen("\"poses\"", "<<<<<<< ours\n\"poses\"", 1),
    )
    .unwrap();
    demo.run(&format!("compare {SMALL}"), 1);
    let found = demo.comparison("ship_dog");
    assert_eq!(states(&found), ["not yet approved"]);
    assert!(found.remarks[0].contains("damaged"), "{:?}", found.remarks);
    demo.run(&format!("approve {SMALL} --prune"), 4);
    demo.run(&format!("approve {SMALL} --pose beg"), 0);
    assert!(demo.path(&format!("{SET}/manifest.damaged.json")).exists());
    // All pictures are still there for the rest.
    std::fs::write(&path, &good).unwrap();
    demo.run(&format!("compare {SMALL}"), 0);

    // One of a later format is not touched.
    let later = good.replacen("\"format\": 1", "\"format\": 2", 1);
    std::fs::write(&path, &later).unwrap();
    demo.run(&format!("compare {SMALL}"), 2);
    demo.run(&format!("approve {SMALL} --all"), 2);
    assert_eq!(std::fs::read_to_string(&path).unwrap(), later);
}

/// The real program, killed at 60 moments of an approval: whatever the moment, what was approved is
/// whole, and the next run ends as if nothing had happened.
#[test]
fn a_killed_approval_loses_nothing() {
    let demo = Demo::new();
    let some = "rigs/ship_dog --scale 0.12 -q --threads 2 --pose face_*,rest,sit,beg";
    demo.run(&format!("approve {some}"), 0);
    copy(&demo.path(SET), &demo.path("old"));
    demo.edit(
        "rigs/ship_dog/rig.toml",
        "pivot  = [730, 432]",
        "pivot  = [750, 432]",
    );
    demo.edit("rigs/ship_dog/side.svg", "#2f3449", "#5f3449");
    demo.run(&format!("approve {some}"), 0);
    let wanted = demo.files(SET);
    let reset = || {
        std::fs::remove_dir_all(demo.path(SET)).unwrap();
        copy(&demo.path("old"), &demo.path(SET));
    };
    // The quickest of some, so that most kills come before the end.
    let once = |_| {
        reset();
        let begun = Instant::now();
        demo.run(&format!("approve {some}"), 0);
        begun.elapsed()
    };
    let whole = (0..5).map(once).min().unwrap();
    let (mut killed, mut halfway) = (0, 0);
    let mut random = 20_240_607_u64;
    let files = || std::fs::read_dir(demo.path(SET).join("pictures")).map_or(0, Iterator::count);
    for round in 0..60_u32 {
        reset();
        let before = demo.files(SET);
        let pictures = files();
        let mut child = demo.command(&format!("approve {some}")).spawn().unwrap();
        // Spread over the run with a little chance, from a fixed seed.
        random = random
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1);
        let jitter = (random >> 33) as f64 / f64::from(1_u32 << 31);
        if round < 50 {
            let share = (f64::from(round) + jitter) / 50.0;
            std::thread::sleep(Duration::from_secs_f64(whole.as_secs_f64() * share));
        } else {
            // Among the writes, however fast the machine is.
            while files() == pictures && child.try_wait().unwrap().is_none() {
                std::thread::yield_now();
            }
        }
        child.kill().unwrap();
        killed += u32::from(child.wait().unwrap().code().is_none());
        let after = demo.files(SET);
        halfway += u32::from(after != before && after != wanted);
        for (name, bytes) in before.iter().filter(|(name, _)| *name != "manifest.json") {
            assert_eq!(after.get(name), Some(bytes), "{name} is lost");
        }
        let manifest = &after["manifest.json"];
        assert!(
            *manifest == before["manifest.json"] || *manifest == wanted["manifest.json"],
            "a manifest that is neither the old nor the new one"
        );
        let code = demo
            .command(&format!("compare {some}"))
            .status()
            .unwrap()
            .code();
        assert!(matches!(code, Some(0 | 1)), "{code:?}");
        let counts = demo.comparison("ship_dog").counts;
        assert_eq!((counts.not_yet_approved, counts.new), (0, 0), "{counts:?}");
        demo.run(&format!("approve {some}"), 0);
        assert_eq!(demo.files(SET), wanted, "round {round}");
    }
    assert!(killed >= 25, "only {killed} of 60 were killed in time");
    assert!(halfway >= 1, "no kill fell among the writes");
}

/// Two approvals of the same set at one moment, many times: each waits for its turn, and the set ends
/// with what both approved, as if they had come one after the other.
#[test]
fn two_approvals_at_once_lose_nothing_of_each_other() {
    let demo = start();
    copy(&demo.path(SET), &demo.path("old"));
    demo.edit(
        "rigs/ship_dog/rig.toml",
        "pivot  = [730, 432]",
        "pivot  = [750, 432]",
    );
    let halves = [
        "--pose rest,wag_high,sit,beg,bark",
        "--pose howl,run,trot,sulk,sleep",
    ];
    let line = |half: &str| format!("approve {SMALL} --threads 1 {half}");
    for half in halves {
        demo.run(&line(half), 0);
    }
    let wanted = demo.files(SET);
    for round in 0..10 {
        std::fs::remove_dir_all(demo.path(SET)).unwrap();
        copy(&demo.path("old"), &demo.path(SET));
        let mut both = halves.map(|half| demo.command(&line(half)).spawn().unwrap());
        // Whoever looks meanwhile sees a whole set.
        let code = demo
            .command(&format!("compare {SMALL} --pose rest"))
            .status();
        assert!(matches!(code.unwrap().code(), Some(0 | 1)));
        for child in &mut both {
            assert_eq!(child.wait().unwrap().code(), Some(0));
        }
        assert!(demo.files(SET) == wanted, "round {round}");
    }
}

/// Where nothing can be written: told with the file and why, and what was there is as it was.
#[test]
fn what_cannot_be_written_is_told_and_harms_nothing() {
    let demo = start();
    let before = demo.files(SET);
    demo.edit(
        "rigs/ship_dog/rig.toml",
        "pivot  = [730, 432]",
        "pivot  = [750, 432]",
    );
    // Where folders are to be there are files; they are somebody's.
    std::fs::create_dir_all(demo.path("place/ship_dog")).unwrap();
    std::fs::write(demo.path("place/ship_dog/pictures"), "mine").unwrap();
    let told = demo.run(&format!("approve {SMALL} --all --approved place"), 4);
    assert!(told.contains("place/ship_dog/pictures"), "{told}");
    demo.run(&format!("compare {SMALL} --out place/ship_dog/pictures"), 4);
    demo.run(
        &format!("compare {SMALL} --approved place/ship_dog/pictures"),
        2,
    );
    assert_eq!(demo.read("place/ship_dog/pictures"), "mine");
    assert_eq!(demo.files("place").len(), 1);
    // A disk that is full after a few bytes: files may not grow beyond a kibibyte.
    for line in [
        format!("approve {SMALL} --pose beg,sit"),
        format!("compare {SMALL} --out full --review --pose beg"),
    ] {
        let limited = format!(
            "trap '' XFSZ; ulimit -f 1; exec {} {line}",
            env!("CARGO_BIN_EXE_layfig")
        );
        let output = std::process::Command::new("bash")
            .current_dir(demo.path(""))
            .args(["-c", &limited])
            .output()
            .unwrap();
        let told = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(4), "{line}: {told}");
        assert!(told.contains("File too large"), "{told}");
        assert!(
            !told.contains(".part"),
            "only the file that was meant: {told}"
        );
        assert!(
            told.contains(".png") || told.contains("manifest.json"),
            "{told}"
        );
    }
    assert!(demo.files(SET) == before, "the set is as it was");
    let left = demo.files("full");
    assert!(left.keys().all(|name| !name.contains(".part")), "{left:?}");
    // And with room again all is well.
    demo.run(&format!("approve {SMALL} --pose beg,sit"), 0);
    demo.run(&format!("compare {SMALL} --pose beg,sit"), 0);
}
