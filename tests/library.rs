//! The crate as a library: what a program gets is what the command line makes, from memory as from the disk, and
//! what cannot be had is an error with its place.

use std::error::Error;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Arc;

use layfig::art::{ArtId, Library};
use layfig::cast::{Drawing, NameId, PartId, PoseEntry, Side};
use layfig::compare::{NotCompared, PoseRecord, RigRecord, Tolerance, compare};
use layfig::diag::{Look, Place, Position, Problem, SourceId, Span, human, json, short};
use layfig::draw::{DrawError, Picture};
use layfig::pose::{DepthRule, ResolvedPose};
use layfig::project::Posing;
use layfig::solve::{Figure, Puppet, SolveError};
use layfig::{AskError, Files, Project, ProjectError};

#[path = "examples/every_view.rs"]
#[expect(dead_code, reason = "its main")]
mod every_view;
#[path = "examples/gate.rs"]
#[expect(dead_code, reason = "its main")]
mod gate;
#[path = "examples/mattes.rs"]
#[expect(dead_code, reason = "its main")]
mod mattes;
#[path = "examples/rerender.rs"]
#[expect(dead_code, reason = "its main")]
mod rerender;
#[path = "examples/sweep_strip.rs"]
#[expect(dead_code, reason = "its main")]
mod sweep_strip;

fn here() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn demo() -> Project {
    Project::open(Files::disk(here().join("rigs"))).unwrap()
}

/// The files of a folder of the demo, by their paths from the root.
fn texts(folders: &[&str]) -> Vec<(String, String)> {
    let mut all = Vec::new();
    for folder in folders {
        for entry in std::fs::read_dir(here().join(folder)).unwrap() {
            let path = entry.unwrap().path();
            if path.is_file() {
                let name = path.strip_prefix(here()).unwrap().to_str().unwrap();
                all.push((name.to_owned(), std::fs::read_to_string(&path).unwrap()));
            }
        }
    }
    all
}

/// The dog in memory, with its rig edited.
fn dog(edit: impl Fn(&str) -> String) -> Result<Project, ProjectError> {
    let mut files = texts(&["rigs/ship_dog", "poses"]);
    for (_, text) in files
        .iter_mut()
        .filter(|(path, _)| path.ends_with("rig.toml"))
    {
        let edited = edit(text);
        *text = edited;
    }
    Project::open_at(Files::memory(files).unwrap(), "rigs/ship_dog")
}

const BOX: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 60 60">
  <g id="box"><rect id="box_paint" x="20" y="20" width="20" height="20" fill="#c2512f"/></g>
</svg>"##;

/// Two boxes, one carried by the other, with a pose list.
fn boxes(list: &str) -> Result<Project, ProjectError> {
    let rig = r#"
[character]
canvas = [60, 60]
poses = ["list.toml"]
[part.a]
art = "box.svg#box"
pivot = [30, 30]
[part.b]
art = "box.svg#box"
parent = "a"
pivot = [20, 30]
limits = [-90, 90]
[part.c]
art = "box.svg#box"
pivot = [30, 30]
replacements = { other = "box.svg#box" }
"#;
    let files = [("rig.toml", rig), ("box.svg", BOX), ("list.toml", list)];
    Project::open(Files::memory(files).unwrap())
}

fn rest(project: &Project) -> Figure {
    project.members()[0].pose().figure().unwrap()
}

#[test]
fn memory_gives_the_same_bytes_as_the_disk() {
    let memory = dog(str::to_owned).unwrap();
    let disk = demo().member("ship_dog").unwrap();
    let memory = memory.member("ship_dog").unwrap();
    let names = |poses: Vec<String>| poses.join(" ");
    let all =
        |member: &layfig::project::ProjectMember| names(member.poses().map(|p| p.0).collect());
    assert_eq!(all(&memory), all(&disk));
    for pose in ["rest", "ship_dog/sit"] {
        let figure = |member: &layfig::project::ProjectMember| {
            member.pose_named(pose).unwrap().figure().unwrap()
        };
        let (a, b) = (figure(&memory), figure(&disk));
        assert_eq!(a.to_svg(), b.to_svg());
        assert_eq!(a.render(0.3).unwrap(), b.render(0.3).unwrap());
    }
}

