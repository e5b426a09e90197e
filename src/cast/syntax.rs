//! TOML text to tables, with every mistake of syntax.

use std::borrow::Cow;
use std::collections::HashSet;
use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::recover::{blank, blank_unclosed, statement};
use super::report::Report;
use crate::diag::{Problem, quoted};

/// More tables than this in one file are refused.
const MOST_TABLES: usize = 20_000;
/// More parts than this in a dotted key are refused by the parser.
const MOST_DOTS: usize = 79;
/// How often a file is read again without what could not be read.
const MOST_ROUNDS: usize = 16;
/// What the parser says of a key that is given twice.
const TWICE: &str = "duplicate key";

/// Parses a file. What cannot be read is reported and taken out, so that all the rest is read as if
/// it were not there; places stay the same. `room` is for the text that is left.
pub(super) fn parse<'t>(text: &'t str, room: &'t mut String, report: &mut Report) -> DeTable<'t> {
    let headers = text
        .lines()
        .filter(|line| line.trim_start().starts_with('['));
    if let Some(line) = headers.clone().nth(MOST_TABLES) {
        let start = line.as_ptr() as usize - text.as_ptr() as usize;
        report.push(Problem::error(
            report.span(start..start + line.len()),
            format!("more than {MOST_TABLES} tables in one file"),
        ));
        report.add_broken(text, std::iter::once(0..text.len()));
        return DeTable::new();
    }
    let closed = close(text, report);
    if let Cow::Borrowed(text) = closed {
        let (table, errors) = DeTable::parse_recoverable(text);
        if errors.iter().all(|error| error.message() == TWICE) {
            duplicates(text, table.get_ref(), &errors, report);
            return table.into_inner();
        }
    }
    *room = closed.into_owned();
    // The parser may give up at a mistake; without it, what follows is read too.
    for round in 1..=MOST_ROUNDS {
        let (_, errors) = DeTable::parse_recoverable(room);
        let mut stretches = faults(room, &errors, report);
        if round == MOST_ROUNDS
            && let Some(first) = stretches.iter().map(|lines| lines.start).min()
        {
            stretches.push(first..room.len());
        }
        if stretches.is_empty() {
            break;
        }
        take_out(room, stretches, report);
        // Of a list over several lines the end may be gone now.
        let (_, open) = blank_unclosed(room);
        let open = open.into_iter().map(|gap| gap.lines).collect();
        take_out(room, open, report);
    }
    let (table, errors) = DeTable::parse_recoverable(room);
    duplicates(room, table.get_ref(), &errors, report);
    table.into_inner()
}

fn take_out(text: &mut String, stretches: Vec<Range<usize>>, report: &mut Report) {
    report.add_broken(text, stretches.iter().cloned());
    for stretch in stretches {
        blank(text, stretch);
    }
}

/// Reports lists, tables and texts that are never closed, and takes them out.
fn close<'t>(text: &'t str, report: &mut Report) -> Cow<'t, str> {
    let (closed, found) = blank_unclosed(text);
    for gap in &found {
        let (what, end) = match &text[gap.bracket.clone()] {
            "{" => ("table", "}"),
            "[" => ("list", "]"),
            marks => ("text", marks),
        };
        let span = report.span(gap.bracket.clone());
        let problem = Problem::error(span, format!("this {what} is not closed"));
        report.push(problem.hint(format!("write {end} at its end")));
    }
    report.add_broken(text, found.into_iter().map(|gap| gap.lines));
    closed
}

/// Reports what is not TOML; gives the lines that cannot be read because of it.
fn faults(text: &str, errors: &[toml::de::Error], report: &mut Report) -> Vec<Range<usize>> {
    let mut seen = HashSet::new();
    let mut stretches: Vec<Range<usize>> = Vec::new();
    let mut line = 0..0;
    for error in errors.iter().filter(|error| error.message() != TWICE) {
        let message = error.message();
        let range = error.span().unwrap_or_else(|| long_key(text));
        let start = text.floor_char_boundary(range.start);
        if seen.is_empty() || !line.contains(&start) {
            line = line_at(text, start);
        }
        // What else is said about a line with a mistake mostly follows from that mistake.
        if seen.insert(line.clone()) {
            if stretches
                .last()
                .is_none_or(|last| !last.contains(&line.start))
            {
                stretches.push(lost(text, line.start, message));
            }
            broken(range, message, report);
        }
    }
    stretches
}

