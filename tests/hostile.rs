//! Input that is meant to hurt: it ends in problems, never in a panic, a hang or a full memory.

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

use layfig::art::Library;
use layfig::cast::{Member, PoseList, load_cast, load_member, load_poses};
use layfig::diag::{Problems, Sources, human, json, short};
use proptest::prelude::*;

const HEAD: &str = "character.canvas = [100, 200]\n";

struct Run {
    folder: tempfile::TempDir,
    sources: Sources,
    problems: Problems,
}

impl Run {
    fn new() -> Self {
        Self {
            folder: tempfile::tempdir().expect("a folder"),
            sources: Sources::default(),
            problems: Problems::default(),
        }
    }

    fn write(&self, path: &str, bytes: impl AsRef<[u8]>) -> PathBuf {
        let path = self.folder.path().join(path);
        fs::create_dir_all(path.parent().expect("a folder")).expect("a folder");
        fs::write(&path, bytes).expect("a file");
        path
    }

    fn member_at(&mut self, path: &Path) -> Option<Member> {
        load_member(
            path,
            &mut self.sources,
            &mut self.problems,
            &mut Library::new(),
        )
    }

    fn member(&mut self, text: impl AsRef<[u8]>) -> Option<Member> {
        let path = self.write("m/rig.toml", text);
        self.member_at(&path)
    }

    fn poses(&mut self, member: &Member, text: impl AsRef<[u8]>) -> Option<PoseList> {
        let path = self.write("poses.toml", text);
        load_poses(&path, member, &mut self.sources, &mut self.problems)
    }

    fn lines(&self) -> Vec<String> {
        let start = format!("{}/", self.folder.path().display());
        let list = self.problems.list().iter();
        list.map(|problem| short(problem, &self.sources).replace(&start, ""))
            .collect()
    }

    /// Renders every problem in every way.
    fn render(&self) {
        for problem in self.problems.list() {
            let line = short(problem, &self.sources);
            assert!(!line.contains('\n'), "{line:?}");
            let _ = human(problem, &self.sources, layfig::diag::Look::default());
            let object = json(problem, &self.sources);
            let value: serde_json::Value = serde_json::from_str(&object).expect("JSON");
            assert!(value.is_object() && !object.contains('\n'));
        }
    }
}

/// A member of joints only, so that no drawing is needed.
fn jointed() -> (Run, Member) {
    let mut run = Run::new();
    let rig = format!(
        "{HEAD}[palette.day]\nskin = \"#fff\"\n[part.torso]\n[part.arm]\nparent = \"torso\"\npivot = [1, 2]\nlimits = [-90, 90]\n\
         [part.hand]\nparent = \"arm\"\npivot = [3, 4]\n"
    );
    let member = run.member(rig).expect("a member");
    (run, member)
}

#[test]
fn a_file_that_is_too_large_is_not_read() {
    let mut run = Run::new();
    let text = " ".repeat((16 << 20) + 1);
    assert!(run.member(text).is_none());
    assert_eq!(
        run.lines(),
        ["m/rig.toml: error: cannot read this file: it is larger than 16 MiB"]
    );
}

#[test]
fn a_file_that_is_not_text_says_where() {
    let mut run = Run::new();
    assert!(run.member(b"# a\nname = \"\xe9\"\n").is_none());
    assert_eq!(
        run.lines(),
        [
            "m/rig.toml: error: this file is not UTF-8 text: byte 12 (0xe9, in line 2) (hint: save it as UTF-8)"
        ]
    );
}

#[test]
fn what_is_no_file_is_named() {
    let mut run = Run::new();
    fs::create_dir_all(run.folder.path().join("m/rig.toml")).expect("a folder");
    let folder = run.folder.path().join("m");
    assert!(run.member_at(&folder).is_none());
    assert!(
        run.member_at(&run.folder.path().join("gone.toml").clone())
            .is_none()
    );
    assert_eq!(
        run.lines(),
        [
            "m/rig.toml: error: cannot read this file: it is a folder",
            "gone.toml: error: cannot read this file: no such file",
        ]
    );
}

#[cfg(unix)]
#[test]
fn a_device_is_not_read() {
    let mut run = Run::new();
    assert!(run.member_at(Path::new("/dev/zero")).is_none());
    assert_eq!(
        run.lines(),
        ["/dev/zero: error: cannot read this file: it is not a regular file"]
    );
}

