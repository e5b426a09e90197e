//! A small show in a folder of its own.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use serde_json::Value;
use tempfile::TempDir;

pub const SVG: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 120">
  <g id="torso"><path fill="#c2512f" stroke="#1e2436" stroke-width="3" d="M35 40h30v45h-30z"/></g>
  <g id="arm"><path fill="#2f8f8b" stroke="#1e2436" stroke-width="3" d="M58 42h12v34h-12z"/></g>
  <g id="flag"><path fill="#c2512f" d="M60 70h12v8h-12z"/></g>
  <g id="lamp"><path fill="#2f8f8b" d="M60 70h9v15h-9z"/></g>
</svg>
"##;

const PARTS: &str = r#"
[part.torso]
art = "front.svg#torso"

[part.arm]
art    = "front.svg#arm"
parent = "torso"
pivot  = [64, 46]
limits = [-90, 90]

[part.hand]
art          = "front.svg#flag"
parent       = "arm"
pivot        = [64, 74]
replacements = { lamp = "front.svg#lamp" }
"#;

/// Joints of so few lines hold at no angle: who tests what checks find takes this out.
pub const UNCHECKED: &str = r#"
[check]
jut = "off"
gap = "off"
ink = "off"
seam = "off"
overlap = "off"
zone_small = "off"
zone_large = "off"
colour = "off"
line = "off"
shown = "off"
spill = "off"
bare = "off"
trim = "off"
"#;

/// A limit that the arm does not hold.
pub const STRICT: &str = "\n[check]\ngap = [0.5, 1]\n";

pub const POSES: &str = r#"
[pose.rest]

[pose.haul]
note = "weight on the back foot"
turn = { arm = -70 }

[pose.light]
turn    = { arm = -40 }
replace = { hand = "lamp" }

[pose.night]
turn    = { arm = -80, hand = 20 }
palette = "dusk"

[sweep.arm]
turn = "arm"
over = [-30, 30]
step = 30
"#;

pub const CREW: [&str; 3] = ["mate", "cook", "pilot"];

fn rig(name: &str) -> String {
    format!(
        "[character]\nname = \"{name}\"\ncanvas = [100, 120]\nground = 110\nposes = [\"../../poses/actions.toml\"]\n\n\
         [palette.day]\nrust = \"#c2512f\"\nteal = \"#2f8f8b\"\nink = \"#1e2436\"\n\
         [palette.dusk]\nrust = \"#702010\"\nteal = \"#104040\"\n{PARTS}{UNCHECKED}"
    )
}

/// A show in a folder of its own.
pub struct Show {
    pub dir: TempDir,
}

impl Show {
    pub fn new() -> Self {
        let show = Self {
            dir: tempfile::tempdir().unwrap(),
        };
        let mut cast = String::from("[cast]\nname = \"Small crew\"\n");
        for name in CREW {
            show.write(&format!("rigs/{name}/front.svg"), SVG);
            show.write(&format!("rigs/{name}/rig.toml"), &rig(name));
            cast += &format!("[member.{name}]\nrig = \"rigs/{name}\"\n");
        }
        show.write("poses/actions.toml", POSES);
        show.write("cast.toml", &cast);
        show
    }

    /// The same approved, then edited, with joints that are checked.
    pub fn to_look_at() -> Self {
        let show = Self::new();
        for name in CREW {
            show.edit(&format!("rigs/{name}/rig.toml"), UNCHECKED, STRICT);
        }
        show.run("approve cast.toml --all", 0);
        show.edit(
            "rigs/mate/rig.toml",
            "pivot  = [64, 46]",
            "pivot  = [66, 48]",
        );
        show.edit("poses/actions.toml", "arm = -70", "arm = -60");
        show
    }

    pub fn path(&self, path: &str) -> PathBuf {
        self.dir.path().join(path)
    }

    pub fn write(&self, path: &str, text: &str) {
        let path = self.path(path);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    }

    pub fn edit(&self, path: &str, from: &str, to: &str) {
        let text = std::fs::read_to_string(self.path(path)).unwrap();
        assert!(text.contains(from), "{path} has {from}");
        self.write(path, &text.replacen(from, to, 1));
    }

    pub fn command(&self, line: &str) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_layfig"));
        command
            .current_dir(self.dir.path())
            .args(line.split_whitespace())
            .args(["--progress", "none"])
            .stdin(Stdio::null());
        command
    }

    pub fn run(&self, line: &str, exit: i32) -> String {
        told(self.command(line).output().unwrap(), line, exit)
    }

    /// Names of the units that a run would make, with their kind.
    pub fn plan(&self, line: &str) -> Vec<String> {
        let out = self.run(
            &format!("night cast.toml --dry-run --messages json {line}"),
            0,
        );
        let lines = out.lines().map(|line| serde_json::from_str(line).unwrap());
        let mut names: Vec<String> = lines
            .filter_map(|line: Value| {
                let unit = line.get("plan")?;
                Some(format!(
                    "{} {}",
                    unit["kind"].as_str()?,
                    unit["name"].as_str()?
                ))
            })
            .collect();
        names.sort_unstable();
        names
    }

    /// All that people and programs read of a night: not what only the next run reads, and of the
    /// history not how long it took.
    pub fn made(&self, folder: &str) -> BTreeMap<String, Vec<u8>> {
        let mut files = BTreeMap::new();
        gather(&self.path(folder), "", &mut files);
        files.retain(|name, _| !name.starts_with(".night/") && name != "history.html");
        if let Some(history) = files.get_mut("history.jsonl") {
            let text = String::from_utf8(std::mem::take(history)).unwrap();
            let lines = text.lines().map(|line| {
                let mut line: Value = serde_json::from_str(line).unwrap();
                assert!(line["seconds"].as_f64().unwrap() >= 0.0);
                line.as_object_mut().unwrap().remove("seconds");
                line.to_string()
            });
            *history = lines.collect::<Vec<_>>().join("\n").into_bytes();
        }
        files
    }

    pub fn summary(&self, folder: &str) -> Value {
        let text = std::fs::read(self.path(folder).join("summary.json")).unwrap();
        serde_json::from_slice(&text).unwrap()
    }

    pub fn history(&self, folder: &str) -> Vec<Value> {
        let text = std::fs::read_to_string(self.path(folder).join("history.jsonl")).unwrap();
        let lines = text.lines().map(|line| serde_json::from_str(line).unwrap());
        lines.collect()
    }
}

fn told(output: Output, line: &str, exit: i32) -> String {
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    let (out, err) = (text(&output.stdout), text(&output.stderr));
    assert_eq!(output.status.code(), Some(exit), "{line}\n{out}\n{err}");
    out + &err
}

fn gather(folder: &Path, name: &str, files: &mut BTreeMap<String, Vec<u8>>) {
    let Ok(entries) = std::fs::read_dir(folder) else {
        return;
    };
    for entry in entries.map(Result::unwrap) {
        let name = format!("{name}{}", entry.file_name().to_string_lossy());
        if entry.path().is_dir() {
            gather(&entry.path(), &format!("{name}/"), files);
        } else {
            files.insert(name, std::fs::read(entry.path()).unwrap());
        }
    }
}

pub fn assert_same(a: &BTreeMap<String, Vec<u8>>, b: &BTreeMap<String, Vec<u8>>, what: &str) {
    let names = |files: &BTreeMap<String, Vec<u8>>| files.keys().cloned().collect::<Vec<_>>();
    assert_eq!(names(a), names(b), "{what}");
    for (name, bytes) in a {
        assert!(*bytes == b[name], "{what}: {name} differs");
    }
}
