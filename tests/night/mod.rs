//! Nights: what is made, what is not made again, what is told; breaks, shards and merges.

mod approval;
mod repeats;
mod show;
mod since;

use std::process::Stdio;
use std::time::{Duration, Instant};

use show::{CREW, Show, assert_same};

/// Of each member its four poses, six sheets (poses, sweeps, overlays, model, charts, colours), a check, a
/// comparison; and the line-up.
const EACH: usize = 12;
const ALL: usize = CREW.len() * EACH + 1;

#[test]
fn an_unchanged_cast_costs_nothing_and_changes_nothing() {
    let show = Show::new();
    assert_eq!(show.plan("").len(), ALL);
    assert!(!show.path("out").exists(), "a dry run makes nothing");
    let out = show.run("night cast.toml", 0);
    assert!(
        out.contains(&format!("made {ALL}, 0 as they were")),
        "{out}"
    );
    let first = show.made("out/night");
    let (checks, comparisons) = (CREW.len(), CREW.len());
    // Of a check the chart of its ranges is a picture; without an approved set a comparison makes none.
    let pictures = first.keys().filter(|n| n.ends_with(".png")).count();
    assert_eq!(pictures, ALL - comparisons);
    assert!(pictures > checks);
    for threads in [1, 2, 5] {
        assert!(show.plan("").is_empty());
        let line = format!("night cast.toml --threads {threads}");
        let out = show.run(&line, 0);
        assert!(
            out.contains(&format!("made 0, {ALL} as they were")),
            "{out}"
        );
        assert_same(&first, &show.made("out/night"), "a second run");
    }
}

#[test]
fn pictures_are_the_same_over_runs_and_threads() {
    let show = Show::new();
    show.run("night cast.toml --out a --threads 1", 0);
    let first = show.made("a");
    for threads in [1, 2, 3, 8] {
        show.run(
            &format!("night cast.toml --out a --again --threads {threads}"),
            0,
        );
        assert_same(&first, &show.made("a"), "made again");
        show.run(
            &format!("night cast.toml --out t{threads} --threads {threads}"),
            0,
        );
        assert_same(&first, &show.made(&format!("t{threads}")), "made elsewhere");
    }
    // As `layfig render` draws them.
    show.run("render cast.toml --out r", 0);
    for (name, bytes) in show.made("r") {
        assert!(first[&name] == bytes, "{name}");
    }
}

