//! The turnaround: all views on one ground, landmarks carried across, drift measured.

use std::ops::Range;

use super::callouts::spread;
use super::layout::Area;
use super::page::{Item, Placement, Stroke};
use super::table::{Single, fitted, number, spoken, thin, write_right};
use super::turnaround_content::{Guide, Turnaround};
use super::{Document, Look};
use crate::geom::Affine;
use crate::text;

/// Lines of a view's name; more end in an ellipsis.
const LINES: usize = 4;

/// What is said beside a line: its landmark on the left, where it is and how far it drifts on the
/// right.
struct GuideLabel<'a> {
    guide: &'a Guide,
    /// Canvas units.
    at: f64,
    name: Vec<String>,
    value: Vec<String>,
}

/// Lays a turnaround out on one page.
#[must_use]
pub fn turnaround(sheet: &Turnaround, look: &Look) -> Document {
    let mut single = Single::new(&sheet.heading, look, 1560.0);
    let (sizes, colours) = (single.sizes, single.colours);
    let inner = single.inner;
    let faults = faults(sheet, &single);
    let below = i32::try_from(faults.len()).unwrap_or(0) * sizes.note().leading()
        + if faults.is_empty() { 0 } else { sizes.px(24.0) };
    let pad = sizes.px(34.0);
    let gap = sizes.px(36.0);
    let said = said(sheet, &single);
    let widest = |of: &dyn Fn(&GuideLabel<'_>) -> Vec<String>| {
        let lines = said.iter().flat_map(of);
        let most = lines
            .map(|line| text::width(&line, sizes.note()))
            .fold(0.0, f32::max);
        super::layout::whole(f64::from(most)) + 1
    };
    // Names, the step to their lines, and room around.
    let around = sizes.px(84.0);
    let margins = [
        widest(&|said| said.name.clone()) + around,
        widest(&|said| said.value.clone()) + around,
    ];
    let style = sizes.name();
    let label = |lines: usize| style.leading() * i32::try_from(lines).unwrap_or(1) + sizes.px(18.0);
    let stage = |panel: Area| Area {
        x: panel.x + margins[0],
        y: panel.y + pad,
        w: (panel.w - margins[0] - margins[1]).max(1),
        h: (panel.h - 2 * pad).max(1),
    };
    // As many rows as show figures largest; names that take more lines make figures smaller.
    let split = |rows: i32, lines: usize| {
        let high = (inner.h - below - (rows - 1) * gap) / rows;
        let count = sheet
            .views
            .len()
            .div_ceil(usize::try_from(rows).unwrap_or(1));
        let mut from = 0;
        let mut found: Vec<(Area, Range<usize>)> = Vec::new();
        for row in 0..rows {
            let to = (from + count).min(sheet.views.len());
            if from < to {
                let panel = Area {
                    y: inner.y + row * (high + gap),
                    h: (high - label(lines)).max(1),
                    ..inner
                };
                found.push((panel, from..to));
            }
            from = to;
        }
        found
    };
    let scale = |rows: &[(Area, Range<usize>)]| {
        let of = |(panel, range): &(Area, Range<usize>)| fitting(sheet, range, stage(*panel), gap);
        rows.iter().map(of).fold(f64::INFINITY, f64::min)
    };
    let views = i32::try_from(sheet.views.len()).unwrap_or(1).clamp(1, 4);
    let mut best = (0.0, 1);
    for rows in 1..=views {
        let scale = scale(&split(rows, 1));
        // One row is easier to compare.
        if scale > best.0 * 1.15 {
            best = (scale, rows);
        }
    }
    let mut lines = 1;
    let (rows, stands, names) = loop {
        let rows = split(best.1, lines);
        let scale = scale(&rows);
        let mut stands: Vec<Stand> = Vec::new();
        for (panel, range) in &rows {
            stands.extend(stand(sheet, range, stage(*panel), scale));
        }
        let names: Vec<Vec<String>> = sheet
            .views
            .iter()
            .zip(&stands)
            .map(|(view, stand)| {
                let room = ((stand.place[1] - stand.place[0]) as f32 - gap as f32 * 0.4).max(1.0);
                fitted(&spoken(&view.name), style, room, lines)
            })
            .collect();
        let cut = names.iter().flatten().any(|line| line.ends_with('…'));
        if !cut || lines == LINES {
            break (rows, stands, names);
        }
        lines += 1;
    };
    for (panel, range) in &rows {
        single.page.fill(*panel, colours.panel);
        let ends = [
            f64::from(panel.x + margins[0] - sizes.px(24.0)),
            f64::from(panel.right() - margins[1] + sizes.px(24.0)),
        ];
        figures(sheet, &mut single, *panel, range, &stands, ends, gap);
        let first = stands.get(range.start);
        margins_of(sheet, &mut single, *panel, ends, &said, first);
        for (stand, lines) in stands.iter().zip(&names).take(range.end).skip(range.start) {
            let mut y = panel.bottom() + sizes.px(14.0);
            for words in lines {
                let middle = f64::midpoint(stand.place[0], stand.place[1]);
                let x = middle - f64::from(text::width(words, style)) * 0.5;
                #[expect(clippy::cast_possible_truncation, reason = "within a page")]
                let x = x.max(stand.place[0]) as i32;
                single.page.write(words, style, colours.text, [x, y]);
                y += style.leading();
            }
        }
    }
    let mut y = inner.bottom() - below + sizes.px(20.0);
    for words in &faults {
        single
            .page
            .write(words, sizes.note(), colours.alarm, [inner.x, y]);
        y += sizes.note().leading();
    }
    single.done(&sheet.heading)
}