#[test]
fn pictures_and_owners_are_those_of_the_command_line() {
    let out = tempfile::tempdir().unwrap();
    let program = Command::new(env!("CARGO_BIN_EXE_layfig"))
        .args([
            "render",
            "rigs/ship_dog",
            "--pose",
            "sit",
            "--scale",
            "0.3",
            "--owners",
            "--out",
        ])
        .arg(out.path())
        .current_dir(here())
        .output()
        .unwrap();
    assert!(program.status.success(), "{program:?}");
    let folder = out.path().join("ship_dog/ship_dog");
    let sit = demo()
        .member("ship_dog")
        .unwrap()
        .pose_named("sit")
        .unwrap();
    let figure = sit.figure().unwrap();
    let png = figure.render(0.3).unwrap().png().unwrap();
    assert_eq!(png, std::fs::read(folder.join("sit.png")).unwrap());

    let told = std::fs::read_to_string(folder.join("sit.owners.json")).unwrap();
    let told: serde_json::Value = serde_json::from_str(&told).unwrap();
    let owners = figure.owners(0.3).unwrap();
    for part in told["parts"].as_array().unwrap() {
        let owned = owners.of(part["name"].as_str().unwrap()).unwrap();
        assert_eq!(owned.filter(|&here| here).count() as u64, part["pixels"]);
    }
    assert_eq!(owners.of("nobody").map(Iterator::count), None);
    assert_eq!(owners.at(u32::MAX, 0), None);
    assert_eq!(owners.at(0, u32::MAX), None);
}

#[test]
fn a_pose_made_in_code_is_the_same_as_one_of_a_list() {
    let list = r#"
[pose.written]
turn = { a = 20, b = -35 }
move = { b = [3, -2] }
scale = { c = [1.2, 0.9] }
skew = { c = [10, 0] }
depth = { c = -3 }
behind = { b = "a" }
replace = { c = "none" }
mirror = true
[pose.heir]
from = "written"
turn = { b = 5 }
in_front = { b = "a" }
replace = { c = "art" }
"#;
    let project = boxes(list).unwrap();
    let member = &project.members()[0];
    let written = member.pose_named("written").unwrap();
    let made = member.pose().turn("b", 90.0).and_then(|pose| {
        pose.turn("a", 20.0)?
            .turn("b", -35.0)?
            .move_by("b", [3.0, -2.0])?
            .scale("c", [1.2, 0.9])?
            .skew("c", [10.0, 0.0])?
            .depth("c", -3.0)?
            .behind("b", "a")?
            .replace("c", "none")
    });
    let made = made.unwrap().mirror(true);
    let svg = |figure: Result<Figure, AskError>| figure.unwrap().to_svg();
    assert_eq!(svg(made.figure()), svg(written.figure()));
    assert_ne!(svg(made.figure()), rest(&project).to_svg());

    let heir = written.turn("b", 5.0).unwrap();
    let heir = heir
        .in_front("b", "a")
        .unwrap()
        .replace("c", "art")
        .unwrap();
    let read = member.pose_named("list/heir").unwrap();
    assert_eq!(svg(heir.figure()), svg(read.figure()));
    // Said twice in code, both hold: they contradict each other.
    let both = member
        .pose()
        .behind("b", "c")
        .unwrap()
        .in_front("b", "c")
        .unwrap();
    let error = both.figure().unwrap_err().to_string();
    assert!(
        error.starts_with("error: pose \"\" contradicts itself"),
        "{error}"
    );
}

