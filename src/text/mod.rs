//! Lettering: measured, wrapped and drawn with embedded fonts, the same everywhere.

use unicode_segmentation::UnicodeSegmentation as _;

mod letters;
mod shaping;
mod style;

pub use letters::draw;
pub use shaping::{Glyph, Piece, Shaped, shape};
pub use style::{Style, Weight};

/// Width of one line of text, pixels.
#[must_use]
pub fn width(text: &str, style: Style) -> f32 {
    shape(text, style).width
}

/// The font's file, for embedding.
#[must_use]
pub fn font_bytes(weight: Weight) -> &'static [u8] {
    shaping::bytes(weight)
}

/// The pieces that a word falls into where it is too long for a line: after joining characters, and
/// where its script allows a break (Unicode Line Breaking, UAX #14).
fn pieces(word: &str) -> Vec<&str> {
    let mut ends: Vec<usize> = unicode_linebreak::linebreaks(word)
        .map(|(at, _)| at)
        .collect();
    let joins = ['_', '-', '/', '.', ',', '@', ':', '+', '–', '—'];
    ends.extend(word.match_indices(joins).map(|(at, c)| at + c.len()));
    ends.sort_unstable();
    ends.dedup();
    let mut from = 0;
    let mut pieces = Vec::new();
    for end in ends {
        if end > from {
            pieces.push(&word[from..end]);
            from = end;
        }
    }
    pieces
}

/// Breaks text into lines no wider than `limit`: between words, else after a joining character
/// such as `_`, else anywhere. Line breaks of the text stay. Nothing is left out unless that would
/// take more than `most` lines: then the last line ends in an ellipsis.
///
/// A limit too narrow for one letter still gives one letter to a line.
#[must_use]
pub fn wrap(text: &str, style: Style, limit: f32, most: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for paragraph in text.trim().lines() {
        let mut line = String::new();
        for word in paragraph.split_whitespace() {
            let joined = if line.is_empty() {
                word.to_owned()
            } else {
                format!("{line} {word}")
            };
            if width(&joined, style) <= limit {
                line = joined;
                continue;
            }
            // A word that fits a line of its own is not broken.
            if !line.is_empty() && width(word, style) <= limit {
                lines.push(std::mem::replace(&mut line, word.to_owned()));
                continue;
            }
            if !line.is_empty() {
                line.push(' ');
            }
            for piece in pieces(word) {
                add_piece(&mut lines, &mut line, piece, style, limit);
            }
        }
        lines.push(line);
    }
    for line in &mut lines {
        line.truncate(line.trim_end().len());
    }
    if lines.len() > most && most > 0 {
        let rest = lines.split_off(most - 1).join(" ");
        lines.push(shortened(&rest, style, limit));
    }
    lines
}

fn add_piece(lines: &mut Vec<String>, line: &mut String, piece: &str, style: Style, limit: f32) {
    if width(&format!("{line}{piece}"), style) <= limit {
        line.push_str(piece);
        return;
    }
    if !line.is_empty() {
        lines.push(std::mem::take(line));
    }
    // Characters that no font has are written as code points: several of them that count as one letter
    // may be wider than a line.
    let letters = piece.graphemes(true).flat_map(|letter| {
        if width(letter, style) <= limit {
            vec![letter]
        } else {
            letter.split_inclusive(|_: char| true).collect()
        }
    });
    for letter in letters {
        let before = line.len();
        line.push_str(letter);
        if before > 0 && width(line, style) > limit {
            line.truncate(before);
            lines.push(std::mem::replace(line, letter.to_owned()));
        }
    }
}

