//! The program as a person runs it: files, exit codes, what is printed.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use serde_json::Value;
use tempfile::TempDir;

/// A show in a folder of its own: two members, a cast file, pose lists.
pub struct Show {
    dir: TempDir,
}

const SVG: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 120">
  <g id="torso"><path fill="#c2512f" stroke="#1e2436" stroke-width="3" d="M35 40h30v45h-30z"/></g>
  <g id="arm"><path fill="#2f8f8b" stroke="#1e2436" stroke-width="3" d="M58 42h12v34h-12z"/></g>
  <g id="flag"><path fill="#c2512f" d="M60 70h12v8h-12z"/></g>
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
replacements = { bare = "front.svg#arm" }

[part.pack]
art    = "front.svg#flag"
parent = "torso"
pivot  = [64, 74]
depth  = -1
"#;

const POSES: &str = r#"
[pose.rest]

[pose.haul]
from = "rest"
note = "weight on the back foot"
turn = { arm = -70 }

[pose.wave]
turn    = { arm = -80, hand = 20 }
palette = "dusk"

[sweep.arm]
turn = "arm"
over = [-30, 30]
step = 30
"#;

fn head(name: &str, lists: &str) -> String {
    format!(
        "[character]\nname = \"{name}\"\ncanvas = [100, 120]\nground = 110\nposes = [{lists}]\n\n\
         [palette.day]\nrust = \"#c2512f\"\nteal = \"#2f8f8b\"\nink = \"#1e2436\"\n\
         [palette.dusk]\nrust = \"#702010\"\nteal = \"#104040\"\n"
    )
}

impl Show {
    pub fn new() -> Self {
        let show = Self {
            dir: tempfile::tempdir().unwrap(),
        };
        for name in ["mate", "cook"] {
            show.write(&format!("rigs/{name}/front.svg"), SVG);
            let head = head(name, "\"../../poses/actions.toml\"");
            show.write(&format!("rigs/{name}/rig.toml"), &format!("{head}{PARTS}"));
        }
        show.write("poses/actions.toml", POSES);
        show.write("cast.toml", "[cast]\nname = \"Two\"\n\n[member.mate]\nrig = \"rigs/mate\"\n\n[member.cook]\nrig = \"rigs/cook\"\n");
        show
    }

    pub fn write(&self, path: &str, text: &str) {
        let path = self.dir.path().join(path);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    }

    pub fn path(&self, path: &str) -> PathBuf {
        self.dir.path().join(path)
    }

    fn run(&self, line: &str) -> Run {
        let mut command = self.command(line);
        Run::from(command.output().unwrap())
    }

    pub fn command(&self, line: &str) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_layfig"));
        command
            .current_dir(self.dir.path())
            .args(line.split_whitespace())
            .env_remove("CI")
            .env_remove("NO_COLOR");
        command
    }

    /// All files under a folder with their bytes.
    fn files(&self, folder: &str) -> BTreeMap<String, Vec<u8>> {
        let mut files = BTreeMap::new();
        let mut folders = vec![self.path(folder)];
        while let Some(folder) = folders.pop() {
            let Ok(entries) = std::fs::read_dir(&folder) else {
                continue;
            };
            for entry in entries {
                let path = entry.unwrap().path();
                if path.is_dir() {
                    folders.push(path);
                } else {
                    let name = path
                        .strip_prefix(self.dir.path())
                        .unwrap()
                        .to_string_lossy()
                        .replace('\\', "/");
                    files.insert(name, std::fs::read(path).unwrap());
                }
            }
        }
        files
    }

    pub fn names(&self, folder: &str) -> Vec<String> {
        self.files(folder).into_keys().collect()
    }
}

struct Run {
    code: i32,
    out: String,
    err: String,
}

impl From<Output> for Run {
    fn from(output: Output) -> Self {
        Self {
            code: output.status.code().expect("no signal"),
            out: String::from_utf8(output.stdout).unwrap(),
            err: String::from_utf8(output.stderr).unwrap(),
        }
    }
}

impl Run {
    #[track_caller]
    fn ended(self, code: i32) -> Self {
        assert_eq!(self.code, code, "out: {}\nerr: {}", self.out, self.err);
        self
    }

    fn objects(&self) -> Vec<Value> {
        self.out
            .lines()
            .map(|line| serde_json::from_str(line).unwrap_or_else(|e| panic!("{e}: {line}")))
            .collect()
    }
}

