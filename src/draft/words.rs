//! What people call layers, taken apart into words.

/// Which of a pair a part is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Side {
    /// The viewer's, or the left of two.
    Near,
    /// The other.
    Far,
}

/// Which pair of limbs of an animal.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Pair {
    /// Fore legs.
    Fore,
    /// Hind legs.
    Hind,
}

/// A name in words.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Words {
    /// All of them, lower case, in their order.
    pub all: Vec<String>,
    /// Without those that say which of several it is.
    pub base: Vec<String>,
    /// Which of two.
    pub side: Option<Side>,
    /// Which pair of limbs.
    pub pair: Option<Pair>,
    /// Which of many.
    pub number: Option<u32>,
}

/// Words that say nothing about what is drawn.
const EMPTY: [&str; 34] = [
    "layer",
    "group",
    "grp",
    "g",
    "path",
    "rect",
    "circle",
    "ellipse",
    "polygon",
    "polyline",
    "line",
    "shape",
    "object",
    "svg",
    "use",
    "image",
    "xmlid",
    "svgid",
    "compound",
    "artboard",
    "vector",
    "frame",
    "copy",
    "artwork",
    "drawing",
    "figure",
    "character",
    "rig",
    "puppet",
    "parts",
    "all",
    "element",
    "canvas",
    "clip",
];

/// Words for what a layer is to the drawing, not to the figure: ink and paint in their own layers.
const ROLES: [&str; 28] = [
    "ink",
    "inks",
    "line",
    "lines",
    "lineart",
    "linework",
    "outline",
    "outlines",
    "stroke",
    "strokes",
    "paint",
    "paints",
    "fill",
    "fills",
    "colour",
    "colours",
    "color",
    "colors",
    "flat",
    "flats",
    "shade",
    "shades",
    "shading",
    "shadow",
    "shadows",
    "highlight",
    "highlights",
    "detail",
];

/// The words of a name: at what is no letter or digit, at capitals within, between letters and digits.
#[must_use]
pub fn split(name: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    let mut last: Option<char> = None;
    let mut new = true;
    let chars: Vec<char> = name.chars().collect();
    for (at, &c) in chars.iter().enumerate() {
        if !c.is_alphanumeric() {
            new = true;
            last = None;
            continue;
        }
        if let Some(before) = last {
            let camel = before.is_lowercase() && c.is_uppercase();
            // XMLId: the last capital of a row belongs to the next word.
            let row = before.is_uppercase()
                && c.is_uppercase()
                && chars.get(at + 1).is_some_and(|n| n.is_lowercase());
            new |= camel || row || before.is_numeric() != c.is_numeric();
        }
        if new {
            words.push(String::new());
            new = false;
        }
        if let Some(word) = words.last_mut() {
            word.extend(c.to_lowercase());
        }
        last = Some(c);
    }
    words
}

/// Whether a name says nothing: what a program gives by itself.
#[must_use]
pub fn is_empty(name: &str) -> bool {
    split(name).iter().all(|word| {
        EMPTY.contains(&word.as_str()) || word.chars().all(|c| c.is_numeric()) || word.is_empty()
    })
}

/// Whether a name says only what a layer is to the drawing.
#[must_use]
pub fn is_role(name: &str) -> bool {
    let words = split(name);
    let role = |word: &String| ROLES.contains(&word.as_str());
    let plain = |word: &String| {
        role(word) || EMPTY.contains(&word.as_str()) || word.chars().all(char::is_numeric)
    };
    words.iter().any(role) && words.iter().all(plain)
}

/// Whether a name ends in what a layer is to the drawing: `arm_ink`, `headShade2`.
#[must_use]
pub fn is_detail(name: &str) -> bool {
    let words = split(name);
    let last = words
        .iter()
        .rev()
        .find(|word| !word.chars().all(char::is_numeric));
    last.is_some_and(|word| ROLES.contains(&word.as_str()))
}

fn side(word: &str) -> Option<Side> {
    match word {
        "near" | "left" | "l" | "lft" => Some(Side::Near),
        "far" | "right" | "r" | "rgt" => Some(Side::Far),
        _ => None,
    }
}

