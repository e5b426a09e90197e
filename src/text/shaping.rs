//! From characters to glyphs in their places: right-to-left order, joined scripts, and what happens
//! to characters that the fonts have not.
//!
//! Letters come from DejaVu Sans, which has Latin, Greek, Cyrillic, Arabic, Hebrew, Armenian,
//! Georgian and many symbols. What it has not, Chinese, Japanese and Korean above all, is drawn from
//! the 16-dot glyphs of Unifont; what that has not either is written as its code point, `[U+1F600]`.
//! So no name is ever lost.

use std::ops::Range;
use std::sync::OnceLock;

use harfrust::{Buffer, Direction, Font, ShapeOptions, ShaperFont};
use skrifa::instance::{LocationRef, Size};
use skrifa::metrics::GlyphMetrics;
use skrifa::outline::OutlineGlyphCollection;
use skrifa::{FontRef, GlyphId, MetadataProvider};
use unicode_bidi::BidiInfo;

use super::style::{Style, Weight};

/// One line of text as glyphs, left to right.
#[derive(Clone, Debug, Default)]
pub struct Shaped {
    /// Left to right.
    pub pieces: Vec<Piece>,
    /// Pixels.
    pub width: f32,
}

/// Part of a line.
#[derive(Clone, Debug)]
pub enum Piece {
    /// From the font.
    Letters {
        /// Left end, pixels from the line's.
        x: f32,
        /// Left to right.
        glyphs: Vec<Glyph>,
    },
    /// One character made of dots.
    Dots {
        /// Left end, pixels from the line's.
        x: f32,
        /// Pixels.
        width: f32,
        /// The bytes of the line's text that it stands for.
        range: Range<usize>,
        /// Boxes to fill: left, top, right, bottom, pixels from the line's left end and baseline.
        rows: Vec<[f32; 4]>,
    },
}

/// A glyph of the font.
#[derive(Clone, Debug, PartialEq)]
pub struct Glyph {
    /// Its number in the font.
    pub id: u32,
    /// To the next, pixels.
    pub advance: f32,
    /// Moved by, pixels, y up.
    pub shift: [f32; 2],
    /// The bytes of the line's text that it stands for.
    pub range: Range<usize>,
}

pub(super) struct Face {
    pub outlines: OutlineGlyphCollection<'static>,
    pub units: f32,
    font: FontRef<'static>,
    glyphs: GlyphMetrics<'static>,
    shaper: Font,
}

impl Face {
    fn new(bytes: &'static [u8]) -> Self {
        let font = FontRef::new(bytes).expect("the embedded font is whole");
        let glyphs = font.glyph_metrics(Size::unscaled(), LocationRef::default());
        let outlines = font.outline_glyphs();
        let metrics = font.metrics(Size::unscaled(), LocationRef::default());
        Self {
            outlines,
            units: f32::from(metrics.units_per_em),
            font,
            glyphs,
            shaper: Font::new(bytes.to_vec(), 0).expect("the embedded font is whole"),
        }
    }

    fn glyph(&self, c: char) -> Option<GlyphId> {
        self.font.charmap().map(c).filter(|g| *g != GlyphId::NOTDEF)
    }

    fn advance(&self, glyph: GlyphId) -> f32 {
        self.glyphs.advance_width(glyph).unwrap_or(0.0)
    }
}

pub(super) fn bytes(weight: Weight) -> &'static [u8] {
    match weight {
        Weight::Regular => dejavu::sans::regular(),
        Weight::Bold => dejavu::sans::bold(),
    }
}

pub(super) fn face(weight: Weight) -> &'static Face {
    static REGULAR: OnceLock<Face> = OnceLock::new();
    static BOLD: OnceLock<Face> = OnceLock::new();
    let cell = match weight {
        Weight::Regular => &REGULAR,
        Weight::Bold => &BOLD,
    };
    cell.get_or_init(|| Face::new(bytes(weight)))
}

/// Letters that stand for themselves, one glyph each, left to right.
fn is_plain(c: char) -> bool {
    matches!(c, ' '..='~' | '\u{a0}'..='\u{ac}' | '\u{ae}'..='\u{2ff}' | '\u{370}'..='\u{482}'
        | '\u{48a}'..='\u{58f}' | '\u{2010}'..='\u{2027}' | '\u{2030}'..='\u{205e}'
        | '\u{2070}'..='\u{20cf}' | '\u{2100}'..='\u{2bff}')
}