/// Reports keys and tables that are given twice.
fn duplicates(text: &str, table: &DeTable<'_>, errors: &[toml::de::Error], report: &mut Report) {
    let mut seen = HashSet::new();
    let mut places = Vec::new();
    let mut line = 0..0;
    for error in errors.iter().filter(|error| error.message() == TWICE) {
        let Some(range) = error.span() else { continue };
        if seen.insert(range.clone()) {
            if places.is_empty() || !line.contains(&range.start) {
                line = line_at(text, range.start);
            }
            places.push([line.start, range.start]);
            duplicate(text, table, range, report);
        }
    }
    report.add_again(text, places);
}

/// The line around a byte.
fn line_at(text: &str, at: usize) -> Range<usize> {
    let start = text[..at].rfind('\n').map_or(0, |at| at + 1);
    let end = text[at..].find('\n').map_or(text.len(), |to| at + to);
    start..end
}

/// What cannot be understood if a line cannot: its statement, or, for a header, its table. A text over
/// several lines that is not closed takes everything with it.
fn lost(text: &str, line: usize, message: &str) -> Range<usize> {
    if message.contains("multi-line") {
        line..text.len()
    } else {
        statement(text, line)
    }
}

/// The first line that has more dots than a key may have.
fn long_key(text: &str) -> Range<usize> {
    let many = |line: &&str| line.bytes().filter(|&b| b == b'.').nth(MOST_DOTS).is_some();
    text.lines().find(many).map_or(0..0, |line| {
        let start = line.as_ptr() as usize - text.as_ptr() as usize;
        start..start + line.len()
    })
}

/// A stretch of text that is not TOML.
fn broken(range: Range<usize>, message: &str, report: &mut Report) {
    let (what, expected) = message.split_once(", expected ").unwrap_or((message, ""));
    let what = match what {
        "cannot recurse further; max recursion depth met" => "lists and tables nest too deeply",
        "recursion limit" => "a dotted key has too many parts",
        "key with no value" => "a key without a value",
        "invalid basic string" | "invalid literal string" => {
            "text that is not closed, or a mistake in it"
        }
        "string values must be quoted" => "text without quotation marks",
        "invalid float" | "invalid integer" => "a number that cannot be read",
        "unclosed table" | "unclosed array table" => "this header is not closed",
        other => other,
    };
    let expected = match expected {
        "literal string" => "\"...\"",
        other => other,
    };
    let mut problem = Problem::error(report.span(range), what);
    if !matches!(expected, "" | "nothing") {
        problem = problem.hint(format!("expected {expected}"));
    }
    report.push(problem);
}

/// The same key or table twice.
fn duplicate(text: &str, root: &DeTable<'_>, range: Range<usize>, report: &mut Report) {
    if report.is_full() {
        report.push(Problem::error(report.span(range), "given twice"));
        return;
    }
    let line_range = line_at(text, range.start);
    let line = &text[line_range.clone()];
    let in_header = line.trim_start().starts_with('[')
        && text[range.end..].trim_start_matches(' ').starts_with(']');
    let header = text[range.end..]
        .find(']')
        .filter(|_| in_header)
        .map(|at| text[line_range.start..=range.end + at].trim());
    let span = report.span(range.clone());
    let problem = match header {
        Some(header) => {
            let first = text[..line_range.start].lines().find(|l| {
                l.trim_start()
                    .strip_prefix(header)
                    .is_some_and(|rest| rest.trim_start().is_empty() || rest.contains('#'))
            });
            let problem = Problem::error(span, format!("{header} is declared twice"))
                .hint("merge the two, or rename one");
            match first {
                Some(first) => {
                    let at = first.as_ptr() as usize - text.as_ptr() as usize;
                    let at = at + first.len() - first.trim_start().len();
                    problem.also(report.span(at..at + header.len()), "first declared here")
                }
                None => problem,
            }
        }
        None => {
            let key = &text[range.clone()];
            let name = key.trim_matches(['"', '\'']);
            let problem = Problem::error(span, format!("{} is given twice", quoted(name)))
                .hint("keep one of the two");
            match first_key(text, root, name, &range) {
                Some(first) => problem.also(report.span(first), "first given here"),
                None => problem,
            }
        }
    };
    report.push(problem);
}