#[test]
fn lists_and_tables_may_nest_as_deep_as_they_like() {
    for (open, close) in [("[", "]"), ("{ a = ", "}")] {
        for depth in [70, 90, 100_000] {
            let mut run = Run::new();
            let text = format!("{HEAD}x = {}1{}\n", open.repeat(depth), close.repeat(depth));
            assert!(run.member(text).is_none());
            let mut run = Run::new();
            assert!(
                run.member(format!("{HEAD}x = {}\n", open.repeat(depth)))
                    .is_none()
            );
            run.render();
        }
    }
}

#[test]
fn tables_within_tables_by_dotted_keys_are_put_away_without_trouble() {
    let key = ["a"; 79].join(".");
    let mut text = format!("[{key}]\n{key} = ");
    for _ in 0..79 {
        let _ = write!(text, "{{ {key} = ");
    }
    text += "1";
    text += &"}".repeat(79);
    let mut run = Run::new();
    assert!(run.member(&text).is_none());
    assert!(run.member(format!("{text}\n{text}\n")).is_none());
}

#[test]
fn a_chain_of_parts_may_be_long() {
    // More than 65,535 parts, the numbers that an owner map has, are refused.
    let mut text = format!("{HEAD}part.p0.pivot = [0, 0]\n");
    let mut looped = text.clone();
    for n in 1..60_000 {
        let parent = n - 1;
        let line = format!("part.p{n} = {{ parent = \"p{parent}\", pivot = [0, 0] }}\n");
        text += &line;
        looped += &line;
    }
    looped += "part.p0.parent = \"p59999\"\n";
    let mut run = Run::new();
    let member = run.member(text).expect("a member");
    assert_eq!(member.names.len(), 60_000);
    let list = "[pose.a]\nbehind = { p59999 = \"p0\" }\n[pose.b]\nbehind = { p0 = \"p59999\" }\n";
    let list = run.poses(&member, list).expect("a list");
    assert_eq!((list.poses.len(), list.left_out.len()), (1, 1));
    assert_eq!(
        run.lines(),
        [
            "poses.toml:4:17: error: \"p0\" cannot be behind \"p59999\", which it carries \
             (hint: what it carries goes with it; name another part, or use \"depth\")"
        ]
    );
    let mut run = Run::new();
    assert!(run.member(looped).is_none());
    assert!(
        run.lines()[0].contains("form a loop: p0 -> p59999 -> "),
        "{:?}",
        run.lines()
    );
    assert!(
        run.lines()[0].contains("... 59992 more ..."),
        "{:?}",
        run.lines()
    );
}

#[test]
fn a_chain_of_poses_may_be_long() {
    let (mut run, member) = jointed();
    let mut text = String::from("pose.p0.turn = { arm = 5 }\n");
    for n in 1..100_000 {
        let _ = writeln!(text, "pose.p{n}.from = \"p{}\"", n - 1);
    }
    let list = run.poses(&member, &text).expect("a list");
    assert_eq!(list.poses.len(), 100_000);
    assert!(list.poses.iter().all(|pose| pose.turn[0].value == 5.0));
}

#[test]
fn inheritance_does_not_fill_the_memory() {
    let mut run = Run::new();
    let mut rig = HEAD.to_owned();
    let mut first = String::new();
    for n in 0..2000 {
        let _ = writeln!(rig, "part.p{n} = {{ pivot = [0, 0] }}");
        let _ = write!(first, "p{n} = 1, ");
    }
    let member = run.member(rig).expect("a member");
    let mut text = format!("pose.a.turn = {{ {} }}\n", first.trim_end_matches(", "));
    for n in 0..50_000 {
        let _ = writeln!(text, "pose.b{n}.from = \"a\"");
    }
    let list = run.poses(&member, text).expect("a list");
    assert!((500..1000).contains(&list.poses.len()));
    assert_eq!(list.poses.len() + list.left_out.len(), 50_001);
    let lines = run.lines();
    assert_eq!(lines.len(), 1, "{lines:?}");
    assert!(
        lines[0].contains("this list makes too many poses and settings"),
        "{lines:?}"
    );
}

