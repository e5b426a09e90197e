//! What becomes of rigs, pose lists and cast files without mistakes.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use layfig::art::{Library, Rgb};
use layfig::cast::{
    ColourName, Drawing, Keep, Member, NameId, Opens, PoseEntry, PoseList, Setting, Side, View,
    Zone, load_cast, load_member, load_poses,
};
use layfig::diag::{Problems, Sources, short};

const ART: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 400 600">
<g id="torso"><path d="M100 100H200V300H100Z" fill="#d99c78" stroke="#640"/></g>
<g id="arm"><path d="M90 110H130V200H90Z" fill="#d99c78" stroke="#640"/></g>
<g id="forearm"><path d="M90 190H130V280H90Z" fill="#d99c78" stroke="#640"/></g>
<g id="hand"><path d="M90 270H130V310H90Z" fill="#d99c78" stroke="#640"/></g>
<g id="fist"><path d="M95 270H125V300H95Z" fill="#d99c78" stroke="#640"/></g>
<g id="cuff"><path d="M80 230H140V260H80Z" fill="#d99c78" stroke="#640"/></g>
<g id="zone"><path d="M80 180H140V210H80Z" fill="#000"/></g>
<g id="cover"><path d="M95 190H125V205H95Z" fill="#d99c78"/></g>
</svg>
"##;

const RIG: &str = r##"
[character]
name = "Deckhand"
canvas = [400, 600]
ground = 580
crown = 20.5
heads = 6
poses = ["../../poses/work.toml"]

[palette.day]
skin = "#d99c78"
oilskin_line = "#640"
[palette.dusk]
skin = "#8a6050"

# Declared before the part that carries it.
[part.forearm]
art = "art/front.svg#forearm"
parent = "arm"
pivot = [110, 195]
limits = [-10, 145]
depth = -1.5

[part.torso]
art = "art/front.svg#torso"

[part.arm]
art = "./art/front.svg#arm"
parent = "torso"
pivot = [110, 120]
place = { move = [5, -5], turn = 90, scale = 2, skew = [10, 0] }

[part.hand]
art = "art/front.svg#hand"
replacements = { fist = "art/front.svg#fist" }
parent = "forearm"
pivot = [110, 275]

[part.cuff]
art = "art/front.svg#cuff"
parent = "forearm"
pivot = [110, 245]

[part.root]

[seam.elbow]
parts = ["forearm", "arm"]
zone = "art/front.svg#zone"
opens = "child"
patch = "art/front.svg#cover"
[seam.wrist]
parts = ["forearm", "hand"]
zone = 12
[seam.side]
parts = ["hand", "torso"]

[mask.hand]
part = "hand"
keep = "outside"
of = ["torso", "arm"]

[garment.cuff]
part = "cuff"
on = "forearm"
trim = "oilskin_line"
"##;

struct Desk {
    folder: tempfile::TempDir,
    sources: Sources,
    problems: Problems,
    library: Library,
}

impl Desk {
    fn new(files: &[(&str, &str)]) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let desk = Self {
            folder,
            sources: Sources::default(),
            problems: Problems::default(),
            library: Library::new(),
        };
        for (path, text) in files {
            desk.write(path, text);
        }
        desk
    }

    fn path(&self, path: &str) -> PathBuf {
        self.folder.path().join(path)
    }

    fn write(&self, path: &str, text: &str) {
        let path = self.path(path);
        fs::create_dir_all(path.parent().expect("a folder")).expect("a folder");
        fs::write(path, text).expect("a file");
    }

    fn lines(&self) -> Vec<String> {
        let start = format!("{}/", self.folder.path().display());
        let list = self.problems.list().iter();
        list.map(|problem| short(problem, &self.sources).replace(&start, ""))
            .collect()
    }

    fn member(&mut self, path: &str) -> Member {
        let path = self.path(path);
        let (sources, problems) = (&mut self.sources, &mut self.problems);
        let member = load_member(&path, sources, problems, &mut self.library);
        assert_eq!(self.lines(), [""; 0]);
        member.expect("a member without problems")
    }

    fn poses(&mut self, member: &Member, text: &str) -> PoseList {
        self.write("poses/list.toml", text);
        let path = self.path("poses/list.toml");
        let list = load_poses(&path, member, &mut self.sources, &mut self.problems);
        list.unwrap_or_else(|| panic!("{:#?}", self.lines()))
    }
}

