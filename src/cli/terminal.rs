//! How wide lines may be, and how they are broken; tables; numbers with their nouns.

use std::io::IsTerminal;

use terminal_size::terminal_size;
use unicode_width::UnicodeWidthStr as _;

use crate::diag::wrapped;

/// Columns where nobody says how wide the window is.
const USUAL: usize = 100;
/// Narrower windows get lines of this many columns: less is not readable.
const LEAST: usize = 40;
/// Between columns of a table.
const GAP: usize = 2;
/// A column of a table is not made narrower than this.
const NARROW: usize = 8;

/// Columns of the window behind this stream.
pub(super) fn width(stream: &impl IsTerminal) -> usize {
    let size = stream.is_terminal().then(terminal_size).flatten();
    size.map_or(USUAL, |(columns, _)| usize::from(columns.0).max(LEAST))
}

/// `1 picture`, `2 pictures`.
pub(super) fn count(number: usize, noun: &str) -> String {
    format!("{number} {noun}{}", if number == 1 { "" } else { "s" })
}

/// A line with what it goes on in set in under it.
pub(super) fn hanging(line: &str, width: usize) -> Vec<String> {
    let text = line.trim_start_matches(' ');
    let indent = " ".repeat(line.len() - text.len());
    if line.width() <= width {
        return vec![line.to_owned()];
    }
    // The first line has two columns more than the others, which nobody misses.
    let lines = wrapped(text, width.saturating_sub(indent.len() + 2));
    let lines = lines.iter().enumerate();
    lines
        .map(|(at, line)| format!("{indent}{}{line}", if at == 0 { "" } else { "  " }))
        .collect()
}

/// Rows of cells, each column as wide as its widest cell; where that is too wide, the widest columns are made
/// narrower and their cells go on in further lines.
pub(super) fn table(rows: &[Vec<String>], width: usize) -> Vec<String> {
    let columns = rows.iter().map(Vec::len).max().unwrap_or(0);
    let widest = |k: usize| {
        let cells = rows.iter().filter_map(|row| row.get(k));
        cells.map(|cell| cell.width()).max().unwrap_or(0)
    };
    let mut widths: Vec<usize> = (0..columns).map(widest).collect();
    let room = width.saturating_sub(GAP * columns.saturating_sub(1));
    while widths.iter().sum::<usize>() > room {
        match widths.iter_mut().max() {
            Some(most) if *most > NARROW => *most -= 1,
            _ => break,
        }
    }
    let mut out = Vec::new();
    for row in rows {
        let cells = row.iter().zip(&widths);
        let cells: Vec<Vec<String>> = cells.map(|(cell, &w)| broken(cell, w)).collect();
        let height = cells.iter().map(Vec::len).max().unwrap_or(0);
        for at in 0..height {
            let mut line = String::new();
            for (cell, &wide) in cells.iter().zip(&widths) {
                let text = cell.get(at).map_or("", String::as_str);
                line.push_str(text);
                line.push_str(&" ".repeat(wide.saturating_sub(text.width()) + GAP));
            }
            out.push(line.trim_end().to_owned());
        }
    }
    out
}

/// A cell's lines; words that are too long for it are broken too.
fn broken(cell: &str, width: usize) -> Vec<String> {
    let mut out = Vec::new();
    for mut line in wrapped(cell, width) {
        while line.width() > width {
            let mut end = 0;
            for (at, c) in line.char_indices() {
                let next = at + c.len_utf8();
                if line[..next].width() > width && end > 0 {
                    break;
                }
                end = next;
            }
            let rest = line.split_off(end);
            out.push(std::mem::replace(&mut line, rest));
        }
        out.push(line);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rows(rows: &[&[&str]]) -> Vec<Vec<String>> {
        let row = |row: &&[&str]| row.iter().map(|&cell| cell.to_owned()).collect();
        rows.iter().map(row).collect()
    }

    #[test]
    fn one_is_singular() {
        assert_eq!(count(0, "picture"), "0 pictures");
        assert_eq!(count(1, "picture"), "1 picture");
        assert_eq!(count(2, "picture"), "2 pictures");
    }

    #[test]
    fn what_a_line_goes_on_in_hangs_under_it() {
        assert_eq!(hanging("  a bc def", 10), ["  a bc def"]);
        assert_eq!(hanging("  a bc def", 9), ["  a bc", "    def"]);
        // A path stays whole, so that it can be copied.
        assert_eq!(hanging("see out/a/b/c/d", 8), ["see", "  out/a/b/c/d"]);
    }

    #[test]
    fn a_table_that_is_too_wide_breaks_its_widest_cells() {
        let two = rows(&[&["cause", "poses"], &["forearm pivot moved far", "12"]]);
        assert_eq!(
            table(&two, 40),
            [
                "cause                    poses",
                "forearm pivot moved far  12"
            ]
        );
        let narrow = table(&two, 20);
        let want = ["cause          poses", "forearm pivot  12", "moved far"];
        assert_eq!(narrow, want);
        let long = rows(&[&["upper_arm_near.pivot", "1"]]);
        assert_eq!(table(&long, 13), ["upper_arm_  1", "near.pivot"]);
        // Wide letters take two columns (Unicode annex 11).
        assert_eq!(
            table(&rows(&[&["猫", "a"], &["b", "c"]]), 40),
            ["猫  a", "b   c"]
        );
    }
}
