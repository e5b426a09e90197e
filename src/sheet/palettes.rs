//! The colour sheet: one pose in every palette, each colour named.

use super::layout::Area;
use super::page::{Bookmark, Item, Page, Placement};
use super::table::{Single, Swatch, Swatches};
use super::theme::{Colours, Sizes};
use super::{Document, Heading, Look};
use crate::geom::Affine;
use crate::text;

/// What a colour sheet shows.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ColourSheet {
    /// What it says of itself.
    pub heading: Heading,
    /// In order.
    pub palettes: Vec<Coloured>,
    /// What the figure covers, canvas units: left, top, right, bottom.
    pub window: [f64; 4],
    /// y of the ground, where the rig says.
    pub ground: Option<f64>,
}

/// The figure in one palette.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Coloured {
    /// What the palette is called.
    pub name: String,
    /// The place of its pose in the list of jobs.
    pub figure: usize,
    /// Its colours.
    pub swatches: Vec<Swatch>,
}

/// How palettes stand on pages.
#[derive(Clone, Copy)]
struct Arrangement {
    /// Palettes of a row, and rows of a page.
    across: i32,
    down: i32,
    /// Width of the figure beside its colours, a share of twentieths of its place; 0: above them.
    beside: i32,
}

/// Lays a colour sheet out: a block for each palette, all of them where they can be compared on one
/// page. Of several arrangements the one that shows the figures largest is taken.
#[must_use]
pub fn colour_sheet(sheet: &ColourSheet, look: &Look) -> Document {
    // A page that follows its content has room for palettes below each other.
    let palettes = sheet.palettes.len().clamp(1, 3) as f32;
    let mut single = Single::new(&sheet.heading, look, 300.0 + 950.0 * palettes);
    let count = i32::try_from(sheet.palettes.len()).unwrap_or(i32::MAX);
    let mut best: Option<(f64, Arrangement)> = None;
    for across in 1..=count.clamp(1, 6) {
        for down in 1..=((count - 1) / across + 1).clamp(1, 6) {
            for beside in [0, 6, 8, 10, 12] {
                let one = Arrangement {
                    across,
                    down,
                    beside,
                };
                let Some(scale) = scale(sheet, &single, one) else {
                    continue;
                };
                let pages = (count - 1) / (across * down) + 1;
                // A page to turn only for figures twice as large.
                let worth = scale / (1.0 + 0.9 * libm::log(f64::from(pages)));
                if best.is_none_or(|(most, _)| worth > most * 1.01) {
                    best = Some((worth, one));
                }
            }
        }
    }
    let Some((_, one)) = best else {
        // Not even one palette has room for its colours under a figure that can be seen.
        return apart(sheet, single);
    };
    let per_page = usize::try_from(one.across * one.down).unwrap_or(1).max(1);
    for (at, chunk) in sheet.palettes.chunks(per_page).enumerate() {
        if at > 0 {
            single.turn();
        }
        for (place, coloured) in (0..).zip(chunk) {
            let block = block(&single, one, place);
            let title = titled(&mut single, coloured, block);
            let (panel, swatches) = split(sheet, &single, one, coloured, title);
            let (paper, sizes) = (single.colours, single.sizes);
            put(&mut single.page, sheet, coloured, panel, paper, sizes);
            Swatches::within(&coloured.swatches, swatches.w, swatches.h, single.sizes).set(
                &mut single.page,
                [swatches.x, swatches.y],
                single.colours,
            );
        }
    }
    single.done(&sheet.heading)
}

/// The place of a palette on a page.
fn block(single: &Single, one: Arrangement, at: i32) -> Area {
    let inner = single.inner;
    let gap = single.sizes.px(56.0);
    let w = (inner.w - (one.across - 1) * gap) / one.across;
    let h = (inner.h - (one.down - 1) * gap) / one.down;
    Area {
        x: inner.x + at % one.across * (w + gap),
        y: inner.y + at / one.across * (h + gap),
        w,
        h,
    }
}

fn heading(single: &Single, coloured: &Coloured, width: i32) -> Vec<String> {
    let name = format!("palette {}", coloured.name);
    text::wrap(&name, single.sizes.heading(), width as f32, 3)
}

fn heading_height(single: &Single, lines: usize) -> i32 {
    let leading = single.sizes.heading().leading();
    leading * i32::try_from(lines).unwrap_or(1) + single.sizes.px(14.0)
}

/// Writes a palette's name; gives what is left of its place.
fn titled(single: &mut Single, coloured: &Coloured, block: Area) -> Area {
    let lines = heading(single, coloured, block.w);
    let style = single.sizes.heading();
    single.page.bookmarks.push(Bookmark {
        name: coloured.name.clone(),
        y: block.y,
    });
    let mut y = block.y;
    for line in &lines {
        let colour = single.colours.text;
        single.page.write(line, style, colour, [block.x, y]);
        y += style.leading();
    }
    let high = heading_height(single, lines.len());
    Area {
        y: block.y + high,
        h: block.h - high,
        ..block
    }
}

