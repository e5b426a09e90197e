//! Lines and columns.

use super::{Sources, Span};

/// Where a [`Span`] lies, as editors count: lines and columns from 1, columns in characters
/// (a tab is one, an accented or wide letter is one). The end is one past the last character.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Position {
    /// Line of the first character.
    pub line: usize,
    /// Column of the first character.
    pub column: usize,
    /// Line of the end.
    pub end_line: usize,
    /// Column of the end.
    pub end_column: usize,
}

impl Position {
    const START: Self = Self {
        line: 1,
        column: 1,
        end_line: 1,
        end_column: 1,
    };

    /// Finds the place in its file. Bytes beyond the text count as its end;
    /// a file of other sources counts as empty.
    #[must_use]
    pub fn of(span: Span, sources: &Sources) -> Self {
        let Some(source) = sources.get(span.source) else {
            return Self::START;
        };
        let find = |byte: u32| {
            let byte = source.text.floor_char_boundary(byte as usize);
            let line = source.line_at(byte);
            let start = source.line_range(line).start;
            (line + 1, source.text[start..byte].chars().count() + 1)
        };
        let (line, column) = find(span.start);
        let (end_line, end_column) = find(span.end.max(span.start));
        Self {
            line,
            column,
            end_line,
            end_column,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str, start: u32, end: u32) -> [usize; 4] {
        let mut sources = Sources::default();
        let source = sources.add("a", text);
        let p = Position::of(Span { source, start, end }, &sources);
        [p.line, p.column, p.end_line, p.end_column]
    }

    #[test]
    fn lines_and_columns_count_from_one() {
        assert_eq!(at("ab\ncd", 0, 1), [1, 1, 1, 2]);
        assert_eq!(at("ab\ncd", 4, 5), [2, 2, 2, 3]);
        assert_eq!(at("ab\ncd", 1, 4), [1, 2, 2, 2]);
    }

    #[test]
    fn columns_count_characters_not_bytes() {
        assert_eq!(at("é\t猫x", 6, 7), [1, 4, 1, 5]);
    }

    #[test]
    fn the_end_and_beyond_are_places_too() {
        assert_eq!(at("ab\n", 3, 3), [2, 1, 2, 1]);
        assert_eq!(at("ab", 2, 9), [1, 3, 1, 3]);
        assert_eq!(at("", 0, 0), [1, 1, 1, 1]);
    }

    #[test]
    fn carriage_returns_do_not_shift_the_next_line() {
        assert_eq!(at("ab\r\ncd", 4, 5), [2, 1, 2, 2]);
    }

    #[test]
    fn the_middle_of_a_letter_is_its_start() {
        assert_eq!(at("é", 1, 1), [1, 1, 1, 1]);
    }
}
