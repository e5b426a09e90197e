//! `layfig draft --update`: twice is the same as once, and what a person wrote stays.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use layfig::Files;
use layfig::draft::{Draft, draft, texts, updated};
use proptest::prelude::*;

const OLD: &str = "tests/draft/art/mate_nested_marks.svg";

fn drafted(text: &str) -> Draft {
    let files = Files::memory([("a.svg", text)]).unwrap();
    draft(&files, Path::new(""), &[PathBuf::from("a.svg")]).unwrap_or_else(|(p, _)| panic!("{p:?}"))
}

fn again(
    draft: &Draft,
    files: &BTreeMap<String, String>,
) -> (BTreeMap<String, String>, Vec<String>) {
    let update = updated(draft, |name| files.get(name).cloned()).unwrap();
    let mut out = files.clone();
    out.extend(update.files);
    (out, update.told)
}

/// The drawing with a lantern in her hand, and without her braid.
fn changed(text: &str) -> String {
    let braid = text.find("<g id=\"braid\">").unwrap();
    let end = braid + text[braid..].find("</g>").unwrap() + 4;
    let text = format!("{}{}", &text[..braid], &text[end..]);
    let lantern = "<g id=\"lantern_near\"><path fill=\"#d8a23c\" stroke=\"#22304a\" stroke-width=\"5\" d=\"M330 490h40v50h-40z\"/></g></svg>";
    text.replace("</svg>", lantern)
}

#[test]
fn what_is_new_is_added_and_what_is_gone_is_told() {
    let old = std::fs::read_to_string(OLD).unwrap();
    let files: BTreeMap<String, String> = texts(&drafted(&old)).into_iter().collect();
    assert_eq!(again(&drafted(&old), &files), (files.clone(), Vec::new()));
    let (new, told) = again(&drafted(&changed(&old)), &files);
    assert!(new["rig.toml"].starts_with(&files["rig.toml"]));
    let added = &new["rig.toml"][files["rig.toml"].len()..];
    assert!(
        added.contains("\n[part.lantern_near]\nparent = "),
        "{added}"
    );
    assert!(
        told.iter()
            .any(|t| t == "rig.toml: part lantern_near is new"),
        "{told:?}"
    );
    assert!(
        told.iter().any(|t| t == "rig.toml: a.svg#braid is gone from the drawing; what stands of it stays until you take it out"),
        "{told:?}"
    );
    let (third, _) = again(&drafted(&changed(&old)), &new);
    assert_eq!(third, new);
}

/// What people do to a rig: lines with a comment, numbers, order, names.
#[derive(Clone, Debug)]
enum Edit {
    Comment(usize, String),
    Number(usize, i32),
    TakeOut(usize),
    Rename(usize),
    Blank(usize),
}

fn edits() -> impl Strategy<Value = Vec<Edit>> {
    let one = prop_oneof![
        (any::<prop::sample::Index>(), "[a-z ]{0,12}")
            .prop_map(|(k, s)| Edit::Comment(k.index(10_000), s)),
        (any::<prop::sample::Index>(), -90..90).prop_map(|(k, n)| Edit::Number(k.index(10_000), n)),
        any::<prop::sample::Index>().prop_map(|k| Edit::TakeOut(k.index(10_000))),
        any::<prop::sample::Index>().prop_map(|k| Edit::Rename(k.index(10_000))),
        any::<prop::sample::Index>().prop_map(|k| Edit::Blank(k.index(10_000))),
    ];
    prop::collection::vec(one, 0..8)
}

