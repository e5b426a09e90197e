//! A joint at both ends of its limits, with its pivot as it is and as it would be best.
#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_precision_loss,
    clippy::cast_possible_wrap,
    reason = "a page of fixed size"
)]

use tiny_skia::{Color, FillRule, Paint, PathBuilder, Pixmap, Stroke, Transform};

use super::view::{Proposal, moved};
use crate::art::{Library, Rgb};
use crate::cast::{PartId, Pose, Said};
use crate::diag::Problem;
use crate::draw::{Scratch, Viewport, draw};
use crate::geom::Affine;
use crate::sheet::text::{self, Style};
use crate::solve::Puppet;

/// A cell's side, pixels.
const CELL: u32 = 460;
/// Around cells, pixels.
const SPACE: u32 = 28;
/// For words over and under cells, pixels.
const WORDS: u32 = 64;
/// How much of the limb a cell shows, in widths of the limb.
const VIEW: f64 = 3.6;
const PAPER: Rgb = Rgb([250, 248, 243]);
const CELL_PAPER: Rgb = Rgb([255, 255, 255]);
const INK: Rgb = Rgb([32, 36, 48]);
const MARK: [u8; 3] = [208, 32, 64];

/// Draws it; only the two parts that the seam joins are shown.
///
/// # Errors
///
/// When a pose of the joint cannot be solved.
pub fn picture(
    puppet: &Puppet,
    library: &Library,
    proposal: &Proposal,
    title: &str,
    scratch: &mut Scratch,
) -> Result<Pixmap, Problem> {
    let fitted = &proposal.fitted;
    let best = moved(puppet, library, proposal, fitted.best);
    let width = SPACE * 3 + CELL * 2;
    let height = SPACE + WORDS * 3 + CELL * 2 + SPACE;
    let mut page = Pixmap::new(width, height).expect("a page of fixed size");
    page.fill(colour(PAPER));
    let write = |page: &mut Pixmap, words: &str, style: Style, x: u32, y: u32| {
        let limit = (width - SPACE - x) as f32;
        let words = text::shortened(words, style, limit);
        text::draw(&mut page.as_mut(), &words, style, x as f32, y as f32, INK);
    };
    write(&mut page, title, Style::bold(24.0), SPACE, SPACE + 20);
    let turns = |worst: &super::Worst| {
        format!(
            "comes out {:.2}, opens {:.2} units at worst",
            worst.jut, worst.gap
        )
    };
    for (column, (label, shown, worst, pivot)) in [
        ("now", puppet, &fitted.before, fitted.now),
        ("fitted", &best, &fitted.after, fitted.best),
    ]
    .into_iter()
    .enumerate()
    {
        let x = SPACE + column as u32 * (CELL + SPACE);
        let heading = format!("{label}: pivot [{}, {}]", pivot[0], pivot[1]);
        write(
            &mut page,
            &heading,
            Style::bold(17.0),
            x,
            SPACE + WORDS - 14,
        );
        write(
            &mut page,
            &turns(worst),
            Style::regular(15.0),
            x,
            SPACE + WORDS + 8,
        );
        for (row, angle) in proposal.limits.into_iter().enumerate() {
            let y = SPACE + WORDS + 22 + row as u32 * (CELL + WORDS - 10);
            let scale = f64::from(CELL) / (VIEW * fitted.width);
            let half = f64::from(CELL) / 2.0;
            let viewport = Viewport {
                width: CELL,
                height: CELL,
                to_pixels: Affine {
                    a: scale,
                    d: scale,
                    e: half - scale * fitted.now[0],
                    f: half - scale * fitted.now[1],
                    ..Affine::IDENTITY
                },
            };
            let figure = shown.solve(&alone(shown, proposal, angle))?;
            let Ok(mut frame) = draw(&figure, &viewport, Some(CELL_PAPER), false, scratch) else {
                continue;
            };
            let at = viewport.to_pixels.apply(pivot);
            cross(&mut frame.pixels, at);
            page.draw_pixmap(
                x as i32,
                y as i32,
                frame.pixels.as_ref(),
                &tiny_skia::PixmapPaint::default(),
                Transform::identity(),
                None,
            );
            let under = format!(
                "{} at {}°",
                proposal.name,
                angle.to_string().replace('-', "−")
            );
            write(&mut page, &under, Style::regular(15.0), x, y + CELL + 22);
        }
    }
    Ok(page)
}

/// The joint at an angle, all other parts left out.
fn alone(puppet: &Puppet, proposal: &Proposal, angle: f64) -> Pose {
    let view = puppet.0.view();
    let span = view.parts[proposal.part.at()].span;
    let mut pose = Pose::rest(span);
    pose.turn.push(Said {
        part: view.parts[proposal.part.at()].name,
        value: angle,
        span,
    });
    for (at, part) in view.parts.iter().enumerate() {
        let id = PartId(u32::try_from(at).unwrap_or(u32::MAX));
        if !proposal.joined.contains(&id) {
            pose.replace.push(Said {
                part: part.name,
                value: "none".to_owned(),
                span,
            });
        }
    }
    pose
}

fn colour(Rgb([r, g, b]): Rgb) -> Color {
    Color::from_rgba8(r, g, b, 255)
}

/// A ring and a dot where the pivot is.
fn cross(pixels: &mut Pixmap, [x, y]: [f64; 2]) {
    let (x, y) = (x as f32, y as f32);
    let [r, g, b] = MARK;
    let mut paint = Paint::default();
    paint.set_color_rgba8(r, g, b, 255);
    let Some(ring) = PathBuilder::from_circle(x, y, 9.0) else {
        return;
    };
    let stroke = Stroke {
        width: 2.5,
        ..Stroke::default()
    };
    pixels.stroke_path(&ring, &paint, &stroke, Transform::identity(), None);
    if let Some(dot) = PathBuilder::from_circle(x, y, 2.5) {
        let rule = FillRule::Winding;
        pixels.fill_path(&dot, &paint, rule, Transform::identity(), None);
    }
}
