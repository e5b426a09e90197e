//! What the demo cast makes, as digests: pixels of every pose and view at half scale, maps of owners, SVG
//! documents, one page of each kind of sheet, the text of a PDF, findings, a comparison. Nothing but this
//! program's own earlier work stands behind the list: it shows that pictures change on purpose only. After a
//! change that is meant, `tests/reference/digests.txt` becomes what the test left in `target/digests.txt`.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

const KNOWN: &str = include_str!("reference/digests.txt");

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Runs the program in a folder; exit codes say what was found, and are no failure here.
fn run(folder: &Path, args: &[&str]) {
    let done = Command::new(env!("CARGO_BIN_EXE_layfig"))
        .args(args)
        .current_dir(folder)
        .output()
        .expect("the program starts");
    let code = done.status.code().expect("it ends by itself");
    assert!(
        code <= 1,
        "{args:?}: exit {code}\n{}",
        String::from_utf8_lossy(&done.stderr)
    );
}

/// All files below a folder, in order.
fn files(folder: &Path) -> Vec<PathBuf> {
    let mut wait = vec![folder.to_path_buf()];
    let mut found = Vec::new();
    while let Some(next) = wait.pop() {
        for entry in fs::read_dir(&next).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                wait.push(path);
            } else {
                found.push(path);
            }
        }
    }
    found.sort();
    found
}

fn short(bytes: &[u8]) -> String {
    blake3::hash(bytes).to_hex()[..16].to_owned()
}

/// Of a picture its size and pixels, of anything else its bytes.
fn digest(path: &Path) -> String {
    let bytes = fs::read(path).expect("a file");
    if path.extension().is_none_or(|e| e != "png") {
        return short(&bytes);
    }
    let mut reader = png::Decoder::new(std::io::Cursor::new(bytes))
        .read_info()
        .expect("a picture");
    let mut pixels = vec![0; reader.output_buffer_size().expect("a size")];
    let info = reader.next_frame(&mut pixels).expect("pixels");
    let mut all = format!("{}x{} {:?} ", info.width, info.height, info.color_type).into_bytes();
    all.extend_from_slice(&pixels[..info.buffer_size()]);
    short(&all)
}

/// The digests of what is below a folder, by name.
fn all(
    what: &str,
    folder: &Path,
    take: impl Fn(&str) -> bool,
    into: &mut BTreeMap<String, String>,
) {
    for path in files(folder) {
        let name = path.strip_prefix(folder).expect("below it");
        let name = name.to_string_lossy().replace('\\', "/");
        if take(&name) {
            into.insert(format!("{what}/{name}"), digest(&path));
        }
    }
}

/// Leaves out which build made it.
fn without_engine(value: &mut serde_json::Value) {
    match value {
        serde_json::Value::Object(fields) => {
            fields.remove("engine");
            fields.values_mut().for_each(without_engine);
        }
        serde_json::Value::Array(all) => all.iter_mut().for_each(without_engine),
        _ => {}
    }
}

fn copy(from: &Path, to: &Path) {
    for path in files(from) {
        let target = to.join(path.strip_prefix(from).expect("below it"));
        fs::create_dir_all(target.parent().expect("a folder")).expect("a folder");
        fs::copy(&path, target).expect("a copy");
    }
}

#[test]
fn the_demo_cast_makes_what_it_made() {
    let dir = tempfile::tempdir().expect("a folder");
    let at = dir.path();
    copy(&root().join("rigs"), &at.join("rigs"));
    copy(&root().join("poses"), &at.join("poses"));
    let mut now = BTreeMap::new();

    let cast = ["rigs/cast.toml", "--view", "all", "-q", "--out"];
    let with = |first: &[&'static str], out: &'static str, rest: &[&'static str]| {
        let args = [first, &cast, &[out], rest].concat();
        run(at, &args);
    };
    with(&["render"], "pictures", &["--scale", "0.5", "--owners"]);
    all("picture", &at.join("pictures"), |_| true, &mut now);
    with(&["export"], "drawings", &[]);
    all("svg", &at.join("drawings"), |_| true, &mut now);
    with(&["check"], "checks", &[]);
    let findings = |name: &str| name.ends_with("findings.json");
    all("check", &at.join("checks"), findings, &mut now);

    let page = ["--page", "900x1200", "-q", "--out", "sheets"];
    let robot = [
        "sheet",
        "rigs/mooring_bot",
        "--view",
        "all",
        "--kind",
        "all",
        "--format",
        "both",
    ];
    run(at, &[&robot[..], &page].concat());
    run(
        at,
        &[&["sheet", "rigs/cast.toml", "--kind", "line-up"][..], &page].concat(),
    );
    // One page of each: those that go on have a number in their names.
    let first = |name: &str| {
        let stem = name.trim_end_matches(".png");
        name.ends_with(".png")
            && stem
                .rsplit('.')
                .next()
                .is_none_or(|n| n == "1" || n.parse::<u32>().is_err())
    };
    all("sheet", &at.join("sheets"), first, &mut now);
    let pdf = at.join("sheets/mooring_bot/sheets.pdf");
    for (what, tool, args) in [
        ("text", "pdftotext", ["-layout", "{}", "-"]),
        ("pages", "pdfinfo", ["-box", "{}", ""]),
    ] {
        let args = args.iter().filter(|a| !a.is_empty());
        let args: Vec<PathBuf> = args
            .map(|a| {
                if *a == "{}" {
                    pdf.clone()
                } else {
                    PathBuf::from(a)
                }
            })
            .collect();
        let said = Command::new(tool)
            .args(&args)
            .output()
            .expect("poppler-utils is installed");
        assert!(said.status.success(), "{tool}");
        now.insert(format!("pdf/mooring_bot/{what}"), short(&said.stdout));
    }

    run(at, &["approve", "rigs/ship_dog", "--all", "-q"]);
    let rig = at.join("rigs/ship_dog/rig.toml");
    let text = fs::read_to_string(&rig).expect("the rig");
    let edited = text.replacen("[730, 432]", "[728, 434]", 1);
    assert_ne!(text, edited, "the head's pivot is where it was");
    fs::write(&rig, edited).expect("the rig");
    run(at, &["compare", "rigs/ship_dog", "-q", "--out", "compared"]);
    let document = at.join("compared/ship_dog/compare/comparison.json");
    let text = fs::read_to_string(&document).expect("the comparison");
    let mut value = serde_json::from_str(&text).expect("JSON");
    without_engine(&mut value);
    now.insert(
        "comparison/ship_dog".to_owned(),
        short(value.to_string().as_bytes()),
    );

    let mut list = String::new();
    for (name, digest) in &now {
        let _ = writeln!(list, "{digest} {name}");
    }
    let left = root().join("target/digests.txt");
    fs::write(&left, &list).expect("a list");
    let known: BTreeMap<&str, &str> = KNOWN
        .lines()
        .filter_map(|line| line.split_once(' '))
        .map(|(digest, name)| (name, digest))
        .collect();
    let mut differ: Vec<String> = Vec::new();
    for (name, digest) in &now {
        match known.get(name.as_str()) {
            None => differ.push(format!("new: {name}")),
            Some(old) if old != digest => differ.push(format!("changed: {name}")),
            Some(_) => {}
        }
    }
    let gone = known.keys().filter(|name| !now.contains_key(**name));
    differ.extend(gone.map(|name| format!("gone: {name}")));
    assert!(
        differ.is_empty(),
        "{} of {} differ; if that is meant, say why and put {} in the place of tests/reference/digests.txt\n{}",
        differ.len(),
        now.len(),
        left.display(),
        differ.join("\n")
    );
}
