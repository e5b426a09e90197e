//! A strip chart: for each joint its angle against each measure, limits marked.

use tiny_skia::{Paint, PathBuilder, Pixmap, Rect, Stroke, Transform};

use crate::art::Rgb;
use crate::cast::Measure;
use crate::check::{Curve, Findings, Range};
use crate::text::{self, Style};

const PAPER: Rgb = Rgb([0xfb, 0xfa, 0xf7]);
const TEXT: Rgb = Rgb([0x23, 0x28, 0x33]);
const FAINT: Rgb = Rgb([0x6b, 0x72, 0x80]);
const GRID: Rgb = Rgb([0xd8, 0xd8, 0xd4]);
const SAFE: Rgb = Rgb([0xe3, 0xee, 0xe6]);
const WARNING: Rgb = Rgb([0xc7, 0x8a, 0x1d]);
const ERROR: Rgb = Rgb([0xb3, 0x38, 0x2c]);
const CURVE: Rgb = Rgb([0x24, 0x55, 0x8c]);

const MARGIN: f32 = 28.0;
const NAME: f32 = 250.0;
const STRIP: f32 = 520.0;
const BETWEEN: f32 = 60.0;
const ROW: f32 = 88.0;
const HIGH: f32 = 58.0;
const HEAD: f32 = 96.0;

/// The chart of a view's joints, a row for each; `None` without joints.
#[must_use]
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss,
    reason = "sizes of a picture"
)]
pub fn strip_chart(title: &str, findings: &Findings) -> Option<Pixmap> {
    let rows = &findings.ranges;
    if rows.is_empty() {
        return None;
    }
    let width = MARGIN * 2.0 + NAME + STRIP * 2.0 + BETWEEN;
    let height = HEAD + ROW * rows.len() as f32 + MARGIN;
    let mut page = Chart(Pixmap::new(width as u32, height.min(30_000.0) as u32)?);
    page.fill([0.0, 0.0, width, height], PAPER);
    page.write(title, Style::bold(22.0), MARGIN, 40.0, TEXT);
    let left = |k: usize| MARGIN + NAME + k as f32 * (STRIP + BETWEEN);
    for (k, words) in [
        "jut: hidden outline that comes out, % of the limb's width",
        "gap: width of daylight, % of the limb's width",
    ]
    .into_iter()
    .enumerate()
    {
        page.write(words, Style::bold(14.0), left(k), 66.0, TEXT);
    }
    page.key(left(0), 84.0);
    for (at, range) in rows.iter().enumerate() {
        let top = HEAD + ROW * at as f32;
        page.row(range, top, left);
    }
    Some(page.0)
}

struct Chart(Pixmap);

impl Chart {
    fn fill(&mut self, [x, y, w, h]: [f32; 4], colour: Rgb) {
        if let Some(rect) = Rect::from_xywh(x, y, w, h) {
            let paint = paint(colour);
            self.0.fill_rect(rect, &paint, Transform::identity(), None);
        }
    }

    fn line(&mut self, points: &[[f32; 2]], wide: f32, colour: Rgb) {
        let mut path = PathBuilder::new();
        for (k, &[x, y]) in points.iter().enumerate() {
            if k == 0 {
                path.move_to(x, y);
            } else {
                path.line_to(x, y);
            }
        }
        if let Some(path) = path.finish() {
            let stroke = Stroke {
                width: wide,
                line_join: tiny_skia::LineJoin::Round,
                ..Stroke::default()
            };
            self.0
                .stroke_path(&path, &paint(colour), &stroke, Transform::identity(), None);
        }
    }

    fn write(&mut self, words: &str, style: Style, x: f32, y: f32, colour: Rgb) {
        text::draw(&mut self.0.as_mut(), words, style, x, y, colour);
    }

    fn key(&mut self, x: f32, y: f32) {
        let style = Style::regular(12.0);
        let mut x = x;
        for (colour, words) in [
            (SAFE, "safe range"),
            (WARNING, "warning limit"),
            (ERROR, "error limit"),
        ] {
            if colour == SAFE {
                self.fill([x, y - 10.0, 22.0, 11.0], colour);
            } else {
                self.line(&[[x, y - 4.0], [x + 22.0, y - 4.0]], 1.5, colour);
            }
            self.write(words, style, x + 28.0, y, FAINT);
            x += 28.0 + text::width(words, style) + 22.0;
        }
    }

    fn row(&mut self, range: &Range, top: f32, left: impl Fn(usize) -> f32) {
        let name = text::shortened(&range.part, Style::bold(14.0), NAME - 16.0);
        self.write(&name, Style::bold(14.0), MARGIN, top + 18.0, TEXT);
        let on = format!("on {}, {:.0} wide", range.parent, range.width);
        let on = text::shortened(&on, Style::regular(12.0), NAME - 16.0);
        self.write(&on, Style::regular(12.0), MARGIN, top + 35.0, FAINT);
        let safe = range.safe.map_or_else(
            || "safe nowhere".to_owned(),
            |[a, b]| format!("safe {} to {}", degrees(a), degrees(b)),
        );
        let whole = range.safe == Some(range.limits);
        let colour = if whole { FAINT } else { ERROR };
        self.write(&safe, Style::regular(12.0), MARGIN, top + 51.0, colour);
        for (k, measure) in [Measure::Jut, Measure::Gap].into_iter().enumerate() {
            if let Some((_, curve, limits)) = range.curves.iter().find(|(m, ..)| *m == measure) {
                self.strip(range, curve, *limits, left(k), top);
            }
        }
    }

