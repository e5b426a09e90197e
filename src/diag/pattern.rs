//! Names with `*` for anything.

/// True when `text` is what `pattern` says; `*` stands for any run of characters but `/`.
#[must_use]
pub fn glob(pattern: &str, text: &str) -> bool {
    let pattern: Vec<char> = pattern.chars().collect();
    let text: Vec<char> = text.chars().collect();
    let (mut p, mut t) = (0, 0);
    // Where the last star is, and where the text that follows it is tried next.
    let mut star: Option<(usize, usize)> = None;
    while t < text.len() {
        if p < pattern.len() && pattern[p] == '*' {
            star = Some((p, t));
            p += 1;
        } else if p < pattern.len() && pattern[p] == text[t] {
            p += 1;
            t += 1;
        } else if let Some((at, from)) = star
            && text[from] != '/'
        {
            star = Some((at, from + 1));
            p = at + 1;
            t = from + 1;
        } else {
            return false;
        }
    }
    pattern[p..].iter().all(|&c| c == '*')
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
