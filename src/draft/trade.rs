//! What riggers call the parts of a body, and what carries what.

use super::words::{Pair, Words};

/// What sort of part a name says.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Trade {
    /// The first of its names.
    pub name: &'static str,
    /// Other names for it, and other spellings.
    pub also: &'static [&'static str],
    /// What carries it, the first that there is.
    pub on: &'static [&'static str],
    /// The joint whose norm its limits may name.
    pub joint: Option<&'static str>,
    /// What it is to a figure.
    pub sort: Sort,
}

/// What a part is to a figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Sort {
    /// Turns on what carries it, and shares its outline: a limb.
    Limb,
    /// Lies on what carries it.
    Feature,
    /// Is seen only inside what carries it.
    Inside,
    /// Worn.
    Garment,
}

use Sort::{Feature, Garment, Inside, Limb};

const fn of(
    name: &'static str,
    also: &'static [&'static str],
    on: &'static [&'static str],
    sort: Sort,
) -> Trade {
    Trade {
        name,
        also,
        on,
        joint: None,
        sort,
    }
}

const fn joint(trade: Trade, joint: &'static str) -> Trade {
    Trade {
        joint: Some(joint),
        ..trade
    }
}

/// The pieces of a body.
pub const BODY: &[&str] = &["chest", "torso", "pelvis"];
const ON_HEAD: &[&str] = &["face", "head", "chest", "torso", "pelvis"];

