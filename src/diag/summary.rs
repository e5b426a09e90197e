//! The last line of a report.

use super::Problems;

/// `3 errors, 1 warning`; empty when there are no problems.
#[must_use]
pub fn summary(problems: &Problems) -> String {
    let count = |n: usize, word: &str| match n {
        0 => None,
        1 => Some(format!("1 {word}")),
        _ => Some(format!("{n} {word}s")),
    };
    [
        count(problems.errors(), "error"),
        count(problems.warnings(), "warning"),
    ]
    .into_iter()
    .flatten()
    .collect::<Vec<_>>()
    .join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diag::{Place, Problem};

    #[test]
    fn counts_are_words() {
        let mut problems = Problems::default();
        assert_eq!(summary(&problems), "");
        problems.push(Problem::warning(Place::Nowhere, "a"));
        assert_eq!(summary(&problems), "1 warning");
        for _ in 0..3 {
            problems.push(Problem::error(Place::Nowhere, "b"));
        }
        assert_eq!(summary(&problems), "3 errors, 1 warning");
    }
}