struct Picture {
    width: u32,
    height: u32,
    colour: png::ColorType,
    data: Vec<u8>,
}

impl Picture {
    fn open(path: &Path) -> Self {
        let mut reader =
            png::Decoder::new(std::io::BufReader::new(std::fs::File::open(path).unwrap()))
                .read_info()
                .unwrap();
        let mut data = vec![0; reader.output_buffer_size().unwrap()];
        let frame = reader.next_frame(&mut data).unwrap();
        Self {
            width: frame.width,
            height: frame.height,
            colour: frame.color_type,
            data,
        }
    }

    fn at(&self, x: u32, y: u32) -> &[u8] {
        let samples = self.colour.samples();
        &self.data[(y * self.width + x) as usize * samples..][..samples]
    }
}

#[test]
fn a_render_puts_each_pose_in_its_place() {
    let show = Show::new();
    let run = show.run("render rigs/mate").ended(0);
    assert_eq!(
        show.names("out"),
        [
            "out/mate/actions/haul.png",
            "out/mate/actions/rest.png",
            "out/mate/actions/wave.png"
        ]
    );
    assert_eq!(run.out, "made 3 pictures in out\n");
    assert_eq!(run.err, "");
    let rest = Picture::open(&show.path("out/mate/actions/rest.png"));
    assert_eq!(
        (rest.width, rest.height, rest.colour),
        (100, 120, png::ColorType::Rgba)
    );
    assert_eq!(
        rest.at(45, 60),
        [0xc2, 0x51, 0x2f, 255],
        "the torso's paint"
    );
    assert_eq!(rest.at(5, 5), [0, 0, 0, 0], "nothing");
    assert_eq!(rest.at(64, 60), [0x2f, 0x8f, 0x8b, 255], "the arm hangs");
    let haul = Picture::open(&show.path("out/mate/actions/haul.png"));
    assert_ne!(haul.at(64, 68), rest.at(64, 68), "the arm is away");
}

#[test]
fn a_rig_file_does_as_well_as_its_folder() {
    let show = Show::new();
    show.run("render rigs/mate/rig.toml poses/actions.toml --out a")
        .ended(0);
    show.run("render rigs/mate --out b").ended(0);
    let plain = |folder: &str| show.files(folder).into_values().collect::<Vec<_>>();
    assert_eq!(plain("a"), plain("b"));
}

#[test]
fn a_cast_file_stands_for_all_its_members() {
    let show = Show::new();
    let run = show.run("render cast.toml --pose rest").ended(0);
    assert_eq!(
        show.names("out"),
        ["out/cook/actions/rest.png", "out/mate/actions/rest.png"]
    );
    assert_eq!(run.out, "made 2 pictures in out\n");
}

#[test]
fn a_broken_member_stops_no_other() {
    let show = Show::new();
    show.write(
        "rigs/mate/rig.toml",
        &head("mate", "").replace("[character]", "[charcter]"),
    );
    let run = show.run("render cast.toml --messages short").ended(2);
    assert_eq!(
        show.names("out"),
        [
            "out/cook/actions/haul.png",
            "out/cook/actions/rest.png",
            "out/cook/actions/wave.png"
        ]
    );
    assert!(run.err.contains("rigs/mate/rig.toml:1:"), "{}", run.err);
    assert!(
        run.err.contains("not made:\n  mate: its files have errors"),
        "{}",
        run.err
    );
    assert_eq!(run.out, "made 3 pictures in out\n");
}

#[test]
fn all_mistakes_of_all_files_are_told_together() {
    let show = Show::new();
    for name in ["mate", "cook"] {
        let rig = std::fs::read_to_string(show.path(&format!("rigs/{name}/rig.toml"))).unwrap();
        show.write(
            &format!("rigs/{name}/rig.toml"),
            &rig.replace("parent = \"torso\"", "parent = \"tosro\""),
        );
    }
    let run = show.run("render cast.toml --messages short").ended(2);
    for name in ["mate", "cook"] {
        assert!(
            run.err.contains(&format!("rigs/{name}/rig.toml:")),
            "{}",
            run.err
        );
    }
    assert!(
        run.err.contains("torso"),
        "the nearest right name: {}",
        run.err
    );
    assert!(show.names("out").is_empty());
}