#[test]
fn poses_that_come_to_the_same_are_the_same() {
    let list = r#"
[pose.base]
turn = { a = 5, b = 10 }
behind = { c = "b" }
mirror = true
[pose.own]
from = "base"
turn = { b = 30 }
move = { c = [1, -2] }
replace = { c = "none" }
[pose.back]
from = "base"
turn = { a = 0, b = 0 }
mirror = false
in_front = { c = "b" }
[pose.front]
in_front = { c = "b" }
"#;
    let project = boxes(list).unwrap();
    let member = &project.members()[0];
    let view = &member.rig().views[0];
    let resolved = |pose: &Posing| ResolvedPose::new(pose.pose(), view);
    let named = |name: &str| resolved(&member.pose_named(name).unwrap());
    let code = || -> Result<Posing, AskError> {
        let pose = member.pose().behind("c", "b")?.turn("b", 30.)?;
        let pose = pose.replace("c", "none")?.turn("a", 5.)?;
        Ok(pose.move_by("c", [1., -2.])?.mirror(true))
    };
    let own = named("own");
    assert_eq!(own, resolved(&code().unwrap()));
    let [a, b, c] = [0, 1, 2].map(|at| own.parts[at]);
    assert_eq!([a, b, c].map(|p| p.setting.turn), [5., 30., 0.]);
    assert_eq!((c.setting.shift, c.drawing), ([1., -2.], Drawing::Empty));
    let rule = |side| DepthRule {
        part: PartId(2),
        side,
        of: PartId(1),
    };
    assert_eq!(own.rules, [rule(Side::Behind)]);
    // What is said to be as drawn is as if it were not said.
    assert_eq!(named("back"), named("front"));
    assert_eq!(named("front").rules, [rule(Side::InFront)]);
    assert_eq!(resolved(&member.pose()), ResolvedPose::rest(view));

    // Where two differ, their words do.
    let words = |pose: &ResolvedPose| pose.words(|_| "box", "day");
    assert_eq!(
        words(&own),
        "palette day\nmirror true\n0 turn 5\n1 turn 30\n2 move 1 -2\n0 shows box\n1 shows box\n2 behind 1\n"
    );
    assert_eq!(words(&named("back")), words(&named("front")));
    assert_ne!(words(&named("back")), words(&ResolvedPose::rest(view)));
}

#[test]
fn names_that_nothing_has_come_with_the_nearest() {
    let project = demo();
    let deckhand = project.member("deckhand").unwrap();
    let pose = || deckhand.pose();
    for (asked, words) in [
        (
            project.member("deckhnad").err(),
            "there is no member \"deckhnad\" (did you mean \"deckhand\"?)",
        ),
        (project.member("x").err(), "there is no member \"x\""),
        (
            pose().turn("forarm_near", 1.0).err(),
            "there is no part \"forarm_near\" (did you mean \"forearm_near\"?)",
        ),
        (
            pose().behind("head", "torsoo").err(),
            "there is no part \"torsoo\" (did you mean \"torso\"?)",
        ),
        (
            pose().palette("dsuk").err(),
            "there is no palette \"dsuk\" (did you mean \"dusk\"?)",
        ),
        (
            pose().replace("hand_near", "fits").err(),
            "there is no replacement \"fits\" (did you mean \"fist\"?)",
        ),
        (
            pose().view("font").err(),
            "there is no view \"font\" (did you mean \"front\"?)",
        ),
        (
            deckhand.check("font").err(),
            "there is no view \"font\" (did you mean \"front\"?)",
        ),
        (
            deckhand.pose_named("halu").err(),
            "there is no pose \"halu\" (did you mean \"haul\"?)",
        ),
    ] {
        assert_eq!(asked.unwrap().to_string(), words);
    }
}

