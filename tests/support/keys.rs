//! Files with single keys of the table, for tests of keys and of schemas.
#![allow(dead_code, reason = "each test program uses its own part of this")]

use std::fmt::Write as _;
use std::path::Path;

use layfig::Files;
use layfig::art::Library;
use layfig::cast::{FileKind, Key, KeyPlace, Kind, Usual, load_cast, load_member, load_poses};
use layfig::diag::{Problems, Sources, short};

/// Headers with their lines, in order.
#[derive(Clone, Default)]
struct Doc(Vec<(String, Vec<(String, String)>)>);

impl Doc {
    fn set(&mut self, header: &str, key: &str, value: &str) {
        let at = self.0.iter().position(|(known, _)| known == header);
        let at = at.unwrap_or_else(|| {
            // What stands under no header comes first.
            let at = if header.is_empty() { 0 } else { self.0.len() };
            self.0.insert(at, (header.to_owned(), Vec::new()));
            at
        });
        let lines = &mut self.0[at].1;
        lines.retain(|(known, _)| known != key);
        if !key.is_empty() {
            lines.push((key.to_owned(), value.to_owned()));
        }
    }

    fn text(&self) -> String {
        let mut text = String::new();
        for (header, lines) in &self.0 {
            let list = ["lint.allow", ".changes"]
                .iter()
                .any(|end| header.ends_with(end));
            let header = if list {
                format!("[[{header}]]")
            } else {
                format!("[{header}]")
            };
            if header != "[]" {
                let _ = writeln!(text, "{header}");
            }
            for (key, value) in lines {
                let _ = writeln!(text, "{key} = {value}");
            }
        }
        text
    }
}

/// Parts that examples name, with what they need.
const PARTS: &str = r#"
[part.torso]
art = "front.svg#a"
[part.head]
art = "front.svg#a"
[part.upper_arm]
art = "front.svg#a"
parent = "torso"
pivot = [30, 40]
limits = [-60, 170]
[part.forearm]
art = "front.svg#a"
parent = "upper_arm"
pivot = [30, 80]
limits = [-10, 145]
points = { palm = [30, 100] }
[part.hand]
art = "front.svg#a"
parent = "forearm"
pivot = [30, 110]
[part.crate]
art = "front.svg#a"
points = { handle = [60, 20] }
[part.iris]
art = "front.svg#a"
look = [6, 4]
[part.eye]
art = "front.svg#a"
[part.cuff]
art = "front.svg#a"
[part.cap]
art = "front.svg#a"
[part.mouth]
art = "front.svg#a"
replacements = { fist = "hands.svg#fist" }
[crop.head]
part = "head"
[chart.hands]
parts = ["mouth"]
"#;
const RIG: &str = "[palette.day]\nskin = \"#d99c78\"\n[palette.dusk]\nskin = \"#8a6d7c\"\n";
const EXPRESSIONS: &str = "[expression.angry]\nturn = { head = 4 }\n";
const LIST: &str = "[pose.rest]\n[sweep.elbow_near]\nturn = \"forearm\"\n";
const ART: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 900 1200">
<g id="a"><path d="M10 10H90V90H10Z" fill="#d99c78" stroke="#000"/></g>
<g id="hand"><path d="M10 10H90V90H10Z" fill="#d99c78" stroke="#000"/></g>
<g id="elbow_patch"><path d="M10 10H90V90H10Z" fill="#d99c78"/></g>
<g id="fist"><path d="M10 10H90V90H10Z" fill="#d99c78" stroke="#000"/></g>
</svg>"##;

/// What was read, in Rust's own words, and what was told, a line each.
pub struct Read {
    pub what: String,
    pub told: Vec<String>,
}

/// A file of this kind in full.
pub fn whole(file: FileKind, views: bool, text: &str) -> String {
    match file {
        FileKind::Rig if views => format!("{text}{RIG}"),
        // What an expression says of a view.
        FileKind::Rig if text.contains("[expression") && text.contains("view") => {
            format!("{text}[views]\nfront = \"front.toml\"\n{RIG}")
        }
        FileKind::Rig => format!("{text}{RIG}{PARTS}"),
        FileKind::View if text.starts_with('[') => format!("{PARTS}{text}"),
        FileKind::View => format!("{text}{PARTS}"),
        FileKind::Poses => format!("{LIST}{text}"),
        FileKind::Cast => format!("[member.purser]\n{text}"),
    }
}

