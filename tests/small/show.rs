//! A show of one small member, in a folder of its own.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use layfig::compare::{Comparison, PoseComparison};
use tempfile::TempDir;

pub const RIG: &str = r##"[character]
name = "Robo"
canvas = [72, 72]
ground = 60
crown = 6
heads = 2
poses = ["p.toml"]
[palette.day]
red = "#d22f27"
dark = "#202030"
[part.body]
art = "robo.svg#body"
pivot = [36, 56]
[part.antenna]
art = "robo.svg#antenna"
pivot = [36, 18]
parent = "body"
depth = -1
limits = [-40, 40]
[part.mouth]
art = "robo.svg#mouth"
pivot = [36, 43]
parent = "body"
replacements = { open = "robo.svg#open" }
[check]
jut = "off"
gap = "off"
ink = "off"
seam = "off"
overlap = "off"
colour = "off"
line = "off"
shown = "off"
"##;

pub const ART: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 72 72">
<g id="body"><path id="body_paint" fill="#d22f27" d="M16 20H56V56H16Z"/></g>
<g id="antenna"><path id="antenna_paint" fill="#202030" d="M34 4H38V22H34Z"/></g>
<g id="mouth"><path id="mouth_paint" fill="#202030" d="M28 41H44V45H28Z"/></g>
<g id="open"><path id="open_paint" fill="#202030" d="M28 38H44V48H28Z"/></g>
</svg>
"##;

pub const POSES: &str = r#"[pose.rest]
[pose.a]
turn = { antenna = 20 }
replace = { mouth = "open" }
[pose.b]
from = "a"
scale = { mouth = [1, 0.5] }
"#;

pub struct Show {
    dir: TempDir,
}

impl Show {
    /// The member Robo in `robo/`, and a cast of it.
    pub fn new() -> Self {
        let show = Self::empty();
        show.member("robo");
        show.write("cast.toml", "[cast]\nname = \"Tin\"\n[member.robo]\n");
        show
    }

    pub fn empty() -> Self {
        Self {
            dir: tempfile::tempdir().unwrap(),
        }
    }

    pub fn member(&self, key: &str) {
        self.write(&format!("{key}/rig.toml"), RIG);
        self.write(&format!("{key}/robo.svg"), ART);
        self.write(&format!("{key}/p.toml"), POSES);
    }

    pub fn path(&self, path: &str) -> PathBuf {
        self.dir.path().join(path)
    }

    pub fn write(&self, path: &str, text: impl AsRef<[u8]>) {
        let path = self.path(path);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    }

    pub fn read(&self, path: &str) -> String {
        std::fs::read_to_string(self.path(path)).unwrap()
    }

    pub fn edit(&self, path: &str, from: &str, to: &str) {
        let text = self.read(path);
        assert!(text.contains(from), "{path} has no {from}");
        self.write(path, text.replacen(from, to, 1));
    }

    pub fn run(&self, line: &str, code: i32) -> String {
        self.run_in("", line, code)
    }

    /// Runs the program in a folder of the show; gives what it printed, errors last.
    pub fn run_in(&self, folder: &str, line: &str, code: i32) -> String {
        let output = Command::new(env!("CARGO_BIN_EXE_layfig"))
            .current_dir(self.path(folder))
            .args(line.split_whitespace())
            .stdin(Stdio::null())
            .output()
            .unwrap();
        let text = format!(
            "{}{}",
            String::from_utf8_lossy(&output.stdout),
            String::from_utf8_lossy(&output.stderr)
        );
        assert_eq!(output.status.code(), Some(code), "{line}: {text}");
        text
    }

    pub fn comparison(&self, member: &str) -> Comparison {
        let text = self.read(&format!("out/{member}/compare/comparison.json"));
        serde_json::from_str(&text).unwrap()
    }

    /// Names of files in a folder, sorted.
    pub fn names(&self, folder: &str) -> Vec<String> {
        let entries = std::fs::read_dir(self.path(folder)).unwrap();
        let names = entries.map(|e| e.unwrap().file_name().to_string_lossy().into_owned());
        let mut names: Vec<String> = names.collect();
        names.sort_unstable();
        names
    }
}

/// The causes of a pose.
pub fn causes<'a>(found: &'a Comparison, pose: &str) -> Vec<&'a str> {
    let pose: &PoseComparison = found.poses.iter().find(|p| p.name == pose).unwrap();
    let causes = pose.causes.iter();
    causes
        .map(|c| found.causes[c.cause].subject.as_str())
        .collect()
}

/// All files below a folder with their bytes, by path.
pub fn files(folder: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let mut all = Vec::new();
    let mut folders = vec![folder.to_path_buf()];
    while let Some(next) = folders.pop() {
        for entry in std::fs::read_dir(&next).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else {
                let name = path.strip_prefix(folder).unwrap().to_path_buf();
                all.push((name, std::fs::read(&path).unwrap()));
            }
        }
    }
    all.sort();
    all
}