#[test]
fn numbers_have_the_bounds_that_files_have() {
    let project = boxes("[pose.rest]").unwrap();
    let pose = || project.members()[0].pose();
    for bad in [f64::NAN, f64::INFINITY, -1e9] {
        assert!(pose().turn("a", bad).is_err());
        assert!(pose().move_by("a", [0.0, bad]).is_err());
        assert!(pose().scale("a", [bad, 1.0]).is_err());
        assert!(pose().skew("a", [bad, 1.0]).is_err());
        assert!(pose().depth("a", bad).is_err());
    }
    let error = pose().scale("a", [1.0, 0.0]).unwrap_err().to_string();
    let words = "scale of \"a\" cannot be 0: write -1000000 to 1000000, but not 0";
    assert_eq!(error, words);
    let far = (0..3).try_fold(pose(), |pose, _| {
        pose.move_by("a", [1e6, 0.0])?.scale("a", [1e6, 1.0])
    });
    let error = far.unwrap().figure().unwrap_err().to_string();
    assert!(error.contains("throws part"), "{error}");

    let figure = rest(&project);
    for scale in [
        f64::NAN,
        f64::INFINITY,
        f64::NEG_INFINITY,
        -1.0,
        0.0,
        1e300,
        1e9,
    ] {
        assert!(figure.render(scale).is_err(), "{scale}");
        assert!(figure.owners(scale).is_err(), "{scale}");
    }
    let (width, height) = (0, 0);
    assert_eq!(figure.render(0.0), Err(DrawError::Empty { width, height }));
}

#[test]
fn mistakes_of_files_keep_their_places() {
    let error = dog(|rig| {
        rig.replace("heads  = 2.6", "heads  = \"2.6\"")
            .replace("parent = \"tail_base\"", "parent = \"tail_bass\"")
    });
    let error = error.unwrap_err();
    let told = error.to_string();
    let lines: Vec<&str> = told.lines().collect();
    assert_eq!(lines.len(), error.problems().len());
    assert!(
        lines[0].starts_with("rigs/ship_dog/rig.toml:9:10: error: "),
        "{told}"
    );
    assert!(
        told.contains("(hint: did you mean \"tail_base\"?)"),
        "{told}"
    );
    let Place::Span(span) = error.problems()[0].place else {
        panic!("{error:?}");
    };
    assert_eq!(Position::of(span, error.sources()).line, 9);
    let boxed: Box<dyn Error + Send + Sync> = error.into();
    assert!(boxed.downcast_ref::<ProjectError>().is_some());

    // Of a pose that is solved no earlier than it is asked for, too.
    let list = "[pose.odd]\nbehind = { a = \"c\", c = \"a\" }\n";
    let project = boxes(list).unwrap();
    let error = project.members()[0]
        .pose_named("odd")
        .unwrap()
        .figure()
        .unwrap_err();
    assert!(
        error
            .to_string()
            .starts_with("list.toml:2:16: error: pose \"odd\""),
        "{error}"
    );
    assert!(matches!(error, AskError::Pose(_)));

    // Warnings keep nothing back.
    let project = boxes("[pose.wide]\nturn = { b = 170 }\n").unwrap();
    assert_eq!(project.warnings().len(), 1);
    assert!(
        short(&project.warnings()[0], project.sources()).starts_with("list.toml:2:14: warning:")
    );

    let nothing = Project::open(Files::memory([("a.txt", "")]).unwrap()).unwrap_err();
    assert!(
        nothing
            .to_string()
            .starts_with("rig.toml: error: cannot read this file: no such file"),
        "{nothing}"
    );
    let out = [
        (
            "rig.toml",
            "[character]\ncanvas=[9,9]\n[part.a]\nart=\"../a.svg#a\"\npivot=[1,1]",
        ),
        ("a.svg", BOX),
    ];
    let out = Project::open(Files::memory(out).unwrap()).unwrap_err();
    assert!(
        out.to_string().contains("leads out of the member's folder"),
        "{out}"
    );
}

