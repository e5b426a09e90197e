//! Lettering: measured, wrapped and drawn with embedded fonts, the same everywhere.

use skrifa::GlyphId;
use skrifa::instance::{LocationRef, Size};
use skrifa::outline::{DrawSettings, OutlinePen};
use tiny_skia::PixmapMut;
use unicode_segmentation::UnicodeSegmentation as _;

use super::shaping;
pub use super::shaping::{Glyph, Piece, Shaped, shape};
use super::style::whole;
pub use super::style::{Style, Weight};
use crate::art::Rgb;

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

/// Draws one line of text with its baseline's left end at `x`, `y`, onto opaque pixels.
pub fn draw(pixels: &mut PixmapMut<'_>, text: &str, style: Style, x: f32, y: f32, colour: Rgb) {
    let face = shaping::face(style.weight);
    let shaped = shape(text, style);
    // Letters may reach beyond their advance a little.
    let spare = style.size.ceil();
    let left = whole((x - spare).floor());
    let top = whole((y - style.size * 1.2).floor());
    let mut ink = Coverage::new(
        whole(shaped.width + 2.0 * spare + 2.0).unsigned_abs() as usize,
        whole(style.size * 1.7).unsigned_abs() as usize + 2,
    );
    let (from_x, from_y) = (x - left as f32, y - top as f32);
    let settings = || DrawSettings::unhinted(Size::unscaled(), LocationRef::default());
    for piece in &shaped.pieces {
        match piece {
            Piece::Letters { x, glyphs } => {
                let mut along = from_x + x;
                for glyph in glyphs {
                    if let Some(outline) = face.outlines.get(GlyphId::new(glyph.id)) {
                        let mut pen = Pen {
                            ink: &mut ink,
                            scale: style.size / face.units,
                            x: along + glyph.shift[0],
                            y: from_y - glyph.shift[1],
                            start: [0.0; 2],
                            at: [0.0; 2],
                        };
                        // A damaged glyph would only leave a gap; the embedded fonts have none.
                        let _ = outline.draw(settings(), &mut pen);
                    }
                    along += glyph.advance;
                }
            }
            Piece::Dots { rows, .. } => {
                for [l, t, r, b] in rows {
                    let [l, r] = [from_x + l, from_x + r];
                    let [t, b] = [from_y + t, from_y + b];
                    ink.line([l, t], [l, b]);
                    ink.line([r, b], [r, t]);
                }
            }
        }
    }
    ink.blend(pixels, left, top, colour);
}

/// Exact-area coverage of closed outlines: each cell holds the change of signed area towards its
/// right, so that a running sum along the row gives coverage.
struct Coverage {
    width: usize,
    height: usize,
    cells: Vec<f32>,
}

impl Coverage {
    fn new(width: usize, height: usize) -> Self {
        Self {
            width,
            height,
            cells: vec![0.0; (width + 2) * height],
        }
    }

    /// Adds one edge. What lies left of the box counts at its left side, what lies beyond the
    /// others does not count.
    fn line(&mut self, from: [f32; 2], to: [f32; 2]) {
        if from[1] == to[1] {
            return;
        }
        let (sign, from, to) = if from[1] < to[1] {
            (1.0, from, to)
        } else {
            (-1.0, to, from)
        };
        let slope = (to[0] - from[0]) / (to[1] - from[1]);
        let top = from[1].max(0.0);
        let bottom = to[1].min(self.height as f32);
        let mut y = top;
        while y < bottom {
            let row = whole(y.floor()).unsigned_abs() as usize;
            let next = ((row + 1) as f32).min(bottom);
            let (x0, x1) = (
                from[0] + (y - from[1]) * slope,
                from[0] + (next - from[1]) * slope,
            );
            self.span(row, x0.min(x1), x0.max(x1), sign * (next - y));
            y = next;
        }
    }

