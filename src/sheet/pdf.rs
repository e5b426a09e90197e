//! Pages as a PDF: vector figures, text that can be selected and searched, bookmarks, true paper
//! size.

use std::collections::BTreeMap;
use std::io::{self, Write};

use krilla::Document as Writer;
use krilla::SerializeSettings;
use krilla::color::rgb;
use krilla::geom::{PathBuilder, Point};
use krilla::num::NormalizedF32;
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::text::{Font, GlyphId, KrillaGlyph};
use rayon::prelude::*;

use super::pack::{Mark, Pack, Parcel};
use super::page::{self, Document, Item, Page, Placement, Shape, Words};
use super::raster;
use crate::art::Rgb;
use crate::export::{pdf as figure_pdf, pdf_path};
use crate::geom::Affine;
use crate::solve::Figure;
use crate::text::{self, Piece, Weight};

/// Solves one figure, by its number. What it says when it cannot is put in the figure's place.
pub type SolveFigure<'a> = dyn Fn(usize) -> Result<Figure, String> + Sync + 'a;

/// Why there is no PDF.
#[derive(Debug, thiserror::Error)]
pub enum PdfError {
    /// It cannot be put together.
    #[error("the PDF cannot be made: {0}")]
    Made(String),
    /// It cannot be written.
    #[error("the PDF cannot be written: {0}")]
    Written(io::Error),
}

impl From<io::Error> for PdfError {
    fn from(why: io::Error) -> Self {
        match why.kind() {
            io::ErrorKind::InvalidData => Self::Made(why.to_string()),
            _ => Self::Written(why),
        }
    }
}

/// Pages that are made together: what is held at a time, for each thread.
const TOGETHER: usize = 8;

/// Writes documents into one PDF, each with its bookmark, a few pages at a time. Same documents, same
/// bytes: it names no time.
///
/// # Errors
///
/// When a page has no size on paper, or the PDF cannot be put together or written.
pub fn write(
    title: &str,
    documents: &[&Document],
    figure: &SolveFigure<'_>,
    out: impl Write,
) -> Result<(), PdfError> {
    let pages: Vec<&Page> = documents.iter().flat_map(|d| &d.pages).collect();
    let parts: Vec<&[&Page]> = pages.chunks(TOGETHER).collect();
    let mut pack = Pack::new(out)?;
    for parts in parts.chunks(rayon::current_num_threads().max(1)) {
        let made: Vec<Result<Parcel, PdfError>> = parts
            .par_iter()
            .with_max_len(1)
            .map(|pages| part(pages, figure))
            .collect();
        for part in made {
            pack.add(&part?)?;
        }
    }
    if pack.pages() != pages.len() {
        return Err(PdfError::Made("pages were lost".into()));
    }
    let creator = concat!("layfig ", env!("CARGO_PKG_VERSION"));
    pack.finish(title, creator, &marks(documents))?;
    Ok(())
}

/// A bookmark for each document, and below it those of its pages.
fn marks(documents: &[&Document]) -> Vec<Mark> {
    let mut first = 0;
    #[expect(clippy::cast_possible_truncation, reason = "within a page")]
    let of = documents.iter().map(|document| {
        let inner = document
            .pages
            .iter()
            .zip(first..)
            .flat_map(|(page, number)| {
                page.bookmarks.iter().map(move |mark| {
                    let down = f64::from(mark.y) / f64::from(page.height.max(1));
                    Mark {
                        name: mark.name.clone(),
                        page: number,
                        y: (page.points[1] * (1.0 - down)) as f32,
                        inner: Vec::new(),
                    }
                })
            });
        let mark = Mark {
            name: document.name.clone(),
            page: first,
            y: document
                .pages
                .first()
                .map_or(0.0, |page| page.points[1] as f32),
            inner: inner.collect(),
        };
        first += document.pages.len();
        mark
    });
    of.collect()
}