#[test]
fn an_edit_remakes_what_it_touches_and_nothing_else() {
    // What an edit touches follows from the rig: who shows the part, in which palette.
    let lists = ["poses", "sweeps", "overlays"];
    let of_mate = |poses: &[&str], lists: &[&str], others: &[&str]| {
        let mut names: Vec<String> = poses
            .iter()
            .map(|pose| format!("picture mate/actions/{pose}"))
            .chain(lists.iter().map(|s| format!("sheet mate/actions {s}")))
            .chain(others.iter().map(|s| (*s).to_owned()))
            .collect();
        names.sort_unstable();
        names
    };
    let all = ["rest", "haul", "light", "night"];
    let (charts, check, line_up) = ("sheet mate charts", "check mate", "sheet line-up");
    let sheets = ["sheet mate model", charts, "sheet mate colours", line_up];
    let rig = "rigs/mate/rig.toml";
    let svg = "rigs/mate/front.svg";
    for (file, from, to, expected) in [
        // A replacement that one pose shows.
        (
            svg,
            "M60 70h9v15h-9z",
            "M60 70h9v16h-9z",
            of_mate(&["light"], &["poses", "overlays"], &[charts, check]),
        ),
        // The drawing that it stands for, which the others show.
        (
            svg,
            "M60 70h12v8h-12z",
            "M60 70h12v9h-12z",
            of_mate(
                &["rest", "haul", "night"],
                &lists,
                &[&sheets[..], &[check]].concat(),
            ),
        ),
        (
            rig,
            "pivot  = [64, 46]",
            "pivot  = [64, 47]",
            of_mate(&all, &lists, &[&sheets[..], &[check]].concat()),
        ),
        // A palette that one pose is in; its colours are on the sheets.
        (
            rig,
            "#104040",
            "#104050",
            of_mate(&["night"], &lists, &[&sheets[..], &[check]].concat()),
        ),
        (
            rig,
            "name = \"mate\"",
            "name = \"Mate\"",
            of_mate(&[], &lists, &sheets),
        ),
        // Limits say what should be posed, and are what is checked; comments say nothing.
        (
            rig,
            "limits = [-90, 90]",
            "limits = [-90, 85] # stiff",
            of_mate(&[], &[], &[check]),
        ),
        // A limit that a pose goes over is told beside it.
        (
            rig,
            "limits = [-90, 90]",
            "limits = [-75, 90]",
            of_mate(&[], &["poses", "overlays"], &[check]),
        ),
        (
            svg,
            "<g id=\"torso\">",
            "<!-- new --><g id=\"torso\">",
            of_mate(&[], &[], &[]),
        ),
    ] {
        let show = Show::new();
        show.run("night cast.toml", 0);
        show.edit(file, from, to);
        assert_eq!(show.plan(""), expected, "{file}: {from} to {to}");
        show.run("night cast.toml", 0);
        // What was kept is what would have been made.
        show.run("night cast.toml --out fresh", 0);
        let pictures = |folder: &str| {
            let mut files = show.made(folder);
            files.retain(|name, _| name.ends_with(".png"));
            files
        };
        assert_same(&pictures("fresh"), &pictures("out/night"), to);
    }
    // A pose belongs to all members.
    let show = Show::new();
    show.run("night cast.toml", 0);
    show.edit("poses/actions.toml", "arm = -70", "arm = -71");
    let plan = show.plan("");
    assert_eq!(plan.len(), 4 * CREW.len(), "{plan:?}");
    let ends = ["haul", "actions poses", "actions overlays"];
    // A check looks for turns beyond limits.
    let known = |n: &String| n.starts_with("check ") || ends.iter().any(|end| n.ends_with(end));
    assert!(plan.iter().all(known));
    show.edit("poses/actions.toml", "back foot", "front foot");
    let out = show.run("night cast.toml", 0);
    assert!(out.contains("9 changed, 0 new, 0 gone"), "{out}");
}

#[test]
fn what_an_edit_takes_away_goes_and_is_told() {
    let show = Show::new();
    show.run("night cast.toml", 0);
    show.write("out/night/mate/notes.txt", "a person's own");
    show.edit("poses/actions.toml", "[pose.haul]", "[pose.heave]");
    show.run("night cast.toml", 0);
    let files = show.made("out/night");
    assert!(!files.contains_key("mate/actions/haul.png"));
    assert!(files.contains_key("mate/actions/heave.png"));
    assert!(files.contains_key("mate/notes.txt"));
    let summary = show.summary("out/night");
    assert_eq!(summary["counts"]["gone"], 3);
    assert_eq!(summary["counts"]["new"], 3);
}

#[test]
fn files_that_were_lost_or_damaged_are_made_again() {
    let show = Show::new();
    show.run("night cast.toml", 0);
    let first = show.made("out/night");
    std::fs::remove_file(show.path("out/night/mate/actions/haul.png")).unwrap();
    show.write("out/night/cook/actions/rest.png", "no picture");
    std::fs::write(show.path("out/night/pilot/actions.sheet.png"), "").unwrap();
    let out = show.run("night cast.toml", 0);
    assert!(out.contains("made 3,"), "{out}");
    assert_same(&first, &show.made("out/night"), "repaired");
    // Damage that keeps length and time is found when it is asked for.
    let path = show.path("out/night/mate/actions/haul.png");
    let time = std::fs::metadata(&path).unwrap().modified().unwrap();
    let mut bytes = std::fs::read(&path).unwrap();
    let middle = bytes.len() / 2;
    bytes[middle] ^= 1;
    std::fs::write(&path, bytes).unwrap();
    let file = std::fs::File::options().append(true).open(&path).unwrap();
    file.set_modified(time).unwrap();
    let out = show.run("night cast.toml --verify", 0);
    assert!(out.contains("made 1,"), "{out}");
    assert_same(&first, &show.made("out/night"), "repaired");
}