/// What is wrong, in lines; on a small page not more than a third of it.
fn faults(sheet: &Turnaround, single: &Single) -> Vec<String> {
    let style = single.sizes.note();
    let mut lines: Vec<String> = sheet
        .drifting()
        .flat_map(|guide| {
            fitted(
                &sheet.fault(guide),
                style,
                single.inner.w as f32,
                usize::MAX,
            )
        })
        .collect();
    let most = usize::try_from(single.inner.h / 3 / style.leading())
        .unwrap_or(0)
        .max(1);
    if lines.len() > most {
        lines.truncate(most - 1);
        lines.push("…".into());
    }
    lines
}

/// What is said beside each line.
fn said<'a>(sheet: &'a Turnaround, single: &Single) -> Vec<GuideLabel<'a>> {
    let style = single.sizes.note();
    let room = (single.inner.w / 5).max(1) as f32;
    let guides = sheet.guides.iter();
    guides
        .filter_map(|guide| {
            let at = guide.level()?;
            let mut value = match (sheet.heads, sheet.ground) {
                (Some(heads), Some(ground)) => {
                    let value = (ground - at) * heads / sheet.height;
                    format!("{} heads", number(value, 2))
                }
                _ => format!("y {}", number(at, 0)),
            };
            let seen = guide.drawn.iter().flatten().count() + usize::from(guide.said.is_some());
            if seen > 1 {
                let drift = number(guide.spread() / sheet.height * 100.0, 1);
                value = format!("{value} · drift {drift} %");
            }
            Some(GuideLabel {
                guide,
                at,
                name: fitted(&spoken(&guide.name), style, room, usize::MAX),
                value: fitted(&value, style, room, usize::MAX),
            })
        })
        .collect()
}

/// Lines first, then figures over them, then the lines once more as dashes, so that they read on
/// light and dark art.
fn figures(
    sheet: &Turnaround,
    single: &mut Single,
    panel: Area,
    range: &Range<usize>,
    stands: &[Stand],
    [left, right]: [f64; 2],
    gap: i32,
) {
    let (sizes, colours) = (single.sizes, single.colours);
    let Some(first) = stands.get(range.start) else {
        return;
    };
    let tolerance = sheet.tolerance * sheet.height;
    let line = f64::from(sizes.hairline());
    let level = |y: f64| first.to_page.apply([0.0, y])[1];
    let ink = |guide: &Guide| {
        if guide.drifts(tolerance) {
            colours.alarm
        } else {
            colours.quiet
        }
    };
    for guide in &sheet.guides {
        if let Some(y) = guide.level().map(level) {
            let stroke = thin(ink(guide), line);
            single.page.line(vec![[left, y], [right, y]], stroke);
        }
    }
    if let Some(ground) = sheet.ground {
        let y = level(ground);
        let stroke = thin(colours.text, line * 1.6);
        single.page.line(vec![[left, y], [right, y]], stroke);
    }
    let row = sheet.views.iter().zip(stands);
    for (view, stand) in row.take(range.end).skip(range.start) {
        let figure = Placement::plain(view.figure, panel, stand.to_page);
        single.page.items.push(Item::Figure(figure));
    }
    for guide in &sheet.guides {
        if let Some(y) = guide.level().map(level) {
            let dash = f64::from(sizes.px(7.0));
            let stroke = Stroke {
                colour: ink(guide),
                width: line,
                dash: Some([dash, dash]),
            };
            single.page.line(vec![[left, y], [right, y]], stroke);
        }
        if !guide.drifts(tolerance) {
            continue;
        }
        for (at, drawn) in guide.off(tolerance).filter(|(at, _)| range.contains(at)) {
            let (view, to_page) = (&sheet.views[at], &stands[at].to_page);
            let y = to_page.apply([0.0, drawn])[1];
            let half = f64::from(gap) * 0.4;
            let from = to_page.apply([view.window[0], 0.0])[0] - half;
            let to = to_page.apply([view.window[2], 0.0])[0] + half;
            let stroke = thin(colours.alarm, line * 3.0);
            single.page.line(vec![[from, y], [to, y]], stroke);
        }
    }
}

/// Where a view stands.
struct Stand {
    to_page: Affine,
    /// From left to right, figure and room around.
    place: [f64; 2],
}

