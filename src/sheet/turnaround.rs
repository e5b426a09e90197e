//! The turnaround: all views on one ground, landmarks carried across, drift measured.

use super::callouts::spread;
use super::layout::Area;
use super::page::{Item, Placement, Stroke};
use super::table::{Single, number, spoken, thin, write_right};
use super::text;
use super::{Document, Heading, Look};
use crate::geom::Affine;

/// What a turnaround shows.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Turnaround {
    /// What it says of itself.
    pub heading: Heading,
    /// In order.
    pub views: Vec<TurnedView>,
    /// From the crown down.
    pub guides: Vec<Guide>,
    /// y of the ground, canvas units.
    pub ground: Option<f64>,
    /// Crown to ground, canvas units: what shares are of.
    pub height: f64,
    /// Height in heads, where the rig says.
    pub heads: Option<f64>,
    /// How far a landmark may drift, as a share of the height.
    pub tolerance: f64,
}

/// One view of a turnaround.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TurnedView {
    /// What it is called.
    pub name: String,
    /// The place of its pose in the list of jobs.
    pub figure: usize,
    /// What the figure covers, canvas units: left, top, right, bottom.
    pub window: [f64; 4],
}

/// One landmark over all views.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Guide {
    /// What it is called.
    pub name: String,
    /// Where the rig itself says that it is, canvas units.
    pub said: Option<f64>,
    /// y in each view, canvas units, where it can be measured there.
    pub drawn: Vec<Option<f64>>,
}

impl Guide {
    /// Where the line goes: what the rig says, else the middle one of what was measured.
    #[must_use]
    pub fn level(&self) -> Option<f64> {
        if self.said.is_some() {
            return self.said;
        }
        let mut drawn: Vec<f64> = self.drawn.iter().copied().flatten().collect();
        drawn.sort_by(f64::total_cmp);
        drawn.get(drawn.len().saturating_sub(1) / 2).copied()
    }

    /// How far the highest and the lowest lie apart.
    #[must_use]
    pub fn spread(&self) -> f64 {
        let all = || self.drawn.iter().copied().chain([self.said]).flatten();
        let least = all().fold(f64::INFINITY, f64::min);
        let most = all().fold(f64::NEG_INFINITY, f64::max);
        (most - least).max(0.0)
    }

    /// True where that is more than a tolerance, canvas units.
    #[must_use]
    pub fn drifts(&self, tolerance: f64) -> bool {
        self.spread() > tolerance
    }

    /// The views that stand off the line by more than half of a tolerance: of a landmark that
    /// drifts, at least one.
    fn off(&self, tolerance: f64) -> impl Iterator<Item = (usize, f64)> {
        let level = self.level();
        self.drawn
            .iter()
            .enumerate()
            .filter_map(move |(at, drawn)| Some((at, (*drawn)?, level?)))
            .filter(move |(_, drawn, level)| (drawn - level).abs() > tolerance * 0.5)
            .map(|(at, drawn, _)| (at, drawn))
    }
}

impl Turnaround {
    /// The landmarks that drift.
    pub fn drifting(&self) -> impl Iterator<Item = &Guide> {
        let tolerance = self.tolerance * self.height;
        self.guides.iter().filter(move |g| g.drifts(tolerance))
    }

    /// What is wrong with a landmark, in words.
    #[must_use]
    pub fn fault(&self, guide: &Guide) -> String {
        let level = guide.level().unwrap_or(0.0);
        let views: Vec<String> = guide
            .off(self.tolerance * self.height)
            .map(|(at, drawn)| {
                let share = (drawn - level) / self.height * 100.0;
                let way = if share > 0.0 { "lower" } else { "higher" };
                let name = self.views.get(at).map_or("", |view| view.name.as_str());
                format!("{name} {} % {way}", number(share.abs(), 1))
            })
            .collect();
        format!(
            "{} drifts by {} % of the height, more than {} %: {}",
            spoken(&guide.name),
            number(guide.spread() / self.height * 100.0, 1),
            number(self.tolerance * 100.0, 2),
            views.join(", ")
        )
    }
}