#[test]
fn images_are_found_in_memory_and_only_there() {
    let rig = "[character]\ncanvas = [60, 60]\n[part.a]\nart = \"art/a.svg#a\"\npivot = [1, 1]\n";
    let art = |href: &str| {
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 60 60\"><g id=\"a\">\
             <image width=\"60\" height=\"60\" href=\"{href}\"/></g></svg>"
        )
    };
    let picture = rest(&boxes("[pose.rest]").unwrap())
        .render(1.0)
        .unwrap()
        .png()
        .unwrap();
    let open = |href: &str| {
        let art = art(href);
        let files: [(&str, &[u8]); 4] = [
            ("m/rig.toml", rig.as_bytes()),
            ("m/art/a.svg", art.as_bytes()),
            ("m/p.png", &picture),
            ("q.png", &picture),
        ];
        Project::open_at(Files::memory(files).unwrap(), "m")
    };
    let drawn = rest(&open("../p.png").unwrap()).render(1.0).unwrap();
    assert_eq!(
        drawn.rgba[(30 * 60 + 30) * 4..][..4],
        [0xc2, 0x51, 0x2f, 255]
    );
    for (href, words) in [
        ("p.png", "image \"p.png\" is not there"),
        (
            "../../q.png",
            "image \"../../q.png\" lies outside the member's folder",
        ),
        ("../../../q.png", "image \"../../../q.png\" is not there"),
    ] {
        let error = open(href).unwrap_err().to_string();
        assert!(error.contains(words), "{error}");
    }
}

#[test]
fn ids_of_others_are_answered_without_a_panic() {
    let project = demo();
    let (deckhand, dog) = (
        project.member("deckhand").unwrap(),
        project.member("ship_dog").unwrap(),
    );
    // The deckhand has more parts, drawings and views than the dog.
    let dogs = Arc::new(dog.rig().clone());
    let deckhands = Arc::new(deckhand.rig().clone());
    assert!(Puppet::new(Arc::clone(&dogs), 1, dog.library()).is_none());
    assert!(Puppet::new(Arc::clone(&deckhands), 0, &Library::new()).is_none());
    assert!(RigRecord::of(&dogs, usize::MAX, dog.library()).is_none());
    assert!(RigRecord::of(&deckhands, 0, &Library::new()).is_none());
    assert!(dog.library().get(ArtId(u32::MAX)).is_none());

    let last = NameId(u32::try_from(deckhands.names.len() - 1).unwrap());
    let (_, foreign) = deckhand
        .poses()
        .find(|(_, pose)| pose.name == "haul")
        .unwrap();
    let mut foreign = foreign.clone();
    foreign.turn.push(PoseEntry {
        part: last,
        value: 1.0,
        span: None,
    });
    let error = dog.posed(foreign.clone()).figure().unwrap_err().to_string();
    assert!(
        error.contains("sets parts that this member has not"),
        "{error}"
    );
    let mut palette = dog.pose().pose().clone();
    palette.palette = usize::MAX;
    assert!(dog.posed(palette).figure().is_err());
    let _ = PoseRecord::of(&foreign, &[], &dogs);
    let own = ResolvedPose::rest(&dogs.views[0]);
    let mut others = [own.clone(), own.clone(), own.clone(), own];
    others[0].parts.pop();
    others[1].parts[0].drawing = Drawing::Art(ArtId(u32::MAX));
    others[2].rules.push(DepthRule {
        part: PartId(0),
        side: Side::Behind,
        of: PartId(u32::MAX),
    });
    others[3].palette = usize::MAX;
    for pose in others {
        let error = dog.puppet("").unwrap().solve(&pose).unwrap_err();
        assert_eq!(error, SolveError::Foreign);
    }

    let mut list = (*deckhand.lists()[0]).clone();
    list.poses = vec![foreign];
    let found = layfig::check::check(dog.puppet("").unwrap(), &[&list]);
    assert_eq!(found.list.len(), dog.check("").unwrap().findings.list.len());
    let sources = project.sources();
    assert!(layfig::lint::lint(&deckhands, &Library::new(), &[], sources).is_empty());
    assert!(layfig::lint::lint_views(&dogs, dog.library(), &[], sources, &[7]).is_empty());

    let source = SourceId(u32::MAX - 1);
    let span = Span {
        source,
        start: 5,
        end: 9,
    };
    let problem = Problem::error(span, "odd").also(span, "here");
    assert!(sources.get(source).is_none());
    assert_eq!(short(&problem, sources), "error: odd");
    assert!(human(&problem, sources, Look::default()).starts_with("error: odd"));
    assert!(json(&problem, sources).contains("\"line\":null"));
    assert_eq!(Position::of(span, sources).line, 1);
}

