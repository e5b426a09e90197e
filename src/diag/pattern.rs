//! Names with `*` for anything.

/// True when `text` is what `pattern` says; `*` stands for any run of characters but `/`.
#[must_use]
pub fn glob(pattern: &str, text: &str) -> bool {
    let [patterns, words] = [pattern, text].map(|all| all.split('/').collect::<Vec<_>>());
    let mut pairs = patterns.iter().zip(&words);
    patterns.len() == words.len() && pairs.all(|(pattern, word)| matches(pattern, word))
}

fn matches(pattern: &str, word: &str) -> bool {
    let Some((first, rest)) = pattern.split_once('*') else {
        return pattern == word;
    };
    let (middle, last) = rest.rsplit_once('*').unwrap_or(("", rest));
    // What lies between stars is found as early as can be.
    let found = middle
        .split('*')
        .try_fold(word.strip_prefix(first), |rest, piece| {
            let rest = rest?;
            Some(Some(&rest[rest.find(piece)? + piece.len()..]))
        });
    found.flatten().is_some_and(|rest| rest.ends_with(last))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_names_match_only_themselves() {
        assert!(glob("haul", "haul"));
        assert!(!glob("haul", "haul_2"));
        assert!(!glob("haul", "hau"));
        assert!(!glob("", "haul"));
        assert!(glob("", ""));
    }

    #[test]
    fn stars_match_any_run_inside_one_word() {
        assert!(glob("*", "haul"));
        assert!(glob("h*l", "haul"));
        assert!(glob("*@-1*0", "elbow@-110"));
        assert!(glob("**", ""));
        assert!(!glob("h*x", "haul"));
        assert!(!glob("a*c", "a/c"));
        assert!(glob("a/*", "a/c"));
        assert!(glob("*aab", "aaaab"));
    }
}
