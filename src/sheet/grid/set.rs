//! Measured cells, headings and labels on pages.

use super::super::block::Block;
use super::super::form::Form;
use super::super::layout::{self, Area, CellBox, Grid, PageBoxes};
use super::super::page::{self, Bookmark, Item, Page, Placement};
use super::super::theme::{Colours, Sizes};
use super::{Cell, Group, Sheet};
use crate::geom::Affine;
use crate::text;

/// How many lines labels may take; more end in an ellipsis.
#[derive(Clone, Copy)]
pub(super) struct Lines {
    name: usize,
    note: usize,
}

/// Nothing is cut.
pub(super) const WHOLE: Lines = Lines {
    name: usize::MAX,
    note: usize::MAX,
};
/// Where whole labels leave no page any room for figures.
pub(super) const CUT: Lines = Lines { name: 4, note: 9 };

/// Everything measured, for putting on pages.
pub(super) struct Setting<'a> {
    pub sheet: &'a Sheet,
    pub sizes: Sizes,
    pub colours: Colours,
    pub form: &'a Form,
    pub grid: &'a Grid,
    pub labels: &'a [Vec<Block>],
    pub headings: &'a [[Block; 2]],
}

impl Setting<'_> {
    pub fn page(&self, boxes: &PageBoxes, number: usize, count: usize) -> Page {
        let mut page = self.form.blank([boxes.width, boxes.height]);
        self.form.set(&mut page, number, count);
        for heading in &boxes.headings {
            let block = &self.headings[heading.group][usize::from(heading.continued)];
            block.set(&mut page, heading.area.x, None, heading.area.y);
            let name = self.sheet.groups[heading.group].name.clone();
            if let (Some(name), false) = (name, heading.continued) {
                page.bookmarks.push(Bookmark {
                    name,
                    y: heading.area.y,
                });
            }
        }
        for cell in &boxes.cells {
            self.panel(&mut page, cell);
        }
        for cell in &boxes.cells {
            self.figures(&mut page, cell);
        }
        for cell in &boxes.cells {
            let content = &self.sheet.groups[cell.group].cells[cell.index];
            if let Some(why) = &content.refusal {
                let words = page::refusal(why, cell.figure, page.alarm);
                page.items.extend(words.into_iter().map(Item::Words));
            }
            let label = &self.labels[cell.group][cell.index];
            label.set(&mut page, cell.label.x, None, cell.label.y);
        }
        page
    }

    fn to_page(&self, cell: &CellBox) -> Affine {
        let area = cell.figure;
        let scale = self.grid.scale;
        let [left, top, right, _] = self.sheet.groups[cell.group].window;
        // The same whole-pixel place in every cell, so that figures compare.
        let x = f64::from(area.w) * 0.5 - (right - left) * scale * 0.5;
        let pad = self.sizes.spacing().pad;
        Affine {
            a: scale,
            b: 0.0,
            c: 0.0,
            d: scale,
            e: f64::from(area.x) + libm::round(x) - left * scale,
            f: f64::from(area.y + pad) - top * scale,
        }
    }

    fn panel(&self, page: &mut Page, cell: &CellBox) {
        let area = cell.figure;
        let mut inside = area;
        if self.sheet.groups[cell.group].cells[cell.index]
            .fault
            .is_some()
        {
            page.fill(area, self.colours.alarm);
            let line = self.sizes.px(5.0);
            inside = Area {
                x: area.x + line,
                y: area.y + line,
                w: (area.w - 2 * line).max(1),
                h: (area.h - 2 * line).max(1),
            };
        }
        page.fill(inside, self.colours.panel);
        if let Some(ground) = self.sheet.ground {
            let y = libm::round(self.to_page(cell).apply([0.0, ground])[1]);
            let line = Area {
                y: layout::whole(y),
                h: self.sizes.hairline(),
                ..inside
            };
            if inside.holds(line) {
                page.fill(line, self.colours.ground);
            }
        }
    }

    fn figures(&self, page: &mut Page, cell: &CellBox) {
        let content = &self.sheet.groups[cell.group].cells[cell.index];
        if content.refusal.is_some() {
            return;
        }
        for shown in &content.figures {
            page.items.push(Item::Figure(Placement {
                figure: shown.figure,
                area: cell.figure,
                to_page: self.to_page(cell),
                tint: shown.tint,
                opacity: shown.opacity,
            }));
        }
    }
}

pub(super) fn label(
    cell: &Cell,
    sizes: Sizes,
    colours: Colours,
    width: i32,
    lines: Lines,
) -> Block {
    let mut block = Block::default();
    let limit = width as f32;
    block.add(
        text::wrap(&cell.name, sizes.name(), limit, lines.name),
        sizes.name(),
        colours.text,
    );
    let notes = [(&cell.fault, colours.alarm), (&cell.note, colours.quiet)];
    for (note, colour) in notes {
        if let Some(note) = note {
            block.skip(sizes.px(3.0));
            let wrapped = text::wrap(note, sizes.note(), limit, lines.note);
            block.add(wrapped, sizes.note(), colour);
        }
    }
    if !cell.key.is_empty() {
        block.skip(sizes.px(4.0));
        block.add_key(&cell.key, sizes.note(), colours.quiet, limit);
    }
    block
}

pub(super) fn heading(
    group: &Group,
    again: bool,
    sizes: Sizes,
    colours: Colours,
    width: i32,
    lines: Lines,
) -> Block {
    let mut block = Block::default();
    let limit = width as f32;
    if let Some(name) = &group.name {
        let name = if again {
            format!("{name}, continued")
        } else {
            name.clone()
        };
        block.add(
            text::wrap(&name, sizes.heading(), limit, lines.name),
            sizes.heading(),
            colours.text,
        );
    }
    if let (Some(note), false) = (&group.note, again) {
        block.skip(sizes.px(2.0));
        let wrapped = text::wrap(note, sizes.note(), limit, lines.note);
        block.add(wrapped, sizes.note(), colours.quiet);
    }
    block
}
