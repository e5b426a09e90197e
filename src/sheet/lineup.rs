//! The line-up: members of a cast to one scale on one ground.

use super::layout::Area;
use super::page::{Item, Placement, Stroke};
use super::table::{Single, number, thin, write_right};
use super::text;
use super::{Document, Heading, Look};
use crate::geom::Affine;

/// What a line-up shows.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LineUp {
    /// What it says of itself.
    pub heading: Heading,
    /// From left to right.
    pub members: Vec<Standing>,
    /// What the scale on the left counts: `cm`, or empty for units of the canvas.
    pub unit: String,
}

/// One member of a line-up.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Standing {
    /// Who.
    pub name: String,
    /// The place of its pose in the list of jobs.
    pub figure: usize,
    /// What the figure covers, canvas units: left, top, right, bottom.
    pub window: [f64; 4],
    /// y of the ground, canvas units.
    pub ground: f64,
    /// y of the crown, canvas units, where it is known.
    pub crown: Option<f64>,
    /// Units of the scale to the canvas unit.
    pub size: f64,
    /// The height, as it is written.
    pub height: Option<String>,
}

/// A step of 1, 2 or 5 times a power of ten that goes into a length about ten times.
#[must_use]
pub fn step(length: f64) -> f64 {
    let rough = (length / 10.0).max(1e-9);
    let power = libm::pow(10.0, libm::floor(libm::log10(rough)));
    let step = [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .find(|s| s * power >= rough);
    step.unwrap_or(10.0) * power
}

/// Lays a line-up out on one page.
#[must_use]
pub fn line_up(sheet: &LineUp, look: &Look) -> Document {
    let mut single = Single::new(&sheet.heading, look, 1500.0);
    let (sizes, colours) = (single.sizes, single.colours);
    let inner = single.inner;
    let label = sizes.name().leading() + sizes.note().leading() + sizes.px(22.0);
    let panel = Area {
        h: (inner.h - label).max(1),
        ..inner
    };
    single.page.fill(panel, colours.panel);
    let pad = sizes.px(40.0);
    let ruler = sizes.px(140.0);
    let stage = Area {
        x: panel.x + ruler,
        y: panel.y + pad,
        w: (panel.w - ruler - pad).max(1),
        h: (panel.h - 2 * pad).max(1),
    };
    let above = |m: &Standing| (m.ground - m.window[1].min(m.crown.unwrap_or(f64::MAX))) * m.size;
    let below = |m: &Standing| (m.window[3] - m.ground).max(0.0) * m.size;
    let wide = |m: &Standing| (m.window[2] - m.window[0]) * m.size;
    let most = |of: &dyn Fn(&Standing) -> f64| sheet.members.iter().map(of).fold(0.0, f64::max);
    let (high, deep) = (most(&above), most(&below));
    let count = sheet.members.len().max(1) as f64;
    let least = f64::from(sizes.px(90.0));
    let widths: f64 = sheet.members.iter().map(wide).sum();
    // Pixels to the unit of the scale.
    let scale = (f64::from(stage.h) / (high + deep).max(1e-6))
        .min((f64::from(stage.w) - least * count).max(1.0) / widths.max(1e-6));
    let ground = f64::from(stage.y) + f64::from(stage.h) - deep * scale;
    let line = f64::from(sizes.hairline());
    let (left, right) = (f64::from(panel.x), f64::from(panel.right()));

    let axis = left + f64::from(sizes.px(112.0));
    let step = step(high);
    let mut value = 0.0;
    while value <= high + step * 0.25 {
        let y = ground - value * scale;
        if y < f64::from(panel.y) {
            break;
        }
        single
            .page
            .line(vec![[axis, y], [right, y]], thin(colours.rule, line));
        let style = sizes.fact();
        #[expect(clippy::cast_possible_truncation, reason = "within a page")]
        let at = [
            axis as i32 - sizes.px(16.0),
            libm::round(y) as i32 - style.leading() / 2,
        ];
        let unit = if sheet.unit.is_empty() {
            "units"
        } else {
            &sheet.unit
        };
        let words = if value == 0.0 {
            unit.to_owned()
        } else {
            number(value, 2)
        };
        write_right(&mut single.page, &words, style, colours.quiet, at);
        value += step;
    }
    let across = vec![[left, ground], [right, ground]];
    single.page.line(across, thin(colours.text, line * 1.6));

    let between = (f64::from(stage.w) - widths * scale) / count;
    let mut x = f64::from(stage.x) + between * 0.5;
    let mut stands = Vec::new();
    for member in &sheet.members {
        let scale = scale * member.size;
        let to_page = Affine {
            a: scale,
            b: 0.0,
            c: 0.0,
            d: scale,
            e: libm::round(x - member.window[0] * scale),
            f: ground - member.ground * scale,
        };
        x += (member.window[2] - member.window[0]) * scale + between;
        let figure = Placement::plain(member.figure, panel, to_page);
        single.page.items.push(Item::Figure(figure));
        stands.push(to_page);
    }
    for (member, to_page) in sheet.members.iter().zip(&stands) {
        let (from, to) = (
            to_page.apply([member.window[0], 0.0])[0],
            to_page.apply([member.window[2], 0.0])[0],
        );
        if let Some(crown) = member.crown {
            let y = to_page.apply([0.0, crown])[1];
            let half = between.min(f64::from(sizes.px(60.0))) * 0.4;
            let dash = f64::from(sizes.px(9.0));
            let stroke = Stroke {
                colour: colours.text,
                width: line,
                dash: Some([dash, dash]),
            };
            single
                .page
                .line(vec![[from - half, y], [to + half, y]], stroke);
        }
        let middle = f64::midpoint(from, to);
        let room = (f64::from(stage.w) / count - f64::from(sizes.px(20.0))).max(1.0) as f32;
        let mut y = panel.bottom() + sizes.px(14.0);
        let texts = [
            (Some(&member.name), sizes.name(), colours.text),
            (member.height.as_ref(), sizes.note(), colours.quiet),
        ];
        for (words, style, colour) in texts {
            let Some(words) = words else { continue };
            let words = text::shortened(words, style, room);
            let half = text::width(&words, style) * 0.5;
            // Within the page, also where a figure stands at its side.
            #[expect(clippy::cast_possible_truncation, reason = "within a page")]
            let x = (middle as f32 - half)
                .min(panel.right() as f32 - 2.0 * half)
                .max(panel.x as f32) as i32;
            single.page.write(&words, style, colour, [x, y]);
            y += style.leading();
        }
    }
    single.done(&sheet.heading)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_round() {
        assert!((step(168.0) - 20.0).abs() < 1e-9);
        assert!((step(95.0) - 10.0).abs() < 1e-9);
        assert!((step(1.6) - 0.2).abs() < 1e-9);
    }
}