#[test]
fn a_pose_that_contradicts_itself_stops_no_other() {
    let show = Show::new();
    let poses = format!("{POSES}\n[pose.knot]\nbehind = {{ arm = \"pack\", pack = \"arm\" }}\n");
    show.write("poses/actions.toml", &poses);
    let run = show.run("render rigs/mate --messages short").ended(2);
    assert_eq!(show.names("out").len(), 3);
    assert!(run.err.contains("poses/actions.toml:"), "{}", run.err);
    assert!(
        run.err.contains("not made:\n  mate/actions/knot: "),
        "{}",
        run.err
    );
    assert_eq!(run.out, "made 3 of 4 pictures in out\n");
    let run = show
        .run("sheet rigs/mate --only poses --out sheets")
        .ended(2);
    assert_eq!(
        run.out, "sheets/mate/actions.sheet.png\nmade 1 page in sheets\n",
        "the sheet is made and says so"
    );
    assert!(
        run.err.contains("not made:\n  mate/actions/knot: "),
        "{}",
        run.err
    );
}

#[test]
fn a_pose_with_a_mistake_stops_no_other() {
    let show = Show::new();
    let poses = format!(
        "{POSES}\n[pose.odd]\nturn = {{ amr = 3 }}\n\n[pose.odder]\nfrom = \"odd\"\n\n\
         [sweep.torn]\nturn = \"arm\"\nstep = = 5\n"
    );
    show.write("poses/actions.toml", &poses);
    let run = show.run("render rigs/mate --messages short").ended(2);
    assert_eq!(
        show.names("out"),
        [
            "out/mate/actions/haul.png",
            "out/mate/actions/rest.png",
            "out/mate/actions/wave.png"
        ]
    );
    assert!(
        run.err
            .contains("poses/actions.toml:19:10: error: unknown part"),
        "{}",
        run.err
    );
    assert!(
        run.err.contains(
            "not made:\n  mate/actions/odd: it has errors\n  \
             mate/actions/odder: \"odd\", which it inherits from, has errors\n2 errors\n"
        ),
        "{}",
        run.err
    );
    assert_eq!(run.out, "made 3 pictures in out\n");
    let run = show.run("sheet rigs/mate --out sheets").ended(2);
    assert_eq!(
        show.names("sheets"),
        [
            "sheets/mate/actions.sheet.png",
            "sheets/mate/actions.sweeps.png"
        ]
    );
    assert!(
        run.err.contains("  mate/actions/odd: ") && run.err.contains("  mate/actions/torn: "),
        "{}",
        run.err
    );
    let run = show.run("render rigs/mate --pose rest --out one").ended(2);
    assert_eq!(show.names("one"), ["one/mate/actions/rest.png"]);
    assert!(
        !run.err.contains("not made"),
        "all that was asked for is made: {}",
        run.err
    );
    let last = show
        .run("export rigs/mate --messages json --out svgs")
        .ended(2)
        .objects()
        .pop()
        .unwrap();
    assert_eq!(show.names("svgs").len(), 3);
    assert_eq!(last["summary"]["unread"][0]["name"], "mate/actions/odd");
}

#[test]
fn a_list_that_cannot_be_read_stops_no_other() {
    let show = Show::new();
    show.write("poses/broken.toml", "[pose.odd\n");
    let run = show
        .run("render rigs/mate poses/broken.toml poses/actions.toml")
        .ended(2);
    assert_eq!(show.names("out").len(), 3);
    assert!(
        run.err
            .contains("not made:\n  mate/broken: nothing in the list can be used\n"),
        "{}",
        run.err
    );
}

#[test]
fn a_member_without_a_rig_stops_no_other() {
    let show = Show::new();
    show.write(
        "cast.toml",
        "[member.mate]\nrig = \"rigs/maet\"\n\n[member.cook]\nrig = \"rigs/cook\"\n",
    );
    let run = show.run("render cast.toml --messages short").ended(2);
    assert_eq!(show.names("out").len(), 3);
    assert!(
        run.err.contains("cast.toml:2:7: error: no such"),
        "{}",
        run.err
    );
    assert!(
        run.err
            .contains("not made:\n  mate: its entry in the cast has errors\n"),
        "{}",
        run.err
    );
}

#[test]
fn a_cast_with_a_mistake_of_syntax_is_still_a_cast() {
    let show = Show::new();
    show.write(
        "crew.toml",
        "[member.mate]\nrig = = \"rigs/mate\"\n\n[member.cook]\nrig = \"rigs/cook\"\n",
    );
    let run = show.run("render crew.toml --messages short").ended(2);
    assert_eq!(show.names("out").len(), 3);
    assert!(run.err.starts_with("crew.toml:2:7: error: "), "{}", run.err);
    assert!(
        run.err.contains("\n1 error\n") && run.err.contains("  mate: "),
        "{}",
        run.err
    );
}