/// The highest and the lowest that is shown, canvas units.
fn reach(sheet: &Turnaround) -> [f64; 2] {
    let levels = || sheet.guides.iter().filter_map(Guide::level);
    let views = || sheet.views.iter();
    let top = views().map(|v| v.window[1]).chain(levels());
    let bottom = views()
        .map(|v| v.window[3])
        .chain(sheet.ground)
        .chain(levels());
    [
        top.fold(f64::INFINITY, f64::min),
        bottom.fold(f64::NEG_INFINITY, f64::max),
    ]
}

/// What some views cover beside each other, canvas units.
fn widths(sheet: &Turnaround, range: &Range<usize>) -> f64 {
    let views = &sheet.views[range.clone()];
    views.iter().map(|v| v.window[2] - v.window[0]).sum()
}

/// The largest scale at which some views stand beside each other.
fn fitting(sheet: &Turnaround, range: &Range<usize>, stage: Area, gap: i32) -> f64 {
    let [top, bottom] = reach(sheet);
    let gaps = f64::from(gap) * range.len() as f64;
    let gaps = gaps.min(f64::from(stage.w) * 0.3);
    ((f64::from(stage.w) - gaps).max(1.0) / widths(sheet, range).max(1e-6))
        .min(f64::from(stage.h) / (bottom - top).max(1e-6))
        .max(1e-6)
}

/// Where the views of a row stand: one scale, one ground, the room between them alike.
fn stand(sheet: &Turnaround, range: &Range<usize>, stage: Area, scale: f64) -> Vec<Stand> {
    let [top, bottom] = reach(sheet);
    let between = (f64::from(stage.w) - widths(sheet, range) * scale) / range.len().max(1) as f64;
    let mut x = f64::from(stage.x);
    // In the middle of what height there is.
    let spare = f64::from(stage.h) - (bottom - top) * scale;
    let f = f64::from(stage.y) + spare * 0.5 - top * scale;
    sheet.views[range.clone()]
        .iter()
        .map(|view| {
            let from = x;
            x += (view.window[2] - view.window[0]) * scale + between;
            Stand {
                to_page: Affine {
                    a: scale,
                    b: 0.0,
                    c: 0.0,
                    d: scale,
                    e: libm::round(from + between * 0.5 - view.window[0] * scale),
                    f,
                },
                place: [from, x],
            }
        })
        .collect()
}

/// Names on the left, heights in heads and drift on the right, each by its line.
fn margins_of(
    sheet: &Turnaround,
    single: &mut Single,
    panel: Area,
    [left, right]: [f64; 2],
    said: &[GuideLabel<'_>],
    first: Option<&Stand>,
) {
    let Some(first) = first else { return };
    let (sizes, colours) = (single.sizes, single.colours);
    let style = sizes.note();
    let tolerance = sheet.tolerance * sheet.height;
    let levels: Vec<f64> = said
        .iter()
        .map(|said| first.to_page.apply([0.0, said.at])[1])
        .collect();
    #[expect(clippy::cast_possible_truncation, reason = "within a page")]
    let wanted: Vec<i32> = levels.iter().map(|y| libm::round(*y) as i32).collect();
    let room = [panel.y, panel.bottom()];
    let line = f64::from(sizes.hairline());
    let step = f64::from(sizes.px(20.0));
    for (on_left, near) in [(true, left), (false, right)] {
        let lines = |said: &GuideLabel<'_>| {
            if on_left {
                said.name.clone()
            } else {
                said.value.clone()
            }
        };
        let heights: Vec<i32> = said
            .iter()
            .map(|said| style.leading() * i32::try_from(lines(said).len()).unwrap_or(1))
            .collect();
        let tops = spread(&wanted, &heights, sizes.px(3.0), room);
        let far = if on_left { near - step } else { near + step };
        for (at, said) in said.iter().enumerate() {
            let drifting = said.guide.drifts(tolerance);
            let colour = if drifting {
                colours.alarm
            } else {
                colours.text
            };
            let quiet = if drifting {
                colours.alarm
            } else {
                colours.quiet
            };
            let mut top = tops[at];
            // On a page too low for all of them, the last are left out.
            if top + heights[at] > panel.bottom() {
                continue;
            }
            let middle = f64::from(top) + f64::from(heights[at]) * 0.5;
            // A label that had to make room is tied to its line.
            single
                .page
                .line(vec![[near, levels[at]], [far, middle]], thin(quiet, line));
            #[expect(clippy::cast_possible_truncation, reason = "within a page")]
            let end = far as i32
                + if on_left {
                    -sizes.px(10.0)
                } else {
                    sizes.px(10.0)
                };
            for words in lines(said) {
                if on_left {
                    write_right(&mut single.page, &words, style, colour, [end, top]);
                } else {
                    single.page.write(&words, style, colour, [end, top]);
                }
                top += style.leading();
            }
        }
    }
}