#[rustfmt::skip]
const TRADES: [Trade; 67] = [
    of("pelvis", &["hips", "hip", "waist", "lower body", "lower torso", "rump", "haunch", "haunches"], &[], Limb),
    of("abdomen", &["belly", "stomach"], &["pelvis", "torso", "chest"], Limb),
    of("torso", &["body", "trunk", "upper body", "upper torso"], &["pelvis", "column", "base"], Limb),
    of("chest", &["thorax", "ribcage", "breast", "shoulders"], &["torso", "abdomen", "pelvis"], Limb),
    joint(of("neck", &[], BODY, Limb), "neck"),
    joint(of("head", &["skull"], &["neck", "chest", "torso", "pelvis"], Limb), "neck"),
    of("face", &[], &["head"], Feature),
    of("jaw", &["mandible", "chin", "lower jaw"], &["head"], Limb),
    of("muzzle", &["snout", "beak", "bill"], &["head", "chest", "torso"], Feature),
    of("eye", &["eyeball", "eye white", "eyewhite", "sclera", "eyes"], ON_HEAD, Feature),
    of("lens", &[], ON_HEAD, Feature),
    of("iris", &["irises"], &["eye", "lens", "face", "head"], Inside),
    of("pupil", &["pupils"], &["iris", "eye", "lens", "face", "head"], Inside),
    of("glint", &["catchlight", "eye shine", "eye spark", "sparkle"], &["eye", "lens", "iris", "pupil"], Inside),
    of("lid", &["eyelid", "eye lid", "lids", "eyelids", "shutter", "upper lid", "lower lid"], &["eye", "lens", "face", "head"], Inside),
    of("lash", &["lashes", "eyelash", "eyelashes", "rim", "eye rim"], &["eye", "lens", "face", "head"], Feature),
    of("brow", &["eyebrow", "eye brow", "brows", "eyebrows"], ON_HEAD, Feature),
    of("ear", &["ears"], &["head", "face", "chest", "torso"], Feature),
    of("nose", &["nostril", "nostrils"], &["face", "head", "muzzle", "torso"], Feature),
    of("mouth", &["lips", "lip", "smile"], ON_HEAD, Feature),
    of("teeth", &["tooth", "fangs", "fang"], &["mouth", "jaw", "face", "head"], Inside),
    of("tongue", &[], &["mouth", "jaw", "face", "head"], Inside),
    of("moustache", &["mustache", "beard", "whisker", "whiskers", "cheek", "cheeks", "blush", "freckles"], ON_HEAD, Feature),
    of("hair", &["fringe", "bangs", "lock", "curl", "braid", "plait", "ponytail", "pigtail", "bun", "mane", "crest", "comb", "forelock"], &["head", "neck", "torso"], Feature),
    of("horn", &["horns", "antler", "antlers", "antenna", "antennae", "feeler"], &["head", "chest", "torso"], Feature),
    of("hat", &["cap", "helmet", "hood", "bonnet", "beret", "visor"], ON_HEAD, Feature),
    of("glasses", &["goggles", "spectacles", "monocle", "beacon"], ON_HEAD, Feature),
    joint(of("upper arm", &["arm upper", "upperarm", "biceps", "shoulder"], BODY, Limb), "shoulder"),
    joint(of("forearm", &["fore arm", "lower arm", "lowerarm", "arm lower", "elbow"], &["upper arm", "arm"], Limb), "elbow"),
    joint(of("arm", &["arms"], BODY, Limb), "shoulder"),
    joint(of("hand", &["fist", "palm", "wrist", "hands"], &["forearm", "arm", "upper arm"], Limb), "wrist"),
    of("pincer", &["claw", "claws", "gripper"], &["hand", "forearm", "arm", "upper arm", "foot", "leg"], Limb),
    of("finger", &["fingers", "thumb", "forefinger"], &["hand", "forearm", "arm"], Limb),
    joint(of("thigh", &["upper leg", "leg upper", "upperleg", "femur"], &["pelvis", "torso", "chest"], Limb), "hip"),
    joint(of("shin", &["calf", "lower leg", "lowerleg", "leg lower", "knee", "tibia"], &["thigh", "leg"], Limb), "knee"),
    joint(of("leg", &["legs"], &["pelvis", "torso", "chest"], Limb), "hip"),
    joint(of("foot", &["feet", "ankle", "heel", "shoe"], &["shin", "leg", "thigh"], Limb), "ankle"),
    of("paw", &["hoof"], &["shin", "forearm", "leg", "arm", "thigh", "upper arm"], Limb),
    of("toe", &["toes"], &["foot", "paw"], Limb),
    of("tail", &[], &["pelvis", "torso", "abdomen", "chest"], Limb),
    of("wing", &["wings", "flipper", "fin"], BODY, Limb),
    of("upper sleeve", &["sleeve upper"], &["upper arm", "arm"], Garment),
    of("lower sleeve", &["sleeve lower"], &["forearm", "arm"], Garment),
    of("sleeve", &["sleeves"], &["upper arm", "arm", "forearm"], Garment),
    of("cuff", &["bracelet", "wristband", "watch"], &["forearm", "arm", "upper arm"], Garment),
    of("glove", &["mitten", "mitt"], &["hand", "forearm", "arm"], Garment),
    of("boot shaft", &["bootleg", "gaiter", "shaft"], &["shin", "leg"], Garment),
    of("boot", &["boots"], &["shin", "foot", "leg"], Garment),
    of("sock", &["socks", "stocking"], &["shin", "foot", "leg"], Garment),
    of("upper trouser", &["trouser upper", "pant upper", "upper pant"], &["thigh", "leg"], Garment),
    of("lower trouser", &["trouser lower", "pant lower", "lower pant"], &["shin", "leg"], Garment),
    of("trouser", &["trouser leg", "pant leg", "pants leg"], &["thigh", "leg"], Garment),
    of("trousers", &["pants", "shorts", "skirt", "kilt", "belt"], &["pelvis", "torso"], Feature),
    of("jacket", &["coat", "shirt", "jumper", "sweater", "apron", "bib", "poncho", "tunic"], BODY, Feature),
    of("vest", &["waistcoat", "saddle", "harness", "kerchief", "bandana", "blanket"], BODY, Garment),
    of("collar", &["scarf", "tie", "bow tie", "neckerchief", "necklace"], &["chest", "torso", "neck", "head"], Feature),
    of("cape", &["cloak", "backpack", "bag", "satchel", "strap", "badge", "button", "buttons", "pocket", "handle"], BODY, Feature),
    of("knee pad", &["kneepad"], &["shin", "leg"], Feature),
    of("base", &["chassis", "hull", "stand", "plinth", "foundation"], &[], Limb),
    of("column", &["post", "mast", "pillar", "stem"], &["base"], Limb),
    of("boom", &["crane"], &["torso", "column", "base"], Limb),
    of("jib", &[], &["boom"], Limb),
    of("wheel", &["roller", "cog", "gear"], &["track", "base", "torso"], Feature),
    of("track", &["tracks", "axle"], &["base", "torso"], Feature),
    of("hook", &[], &[], Limb),
    of("hatch", &["door", "porthole", "window", "lamp", "chimney", "stack", "funnel"], &["torso", "base"], Feature),
    of("handlebar", &[], &["base", "torso"], Feature),
];

