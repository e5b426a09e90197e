//! `layfig migrate`: rigs in the long spelling become short, mean the same, draw the same, and stay so.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use layfig::Files;
use layfig::art::Library;
use layfig::cast::load_member;
use layfig::diag::{Problems, Sources, short};
use layfig::migrate::{self, Migrated};

use crate::less::words;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

type Texts = BTreeMap<PathBuf, Vec<u8>>;

/// A demo member as `tests/full` has it, below `rigs`, and its poses.
fn long(name: &str) -> Texts {
    let mut all = Texts::new();
    for folder in ["rigs", "tests/full"] {
        for entry in std::fs::read_dir(root().join(folder).join(name)).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_file() {
                let own = Path::new("rigs")
                    .join(name)
                    .join(path.file_name().expect("a name"));
                all.insert(own, std::fs::read(&path).expect("a file"));
            }
        }
    }
    for entry in std::fs::read_dir(root().join("poses")).expect("poses") {
        let path = entry.expect("an entry").path();
        let own = Path::new("poses").join(path.file_name().expect("a name"));
        all.insert(own, std::fs::read(&path).expect("a file"));
    }
    all
}

/// What a member is, in Rust's own words.
fn meaning(files: &Texts, rig: &Path) -> String {
    let mut sources = Sources::of(Files::memory(files).expect("paths"));
    let (mut problems, mut library) = (Problems::default(), Library::new());
    let member = load_member(rig, &mut sources, &mut problems, &mut library);
    let told: Vec<String> = problems.list().iter().map(|p| short(p, &sources)).collect();
    assert_eq!(told, [""; 0]);
    words(&member.expect("a member"), &library)
}

fn migrated(files: &Texts, rig: &Path) -> Vec<Migrated> {
    let mut sources = Sources::of(Files::memory(files).expect("paths"));
    migrate::rig(rig, &mut sources).expect("it can be read")
}

fn put(files: &mut Texts, changed: &[Migrated]) {
    for file in changed {
        files.insert(file.path.clone(), file.new.clone().into_bytes());
    }
}

/// The comments of a text.
fn comments(text: &str) -> Vec<&str> {
    // No name or colour of these files has " #" in it.
    let lines = text.lines().filter_map(|line| match line.trim_start() {
        whole if whole.starts_with('#') => Some(whole.trim()),
        line => line.find(" #").map(|at| line[at..].trim()),
    });
    lines.collect()
}

#[test]
fn the_long_demo_rigs_mean_the_same_in_short_and_keep_their_comments() {
    let mut lines = [0, 0];
    for name in ["deckhand", "ship_dog", "mooring_bot"] {
        let mut files = long(name);
        let rig = Path::new("rigs").join(name);
        let before = meaning(&files, &rig);
        let changed = migrated(&files, &rig);
        assert!(!changed.is_empty());
        for file in &changed {
            assert_eq!(comments(&file.old), comments(&file.new), "{:?}", file.path);
            lines[0] += file.old.lines().count();
            lines[1] += file.new.lines().count();
        }
        put(&mut files, &changed);
        let after = meaning(&files, &rig);
        for (before, after) in before.lines().zip(after.lines()) {
            assert_eq!(before, after, "{name}");
        }
        assert!(before == after, "{name}");
        assert_eq!(migrated(&files, &rig), [], "{name}");
    }
    // Of nine files; the rigs of today also have views that are like others.
    assert!(lines[1] * 3 < lines[0], "{lines:?}");
}

/// A folder with these files.
fn folder(files: &Texts) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    for (path, bytes) in files {
        let path = folder.path().join(path);
        std::fs::create_dir_all(path.parent().expect("a folder")).expect("folders");
        std::fs::write(path, bytes).expect("a file");
    }
    folder
}

fn run(folder: &Path, line: &str) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_layfig"));
    let done = command.current_dir(folder).args(line.split(' ')).output();
    done.expect("it starts")
}