/// Some pages, ready to be added.
fn part(pages: &[&Page], figure: &SolveFigure<'_>) -> Result<Parcel, PdfError> {
    let settings = SerializeSettings {
        // Plain sRGB numbers, as in the PNG.
        no_device_cs: false,
        enable_tagging: false,
        // Drawings lose some of their digits before they are compressed.
        compress_content_streams: false,
        xmp_metadata: false,
        ..SerializeSettings::default()
    };
    let mut writer = Writer::new_with(settings);
    let mut fonts = Fonts::default();
    for page in pages {
        draw_page(&mut writer, page, &mut fonts, figure)?;
    }
    let made = writer.finish();
    let made = made.map_err(|why| PdfError::Made(format!("{why:?}")))?;
    Ok(Parcel::new(&made)?)
}

/// Embedded once for pages that are made together.
#[derive(Default)]
struct Fonts(BTreeMap<Weight, Font>);

impl Fonts {
    fn get(&mut self, weight: Weight) -> Option<Font> {
        if let Some(font) = self.0.get(&weight) {
            return Some(font.clone());
        }
        let font = Font::new(text::font_bytes(weight).into(), 0)?;
        self.0.insert(weight, font.clone());
        Some(font)
    }
}

fn draw_page(
    writer: &mut Writer,
    page: &Page,
    fonts: &mut Fonts,
    figure: &SolveFigure<'_>,
) -> Result<(), PdfError> {
    #[expect(clippy::cast_possible_truncation, reason = "within a page")]
    let [width, height] = page.points.map(|v| v as f32);
    let settings = PageSettings::from_wh(width, height)
        .ok_or_else(|| PdfError::Made(format!("a page of {width} x {height} points")))?;
    let mut sheet = writer.start_page_with(settings);
    let mut surface = sheet.surface();
    let to_points = Affine::scale([
        page.points[0] / f64::from(page.width.max(1)),
        page.points[1] / f64::from(page.height.max(1)),
    ]);
    surface.push_transform(&pdf_path::transform(&to_points));
    let all = [0.0, 0.0, f64::from(page.width), f64::from(page.height)];
    fill(&mut surface, all, page.colour);
    for item in &page.items {
        match item {
            Item::Fill(f) => fill(&mut surface, sides(f.area), f.colour),
            Item::Shape(s) => shape(&mut surface, s),
            Item::Words(w) => words(&mut surface, w, fonts),
            Item::Figure(placement) => place(&mut surface, page, placement, fonts, figure),
        }
    }
    surface.pop();
    surface.finish();
    sheet.finish();
    Ok(())
}

fn sides(area: super::layout::Area) -> [f64; 4] {
    [area.x, area.y, area.right(), area.bottom()].map(f64::from)
}

fn solid(Rgb([r, g, b]): Rgb) -> Fill {
    Fill {
        paint: rgb::Color::new(r, g, b).into(),
        opacity: NormalizedF32::ONE,
        rule: FillRule::NonZero,
    }
}

fn fill(surface: &mut Surface<'_>, area: [f64; 4], colour: Rgb) {
    if let Some(path) = pdf_path::rectangle(area) {
        surface.set_stroke(None);
        surface.set_fill(Some(solid(colour)));
        surface.draw_path(&path);
    }
}

#[expect(clippy::cast_possible_truncation, reason = "within a page")]
fn shape(surface: &mut Surface<'_>, shape: &Shape) {
    let Some(outline) = raster::path(shape) else {
        return;
    };
    let mut path = PathBuilder::new();
    pdf_path::add_path(&mut path, &outline, None, pdf_path::Grain::at(1.0));
    let Some(path) = path.finish() else {
        return;
    };
    let stroke = shape.stroke.as_ref().map(|s| {
        let Rgb([r, g, b]) = s.colour;
        Stroke {
            paint: rgb::Color::new(r, g, b).into(),
            width: s.width as f32,
            miter_limit: 4.0,
            dash: s.dash.map(|d| StrokeDash {
                array: d.map(|v| v as f32).to_vec(),
                offset: 0.0,
            }),
            ..Stroke::default()
        }
    });
    if shape.fill.is_none() && stroke.is_none() {
        return;
    }
    surface.set_fill(shape.fill.map(solid));
    surface.set_stroke(stroke);
    surface.draw_path(&path);
}

