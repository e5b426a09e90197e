//! The table of keys and the parser say the same: examples are read, usual values are what the parser takes, what
//! lies out of bounds is refused, and there is no key that only one of the two knows (debug builds of the parser
//! stop where it asks for a key that the table has not, or leaves one of a table unread).

use crate::key_files::{ends, places, read, sister, told, with};
use layfig::cast::{FileKind, KeyPlace, Kind, SheetKind, Usual, norms};
use layfig::compare::Tolerance;

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
fn keys_that_go_together_do_and_those_that_do_not_do_not() {
    let mut number = 0;
    for place in places() {
        let value = place.key.example;
        let line = format!("{} = {value} # here", place.key.name);
        for name in place.key.beside {
            let (text, _) = with(&place, value, false);
            let example = sister(&place, name).example;
            let alone = text.replace(&format!("{name} = {example}\n"), "");
            assert_ne!(text, alone);
            assert_ne!(read(place.file, false, &alone).told, [""; 0], "{alone}");
            number += 1;
        }
        for name in place.key.without {
            let (text, _) = with(&place, value, false);
            let other = format!("{name} = {}\n{line}", sister(&place, name).example);
            let both = text.replace(&line, &other);
            assert_ne!(read(place.file, false, &both).told, [""; 0], "{both}");
            number += 1;
        }
    }
    assert_eq!(number, 9);
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