/// The text with the edit: lines of parts with other numbers, without seams, under other names.
fn edited(text: &str, edit: &Edit) -> String {
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let n = lines.len();
    let of = |lines: &[String], table: &str| -> Vec<usize> {
        let Some(from) = lines.iter().position(|l| l == &format!("[{table}]")) else {
            return Vec::new();
        };
        let to = (from + 1..lines.len()).find(|&k| lines[k].starts_with('['));
        (from + 1..to.unwrap_or(lines.len()))
            .filter(|&k| lines[k].contains(" = "))
            .collect()
    };
    match edit {
        Edit::Comment(k, words) => lines.insert(k % n, format!("# {words}")),
        Edit::Blank(k) => lines.insert(k % n, String::new()),
        Edit::Number(k, to) => {
            let mut all = of(&lines, "part");
            all.retain(|&l| lines[l].contains(", depth = "));
            if !all.is_empty() {
                let line = &mut lines[all[k % all.len()]];
                let from = line.find(", depth = ").unwrap() + 10;
                // An edit before this one may have left spaces.
                let number = line[from..].trim_start();
                let end = line.len() - number.len() + number.find([',', ' ']).unwrap();
                line.replace_range(from..end, &format!("  {to}"));
            }
        }
        Edit::TakeOut(k) => {
            let all = of(&lines, "seam");
            if !all.is_empty() {
                lines.remove(all[k % all.len()]);
            }
        }
        Edit::Rename(k) => {
            let all = of(&lines, "part");
            let Some(&at) = all.get(k % all.len().max(1)) else {
                return text.to_owned();
            };
            let (old, rest) = lines[at].split_once(" = {").unwrap();
            let (old, rest) = (old.to_owned(), rest.to_owned());
            let art = if rest.contains("art = ") {
                String::new()
            } else {
                format!(" art = \"#{old}\",")
            };
            for line in &mut lines {
                *line = line.replace(&format!("\"{old}\""), &format!("\"{old}_own\""));
            }
            let rest = lines[at].split_once(" = {").unwrap().1.to_owned();
            lines[at] = format!("{old}_own = {{{art}{rest}");
        }
    }
    lines.join("\n") + "\n"
}

/// Whether all that one text says stands in the other, in its order.
fn holds(new: &str, old: &str) -> bool {
    let mut rest = new.chars();
    old.chars().all(|c| rest.any(|d| d == c))
}

/// Whether all that one file says the other says too.
fn says(new: &toml::Value, old: &toml::Value) -> bool {
    match (new, old) {
        (toml::Value::Table(new), toml::Value::Table(old)) => old
            .iter()
            .all(|(key, value)| new.get(key).is_some_and(|own| says(own, value))),
        _ => new == old,
    }
}

/// The drawing with a fist on a hidden layer, and another.
fn with_fists(text: &str) -> String {
    let fist = |side: &str| {
        format!(
            "<g id=\"hand_{side}_fist\" style=\"display:none\"><path fill=\"#e5b48c\" stroke=\"#22304a\" stroke-width=\"5\" d=\"M270 470h40v40h-40z\"/></g>"
        )
    };
    text.replace("</svg>", &format!("{}{}</svg>", fist("near"), fist("far")))
}