#[test]
fn a_broken_member_stops_no_other_and_is_told_everywhere() {
    let show = Show::new();
    // What was made of a member stays while its rig is broken, and is not made again afterwards.
    show.run("night cast.toml --out kept", 0);
    let before = show.made("kept");
    show.edit("rigs/cook/rig.toml", "pivot  = [64, 46]", "pivot  = [64]");
    show.run("night cast.toml --out kept", 2);
    assert!(before["cook/actions/rest.png"] == show.made("kept")["cook/actions/rest.png"]);
    show.edit("rigs/cook/rig.toml", "pivot  = [64]", "pivot  = [64, 46]");
    // But for the line-up, which lacked it.
    let out = show.run("night cast.toml --out kept", 0);
    assert!(out.contains("made 1,"), "{out}");
    show.edit("rigs/cook/rig.toml", "pivot  = [64, 46]", "pivot  = [64]");
    show.edit(
        "rigs/pilot/rig.toml",
        "\"pilot\"",
        "\"<img src=x onerror=alert(1)>&amp;\"",
    );
    show.edit("poses/actions.toml", "arm = -70", "arm = -70, tail = 3");
    let out = show.run("night cast.toml", 2);
    assert!(out.contains("rigs/cook/rig.toml"), "{out}");
    let files = show.made("out/night");
    assert!(files.contains_key("mate/actions/rest.png"));
    assert!(files.contains_key("pilot/actions.sheet.png"));
    assert!(!files.contains_key("mate/actions/haul.png"));
    let page = String::from_utf8(files["index.html"].clone()).unwrap();
    assert!(page.contains("its files have errors"), "{page}");
    assert!(!page.contains("<img src=x"));
    assert!(page.contains("&lt;img src=x onerror=alert(1)&gt;&amp;amp;"));
    // The roxmltree parser says whether the report is XML; counts are those of its own cases.
    let report = String::from_utf8(files["junit.xml"].clone()).unwrap();
    let report = roxmltree::Document::parse(&report).unwrap();
    let count = |name: &str| {
        report
            .descendants()
            .filter(|n| n.has_tag_name(name))
            .count()
    };
    let root = report.root_element();
    assert_eq!(root.tag_name().name(), "testsuites");
    assert_eq!(
        root.attribute("tests"),
        Some(count("testcase").to_string().as_str())
    );
    assert_eq!(
        root.attribute("failures"),
        Some(count("failure").to_string().as_str())
    );
    assert!(
        count("failure") >= 3,
        "the member, and a pose of each of the others"
    );
    // A night that goes wrong is a night: the next one is compared with it.
    show.edit("rigs/cook/rig.toml", "pivot  = [64]", "pivot  = [64, 46]");
    show.edit("poses/actions.toml", ", tail = 3", "");
    show.run("night cast.toml", 0);
    assert_eq!(show.history("out/night").len(), 2);
    assert_eq!(
        show.summary("out/night")["counts"]["changed"],
        7,
        "four sheets lacked a pose, the line-up a member; two members have one more to approve"
    );
}

#[test]
fn nights_are_compared_with_the_last_or_with_the_one_that_is_named() {
    let show = Show::new();
    show.run("night cast.toml --label mon", 0);
    show.run("night cast.toml --label mon", 0);
    assert_eq!(
        show.history("out/night").len(),
        1,
        "the same night once more"
    );
    show.edit("poses/actions.toml", "arm = -70", "arm = -71");
    show.run("night cast.toml --label tue", 0);
    show.edit("rigs/mate/front.svg", "M60 70h9v15h-9z", "M60 70h9v16h-9z");
    let out = show.run("night cast.toml --label wed", 0);
    assert!(out.contains("since night tue: 4 changed"), "{out}");
    let history = show.history("out/night");
    let labels: Vec<_> = history
        .iter()
        .map(|e| e["label"].as_str().unwrap())
        .collect();
    assert_eq!(labels, ["mon", "tue", "wed"]);
    let changed: Vec<_> = history
        .iter()
        .map(|e| e["changed"].as_u64().unwrap())
        .collect();
    assert_eq!(changed, [0, 9, 4]);
    let digits = history[0]["inputs"].as_str().unwrap()[..8].to_owned();
    for revision in ["mon", &digits] {
        let out = show.run(&format!("night cast.toml --since {revision}"), 0);
        assert!(out.contains("since night mon: 11 changed"), "{out}");
    }
    let out = show.run("night cast.toml --since thu", 3);
    assert!(out.contains("the latest are wed, tue, mon"), "{out}");
    // A selection is no night.
    assert_eq!(show.history("out/night").len(), 3);
    let page = std::fs::read_to_string(show.path("out/night/history.html")).unwrap();
    assert!(page.contains("wed") && page.contains("<rect"));
}

