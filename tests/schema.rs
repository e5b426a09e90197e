//! The JSON Schemas of the files that people write, held to three independent validators of draft 7: check-jsonschema,
//! which tells places, and taplo and tombi, which editors use (all PyPI, `tests/support/setup.sh` installs them).

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::key_files::{ends, places, whole, with};
use layfig::cast::{FileKind, KeyPlace, Usual};
use serde_json::Value;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn validator() -> Command {
    let mut command = Command::new(root().join("target/tools/venv/bin/python"));
    command.args(["-m", "check_jsonschema"]);
    command
}

/// The schemas, as the command writes them.
fn schemas(folder: &Path) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_layfig"));
    let done = command.arg("schema").arg("--out").arg(folder).output();
    assert!(done.expect("the program starts").status.success());
}

/// Judges files that are given to it.
fn taplo(folder: &Path, kind: FileKind) -> Command {
    let schema = folder.join(format!("{}.schema.json", kind.name()));
    let mut command = Command::new(root().join("target/tools/venv/bin/taplo"));
    command.args(["lint", "--no-auto-config", "--colors", "never", "--schema"]);
    command.arg(format!("file://{}", schema.display()));
    command
}

/// The files of a kind in which taplo finds a mistake.
fn wrong_to_taplo(folder: &Path, kind: FileKind, files: &[PathBuf]) -> BTreeSet<PathBuf> {
    let mut wrong = BTreeSet::new();
    for files in files.chunks(200) {
        let mut command = taplo(folder, kind);
        command.args(files);
        let done = command.output().expect("taplo starts");
        let told = String::from_utf8_lossy(&done.stderr);
        let before = wrong.len();
        for line in told.lines().filter(|line| line.contains("invalid file")) {
            let (_, path) = line.split_once("path=\"").expect("a path");
            wrong.insert(PathBuf::from(path.trim_end_matches('"')));
        }
        assert_eq!(done.status.success(), wrong.len() == before, "{told}");
    }
    wrong
}

/// What is found in files of a kind: for each that is not as the schema says, places and messages.
fn found(folder: &Path, kind: FileKind, files: &[PathBuf]) -> BTreeMap<PathBuf, Vec<String>> {
    let mut all: BTreeMap<PathBuf, Vec<String>> = BTreeMap::new();
    for files in files.chunks(200) {
        let mut command = validator();
        command.arg("--schemafile");
        command.arg(folder.join(format!("{}.schema.json", kind.name())));
        command.args(["-o", "json"]).args(files);
        let done = command.output().expect("python starts");
        let text = String::from_utf8_lossy(&done.stdout);
        let answer: Value = serde_json::from_str(&text).unwrap_or_else(|why| {
            panic!("{why}: {text}{:?}", String::from_utf8_lossy(&done.stderr))
        });
        let unread = answer["parse_errors"].as_array();
        assert!(unread.is_none_or(Vec::is_empty), "{unread:?}");
        assert_eq!(done.status.success(), answer["status"] == "ok");
        for error in answer["errors"].as_array().expect("errors") {
            let told = |key: &str| error[key].as_str().expect("words").to_owned();
            let line = format!("{} {}", told("path"), told("message"));
            all.entry(told("filename").into()).or_default().push(line);
        }
    }
    all
}

/// Writes texts into files, and finds what is wrong in each.
fn judged(kind: FileKind, texts: &[String]) -> Vec<Vec<String>> {
    let folder = tempfile::tempdir().expect("a folder");
    schemas(folder.path());
    let file = |(at, text): (usize, &String)| {
        let path = folder.path().join(format!("{at}.toml"));
        fs::write(&path, text).expect("a file");
        path
    };
    let files: Vec<PathBuf> = texts.iter().enumerate().map(file).collect();
    let mut found = found(folder.path(), kind, &files);
    let wrong = wrong_to_taplo(folder.path(), kind, &files);
    for (path, text) in files.iter().zip(texts) {
        let mut same = found.contains_key(path) == wrong.contains(path);
        if !same {
            // Of many files the end of what it says may be lost; of one its exit code tells.
            let mut command = taplo(folder.path(), kind);
            let done = command.arg(path).output().expect("taplo starts");
            same = found.contains_key(path) != done.status.success();
        }
        assert!(same, "{kind:?}: taplo differs of {text:?}");
    }
    files
        .iter()
        .map(|path| found.remove(path).unwrap_or_default())
        .collect()
}

