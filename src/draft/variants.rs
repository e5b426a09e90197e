//! Which drawings are others of the same part: hidden ones, and visible ones that lie in each other's place.

use super::part::{Drawing, Part};
use super::trade::{is_rest, is_state, stem};
use super::words::Words;

/// Boxes that have less than this in common are in different places.
const PLACE: f64 = 0.25;
/// Drawings of one part without a word that says so cover so much of each other.
const ALIKE: f64 = 0.6;

/// What was found of other drawings.
#[derive(Clone, Debug, PartialEq)]
pub struct Variant {
    /// The part that it is of.
    pub of: String,
    /// As the rig calls it.
    pub name: String,
    /// The layer.
    pub label: String,
    /// The drawing program shows it over the other.
    pub seen: bool,
}

/// A name's words without the last of its own: `mouth` of `mouth_open`.
fn family(words: &Words) -> Option<(Vec<String>, String)> {
    let (last, rest) = words.base.split_last()?;
    (!rest.is_empty() && stem(words).len() == words.base.len())
        .then(|| (rest.to_vec(), last.clone()))
}

/// The rest of a name when it is one drawing of a family: nothing where it is the family's own name.
fn of_family(words: &Words, base: &[String]) -> Option<String> {
    if words.base == base {
        return Some(String::new());
    }
    let (rest, last) = family(words)?;
    (rest == base && last != "back" && last != "front").then_some(last)
}

fn same_limb(a: &Words, b: &Words) -> bool {
    (a.side, a.pair, a.number) == (b.side, b.pair, b.number)
}

/// Takes visible drawings that lie in the place of another, and are called so, for replacements of that.
pub fn visible(parts: &mut Vec<Part>) -> Vec<Variant> {
    let mut found = Vec::new();
    let mut at = 0;
    while at < parts.len() {
        let Some((base, _)) = family(&parts[at].words) else {
            at += 1;
            continue;
        };
        let words = parts[at].words.clone();
        let members: Vec<(usize, String)> = (0..parts.len())
            .filter(|&k| same_limb(&parts[k].words, &words) && parts[k].around == parts[at].around)
            .filter_map(|k| Some((k, of_family(&parts[k].words, &base)?)))
            .collect();
        let Some(main) = main(&members) else {
            at += 1;
            continue;
        };
        let says = |word: &str| word.is_empty() || is_state(word);
        let stated = members.iter().filter(|(_, word)| says(word)).count();
        let others: Vec<(usize, String)> = members
            .iter()
            .filter(|(k, word)| {
                let (own, other) = (&parts[main].shown, &parts[*k].shown);
                let by_name = says(word) || 2 * stated > members.len() && stated > 1;
                *k != main
                    && !word.is_empty()
                    && own.in_place_of(other) > PLACE
                    && (by_name || own.alike(other) > ALIKE)
            })
            .cloned()
            .collect();
        if others.is_empty() {
            at += 1;
            continue;
        }
        let own = &mut parts[main];
        if own.words.base != base {
            rename(own, &base);
        }
        for (k, word) in &others {
            let (label, drawing) = (parts[*k].label.clone(), parts[*k].drawing.clone());
            found.push(Variant {
                of: parts[main].name.clone(),
                name: word.clone(),
                label,
                seen: true,
            });
            add(&mut parts[main], word, drawing);
        }
        let gone: Vec<usize> = others.iter().map(|(k, _)| *k).collect();
        remove(parts, &gone, main);
        at = 0;
    }
    found
}

/// The drawing at rest: the one of the family's own name, else one that says so, else the first.
fn main(members: &[(usize, String)]) -> Option<usize> {
    if members.len() < 2 {
        return None;
    }
    let own = members.iter().find(|(_, word)| word.is_empty());
    let rest = || {
        members
            .iter()
            .find(|(_, word)| is_rest(word) && word != "open")
    };
    own.or_else(rest)
        .or_else(|| members.first())
        .map(|(k, _)| *k)
}

fn rename(part: &mut Part, base: &[String]) {
    let gone: Vec<String> = part.words.base[base.len()..].to_vec();
    let mut all = part.words.all.clone();
    for word in gone {
        if let Some(k) = all.iter().rposition(|w| *w == word) {
            all.remove(k);
        }
    }
    part.words.all = all;
    part.words.base = base.to_vec();
    part.name = part.words.name();
    part.trade = super::trade::trade(&part.words);
}

fn add(part: &mut Part, word: &str, drawing: Drawing) {
    let mut name = word.to_owned();
    if matches!(name.as_str(), "art" | "none" | "") {
        name = format!("{name}_2");
    }
    let taken = |name: &str| part.replacements.iter().any(|(known, _)| known == name);
    let mut nth = 2;
    while taken(&name) {
        name = format!("{word}_{nth}");
        nth += 1;
    }
    part.replacements.push((name, drawing));
}

/// Takes parts out; what was inside them is inside `into`.
fn remove(parts: &mut Vec<Part>, gone: &[usize], into: usize) {
    let left: Vec<usize> = (0..parts.len()).filter(|k| !gone.contains(k)).collect();
    let new = |k: usize| {
        let k = if gone.contains(&k) { into } else { k };
        left.iter().position(|&l| l == k)
    };
    for part in parts.iter_mut() {
        part.inside = part.inside.and_then(new);
    }
    let mut k = 0;
    parts.retain(|_| {
        k += 1;
        !gone.contains(&(k - 1))
    });
}

/// Gives hidden drawings to the parts that they are called for, else to the only drawing in whose place they lie. Those
/// that are nobody's come back.
pub fn hidden(parts: &mut [Part], hidden: Vec<Part>) -> (Vec<Variant>, Vec<Part>) {
    let (mut found, mut left) = (Vec::new(), Vec::new());
    for other in hidden {
        let Some((k, word)) = owner(parts, &other) else {
            left.push(other);
            continue;
        };
        if let Some((base, _)) = family(&parts[k].words)
            && of_family(&other.words, &base).is_some()
            && other.words.beyond(&parts[k].words).is_none()
        {
            rename(&mut parts[k], &base);
        }
        add(&mut parts[k], &word, other.drawing.clone());
        found.push(Variant {
            of: parts[k].name.clone(),
            name: parts[k]
                .replacements
                .last()
                .map_or(word, |(name, _)| name.clone()),
            label: other.label.clone(),
            seen: false,
        });
    }
    (found, left)
}

fn owner(parts: &[Part], other: &Part) -> Option<(usize, String)> {
    let all = || parts.iter().enumerate();
    let by_name = all()
        .filter_map(|(k, p)| {
            Some((
                k,
                other.words.beyond(&p.words)?.join("_"),
                p.words.base.len(),
            ))
        })
        .max_by_key(|(k, _, n)| (*n, std::cmp::Reverse(*k)));
    if let Some((k, word, _)) = by_name {
        return Some((k, word));
    }
    let of_family = all().find_map(|(k, p)| {
        let (base, _) = family(&p.words)?;
        let word = of_family(&other.words, &base).filter(|w| !w.is_empty())?;
        same_limb(&p.words, &other.words).then_some((k, word))
    });
    if of_family.is_some() {
        return of_family;
    }
    let mut siblings = all().filter(|(_, p)| {
        p.around == other.around
            && p.inside == other.inside
            && p.trade.is_some() == other.trade.is_some()
            && (p.trade == other.trade)
            && p.shown.in_place_of(&other.shown) > PLACE
    });
    match (siblings.next(), siblings.next()) {
        (Some((k, _)), None) => Some((k, other.name.clone())),
        _ => None,
    }
}