fn pictures(folder: &Path, out: &str) -> BTreeMap<PathBuf, Vec<u8>> {
    let done = run(
        folder,
        &format!("render rigs --view all --width 180 -q -o {out}"),
    );
    assert_eq!(
        done.status.code(),
        Some(0),
        "{}",
        String::from_utf8_lossy(&done.stderr)
    );
    let mut open = vec![folder.join(out)];
    let mut found = BTreeMap::new();
    while let Some(next) = open.pop() {
        for entry in std::fs::read_dir(&next).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                open.push(path);
            } else {
                let name = path
                    .strip_prefix(folder.join(out))
                    .expect("below")
                    .to_path_buf();
                found.insert(name, std::fs::read(&path).expect("a picture"));
            }
        }
    }
    found
}

#[test]
fn what_is_rewritten_is_told_first_and_draws_the_same_pictures() {
    let folder = folder(&long("ship_dog"));
    let folder = folder.path();
    let rig = folder.join("rigs/ship_dog/rig.toml");
    let old = std::fs::read_to_string(&rig).expect("a rig");
    let before = pictures(folder, "before");
    assert!(before.len() > 20);

    let told = run(folder, "migrate rigs");
    assert_eq!(told.status.code(), Some(1), "there is something to do");
    assert_eq!(std::fs::read_to_string(&rig).expect("a rig"), old);
    let told = String::from_utf8_lossy(&told.stdout).into_owned();
    for line in [
        "- [part.tail_base]",
        "+ tail_base = { parent = \"hips\", pivot = [312, 526], depth = -2, limits = [-100, 40] }",
        "+ drawing = \"side.svg\"",
        "1 file to rewrite; --write does it",
    ] {
        assert!(told.lines().any(|told| told == line), "{line}: {told}");
    }

    let done = run(folder, "migrate rigs/ship_dog --write");
    assert_eq!(done.status.code(), Some(0));
    assert_ne!(std::fs::read_to_string(&rig).expect("a rig"), old);
    assert!(before == pictures(folder, "after"));
    let done = run(folder, "migrate rigs --write");
    assert_eq!(done.status.code(), Some(0));
    let told = String::from_utf8_lossy(&done.stdout).into_owned();
    assert_eq!(told, "nothing to rewrite in 1 rig\n");

    std::fs::write(&rig, format!("{old}\n[part")).expect("a rig");
    let done = run(folder, "migrate rigs/ship_dog --write --messages short");
    assert_eq!(done.status.code(), Some(2));
    let told = String::from_utf8_lossy(&done.stderr).into_owned();
    assert!(
        told.contains("rig.toml: error: cannot be read as TOML"),
        "{told}"
    );
}

const ART: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">
<g id="torso"><path d="M1 1H9V9Z" fill="#ff0000"/></g><g id="arm"><path d="M1 1H9V9Z" fill="#ff0000"/></g>
<g id="root"><path d="M1 1H9V9Z" fill="#ff0000"/></g><g id="arm_a"><path d="M1 1H9V9Z" fill="#ff0000"/></g>
<g id="arm_b"><path d="M1 1H9V9Z" fill="#ff0000"/></g>
</svg>"##;

/// One rig as it was, and as it is.
#[track_caller]
fn becomes(old: &str, new: &str) {
    let files = |rig: &str| -> Texts {
        let all = [("m/rig.toml", rig), ("m/a.svg", ART)];
        all.map(|(path, text)| (path.into(), text.into())).into()
    };
    let rig = Path::new("m");
    let changed = migrated(&files(old), rig);
    let found = changed.first().map_or(old, |file| &file.new);
    assert_eq!(found, new);
    assert_eq!(meaning(&files(old), rig), meaning(&files(new), rig));
    assert_eq!(migrated(&files(new), rig), []);
}