/// Lays a turnaround out on one page.
#[must_use]
pub fn turnaround(sheet: &Turnaround, look: &Look) -> Document {
    let mut single = Single::new(&sheet.heading, look, 1560.0);
    let (sizes, colours) = (single.sizes, single.colours);
    let inner = single.inner;
    let faults: Vec<String> = sheet.drifting().map(|guide| sheet.fault(guide)).collect();
    let limit = inner.w as f32;
    let said: Vec<String> = faults
        .iter()
        .flat_map(|fault| text::wrap(fault, sizes.note(), limit, 4))
        .collect();
    let below = i32::try_from(said.len()).unwrap_or(0) * sizes.note().leading()
        + if said.is_empty() { 0 } else { sizes.px(24.0) };
    let label = sizes.name().leading() + sizes.px(18.0);
    let panel = Area {
        h: (inner.h - below - label).max(1),
        ..inner
    };
    single.page.fill(panel, colours.panel);

    let pad = sizes.px(34.0);
    let margins = [sizes.px(220.0), sizes.px(170.0)];
    let gap = sizes.px(36.0);
    let stage = Area {
        x: panel.x + margins[0],
        y: panel.y + pad,
        w: (panel.w - margins[0] - margins[1]).max(1),
        h: (panel.h - 2 * pad).max(1),
    };
    let placed = stand(sheet, stage, gap);
    let tolerance = sheet.tolerance * sheet.height;
    let line = f64::from(sizes.hairline());

    // Lines first, then figures over them, then the lines once more as dashes, so that they read on
    // light and dark art.
    let (left, right) = (
        f64::from(panel.x + margins[0] - sizes.px(24.0)),
        f64::from(panel.right() - margins[1] + sizes.px(24.0)),
    );
    let Some(&to_page) = placed.first() else {
        return single.done(&sheet.heading);
    };
    let level = |y: f64| to_page.apply([0.0, y])[1];
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
        let (left, right) = (f64::from(panel.x), f64::from(panel.right()));
        let stroke = thin(colours.text, line * 1.6);
        single.page.line(vec![[left, y], [right, y]], stroke);
    }
    for (view, to_page) in sheet.views.iter().zip(&placed) {
        let figure = Placement::plain(view.figure, panel, *to_page);
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
        for (at, drawn) in guide.off(tolerance) {
            let (view, to_page) = (&sheet.views[at], &placed[at]);
            let y = to_page.apply([0.0, drawn])[1];
            let half = f64::from(gap) * 0.4;
            let from = to_page.apply([view.window[0], 0.0])[0] - half;
            let to = to_page.apply([view.window[2], 0.0])[0] + half;
            let stroke = thin(colours.alarm, line * 3.0);
            single.page.line(vec![[from, y], [to, y]], stroke);
        }
    }
    margins_of(sheet, &mut single, panel, [left, right], &level);

    for (view, to_page) in sheet.views.iter().zip(&placed) {
        let middle = to_page.apply([f64::midpoint(view.window[0], view.window[2]), 0.0])[0];
        let style = sizes.name();
        let room = (f64::from(stage.w) / sheet.views.len().max(1) as f64) as f32;
        let name = text::shortened(&spoken(&view.name), style, room);
        #[expect(clippy::cast_possible_truncation, reason = "within a page")]
        let x = (middle as f32 - text::width(&name, style) * 0.5) as i32;
        let y = panel.bottom() + sizes.px(14.0);
        single.page.write(&name, style, colours.text, [x, y]);
    }
    let mut y = panel.bottom() + label + sizes.px(20.0);
    for words in &said {
        single
            .page
            .write(words, sizes.note(), colours.alarm, [inner.x, y]);
        y += sizes.note().leading();
    }
    single.done(&sheet.heading)
}

/// Where each view stands: one scale, one ground, the room between them alike.
fn stand(sheet: &Turnaround, stage: Area, gap: i32) -> Vec<Affine> {
    let levels = || sheet.guides.iter().filter_map(Guide::level);
    let top = sheet
        .views
        .iter()
        .map(|v| v.window[1])
        .chain(levels())
        .fold(f64::INFINITY, f64::min);
    let bottom = sheet
        .views
        .iter()
        .map(|v| v.window[3])
        .chain(sheet.ground)
        .chain(levels())
        .fold(f64::NEG_INFINITY, f64::max);
    let widths: f64 = sheet.views.iter().map(|v| v.window[2] - v.window[0]).sum();
    let count = sheet.views.len().max(1) as f64;
    let gaps = f64::from(gap) * count;
    let scale = ((f64::from(stage.w) - gaps).max(1.0) / widths.max(1e-6))
        .min(f64::from(stage.h) / (bottom - top).max(1e-6))
        .max(1e-6);
    let between = (f64::from(stage.w) - widths * scale) / count;
    let mut x = f64::from(stage.x) + between * 0.5;
    let f = f64::from(stage.y) + (f64::from(stage.h) - (bottom - top) * scale) - top * scale;
    sheet
        .views
        .iter()
        .map(|view| {
            let to_page = Affine {
                a: scale,
                b: 0.0,
                c: 0.0,
                d: scale,
                e: libm::round(x - view.window[0] * scale),
                f,
            };
            x += (view.window[2] - view.window[0]) * scale + between;
            to_page
        })
        .collect()
}