/// Puts the characters of one line into their places.
#[must_use]
pub fn shape(text: &str, style: Style) -> Shaped {
    let face = face(style.weight);
    let mut line = Line {
        face,
        style,
        shaped: Shaped::default(),
    };
    if text.chars().all(|c| is_plain(c) && face.glyph(c).is_some()) {
        line.plain(text, 0..text.len());
        return line.shaped;
    }
    let bidi = BidiInfo::new(text, None);
    for paragraph in &bidi.paragraphs {
        let (levels, runs) = bidi.visual_runs(paragraph, paragraph.range.clone());
        for run in runs {
            let backwards = levels[run.start].is_rtl();
            let mut spans = spans(text, run, face);
            if backwards {
                spans.reverse();
            }
            for (kind, span) in spans {
                match kind {
                    Kind::Letters => line.letters(text, span, backwards),
                    Kind::Dots => line.dots(text, span, backwards),
                    Kind::Code => line.codes(text, span, backwards),
                }
            }
        }
    }
    line.shaped
}

/// How a character is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Letters,
    Dots,
    Code,
}

/// Characters that show nothing of their own: joiners, marks of direction, variation selectors.
fn is_unseen(c: char) -> bool {
    matches!(c, '\u{ad}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}'
        | '\u{2060}'..='\u{206f}' | '\u{fe00}'..='\u{fe0f}' | '\u{feff}')
}

/// Runs of characters that are drawn the same way; Arabic apart from others, since a run is shaped
/// by the rules of one script.
fn spans(text: &str, run: Range<usize>, face: &Face) -> Vec<(Kind, Range<usize>)> {
    let mut spans: Vec<(Kind, bool, Range<usize>)> = Vec::new();
    for (at, c) in text[run.clone()].char_indices() {
        let here = run.start + at..run.start + at + c.len_utf8();
        let arabic = matches!(c, '\u{600}'..='\u{6ff}' | '\u{750}'..='\u{77f}' | '\u{8a0}'..='\u{8ff}' | '\u{fb50}'..='\u{fdff}' | '\u{fe70}'..='\u{fefc}');
        let kind = if face.glyph(c).is_some() {
            Kind::Letters
        } else if is_dotted(c) {
            Kind::Dots
        } else {
            Kind::Code
        };
        if let Some((last, was_arabic, range)) = spans.last_mut() {
            let joins = is_unseen(c) || (*last == kind && (*was_arabic == arabic || c == ' '));
            if joins {
                range.end = here.end;
                continue;
            }
        }
        let kind = if is_unseen(c) { Kind::Letters } else { kind };
        spans.push((kind, arabic, here));
    }
    spans
        .into_iter()
        .map(|(kind, _, range)| (kind, range))
        .collect()
}

fn is_dotted(c: char) -> bool {
    !c.is_control() && unifont::get_glyph(c).is_some()
}

struct Line<'a> {
    face: &'a Face,
    style: Style,
    shaped: Shaped,
}