fn pair(word: &str) -> Option<Pair> {
    match word {
        "fore" | "front" => Some(Pair::Fore),
        "hind" | "rear" | "back" => Some(Pair::Hind),
        _ => None,
    }
}

impl Words {
    /// Of a name.
    #[must_use]
    pub fn new(name: &str) -> Self {
        let mut all = split(name);
        if all.len() > 1 {
            let said: Vec<String> = all
                .iter()
                .filter(|w| !matches!(w.as_str(), "layer" | "group" | "grp" | "copy"))
                .cloned()
                .collect();
            if said.iter().any(|w| !w.chars().all(char::is_numeric)) {
                all = said;
            }
        }
        // A fin or a wing may be on the left side of a side; the last word that says it counts.
        let at = all.iter().rposition(|w| side(w).is_some());
        let mut base = Vec::new();
        let (mut of_pair, mut number) = (None, None);
        for (k, word) in all.iter().enumerate() {
            if at == Some(k) {
                continue;
            }
            let legs = [
                "leg", "upper", "lower", "paw", "hoof", "foot", "limb", "thigh", "shin",
            ];
            let is_limb = all.iter().any(|w| legs.contains(&w.as_str()));
            if let (Some(p), true) = (pair(word), is_limb && of_pair.is_none()) {
                of_pair = Some(p);
            } else if let Ok(n) = word.parse::<u32>() {
                number = Some(n);
            } else {
                base.push(word.clone());
            }
        }
        if base.is_empty() {
            base.clone_from(&all);
        }
        Self {
            side: at.and_then(|k| side(&all[k])),
            pair: of_pair,
            number,
            base,
            all,
        }
    }

    /// As a rig writes it.
    #[must_use]
    pub fn name(&self) -> String {
        let name = self.all.join("_");
        let short: String = name.chars().take(80).collect();
        if short.is_empty() {
            "part".to_owned()
        } else {
            short
        }
    }

    /// Whether the two may be of one limb: no side of one is not the other's.
    #[must_use]
    pub fn fits(&self, other: &Self) -> bool {
        let one = |a: bool, b: bool, same: bool| !(a && b) || same;
        one(
            self.side.is_some(),
            other.side.is_some(),
            self.side == other.side,
        ) && one(
            self.pair.is_some(),
            other.pair.is_some(),
            self.pair == other.pair,
        )
    }

    /// What is left of the words behind those of another name: its own words, for a `hand_fist` of a `hand`. The same side and
    /// number, or none said.
    #[must_use]
    pub fn beyond(&self, other: &Self) -> Option<&[String]> {
        let side = self.side == other.side || other.side.is_none();
        let rest = self.base.strip_prefix(other.base.as_slice())?;
        (side && self.pair == other.pair && !rest.is_empty()).then_some(rest)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_come_apart_in_any_spelling() {
        for name in [
            "upper arm L",
            "upperArm.l",
            "Upper_Arm-left",
            "UPPER ARM (LEFT)",
            "L_upper_arm",
        ] {
            let words = Words::new(name);
            assert_eq!(words.base, ["upper", "arm"], "{name}");
            assert_eq!(words.side, Some(Side::Near), "{name}");
        }
        let paw = Words::new("hind_paw_far");
        assert_eq!(
            (paw.base.concat(), paw.pair, paw.side),
            ("paw".into(), Some(Pair::Hind), Some(Side::Far))
        );
        assert_eq!(Words::new("hair_back").base, ["hair", "back"]);
        assert_eq!(Words::new("link3").number, Some(3));
        assert_eq!(Words::new("Layer: torso").name(), "torso");
    }

    #[test]
    fn what_programs_name_by_themselves_says_nothing() {
        for name in [
            "g1023",
            "path34-5",
            "Layer_1",
            "Group 12 copy",
            "XMLID_7_",
            "_Group_",
            "",
            "layer1",
        ] {
            assert!(is_empty(name), "{name}");
        }
        for name in ["torso", "Layer torso", "leg 1", "glow"] {
            assert!(!is_empty(name), "{name}");
        }
        assert!(is_role("Lines") && is_role("fills 2") && !is_role("head lines"));
        assert!(is_detail("head_ink-2") && is_detail("headShade") && !is_detail("wink"));
    }
}