#[test]
fn figures_are_compared_by_part() {
    let project = boxes("[pose.rest]").unwrap();
    let member = &project.members()[0];
    let still = rest(&project);
    let same = still.compare(&still, 2.0, &Tolerance::default()).unwrap();
    assert_eq!((same.pixels.figures.changed, same.parts.len()), (0, 0));

    // The carried box alone moves out by 10: 10 x 20 units of it are seen, at two pixels each way.
    let moved = member
        .pose()
        .move_by("b", [-10.0, 0.0])
        .unwrap()
        .figure()
        .unwrap();
    let found = moved.compare(&still, 2.0, &Tolerance::default()).unwrap();
    assert_eq!(found.pixels.figures.changed, 10 * 20 * 4);
    assert_eq!(found.parts, [("b".to_owned(), 800)]);

    let (small, large) = (still.render(1.0).unwrap(), still.render(2.0).unwrap());
    let tolerance = Tolerance::default();
    let sizes = NotCompared::Sizes {
        before: [60, 60],
        after: [120, 120],
    };
    assert_eq!(compare(&small, &large, &tolerance).unwrap_err(), sizes);
    let words = "a picture of 120 x 120 px cannot be compared with one of 60 x 60";
    assert_eq!(sizes.to_string(), words);
    let mut short = small.clone();
    short.rgba.pop();
    assert_eq!(
        compare(&small, &short, &tolerance).unwrap_err(),
        NotCompared::Bytes
    );
    assert!(short.png().is_err());
    let none = Picture {
        width: 0,
        height: 0,
        rgba: Vec::new(),
    };
    assert!(
        none.png().is_err() && none.row(0).is_empty() && compare(&none, &none, &tolerance).is_ok()
    );
}

#[test]
fn errors_go_where_errors_go() {
    fn is_error<T: Error + Send + Sync + 'static>() {}
    is_error::<ProjectError>();
    is_error::<AskError>();
    is_error::<DrawError>();
    is_error::<NotCompared>();
    is_error::<Problem>();
    is_error::<layfig::files::BadPath>();
    fn is_shared<T: Send + Sync + 'static>() {}
    is_shared::<Project>();
    is_shared::<Figure>();
    is_shared::<layfig::project::Posing>();
}

/// Width and height of a PNG file (its header, ISO/IEC 15948, 11.2.2).
fn size(file: &Path) -> [u32; 2] {
    let bytes = std::fs::read(file).unwrap();
    [16, 20].map(|at| u32::from_be_bytes(bytes[at..at + 4].try_into().unwrap()))
}

