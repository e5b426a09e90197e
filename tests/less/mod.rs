//! The short ways to write a rig: what they say in short is what the long way says in full.

mod demo;
mod like;
mod lines;
mod mirror;
mod parts;
mod pivots;
mod swatches;

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

/// A member read from these files, in Rust's own words, and what is told.
fn read(files: &[(&str, &str)]) -> (Option<String>, Vec<String>) {
    let (member, library, told) = load(files);
    (member.map(|member| words(&member, &library)), told)
}

/// A member in Rust's own words, without places and with drawings by name. What a view calls its drawing is how it says
/// things in short, and no part of what it says.
pub fn words(member: &Member, library: &Library) -> String {
    let mut words = format!("{member:#?}").replace("drawing: None,", "");
    while let Some(start) = words.find("drawing: Some(") {
        let end = start + words[start..].find("),").unwrap() + 2;
        words.replace_range(start..end, "");
    }
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
}

fn load(files: &[(&str, &str)]) -> (Option<Member>, Library, Vec<String>) {
    let all = [("m/front.svg", FRONT)].into_iter();
    let all = all.chain(files.iter().copied());
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
