//! The colour sheet: one pose in every palette, each colour named.

use super::layout::{Area, PageSize};
use super::page::{Bookmark, Item, Page, Placement};
use super::table::{Swatch, Swatches};
use super::{Document, Form, Heading, Look};
use crate::geom::Affine;

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

/// Lays a colour sheet out: a block for each palette, as many to a page as fit.
#[must_use]
pub fn colour_sheet(sheet: &ColourSheet, look: &Look) -> Document {
    let sizes = look.sizes();
    let gap = sizes.px(48.0);
    let (width, height) = match look.page {
        PageSize::Exactly { width, height } | PageSize::UpTo { width, height } => (width, height),
    };
    let form = Form::new(&sheet.heading, look, width);
    let inner = form.inner([width, height]);
    let beside = inner.w >= sizes.px(1500.0);
    let side = if beside { inner.w * 2 / 5 } else { inner.w };
    let room = if beside {
        inner.w - side - gap
    } else {
        inner.w
    };
    let title = sizes.heading().leading() + sizes.px(18.0);
    let colours = sheet
        .palettes
        .iter()
        .map(|p| title + Swatches::new(&p.swatches, room, sizes).height())
        .max()
        .unwrap_or(0);
    let figure = sizes.px(if beside { 860.0 } else { 760.0 });
    let block = if beside {
        figure.max(colours)
    } else {
        figure + gap + colours
    }
    .max(1);
    let fit = ((inner.h + gap) / (block + gap)).max(1);
    let per_page = usize::try_from(fit).unwrap_or(1);
    let chunks: Vec<&[Coloured]> = sheet.palettes.chunks(per_page).collect();
    let pages = chunks.iter().enumerate().map(|(at, chunk)| {
        let blocks = i32::try_from(chunk.len()).unwrap_or(1);
        let (size, block) = match look.page {
            PageSize::UpTo { .. } => {
                let used = blocks * (block + gap) - gap;
                let spare = inner.h - used;
                ([width, (height - spare).max(1)], block)
            }
            PageSize::Exactly { .. } => {
                let count = i32::try_from(per_page.min(sheet.palettes.len())).unwrap_or(1);
                ([width, height], (inner.h + gap) / count.max(1) - gap)
            }
        };
        let mut page = form.blank(size);
        form.set(&mut page, at + 1, chunks.len());
        let mut y = inner.y;
        for coloured in *chunk {
            page.bookmarks.push(Bookmark {
                name: coloured.name.clone(),
                y,
            });
            let high = if beside { block } else { block - gap - colours };
            let panel = Area {
                x: inner.x,
                y,
                w: side,
                h: high.max(1),
            };
            set(&mut page, sheet, coloured, panel, look);
            let at = if beside {
                [inner.x + side + gap, y]
            } else {
                [inner.x, y + high + gap]
            };
            let paper = look.paper.colours();
            let name = format!("palette {}", coloured.name);
            page.write(&name, sizes.heading(), paper.text, at);
            let swatches = Swatches::new(&coloured.swatches, room, sizes);
            swatches.set(&mut page, [at[0], at[1] + title], paper);
            y += block + gap;
        }
        page
    });
    Document {
        name: sheet.heading.sheet.clone(),
        pages: pages.collect(),
    }
}

fn set(page: &mut Page, sheet: &ColourSheet, coloured: &Coloured, panel: Area, look: &Look) {
    let sizes = look.sizes();
    let colours = look.paper.colours();
    page.fill(panel, colours.panel);
    let pad = f64::from(sizes.px(30.0));
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
    let to_page = Affine {
        a: scale,
        b: 0.0,
        c: 0.0,
        d: scale,
        e: libm::round(
            f64::from(panel.x) + f64::from(panel.w) * 0.5 - f64::midpoint(left, right) * scale,
        ),
        f: libm::round(f64::from(panel.y) + pad + (h - (bottom - top) * scale) * 0.5 - top * scale),
    };
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
