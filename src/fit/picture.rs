//! A joint at the ends of its limits and where it is worst, with its pivot as it is and as it would be best.
#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_precision_loss,
    clippy::cast_possible_wrap,
    reason = "a page of fixed size"
)]

use tiny_skia::{Color, FillRule, Paint, PathBuilder, Pixmap, Stroke, Transform};

use super::view::{JointCheck, Proposal, moved};
use crate::art::{Library, Rgb};
use crate::cast::{Drawing, PartId};
use crate::diag::Problem;
use crate::draw::{Scratch, Viewport, draw};
use crate::geom::{Affine, Point};
use crate::pose::ResolvedPose;
use crate::solve::Puppet;
use crate::text::{self, Style};

/// A cell's side, pixels.
const CELL: u32 = 460;
/// Around cells, pixels.
const SPACE: u32 = 28;
/// For words over cells, pixels.
const HEAD: u32 = 142;
/// For words under a cell, pixels.
const UNDER: u32 = 48;
/// Around what a cell has to show, as a share of the limb's width.
const MARGIN: f64 = 0.45;
/// An angle so near to another needs no row of its own, degrees.
const NEAR: f64 = 6.0;
const PAPER: Rgb = Rgb([250, 248, 243]);
const CELL_PAPER: Rgb = Rgb([255, 255, 255]);
const INK: Rgb = Rgb([32, 36, 48]);
/// Of the pivot, of jut, gap and kink.
const MARKS: [(Rgb, &str); 4] = [
    (Rgb([208, 32, 64]), "pivot"),
    (Rgb([0, 106, 200]), "jut"),
    (Rgb([126, 0, 158]), "gap"),
    (Rgb([196, 92, 0]), "kink"),
];
/// What a row of its own is worth, % of the limb's width and degrees.
const ROW: [f64; 2] = [3.0, 10.0];
/// What cannot be seen needs no mark, the same.
const SEEN: [f64; 2] = [0.5, 3.0];

/// One of the two columns.
struct Column<'a> {
    label: &'a str,
    puppet: &'a Puppet,
    told: Option<&'a JointCheck>,
    pivot: Point,
}

/// Draws it; only the two parts that turn on each other are shown.
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
    let columns = [
        Column {
            label: "now",
            puppet,
            told: proposal.told[0].as_ref(),
            pivot: fitted.now,
        },
        Column {
            label: "fitted",
            puppet: &best,
            told: proposal.told[1].as_ref(),
            pivot: fitted.best,
        },
    ];
    let span = puppet.0.part(proposal.part).span;
    let rows = rows(proposal);
    let viewport = viewport(proposal, &rows);
    let width = SPACE * 3 + CELL * 2;
    let height = HEAD + (CELL + UNDER) * rows.len() as u32 + SPACE / 2;
    let mut page = Pixmap::new(width, height).expect("a page of fixed size");
    page.fill(colour(PAPER));
    write(
        &mut page,
        title,
        Style::bold(24.0),
        [SPACE, SPACE + 20],
        width,
    );
    legend(&mut page, [SPACE, SPACE + 48]);
    for (at, column) in columns.iter().enumerate() {
        let x = SPACE + at as u32 * (CELL + SPACE);
        let [px, py] = column.pivot;
        let heading = format!("{}: pivot [{px}, {py}]", column.label);
        write(&mut page, &heading, Style::bold(17.0), [x, HEAD - 30], CELL);
        let safe = match column.told.map(|told| told.range.safe) {
            Some(Some([a, b])) => format!("safe {a:.1} to {b:.1}").replace('-', "−"),
            _ => "safe nowhere".to_owned(),
        };
        write(&mut page, &safe, Style::regular(15.0), [x, HEAD - 10], CELL);
        for (row, &angle) in rows.iter().enumerate() {
            let y = HEAD + row as u32 * (CELL + UNDER);
            let figure = column
                .puppet
                .solve(&alone(column.puppet, proposal, angle))
                .map_err(|error| Problem::error(span, error.to_string()))?;
            let Ok(mut frame) = draw(&figure, &viewport, Some(CELL_PAPER), false, scratch) else {
                continue;
            };
            let told = marked(&mut frame.pixels, &viewport, proposal, column, angle);
            page.draw_pixmap(
                x as i32,
                y as i32,
                frame.pixels.as_ref(),
                &tiny_skia::PixmapPaint::default(),
                Transform::identity(),
                None,
            );
            let angle = format!("{:.1}", angle + 0.0)
                .replace(".0", "")
                .replace('-', "−");
            let under = format!("{angle}°: {told}");
            write(
                &mut page,
                &under,
                Style::regular(15.0),
                [x, y + CELL + 22],
                CELL,
            );
        }
    }
    Ok(page)
}

fn write(page: &mut Pixmap, words: &str, style: Style, [x, y]: [u32; 2], limit: u32) {
    let limit = limit.min(page.width() - SPACE - x) as f32;
    let words = text::shortened(words, style, limit);
    text::draw(&mut page.as_mut(), &words, style, x as f32, y as f32, INK);
}

/// What the marks mean.
fn legend(page: &mut Pixmap, [x, y]: [u32; 2]) {
    let style = Style::regular(15.0);
    let mut x = x as f32;
    for (colour, words) in MARKS {
        ring(page, [f64::from(x) + 8.0, f64::from(y) - 5.0], 6.0, colour);
        text::draw(&mut page.as_mut(), words, style, x + 22.0, y as f32, INK);
        x += 22.0 + text::width(words, style) + 26.0;
    }
}