#[test]
fn filters_take_members_views_poses_and_sorts() {
    let show = Show::new();
    assert_eq!(show.plan("--member cook").len(), EACH);
    assert_eq!(show.plan("--member c* --make pictures").len(), 4);
    let plan = show.plan("--pose haul,arm@-30 --member mate");
    let expected = [
        "comparison mate",
        "picture mate/actions/haul",
        "sheet mate/actions overlays",
        "sheet mate/actions poses",
        "sheet mate/actions sweeps",
    ];
    assert_eq!(plan, expected);
    assert_eq!(
        show.plan("--member mate --make checks,comparisons"),
        ["check mate", "comparison mate"]
    );
    assert_eq!(show.plan("--make sheets").len(), CREW.len() * 6 + 1);
    let out = show.run("night cast.toml --member cok", 3);
    assert!(out.contains("did you mean \"cook\"?"), "{out}");
    show.run("night cast.toml --view side", 3);
    show.run("night cast.toml --member cook", 0);
    assert!(!show.path("out/night/mate").exists());
    let out = show.run("night cast.toml", 0);
    assert!(out.contains("made 25, 12 as they were"), "{out}");
}

#[test]
fn shards_merge_to_the_bytes_of_one_run() {
    let show = Show::new();
    show.run("night cast.toml --out one --label a", 0);
    for (of, folder) in [(1, "s1"), (3, "s3"), (5, "s5"), (40, "s40")] {
        let keep = format!("--out {folder} --label a");
        let mut seen = Vec::new();
        for shard in (1..=of).rev() {
            let shard = format!("{keep} --shard {shard}/{of}");
            seen.extend(show.plan(&shard));
            show.run(&format!("night cast.toml {shard}"), 0);
        }
        seen.sort_unstable();
        seen.dedup();
        assert_eq!(seen.len(), ALL, "each unit is in one shard");
        let out = show.run(&format!("merge --out {folder}"), 0);
        assert!(
            out.contains("12 pictures, 19 sheets, 3 checks, 3 comparisons"),
            "{out}"
        );
        assert_same(&show.made("one"), &show.made(folder), folder);
        show.run(&format!("merge --out {folder}"), 4);
    }
    // The next night, by shards that know what the first one cost.
    show.edit(
        "rigs/mate/rig.toml",
        "pivot  = [64, 46]",
        "pivot  = [64, 47]",
    );
    show.run("night cast.toml --out one --label b", 0);
    for shard in 1..=3 {
        show.run(
            &format!("night cast.toml --out s3 --label b --shard {shard}/3"),
            0,
        );
    }
    show.run("merge --out s3", 0);
    assert_same(&show.made("one"), &show.made("s3"), "the second night");
}

#[test]
fn a_merge_waits_for_all_shards_of_one_night() {
    let show = Show::new();
    let keep = "night cast.toml --out s --shard";
    assert!(
        show.run("merge --out s", 4)
            .contains("no shard has been made here")
    );
    show.run(&format!("{keep} 1/3"), 0);
    show.run(&format!("{keep} 3/3"), 0);
    assert!(
        show.run("merge --out s", 4)
            .contains("1 of 3 shards is not done: 2")
    );
    show.edit("poses/actions.toml", "arm = -70", "arm = -71");
    show.run(&format!("{keep} 2/3"), 0);
    assert!(show.run("merge --out s", 4).contains("different inputs"));
    assert!(!show.path("s/index.html").exists());
    for shard in [1, 3] {
        show.run(&format!("{keep} {shard}/3"), 0);
    }
    std::fs::remove_file(show.path("s/mate/actions/rest.png")).unwrap();
    assert!(
        show.run("merge --out s", 4)
            .contains("picture mate/actions/rest")
    );
    for shard in 1..=3 {
        show.run(&format!("{keep} {shard}/3"), 0);
    }
    show.run("merge --out s", 0);
    show.run("night cast.toml --out one", 0);
    assert_same(&show.made("one"), &show.made("s"), "merged in the end");
    let out = show.run("night cast.toml --shard 4/3", 2);
    assert!(out.contains("counted from 1"), "{out}");
}

