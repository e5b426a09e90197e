//! Text in lines that fit a window.

use unicode_width::UnicodeWidthStr as _;

/// A text in lines of at most so many columns, broken at spaces; a longer word has a line of its own.
#[must_use]
pub fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    let mut columns = 0;
    for word in text.split_inclusive(' ') {
        let wide = word.trim_end_matches(' ').width();
        if columns + wide > width && columns > 0 {
            lines.push(line.trim_end().to_owned());
            line.clear();
            columns = 0;
        }
        line.push_str(word);
        columns += word.width();
    }
    lines.push(line.trim_end().to_owned());
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_break_at_spaces() {
        assert_eq!(wrapped("ab cd ef", 5), ["ab cd", "ef"]);
        assert_eq!(wrapped("ab cd ef", 4), ["ab", "cd", "ef"]);
        assert_eq!(wrapped("abcdef gh", 4), ["abcdef", "gh"]);
        assert_eq!(wrapped("a  b", 9), ["a  b"]);
        assert_eq!(wrapped("", 9), [""]);
        // Wide letters take two columns (Unicode annex 11).
        assert_eq!(wrapped("猫猫 猫", 6), ["猫猫", "猫"]);
    }
}
