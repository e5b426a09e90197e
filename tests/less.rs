//! The short ways to write a rig: what they say in short is what the long way says in full.

use std::path::Path;

use layfig::Files;
use layfig::art::Library;
use layfig::cast::{Member, load_member};
use layfig::diag::{Problems, Sources, short};

/// Parts of a figure and its marks, as an artist draws them.
const FRONT: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 400 600" width="100mm" height="150mm">
<g id="torso"><path d="M150 100H250V300H150Z" fill="#d99c78" stroke="#000"/></g>
<g id="arm_left"><path d="M230 110H270V200H230Z" fill="#d99c78" stroke="#000"/></g>
<g id="arm_right"><path d="M130 110H170V200H130Z" fill="#d99c78" stroke="#000"/></g>
<g id="hand_left"><path d="M230 190H270V240H230Z" fill="#d99c78" stroke="#000"/><circle id="wrist" cx="251" cy="196" r="2" fill="#f0f"/></g>
<g id="hand_right"><path d="M130 190H170V240H130Z" fill="#d99c78" stroke="#000"/></g>
<g id="fist_left"><path d="M230 190H270V220H230Z" fill="#2f8f8b" stroke="#000"/></g>
<circle id="elbow" cx="250" cy="120.5" r="3" fill="none" stroke="#f0f"/>
</svg>"##;

/// A member read from these files, in Rust's own words, without places and with drawings by name; and what is told.
fn read(files: &[(&str, &str)]) -> (Option<String>, Vec<String>) {
    let (member, library, told) = load(files);
    let words = member.map(|member| {
        let mut words = format!("{member:#?}");
        while let Some(start) = words.find("Span {") {
            let end = start + words[start..].find('}').unwrap();
            words.replace_range(start..=end, "");
        }
        while let Some(start) = words.find("ArtId(") {
            let end = start + words[start..].find(')').unwrap();
            let id: String = words[start..end]
                .chars()
                .filter(char::is_ascii_digit)
                .collect();
            let art = &library.all()[id.parse::<usize>().unwrap()];
            words.replace_range(start..=end, &format!("{}#{}", art.file.display(), art.id));
        }
        words
    });
    (words, told)
}

fn load(files: &[(&str, &str)]) -> (Option<Member>, Library, Vec<String>) {
    let all = files.iter().copied().chain([("m/front.svg", FRONT)]);
    let mut sources = Sources::of(Files::memory(all).expect("paths"));
    let (mut problems, mut library) = (Problems::default(), Library::new());
    let member = load_member(Path::new("m"), &mut sources, &mut problems, &mut library);
    let told = problems.list().iter().map(|p| short(p, &sources)).collect();
    (member, library, told)
}

#[track_caller]
fn same(short: &[(&str, &str)], long: &[(&str, &str)]) {
    let (short, told) = read(short);
    assert_eq!(told, [""; 0]);
    let (long, told) = read(long);
    assert_eq!(told, [""; 0]);
    let (short, long) = (short.expect("a member"), long.expect("a member"));
    for (short, long) in short.lines().zip(long.lines()) {
        assert_eq!(short, long);
    }
    assert_eq!(short, long);
}

#[track_caller]
fn told(files: &[(&str, &str)], expect: &[&str]) {
    let (_, told) = read(files);
    assert_eq!(told, expect);
}

const CANVAS: &str = "[character]\ncanvas = [400, 600]\n";

#[test]
fn parts_take_the_elements_of_their_names() {
    same(
        &[(
            "m/rig.toml",
            r##"drawing = "front.svg"
[character]
canvas = "front.svg"
[part.root]
[part.torso]
parent = "root"
pivot = [200, 300]
[part.arm]
art = "#arm_left"
parent = "torso"
pivot = [250, 120]
[part.arm_right]
art = false
parent = "torso"
pivot = [150, 120]
replacements = { bare = "#arm_right" }
[seam.shoulder]
parts = ["torso", "arm"]
"##,
        )],
        &[(
            "m/rig.toml",
            r##"[character]
canvas = [400, 600]
[part.root]
[part.torso]
art = "front.svg#torso"
parent = "root"
pivot = [200, 300]
[part.arm]
art = "front.svg#arm_left"
parent = "torso"
pivot = [250, 120]
[part.arm_right]
parent = "torso"
pivot = [150, 120]
replacements = { bare = "front.svg#arm_right" }
[seam.shoulder]
parts = ["torso", "arm"]
"##,
        )],
    );
}

#[test]
fn drawings_that_are_not_there_are_told() {
    let rig = |top: &str, canvas: &str| {
        format!("{top}\n[character]\ncanvas = {canvas}\n[part.torso]\nart = \"#torso\"\n")
    };
    told(
        &[("m/rig.toml", &rig("drawing = \"fron.svg\"", "[400, 600]"))],
        &[
            "m/rig.toml:1:11: error: no such file: \"fron.svg\" (hint: did you mean \"front.svg\"?)",
            "m/rig.toml:5:7: error: \"art\" names no file (hint: write a file and an element id, as in \"front.svg#hand\")",
        ],
    );
    told(
        &[("m/rig.toml", &rig("", "\"../front.svg\""))],
        &[
            "m/rig.toml:3:10: error: \"canvas\" leads out of the member's folder (hint: keep a member's files in the folder of its rig.toml)",
            "m/rig.toml:5:7: error: \"art\" names no file (hint: write a file and an element id, as in \"front.svg#hand\")",
        ],
    );
    let corner = FRONT.replace("0 0 400", "-20 0 400");
    told(
        &[
            ("m/side.svg", &corner),
            ("m/rig.toml", &rig("drawing = \"side.svg\"", "\"side.svg\"")),
        ],
        &[
            "m/rig.toml:3:10: error: the viewBox of \"side.svg\" starts at -20 0, not at 0 0 (hint: move the drawing and write viewBox=\"0 0 400 600\")",
        ],
    );
    told(
        &[
            (
                "m/rig.toml",
                &format!("drawing = \"front.svg\"\n{CANVAS}[views]\nfront = \"front.toml\"\n"),
            ),
            ("m/front.toml", "drawing = \"front.svg\"\n[part.torso]\n"),
        ],
        &[
            "m/rig.toml:1:1: error: \"drawing\" stands beside [views] (hint: move it to the file of its view)",
        ],
    );
}