#[test]
fn sweeps_do_not_fill_the_memory() {
    let (mut run, member) = jointed();
    let mut text = String::new();
    for n in 0..1000 {
        let _ = writeln!(
            text,
            "sweep.s{n} = {{ turn = [\"arm\", \"hand\"], over = [0, 99], step = 1 }}"
        );
    }
    let list = run.poses(&member, text).expect("a list");
    assert!((10..30).contains(&list.sweeps.len()));
    assert_eq!(list.sweeps.len() + list.left_out.len(), 1000);
    let errors: Vec<String> = run
        .lines()
        .into_iter()
        .filter(|line| line.contains("error"))
        .collect();
    assert_eq!(errors.len(), 1, "{errors:?}");
    assert!(
        errors[0].contains("too many poses and settings"),
        "{errors:?}"
    );

    let text = "[sweep.a]\nturn = [\"arm\", \"hand\"]\nover = [-36000, 36000]\nstep = 0.001\n";
    assert!(run.poses(&member, text).is_none());
    let text = "[sweep.a]\nturn = \"arm\"\nover = [-90, 90]\nstep = 0.0000001\n";
    assert!(run.poses(&member, text).is_none());
}

#[test]
fn problems_without_number_are_counted() {
    let mut run = Run::new();
    let mut text = HEAD.to_owned();
    for n in 0..100_000 {
        let _ = writeln!(text, "unknown_{n} = {{ parent = 1 }}");
    }
    assert!(run.member(text).is_none());
    let lines = run.lines();
    assert_eq!(lines.len(), 1001);
    assert_eq!(
        lines[1000],
        "m/rig.toml:1:1: error: 99001 more problems in this file are not shown"
    );
}

#[test]
fn a_million_unknown_parts_are_no_hang() {
    let (mut run, member) = jointed();
    let mut text = String::from("pose.a.turn = {");
    for n in 0..300_000 {
        let _ = write!(text, " aarm{n} = 1,");
    }
    text += " }\n";
    assert!(run.poses(&member, text).is_none());
    assert_eq!(run.problems.list().len(), 1001);
}

#[test]
fn mistakes_without_number_in_one_line_are_no_hang() {
    let mut run = Run::new();
    assert!(
        run.member(format!("a = {{ {} }}\n", "b = 1, ".repeat(300_000)))
            .is_none()
    );
    assert!(
        run.member(format!("a = [{}\n", "= ".repeat(300_000)))
            .is_none()
    );
    assert!(run.member("a = [\n".repeat(100_000)).is_none());
    assert!(run.member("[a]\n".repeat(15_000)).is_none());
    assert!(
        run.member("= \" ' [ ] { } , # \n".repeat(100_000))
            .is_none()
    );
    assert!(
        run.member("\"\"\"\\q\"\"\" = 1\n".repeat(100_000))
            .is_none()
    );
    run.render();
}

#[test]
fn more_tables_than_anyone_writes_are_refused() {
    let mut run = Run::new();
    let mut text = HEAD.to_owned();
    for n in 0..30_000 {
        let _ = writeln!(text, "[part.p{n}.place]");
    }
    assert!(run.member(text).is_none());
    assert_eq!(
        run.lines(),
        ["m/rig.toml:20002:1: error: more than 20000 tables in one file"]
    );
}

#[test]
fn masks_without_number_are_followed_once() {
    let mut run = Run::new();
    let mut text = HEAD.to_owned();
    let svg = "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 9 9\"><path id=\"a\" d=\"M1 1H9V9Z\" fill=\"#777\"/></svg>";
    run.write("m/a.svg", svg);
    let count = 300;
    for n in 0..count {
        let _ = writeln!(text, "part.p{n}.art = \"a.svg#a\"");
    }
    for n in 0..count {
        let all: Vec<String> = (0..count)
            .filter(|m| *m != n)
            .map(|m| format!("\"p{m}\""))
            .collect();
        let _ = writeln!(
            text,
            "mask.m{n} = {{ part = \"p{n}\", keep = \"inside\", of = [{}] }}",
            all.join(",")
        );
    }
    assert!(run.member(text).is_none());
    assert_eq!(run.problems.list().len(), 1001);
}