fn text(place: &KeyPlace, value: &str) -> String {
    let (text, views) = with(place, value, false);
    whole(place.file, views, &text)
}

#[test]
fn they_are_schemas_of_draft_7() {
    let folder = tempfile::tempdir().expect("a folder");
    schemas(folder.path());
    let mut command = validator();
    command.arg("--check-metaschema");
    for kind in FileKind::ALL {
        let path = folder.path().join(format!("{}.schema.json", kind.name()));
        let text = fs::read_to_string(&path).expect("a schema");
        let schema: Value = serde_json::from_str(&text).expect("JSON");
        assert_eq!(schema, kind.schema());
        assert!(text.contains("http://json-schema.org/draft-07/schema#"));
        command.arg(path);
    }
    let done = command.output().expect("python starts");
    assert!(
        done.status.success(),
        "{}",
        String::from_utf8_lossy(&done.stdout)
    );
}

/// The files of a kind that tombi says anything of. It is told the schema by the files' first lines.
fn told_by_tombi(files: &[PathBuf]) -> BTreeSet<PathBuf> {
    let mut command = Command::new(root().join("target/tools/venv/bin/tombi"));
    command.args(["lint", "--offline", "--quiet", "--no-cache"]);
    command.args(["--diagnostics-format", "json-lines"]);
    command.args(["--diagnostics-file", "/dev/stdout"]);
    let done = command.args(files).current_dir("/").output();
    let done = done.expect("tombi starts");
    let told = String::from_utf8_lossy(&done.stdout);
    let lines = told.lines().map(|line| {
        let line: Value = serde_json::from_str(line).unwrap_or_else(|why| panic!("{why}: {told}"));
        let path = line["path"].as_str().expect("a path");
        Path::new("/").join(path)
    });
    let wrong: BTreeSet<PathBuf> = lines.collect();
    assert!(
        done.status.success() || !wrong.is_empty(),
        "{}",
        String::from_utf8_lossy(&done.stderr)
    );
    wrong
}

/// Every file of the demo cast, with its kind.
fn demo_files() -> Vec<(FileKind, PathBuf)> {
    let mut all = vec![(FileKind::Cast, root().join("rigs/cast.toml"))];
    for entry in fs::read_dir(root().join("poses")).expect("poses") {
        all.push((FileKind::Poses, entry.expect("a list").path()));
    }
    for member in fs::read_dir(root().join("rigs")).expect("rigs") {
        let member = member.expect("a member").path();
        for entry in fs::read_dir(&member).into_iter().flatten() {
            let path = entry.expect("a file").path();
            if path.ends_with("rig.toml") {
                all.push((FileKind::Rig, path));
            } else if path.extension().is_some_and(|end| end == "toml") {
                all.push((FileKind::View, path));
            }
        }
    }
    all
}

#[test]
fn the_demo_cast_is_as_they_say() {
    let folder = tempfile::tempdir().expect("a folder");
    schemas(folder.path());
    let all = demo_files();
    for (kind, count) in FileKind::ALL.into_iter().zip([3, 7, 4, 1]) {
        let files = all.iter().filter(|(known, _)| *known == kind);
        let files: Vec<PathBuf> = files.map(|(_, path)| path.clone()).collect();
        assert_eq!(files.len(), count, "{kind:?}");
        let found = found(folder.path(), kind, &files);
        assert!(found.is_empty(), "{found:#?}");
        let wrong = wrong_to_taplo(folder.path(), kind, &files);
        assert!(wrong.is_empty(), "{wrong:?}");
        let told = told_by_tombi(&files);
        assert!(told.is_empty(), "{told:?}");
    }
}