fn deckhand() -> (Desk, Member) {
    let mut desk = Desk::new(&[
        ("rigs/deckhand/rig.toml", RIG),
        ("rigs/deckhand/art/front.svg", ART),
        ("poses/work.toml", "[pose.rest]\n"),
    ]);
    let member = desk.member("rigs/deckhand");
    (desk, member)
}

fn id(member: &Member, name: &str) -> NameId {
    let at = member.names.iter().position(|other| other == name);
    NameId(u32::try_from(at.expect("a name")).expect("few names"))
}

fn said<T: Clone>(member: &Member, list: &[PoseEntry<T>]) -> Vec<(String, T)> {
    list.iter()
        .map(|said| (member.names[said.part.at()].clone(), said.value.clone()))
        .collect()
}

fn named<'a>(member: &'a Member, view: &'a View, name: &str) -> &'a layfig::cast::Part {
    let part = view.by_name[id(member, name).at()].expect("a part");
    &view.parts[part.at()]
}

#[test]
fn a_rig_is_read_in_full() {
    let (desk, member) = deckhand();
    assert_eq!(member.name, "Deckhand");
    assert_eq!(member.key, "deckhand");
    assert_eq!(member.folder, desk.path("rigs/deckhand"));
    assert_eq!(member.canvas, [400.0, 600.0]);
    assert_eq!(
        (member.ground, member.crown, member.heads),
        (Some(580.0), Some(20.5), Some(6.0))
    );
    assert_eq!(
        member.poses,
        [desk.path("rigs/deckhand/../../poses/work.toml")]
    );
    assert_eq!(
        member.names,
        ["forearm", "torso", "arm", "hand", "cuff", "root"]
    );
    assert_eq!(member.views.len(), 1);
    assert_eq!(member.views[0].name, None);
}

#[test]
fn parts_keep_their_order_and_take_their_defaults() {
    let (_, member) = deckhand();
    let view = &member.views[0];
    let order: Vec<&str> = view
        .parts
        .iter()
        .map(|part| member.names[part.name.at()].as_str())
        .collect();
    assert_eq!(order, ["forearm", "torso", "arm", "hand", "cuff", "root"]);
    let torso = named(&member, view, "torso");
    assert_eq!(torso.pivot, [200.0, 300.0], "the middle of the canvas");
    assert_eq!((torso.parent, torso.depth, torso.limits), (None, 0.0, None));
    assert_eq!(torso.place, Setting::REST);
    let forearm = named(&member, view, "forearm");
    assert_eq!(forearm.parent, view.by_name[id(&member, "arm").at()]);
    assert_eq!(forearm.pivot, [110.0, 195.0]);
    assert_eq!(
        (forearm.depth, forearm.limits),
        (-1.5, Some([-10.0, 145.0]))
    );
    let place = named(&member, view, "arm").place;
    assert_eq!((place.shift, place.turn), ([5.0, -5.0], 90.0));
    assert_eq!((place.scale, place.skew), ([2.0, 2.0], [10.0, 0.0]));
    assert_eq!(named(&member, view, "root").art, Drawing::Empty);
    let hand = named(&member, view, "hand");
    assert_eq!(hand.replacements.keys().collect::<Vec<_>>(), ["fist"]);
    assert!(matches!(hand.art, Drawing::Art(_)));
    assert!(matches!(hand.replacements["fist"], Drawing::Art(_)));
    assert_ne!(hand.replacements["fist"], hand.art);
}

#[test]
fn a_seam_knows_which_part_hangs_on_which() {
    let (_, member) = deckhand();
    let view = &member.views[0];
    let part = |name: &str| view.by_name[id(&member, name).at()].expect("a part");
    let [elbow, wrist, side] = &view.seams[..] else {
        panic!("three seams");
    };
    assert_eq!((elbow.parent, elbow.child), (part("arm"), part("forearm")));
    assert_eq!(elbow.opens, Opens::Child);
    assert!(matches!(elbow.zone, Zone::Art(_)) && elbow.patch.is_some());
    assert_eq!((wrist.parent, wrist.child), (part("forearm"), part("hand")));
    assert_eq!(
        (wrist.zone, wrist.opens, wrist.patch),
        (Zone::Radius(12.0), Opens::Both, None)
    );
    // The hand hangs on the torso, though not directly.
    assert_eq!((side.parent, side.child), (part("torso"), part("hand")));
    assert_eq!(side.zone, Zone::Auto);
}

