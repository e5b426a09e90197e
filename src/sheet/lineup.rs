//! The line-up: members of a cast to one scale on one ground.

use super::layout::Area;
use super::page::{Item, Placement, Stroke};
use super::table::{Single, fitted, number, thin, write_right};
use super::{Document, Heading, Look};
use crate::geom::Affine;
use crate::text::{self, Style};

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

/// Lines of a name under a figure; more end in an ellipsis.
const LINES: usize = 6;

/// Where all stand.
struct Stand {
    /// The panel.
    panel: Area,
    /// Pixels to the unit of the scale.
    scale: f64,
    /// y of the ground, page pixels.
    ground: f64,
    /// From the left to the right of each member's place, figure and room around.
    places: Vec<[f64; 2]>,
}

fn above(member: &Standing) -> f64 {
    (member.ground - member.window[1].min(member.crown.unwrap_or(f64::MAX))) * member.size
}

fn wide(member: &Standing) -> f64 {
    (member.window[2] - member.window[0]) * member.size
}

/// With `below` pixels for names under the panel.
fn stand(sheet: &LineUp, single: &Single, ruler: i32, below: i32) -> Stand {
    let (sizes, inner) = (single.sizes, single.inner);
    let panel = Area {
        h: (inner.h - below).max(1),
        ..inner
    };
    let pad = sizes.px(40.0);
    let stage = Area {
        x: panel.x + ruler,
        y: panel.y + pad,
        w: (panel.w - ruler - pad).max(1),
        h: (panel.h - 2 * pad).max(1),
    };
    let below = |m: &Standing| (m.window[3] - m.ground).max(0.0) * m.size;
    let most = |of: &dyn Fn(&Standing) -> f64| sheet.members.iter().map(of).fold(0.0, f64::max);
    let (high, deep) = (most(&above), most(&below));
    let count = sheet.members.len().max(1) as f64;
    // Room between figures, but never most of a page of many.
    let least = f64::from(sizes.px(90.0)).min(f64::from(stage.w) * 0.3 / count);
    let widths: f64 = sheet.members.iter().map(wide).sum();
    let scale = (f64::from(stage.h) / (high + deep).max(1e-6))
        .min((f64::from(stage.w) - least * count).max(1.0) / widths.max(1e-6));
    // A panel that is higher than anybody needs ends a quarter above the tallest.
    let needed = (high * 1.25 + deep) * scale + f64::from(2 * pad);
    let spare = (panel.h - super::layout::whole(needed)).max(0);
    let panel = Area {
        h: panel.h - spare,
        ..panel
    };
    let between = (f64::from(stage.w) - widths * scale) / count;
    let mut x = f64::from(stage.x);
    let places = sheet.members.iter().map(|member| {
        let from = x;
        x += wide(member) * scale + between;
        [from, x]
    });
    Stand {
        panel,
        scale,
        ground: f64::from(stage.y) + f64::from(stage.h - spare) - deep * scale,
        places: places.collect(),
    }
}

/// The lines under each figure: who, and how tall.
fn named(sheet: &LineUp, single: &Single, stand: &Stand, most: usize) -> Vec<[Vec<String>; 2]> {
    let sizes = single.sizes;
    let members = sheet.members.iter().zip(&stand.places);
    members
        .map(|(member, [from, to])| {
            let room = ((to - from) as f32 - sizes.px(16.0) as f32).max(1.0);
            let height = member.height.as_deref().unwrap_or_default();
            [
                fitted(&member.name, sizes.name(), room, most),
                fitted(height, sizes.note(), room, most.min(2)),
            ]
        })
        .collect()
}

