//! Lists, tables and texts that are never closed: they would swallow the rest of the file.

use std::borrow::Cow;
use std::ops::Range;

use toml_parser::lexer::{Token, TokenKind};
use toml_parser::parser::{RecursionGuard, parse_document};
use toml_parser::{ParseError, Source};

/// How many unclosed lists are looked for.
const MOST: usize = 16;
/// How deep lists may nest here; deeper ones are another mistake.
const DEPTH: u32 = 64;

/// A list, table or text that is never closed.
pub(super) struct Unclosed {
    /// Its opening bracket or quotation marks.
    pub bracket: Range<usize>,
    /// The lines that were taken out.
    pub lines: Range<usize>,
}

/// The text with all lines of unclosed lists, inline tables and long texts blanked out, so that what follows
/// them can be read; places stay the same.
pub(super) fn blank_unclosed(text: &str) -> (Cow<'_, str>, Vec<Unclosed>) {
    let mut text = Cow::Borrowed(text);
    let mut found = Vec::new();
    while found.len() < MOST {
        let Some(bracket) = first_unclosed(&text) else {
            break;
        };
        let lines = statement(&text, &bracket);
        let blank = |c: char| match c {
            '\n' => "\n".to_owned(),
            c => " ".repeat(c.len_utf8()),
        };
        let blanks: String = text[lines.clone()].chars().map(blank).collect();
        text.to_mut().replace_range(lines.clone(), &blanks);
        found.push(Unclosed { bracket, lines });
    }
    (text, found)
}

/// The first bracket that is never closed.
fn first_unclosed(text: &str) -> Option<Range<usize>> {
    let tokens = Source::new(text).lex().into_vec();
    // A text takes closing brackets with it, so it comes first.
    if let Some(opening) = tokens.iter().rev().find_map(|token| open_text(text, token)) {
        return Some(opening);
    }
    let mut first: Option<Range<usize>> = None;
    let mut receiver = ();
    let mut receiver = RecursionGuard::new(&mut receiver, DEPTH);
    let mut sink = |error: ParseError| {
        let wanted = ["unclosed array", "unclosed inline table"];
        let Some(bracket) = error
            .context()
            .filter(|_| wanted.contains(&error.description()))
        else {
            return;
        };
        if first
            .as_ref()
            .is_none_or(|first| bracket.start() < first.start)
        {
            first = Some(bracket.start()..bracket.end());
        }
    };
    parse_document(&tokens, &mut receiver, &mut sink);
    first
}

/// The quotation marks of a text over several lines that has no others at its end.
fn open_text(text: &str, token: &Token) -> Option<Range<usize>> {
    let mark = match token.kind() {
        TokenKind::MlBasicString => "\"\"\"",
        TokenKind::MlLiteralString => "'''",
        _ => return None,
    };
    let (start, end) = (token.span().start(), token.span().end());
    let closed = end - start >= 6 && text[start..end].ends_with(mark);
    (!closed).then_some(start..start + 3)
}

/// The lines from a bracket's to the next that looks like the start of something new.
fn statement(text: &str, bracket: &Range<usize>) -> Range<usize> {
    let start = text[..bracket.start].rfind('\n').map_or(0, |at| at + 1);
    let mut end = start;
    for (n, line) in text[start..].split_inclusive('\n').enumerate() {
        if n > 0 && starts_anew(line) {
            break;
        }
        end += line.len();
    }
    start..end
}

/// True for `key = ...` and `[header]`.
fn starts_anew(line: &str) -> bool {
    let line = line.trim_start();
    let name = |c: char| c.is_alphanumeric() || matches!(c, '_' | '-' | '.' | '"' | '\'' | ' ');
    if let Some(rest) = line.strip_prefix('[') {
        let rest = rest.trim_start_matches('[');
        let inner = rest.trim_start_matches(name);
        return inner.len() < rest.len()
            && inner.starts_with(']')
            && !rest.starts_with(['"', '\'']);
    }
    let rest = line.trim_start_matches(name);
    rest.len() < line.len() && rest.starts_with('=')
}

#[cfg(test)]
mod tests {
    use super::*;

    fn blanked(text: &str) -> String {
        let (out, found) = blank_unclosed(text);
        assert_eq!(out.len(), text.len());
        assert_eq!(found.is_empty(), out == text);
        out.lines().map(str::trim_end).collect::<Vec<_>>().join("|")
    }

    #[test]
    fn closed_lists_stay() {
        assert_eq!(
            blanked("a = [1,\n 2]\nb = { c = [] }\n"),
            "a = [1,| 2]|b = { c = [] }"
        );
    }

    #[test]
    fn an_unclosed_list_goes_up_to_the_next_statement() {
        assert_eq!(blanked("a = [1, 2\nb = 3\n"), "|b = 3");
        assert_eq!(
            blanked("x = 1\na = [\n  \"é\",\n  [1, 2],\n[part.b]\nc = 1"),
            "x = 1||||[part.b]|c = 1"
        );
        assert_eq!(blanked("a = { b = 1\n[c]\nd = [1\ne = 2"), "|[c]||e = 2");
    }

    #[test]
    fn an_unclosed_text_goes_up_to_the_next_statement() {
        assert_eq!(blanked("a = \"\"\"one\ntwo\n[b]\nc = 1"), "||[b]|c = 1");
        assert_eq!(blanked("a = [\'\'\'one]\nb = 1"), "|b = 1");
        assert_eq!(
            blanked("a = \"\"\"\none\"\"\"\nb = \"\"\"\"\"\""),
            "a = \"\"\"|one\"\"\"|b = \"\"\"\"\"\""
        );
    }

    #[test]
    fn soup_ends() {
        let soup = "a = [\n".repeat(100);
        assert_eq!(blank_unclosed(&soup).1.len(), MOST);
    }
}
