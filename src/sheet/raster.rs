//! Pages as pixels.

use std::sync::{Mutex, PoisonError};

use rayon::prelude::*;
use tiny_skia::{Pixmap, PixmapMut};

use super::layout::{Area, LONGEST_SIDE};
use super::page::{self, Fill, Item, Page, Placement, Shape, Tint, Words};
use crate::art::Rgb;
use crate::geom::Affine;
use crate::text;

/// Draws one figure, by its number, over what the pixels hold. What it says when it cannot is put in
/// the figure's place.
pub type DrawFigure<'a> =
    dyn Fn(usize, Affine, &mut PixmapMut<'_>) -> Result<(), String> + Sync + 'a;

/// Draws a page: neighbouring figures in parallel on the current threads, figures that lie over each
/// other in order.
///
/// # Panics
///
/// Never: pages are within the sides that a picture can have.
pub fn draw(page: &Page, figure: &DrawFigure<'_>) -> Pixmap {
    let mut pixels =
        Pixmap::new(side(page.width), side(page.height)).expect("sides are within bounds");
    pixels.fill(skia(page.colour));
    let mut at = 0;
    while let Some(item) = page.items.get(at) {
        match item {
            Item::Fill(fill) => paint(&mut pixels.as_mut(), *fill),
            Item::Shape(shape) => outline(&mut pixels.as_mut(), shape),
            Item::Words(words) => letters(&mut pixels.as_mut(), words),
            Item::Figure(_) => {
                let run: Vec<&Placement> = page.items[at..]
                    .iter()
                    .map_while(|item| match item {
                        Item::Figure(placement) => Some(placement),
                        _ => None,
                    })
                    .collect();
                at += run.len();
                pixels = figures(page, pixels, &run, figure);
                continue;
            }
        }
        at += 1;
    }
    pixels
}

/// Figures that no other kind of item comes between.
fn figures(page: &Page, pixels: Pixmap, run: &[&Placement], figure: &DrawFigure<'_>) -> Pixmap {
    let sheet = Mutex::new(pixels);
    stacks(run).par_iter().with_max_len(1).for_each(|stack| {
        for placement in stack {
            let Some(area) = common(placement.area, page.area()) else {
                continue;
            };
            let lock = || sheet.lock().unwrap_or_else(PoisonError::into_inner);
            let mut cell = cut(&lock(), area);
            place(page, placement, area, &mut cell, figure);
            copy(&cell, &mut lock(), area);
        }
    });
    sheet.into_inner().unwrap_or_else(PoisonError::into_inner)
}

/// Figures that lie over each other, together; each in order.
fn stacks<'a>(run: &[&'a Placement]) -> Vec<Vec<&'a Placement>> {
    let mut stacks: Vec<Vec<&Placement>> = Vec::new();
    for &placement in run {
        let meets = |stack: &Vec<&Placement>| stack.iter().any(|p| p.area.meets(placement.area));
        let (mut met, apart): (Vec<_>, Vec<_>) = stacks.into_iter().partition(meets);
        stacks = apart;
        if met.len() > 1 {
            // Only now do they lie over each other: none of them did before.
            met = vec![met.into_iter().flatten().collect()];
        }
        let mut stack = met.pop().unwrap_or_default();
        stack.push(placement);
        stacks.push(stack);
    }
    stacks
}

fn place(
    page: &Page,
    placement: &Placement,
    area: Area,
    cell: &mut Pixmap,
    figure: &DrawFigure<'_>,
) {
    let shift = Affine::translate([-f64::from(area.x), -f64::from(area.y)]);
    let to_pixels = shift.after(placement.to_page);
    let drawn = if placement.tint.is_none() && placement.opacity >= 1.0 {
        figure(placement.figure, to_pixels, &mut cell.as_mut())
    } else {
        let mut alone =
            Pixmap::new(cell.width(), cell.height()).expect("sides are those of another picture");
        figure(placement.figure, to_pixels, &mut alone.as_mut())
            .map(|()| lay_over(&mut alone, cell, placement))
    };
    if let Err(why) = drawn {
        for mut words in page::refusal(&why, placement.area, page.alarm) {
            words.x -= area.x as f32;
            words.baseline -= area.y;
            letters(&mut cell.as_mut(), &words);
        }
    }
}

fn lay_over(alone: &mut Pixmap, cell: &mut Pixmap, placement: &Placement) {
    if let Some(tint) = placement.tint {
        tinted(alone.data_mut(), tint);
    }
    let paint = tiny_skia::PixmapPaint {
        opacity: placement.opacity.clamp(0.0, 1.0),
        ..tiny_skia::PixmapPaint::default()
    };
    let place = tiny_skia::Transform::identity();
    cell.draw_pixmap(0, 0, alone.as_ref(), &paint, place, None);
}

