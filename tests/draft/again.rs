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
    assert!(
        new["rig.toml"][files["rig.toml"].len()..]
            .starts_with("\n[part.lantern_near]\nart    = \"a.svg#lantern_near\"\n")
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

/// The text with the edit, whole tables taken out, parts renamed everywhere.
fn edited(text: &str, edit: &Edit) -> String {
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let n = lines.len();
    let starts = |lines: &[String], what: &str| -> Vec<usize> {
        (0..lines.len())
            .filter(|&k| lines[k].starts_with(what))
            .collect()
    };
    match edit {
        Edit::Comment(k, words) => lines.insert(k % n, format!("# {words}")),
        Edit::Blank(k) => lines.insert(k % n, String::new()),
        Edit::Number(k, to) => {
            let all = starts(&lines, "depth");
            if !all.is_empty() {
                lines[all[k % all.len()]] = format!("depth  =   {to}   # by hand");
            }
        }
        Edit::TakeOut(k) => {
            let all = starts(&lines, "[seam.");
            if !all.is_empty() {
                let from = all[k % all.len()];
                let to = (from + 1..n).find(|&l| lines[l].starts_with('['));
                lines.drain(from..to.unwrap_or(n));
            }
        }
        Edit::Rename(k) => {
            let all = starts(&lines, "[part.");
            if !all.is_empty() {
                let old = lines[all[k % all.len()]]
                    .trim_start_matches("[part.")
                    .trim_end_matches(']')
                    .to_owned();
                let new = format!("{old}_own");
                for line in &mut lines {
                    *line = line
                        .replace(&format!("[part.{old}]"), &format!("[part.{new}]"))
                        .replace(&format!("\"{old}\""), &format!("\"{new}\""));
                }
            }
        }
    }
    lines.join("\n") + "\n"
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
        let new = if changes { changed(&old) } else { old.clone() };
        let draft = drafted(&new);
        let (once, _) = again(&draft, &files);
        for (name, text) in &files {
            prop_assert!(once[name].starts_with(text.as_str()), "{name}");
        }
        if !changes {
            prop_assert_eq!(&once, &files);
        }
        let (twice, _) = again(&draft, &once);
        prop_assert_eq!(twice, once);
    }
}