/// What an editor does of a fresh checkout: it follows the first line of a file to the schema beside it.
#[test]
fn the_demo_files_name_schemas_that_are_there() {
    for kind in FileKind::ALL {
        let path = root().join(format!("rigs/schemas/{}.schema.json", kind.name()));
        let text = fs::read_to_string(&path).expect("a schema");
        let same = text == format!("{:#}\n", kind.schema());
        assert!(
            same,
            "layfig schema -o rigs/schemas writes {} anew",
            path.display()
        );
    }
    let folder = tempfile::tempdir().expect("a folder");
    let copy = folder.path().join("rigs/schemas");
    fs::create_dir_all(&copy).expect("a folder");
    for kind in FileKind::ALL {
        let name = format!("{}.schema.json", kind.name());
        fs::copy(root().join("rigs/schemas").join(&name), copy.join(&name)).expect("a copy");
    }
    let mut broken = Vec::new();
    for (kind, path) in demo_files() {
        let text = fs::read_to_string(&path).expect("a file");
        let first = text.lines().next().expect("a line");
        let named = first.strip_prefix("#:schema ").expect("a schema");
        let there = path.parent().expect("a folder").join(named);
        let want = root().join(format!("rigs/schemas/{}.schema.json", kind.name()));
        assert_eq!(
            there.canonicalize().ok(),
            want.canonicalize().ok(),
            "{path:?}"
        );
        // Without being told the schema otherwise, both find a key that is none.
        let below = path.strip_prefix(root()).expect("in here");
        let wrong = folder.path().join(below);
        fs::create_dir_all(wrong.parent().expect("a folder")).expect("folders");
        let at = first.len() + 1;
        fs::write(&wrong, format!("{}zzzz = 1\n{}", &text[..at], &text[at..])).expect("a file");
        broken.push(wrong);
    }
    assert_eq!(told_by_tombi(&broken), broken.iter().cloned().collect());
    for path in &broken {
        let mut command = Command::new(root().join("target/tools/venv/bin/taplo"));
        command.args(["lint", "--no-auto-config"]).arg(path);
        let done = command.output().expect("taplo starts");
        assert!(!done.status.success(), "{path:?}");
    }
}

#[test]
fn they_take_what_the_parser_takes() {
    let mut number = 0;
    for kind in FileKind::ALL {
        let mut texts = Vec::new();
        for place in places().filter(|place| place.file == kind) {
            texts.push(text(&place, place.key.example));
            let words = place.key.kind.words().iter();
            texts.extend(words.map(|word| text(&place, &format!("\"{word}\""))));
            texts.extend(
                ends(&place.key.kind)
                    .1
                    .iter()
                    .map(|value| text(&place, value)),
            );
            if let Some(value) = place.key.usual.value() {
                texts.push(text(&place, &value.to_string()));
            }
        }
        for (found, text) in judged(kind, &texts).into_iter().zip(&texts) {
            assert_eq!(found, [""; 0], "{text}");
            number += 1;
        }
    }
    assert!(number > 400, "{number}");
}

#[test]
fn they_refuse_what_is_out_of_bounds_strange_or_missing() {
    let mut number = 0;
    for kind in FileKind::ALL {
        let mut texts = Vec::new();
        for place in places().filter(|place| place.file == kind) {
            texts.extend(
                ends(&place.key.kind)
                    .0
                    .iter()
                    .map(|value| text(&place, value)),
            );
            // Nothing that people write is a list of lists of truths.
            texts.push(text(&place, "[[true]]"));
            let strange = text(&place, place.key.example);
            if !place.key.is_chosen() {
                texts.push(strange.replace("# here", "\nzzzzzz = 1 #"));
            }
            if place.key.usual == Usual::Must {
                let (text, views) = with(&place, place.key.example, true);
                texts.push(whole(kind, views, &text));
            }
        }
        for (found, text) in judged(kind, &texts).into_iter().zip(&texts) {
            assert_ne!(found, [""; 0], "{text}");
            number += 1;
        }
    }
    assert!(number > 500, "{number}");
}