/// The ends of the limits, and where it is worst if that is elsewhere: as it is, for that is what is to be
/// judged, or at the best pivot if it is worse at another angle there. Rising angles.
fn rows(proposal: &Proposal) -> Vec<f64> {
    let mut worst = Vec::new();
    let kinks = [&proposal.fitted.before, &proposal.fitted.after];
    for (told, kink) in proposal.told.iter().zip(kinks) {
        let curves = told.iter().flat_map(|told| &told.range.curves);
        worst.extend(curves.map(|(_, curve, _)| (curve.worst.value / ROW[0], curve.worst.angle)));
        worst.push((kink.kink / ROW[1], kink.kink_at));
    }
    let mut rows = proposal.limits.to_vec();
    for (value, angle) in worst {
        let apart = rows.iter().all(|r| (r - angle).abs() > NEAR);
        if value > 1.0 && apart && rows.len() < 4 {
            rows.push(angle);
        }
    }
    rows.sort_by(f64::total_cmp);
    rows
}

/// What is about the joint and all that is marked, as large as it goes in; the same for all cells.
fn viewport(proposal: &Proposal, rows: &[f64]) -> Viewport {
    let Proposal { joint, fitted, .. } = proposal;
    let mut least = [f64::INFINITY; 2];
    let mut most = [f64::NEG_INFINITY; 2];
    let mut take = |p: Point, round: f64| {
        for k in 0..2 {
            least[k] = least[k].min(p[k] - round);
            most[k] = most[k].max(p[k] + round);
        }
    };
    let margin = fitted.width * MARGIN;
    take(joint.pivot, joint.hidden_reach().max(joint.disc) + margin);
    for (pivot, told) in [fitted.now, fitted.best].into_iter().zip(&proposal.told) {
        take(pivot, margin);
        for (joint, &angle) in told.iter().flat_map(|t| rows.iter().map(|a| (&t.joint, a))) {
            let jut = joint.jut(angle, pivot);
            // Without any jut its place says nothing.
            if jut.reach > 0.0 {
                take(jut.at, margin);
            }
        }
    }
    let side = (most[0] - least[0]).max(most[1] - least[1]);
    let scale = f64::from(CELL) / side;
    let half = f64::from(CELL) / 2.0;
    Viewport {
        width: CELL,
        height: CELL,
        to_pixels: Affine {
            a: scale,
            d: scale,
            e: half - scale * f64::midpoint(least[0], most[0]),
            f: half - scale * f64::midpoint(least[1], most[1]),
            ..Affine::IDENTITY
        },
    }
}

/// Marks jut, gap, kink and the pivot; tells how much.
fn marked(
    pixels: &mut Pixmap,
    viewport: &Viewport,
    proposal: &Proposal,
    column: &Column<'_>,
    angle: f64,
) -> String {
    let to = &viewport.to_pixels;
    let pivot = column.pivot;
    let mut told = Vec::new();
    if let Some(JointCheck { joint, .. }) = column.told {
        let share = |units: f64| 100.0 * units / joint.width;
        let (jut, gap) = (joint.jut(angle, pivot), joint.gap(angle, pivot));
        if share(gap.width) > SEEN[0] {
            let radius = (gap.width / 2.0 * to.a).max(5.0) + 3.0;
            ring(pixels, to.apply(gap.at), radius, MARKS[2].0);
        }
        if share(jut.reach) > SEEN[0] {
            ring(pixels, to.apply(jut.at), 12.0, MARKS[1].0);
        }
        told.push(format!("jut {:.0} %", share(jut.reach)));
        told.push(format!("gap {:.0} %", share(gap.width)));
    }
    if proposal.kinks {
        let kink = proposal.joint.kink(angle, pivot);
        if kink.degrees > SEEN[1] {
            ring(pixels, to.apply(kink.at), 16.0, MARKS[3].0);
        }
        told.push(format!("kink {:.0}°", kink.degrees));
    }
    ring(pixels, to.apply(pivot), 9.0, MARKS[0].0);
    dot(pixels, to.apply(pivot), 2.5, MARKS[0].0);
    told.join(", ")
}

/// The joint at an angle, all other parts left out.
fn alone(puppet: &Puppet, proposal: &Proposal, angle: f64) -> ResolvedPose {
    let mut pose = ResolvedPose::rest(puppet.0.view());
    pose.parts[proposal.part.at()].setting.turn = angle;
    for (at, part) in pose.parts.iter_mut().enumerate() {
        if !proposal.joined.contains(&PartId::of(at)) {
            part.drawing = Drawing::Empty;
        }
    }
    pose
}

fn colour(Rgb([r, g, b]): Rgb) -> Color {
    Color::from_rgba8(r, g, b, 255)
}

/// A ring with a light edge, to be seen on any colour.
fn ring(pixels: &mut Pixmap, [x, y]: Point, radius: f64, rgb: Rgb) {
    let Some(ring) = PathBuilder::from_circle(x as f32, y as f32, radius as f32) else {
        return;
    };
    for (width, rgb) in [(6.0, CELL_PAPER), (2.5, rgb)] {
        let mut paint = Paint::default();
        paint.set_color(colour(rgb));
        let stroke = Stroke {
            width,
            ..Stroke::default()
        };
        pixels.stroke_path(&ring, &paint, &stroke, Transform::identity(), None);
    }
}

fn dot(pixels: &mut Pixmap, [x, y]: Point, radius: f32, rgb: Rgb) {
    let mut paint = Paint::default();
    paint.set_color(colour(rgb));
    if let Some(dot) = PathBuilder::from_circle(x as f32, y as f32, radius) {
        let rule = FillRule::Winding;
        pixels.fill_path(&dot, &paint, rule, Transform::identity(), None);
    }
}