impl Line<'_> {
    fn add(&mut self, glyphs: Vec<Glyph>) {
        let x = self.shaped.width;
        self.shaped.width += glyphs.iter().map(|g| g.advance).sum::<f32>();
        self.shaped.pieces.push(Piece::Letters { x, glyphs });
    }

    fn plain(&mut self, text: &str, range: Range<usize>) {
        let scale = self.style.size / self.face.units;
        let glyphs = text[range.clone()]
            .char_indices()
            .map(|(at, c)| {
                let glyph = self.face.glyph(c).unwrap_or(GlyphId::NOTDEF);
                let at = range.start + at;
                Glyph {
                    id: glyph.to_u32(),
                    advance: self.face.advance(glyph) * scale,
                    shift: [0.0; 2],
                    range: at..at + c.len_utf8(),
                }
            })
            .collect();
        self.add(glyphs);
    }

    fn letters(&mut self, text: &str, range: Range<usize>, backwards: bool) {
        let part = &text[range.clone()];
        if !backwards && part.chars().all(is_plain) {
            return self.plain(text, range);
        }
        let mut buffer = Buffer::new();
        buffer.push_str(part);
        buffer.guess_segment_properties();
        buffer.set_direction(if backwards {
            Direction::RightToLeft
        } else {
            Direction::LeftToRight
        });
        let font = ShaperFont::new(&self.face.shaper);
        if harfrust::shape(&font, &mut buffer, ShapeOptions::default()).is_err() {
            return self.plain(text, range);
        }
        let infos = buffer.glyph_infos();
        // A cluster goes to where the next in the text begins.
        let mut starts: Vec<usize> = infos.iter().map(|i| i.cluster as usize).collect();
        starts.sort_unstable();
        starts.dedup();
        let scale = self.style.size / self.face.units;
        let glyphs = infos
            .iter()
            .zip(buffer.glyph_positions())
            .map(|(info, place)| {
                let start = info.cluster as usize;
                let next = starts.iter().find(|s| **s > start);
                let end = next.copied().unwrap_or(part.len());
                Glyph {
                    id: info.glyph_id,
                    advance: place.x_advance as f32 * scale,
                    shift: [place.x_offset as f32 * scale, place.y_offset as f32 * scale],
                    range: range.start + start..range.start + end,
                }
            })
            .collect();
        self.add(glyphs);
    }

    /// Characters in the order they are drawn in.
    fn order(text: &str, range: Range<usize>, backwards: bool) -> Vec<(char, Range<usize>)> {
        let mut all: Vec<(char, Range<usize>)> = text[range.clone()]
            .char_indices()
            .map(|(at, c)| (c, range.start + at..range.start + at + c.len_utf8()))
            .collect();
        if backwards {
            all.reverse();
        }
        all
    }

    fn dots(&mut self, text: &str, range: Range<usize>, backwards: bool) {
        for (c, range) in Self::order(text, range, backwards) {
            let Some(glyph) = unifont::get_glyph(c).filter(|_| !is_unseen(c)) else {
                continue;
            };
            // 14 of the 16 rows stand on the baseline.
            let dot = self.style.size / 16.0;
            let (x, top) = (self.shaped.width, -14.0 * dot);
            let wide = glyph.get_width();
            let mut rows = Vec::new();
            for y in 0..16_u8 {
                let mut from = None;
                for column in 0..=wide {
                    let on = column < wide && glyph.get_pixel(column, usize::from(y));
                    match (on, from) {
                        (true, None) => from = Some(column),
                        (false, Some(start)) => {
                            let y = top + f32::from(y) * dot;
                            let at = |column: usize| x + column as f32 * dot;
                            rows.push([at(start), y, at(column), y + dot]);
                            from = None;
                        }
                        _ => {}
                    }
                }
            }
            let width = wide as f32 * dot;
            self.shaped.width += width;
            self.shaped.pieces.push(Piece::Dots {
                x,
                width,
                range,
                rows,
            });
        }
    }

    /// Characters that no font has, by their code points.
    fn codes(&mut self, text: &str, range: Range<usize>, backwards: bool) {
        let scale = self.style.size / self.face.units;
        for (c, range) in Self::order(text, range, backwards) {
            if is_unseen(c) {
                continue;
            }
            let code = format!("[U+{:04X}]", u32::from(c));
            let glyphs = code
                .chars()
                .map(|c| {
                    let glyph = self.face.glyph(c).unwrap_or(GlyphId::NOTDEF);
                    Glyph {
                        id: glyph.to_u32(),
                        advance: self.face.advance(glyph) * scale,
                        shift: [0.0; 2],
                        range: range.clone(),
                    }
                })
                .collect();
            self.add(glyphs);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn letters(text: &str) -> Vec<Glyph> {
        let shaped = shape(text, Style::regular(20.0));
        let mut all = Vec::new();
        for piece in shaped.pieces {
            if let Piece::Letters { glyphs, .. } = piece {
                all.extend(glyphs);
            }
        }
        all
    }

    #[test]
    fn right_to_left_words_are_drawn_from_the_right() {
        // Shalom: shin, lamed, vav, final mem; drawn mem first.
        let starts: Vec<usize> = letters("שלום").iter().map(|g| g.range.start).collect();
        assert_eq!(starts, [6, 4, 2, 0]);
    }

    #[test]
    fn arabic_letters_join() {
        // Beh alone, and beh at the start and at the end of a word, are three glyphs.
        let alone = letters("ب")[0].id;
        let joined: Vec<u32> = letters("بب").iter().map(|g| g.id).collect();
        assert_eq!(joined.len(), 2);
        assert!(joined[0] != alone && joined[1] != alone && joined[0] != joined[1]);
    }

    #[test]
    fn numbers_within_right_to_left_text_read_left_to_right() {
        let text = "יד 12";
        let order: Vec<&str> = letters(text)
            .iter()
            .map(|g| &text[g.range.clone()])
            .collect();
        assert_eq!(order, ["1", "2", " ", "ד", "י"]);
    }

    #[test]
    fn chinese_japanese_and_korean_are_drawn_in_dots() {
        let shaped = shape("渡し船 선", Style::bold(32.0));
        let dots = shaped
            .pieces
            .iter()
            .filter(|p| matches!(p, Piece::Dots { .. }));
        assert_eq!(dots.count(), 4);
        // Full-width characters are as wide as the em.
        assert!(
            shaped.width > 4.0 * 32.0 && shaped.width < 4.5 * 32.0,
            "{}",
            shaped.width
        );
    }

    #[test]
    fn what_no_font_has_is_written_as_its_code_point() {
        let ids = |text| letters(text).iter().map(|g| g.id).collect::<Vec<_>>();
        assert_eq!(ids("\u{1f9ff}"), ids("[U+1F9FF]"));
        assert!(letters("\u{1f9ff}").iter().all(|g| g.range == (0..4)));
    }
}
