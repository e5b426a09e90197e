//! The table of keys and the parser say the same: examples are read, usual values are what the parser takes, what
//! lies out of bounds is refused, and there is no key that only one of the two knows (debug builds of the parser
//! stop where it asks for a key that the table has not, or leaves one of a table unread).

use std::fmt::Write as _;
use std::path::Path;

use layfig::Files;
use layfig::art::Library;
use layfig::cast::{
    FileKind, Key, KeyPlace, Kind, SheetKind, Usual, load_cast, load_member, load_poses, norms,
};
use layfig::compare::Tolerance;
use layfig::diag::{Problems, Sources, short};

/// Headers with their lines, in order.
#[derive(Clone, Default)]
struct Doc(Vec<(String, Vec<(String, String)>)>);

impl Doc {
    fn set(&mut self, header: &str, key: &str, value: &str) {
        let at = self.0.iter().position(|(known, _)| known == header);
        let at = at.unwrap_or_else(|| {
            self.0.push((header.to_owned(), Vec::new()));
            self.0.len() - 1
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
            let _ = writeln!(text, "{header}");
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
[part.hand]
art = "front.svg#a"
[part.iris]
art = "front.svg#a"
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
const LIST: &str = "[pose.rest]\n[sweep.elbow_near]\nturn = \"forearm\"\n";
const ART: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 900 1200">
<g id="a"><path d="M10 10H90V90H10Z" fill="#d99c78" stroke="#000"/></g>
<g id="hand"><path d="M10 10H90V90H10Z" fill="#d99c78" stroke="#000"/></g>
<g id="elbow_patch"><path d="M10 10H90V90H10Z" fill="#d99c78"/></g>
<g id="fist"><path d="M10 10H90V90H10Z" fill="#d99c78" stroke="#000"/></g>
</svg>"##;

/// What was read, in Rust's own words, and what was told, a line each.
struct Read {
    what: String,
    told: Vec<String>,
}

/// Reads a file of this kind, with all that it needs.
fn read(file: FileKind, views: bool, text: &str) -> Read {
    let front = format!("{PARTS}{}", if file == FileKind::View { text } else { "" });
    let character = "[character]\ncanvas = [900, 1200]\n";
    let views = views || file == FileKind::View;
    let rig = match file {
        FileKind::Rig if views => format!("{text}{RIG}"),
        FileKind::Rig => format!("{text}{RIG}{PARTS}"),
        _ if views => format!("{character}[views]\nfront = \"front.toml\"\n{RIG}"),
        _ => format!("{character}{RIG}{PARTS}"),
    };
    let list = match file {
        FileKind::Poses => format!("{LIST}{text}"),
        _ => LIST.to_owned(),
    };
    let cast = match file {
        FileKind::Cast => format!("[member.purser]\n{text}"),
        _ => String::new(),
    };
    let files = [
        ("cast.toml", cast.as_str()),
        ("deckhand/rig.toml", &rig),
        ("deckhand/front.toml", &front),
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
        name if name.starts_with('<') => "sample",
        name => name,
    }
}

/// Keys that another one asks for.
fn beside(path: &str) -> &'static [(&'static str, &'static str)] {
    match path {
        "part.<part>.parent" => &[("pivot", "[1, 2]")],
        "character.height" => &[("crown", "10"), ("ground", "1100")],
        "sheet.<sheet>.charts" => &[("kind", "\"charts\"")],
        _ => &[],
    }
}

/// A file in which a key has this value, and the line of that; without the key where `without`, which leaves all
/// else where it was.
fn with(place: &KeyPlace, value: &str, without: bool) -> (String, bool) {
    let mut doc = Doc::default();
    if place.file == FileKind::Rig {
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
    for (key, value) in beside(&place.path()) {
        doc.set(&header.join("."), key, value);
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

/// All keys that have values.
fn places() -> impl Iterator<Item = KeyPlace> {
    let all = FileKind::ALL.into_iter().flat_map(FileKind::places);
    all.filter(|place| !place.key.example.is_empty())
}

/// What is told of the value of a key.
fn told(place: &KeyPlace, value: &str) -> Vec<String> {
    let (text, views) = with(place, value, false);
    read(place.file, views, &text).told
}

#[test]
fn every_example_is_read() {
    let mut number = 0;
    for place in places() {
        let told = told(&place, place.key.example);
        assert_eq!(told, [""; 0], "{}: {}", place.path(), place.key.example);
        number += 1;
    }
    assert!(number > 150, "{number}");
}

#[test]
fn usual_values_are_what_the_parser_takes() {
    let mut differ = 0;
    for place in places() {
        let value = match place.key.usual {
            Usual::Flag(flag) => flag.to_string(),
            Usual::Number(number) => number.to_string(),
            Usual::Pair([x, y]) => format!("[{x:?}, {y:?}]"),
            Usual::Word(word) => format!("\"{word}\""),
            Usual::Must | Usual::Nothing | Usual::As(_) => continue,
        };
        let path = place.path();
        // What nobody says of pictures is for the comparison to say: see below.
        if path.contains("compare.") {
            continue;
        }
        let width = value.len().max(place.key.example.len());
        let what = |value: &str, without| {
            let (text, views) = with(&place, &format!("{value:<width$}"), without);
            let read = read(place.file, views, &text);
            assert_eq!(read.told, [""; 0], "{path} {value}");
            read.what
        };
        let without = what(&value, true);
        assert_eq!(what(&value, false), without, "{path} = {value}");
        differ += usize::from(what(place.key.example, false) != without);
    }
    assert!(differ > 8, "{differ}");
}

#[test]
fn a_comparison_takes_the_usual_values() {
    let usual = |name: &str| {
        let mut all = places().filter(|place| place.path() == format!("compare.{name}"));
        match all.next().expect(name).key.usual {
            Usual::Number(number) => number,
            _ => panic!("{name}"),
        }
    };
    let tolerance = Tolerance::default();
    assert_eq!(usual("colour"), tolerance.colour);
    assert_eq!(usual("edge"), tolerance.edge);
    assert_eq!(usual("pixels"), tolerance.pixels as f64);
}

/// Values just outside the bounds of a kind, and just inside.
fn ends(kind: &Kind) -> (Vec<String>, Vec<String>) {
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

#[test]
fn what_is_out_of_bounds_is_refused_and_the_bounds_are_not() {
    let (mut refused, mut taken) = (0, 0);
    for place in places() {
        let (out, within) = ends(&place.key.kind);
        for value in out {
            let told = told(&place, &value);
            assert_ne!(told, [""; 0], "{} = {value}", place.path());
            refused += 1;
        }
        for value in within {
            let told = told(&place, &value);
            let of_bounds = |line: &&String| line.contains("must be") || line.contains("longer");
            let found = told.iter().find(of_bounds);
            assert_eq!(found, None, "{} = {value}", place.path());
            taken += 1;
        }
    }
    assert!(refused > 200 && taken > 150, "{refused} {taken}");
}

#[test]
fn the_words_of_a_key_are_read_and_no_others() {
    let mut number = 0;
    for place in places() {
        let words = place.key.kind.words();
        if words.is_empty() {
            continue;
        }
        let path = place.path();
        let wrong = |line: &String| {
            line.contains("unknown") || line.contains("cannot be") || line.contains("must be")
        };
        for word in words {
            let told = told(&place, &format!("\"{word}\""));
            // Not every joint has norms for adults, nor every source for every joint.
            assert!(!told.iter().any(wrong), "{path} {word}: {told:?}");
            number += 1;
        }
        if place.key.kind.all().len() == 1 {
            let told = told(&place, "\"nonesuch\"");
            assert!(told.iter().any(wrong), "{path}: {told:?}");
        }
    }
    assert!(number > 60, "{number}");
    let words = |path: &str| {
        let mut all = places().filter(|place| place.path() == path);
        all.next().expect(path).key.kind.words()
    };
    let mut joints: Vec<&str> = norms().iter().map(|norm| norm.joint).collect();
    joints.dedup();
    joints.sort_unstable();
    joints.dedup();
    let mut known = words("part.<part>.limits").to_vec();
    known.sort_unstable();
    assert_eq!(known, joints);
    let kinds = words("sheet.<sheet>.kind");
    assert_eq!(kinds.len(), SheetKind::ALL.len() - 1, "all but line-ups");
}

#[test]
fn lists_are_as_long_as_the_table_says() {
    let mut number = 0;
    for place in places() {
        let (item, counts) = match place.key.kind {
            Kind::Texts(_, counts) => ("\"forearm\"", counts),
            Kind::List(Kind::Any(_) | Kind::Pair(_), counts) => ("[1, 2]", counts),
            _ => continue,
        };
        let list = |count: usize| format!("[{}]", vec![item; count].join(", "));
        let [least, most] = counts;
        let mut counts = vec![];
        counts.extend(least.checked_sub(1));
        counts.extend(most.checked_add(1));
        for count in counts {
            let told = told(&place, &list(count));
            assert_ne!(told, [""; 0], "{} of {count}", place.path());
            number += 1;
        }
    }
    assert!(number > 10, "{number}");
}

#[test]
fn every_table_refuses_a_key_that_it_has_not() {
    let mut number = 0;
    for place in FileKind::ALL.into_iter().flat_map(FileKind::places) {
        let Some(keys) = place.key.kind.keys().filter(|keys| !keys[0].is_chosen()) else {
            continue;
        };
        let tables = place.tables.iter().copied().chain([place.key]).collect();
        let stranger = KeyPlace {
            tables,
            key: &keys[0],
            ..place.clone()
        };
        let (text, views) = with(&stranger, stranger.key.example, false);
        let text = text.replace("# here", "\nzzzzzz = 1 #");
        let read = read(place.file, views, &text);
        let unknown = read
            .told
            .iter()
            .any(|line| line.contains("unknown key \"zzzzzz\""));
        assert!(unknown, "{}: {:?}\n{text}", place.path(), read.told);
        number += 1;
    }
    assert!(number > 30, "{number}");
}

#[test]
fn everything_is_explained() {
    for place in FileKind::ALL.into_iter().flat_map(FileKind::places) {
        let (path, about) = (place.path(), place.key.about);
        assert!(!about.is_empty() && !about.ends_with('.'), "{path}");
        assert!(!about.contains('\n'), "{path}");
        let first = about.chars().next().expect("a letter");
        assert!(
            first.is_uppercase() || path.starts_with("character."),
            "{path}: {about}"
        );
    }
}