/// Numbers that follow from a seed (xorshift, Marsaglia 2003): the kills are the same in every run,
/// as far as the machine's own pace allows.
struct Dice(u64);

impl Dice {
    fn below(&mut self, limit: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0 % limit
    }
}

#[test]
fn fifty_kills_lose_nothing_and_leave_nothing_half_written() {
    // With pictures that differ from approved ones, and with joints that do not hold.
    let show = Show::to_look_at();
    let started = Instant::now();
    show.run("night cast.toml --out whole --label a --height 400", 1);
    let whole = u64::try_from(started.elapsed().as_micros()).unwrap();
    let undisturbed = show.made("whole");
    let mut dice = Dice(0x2545_f491_4f6c_dd1d);
    let (mut kills, mut round) = (0, 0);
    while kills < 50 {
        round += 1;
        assert!(
            round < 400,
            "the program is killed now and then: {kills} times so far"
        );
        let folder = format!("k{round}");
        // Some runs are killed several times before they may end.
        loop {
            let line = format!("night cast.toml --out {folder} --label a --height 400");
            let mut run = show.command(&line);
            let mut run = run
                .stdout(Stdio::null())
                .stderr(Stdio::null())
                .spawn()
                .unwrap();
            std::thread::sleep(Duration::from_micros(dice.below(whole + whole / 5)));
            run.kill().unwrap();
            let ended = run.wait().unwrap().code() == Some(1);
            let files = show.made(&folder);
            for (name, bytes) in &files {
                // Under its own name a file is whole, or it is not there.
                if !name.split('/').any(|step| step.starts_with(".layfig-")) {
                    assert!(*bytes == undisturbed[name], "{name} after kill {kills}");
                }
            }
            if ended {
                break;
            }
            kills += 1;
            if dice.below(2) == 0 {
                break;
            }
        }
        let line = format!("night cast.toml --out {folder} --label a --height 400");
        show.run(&line, 1);
        assert_same(&undisturbed, &show.made(&folder), "gone on after kills");
        let state =
            |folder: &str| std::fs::read(show.path(folder).join(".night/state.jsonl")).unwrap();
        assert!(
            state("whole") == state(&folder),
            "what the next night knows"
        );
        std::fs::remove_dir_all(show.path(&folder)).unwrap();
    }
}

#[test]
fn two_nights_do_not_work_in_one_folder() {
    let show = Show::new();
    std::fs::create_dir_all(show.path("out/night/.night")).unwrap();
    let lock = std::fs::File::create(show.path("out/night/.night/lock")).unwrap();
    lock.lock().unwrap();
    let out = show.run("night cast.toml", 4);
    assert!(out.contains("another night is at work"), "{out}");
    drop(lock);
    show.run("night cast.toml", 0);
}

#[test]
fn what_cannot_be_written_is_told_and_made_the_next_time() {
    let show = Show::new();
    show.run("night cast.toml --out whole", 0);
    // A folder in the place of a picture.
    std::fs::create_dir_all(show.path("out/night/mate/actions/haul.png/x")).unwrap();
    let out = show.run("night cast.toml", 4);
    assert!(out.contains("picture mate/actions/haul"), "{out}");
    assert_eq!(show.summary("out/night")["counts"]["failed"], 1);
    assert!(
        show.history("out/night").is_empty(),
        "a night that is not whole is not yet one"
    );
    std::fs::remove_dir_all(show.path("out/night/mate/actions/haul.png")).unwrap();
    let out = show.run("night cast.toml", 0);
    assert!(out.contains("made 1,"), "{out}");
    assert_same(
        &show.made("whole"),
        &show.made("out/night"),
        "whole in the end",
    );
}