/// A rig, a pose list and a cast file in which every key occurs.
const RIG: &str = r##"[character]
name = "Deckhand"
canvas = [100, 200]
ground = 180
crown = 20
heads = 6.5
poses = ["poses.toml"]
[palette.day]
skin = "#d99c78"
[palette.dusk]
skin = "#864"
[part.torso]
[part.arm]
art = "a.svg#arm"
parent = "torso"
pivot = [30, 40]
depth = 2
limits = [-60, 170]
place = { move = [120, -40], turn = 0, scale = 1, skew = [0, 1.5] }
replacements = { fist = "a.svg#fist" }
[part.cuff]
art = "a.svg#cuff"
[seam.elbow]
parts = ["arm", "torso"]
zone = "auto"
opens = "both"
patch = "a.svg#patch"
[mask.iris]
part = "arm"
keep = "inside"
of = ["torso"]
[garment.cuff]
part = "cuff"
on = ["arm"]
trim = "skin"
[views]
front = "front.toml"
"##;
const LIST: &str = r#"[pose.rest]
[pose.haul]
from = "rest"
note = "weight on the back foot"
turn = { arm = -70, torso = 1e1 }
move = { torso = [0, 14] }
scale = { arm = [1.0, 0.96], torso = 2 }
skew = { arm = [1, 2] }
behind = { arm = "torso" }
in_front = { hand = "torso" }
depth = { arm = -0.5 }
replace = { hand = "none" }
palette = "day"
mirror = false
[sweep.elbow]
from = "haul"
turn = ["arm", "hand"]
over = [[-10, 45], [0, 10]]
step = [15, 5]
"#;
const CAST: &str = "[cast]\nname = \"The Wenderquay Crossing\"\n[member.deckhand]\nrig = \"m\"\n";

/// A text with some of its pieces left out, doubled, swapped or replaced.
fn mutated(text: &'static str) -> impl Strategy<Value = String> {
    let token = prop_oneof![
        Just("["),
        Just("]"),
        Just("{"),
        Just("}"),
        Just("\""),
        Just("'"),
        Just("\"\"\""),
        Just("="),
        Just(","),
        Just("."),
        Just("#"),
        Just("\n"),
        Just("\r"),
        Just("-"),
        Just("1e999"),
        Just("nan"),
        Just("\\u0000"),
        Just("\u{0}"),
        Just("手"),
        Just("\u{feff}"),
        Just("[[part]]"),
        Just("none"),
        Just("torso"),
        Just("99999999999999999999"),
        Just(".."),
        Just("true"),
        Just("1979-05-27"),
    ];
    let change = (0_usize..3, any::<prop::sample::Index>(), 0_usize..24, token);
    prop::collection::vec(change, 1..8).prop_map(move |changes| {
        let mut text: Vec<char> = text.chars().collect();
        for (kind, at, length, token) in changes {
            let start = at.index(text.len() + 1);
            let end = (start + length).min(text.len());
            match kind {
                0 => drop(text.splice(start..end, token.chars())),
                1 => drop(text.splice(start..start, token.chars())),
                _ => {
                    let piece: Vec<char> = text[start..end].to_vec();
                    text.splice(start..start, piece);
                }
            }
        }
        text.into_iter().collect()
    })
}

fn read_all(rig: &[u8], view: &[u8], list: &[u8], cast: &[u8]) {
    let mut run = Run::new();
    run.write("m/front.toml", view);
    let member = run.member(rig);
    assert_eq!(member.is_some(), run.problems.is_ok());
    let (mut other, known) = jointed();
    let read = other.poses(&known, list);
    assert!(read.is_some() || !other.problems.is_ok());
    assert!(read.is_none_or(|list| list.left_out.is_empty()) || !other.problems.is_ok());
    let path = run.write("cast.toml", cast);
    load_cast(&path, &mut run.sources, &mut run.problems);
    run.render();
    other.render();
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn mutations_never_panic(rig in mutated(RIG), view in mutated(RIG), list in mutated(LIST), cast in mutated(CAST)) {
        read_all(rig.as_bytes(), view.as_bytes(), list.as_bytes(), cast.as_bytes());
    }

    #[test]
    fn bytes_never_panic(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        read_all(&bytes, &bytes, &bytes, &bytes);
    }

    #[test]
    fn text_never_panics(text in "[\\[\\]{}=\"'.,#\\na-c0-9 \u{e9}-]{0,200}") {
        read_all(text.as_bytes(), text.as_bytes(), text.as_bytes(), text.as_bytes());
    }
}