#[test]
fn masks_and_garments_name_parts() {
    let (_, member) = deckhand();
    let view = &member.views[0];
    let part = |name: &str| view.by_name[id(&member, name).at()].expect("a part");
    let mask = &view.masks[0];
    assert_eq!((mask.part, mask.keep), (part("hand"), Keep::Outside));
    assert_eq!(mask.of, [part("torso"), part("arm")]);
    let garment = &view.garments[0];
    assert_eq!(
        (garment.part, &garment.on[..]),
        (part("cuff"), &[part("forearm")][..])
    );
    assert_eq!(
        garment.trim,
        Some(ColourName::Swatch("oilskin_line".into()))
    );
}

#[test]
fn a_palette_takes_what_it_lacks_from_the_first() {
    let (_, member) = deckhand();
    let [day, dusk] = &member.palettes[..] else {
        panic!("two palettes");
    };
    assert_eq!((day.name.as_str(), dusk.name.as_str()), ("day", "dusk"));
    assert_eq!(day.swatches["skin"], Rgb([0xd9, 0x9c, 0x78]));
    assert_eq!(dusk.swatches["skin"], Rgb([0x8a, 0x60, 0x50]));
    assert_eq!(dusk.swatches["oilskin_line"], Rgb([0x66, 0x44, 0x00]));
    assert!(day.swatches.keys().eq(dusk.swatches.keys()));
}

#[test]
fn the_path_may_be_the_rig_itself() {
    let (mut desk, member) = deckhand();
    let again = desk.member("rigs/deckhand/rig.toml");
    assert_eq!((again.key, again.folder), (member.key, member.folder));
}

#[test]
fn views_share_names() {
    let mut desk = Desk::new(&[
        (
            "purser/rig.toml",
            "[character]\ncanvas = [400, 600]\n[views]\nside = \"views/side.toml\"\nfront = \"front.toml\"\n",
        ),
        (
            "purser/views/side.toml",
            "[part.torso]\nart = \"../front.svg#torso\"\n[part.tail]\nart = \"../front.svg#arm\"\n",
        ),
        (
            "purser/front.toml",
            "[part.arm]\nart = \"front.svg#arm\"\n[part.torso]\nart = \"front.svg#torso\"\n",
        ),
        ("purser/front.svg", ART),
    ]);
    let member = desk.member("purser");
    assert_eq!(member.name, "purser", "the folder's name stands in");
    assert_eq!(member.names, ["torso", "tail", "arm"]);
    let [side, front] = &member.views[..] else {
        panic!("two views");
    };
    assert_eq!(
        (side.name.as_deref(), front.name.as_deref()),
        (Some("side"), Some("front"))
    );
    let known = |view: &View| {
        view.by_name
            .iter()
            .map(|part| part.map(|p| p.0))
            .collect::<Vec<_>>()
    };
    assert_eq!(known(side), [Some(0), Some(1), None]);
    assert_eq!(known(front), [Some(1), None, Some(0)]);

    // A pose may name a part of one view only.
    let list = desk.poses(&member, "[pose.wag]\nturn = { tail = 20, arm = 5 }\n");
    assert_eq!(
        said(&member, &list.poses[0].turn),
        [("tail".into(), 20.0), ("arm".into(), 5.0)]
    );
}

