//! Text from files, made safe to show.

use std::fmt::Write as _;

/// The longest stretch of a user's text that a message repeats, in characters.
const LONGEST: usize = 60;

/// A name from a file, in quotation marks, as messages show it: control characters and marks
/// that turn the direction of text are written out, and a very long name is cut.
#[must_use]
pub fn quoted(name: &str) -> String {
    let mut out = String::from("\"");
    for (n, c) in name.chars().enumerate() {
        if n == LONGEST {
            out.push_str("...");
            break;
        }
        if c == '"' || c == '\\' {
            out.push('\\');
        }
        push(&mut out, c);
    }
    out.push('"');
    out
}

/// A text on one line, with nothing in it that a terminal would obey.
#[must_use]
pub fn clean(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\n' | '\r' | '\t' => out.push(' '),
            c => push(&mut out, c),
        }
    }
    out
}

fn push(out: &mut String, c: char) {
    let turns =
        matches!(c, '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    if c.is_control() || turns {
        out.extend(c.escape_default());
    } else {
        out.push(c);
    }
}

/// Text for a page: controls, and what turns the direction of the text around it (Unicode annex 9), are
/// shown as their numbers; the review page's program does the same.
#[must_use]
pub fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\0'..='\u{1f}'
            | '\u{7f}'..='\u{9f}'
            | '\u{ad}'
            | '\u{61c}'
            | '\u{200b}'
            | '\u{200e}'
            | '\u{200f}'
            | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{2069}'
            | '\u{feff}' => {
                let _ = write!(out, "\u{27e8}U+{:04X}\u{27e9}", u32::from(c));
            }
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_quoted_and_escaped() {
        assert_eq!(quoted("hand"), "\"hand\"");
        assert_eq!(quoted("a\"b\\c"), r#""a\"b\\c""#);
        assert_eq!(
            quoted("a\nb\u{1b}[31m\u{202e}"),
            r#""a\nb\u{1b}[31m\u{202e}""#
        );
        assert_eq!(quoted("猫"), "\"猫\"");
    }

    #[test]
    fn long_names_are_cut() {
        assert_eq!(
            quoted(&"x".repeat(61)),
            format!("\"{}...\"", "x".repeat(60))
        );
        assert_eq!(quoted(&"x".repeat(60)), format!("\"{}\"", "x".repeat(60)));
    }

    #[test]
    fn clean_text_is_one_line() {
        assert_eq!(clean("a\r\nb\tc\u{7}"), "a  b c\\u{7}");
    }
}