/// Tints premultiplied pixels.
pub(super) fn tinted(pixels: &mut [u8], tint: Tint) {
    for p in pixels.chunks_exact_mut(4) {
        let [r, g, b, alpha] = [p[0], p[1], p[2], p[3]].map(u32::from);
        let luma = (299 * r + 587 * g + 114 * b + 500) / 1000;
        p[..3].copy_from_slice(&tint.at(luma, alpha).0);
    }
}

fn letters(pixels: &mut PixmapMut<'_>, words: &Words) {
    let baseline = words.baseline as f32;
    text::draw(
        pixels,
        &words.text,
        words.style,
        words.x,
        baseline,
        words.colour,
    );
}

/// The path of a shape, page pixels.
pub(super) fn path(shape: &Shape) -> Option<tiny_skia::Path> {
    let mut path = tiny_skia::PathBuilder::new();
    #[expect(clippy::cast_possible_truncation, reason = "within a page")]
    for (at, [x, y]) in shape.points.iter().map(|p| p.map(|v| v as f32)).enumerate() {
        if at == 0 {
            path.move_to(x, y);
        } else {
            path.line_to(x, y);
        }
    }
    if shape.closed {
        path.close();
    }
    path.finish()
}

fn outline(pixels: &mut PixmapMut<'_>, shape: &Shape) {
    let Some(path) = path(shape) else {
        return;
    };
    let place = tiny_skia::Transform::identity();
    let paint_of = |colour| {
        let mut paint = tiny_skia::Paint::default();
        paint.set_color(skia(colour));
        paint
    };
    if let Some(colour) = shape.fill {
        let rule = tiny_skia::FillRule::Winding;
        pixels.fill_path(&path, &paint_of(colour), rule, place, None);
    }
    if let Some(stroke) = &shape.stroke {
        #[expect(clippy::cast_possible_truncation, reason = "within a page")]
        let line = tiny_skia::Stroke {
            width: stroke.width as f32,
            dash: stroke
                .dash
                .and_then(|d| tiny_skia::StrokeDash::new(d.map(|v| v as f32).to_vec(), 0.0)),
            ..tiny_skia::Stroke::default()
        };
        pixels.stroke_path(&path, &paint_of(stroke.colour), &line, place, None);
    }
}

fn side(v: i32) -> u32 {
    v.clamp(1, LONGEST_SIDE).unsigned_abs()
}

fn skia(colour: Rgb) -> tiny_skia::Color {
    let [r, g, b] = colour.0;
    tiny_skia::Color::from_rgba8(r, g, b, 255)
}

/// What two boxes share.
fn common(one: Area, other: Area) -> Option<Area> {
    let (x, y) = (one.x.max(other.x), one.y.max(other.y));
    let w = one.right().min(other.right()) - x;
    let h = one.bottom().min(other.bottom()) - y;
    (w > 0 && h > 0).then_some(Area { x, y, w, h })
}

/// Fills whole pixels.
fn paint(pixels: &mut PixmapMut<'_>, fill: Fill) {
    let (wide, high) = (
        i32::try_from(pixels.width()).unwrap_or(i32::MAX),
        i32::try_from(pixels.height()).unwrap_or(i32::MAX),
    );
    let (x0, x1) = (fill.area.x.clamp(0, wide), fill.area.right().clamp(0, wide));
    let [r, g, b] = fill.colour.0;
    for y in fill.area.y.clamp(0, high)..fill.area.bottom().clamp(0, high) {
        let at = |x: i32| usize::try_from(y * wide + x).unwrap_or(0) * 4;
        for p in pixels.data_mut()[at(x0)..at(x1)].chunks_exact_mut(4) {
            p.copy_from_slice(&[r, g, b, 255]);
        }
    }
}

/// Where each row of a box begins in a picture's bytes, and how long it is.
fn rows(picture: &Pixmap, area: Area) -> impl Iterator<Item = std::ops::Range<usize>> + use<> {
    let wide = picture.width() as usize;
    let of = |v: i32| usize::try_from(v).unwrap_or(0);
    let (x, w) = (of(area.x), of(area.w));
    (of(area.y)..of(area.bottom())).map(move |y| {
        let at = (y * wide + x) * 4;
        at..at + w * 4
    })
}

