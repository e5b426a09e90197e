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
        let lines = statement(&text, bracket.start);
        blank(text.to_mut(), lines.clone());
        found.push(Unclosed { bracket, lines });
    }
    (text, found)
}

/// Overwrites a stretch with spaces; lines stay.
pub(super) fn blank(text: &mut String, stretch: Range<usize>) {
    let blanks: String = text[stretch.clone()]
        .chars()
        .map(|c| match c {
            '\n' => "\n".to_owned(),
            c => " ".repeat(c.len_utf8()),
        })
        .collect();
    text.replace_range(stretch, &blanks);
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

/// The lines from that of a byte to the next that looks like the start of something new, without
/// the last line break; from a header on, to the next header.
pub(super) fn statement(text: &str, at: usize) -> Range<usize> {
    let start = text[..at].rfind('\n').map_or(0, |at| at + 1);
    let line = text[start..].lines().next().unwrap_or_default();
    if like_header(line) {
        let next = text[start + line.len()..].find("\n[");
        return start..next.map_or(text.len(), |at| start + line.len() + at);
    }
    let mut end = start;
    for (n, line) in text[start..].split_inclusive('\n').enumerate() {
        if n > 0 && starts_anew(line) {
            break;
        }
        end += line.len();
    }
    start..start + text[start..end].trim_end_matches('\n').len()
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

/// True for a line that was meant as a header, whatever of its brackets there is.
pub(super) fn like_header(line: &str) -> bool {
    let line = line.trim();
    let head = line.split([']', '=']).next().unwrap_or_default();
    let opens = line.starts_with('[') && !line[head.len()..].starts_with('=');
    let closes = line.ends_with(']')
        && line.contains(char::is_alphabetic)
        && !line.contains(['=', ',', '"', '\'']);
    opens || closes
}

/// Finds the tables that stretches of a text belong to.
pub(super) struct Owners<'t> {
    text: &'t str,
    /// How far the text was looked through, and the last header up to there.
    seen: usize,
    header: &'t str,
}

impl<'t> Owners<'t> {
    pub fn new(text: &'t str) -> Self {
        Self {
            text,
            seen: 0,
            header: "",
        }
    }

    /// The first two keys on the way to what begins in this line: `pose` and `haul` for
    /// `[pose.haul]` and all below it, and for `haul.turn = ...` below `[pose]`.
    pub fn find(&mut self, line: usize) -> [&'t str; 2] {
        if line < self.seen {
            *self = Self::new(self.text);
        }
        let headers = self.text[self.seen..line].lines();
        let mut last = headers.filter(|l| l.trim_start().starts_with('[') && starts_anew(l));
        self.header = last.next_back().unwrap_or(self.header);
        self.seen = line;
        let first = self.text[line..].lines().next().unwrap_or_default();
        // Of a header that cannot be understood at all, what is above may be meant.
        if like_header(first) && !keys(first)[1].is_empty() {
            return keys(first);
        }
        match keys(self.header) {
            ["", _] => keys(first),
            [table, ""] => [table, keys(first)[0]],
            both => both,
        }
    }
}

/// The first two parts of the key that a line begins with; empty where there are none.
fn keys(line: &str) -> [&str; 2] {
    let key = |c: char| c.is_alphanumeric() || matches!(c, '_' | '-' | '"' | '\'');
    let mut rest = line.trim_start_matches(|c| !key(c));
    [(); 2].map(|()| {
        rest = rest.trim_start_matches(['.', ' ', '\t']);
        let quoted = rest.strip_prefix(['"', '\'']);
        let (key, after) = match quoted {
            Some(inner) => inner.split_once(&rest[..1]).unwrap_or((inner, "")),
            None => {
                let name = |c: char| c.is_alphanumeric() || matches!(c, '_' | '-');
                rest.split_at(rest.find(|c| !name(c)).unwrap_or(rest.len()))
            }
        };
        rest = after;
        key
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_belongs_to_the_header_above_it() {
        let text = "a.b = 1\n[pose]\nx.turn = 2\n\"y.z\" = 3\n[pose . 'h l'.turn]\nb = 4\nc]\n[ pose.k\nd = 1";
        let mut owners = Owners::new(text);
        let mut at = 0;
        let found: Vec<String> = text
            .split_inclusive('\n')
            .map(|line| {
                let found = owners.find(at).join("/");
                at += line.len();
                found
            })
            .collect();
        let want = [
            "a/b", "pose/", "pose/x", "pose/y.z", "pose/h l", "pose/h l", "pose/h l", "pose/k",
            "pose/h l",
        ];
        assert_eq!(found, want);
        assert_eq!(owners.find(0), ["a", "b"], "backwards too");
    }

    #[test]
    fn what_was_meant_as_a_header_is_known_by_one_bracket() {
        for line in [
            "[a.b]", "[a.b", "a.b]", " [a b", "[a] = 1", "x[a]", "[", "[1, 2],",
        ] {
            assert!(like_header(line), "{line}");
        }
        for line in [
            "a = [b]", "a", "a.b", "[a = 1", "\"a\"]", "0, 1]", "1]", "a = 1 ]",
        ] {
            assert!(!like_header(line), "{line}");
        }
    }

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