/// Where a key that is given again at `again` was first given: in the innermost inline table
/// around it, or else the last before it in a table with a header.
fn first_key(
    text: &str,
    root: &DeTable<'_>,
    name: &str,
    again: &Range<usize>,
) -> Option<Range<usize>> {
    let mut best: Option<((bool, usize), Range<usize>)> = None;
    let mut open = vec![(0..0, root)];
    while let Some((span, table)) = open.pop() {
        let inline = text[span.clone()].starts_with('{');
        if inline && !span.contains(&again.start) {
            continue;
        }
        if let Some((key, _)) = table.get_key_value(name)
            && key.span().start < again.start
        {
            let rank = (inline, if inline { span.start } else { key.span().start });
            if best.as_ref().is_none_or(|(other, _)| *other < rank) {
                best = Some((rank, key.span()));
            }
        }
        open.extend(table.values().flat_map(tables_in));
    }
    best.map(|(_, span)| span)
}

type Place<'a, 't> = (Range<usize>, &'a DeTable<'t>);

/// The tables in a value: itself, or those of a list.
fn tables_in<'a, 't>(value: &'a Spanned<DeValue<'t>>) -> Vec<Place<'a, 't>> {
    let table = |value: &'a Spanned<DeValue<'t>>| match value.get_ref() {
        DeValue::Table(table) => Some((value.span(), table)),
        _ => None,
    };
    match value.get_ref() {
        DeValue::Array(items) => items.iter().filter_map(table).collect(),
        _ => table(value).into_iter().collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diag::{Problems, Sources, short};

    fn read(text: &str) -> Vec<String> {
        let mut sources = Sources::default();
        let mut report = Report::new(sources.add("a", text));
        parse(text, &mut String::new(), &mut report);
        let mut problems = Problems::default();
        report.finish(&mut problems);
        let lines = problems.list().iter().map(|p| short(p, &sources));
        lines.map(|line| line.replace("error: ", "")).collect()
    }

    fn first(text: &str, name: &str) -> Option<usize> {
        let (table, _) = DeTable::parse_recoverable(text);
        let again = text.rfind(name).expect("the name");
        let again = again..again + name.len();
        first_key(text, table.get_ref(), name, &again).map(|at| at.start)
    }

    #[test]
    fn one_mistake_a_line_is_enough() {
        assert_eq!(read("a = = = 1\nb = [1,, 2 3]\n").len(), 2);
        assert_eq!(read("a = 1\nb = 2\n"), [""; 0]);
    }

    #[test]
    fn the_first_of_two_keys_is_the_last_before() {
        assert_eq!(first("[a]\nx = 1\n[b]\nx = 2\nx = 3", "x"), Some(14));
        assert_eq!(first("x = 1\na = { x = 2 }\nx = 3", "x"), Some(0));
        assert_eq!(
            first("x = 1\na = { x = 2, b = { y = 1 }, x = 3 }", "x"),
            Some(12)
        );
        assert_eq!(first("a = [{ x = 1 }, { x = 2, x = 3 }]", "x"), Some(18));
        assert_eq!(first("x = 1", "x"), None);
    }

    #[test]
    fn a_list_of_tables_is_no_header() {
        let found = read("a = [\n  [{ b = 1, b = 2 }]\n]\n");
        assert_eq!(
            found,
            ["a:2:13: \"b\" is given twice (hint: keep one of the two)"]
        );
    }

    #[test]
    fn a_broken_header_takes_its_table_with_it() {
        let text = "[a b]\nx = 1\n[c]\n";
        assert_eq!(lost(text, 0, "unclosed table"), 0..11);
        assert_eq!(lost(text, 6, "anything"), 6..11);
        assert_eq!(
            lost(text, 6, "invalid multi-line basic string"),
            6..text.len()
        );
    }
}