const RIG: &str = r##"[character]
name = "Odda"
canvas = [900, 1200]
grow = true
ground = 1130
crown = 110
heads = 5.5
height = "158 cm"
poses = ["a.toml"]
[palette.day]
skin = "#d99c78"
[part.torso]
art = "a.svg#torso"
[part.arm]
art = "a.svg#arm"
parent = "torso"
pivot = [1, 2]
depth = 2
limits = { joint = "elbow", rest = 15 }
place = { turn = 4, scale = [1, 2] }
replacements = { fist = "a.svg#fist" }
[seam.elbow]
parts = ["torso", "arm"]
zone = 12
opens = "both"
[mask.iris]
part = "torso"
keep = "inside"
of = ["arm"]
[garment.cuff]
part = "arm"
on = ["torso"]
trim = "skin"
[landmarks]
eyes = { part = "torso", at = "middle" }
[crop.head]
part = "torso"
area = [[1, 2], [3, 4]]
[measure.arm]
along = ["torso", [1, 2]]
[check]
jut = [5, 10]
[check.part.arm]
gap = "off"
[lint]
stray = 15
[[lint.allow]]
check = "stray"
reason = "meant"
[compare]
pixels = 3
"##;

/// What is changed in it, into what, and where that is told.
#[rustfmt::skip]
const OF_RIG: &[(&str, &str, &str)] = &[
    ("name = \"Odda\"", "name = 5", "$.character.name"),
    ("name = \"Odda\"", "name = \" \"", "$.character.name"),
    ("name = \"Odda\"", "nane = \"Odda\"", "$.character"),
    ("canvas = [900, 1200]", "", "$.character"),
    ("canvas = [900, 1200]", "canvas = [900]", "$.character.canvas"),
    ("canvas = [900, 1200]", "canvas = [0, 1200]", "$.character.canvas"),
    ("canvas = [900, 1200]", "canvas = \"large\"", "$.character.canvas"),
    ("grow = true", "grow = 12", "$.character.grow"),
    ("heads = 5.5", "heads = 0", "$.character.heads"),
    ("crown = 110", "", "$.character"),
    ("158 cm", "158 feet", "$.character.height"),
    ("a.toml", "/a.toml", "$.character.poses"),
    ("[palette.day]", "[palete.day]", "$ "),
    ("#d99c78", "d99c78", "$.palette.day.skin"),
    ("art = \"a.svg#torso\"", "art = \"a.svg\"", "$.part.torso.art"),
    ("art = \"a.svg#arm\"", "art = 5", "$.part.arm.art"),
    ("[part.torso]", "[part.\"to rso\"]", "$.part"),
    ("pivot = [1, 2]", "pivot = {}", "$.part.arm.pivot"),
    ("pivot = [1, 2]", "pivot = 12", "$.part.arm.pivot"),
    ("pivot = [1, 2]", "pivot = [1, 2e6]", "$.part.arm.pivot"),
    ("depth = 2", "depth = \"low\"", "$.part.arm.depth"),
    ("joint = \"elbow\"", "joint = \"elbo\"", "$.part.arm.limits"),
    ("joint = \"elbow\", ", "", "$.part.arm.limits"),
    ("scale = [1, 2]", "scale = 0", "$.part.arm.place.scale"),
    ("turn = 4", "trun = 4", "$.part.arm.place"),
    ("a.svg#fist", "fist", "$.part.arm.replacements"),
    ("parts = [\"torso\", \"arm\"]", "parts = [\"torso\"]", "$.seam.elbow"),
    ("zone = 12", "zone = -12", "$.seam.elbow"),
    ("opens = \"both\"", "opens = \"all\"", "$.seam.elbow"),
    ("keep = \"inside\"", "", "$.mask.iris"),
    ("of = [\"arm\"]", "of = []", "$.mask.iris"),
    ("trim = \"skin\"", "trim = \"#12\"", "$.garment.cuff"),
    ("at = \"middle\"", "at = \"centre\"", "$.landmarks.eyes"),
    ("area = [[1, 2], [3, 4]]", "area = [[1, 2]]", "$.crop.head.area"),
    ("along = [\"torso\", [1, 2]]", "along = [\"torso\"]", "$.measure.arm.along"),
    ("jut = [5, 10]", "jut = 5", "$.check.jut"),
    ("gap = \"off\"", "gap = \"on\"", "$.check.part.arm.gap"),
    ("stray = 15", "stray = 120", "$.lint.stray"),
    ("reason = \"meant\"", "", "$.lint.allow[0]"),
    ("check = \"stray\"", "check = \"strays\"", "$.lint.allow[0].check"),
    ("pixels = 3", "pixels = 2.5", "$.compare.pixels"),
    ("[lint]", "[views]\nfront = \"front.toml\"\n[lint]", "$ "),
];