#[test]
fn comments_order_and_what_is_not_old_stay() {
    becomes(
        r##"#:schema x
# The head of the file.

[character] # who
canvas  = [100,   100]
[palette.day]
red  = "#ff0000" # blood
blue = "#0000ff"

# evening
[palette.dusk]
red  = "#550000"
blue = "#0000FF"

# the whole
[part.root]  # root
# and here
pivot = [1, 2]
[part.torso]
art = "a.svg#torso"
parent = "root"
pivot = [ 3, 4 ] # where
depth = 0

[part.arm.replacements]
a = "a.svg#arm_a"   # first
b = "a.svg#arm_b"

[seam.s]
parts = ["torso", "arm"]
zone = "auto"

# last
[part.arm]
art = "a.svg#arm"
parent = "torso"
pivot.of = "torso"
[mask.arm]
part = "arm"
keep = "inside"
of = ["torso"]
# the end
"##,
        r##"#:schema x
# The head of the file.

drawing = "a.svg"

[character] # who
canvas  = [100,   100]
palette = "day"
[swatch]
red  = "#ff0000" # blood
blue = "#0000ff"

[palette.day]

# evening
[palette.dusk]
red  = "#550000"

[part]
# the whole
# root
# and here
root = { art = false, pivot = [1, 2] }
# where
torso = { parent = "root", pivot = [ 3, 4 ] }
# first
# last
arm = { replacements = "#arm_*", parent = "torso", pivot = { of = "torso" } }

[seam]
s = ["torso", "arm"]

[mask]
arm = { keep = "inside", of = "torso" }
# the end
"##,
    );
    // What is short already stays, byte by byte; a view like another may say what is usual against that one.
    for same in [
        "drawing = \"a.svg\"\n[character]\ncanvas=[100, 100]\n[swatch]\nred = \"#ff0000\"\n[part]\ntorso={}\narm = { parent = \"torso\", pivot = [1,2], depth = 0 }\n",
        "\u{feff}[character]\r\ncanvas=[100, 100]\r\n[part]\r\ntorso={ art = \"a.svg#arm\" }\n",
    ] {
        becomes(same, same);
    }
    becomes(
        "\u{feff}[character]\r\ncanvas=[100, 100]\r\n\r\n[part.torso]\r\nart = \"a.svg#arm\"\r\n",
        "\u{feff}[character]\r\ncanvas=[100, 100]\r\n\r\n[part]\r\ntorso = { art = \"a.svg#arm\" }\r\n",
    );
}

#[test]
fn a_view_like_another_keeps_what_it_says_against_it() {
    let rig =
        "[character]\ncanvas = [100, 100]\n[views]\nfront = \"front.toml\"\nback = \"back.toml\"\n";
    let front = "drawing = \"a.svg\"\n[part]\ntorso = {}\narm = { parent = \"torso\", pivot = [1, 2], depth = 3 }\n[seam]\ns = { parts = [\"torso\", \"arm\"], opens = \"child\" }\n";
    let back = "like = \"front.toml\"\n\n[part.arm]\ndepth = 0\n[seam.s]\nopens = \"both\"\n";
    let new = "like = \"front.toml\"\n\n[part]\narm = { depth = 0 }\n\n[seam]\ns = { opens = \"both\" }\n";
    let files = |back: &str| -> Texts {
        let all = [
            ("m/rig.toml", rig),
            ("m/front.toml", front),
            ("m/back.toml", back),
            ("m/a.svg", ART),
        ];
        all.map(|(path, text)| (path.into(), text.into())).into()
    };
    let changed = migrated(&files(back), Path::new("m"));
    let named: BTreeSet<_> = changed.iter().map(|file| file.path.clone()).collect();
    assert_eq!(named, [PathBuf::from("m/back.toml")].into());
    assert_eq!(changed[0].new, new);
    assert_eq!(
        meaning(&files(back), Path::new("m")),
        meaning(&files(new), Path::new("m"))
    );
}