/// Text on one line no wider than `limit`; what does not fit gives way to an ellipsis.
#[must_use]
pub fn shortened(text: &str, style: Style, limit: f32) -> String {
    if width(text, style) <= limit {
        return text.to_owned();
    }
    let mut kept: Vec<&str> = text.graphemes(true).collect();
    loop {
        while kept.last().is_some_and(|c| c.trim().is_empty()) {
            kept.pop();
        }
        let line: String = kept.iter().copied().chain(std::iter::once("…")).collect();
        if kept.is_empty() || width(&line, style) <= limit {
            return line;
        }
        kept.pop();
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use tiny_skia::{Color, Pixmap};

    use super::*;
    use crate::art::Rgb;

    const STYLE: Style = Style::regular(20.0);

    fn inked(text: &str, style: Style) -> (Pixmap, Option<[u32; 4]>) {
        let mut pixels = Pixmap::new(600, 80).unwrap();
        pixels.fill(Color::WHITE);
        draw(
            &mut pixels.as_mut(),
            text,
            style,
            40.0,
            50.0,
            Rgb([0, 0, 0]),
        );
        let mut found: Option<[u32; 4]> = None;
        for y in 0..80 {
            for x in 0..600 {
                if pixels.pixel(x, y).unwrap().red() < 255 {
                    let b = found.get_or_insert([x, y, x + 1, y + 1]);
                    *b = [b[0].min(x), b[1].min(y), b[2].max(x + 1), b[3].max(y + 1)];
                }
            }
        }
        (pixels, found)
    }

    #[test]
    fn a_line_is_as_wide_as_its_letters() {
        // DejaVu Sans: 2048 units to the em; H is 1540, i is 569, space 651 units wide.
        assert!(
            (width("Hi i", Style::regular(2048.0)) - (1540.0 + 569.0 + 651.0 + 569.0)).abs() < 0.01
        );
        assert!(width("name", Style::bold(20.0)) > width("name", STYLE));
        assert!(width("", STYLE).abs() < f32::EPSILON);
    }

    #[test]
    fn letters_land_on_their_baseline_within_their_width() {
        // H: left bearing 201 units, capital height 1493 units, no part below the baseline.
        let style = Style::regular(40.0);
        let (pixels, found) = inked("H", style);
        assert_eq!(found, Some([43, 20, 67, 50]));
        // The stem is full ink inside.
        assert_eq!(pixels.pixel(45, 40).unwrap().red(), 0);
    }

    #[test]
    fn ink_has_the_area_of_the_outline() {
        // A full stop of DejaVu Sans is a square of 211 x 254 units.
        let (pixels, _) = inked(".", Style::regular(40.0));
        let ink: f32 = pixels
            .pixels()
            .iter()
            .map(|p| f32::from(255 - p.red()) / 255.0)
            .sum();
        let want = 211.0 * 254.0 * (40.0 / 2048.0) * (40.0 / 2048.0);
        assert!((ink - want).abs() < 0.05, "{ink} {want}");
    }

    #[test]
    fn lines_of_text_keep_within_their_leading() {
        for size in [11.0, 17.0, 26.0, 40.0] {
            for style in [Style::regular(size), Style::bold(size)] {
                let (_, found) = inked("ÀÅÊghjpqy|çQ{}@_°", style);
                let [_, top, _, bottom] = found.unwrap();
                let line_top = 50 - style.baseline();
                assert!(
                    i64::from(top) >= i64::from(line_top),
                    "{style:?} {top} {line_top}"
                );
                assert!(
                    i64::from(bottom) <= i64::from(line_top + style.leading()),
                    "{style:?} {bottom}"
                );
            }
        }
    }

    #[test]
    fn text_off_the_picture_is_cut_without_a_fault() {
        let mut pixels = Pixmap::new(30, 20).unwrap();
        for (x, y) in [
            (-50.0, 10.0),
            (25.0, 10.0),
            (5.0, -40.0),
            (5.0, 60.0),
            (-200.0, 0.0),
        ] {
            draw(
                &mut pixels.as_mut(),
                "Wide text",
                STYLE,
                x,
                y,
                Rgb([0, 0, 0]),
            );
        }
    }

    #[test]
    fn lines_break_between_words_first() {
        let limit = width("weight on the", STYLE) + 0.5;
        assert_eq!(
            wrap("weight on the back foot", STYLE, limit, 9),
            ["weight on the", "back foot"]
        );
    }

    #[test]
    fn long_names_break_after_joining_characters() {
        let limit = width("upper_arm_", STYLE) + 0.5;
        assert_eq!(
            wrap("upper_arm_near_turned", STYLE, limit, 9),
            ["upper_arm_", "near_", "turned"]
        );
    }

    #[test]
    fn words_without_joins_break_anywhere() {
        let limit = width("mmmm", STYLE) + 0.5;
        assert_eq!(wrap("mmmmmmmmmm", STYLE, limit, 9), ["mmmm", "mmmm", "mm"]);
    }

    #[test]
    fn line_breaks_of_the_text_stay() {
        assert_eq!(wrap("one\ntwo\n", STYLE, 500.0, 9), ["one", "two"]);
    }

    #[test]
    fn an_ellipsis_comes_only_after_the_last_line() {
        let limit = width("back foot", STYLE) + 0.5;
        let lines = wrap("back foot back foot back foot", STYLE, limit, 2);
        assert_eq!(lines.len(), 2);
        assert_eq!(lines[0], "back foot");
        assert!(lines[1].ends_with('…') && lines[1].starts_with("back"));
        assert_eq!(
            wrap("back foot back foot", STYLE, limit, 2),
            ["back foot", "back foot"]
        );
    }

    // A mark that no font has, on a letter that no font has, went into the next cell of a sheet.
    #[test]
    fn code_points_that_count_as_one_letter_break() {
        let text = "\u{1000d}\u{1d17b}";
        let limit = width("[U+1000D]", STYLE) + 1.0;
        let lines = wrap(text, STYLE, limit, usize::MAX);
        assert_eq!(lines, ["\u{1000d}", "\u{1d17b}"]);
    }

    proptest! {
        #[test]
        fn wrapped_lines_fit_and_keep_every_letter(
            text in "[a-zA-Z_@ ,.\\-…äß°]{0,120}",
            limit in 40.0_f32..400.0,
            size in 10.0_f32..30.0,
        ) {
            let style = Style::bold(size);
            let lines = wrap(&text, style, limit, usize::MAX);
            for line in &lines {
                prop_assert!(width(line, style) <= limit, "{line:?}");
            }
            let letters = |s: &str| s.chars().filter(|c| !c.is_whitespace()).collect::<String>();
            prop_assert_eq!(letters(&lines.concat()), letters(&text));
        }

        #[test]
        fn shortened_lines_fit(text in ".{0,80}", limit in 30.0_f32..300.0) {
            prop_assert!(width(&shortened(&text, STYLE, limit), STYLE) <= limit);
        }
    }
}