    fn strip(
        &mut self,
        range: &Range,
        curve: &Curve,
        limits: Option<[f64; 2]>,
        left: f32,
        top: f32,
    ) {
        let [from, to] = range.limits;
        let most = limits
            .map_or(10.0, |[_, error]| error * 1.25)
            .max(curve.worst.value * 1.08);
        let bottom = top + HIGH + 4.0;
        let x = |angle: f64| left + single((angle - from) / (to - from)) * STRIP;
        let y = |value: f64| bottom - single(value / most) * HIGH;
        self.fill([left, bottom - HIGH, STRIP, HIGH], Rgb([255, 255, 255]));
        if let Some([a, b]) = range.safe {
            self.fill([x(a), bottom - HIGH, x(b) - x(a), HIGH], SAFE);
        }
        let step = if to - from > 200.0 {
            60.0
        } else if to - from > 90.0 {
            30.0
        } else if to - from > 35.0 {
            15.0
        } else {
            5.0
        };
        let small = Style::regular(11.0);
        let mut angle = libm::ceil(from / step) * step;
        while angle <= to {
            let at = x(angle);
            self.line(&[[at, bottom - HIGH], [at, bottom]], 1.0, GRID);
            angle += step;
        }
        // The ends are always told; steps between where there is room for them.
        let mut told: Vec<[f32; 2]> = Vec::new();
        let mut angles = vec![from, to];
        let mut angle = libm::ceil(from / step) * step;
        while angle <= to {
            angles.push(angle);
            angle += step;
        }
        for angle in angles {
            let words = degrees(angle);
            let half = text::width(&words, small) / 2.0;
            let middle = x(angle).clamp(left + half, left + STRIP - half);
            if told
                .iter()
                .all(|[a, b]| middle + half + 6.0 < *a || middle - half - 6.0 > *b)
            {
                self.write(&words, small, middle - half, bottom + 13.0, FAINT);
                told.push([middle - half, middle + half]);
            }
        }
        if let Some([warning, error]) = limits {
            for (limit, colour) in [(warning, WARNING), (error, ERROR)] {
                self.line(&[[left, y(limit)], [left + STRIP, y(limit)]], 1.2, colour);
            }
        }
        let points: Vec<[f32; 2]> = curve
            .samples
            .iter()
            .map(|s| [x(s.angle), y(s.value)])
            .collect();
        self.line(&points, 2.0, CURVE);
        self.line(
            &[
                [left, bottom - HIGH],
                [left + STRIP, bottom - HIGH],
                [left + STRIP, bottom],
                [left, bottom],
                [left, bottom - HIGH],
            ],
            1.0,
            GRID,
        );
        if curve.worst.value > 0.5 {
            let words = format!(
                "{:.0} % at {}",
                curve.worst.value,
                degrees(curve.worst.angle)
            );
            let wide = text::width(&words, small);
            let (px, py) = (x(curve.worst.angle), y(curve.worst.value));
            self.fill([px - 2.5, py - 2.5, 5.0, 5.0], CURVE);
            let at = (px - wide / 2.0).clamp(left + 4.0, left + STRIP - wide - 4.0);
            // Over the curve, or under it where there is no room; on the colour that is behind, for the lines of limits.
            let over = (at - 4.0)..(at + wide + 4.0);
            let along = points.iter().filter(|p| over.contains(&p[0]));
            let (top, low) = along.fold((py, py), |(top, low), p| (top.min(p[1]), low.max(p[1])));
            let base = if top - 5.0 >= bottom - HIGH + 10.0 {
                top - 5.0
            } else {
                (low + 13.0).min(bottom - 3.0)
            };
            let behind = match range.safe {
                Some([a, b]) if a <= curve.worst.angle && curve.worst.angle <= b => SAFE,
                _ => Rgb([255, 255, 255]),
            };
            self.fill([at - 3.0, base - 10.0, wide + 6.0, 13.0], behind);
            self.write(&words, small, at, base, TEXT);
        }
    }
}

fn degrees(angle: f64) -> String {
    let tenths = libm::round(angle * 10.0) / 10.0 + 0.0;
    format!("{tenths}°").replace('-', "−")
}

#[expect(clippy::cast_possible_truncation, reason = "pixels")]
fn single(v: f64) -> f32 {
    v as f32
}

fn paint(Rgb([r, g, b]): Rgb) -> Paint<'static> {
    let mut paint = Paint::default();
    paint.set_color_rgba8(r, g, b, 255);
    paint
}