#[test]
fn wrong_arguments_are_bad_input() {
    let show = Show::new();
    for line in [
        "render rigs/mate --no-such-flag",
        "render",
        "render rigs/mate --scale 0",
        "render rigs/mate --scale 2 --width 100",
        "render rigs/mate --background blueish",
        "render rigs/mate --threads 0",
        "sheet rigs/mate --page 100x100",
        "sheet rigs/mate --crop --canvas",
        "frobnicate",
    ] {
        let run = show.run(line).ended(2);
        assert!(!run.err.is_empty() && run.out.is_empty(), "{line}");
    }
    assert!(show.names("out").is_empty());
}

#[test]
fn files_that_are_not_there_are_bad_input() {
    let show = Show::new();
    assert!(
        show.run("render rigs/nobody")
            .ended(2)
            .err
            .contains("nobody")
    );
    assert!(
        show.run("render rigs/mate poses/none.toml")
            .ended(2)
            .err
            .contains("none.toml")
    );
    assert!(show.names("out").is_empty());
}

#[test]
fn a_filter_that_finds_nothing_ends_with_its_own_code_and_the_nearest_name() {
    let show = Show::new();
    let run = show
        .run("render rigs/mate --pose rest,hual --messages short")
        .ended(3);
    assert!(
        run.err.contains("\"hual\"") && run.err.contains("haul\"?"),
        "{}",
        run.err
    );
    assert!(
        show.names("out").is_empty(),
        "nothing is made, not even what was found"
    );
    let run = show.run("render rigs/mate --view side").ended(3);
    assert!(run.err.contains("\"side\""), "{}", run.err);
}

#[test]
fn nothing_to_make_has_its_own_code() {
    let show = Show::new();
    show.write(
        "rigs/mate/rig.toml",
        &format!("{}{PARTS}", head("mate", "")),
    );
    let run = show.run("render rigs/mate").ended(3);
    assert!(run.err.contains("names no pose lists"), "{}", run.err);
    show.write("poses/still.toml", "[pose.rest]\n");
    show.run("render rigs/mate poses/still.toml --only sweeps")
        .ended(3);
    show.run("sheet rigs/mate poses/still.toml --only sweeps")
        .ended(3);
}

#[test]
fn what_cannot_be_written_has_its_own_code_and_leaves_nothing_half_made() {
    let show = Show::new();
    std::fs::create_dir_all(show.path("out/mate/actions/haul.png")).unwrap();
    let run = show.run("render rigs/mate").ended(4);
    assert_eq!(
        show.names("out"),
        ["out/mate/actions/rest.png", "out/mate/actions/wave.png"]
    );
    assert!(
        run.err
            .contains("not made:\n  mate/actions/haul: cannot write"),
        "{}",
        run.err
    );
    assert_eq!(run.out, "made 2 of 3 pictures in out\n");

    show.write("file", "in the way");
    for command in ["render", "sheet", "export"] {
        show.run(&format!("{command} rigs/mate --out file"))
            .ended(4);
    }
    assert_eq!(std::fs::read(show.path("file")).unwrap(), b"in the way");
}

#[cfg(unix)]
#[test]
fn a_folder_that_may_not_be_written_is_an_error() {
    use std::os::unix::fs::PermissionsExt as _;
    let show = Show::new();
    let folder = show.path("out/mate/actions");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::set_permissions(&folder, std::fs::Permissions::from_mode(0o555)).unwrap();
    // Who may do everything is not stopped by this.
    let bound = std::fs::write(folder.join("probe"), "").is_err();
    if bound {
        show.run("render rigs/mate").ended(4);
        assert!(show.names("out").is_empty());
    }
    std::fs::set_permissions(&folder, std::fs::Permissions::from_mode(0o755)).unwrap();
}

#[test]
fn two_poses_for_one_file_are_an_error_before_anything_is_made() {
    let show = Show::new();
    show.write(
        "poses/actions.toml",
        "[pose.rest]\n[pose.Rest]\n[pose.haul]\n",
    );
    let run = show.run("render rigs/mate").ended(2);
    assert!(
        run.err
            .contains("mate/actions/rest and mate/actions/Rest would write the same file"),
        "{}",
        run.err
    );
    assert!(show.names("out").is_empty());
    show.write("other/actions.toml", "[pose.haul]\n");
    show.write("poses/actions.toml", "[pose.haul]\n");
    show.run("render rigs/mate poses/actions.toml other/actions.toml")
        .ended(2);
    show.run("sheet rigs/mate poses/actions.toml other/actions.toml")
        .ended(2);
    assert!(show.names("out").is_empty());
}

