//! The first look at a draft: the figure with its pivots, what carries what, and names beside it.
#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a page of bounded size"
)]

use tiny_skia::{Color, FillRule, Paint, PathBuilder, Pixmap, Stroke, Transform};

use crate::art::Rgb;
use crate::draw::{Scratch, Viewport, draw};
use crate::geom::{Affine, Point};
use crate::pose::ResolvedPose;
use crate::sheet::callouts::spread;
use crate::solve::{Puppet, SolveError};
use crate::text::{self, Style};

/// The figure's longer side, pixels.
const FIGURE: f64 = 1100.0;
/// For names, on each side, pixels.
const NAMES: f64 = 300.0;
/// Around all, pixels.
const SPACE: f64 = 36.0;
/// For the heading, pixels.
const HEAD: f64 = 96.0;
const PAPER: Rgb = Rgb([250, 248, 243]);
const WHITE: Rgb = Rgb([255, 255, 255]);
const INK: Rgb = Rgb([32, 36, 48]);
const QUIET: Rgb = Rgb([120, 124, 136]);
/// Pivots of what turns, and of what does not.
const TURNS: Rgb = Rgb([208, 32, 64]);
const RESTS: Rgb = Rgb([0, 106, 200]);

/// A name beside the figure.
struct Label {
    text: String,
    at: Point,
    turns: bool,
}

/// Draws it.
///
/// # Errors
///
/// When the figure at rest cannot be solved.
pub fn picture(puppet: &Puppet, title: &str, scratch: &mut Scratch) -> Result<Pixmap, SolveError> {
    let view = puppet.0.view();
    let figure = puppet.solve(&ResolvedPose::rest(view))?;
    let canvas = puppet.member().canvas;
    let bounds = figure.bounds().unwrap_or([0.0, 0.0, canvas[0], canvas[1]]);
    let (w, h) = (
        (bounds[2] - bounds[0]).max(1e-6),
        (bounds[3] - bounds[1]).max(1e-6),
    );
    let scale = FIGURE / w.max(h);
    let size = Style::regular(15.0);
    let labels: Vec<Label> = view
        .parts
        .iter()
        .map(|part| Label {
            text: puppet.member().names[part.name.at()].clone(),
            at: part.pivot,
            turns: part.limits.is_some(),
        })
        .collect();
    let leading = f64::from(size.leading());
    let tall = (labels.len() as f64 / 2.0).ceil() * leading;
    let high = (h * scale).max(tall) + HEAD + 2.0 * SPACE;
    let wide = w * scale + 2.0 * (NAMES + SPACE);
    let left = SPACE + NAMES;
    let top = HEAD + SPACE + (high - HEAD - 2.0 * SPACE - h * scale) / 2.0;
    let viewport = Viewport {
        width: wide as u32,
        height: high as u32,
        to_pixels: Affine {
            a: scale,
            d: scale,
            e: left - bounds[0] * scale,
            f: top - bounds[1] * scale,
            ..Affine::IDENTITY
        },
    };
    let Ok(frame) = draw(&figure, &viewport, Some(PAPER), false, scratch) else {
        return Err(SolveError::Foreign);
    };
    let mut page = frame.pixels;
    let to = &viewport.to_pixels;
    for part in &view.parts {
        let Some(parent) = part.parent else { continue };
        let (a, b) = (
            to.apply(view.parts[parent.at()].pivot),
            to.apply(part.pivot),
        );
        line(&mut page, [a, b], 5.0, WHITE);
        line(
            &mut page,
            [a, b],
            2.0,
            if part.limits.is_some() { TURNS } else { RESTS },
        );
    }
    names(
        &mut page,
        &labels,
        to,
        [left, wide],
        [HEAD, high - SPACE],
        size,
    );
    for label in &labels {
        let [x, y] = to.apply(label.at);
        dot(&mut page, [x, y], 6.5, WHITE);
        dot(
            &mut page,
            [x, y],
            4.5,
            if label.turns { TURNS } else { RESTS },
        );
    }
    let x = SPACE as f32;
    text::draw(&mut page.as_mut(), title, Style::bold(24.0), x, 44.0, INK);
    let legend = "red: turns within limits; blue: goes along with what carries it; lines lead from each part to what carries it";
    let legend = text::shortened(legend, size, (wide - 2.0 * SPACE) as f32);
    text::draw(&mut page.as_mut(), &legend, size, x, 72.0, QUIET);
    Ok(page)
}

/// Names on the side that is nearer, each led to its pivot.
fn names(
    page: &mut Pixmap,
    labels: &[Label],
    to: &Affine,
    [left, wide]: [f64; 2],
    [top, bottom]: [f64; 2],
    style: Style,
) {
    let mut order: Vec<&Label> = labels.iter().collect();
    order.sort_by(|a, b| to.apply(a.at)[0].total_cmp(&to.apply(b.at)[0]));
    let right = order.split_off(order.len() / 2);
    for (mut side, is_left) in [(order, true), (right, false)] {
        side.sort_by(|a, b| a.at[1].total_cmp(&b.at[1]));
        let wanted: Vec<i32> = side.iter().map(|l| to.apply(l.at)[1] as i32).collect();
        let heights = vec![style.leading(); side.len()];
        let places = spread(&wanted, &heights, 0, [top as i32, bottom as i32]);
        for (label, y) in side.iter().zip(places) {
            let y = f64::from(y);
            let limit = (NAMES - 24.0) as f32;
            let words = text::shortened(&label.text, style, limit);
            let width = f64::from(text::width(&words, style));
            let x = if is_left {
                left - 24.0 - width
            } else {
                wide - left + 24.0
            };
            let end = if is_left { x + width + 5.0 } else { x - 5.0 };
            let middle = y + f64::from(style.leading()) / 2.0;
            line(page, [[end, middle], to.apply(label.at)], 1.0, QUIET);
            let colour = if label.turns { INK } else { QUIET };
            let baseline = y as f32 + style.baseline() as f32;
            text::draw(
                &mut page.as_mut(),
                &words,
                style,
                x as f32,
                baseline,
                colour,
            );
        }
    }
}

fn paint(Rgb([r, g, b]): Rgb) -> Paint<'static> {
    let mut paint = Paint::default();
    paint.set_color(Color::from_rgba8(r, g, b, 255));
    paint
}

fn line(page: &mut Pixmap, [a, b]: [Point; 2], width: f32, rgb: Rgb) {
    let mut path = PathBuilder::new();
    path.move_to(a[0] as f32, a[1] as f32);
    path.line_to(b[0] as f32, b[1] as f32);
    let stroke = Stroke {
        width,
        ..Stroke::default()
    };
    if let Some(path) = path.finish() {
        page.stroke_path(&path, &paint(rgb), &stroke, Transform::identity(), None);
    }
}

fn dot(page: &mut Pixmap, [x, y]: Point, radius: f32, rgb: Rgb) {
    if let Some(dot) = PathBuilder::from_circle(x as f32, y as f32, radius) {
        page.fill_path(
            &dot,
            &paint(rgb),
            FillRule::Winding,
            Transform::identity(),
            None,
        );
    }
}