#[test]
fn poses_inherit_part_by_part() {
    let (mut desk, member) = deckhand();
    let list = desk.poses(
        &member,
        r#"
# Names a pose that is declared later.
[pose.heave]
from = "haul"
turn = { forearm = 90, hand = 5 }
behind = { hand = "torso" }
mirror = true

[pose.haul]
note = "weight on the back foot"
turn = { arm = -70, forearm = -5 }
move = { torso = [0, 14] }
scale = { torso = [1.0, 0.96], hand = 2 }
skew = { arm = [3, 0] }
behind = { forearm = "torso" }
in_front = { hand = "torso", arm = "root" }
depth = { forearm = -0.5 }
replace = { hand = "fist", arm = "none" }
palette = "dusk"

[pose.low]
from = "heave"
palette = "day"
mirror = false
replace = { hand = "art" }
"#,
    );
    assert_eq!(list.key, "list");
    let [heave, haul, low] = &list.poses[..] else {
        panic!("three poses");
    };
    assert_eq!(
        [&heave.name, &haul.name, &low.name],
        ["heave", "haul", "low"]
    );
    let pair = |name: &str, turn: f64| (name.to_owned(), turn);
    assert_eq!(
        said(&member, &haul.turn),
        [pair("arm", -70.0), pair("forearm", -5.0)]
    );
    assert_eq!(
        said(&member, &heave.turn),
        [pair("arm", -70.0), pair("forearm", 90.0), pair("hand", 5.0)]
    );
    assert_eq!(
        said(&member, &heave.shift),
        [("torso".to_owned(), [0.0, 14.0])]
    );
    assert_eq!(
        said(&member, &low.scale),
        [
            ("torso".to_owned(), [1.0, 0.96]),
            ("hand".to_owned(), [2.0, 2.0])
        ]
    );
    assert_eq!(said(&member, &low.skew), [("arm".to_owned(), [3.0, 0.0])]);
    assert_eq!(said(&member, &low.depth), [("forearm".to_owned(), -0.5)]);

    // What a pose says of a part's place in depth replaces all that it inherits about that part.
    let torso = id(&member, "torso");
    let root = id(&member, "root");
    let behind = |name: &str, other| (name.to_owned(), (Side::Behind, other));
    let front = |name: &str, other| (name.to_owned(), (Side::InFront, other));
    assert_eq!(
        said(&member, &haul.sides),
        [
            behind("forearm", torso),
            front("hand", torso),
            front("arm", root)
        ]
    );
    assert_eq!(
        said(&member, &heave.sides),
        [
            behind("forearm", torso),
            front("arm", root),
            behind("hand", torso)
        ]
    );

    let replaced = |name: &str, by: &str| (name.to_owned(), by.to_owned());
    assert_eq!(
        said(&member, &heave.replace),
        [replaced("hand", "fist"), replaced("arm", "none")]
    );
    assert_eq!(
        said(&member, &low.replace),
        [replaced("hand", "art"), replaced("arm", "none")]
    );
    assert_eq!([haul.palette, heave.palette, low.palette], [1, 1, 0]);
    assert_eq!(
        [haul.mirror, heave.mirror, low.mirror],
        [false, true, false]
    );
    // A note is about its own pose.
    assert_eq!(haul.note.as_deref(), Some("weight on the back foot"));
    assert_eq!(heave.note, None);
}

#[test]
fn a_sweep_takes_a_joint_through_its_limits() {
    let (mut desk, member) = deckhand();
    let list = desk.poses(
        &member,
        "[sweep.elbow]\nturn = \"forearm\"\nstep = 50\nnote = \"bend\"\n",
    );
    let sweep = &list.sweeps[0];
    assert_eq!(sweep.axes.len(), 1);
    assert_eq!(sweep.axes[0].part, id(&member, "forearm"));
    assert_eq!(sweep.axes[0].angles, [-10.0, 40.0, 90.0, 140.0, 145.0]);
    let names: Vec<&str> = sweep.poses.iter().map(|pose| pose.name.as_str()).collect();
    assert_eq!(
        names,
        [
            "elbow@-10",
            "elbow@40",
            "elbow@90",
            "elbow@140",
            "elbow@145"
        ]
    );
    assert_eq!(
        said(&member, &sweep.poses[1].turn),
        [("forearm".to_owned(), 40.0)]
    );
    assert_eq!(sweep.poses[1].note.as_deref(), Some("bend"));
}

#[test]
fn two_joints_make_a_grid_the_last_fastest() {
    let (mut desk, member) = deckhand();
    let list = desk.poses(
        &member,
        r#"
[pose.base]
turn = { hand = 3, arm = 9 }
palette = "dusk"
[sweep.reach]
from = "base"
turn = ["arm", "forearm"]
over = [[0, -0.5], [0, 30]]
step = [0.25, 15]
"#,
    );
    let sweep = &list.sweeps[0];
    let names: Vec<&str> = sweep.poses.iter().map(|pose| pose.name.as_str()).collect();
    assert_eq!(
        names,
        [
            "reach@0,0",
            "reach@0,15",
            "reach@0,30",
            "reach@-0.25,0",
            "reach@-0.25,15",
            "reach@-0.25,30",
            "reach@-0.5,0",
            "reach@-0.5,15",
            "reach@-0.5,30",
        ]
    );
    let pose = &sweep.poses[4];
    assert_eq!(
        said(&member, &pose.turn),
        [
            ("hand".to_owned(), 3.0),
            ("arm".to_owned(), -0.25),
            ("forearm".to_owned(), 15.0)
        ]
    );
    assert_eq!(pose.palette, 1);
}