/// A sort of part found in a name.
#[derive(Clone, Copy, Debug)]
pub struct Said {
    /// Which.
    pub trade: &'static Trade,
    /// The first of its words in the name.
    pub from: usize,
    /// After the last.
    pub to: usize,
}

/// The sort of part that words say; the longest of the names that fit, at the end rather than at the beginning.
#[must_use]
pub fn said(words: &Words) -> Option<Said> {
    let base: Vec<&str> = words.base.iter().map(String::as_str).collect();
    if let Some(trade) = of_limb(words) {
        return Some(Said {
            trade,
            from: 0,
            to: base.len(),
        });
    }
    let mut best: Option<((usize, bool, bool), Said)> = None;
    for trade in &TRADES {
        for name in std::iter::once(&trade.name).chain(trade.also) {
            let wanted: Vec<&str> = name.split(' ').collect();
            let n = wanted.len();
            let places = base.windows(n).enumerate();
            for (at, _) in places.filter(|(_, found)| *found == wanted) {
                // The base of a tail is no base.
                let place = n == 1 && base.len() > 1 && PLACES.contains(&wanted[0]);
                let rank = (if place { 0 } else { n }, at + n == base.len(), at == 0);
                if best.is_none_or(|(known, _)| rank > known) {
                    let said = Said {
                        trade,
                        from: at,
                        to: at + n,
                    };
                    best = Some((rank, said));
                }
            }
        }
    }
    best.map(|(_, said)| said)
}

/// The sort of part that a name says; nothing where it says of what sort of part something else is: a `boss_shoulder`.
#[must_use]
pub fn trade(words: &Words) -> Option<&'static Trade> {
    said(words)
        .filter(|said| !is_about(words, *said))
        .map(|said| said.trade)
}

/// The sort of part that a name is about, where it is none itself.
#[must_use]
pub fn about(words: &Words) -> Option<&'static Trade> {
    said(words)
        .filter(|said| is_about(words, *said))
        .map(|said| said.trade)
}

fn is_about(words: &Words, said: Said) -> bool {
    let plain = [
        "main", "outer", "inner", "big", "small", "long", "short", "old", "new", "top", "bottom",
        "my", "the",
    ];
    let known = |word: &String| {
        PLACES.contains(&word.as_str())
            || plain.contains(&word.as_str())
            || is_state(word)
            || TRADES.iter().any(|t| {
                std::iter::once(&t.name)
                    .chain(t.also)
                    .any(|name| name.split(' ').any(|w| w == word))
            })
    };
    said.from > 0 && said.trade.sort == Limb && !known(&words.base[0])
}

/// `hind_upper`, `fore_lower_far`: the segment of a leg that only says which pair it is of.
fn of_limb(words: &Words) -> Option<&'static Trade> {
    let pair = words.pair?;
    let has = |word: &str| words.base.iter().any(|w| w == word);
    let name = match pair {
        _ if has("paw") || has("hoof") || has("foot") => "paw",
        Pair::Fore if has("upper") || has("thigh") => "upper arm",
        Pair::Hind if has("upper") || has("thigh") => "thigh",
        Pair::Fore if has("lower") || has("shin") => "forearm",
        Pair::Hind if has("lower") || has("shin") => "shin",
        Pair::Fore if has("leg") || has("limb") => "arm",
        Pair::Hind if has("leg") || has("limb") => "leg",
        _ => return None,
    };
    named(name)
}

/// The sort of this name.
#[must_use]
pub fn named(name: &str) -> Option<&'static Trade> {
    TRADES.iter().find(|trade| trade.name == name)
}