#[test]
fn new_replacements_are_put_among_those_that_are_there() {
    let old = std::fs::read_to_string(OLD).unwrap();
    let mut files: BTreeMap<String, String> = texts(&drafted(&old)).into_iter().collect();
    let draft = drafted(&with_fists(&old));
    let rig = files["rig.toml"].clone();
    let line = rig
        .lines()
        .find(|l| l.starts_with("hand_near = {"))
        .unwrap();
    let keys = line
        .split_once('{')
        .unwrap()
        .1
        .rsplit_once('}')
        .unwrap()
        .0
        .trim();
    // As drafted; with one already, a comma and a comment behind; as a table of its own; in the other way to end lines.
    let one = format!("hand_near = {{ {keys}, replacements = {{ wave = \"#braid\", }} }} # mine");
    let rows = [
        (
            line.to_owned(),
            format!(
                "hand_near = {{ {keys}, replacements = {{ fist = \"a.svg#hand_near_fist\" }} }}"
            ),
        ),
        (
            one.clone(),
            one.replace("#braid\", }", "#braid\", fist = \"a.svg#hand_near_fist\" }"),
        ),
    ];
    for (written, want) in rows {
        for end in ["\n", "\r\n"] {
            let text = rig.replace(line, &written).replace('\n', end);
            files.insert("rig.toml".into(), text.clone());
            let (new, told) = again(&draft, &files);
            assert!(new["rig.toml"].contains(&want), "{}", new["rig.toml"]);
            assert!(holds(&new["rig.toml"], &text));
            assert!(
                told.contains(&"rig.toml: replacement fist of hand_near is new".into()),
                "{told:?}"
            );
            assert_eq!(again(&draft, &new).0, new);
        }
    }
    let one: toml::Table = toml::from_str(line).unwrap();
    let keys = one["hand_near"].as_table().unwrap().iter();
    let keys: String = keys
        .map(|(key, value)| format!("{key} = {value}\n"))
        .collect();
    let own = format!(
        "{}\n[part.hand_near] # by hand\n{keys}",
        rig.replace(&format!("{line}\n"), "")
    );
    files.insert("rig.toml".into(), own.clone());
    let (new, _) = again(&draft, &files);
    assert!(
        new["rig.toml"].contains("\nreplacements = { fist = \"a.svg#hand_near_fist\" }\n"),
        "{}",
        new["rig.toml"]
    );
    assert!(holds(&new["rig.toml"], &own));
    // Every element of a name: nothing is to be added.
    let every = rig.replace(
        line,
        &line.replace(
            "hand_near = {",
            "hand_near = { replacements = \"#hand_near_*\",",
        ),
    );
    files.insert("rig.toml".into(), every.clone());
    let (new, _) = again(&draft, &files);
    assert!(
        !new["rig.toml"].contains("#hand_near_fist"),
        "{}",
        new["rig.toml"]
    );
}

#[test]
fn a_view_that_is_new_is_named_in_the_rig() {
    let side = std::fs::read_to_string(OLD).unwrap();
    let of = |names: &[&str]| {
        let drawings: Vec<PathBuf> = names.iter().map(PathBuf::from).collect();
        let all = names.iter().map(|n| (*n, side.as_str()));
        let files = Files::memory(all).unwrap();
        draft(&files, Path::new(""), &drawings).unwrap_or_else(|(p, _)| panic!("{p:?}"))
    };
    let mut files: BTreeMap<String, String> =
        texts(&of(&["front.svg", "side.svg"])).into_iter().collect();
    // What is the same in both is said once.
    assert!(
        files["side.toml"].contains("like = \"front.toml\"")
            && files["side.toml"].len() < files["front.toml"].len() / 4
    );
    let rig = files["rig.toml"].replace("[views]", "[views]  # of the show");
    files.insert("rig.toml".into(), rig.clone());
    let three = of(&["front.svg", "side.svg", "back.svg"]);
    let (new, told) = again(&three, &files);
    assert!(
        new["rig.toml"].contains("side = \"side.toml\"\nback = \"back.toml\"\n"),
        "{}",
        new["rig.toml"]
    );
    assert!(holds(&new["rig.toml"], &rig) && new.contains_key("back.toml"));
    assert_eq!(
        (&new["front.toml"], &new["side.toml"]),
        (&files["front.toml"], &files["side.toml"])
    );
    assert!(
        told.contains(&"rig.toml: view back is new".into()),
        "{told:?}"
    );
    assert_eq!(again(&three, &new).0, new);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]

    #[test]
    fn hand_edits_survive_and_twice_is_once(edits in edits(), changes in any::<bool>()) {
        let old = std::fs::read_to_string(OLD).unwrap();
        let mut files: BTreeMap<String, String> = texts(&drafted(&old)).into_iter().collect();
        for edit in &edits {
            let text = edited(&files["rig.toml"], edit);
            files.insert("rig.toml".into(), text);
        }
        let new = if changes { with_fists(&changed(&old)) } else { old.clone() };
        let draft = drafted(&new);
        let (once, _) = again(&draft, &files);
        for (name, text) in &files {
            prop_assert!(holds(&once[name], text), "{name}");
            let [new, old] = [&once[name], text].map(|t| toml::from_str::<toml::Value>(t).unwrap());
            prop_assert!(says(&new, &old), "{name}: {new}");
        }
        if !changes {
            prop_assert_eq!(&once, &files);
        }
        let (twice, _) = again(&draft, &once);
        prop_assert_eq!(twice, once);
    }
}