/// Reads a file of this kind, with all that it needs.
pub fn read(file: FileKind, views: bool, text: &str) -> Read {
    let in_views = file == FileKind::Poses && text.contains("view");
    let views = views || file == FileKind::View || in_views;
    let or = |kind: FileKind, other: &str| match kind == file {
        true => whole(file, views, text),
        false => other.to_owned(),
    };
    let front = or(FileKind::View, PARTS);
    let list = or(FileKind::Poses, LIST);
    let cast = or(FileKind::Cast, "");
    let character = "[character]\ncanvas = [900, 1200]\nground = 1150\n";
    let of_views = format!("{character}[views]\nfront = \"front.toml\"\n{RIG}{EXPRESSIONS}");
    let plain = format!("{character}{RIG}{EXPRESSIONS}{PARTS}");
    let rig = or(FileKind::Rig, if views { &of_views } else { &plain });
    let files = [
        ("cast.toml", cast.as_str()),
        ("deckhand/rig.toml", &rig),
        ("deckhand/front.toml", &front),
        ("deckhand/side.toml", PARTS),
        ("deckhand/poses.toml", &list),
        ("deckhand/front.svg", ART),
        ("deckhand/hands.svg", ART),
        ("purser/rig.toml", ""),
    ];
    let mut sources = Sources::of(Files::memory(files).expect("paths"));
    let mut problems = Problems::default();
    let what = if file == FileKind::Cast {
        let cast = load_cast(Path::new("cast.toml"), &mut sources, &mut problems);
        format!("{cast:?}")
    } else {
        let path = Path::new("deckhand");
        let member = load_member(path, &mut sources, &mut problems, &mut Library::new());
        let path = path.join("poses.toml");
        let list = member
            .as_ref()
            .and_then(|member| load_poses(&path, member, &mut sources, &mut problems));
        format!("{member:?} {list:?}")
    };
    let errors = problems
        .list()
        .iter()
        .map(|problem| short(problem, &sources));
    let told = errors.filter(|line| line.contains(": error: ")).collect();
    Read { what, told }
}

/// What a chosen name is called in these tests.
fn called(key: &Key) -> &'static str {
    match key.name {
        "<part>" => "forearm",
        "<view>" => "front",
        "<swatch>" => "skin",
        "<expression>" => "angry",
        name if name.starts_with('<') => "sample",
        name => name,
    }
}

/// Keys that another one asks for.
fn beside(path: &str) -> &'static [(&'static str, &'static str)] {
    match path {
        path if path.starts_with("mask.") => &[("part", "\"iris\"")],
        path if path.starts_with("garment.") => &[("part", "\"cuff\"")],
        "part.<part>.parent" => &[("pivot", "[1, 2]")],
        "sheet.<sheet>.charts" => &[("kind", "\"charts\"")],
        _ => &[],
    }
}

/// A file in which a key has this value, and the line of that; without the key where `without`, which leaves all
/// else where it was.
pub fn with(place: &KeyPlace, value: &str, without: bool) -> (String, bool) {
    let mut doc = Doc::default();
    if place.file == FileKind::Rig && place.path() != "character.canvas" {
        doc.set("character", "canvas", "[900, 1200]");
    }
    let mut header: Vec<&str> = Vec::new();
    // `part` itself is chosen apart from the parts that are there.
    let own_part = |tables: &[&Key]| tables.len() == 1 && tables[0].name == "part";
    for (at, table) in place.tables.iter().enumerate() {
        let chosen = own_part(&place.tables[..at]) && table.is_chosen();
        header.push(if chosen { "sample" } else { called(table) });
        let keys = table.kind.keys().expect("a table");
        let last = at + 1 == place.tables.len();
        let next = place.tables.get(at + 1).copied().unwrap_or(place.key);
        let name = header.join(".");
        if table.is_list_of_tables() || last && !keys[0].is_chosen() {
            doc.set(&name, "", "");
        }
        for key in keys.iter().filter(|key| key.usual == Usual::Must) {
            if !std::ptr::eq(key, next) && !key.example.is_empty() {
                doc.set(&name, key.name, key.example);
            }
        }
    }
    if place.path().starts_with("part.<part>.foreshortened") {
        let drawings = "{ fist = \"hands.svg#fist\", sample = \"hands.svg#fist\" }";
        doc.set("part.sample", "replacements", drawings);
    }
    for (key, value) in beside(&place.path()) {
        doc.set(&header.join("."), key, value);
    }
    for name in place.key.beside {
        doc.set(&header.join("."), name, sister(place, name).example);
    }
    let name = called(place.key);
    let mark = if without { "#" } else { "" };
    let name = format!("{mark}{}", &name[mark.len()..]);
    doc.set(&header.join("."), &name, &format!("{value} # here"));
    let views = place
        .tables
        .first()
        .is_some_and(|table| table.name == "views");
    (doc.text(), views)
}