#[test]
fn the_bytes_do_not_depend_on_threads_or_on_the_run() {
    let show = Show::new();
    let mut poses = POSES.to_owned();
    for n in 0..40 {
        poses += &format!(
            "\n[pose.step_{n}]\nturn = {{ arm = {}, hand = {} }}\nnote = \"step {n}\"\n",
            n * 4 - 85,
            n
        );
    }
    show.write("poses/actions.toml", &poses);
    let mut all = Vec::new();
    for (n, threads) in [1, 2, 5, 1, 2, 5].into_iter().enumerate() {
        let out = format!("out{n}");
        let common = format!("--threads {threads} --out {out}/x");
        show.run(&format!(
            "render cast.toml --only all --owners --scale 1.7 {common}"
        ))
        .ended(0);
        show.run(&format!("sheet cast.toml --page 1200x1600 {common}"))
            .ended(0);
        show.run(&format!("export cast.toml {common}")).ended(0);
        let files: Vec<_> = show
            .files(&out)
            .into_iter()
            .map(|(name, bytes)| (name.replacen(&out, "", 1), bytes))
            .collect();
        assert!(files.len() > 300, "{}", files.len());
        all.push(files);
    }
    for other in &all[1..] {
        for (one, other) in all[0].iter().zip(other) {
            assert_eq!(one.0, other.0);
            assert!(one.1 == other.1, "{} differs", one.0);
        }
        assert_eq!(all[0].len(), other.len());
    }
}

#[test]
fn poses_are_chosen_by_name() {
    let show = Show::new();
    let made = |line: &str| {
        let _ = std::fs::remove_dir_all(show.path("out"));
        show.run(&format!("render rigs/mate {line}")).ended(0);
        let names = show.names("out");
        names
            .iter()
            .map(|n| {
                n.trim_start_matches("out/mate/actions/")
                    .trim_end_matches(".png")
                    .to_owned()
            })
            .collect::<Vec<_>>()
    };
    assert_eq!(made("--pose haul"), ["haul"]);
    assert_eq!(made("--pose mate/actions/haul,rest"), ["haul", "rest"]);
    assert_eq!(made("--pose *a*"), ["haul", "wave"]);
    assert_eq!(made("--only sweeps"), ["arm@-30", "arm@0", "arm@30"]);
    assert_eq!(
        made("--only all --pose arm"),
        ["arm@-30", "arm@0", "arm@30"]
    );
    assert_eq!(made("--only all --pose arm@0,rest"), ["arm@0", "rest"]);
}

#[test]
fn sizes_keep_the_shape_of_the_canvas() {
    let show = Show::new();
    for (line, size) in [
        ("--scale 2", (200, 240)),
        ("--scale 0.5", (50, 60)),
        ("--width 50", (50, 60)),
        ("--height 60", (50, 60)),
        ("--size 300x240", (300, 240)),
    ] {
        show.run(&format!("render rigs/mate --pose rest {line}"))
            .ended(0);
        let picture = Picture::open(&show.path("out/mate/actions/rest.png"));
        assert_eq!((picture.width, picture.height), size, "{line}");
    }
    let centred = Picture::open(&show.path("out/mate/actions/rest.png"));
    assert_eq!(centred.at(50 + 45 * 2, 60 * 2), [0xc2, 0x51, 0x2f, 255]);
}

#[test]
fn a_size_that_cannot_be_drawn_is_told_once_before_anything_is_made() {
    let show = Show::new();
    let run = show
        .run("render cast.toml --scale 400 --messages short")
        .ended(2);
    assert_eq!(
        run.err,
        "error: a picture of 40000 x 48000 px is over the limit of 32767 px a side or 1 GiB in all \
         (hint: the largest scale that can be drawn is 140)\n1 error\n"
    );
    let run = show.run("render cast.toml --width 30000").ended(2);
    assert!(run.err.contains("make the picture smaller"), "{}", run.err);
    assert!(show.names("out").is_empty());
    show.run("export cast.toml --scale 400").ended(0);
}