fn words(surface: &mut Surface<'_>, words: &Words, fonts: &mut Fonts) {
    surface.set_stroke(None);
    surface.set_fill(Some(solid(words.colour)));
    let (size, baseline) = (words.style.size, words.baseline as f32);
    let Some(font) = fonts.get(words.style.weight) else {
        return;
    };
    let shaped = text::shape(&words.text, words.style);
    for piece in &shaped.pieces {
        match piece {
            Piece::Letters { x, glyphs } => {
                let at = Point::from_xy(words.x + x, baseline);
                let glyphs: Vec<KrillaGlyph> = glyphs
                    .iter()
                    .map(|g| {
                        KrillaGlyph::new(
                            GlyphId::new(g.id),
                            g.advance / size,
                            g.shift[0] / size,
                            g.shift[1] / size,
                            0.0,
                            g.range.clone(),
                            None,
                        )
                    })
                    .collect();
                surface.draw_glyphs(at, &glyphs, font.clone(), &words.text, size, false);
            }
            Piece::Dots {
                x,
                width,
                range,
                rows,
            } => {
                let mut path = PathBuilder::new();
                for [left, top, right, bottom] in rows {
                    let corner = [
                        words.x + left,
                        baseline + top,
                        words.x + right,
                        baseline + bottom,
                    ];
                    if let Some(r) =
                        krilla::geom::Rect::from_ltrb(corner[0], corner[1], corner[2], corner[3])
                    {
                        path.push_rect(r);
                    }
                }
                if let Some(path) = path.finish() {
                    surface.draw_path(&path);
                }
                // An unseen letter that carries the character, for selecting and searching.
                surface.set_fill(Some(Fill {
                    opacity: NormalizedF32::ZERO,
                    ..solid(words.colour)
                }));
                let unseen = KrillaGlyph::new(
                    blank(words.style, width / size > 0.75),
                    width / size,
                    0.0,
                    0.0,
                    0.0,
                    range.clone(),
                    None,
                );
                let at = Point::from_xy(words.x + x, baseline);
                surface.draw_glyphs(at, &[unseen], font.clone(), &words.text, size, false);
                surface.set_fill(Some(solid(words.colour)));
            }
        }
    }
}

/// A letter that leaves no mark and is hardly ever written: what it is said to be is remembered, which
/// is not so of a font's glyph 0. Its own width is the character's, an em or half of one, since readers
/// see a space where a letter is narrower than its step.
fn blank(style: text::Style, wide: bool) -> GlyphId {
    let space = if wide { "\u{2003}" } else { "\u{2002}" };
    let glyph = text::shape(space, style)
        .pieces
        .into_iter()
        .find_map(|piece| match piece {
            Piece::Letters { glyphs, .. } => glyphs.first().map(|glyph| glyph.id),
            Piece::Dots { .. } => None,
        });
    GlyphId::new(glyph.unwrap_or(0))
}

fn place(
    surface: &mut Surface<'_>,
    page: &Page,
    placement: &Placement,
    fonts: &mut Fonts,
    figure: &SolveFigure<'_>,
) {
    let solved = match figure(placement.figure) {
        Ok(solved) => solved,
        Err(why) => {
            for line in page::refusal(&why, placement.area, page.alarm) {
                words(surface, &line, fonts);
            }
            return;
        }
    };
    let seen = sides(placement.area);
    let Some(clip) = pdf_path::rectangle(seen) else {
        return;
    };
    let faded = placement.opacity < 1.0;
    if faded {
        let opacity = NormalizedF32::new(placement.opacity.clamp(0.0, 1.0));
        surface.push_opacity(opacity.unwrap_or(NormalizedF32::ONE));
    }
    surface.push_clip_path(&clip, &FillRule::NonZero);
    let tint = placement.tint;
    let recolour = move |rgb: Rgb| tint.map_or(rgb, |t| t.of(rgb));
    let recolour_pixels = move |pixels: &mut [u8]| {
        if let Some(tint) = tint {
            raster::tinted(pixels, tint);
        }
    };
    figure_pdf::draw(
        &solved,
        surface,
        &figure_pdf::Place {
            to_page: placement.to_page,
            seen,
            tint: tint.is_some().then_some(figure_pdf::Recolour {
                colour: &recolour,
                pixels: &recolour_pixels,
            }),
        },
    );
    surface.pop();
    if faded {
        surface.pop();
    }
}