/// Names on the left, heights in heads and drift on the right, each by its line.
fn margins_of(
    sheet: &Turnaround,
    single: &mut Single,
    panel: Area,
    [left, right]: [f64; 2],
    level: &dyn Fn(f64) -> f64,
) {
    let (sizes, colours) = (single.sizes, single.colours);
    let style = sizes.note();
    let tolerance = sheet.tolerance * sheet.height;
    let lines: Vec<(&Guide, f64, f64)> = sheet
        .guides
        .iter()
        .filter_map(|guide| guide.level().map(|y| (guide, y, level(y))))
        .collect();
    #[expect(clippy::cast_possible_truncation, reason = "within a page")]
    let wanted: Vec<i32> = lines
        .iter()
        .map(|(_, _, y)| libm::round(*y) as i32)
        .collect();
    let heights = vec![style.leading(); lines.len()];
    let room = [panel.y, panel.bottom()];
    let tops = spread(&wanted, &heights, sizes.px(3.0), room);
    let line = f64::from(sizes.hairline());
    for ((guide, at, y), &top) in lines.iter().zip(&tops) {
        let drifting = guide.drifts(tolerance);
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
        let middle = f64::from(top) + f64::from(style.leading()) * 0.5;
        let step = f64::from(sizes.px(20.0));
        // A label that had to make room is tied to its line.
        single
            .page
            .line(vec![[left - step, middle], [left, *y]], thin(quiet, line));
        single
            .page
            .line(vec![[right, *y], [right + step, middle]], thin(quiet, line));
        #[expect(clippy::cast_possible_truncation, reason = "within a page")]
        let (name_end, value_start) = (
            (left - step) as i32 - sizes.px(10.0),
            (right + step) as i32 + sizes.px(10.0),
        );
        let room = (name_end - panel.x - sizes.px(10.0)).max(1) as f32;
        let name = text::shortened(&spoken(&guide.name), style, room);
        write_right(&mut single.page, &name, style, colour, [name_end, top]);
        let value = match (sheet.heads, sheet.ground) {
            _ if drifting => format!("± {} %", number(guide.spread() / sheet.height * 50.0, 1)),
            (Some(heads), Some(ground)) => {
                let value = (ground - at) * heads / sheet.height;
                format!("{} heads", number(value, 2))
            }
            _ => number(*at, 0),
        };
        single.page.write(&value, style, quiet, [value_start, top]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn guide(said: Option<f64>, drawn: &[f64]) -> Guide {
        Guide {
            name: "eyes".into(),
            said,
            drawn: drawn.iter().map(|&y| Some(y)).collect(),
        }
    }

    #[test]
    fn a_landmark_drifts_when_its_views_lie_apart_by_more_than_the_tolerance() {
        assert!(!guide(None, &[100.0, 104.0, 105.0]).drifts(5.0));
        assert!(guide(None, &[100.0, 104.0, 105.1]).drifts(5.0));
        assert!(
            guide(Some(99.0), &[104.5, 104.5]).drifts(5.0),
            "what the rig says counts"
        );
        assert_eq!(guide(None, &[100.0, 130.0, 104.0]).level(), Some(104.0));
        assert_eq!(guide(None, &[]).level(), None);
        assert!(!guide(None, &[100.0]).drifts(0.0));
    }

    #[test]
    fn the_view_that_stands_off_is_named() {
        let sheet = Turnaround {
            views: ["front", "side", "back"]
                .map(|name| TurnedView {
                    name: name.into(),
                    ..TurnedView::default()
                })
                .to_vec(),
            guides: vec![guide(None, &[100.0, 112.0, 100.0])],
            height: 500.0,
            tolerance: 0.01,
            ..Turnaround::default()
        };
        let drifting: Vec<String> = sheet.drifting().map(|g| sheet.fault(g)).collect();
        assert_eq!(
            drifting,
            ["eyes drifts by 2.4 % of the height, more than 1 %: side 2.4 % lower"]
        );
    }
}