#[test]
fn a_background_makes_pictures_opaque() {
    let show = Show::new();
    show.run("render rigs/mate --pose rest --background #204060")
        .ended(0);
    let picture = Picture::open(&show.path("out/mate/actions/rest.png"));
    assert_eq!(picture.colour, png::ColorType::Rgb);
    assert_eq!(picture.at(2, 2), [0x20, 0x40, 0x60]);
}

#[test]
fn a_palette_goes_over_what_poses_say() {
    let show = Show::new();
    let torso = |line: &str, pose: &str| {
        show.run(&format!("render rigs/mate {line}")).ended(0);
        Picture::open(&show.path(&format!("out/mate/actions/{pose}.png"))).at(45, 60)[..3].to_vec()
    };
    assert_eq!(torso("", "rest"), [0xc2, 0x51, 0x2f]);
    assert_eq!(torso("", "wave"), [0x70, 0x20, 0x10]);
    assert_eq!(torso("--palette dusk", "rest"), [0x70, 0x20, 0x10]);
    assert_eq!(torso("--palette day", "wave"), [0xc2, 0x51, 0x2f]);
    let run = show.run("render rigs/mate --palette dsuk").ended(2);
    assert!(run.err.contains("did you mean \"dusk\"?"), "{}", run.err);
}

#[test]
fn views_are_folders_and_the_first_is_the_default() {
    let show = Show::new();
    show.write(
        "rigs/mate/rig.toml",
        &format!(
            "{}\n[views]\nfront = \"front.toml\"\nside = \"side.toml\"\n",
            head("mate", "\"../../poses/actions.toml\"")
        ),
    );
    show.write("rigs/mate/front.toml", PARTS);
    show.write("rigs/mate/side.toml", PARTS);
    show.run("render rigs/mate --pose rest").ended(0);
    assert_eq!(show.names("out"), ["out/mate/front/actions/rest.png"]);
    show.run("render rigs/mate --pose rest --view side")
        .ended(0);
    show.run("sheet rigs/mate --view all").ended(0);
    assert_eq!(
        show.names("out"),
        [
            "out/mate/front/actions.sheet.png",
            "out/mate/front/actions.sweeps.png",
            "out/mate/front/actions/rest.png",
            "out/mate/side/actions.sheet.png",
            "out/mate/side/actions.sweeps.png",
            "out/mate/side/actions/rest.png",
        ]
    );
}

#[test]
fn the_part_map_says_which_part_owns_each_pixel() {
    let show = Show::new();
    show.run("render rigs/mate --pose rest --owners").ended(0);
    assert_eq!(
        show.names("out"),
        [
            "out/mate/actions/rest.owners.json",
            "out/mate/actions/rest.owners.png",
            "out/mate/actions/rest.png"
        ]
    );
    let json: Value = serde_json::from_slice(
        &std::fs::read(show.path("out/mate/actions/rest.owners.json")).unwrap(),
    )
    .unwrap();
    assert_eq!(json["pose"], "mate/actions/rest");
    let map = Picture::open(&show.path("out/mate/actions/rest.owners.png"));
    assert!(
        map.width > 100 && map.height >= 120,
        "a legend stands beside it"
    );
    for (part, x, y) in [("torso", 45, 60), ("arm", 64, 60), ("hand", 66, 74)] {
        let entry = json["parts"]
            .as_array()
            .unwrap()
            .iter()
            .find(|p| p["name"] == part)
            .unwrap();
        let at = map.at(x, y);
        assert_eq!(
            entry["colour"],
            format!("#{:02x}{:02x}{:02x}", at[0], at[1], at[2]),
            "{part}"
        );
        let area: Vec<u64> = entry["box"]
            .as_array()
            .unwrap()
            .iter()
            .map(|v| v.as_u64().unwrap())
            .collect();
        assert!(
            area[0] <= u64::from(x)
                && u64::from(x) < area[2]
                && area[1] <= u64::from(y)
                && u64::from(y) < area[3]
        );
        let [r, g, b] = [at[0], at[1], at[2]];
        let mut count = 0;
        for y in 0..120 {
            for x in 0..100 {
                count += u64::from(map.at(x, y) == [r, g, b]);
            }
        }
        assert_eq!(entry["pixels"], count, "{part}");
    }
}

