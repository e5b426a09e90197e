//! "Did you mean ...?"

use strsim::damerau_levenshtein;

/// Longer names are not compared: no one mistypes them, and the comparison is quadratic.
const LONGEST: usize = 100;
/// Beyond this many candidates the rest is not looked at.
const MOST: usize = 10_000;

/// The candidate that was most likely meant by `name`: equal but for case or the order of its
/// words, or a few slips away (none for names of one or two letters, one up to five letters, two
/// up to eight, then a third of the length, at most four). The first of equals wins.
///
/// ```
/// use layfig::diag::nearest;
///
/// let parts = ["upper_arm_near", "forearm_near", "hand_near"];
/// assert_eq!(nearest("forarm_near", parts), Some("forearm_near"));
/// assert_eq!(nearest("near_hand", parts), Some("hand_near"));
/// assert_eq!(nearest("tail", parts), None);
/// ```
#[must_use]
pub fn nearest<'a>(name: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    if name.is_empty() || name.len() > 4 * LONGEST {
        return None;
    }
    let name = name.to_lowercase();
    let length = name.chars().count();
    let words = words(&name);
    let mut best: Option<(usize, &str)> = None;
    for candidate in candidates.into_iter().take(MOST) {
        let other_length = candidate.chars().take(LONGEST + 1).count();
        let reach = reach(length.min(other_length));
        let Some(most) = best.map_or(Some(reach), |(d, _)| d.checked_sub(1)) else {
            break;
        };
        if other_length > LONGEST {
            continue;
        }
        let other = candidate.to_lowercase();
        let distance = if other == name {
            0
        } else if words.len() > 1 && words == self::words(&other) {
            1
        } else if length.abs_diff(other_length) > reach {
            continue;
        } else {
            damerau_levenshtein(&name, &other)
        };
        if distance <= most.min(reach.max(1)) && (distance <= reach || words.len() > 1) {
            best = Some((distance, candidate));
        }
    }
    best.map(|(_, candidate)| candidate)
}

/// How many slips are forgiven in a name of this many letters.
const fn reach(length: usize) -> usize {
    match length {
        0..=2 => 0,
        3..=5 => 1,
        6..=8 => 2,
        9..=11 => 3,
        _ => 4,
    }
}

/// The words of a name, in alphabetical order.
fn words(name: &str) -> Vec<&str> {
    let mut words: Vec<&str> = name.split(['_', '-', '.', ' ']).collect();
    words.sort_unstable();
    words
}

#[cfg(test)]
mod tests {
    use super::nearest;

    #[test]
    fn slips_are_forgiven_in_proportion() {
        assert_eq!(nearest("hed", ["head", "hand"]), Some("head"));
        assert_eq!(nearest("pivto", ["parent", "pivot"]), Some("pivot"));
        assert_eq!(nearest("ab", ["ac"]), None);
        assert_eq!(nearest("leg", ["arm"]), None);
        assert_eq!(
            nearest("eyebrow_nera", ["eyebrow_near"]),
            Some("eyebrow_near")
        );
    }

    #[test]
    fn case_and_word_order_do_not_matter() {
        assert_eq!(nearest("HEAD", ["hand", "head"]), Some("head"));
        assert_eq!(nearest("X", ["x"]), Some("x"));
        assert_eq!(
            nearest("far-hand", ["hand_near", "hand_far"]),
            Some("hand_far")
        );
    }

    #[test]
    fn the_closest_wins_and_the_first_of_equals() {
        assert_eq!(
            nearest("hand_neer", ["hand_nee", "hand_near", "hand_neers"]),
            Some("hand_nee")
        );
        assert_eq!(nearest("cuff", ["cuffs", "cuff2"]), Some("cuffs"));
        assert_eq!(nearest("cuff", ["cuffs", "Cuff"]), Some("Cuff"));
    }

    #[test]
    fn absurd_names_are_passed_over() {
        assert_eq!(nearest("", ["a"]), None);
        assert_eq!(nearest(&"x".repeat(1 << 20), ["x"]), None);
        let long = "x".repeat(1 << 20);
        assert_eq!(nearest("xxx", [long.as_str(), "xxy"]), Some("xxy"));
    }
}