/// Another key of the same table.
pub fn sister(place: &KeyPlace, name: &str) -> &'static Key {
    let keys = place.tables.last().and_then(|table| table.kind.keys());
    let mut keys = keys.expect("a table").iter();
    keys.find(|key| key.name == name).expect("a key")
}

/// All keys that have values.
pub fn places() -> impl Iterator<Item = KeyPlace> {
    let all = FileKind::ALL.into_iter().flat_map(FileKind::places);
    all.filter(|place| !place.key.example.is_empty())
}

/// What is told of the value of a key.
pub fn told(place: &KeyPlace, value: &str) -> Vec<String> {
    let (text, views) = with(place, value, false);
    read(place.file, views, &text).told
}

/// Values just outside the bounds of a kind, and just inside.
pub fn ends(kind: &Kind) -> (Vec<String>, Vec<String>) {
    let beyond = |[least, most]: [f64; 2]| [least.next_down(), most.next_up()];
    let pairs = |[x, y]: [f64; 2]| [format!("[{x:?}, 0.0]"), format!("[0.0, {y:?}]")];
    match *kind {
        Kind::Number(bounds) => {
            let text = |[x, y]: [f64; 2]| vec![format!("{x:?}"), format!("{y:?}")];
            (text(beyond(bounds)), text(bounds))
        }
        Kind::Whole([least, most]) => (
            vec![
                format!("{}", least - 1.0),
                format!("{}", (most + 1.0).max(most.next_up())),
            ],
            vec![least.to_string(), most.to_string()],
        ),
        Kind::Above(most) => (
            vec!["0.0".to_owned(), format!("{:?}", most.next_up())],
            vec![format!("{:?}", f64::MIN_POSITIVE), format!("{most:?}")],
        ),
        Kind::Pair(bounds) => (pairs(beyond(bounds)).into(), pairs(bounds).into()),
        Kind::Sides(most) => (
            vec!["[1, 0.0]".to_owned(), format!("[{:?}, 1]", most.next_up())],
            vec![format!("[1, {most:?}]")],
        ),
        Kind::Scale => (
            vec!["0".to_owned(), "[1, 0]".to_owned(), "-1000001".to_owned()],
            vec!["-1000000".to_owned(), "[1000000, 1]".to_owned()],
        ),
        Kind::Words => {
            let long = |n| format!("\"{}\"", "x".repeat(n));
            let out = vec!["\" \"".to_owned(), "\"a\\tb\"".to_owned(), long(1001)];
            (out, vec![long(1000)])
        }
        Kind::Any(kinds) => {
            let all: Vec<_> = kinds.iter().map(ends).collect();
            let (out, within): (Vec<_>, Vec<_>) = all.into_iter().unzip();
            (out.concat(), within.concat())
        }
        Kind::List(kind, counts) => {
            let (out, within) = ends(kind);
            let listed = |text: String| format!("[{}]", vec![text; counts[0].max(1)].join(", "));
            (
                out.into_iter().map(listed).collect(),
                within.into_iter().map(listed).collect(),
            )
        }
        _ => (Vec::new(), Vec::new()),
    }
}