/// Panel and colours within a place.
fn split(
    sheet: &ColourSheet,
    single: &Single,
    one: Arrangement,
    coloured: &Coloured,
    place: Area,
) -> (Area, Area) {
    let gap = single.sizes.px(32.0);
    if one.beside > 0 {
        let w = place.w * one.beside / 20;
        let x = place.x + w + gap;
        let colours = Area {
            x,
            w: place.right() - x,
            ..place
        };
        return (Area { w, ..place }, colours);
    }
    // The palette with most colours rules, so that figures are alike.
    let most = sheet
        .palettes
        .iter()
        .chain([coloured])
        .map(|p| Swatches::new(&p.swatches, place.w, single.sizes).height());
    let high = most.max().unwrap_or(0);
    let panel = Area {
        h: place.h - high - gap,
        ..place
    };
    let colours = Area {
        y: panel.bottom() + gap,
        h: high,
        ..place
    };
    (panel, colours)
}

/// Pixels to the canvas unit of an arrangement; `None` where colours or figures have too little room.
fn scale(sheet: &ColourSheet, single: &Single, one: Arrangement) -> Option<f64> {
    let sizes = single.sizes;
    let first = sheet.palettes.first()?;
    let block = block(single, one, 0);
    let lines = sheet
        .palettes
        .iter()
        .map(|p| heading(single, p, block.w).len());
    let high = heading_height(single, lines.max().unwrap_or(1));
    let place = Area {
        y: block.y + high,
        h: block.h - high,
        ..block
    };
    let (panel, colours) = split(sheet, single, one, first, place);
    for palette in &sheet.palettes {
        let swatches = Swatches::new(&palette.swatches, colours.w.max(1), sizes);
        if colours.w < sizes.px(200.0) || swatches.height() > colours.h {
            return None;
        }
    }
    let small = sizes.px(200.0);
    if panel.w < small || panel.h < small {
        return None;
    }
    Some(fitting(sheet, panel, f64::from(sizes.px(30.0))).a)
}

/// A page of figures and pages of colours for each palette.
fn apart(sheet: &ColourSheet, mut single: Single) -> Document {
    let sizes = single.sizes;
    for (at, coloured) in sheet.palettes.iter().enumerate() {
        if at > 0 {
            single.turn();
        }
        let inner = single.inner;
        let panel = titled(&mut single, coloured, inner);
        let paper = single.colours;
        put(&mut single.page, sheet, coloured, panel, paper, sizes);
        let mut rest = &coloured.swatches[..];
        while !rest.is_empty() {
            let fits =
                |count: usize| Swatches::new(&rest[..count], inner.w, sizes).height() <= panel.h;
            let count = (1..=rest.len()).rev().find(|&n| fits(n)).unwrap_or(1);
            single.turn();
            let place = titled(&mut single, coloured, inner);
            let swatches = Swatches::new(&rest[..count], inner.w, sizes);
            swatches.set(&mut single.page, [place.x, place.y], single.colours);
            rest = &rest[count..];
        }
    }
    single.done(&sheet.heading)
}

/// Where canvas points go on a panel.
fn fitting(sheet: &ColourSheet, panel: Area, pad: f64) -> Affine {
    let [left, top, right, mut bottom] = sheet.window;
    if let Some(ground) = sheet.ground {
        bottom = bottom.max(ground);
    }
    let (w, h) = (
        f64::from(panel.w) - 2.0 * pad,
        f64::from(panel.h) - 2.0 * pad,
    );
    let scale = (w / (right - left).max(1e-6))
        .min(h / (bottom - top).max(1e-6))
        .max(1e-6);
    Affine {
        a: scale,
        b: 0.0,
        c: 0.0,
        d: scale,
        e: libm::round(
            f64::from(panel.x) + f64::from(panel.w) * 0.5 - f64::midpoint(left, right) * scale,
        ),
        f: libm::round(f64::from(panel.y) + pad + (h - (bottom - top) * scale) * 0.5 - top * scale),
    }
}

fn put(
    page: &mut Page,
    sheet: &ColourSheet,
    coloured: &Coloured,
    panel: Area,
    colours: Colours,
    sizes: Sizes,
) {
    page.fill(panel, colours.panel);
    let to_page = fitting(sheet, panel, f64::from(sizes.px(30.0)));
    if let Some(ground) = sheet.ground {
        let y = to_page.apply([0.0, ground])[1];
        let line = f64::from(sizes.hairline());
        let (from, to) = (f64::from(panel.x), f64::from(panel.right()));
        let stroke = super::table::thin(colours.ground, line * 1.6);
        page.line(vec![[from, y], [to, y]], stroke);
    }
    page.items.push(Item::Figure(Placement::plain(
        coloured.figure,
        panel,
        to_page,
    )));
}