/// A box of a picture that holds it, as a picture.
fn cut(from: &Pixmap, area: Area) -> Pixmap {
    let mut to = Pixmap::new(side(area.w), side(area.h)).expect("sides are within bounds");
    let line = to.width() as usize * 4;
    for (row, to) in rows(from, area).zip(to.data_mut().chunks_exact_mut(line)) {
        to.copy_from_slice(&from.data()[row]);
    }
    to
}

/// Copies a picture into a box of its own size.
fn copy(from: &Pixmap, to: &mut Pixmap, area: Area) {
    let line = from.width() as usize * 4;
    for (row, from) in rows(to, area).zip(from.data().chunks_exact(line)) {
        to.data_mut()[row].copy_from_slice(from);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::text::Style;

    const WHITE: Rgb = Rgb([255; 3]);
    const RED: Rgb = Rgb([255, 0, 0]);

    fn page(items: Vec<Item>) -> Page {
        let alarm = (Style::regular(12.0), RED);
        let mut page = Page::new([60, 40], [60.0, 40.0], WHITE, alarm);
        page.items = items;
        page
    }

    fn placed(figure: usize, x: i32) -> Placement {
        let (y, w, h) = (5, 20, 20);
        Placement::plain(figure, Area { x, y, w, h }, Affine::IDENTITY)
    }

    fn colour(pixels: &Pixmap, x: u32, y: u32) -> [u8; 3] {
        let p = pixels.pixel(x, y).unwrap();
        [p.red(), p.green(), p.blue()]
    }

    #[test]
    fn figures_over_each_other_keep_their_order() {
        let items = (0..3).map(|n| Item::Figure(placed(n, 10 * n as i32)));
        let drawn = draw(&page(items.collect()), &|n, _, pixels| {
            let level = 60 * u8::try_from(n).unwrap();
            pixels.data_mut().chunks_exact_mut(4).for_each(|p| {
                p.copy_from_slice(&[level, level, level, 255]);
            });
            Ok(())
        });
        let row: Vec<u8> = [5, 12, 22, 35, 45]
            .map(|x| colour(&drawn, x, 10)[0])
            .to_vec();
        assert_eq!(row, [0, 60, 120, 120, 255]);
        assert_eq!(colour(&drawn, 5, 30), [255; 3]);
    }

    #[test]
    fn a_figure_keeps_within_its_box_and_the_page() {
        let mut over = placed(0, 50);
        over.area.y = -5;
        let drawn = draw(&page(vec![Item::Figure(over)]), &|_, to_page, pixels| {
            assert_eq!((pixels.width(), pixels.height()), (10, 15));
            assert_eq!(to_page.apply([50.0, 0.0]), [0.0, 0.0]);
            pixels.data_mut().fill(0);
            Ok(())
        });
        assert_eq!(colour(&drawn, 55, 10), [0; 3]);
        assert_eq!(colour(&drawn, 49, 10), [255; 3]);
    }

    #[test]
    fn tinted_figures_fade_as_one() {
        let mut placement = placed(0, 0);
        placement.opacity = 0.5;
        placement.tint = Some(Tint {
            dark: RED,
            light: WHITE,
        });
        let drawn = draw(&page(vec![Item::Figure(placement)]), &|_, _, pixels| {
            pixels.data_mut().chunks_exact_mut(4).for_each(|p| {
                p.copy_from_slice(&[0, 0, 0, 255]);
            });
            Ok(())
        });
        let [r, g, b] = colour(&drawn, 10, 10);
        assert!(r == 255 && g.abs_diff(128) <= 1 && b == g, "{r} {g} {b}");
    }

    #[test]
    fn lines_are_dashed_and_shapes_filled() {
        let dashed = Shape {
            points: vec![[0.0, 10.0], [60.0, 10.0]],
            closed: false,
            fill: None,
            stroke: Some(super::super::page::Stroke {
                colour: RED,
                width: 2.0,
                dash: Some([5.0, 5.0]),
            }),
        };
        let filled = Shape {
            points: vec![[10.0, 20.0], [30.0, 20.0], [30.0, 30.0], [10.0, 30.0]],
            closed: true,
            fill: Some(RED),
            stroke: None,
        };
        let drawn = draw(
            &page(vec![Item::Shape(dashed), Item::Shape(filled)]),
            &|_, _, _| Ok(()),
        );
        assert_eq!(colour(&drawn, 2, 10), RED.0);
        assert_eq!(colour(&drawn, 7, 10), WHITE.0);
        assert_eq!(colour(&drawn, 20, 25), RED.0);
        assert_eq!(colour(&drawn, 31, 25), WHITE.0);
    }
}
