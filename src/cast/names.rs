//! Names that become file names and labels.

use std::collections::HashMap;

use super::report::Report;
use crate::diag::{Problem, Span, nearest, quoted};

/// The longest name, in characters.
const LONGEST: usize = 100;

/// Checks a name that the user gives to `what` ("part", "pose"); reports what is wrong with it.
pub(super) fn check(name: &str, what: &str, span: Span, report: &mut Report) {
    let wrong = |c: &char| !(c.is_alphanumeric() || matches!(c, '_' | '-' | '.'));
    let problem = if name.is_empty() {
        format!("empty {what} name")
    } else if name.chars().count() > LONGEST {
        format!(
            "{what} name {} is longer than {LONGEST} characters",
            quoted(name)
        )
    } else if name.starts_with('.') {
        format!("{what} name {} starts with a dot", quoted(name))
    } else if let Some(c) = name.chars().find(wrong) {
        let c = match c {
            ' ' => "a space".to_owned(),
            c => quoted(c.encode_utf8(&mut [0; 4])),
        };
        format!("{what} name {} has {c} in it", quoted(name))
    } else {
        return;
    };
    report.push(Problem::error(span, problem).hint("use letters, digits, _, - and ."));
}

/// Warns of names that are the same but for case: as file names they collide on some systems.
pub(super) fn check_case<'a>(
    what: &str,
    names: impl Iterator<Item = (&'a str, Span)>,
    report: &mut Report,
) {
    let mut seen: HashMap<String, (&str, Span)> = HashMap::new();
    for (name, span) in names {
        let Some((other, first)) = seen.insert(name.to_lowercase(), (name, span)) else {
            continue;
        };
        if other != name {
            let (other, name) = (quoted(other), quoted(name));
            let message = format!("{what} {other} and {name} differ only in case");
            let problem = Problem::warning(span, message)
                .also(first, "the other")
                .hint("on some systems their files would be one and the same; rename one");
            report.push(problem);
        }
    }
}

/// The hint for a name that is not among the `known`: the nearest, or all if they are few.
pub(super) fn hint<'a>(
    name: &str,
    known: impl Iterator<Item = &'a str> + Clone,
    none: &str,
    report: &Report,
) -> String {
    if report.is_full() {
        return String::new();
    }
    if let Some(near) = nearest(name, known.clone()) {
        return format!("did you mean {}?", quoted(near));
    }
    let few: Vec<&str> = known.clone().take(13).collect();
    match few.len() {
        0 => none.to_owned(),
        13 => {
            let list: Vec<&str> = few.into_iter().take(10).collect();
            format!("known: {} and {} more", list.join(", "), known.count() - 10)
        }
        _ => format!("known: {}", few.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diag::{Problems, SourceId};

    fn wrong(name: &str) -> Option<String> {
        let mut report = Report::new(SourceId(0));
        check(name, "part", report.span(0..0), &mut report);
        let mut problems = Problems::default();
        report.finish(&mut problems);
        problems.list().first().map(|p| p.message.clone())
    }

    #[test]
    fn letters_of_any_script_are_fine() {
        for name in [
            "hand",
            "Arm_2",
            "bras.gauche",
            "手-1",
            "ñandú",
            &"x".repeat(100),
        ] {
            assert_eq!(wrong(name), None, "{name}");
        }
    }

    #[test]
    fn what_would_not_do_as_a_file_name_is_an_error() {
        assert_eq!(wrong("").unwrap(), "empty part name");
        assert_eq!(wrong("a/b").unwrap(), "part name \"a/b\" has \"/\" in it");
        assert_eq!(wrong("a b").unwrap(), "part name \"a b\" has a space in it");
        assert_eq!(wrong("..").unwrap(), "part name \"..\" starts with a dot");
        assert_eq!(
            wrong("a\0").unwrap(),
            r#"part name "a\u{0}" has "\u{0}" in it"#
        );
        assert!(
            wrong(&"x".repeat(101))
                .unwrap()
                .ends_with("is longer than 100 characters")
        );
    }

    #[test]
    fn few_names_are_listed_many_are_counted() {
        let none = "nothing is declared";
        let report = Report::new(SourceId(0));
        assert_eq!(hint("zzz", [].into_iter(), none, &report), none);
        assert_eq!(
            hint("zzz", ["arm", "leg"].into_iter(), none, &report),
            "known: arm, leg"
        );
        assert_eq!(
            hint("lag", ["arm", "leg"].into_iter(), none, &report),
            "did you mean \"leg\"?"
        );
        let many: Vec<String> = (0..20).map(|n| format!("part{n}")).collect();
        let text = hint("zzz", many.iter().map(String::as_str), none, &report);
        assert!(text.ends_with("part9 and 10 more"), "{text}");
    }
}
