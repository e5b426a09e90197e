//! Problems as one line each.

use std::path::Path;

use super::{Place, Position, Problem, Sources, clean};

/// `path:line:col: error: message (hint: ...)`, without a line break; what has no line, or no
/// file, leaves that out.
#[must_use]
pub fn short(problem: &Problem, sources: &Sources) -> String {
    short_with(problem, sources, |path| path.display().to_string())
}

/// The same, with paths as `shown` has them.
#[must_use]
pub fn short_with(problem: &Problem, sources: &Sources, shown: impl Fn(&Path) -> String) -> String {
    let place = match &problem.place {
        Place::Span(span) => {
            let at = Position::of(*span, sources);
            let path = sources.get(span.source).map(|source| shown(&source.path));
            path.map_or_else(String::new, |path| {
                format!("{path}:{}:{}: ", at.line, at.column)
            })
        }
        Place::File(path) => format!("{}: ", shown(path)),
        Place::Nowhere => String::new(),
    };
    clean(&format!("{place}{problem}"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diag::Span;

    #[test]
    fn each_kind_of_place_has_its_line() {
        let mut sources = Sources::default();
        let source = sources.add("rigs/a/rig.toml", "x\n\té = 1\n");
        let span = Span {
            source,
            start: 6,
            end: 7,
        };
        let line = |problem: Problem| short(&problem, &sources);
        assert_eq!(
            line(Problem::error(span, "bad").hint("do this")),
            "rigs/a/rig.toml:2:4: error: bad (hint: do this)"
        );
        assert_eq!(
            line(Problem::warning(Path::new("b.svg"), "odd")),
            "b.svg: warning: odd"
        );
        assert_eq!(
            line(Problem::error(Place::Nowhere, "no\nsuch")),
            "error: no such"
        );
    }
}