#[test]
fn one_range_and_one_step_serve_all_joints() {
    let (mut desk, member) = deckhand();
    let list = desk.poses(
        &member,
        "[sweep.a]\nturn = [\"arm\", \"hand\"]\nover = [0, 20]\n",
    );
    let names: Vec<&str> = list.sweeps[0]
        .poses
        .iter()
        .map(|pose| pose.name.as_str())
        .collect();
    assert_eq!(names.len(), 9);
    assert_eq!(names[1], "a@0,15");
    assert_eq!(names[8], "a@20,20");
}

/// The limits of `[part.arm]` with these.
fn limits(text: &str) -> [f64; 2] {
    let rig = format!("[character]\ncanvas = [100, 200]\n[part.arm]\nlimits = {text}\n");
    let mut desk = Desk::new(&[("rigs/m/rig.toml", rig.as_str())]);
    let member = desk.member("rigs/m");
    member.views[0].parts[0].limits.expect("limits")
}

// AAOS: elbow flexion 150; wrist flexion 80, extension 70; shoulder flexion 180, extension 60 (read in
// Norkin & White, Table A.1). CDC: hip of girls from 2 to 8, flexion 140.8, extension 26.2 (read in
// Soucie et al. 2011). See tests/reference/rom.csv.
#[test]
fn limits_can_be_those_of_a_human_joint() {
    assert_eq!(limits(r#""elbow""#), [0.0, 150.0]);
    assert_eq!(limits(r#"{ joint = "elbow" }"#), [0.0, 150.0]);
    assert_eq!(
        limits(r#"{ joint = "elbow", clockwise = "extension" }"#),
        [-150.0, 0.0]
    );
    assert_eq!(limits(r#"{ joint = "elbow", rest = 20 }"#), [-20.0, 130.0]);
    assert_eq!(limits(r#""wrist""#), [-70.0, 80.0]);
    assert_eq!(
        limits(r#"{ joint = "wrist", clockwise = "ulnar deviation" }"#),
        [-20.0, 30.0]
    );
    assert_eq!(
        limits(r#"{ joint = "shoulder", clockwise = "extension", rest = -10 }"#),
        [-170.0, 70.0]
    );
    let child = r#"{ joint = "hip", source = "CDC", group = "F 2-8" }"#;
    assert_eq!(limits(child), [-140.8, 26.2]);
}

#[test]
fn random_poses_are_the_same_ever_after() {
    let (mut desk, member) = deckhand();
    let text = "[pose.rest]\nmove = { torso = [0, 3] }\n\
                [stress.bends]\nseed = 7\ncount = 12\nfrom = \"rest\"\nnote = \"bends\"\n\
                changes = [{ behind = { forearm = \"torso\" } }, { depth = { arm = -3 } }]\n";
    let list = desk.poses(&member, text);
    let made = &list.poses[1..];
    assert_eq!(made.len(), 12);
    assert_eq!(made[0].name, "bends@01");
    assert_eq!(made[11].note.as_deref(), Some("bends"));
    let limits: Vec<(NameId, [f64; 2])> = member.views[0]
        .parts
        .iter()
        .filter_map(|part| Some((part.name, part.limits?)))
        .collect();
    for (n, pose) in made.iter().enumerate() {
        assert_eq!(pose.turn.len(), limits.len());
        for (said, (part, [least, most])) in pose.turn.iter().zip(&limits) {
            assert_eq!(said.part, *part);
            assert!((*least..=*most).contains(&said.value));
        }
        assert_eq!(pose.sides.len(), usize::from(n % 3 == 1), "{n}");
        assert_eq!(pose.depth.len(), usize::from(n % 3 == 2), "{n}");
        assert_eq!(pose.shift.len(), 1);
    }
    // Written down when they were first made: they must never change.
    let forearm = id(&member, "forearm");
    let turns = |list: &PoseList| -> Vec<f64> {
        let of = |pose: &layfig::cast::Pose| {
            let said = pose.turn.iter().find(|said| said.part == forearm);
            said.expect("a turn").value
        };
        list.poses[1..].iter().map(of).collect()
    };
    let first = turns(&list);
    assert_eq!(first[..6], [5.6, 133.7, 63.6, -10.0, 145.0, -10.0]);
    // Another joint less, or another pose more, changes none of them.
    let fewer = text.replace("count = 12", "count = 13\nturn = \"forearm\"");
    assert_eq!(turns(&desk.poses(&member, &fewer))[..12], first);
    let other = turns(&desk.poses(&member, &text.replace("seed = 7", "seed = 8")));
    assert_ne!(other, first);
}

#[test]
fn a_warning_keeps_nothing_back() {
    let (mut desk, member) = deckhand();
    let list = desk.poses(&member, "[pose.far]\nturn = { forearm = 150 }\n");
    assert_eq!(list.poses.len(), 1);
    assert_eq!((desk.problems.errors(), desk.problems.warnings()), (0, 1));
}

/// Names of the poses and sweeps that a list keeps, and of those that it leaves out.
fn sorted_out(member: &Member, desk: &mut Desk, text: &str) -> (Vec<String>, Vec<String>) {
    desk.problems = Problems::default();
    let list = desk.poses(member, text);
    assert_ne!(desk.problems.errors(), 0, "{text}");
    let poses = list.poses.into_iter().map(|pose| pose.name);
    let sweeps = list.sweeps.into_iter().map(|sweep| sweep.name);
    let left_out = list.left_out.into_iter().map(|entry| match entry.base {
        Some(base) => format!("{} < {base}", entry.name),
        None => entry.name,
    });
    (poses.chain(sweeps).collect(), left_out.collect())
}

#[test]
fn a_bad_pose_stops_no_other() {
    let (mut desk, member) = deckhand();
    // Each stands between two good poses, as "bad".
    for bad in [
        "[pose.bad]\nturn = { amr = 3 }",
        "[pose.bad]\ntrun = { arm = 3 }",
        "[pose.bad]\nturn = { arm = \"x\" }",
        "[pose.bad]\nfrom = \"nobody\"",
        "[pose.bad]\nfrom = \"bad\"",
        "[pose.bad]\nturn = { arm = 3 hand = 4 }",
        "[pose.bad]\nturn = { arm = = 3 }",
        "[pose.bad]\nturn = { arm = 3",
        "[pose.bad]\nmirror = true\nmove = { torso = [0,\n  = 14] }\npalette = \"dusk\"",
        "[pose.bad]\nturn",
        "[pose.bad]\n[turn = { arm = 3 }",
        "[pose.bad]\nmove = { torso = [0, 14 }",
        "['''pose.bad]\nmirror = true\n[pose.bad.turn]\narm = 3",
        "[pose.bad]\nmirror = true\nmirror = false",
        "[pose.bad]\nnote = \"not closed",
        "[pose.bad]\n[pose.bad.turn]\narm = ",
        "[pose.bad]\n[pose.bad.turn\narm = 3",
        "[pose.bad]\n[pose.bad]",
        "[sweep.bad]\nturn = \"nobody\"",
        "[sweep.bad]\nturn = \"arm\"\nover = [0, 9]\nstep = = 3",
        "[sweep.bad]\nturn = \"arm\"",
        "[sweep.bad]\nfrom = \"nobody\"\nturn = \"arm\"\nover = [0, 9]",
    ] {
        let text = format!(
            "[pose.first]\nturn = {{ arm = 1 }}\n{bad}\n[pose.last]\nfrom = \"first\"\n\
             [sweep.arm]\nturn = \"arm\"\nover = [0, 9]\n"
        );
        let (kept, left_out) = sorted_out(&member, &mut desk, &text);
        assert_eq!(kept, ["first", "last", "arm"], "{bad}");
        assert_eq!(left_out, ["bad"], "{bad}");
        assert_eq!(desk.problems.errors(), 1, "{bad}: {:#?}", desk.lines());
    }
}

#[test]
fn a_pose_whose_name_cannot_be_read_stops_no_other() {
    let (mut desk, member) = deckhand();
    for bad in [
        "[pose.bad",
        "pose.bad]",
        "[pose bad]",
        "[poes.bad]",
        "[[pose.bad]]",
        "[pose.bad] mirror",
        "{[pose.bad]",
    ] {
        let text = format!(
            "[pose.first]\nturn = {{ arm = 1 }}\n{bad}\nmirror = true\n[pose.last]\nfrom = \"first\"\n"
        );
        let (kept, left_out) = sorted_out(&member, &mut desk, &text);
        assert_eq!(kept, ["first", "last"], "{bad}");
        assert_eq!(left_out, [""; 0], "{bad}");
        assert_eq!(desk.problems.errors(), 1, "{bad}: {:#?}", desk.lines());
    }
}

#[test]
fn poses_without_headers_of_their_own_stop_no_other_either() {
    let (mut desk, member) = deckhand();
    for bad in [
        "bad = { turn = { arm = = 1 } }",
        "bad = { turn = { amr = 1 } }",
        "bad = { turn = { arm = 1, arm = 2 } }",
        "bad.turn.arm = = 1",
        "bad.mirror = true\nbad.mirror = true",
        "bad = 3",
    ] {
        let text =
            format!("[pose]\nfirst.turn = {{ arm = 1 }}\n{bad}\nlast = {{ from = \"first\" }}\n");
        let (kept, _) = sorted_out(&member, &mut desk, &text);
        assert_eq!(kept, ["first", "last"], "{bad}");
    }
}

#[test]
fn what_inherits_from_a_bad_pose_is_left_out_with_it() {
    let (mut desk, member) = deckhand();
    let text = "[pose.low]\nfrom = \"mid\"\n[pose.mid]\nfrom = \"bad\"\n[pose.bad]\nturn = { amr = 3 }\n\
                [pose.rest]\n[sweep.swing]\nfrom = \"low\"\nturn = \"arm\"\nover = [0, 9]\n\
                [sweep.arm]\nfrom = \"rest\"\nturn = \"arm\"\nover = [0, 9]\n";
    let (kept, left_out) = sorted_out(&member, &mut desk, text);
    assert_eq!(kept, ["rest", "arm"]);
    assert_eq!(left_out, ["low < mid", "mid < bad", "bad", "swing < low"]);
    assert_eq!(desk.problems.errors(), 1, "told once");

    let text =
        "[pose.a]\nfrom = \"b\"\n[pose.b]\nfrom = \"a\"\n[pose.c]\nfrom = \"b\"\n[pose.rest]\n";
    let (kept, left_out) = sorted_out(&member, &mut desk, text);
    assert_eq!(kept, ["rest"]);
    assert_eq!(left_out, ["a", "b", "c < b"]);
}

#[test]
fn all_mistakes_are_told_though_the_parser_gives_up_at_the_first() {
    let (mut desk, member) = deckhand();
    let text = "[pose.a]\nturn\n[pose.b]\nmirror\n[pose.c]\n[pose.d]\nturn = { amr = 3 }\n";
    let (kept, left_out) = sorted_out(&member, &mut desk, text);
    assert_eq!(kept, ["c"]);
    assert_eq!(left_out, ["a", "b", "d"]);
    let lines: Vec<String> = desk
        .lines()
        .iter()
        .map(|line| line[..17].to_owned())
        .collect();
    assert_eq!(
        lines,
        [
            "poses/list.toml:2",
            "poses/list.toml:4",
            "poses/list.toml:7"
        ]
    );
}

#[test]
fn a_list_of_which_nothing_is_left_is_none() {
    let (mut desk, member) = deckhand();
    for text in ["", "[pose.a]\nturn = { amr = 1 }\n", "turn", "{", "[pose.a"] {
        desk.write("poses/list.toml", text);
        let path = desk.path("poses/list.toml");
        desk.problems = Problems::default();
        let list = load_poses(&path, &member, &mut desk.sources, &mut desk.problems);
        assert!(list.is_none() && !desk.problems.is_ok(), "{text}");
    }
}

#[test]
fn a_bad_entry_of_a_cast_stops_no_other() {
    let mut desk = Desk::new(&[("a/rig.toml", ""), ("b/rig.toml", "")]);
    for bad in [
        "[member.bad]",
        "[member.bad]\nrig = \"gone\"",
        "[member.bad]\nrig = 3",
        "[member.bad]\nrig = = \"a\"",
        "[member.bad]\nrig = \"a\"",
        "[member.bad]\nrig = \"b\"\nname = \"x\"",
    ] {
        desk.write("cast.toml", &format!("[member.a]\n{bad}\n[member.b]\n"));
        desk.problems = Problems::default();
        let cast = load_cast(
            &desk.path("cast.toml"),
            &mut desk.sources,
            &mut desk.problems,
        );
        let cast = cast.expect("a cast");
        let keys: Vec<&str> = cast.members.iter().map(|m| m.key.as_str()).collect();
        assert_eq!(keys, ["a", "b"], "{bad}");
        assert_eq!(cast.left_out, ["bad"], "{bad}");
        assert_eq!(desk.problems.errors(), 1, "{bad}: {:#?}", desk.lines());
    }
    desk.write("cast.toml", "[member.bad]\n");
    let path = desk.path("cast.toml");
    assert!(load_cast(&path, &mut desk.sources, &mut desk.problems).is_none());
}

#[test]
fn a_cast_lists_rigs() {
    let mut desk = Desk::new(&[
        (
            "rigs/cast.toml",
            "[cast]\nname = \"The Wenderquay Crossing\"\n[member.purser]\nrig = \"staff/purser\"\n[member.deckhand]\n",
        ),
        ("rigs/staff/purser/rig.toml", ""),
        ("rigs/deckhand/rig.toml", ""),
    ]);
    let path = desk.path("rigs/cast.toml");
    let cast = load_cast(&path, &mut desk.sources, &mut desk.problems).expect("a cast");
    assert_eq!(
        (cast.name.as_str(), &cast.path),
        ("The Wenderquay Crossing", &path)
    );
    let members: Vec<(&str, &Path)> = cast
        .members
        .iter()
        .map(|m| (m.key.as_str(), m.rig.as_path()))
        .collect();
    let purser = desk.path("rigs/staff/purser/rig.toml");
    let deckhand = desk.path("rigs/deckhand/rig.toml");
    assert_eq!(members, [("purser", &*purser), ("deckhand", &*deckhand)]);
    // The folder will do.
    let again = load_cast(&desk.path("rigs"), &mut desk.sources, &mut desk.problems);
    assert_eq!(again.expect("a cast").members.len(), 2);
}

#[test]
fn a_byte_order_mark_and_carriage_returns_are_fine() {
    let text =
        "\u{feff}[character]\r\ncanvas = [400, 600]\r\n[part.torso]\r\nart = \"a.svg#torso\"\r\n";
    let mut desk = Desk::new(&[("m/rig.toml", text), ("m/a.svg", ART)]);
    assert_eq!(desk.member("m").names, ["torso"]);
}

/// Poses in a row, so that a stray mark anywhere hurts one of them.
const ROW: &str = "[pose.first]\nturn = { arm = 1, hand = 2 }\nmove = { torso = [0,\n  14] }\n\
[pose.mid]\nnote = \"a b\"\nmirror = true\n[pose.last]\nturn = { arm = 5 }\npalette = \"dusk\"\n";

#[test]
fn wherever_a_stray_mark_is_no_pose_is_kept_that_lost_something() {
    let (mut desk, member) = deckhand();
    let shown = |list: &PoseList| -> BTreeMap<String, String> {
        let poses = list.poses.iter().map(|p| {
            let (turn, shift) = (said(&member, &p.turn), said(&member, &p.shift));
            let rest = (&p.note, p.palette, p.mirror);
            (p.name.clone(), format!("{turn:?} {shift:?} {rest:?}"))
        });
        poses.collect()
    };
    let whole = shown(&desk.poses(&member, ROW));
    let mut kept = 0;
    for at in 0..ROW.len() {
        for mark in ["[", "]", "=", "\"", "\n"] {
            let text = format!("{}{mark}{}", &ROW[..at], &ROW[at..]);
            desk.write("poses/list.toml", &text);
            desk.problems = Problems::default();
            let path = desk.path("poses/list.toml");
            let list = load_poses(&path, &member, &mut desk.sources, &mut desk.problems);
            if desk.problems.is_ok() {
                continue;
            }
            for (name, pose) in shown(&list.expect("a list")) {
                assert_eq!(whole.get(&name), Some(&pose), "{text}\n{:#?}", desk.lines());
                kept += 1;
            }
        }
    }
    assert!(kept > 1300, "{kept}");
}