    /// Adds an edge of signed height `tall` that stays within one row.
    fn span(&mut self, row: usize, x0: f32, x1: f32, tall: f32) {
        let limit = self.width as f32;
        let (x0, x1) = (x0.clamp(0.0, limit), x1.clamp(0.0, limit));
        let cells = &mut self.cells[row * (self.width + 2)..][..self.width + 2];
        let first = whole(x0.floor()).unsigned_abs() as usize;
        let last = whole(x1.floor()).unsigned_abs() as usize;
        if first == last {
            let beyond = (x0 + x1) * 0.5 - first as f32;
            cells[first] += tall * (1.0 - beyond);
            cells[first + 1] += tall * beyond;
            return;
        }
        let per_x = tall / (x1 - x0);
        let mut x = x0;
        for cell in first..=last {
            let next = ((cell + 1) as f32).min(x1);
            let part = per_x * (next - x);
            let beyond = (x + next) * 0.5 - cell as f32;
            cells[cell] += part * (1.0 - beyond);
            cells[cell + 1] += part * beyond;
            x = next;
        }
    }

    fn blend(&self, pixels: &mut PixmapMut<'_>, left: i32, top: i32, colour: Rgb) {
        let (wide, high) = (i64::from(pixels.width()), i64::from(pixels.height()));
        let data = pixels.data_mut();
        for row in 0..self.height {
            let y = i64::from(top) + row as i64;
            if y < 0 || y >= high {
                continue;
            }
            let mut sum = 0.0_f32;
            for (column, change) in self.cells[row * (self.width + 2)..][..self.width]
                .iter()
                .enumerate()
            {
                sum += change;
                let cover = whole(sum.abs().min(1.0) * 255.0 + 0.5).unsigned_abs();
                let x = i64::from(left) + column as i64;
                if cover == 0 || x < 0 || x >= wide {
                    continue;
                }
                let at = usize::try_from((y * wide + x) * 4).unwrap_or(0);
                for (under, over) in data[at..at + 3].iter_mut().zip(colour.0) {
                    let mixed = u32::from(*under) * (255 - cover) + u32::from(over) * cover + 127;
                    *under = u8::try_from(mixed / 255).unwrap_or(255);
                }
            }
        }
    }
}

/// Takes a glyph's outline, font units, y up, into the coverage, pixels, y down.
struct Pen<'a> {
    ink: &'a mut Coverage,
    scale: f32,
    x: f32,
    y: f32,
    start: [f32; 2],
    at: [f32; 2],
}

impl Pen<'_> {
    fn point(&self, x: f32, y: f32) -> [f32; 2] {
        [self.x + x * self.scale, self.y - y * self.scale]
    }

    fn edge(&mut self, to: [f32; 2]) {
        self.ink.line(self.at, to);
        self.at = to;
    }
}

impl OutlinePen for Pen<'_> {
    fn move_to(&mut self, x: f32, y: f32) {
        self.start = self.point(x, y);
        self.at = self.start;
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.edge(self.point(x, y));
    }

    fn quad_to(&mut self, cx: f32, cy: f32, x: f32, y: f32) {
        let (a, b, c) = (self.at, self.point(cx, cy), self.point(x, y));
        let bend = (a[0] - 2.0 * b[0] + c[0]).abs() + (a[1] - 2.0 * b[1] + c[1]).abs();
        // The chord of a piece is off by a quarter of the bend over the square of their number.
        let steps = (bend * 4.0).sqrt().ceil().clamp(1.0, 16.0);
        for step in 1..whole(steps) {
            let t = step as f32 / steps;
            let (p, q, r) = ((1.0 - t) * (1.0 - t), 2.0 * t * (1.0 - t), t * t);
            self.edge([
                p * a[0] + q * b[0] + r * c[0],
                p * a[1] + q * b[1] + r * c[1],
            ]);
        }
        self.edge(c);
    }

    fn curve_to(&mut self, cx0: f32, cy0: f32, cx1: f32, cy1: f32, x: f32, y: f32) {
        let (a, b, c, d) = (
            self.at,
            self.point(cx0, cy0),
            self.point(cx1, cy1),
            self.point(x, y),
        );
        for step in 1..=8_u8 {
            let t = f32::from(step) / 8.0;
            let u = 1.0 - t;
            let (p, q, r, s) = (u * u * u, 3.0 * u * u * t, 3.0 * u * t * t, t * t * t);
            self.edge([
                p * a[0] + q * b[0] + r * c[0] + s * d[0],
                p * a[1] + q * b[1] + r * c[1] + s * d[1],
            ]);
        }
    }

    fn close(&mut self) {
        self.edge(self.start);
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use tiny_skia::{Color, Pixmap};

    use super::*;

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