#[test]
fn an_export_writes_standard_svg() {
    let show = Show::new();
    show.run("export rigs/mate --scale 2 --background #fafafa")
        .ended(0);
    assert_eq!(
        show.names("out"),
        [
            "out/mate/actions/haul.svg",
            "out/mate/actions/rest.svg",
            "out/mate/actions/wave.svg"
        ]
    );
    let svg = std::fs::read_to_string(show.path("out/mate/actions/rest.svg")).unwrap();
    let tree = usvg::Tree::from_str(&svg, &usvg::Options::default()).unwrap();
    assert_eq!((tree.size().width(), tree.size().height()), (200.0, 240.0));
}

#[test]
fn sheets_have_the_size_that_was_asked_for() {
    let show = Show::new();
    let run = show
        .run("sheet rigs/mate --page 1500x1100 --paper dark")
        .ended(0);
    assert_eq!(
        run.out,
        "out/mate/actions.sheet.png\nout/mate/actions.sweeps.png\nmade 2 pages in out\n"
    );
    let sheet = Picture::open(&show.path("out/mate/actions.sheet.png"));
    assert_eq!(
        (sheet.width, sheet.height, sheet.colour),
        (1500, 1100, png::ColorType::Rgb)
    );
    show.run("sheet rigs/mate --only poses").ended(0);
    let sheet = Picture::open(&show.path("out/mate/actions.sheet.png"));
    assert!(sheet.width <= 2400 && sheet.height <= 3200);
}

#[test]
fn long_lists_go_on_numbered_pages() {
    let show = Show::new();
    let poses: String = (0..60)
        .map(|n| format!("[pose.p{n}]\nturn = {{ arm = {n} }}\n"))
        .collect();
    show.write("poses/actions.toml", &poses);
    show.run("sheet rigs/mate --columns 4 --page 1600x1200")
        .ended(0);
    let names = show.names("out");
    assert!(names.len() > 3, "{names:?}");
    assert!(
        names[0].ends_with("1.png") && names[0].contains("/actions.sheet."),
        "{names:?}"
    );
    for name in names {
        let page = Picture::open(&show.path(&name));
        assert_eq!((page.width, page.height), (1600, 1200));
    }
}

#[test]
fn messages_come_in_three_forms() {
    let show = Show::new();
    let poses = format!("{POSES}\n[pose.odd]\ntrun = {{ arm = 3 }}\n");
    show.write("poses/actions.toml", &poses);
    let human = show.run("render rigs/mate").ended(2);
    assert!(
        human.err.contains("trun") && human.err.contains('^'),
        "{}",
        human.err
    );
    assert!(human.err.ends_with("\n1 error\n"), "{}", human.err);
    let short = show.run("render rigs/mate --messages short").ended(2);
    let line = short.err.lines().next().unwrap();
    assert!(
        line.starts_with("poses/actions.toml:19:1: error: ") && line.contains("turn"),
        "{line}"
    );
    let json = show.run("--messages json render rigs/mate").ended(2);
    assert_eq!(json.err, "");
    let objects = json.objects();
    assert_eq!(objects[0]["severity"], "error");
    assert_eq!(objects[0]["line"], 19);
    let last = &objects.last().unwrap()["summary"];
    assert_eq!(
        (&last["errors"], &last["exit"], &last["made"]),
        (&1.into(), &2.into(), &3.into())
    );
}

#[test]
fn json_names_every_file() {
    let show = Show::new();
    let objects = show
        .run("render rigs/mate --messages json --out made")
        .ended(0)
        .objects();
    let files: Vec<_> = objects
        .iter()
        .filter_map(|o| o["files"].as_array())
        .flatten()
        .map(|f| f.as_str().unwrap().replace('\\', "/"))
        .collect();
    assert_eq!(
        files,
        [
            "made/mate/actions/rest.png",
            "made/mate/actions/haul.png",
            "made/mate/actions/wave.png"
        ],
        "in the order of the list"
    );
    assert_eq!(objects.last().unwrap()["summary"]["made"], 3);
}

#[test]
fn a_quiet_run_tells_only_of_errors() {
    let show = Show::new();
    let warned = format!("{POSES}\n[pose.far]\nturn = {{ arm = 100 }}\n");
    show.write("poses/actions.toml", &warned);
    assert!(
        show.run("render rigs/mate")
            .ended(0)
            .err
            .contains("warning: a turn of 100")
    );
    let run = show.run("render rigs/mate --quiet").ended(0);
    assert_eq!((run.out.as_str(), run.err.as_str()), ("", ""));
    let run = show.run("render rigs/mate --quiet --pose nobody").ended(3);
    assert!(run.err.contains("nobody"));
}

