//! Names as typed on the command line, with `*` for anything.

use crate::diag::{self, glob};

/// A name in which `*` stands for any run of characters but `/`.
///
/// A filter is compared with the end of a printed name, whole words between slashes at a time:
/// `haul`, `actions/haul` and `deckhand/actions/haul` all find `deckhand/actions/haul`, and
/// `*/haul` finds the pose in every list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Filter {
    text: String,
}

impl Filter {
    /// A filter from what was typed.
    #[must_use]
    pub fn new(text: impl Into<String>) -> Self {
        Self { text: text.into() }
    }

    /// As typed.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.text
    }

    /// True when one of them matches.
    #[must_use]
    pub fn any(filters: &[Self], name: &str) -> bool {
        filters.iter().any(|filter| filter.matches(name))
    }

    /// The same, and marks those that do as used.
    pub fn mark(filters: &[Self], used: &mut [bool], name: &str) -> bool {
        let mut any = false;
        for (filter, used) in filters.iter().zip(used) {
            let found = filter.matches(name);
            *used |= found;
            any |= found;
        }
        any
    }

    /// True when the filter is the name or the end of it.
    #[must_use]
    pub fn matches(&self, name: &str) -> bool {
        let starts = std::iter::once(0).chain(name.match_indices('/').map(|(at, _)| at + 1));
        starts.into_iter().any(|at| glob(&self.text, &name[at..]))
    }
}

/// The candidate that was most likely meant by `name`: by the whole of it, or by its last word.
pub fn nearest<'a>(
    name: &str,
    candidates: impl Iterator<Item = &'a str> + Clone,
) -> Option<&'a str> {
    let last = |text: &'a str| text.rsplit('/').next().unwrap_or(text);
    diag::nearest(name, candidates.clone()).or_else(|| {
        let near = diag::nearest(name, candidates.clone().map(last))?;
        candidates.clone().find(|c| last(c) == near)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_filter_finds_the_end_of_a_printed_name() {
        let name = "deckhand/actions/haul";
        for filter in ["haul", "actions/haul", name, "*/haul", "deckhand/*/h*"] {
            assert!(Filter::new(filter).matches(name), "{filter}");
        }
        for filter in [
            "aul",
            "actions",
            "ctions/haul",
            "deckhand/haul",
            "act*",
            "x/deckhand/actions/haul",
        ] {
            assert!(!Filter::new(filter).matches(name), "{filter}");
        }
    }

    #[test]
    fn the_nearest_name_is_named_only_when_it_is_near() {
        let names = ["deckhand/actions/haul", "deckhand/actions/rest"];
        assert_eq!(nearest("hual", names.into_iter()), Some(names[0]));
        assert_eq!(nearest("qqqqq", names.into_iter()), None);
    }
}