/// Lays a line-up out on one page.
#[must_use]
pub fn line_up(sheet: &LineUp, look: &Look) -> Document {
    let mut single = Single::new(&sheet.heading, look, 1500.0);
    let (sizes, colours) = (single.sizes, single.colours);
    let unit = if sheet.unit.is_empty() {
        "units"
    } else {
        &sheet.unit
    };
    let zero = format!("0 {unit}");
    let style = sizes.fact();
    #[expect(clippy::cast_possible_truncation, reason = "a short line")]
    let axis = (text::width(&zero, style).ceil() as i32 + sizes.px(40.0)).max(sizes.px(112.0));
    let ruler = axis + sizes.px(28.0);
    let high =
        |lines: &[String], style: Style| i32::try_from(lines.len()).unwrap_or(1) * style.leading();
    let label = |named: &[[Vec<String>; 2]]| {
        let each = named
            .iter()
            .map(|[name, height]| high(name, sizes.name()) + high(height, sizes.note()));
        each.max().unwrap_or(0) + sizes.px(22.0)
    };
    // Names that take more lines make figures smaller, and their places other ones.
    let mut below = 0;
    let (stand, named) = (1..=LINES)
        .rev()
        .find_map(|most| {
            for _ in 0..4 {
                let stand = stand(sheet, &single, ruler, below);
                let named = named(sheet, &single, &stand, most);
                let needed = label(&named);
                if needed <= below {
                    return Some((stand, named));
                }
                below = needed;
            }
            None
        })
        .unwrap_or_else(|| {
            let stand = stand(sheet, &single, ruler, below);
            let named = named(sheet, &single, &stand, 1);
            (stand, named)
        });
    let (panel, scale, ground) = (stand.panel, stand.scale, stand.ground);
    single.page.fill(panel, colours.panel);
    let line = f64::from(sizes.hairline());
    let (left, right) = (f64::from(panel.x), f64::from(panel.right()));
    let axis = left + f64::from(axis);
    let tallest = sheet.members.iter().map(above).fold(0.0, f64::max);
    let step = step(tallest);
    let leading = f64::from(style.leading());
    let mut told = f64::INFINITY;
    // Up to the top of the panel, which is where a taller member would stand.
    for at in 0..400 {
        let value = step * f64::from(at);
        let y = ground - value * scale;
        if y < f64::from(panel.y) + leading * 0.5 {
            break;
        }
        if at > 0 {
            let across = vec![[axis, y], [right, y]];
            single.page.line(across, thin(colours.ground, line));
        }
        // On a low page not every line has room for its number.
        if told - y < leading {
            continue;
        }
        told = y;
        #[expect(clippy::cast_possible_truncation, reason = "within a page")]
        let end = [
            axis as i32 - sizes.px(16.0),
            libm::round(y) as i32 - style.leading() / 2,
        ];
        let words = if at == 0 {
            zero.clone()
        } else {
            number(value, 2)
        };
        write_right(&mut single.page, &words, style, colours.text, end);
    }
    let across = vec![[axis, ground], [right, ground]];
    single.page.line(across, thin(colours.text, line * 1.6));

    let mut stands = Vec::new();
    for (member, [from, to]) in sheet.members.iter().zip(&stand.places) {
        let scale = scale * member.size;
        let x = f64::midpoint(*from, *to) - wide(member) * stand.scale * 0.5;
        let to_page = Affine {
            a: scale,
            b: 0.0,
            c: 0.0,
            d: scale,
            e: libm::round(x - member.window[0] * scale),
            f: ground - member.ground * scale,
        };
        let figure = Placement::plain(member.figure, panel, to_page);
        single.page.items.push(Item::Figure(figure));
        stands.push(to_page);
    }
    for ((member, to_page), [from, to]) in sheet.members.iter().zip(&stands).zip(&stand.places) {
        let Some(crown) = member.crown else { continue };
        let y = to_page.apply([0.0, crown])[1];
        let inset = (to - from) * 0.06;
        let dash = f64::from(sizes.px(9.0));
        let stroke = Stroke {
            colour: colours.text,
            width: line,
            dash: Some([dash, dash]),
        };
        let across = vec![[from + inset, y], [to - inset, y]];
        single.page.line(across, stroke);
    }
    for ([name, height], [from, to]) in named.iter().zip(&stand.places) {
        let mut y = panel.bottom() + sizes.px(14.0);
        let texts = [
            (name, sizes.name(), colours.text),
            (height, sizes.note(), colours.quiet),
        ];
        for (lines, style, colour) in texts {
            for words in lines {
                let half = f64::from(text::width(words, style)) * 0.5;
                #[expect(clippy::cast_possible_truncation, reason = "within a page")]
                let x = (f64::midpoint(*from, *to) - half).max(*from) as i32;
                single.page.write(words, style, colour, [x, y]);
                y += style.leading();
            }
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