#[test]
fn a_closed_pipe_is_no_fault() {
    let show = Show::new();
    for line in [
        "render rigs/mate --messages json",
        "sheet rigs/mate",
        "--help",
    ] {
        let mut child = show
            .command(line)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        drop(child.stdout.take());
        let output = child.wait_with_output().unwrap();
        let err = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(0), "{line}: {err}");
        assert!(!err.contains("panicked"), "{err}");
    }
}

#[test]
fn the_help_lists_the_exit_codes() {
    let show = Show::new();
    let help = show.run("--help").ended(0).out;
    // Long meanings are wrapped.
    let words = help.split_whitespace().collect::<Vec<_>>().join(" ");
    for (exit, meaning) in layfig::cli::Exit::TABLE {
        assert!(
            words.contains(&format!("{} {meaning}", exit.code())),
            "{help}"
        );
    }
    show.run("--version").ended(0);
    assert!(
        show.run("render --help")
            .ended(0)
            .out
            .contains("--background")
    );
}

#[test]
fn several_rigs_a_folder_of_them_and_lists_are_told_apart() {
    let show = Show::new();
    let made = |line: &str| {
        let out = show.run(&format!("render {line} --out made")).ended(0).out;
        let names = show.names("made");
        std::fs::remove_dir_all(show.path("made")).unwrap();
        assert!(out.starts_with("made "), "{out}");
        names
    };
    let both = made("cast.toml");
    assert_eq!(both.len(), 6, "{both:?}");
    assert_eq!(made("rigs"), both);
    assert_eq!(made("rigs/mate rigs/cook"), both);
    assert_eq!(made("rigs/cook/rig.toml rigs/mate"), both);
    show.write("poses/few.toml", "[pose.only]\nturn = { arm = 5 }\n");
    let few = ["made/cook/few/only.png", "made/mate/few/only.png"];
    assert_eq!(made("rigs/mate poses/few.toml rigs/cook"), few);
    assert_eq!(made("rigs poses/few.toml"), few);
}

#[test]
fn a_word_after_the_rig_that_is_no_file_was_meant_for_an_option() {
    let show = Show::new();
    let run = show
        .run("render rigs/mate --pose rest haul --messages short")
        .ended(2);
    let want = "haul: error: there is no such rig or pose list (hint: several values of an option are joined by commas: --pose rest,haul)\n";
    assert!(run.err.starts_with(want), "{}", run.err);
}

#[test]
fn options_stand_before_and_after_the_rig() {
    let show = Show::new();
    for line in [
        "render --pose rest,haul rigs/mate -o made",
        "render -o made rigs/mate --pose rest --pose haul",
    ] {
        show.run(line).ended(0);
        let made = ["made/mate/actions/haul.png", "made/mate/actions/rest.png"];
        assert_eq!(show.names("made"), made, "{line}");
        std::fs::remove_dir_all(show.path("made")).unwrap();
    }
}

// Shells judge the scripts: bash reads its own without running it.
#[test]
fn shells_get_their_completions() {
    let show = Show::new();
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let script = show.run(&format!("completions {shell}")).ended(0).out;
        for word in ["layfig", "render", "approve", "threads"] {
            assert!(script.contains(word), "{shell}: {word}");
        }
        if shell == "bash" {
            show.write("layfig.bash", &script);
            let judged = Command::new("bash")
                .arg("-n")
                .arg(show.path("layfig.bash"))
                .output();
            let judged = judged.unwrap();
            assert!(judged.status.success(), "{judged:?}");
        }
    }
    show.run("completions tcl").ended(2);
}

#[test]
fn the_manual_has_a_page_for_each_command() {
    let show = Show::new();
    assert!(show.run("man").ended(0).out.contains(".SH NAME\nlayfig"));
    show.run("man -o pages").ended(0);
    let pages = show.names("pages");
    let help = show.run("--help").ended(0).out;
    let listed = help.split("Commands:\n").nth(1).unwrap();
    let listed = listed.lines().take_while(|line| !line.is_empty());
    for name in listed.filter_map(|line| line.split_whitespace().next()) {
        let page = format!("pages/layfig-{name}.1");
        assert!(name == "help" || pages.contains(&page), "{name}: {pages:?}");
    }
    let page = std::fs::read_to_string(show.path("pages/layfig-render.1")).unwrap();
    assert!(page.contains("\\-\\-background"), "{page}");
}