const LIST: &str = r#"[pose.rest]
[pose.haul]
from = "rest"
turn = { arm = -70 }
scale = { arm = [1, 2] }
mirror = false
compare = { pixels = 20 }
[sweep.elbow]
turn = "arm"
step = 15
[stress.limbs]
count = 4
[sheet.acting]
kind = "pose"
poses = ["rest", "ha*"]
columns = 4
page = "a3"
date = 2031-05-02
"#;

#[rustfmt::skip]
const OF_LIST: &[(&str, &str, &str)] = &[
    ("from = \"rest\"", "from = 3", "$.pose.haul.from"),
    ("turn = { arm = -70 }", "turn = { arm = \"-70\" }", "$.pose.haul.turn.arm"),
    ("turn = { arm = -70 }", "trun = { arm = -70 }", "$.pose.haul"),
    ("scale = { arm = [1, 2] }", "scale = { arm = [1, 0] }", "$.pose.haul.scale.arm"),
    ("mirror = false", "mirror = \"no\"", "$.pose.haul.mirror"),
    ("{ pixels = 20 }", "{ pixels = 20, scale = 1 }", "$.pose.haul.compare"),
    ("turn = \"arm\"", "", "$.sweep.elbow"),
    ("step = 15", "step = 0", "$.sweep.elbow.step"),
    ("count = 4", "count = 10001", "$.stress.limbs.count"),
    ("count = 4", "", "$.stress.limbs"),
    ("kind = \"pose\"", "kind = \"line-up\"", "$.sheet.acting.kind"),
    ("kind = \"pose\"", "kind = \"model\"", "$.sheet.acting"),
    ("kind = \"pose\"", "crop = \"head\"\ncanvas = true", "$.sheet.acting"),
    ("columns = 4", "columns = 0", "$.sheet.acting.columns"),
    ("page = \"a3\"", "page = \"a5\"", "$.sheet.acting.page"),
    ("date = 2031-05-02", "date = \"\"", "$.sheet.acting.date"),
];

#[test]
fn single_faults_are_told_at_their_places() {
    assert!(OF_RIG.len() + OF_LIST.len() >= 40);
    for (kind, good, faults) in [
        (FileKind::Rig, RIG, OF_RIG),
        (FileKind::Poses, LIST, OF_LIST),
    ] {
        let mut texts = vec![good.to_owned()];
        for (from, to, _) in faults {
            assert_eq!(good.matches(from).count(), 1, "{from}");
            texts.push(good.replace(from, to));
        }
        let found = judged(kind, &texts);
        assert_eq!(found[0], [""; 0]);
        let folder = tempfile::tempdir().expect("a folder");
        schemas(folder.path());
        let file = |(at, text): (usize, &String)| {
            let path = folder.path().join(format!("{at}.toml"));
            let text = format!("#:schema {}.schema.json\n{text}", kind.name());
            fs::write(&path, text).expect("a file");
            path
        };
        let files: Vec<PathBuf> = texts.iter().enumerate().map(file).collect();
        assert_eq!(told_by_tombi(&files), files[1..].iter().cloned().collect());
        for ((from, to, place), told) in faults.iter().zip(&found[1..]) {
            let there = told.iter().any(|line| line.starts_with(place));
            assert!(there, "{from} -> {to}: {told:?}, not at {place}");
        }
    }
}