#[test]
fn the_examples_do_what_they_say() {
    let out = tempfile::tempdir().unwrap();
    let (out, rigs) = (out.path(), here().join("rigs"));

    let changed = rerender::run(here(), &out.join("rerender")).unwrap();
    let written = std::fs::read_dir(out.join("rerender")).unwrap().count();
    let poses = demo().member("ship_dog").unwrap().lists()[0].poses.len();
    // Nothing is seen of a joint that does not turn.
    assert!(changed.contains(&"wag_high".to_owned()) && !changed.contains(&"rest".to_owned()));
    assert!(
        written == changed.len() && written < poses,
        "{changed:?} of {poses}"
    );

    let strip = out.join("strip/forearm.png");
    let angles = sweep_strip::run(&rigs, &strip).unwrap();
    let count = u32::try_from(angles.len()).unwrap();
    assert_eq!(size(&strip), [225 * count, 300]);

    let parts = mattes::run(&rigs, &out.join("mattes")).unwrap();
    for (part, _) in &parts {
        assert_eq!(
            size(&out.join("mattes").join(part).with_extension("png")),
            [550, 450]
        );
    }
    assert!(
        parts
            .iter()
            .any(|(part, pixels)| part == "head" && *pixels > 1000)
    );

    let files = every_view::run(&rigs, &out.join("views")).unwrap();
    let names: Vec<PathBuf> = files
        .iter()
        .map(|file| file.strip_prefix(out.join("views")).unwrap().to_path_buf())
        .collect();
    assert_eq!(names.len(), 5 + 1 + 2);
    assert!(names.contains(&"deckhand/three_quarter_back.svg".into()));

    assert_eq!(gate::run(&rigs.join("ship_dog")), (Vec::new(), 0));
    let (told, code) = gate::run(&rigs.join("deckhand/front.svg"));
    assert_eq!((told.len(), code), (1, 2), "{told:?}");
}

#[test]
fn a_check_tells_what_the_command_line_tells() {
    let out = tempfile::tempdir().unwrap();
    let folder = out.path().join("rigs/ship_dog");
    std::fs::create_dir_all(&folder).unwrap();
    let worse = |rig: &str| rig.replacen("\n[part]", "\n[check]\njut = [0.1, 0.2]\n[part]", 1);
    let project = dog(worse).unwrap();
    for (path, text) in texts(&["rigs/ship_dog", "poses"]) {
        let path = out.path().join(path);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        let text = if path.ends_with("rig.toml") {
            worse(&text)
        } else {
            text
        };
        std::fs::write(path, text).unwrap();
    }
    let found = &project.check()[0].findings.list;
    let messages: Vec<&str> = found.iter().map(|f| f.message.as_str()).collect();
    assert!(messages.len() > 3, "{messages:?}");
    let place = short(&found[0].problem(), project.sources());
    assert!(place.starts_with("rigs/ship_dog/rig.toml:"), "{place}");

    let (told, code) = gate::run(&folder);
    assert_eq!((told.len(), code), (found.len(), 1));
    let program = Command::new(env!("CARGO_BIN_EXE_layfig"))
        .args(["check", "rigs/ship_dog", "--out", "out"])
        .current_dir(out.path())
        .output()
        .unwrap();
    assert_eq!(program.status.code(), Some(1));
    let document = std::fs::read_to_string(out.path().join("out/ship_dog/check/findings.json"));
    let document: serde_json::Value = serde_json::from_str(&document.unwrap()).unwrap();
    let written = document["findings"].as_array().unwrap();
    let written: Vec<&str> = written
        .iter()
        .map(|f| f["message"].as_str().unwrap())
        .collect();
    assert_eq!(written, messages);
}

#[test]
fn a_library_user_builds_no_program() {
    let tree = Command::new(env!("CARGO"))
        .args([
            "tree",
            "--locked",
            "--offline",
            "--no-default-features",
            "-e",
            "normal",
            "--prefix",
            "none",
        ])
        .current_dir(here())
        .output()
        .unwrap();
    assert!(tree.status.success(), "{tree:?}");
    let tree = String::from_utf8(tree.stdout).unwrap();
    let crates: Vec<&str> = tree
        .lines()
        .filter_map(|line| line.split(' ').next())
        .collect();
    assert!(crates.contains(&"usvg"));
    for not in [
        "clap",
        "indicatif",
        "annotate-snippets",
        "krilla",
        "pdf-writer",
        "dejavu",
        "unifont",
        "skrifa",
        "rayon",
        "maud",
    ] {
        assert!(!crates.contains(&not), "{not}");
    }
}