/// Where along a chain a piece is, if its words say so: `tail_base`, `tail_mid`, `tail_tip`.
#[must_use]
pub fn along(words: &Words) -> Option<u32> {
    let place = |word: &str| match word {
        "base" | "root" | "start" => Some(0),
        "upper" | "first" => Some(10),
        "mid" | "middle" | "second" => Some(20),
        "lower" | "third" => Some(30),
        "end" | "tip" | "last" | "plume" => Some(40),
        _ => None,
    };
    words
        .number
        .map(|n| 10 + n)
        .or_else(|| words.base.iter().rev().find_map(|word| place(word)))
}

/// Words for a place along a chain.
const PLACES: [&str; 14] = [
    "base", "root", "start", "upper", "first", "mid", "middle", "second", "lower", "third", "end",
    "tip", "last", "plume",
];

/// The words of a chain without those that say where along it: `tail`.
#[must_use]
pub fn stem(words: &Words) -> Vec<String> {
    let base = words.base.iter();
    base.filter(|w| !PLACES.contains(&w.as_str()))
        .cloned()
        .collect()
}

/// Words for a drawing of a part, one of several.
const STATES: [&str; 75] = [
    "open",
    "opened",
    "closed",
    "close",
    "shut",
    "half",
    "low",
    "wide",
    "narrow",
    "small",
    "big",
    "large",
    "happy",
    "sad",
    "angry",
    "cross",
    "stern",
    "smile",
    "smirk",
    "grin",
    "frown",
    "laugh",
    "shout",
    "yell",
    "yawn",
    "howl",
    "bark",
    "pant",
    "bite",
    "pressed",
    "grit",
    "round",
    "rest",
    "relaxed",
    "neutral",
    "default",
    "normal",
    "fist",
    "point",
    "pointing",
    "grip",
    "grab",
    "hold",
    "flat",
    "spread",
    "peace",
    "thumbs",
    "alt",
    "alternative",
    "variant",
    "squint",
    "blink",
    "wink",
    "surprised",
    "scared",
    "worried",
    "sleep",
    "asleep",
    "on",
    "off",
    "lit",
    "unlit",
    "a",
    "e",
    "i",
    "o",
    "u",
    "pressed",
    "bite",
    "th",
    "ee",
    "oo",
    "ah",
    "oh",
    "talk",
];

/// Whether a word says which of several drawings it is.
#[must_use]
pub fn is_state(word: &str) -> bool {
    STATES.contains(&word)
}

/// Whether a word says the drawing that a part has at rest.
#[must_use]
pub fn is_rest(word: &str) -> bool {
    matches!(
        word,
        "rest" | "relaxed" | "neutral" | "default" | "normal" | "open"
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_say_what_a_part_is() {
        for (name, want) in [
            ("Upper Arm L", "upper arm"),
            ("lower_arm.r", "forearm"),
            ("leftForeArm", "forearm"),
            ("shoe-right", "foot"),
            ("hind_upper_far", "thigh"),
            ("front leg left", "arm"),
            ("sleeve_lower_near", "lower sleeve"),
            ("eyeLid_r", "lid"),
            ("iris_near", "iris"),
            ("tail3", "tail"),
            ("hair_back", "hair"),
            ("cuff_rolled_far", "cuff"),
        ] {
            assert_eq!(
                trade(&Words::new(name)).map(|t| t.name),
                Some(want),
                "{name}"
            );
        }
        assert_eq!(trade(&Words::new("link_3")), None);
        let boss = Words::new("boss_shoulder_near");
        assert_eq!(
            (trade(&boss), about(&boss).map(|t| t.name)),
            (None, Some("upper arm"))
        );
        assert_eq!(
            trade(&Words::new("tail_base")).map(|t| t.name),
            Some("tail")
        );
    }

    #[test]
    fn everything_is_carried_by_what_there_is_and_no_name_means_two_things() {
        let mut seen = std::collections::BTreeSet::new();
        for t in &TRADES {
            assert!(t.on.iter().all(|on| named(on).is_some()), "{}", t.name);
            for name in std::iter::once(&t.name).chain(t.also) {
                assert!(seen.insert(*name), "{name}");
            }
        }
    }
}
