//! The model sheet: one figure large at rest, measured, with its colours and what is to be known.
//! Of several arrangements the one that shows the figure largest is taken.

use super::callouts::{self, Callout, PlacedCallout};
use super::layout::Area;
use super::measures::{Tables, rows};
use super::model_content::ModelSheet;
use super::page::{Item, Placement};
use super::table::{Single, Swatch, Swatches, number, thin, write_right};
use super::{Document, Look};
use crate::geom::Affine;
use crate::text;

/// Where everything goes on the first page.
struct Arrangement {
    panel: Area,
    /// Where tables go, and in how many columns; without it they go on pages of their own.
    tables: Option<(Area, i32)>,
    /// Where colours go; without it they go on pages of their own.
    swatches: Option<Area>,
}

/// Lays a model sheet out: on one page where all that is measured and every colour finds room beside
/// a figure that can be seen.
#[must_use]
pub fn model_sheet(sheet: &ModelSheet, look: &Look) -> Document {
    let mut single = Single::new(&sheet.heading, look, 1860.0);
    let tables = Tables::new(rows(sheet), single.sizes);
    let listed = !callouts_fit(sheet, &single);
    let arrangement = arrange(sheet, &single, &tables);
    figure(sheet, &mut single, arrangement.panel, listed);
    let page = &mut single.page;
    if let Some((area, columns)) = arrangement.tables {
        tables.set(page, single.colours, area, columns);
    }
    // What stands on the first page comes before the pages of what does not.
    if let (Some(area), Some((name, all))) = (arrangement.swatches, &sheet.palette) {
        put_swatches(&mut single, area, name, all);
    }
    if arrangement.tables.is_none() {
        tables.pages(&mut single);
    }
    if arrangement.swatches.is_none() {
        swatch_pages(sheet, &mut single);
    }
    if listed {
        notes(sheet, &mut single);
    }
    single.done(&sheet.heading)
}

/// Height of the title over swatches.
fn title(single: &Single) -> i32 {
    single.sizes.name().leading() + single.sizes.px(14.0)
}

/// The arrangement that shows the figure largest.
fn arrange(sheet: &ModelSheet, single: &Single, tables: &Tables) -> Arrangement {
    let (sizes, inner) = (single.sizes, single.inner);
    let gap = sizes.px(44.0);
    let colours = |width: i32| {
        sheet.palette.as_ref().map_or(0, |(_, all)| {
            title(single) + Swatches::new(all, width, sizes).height()
        })
    };
    let with_gap = |height: i32| if height > 0 { height + gap } else { 0 };
    let mut found: Vec<Arrangement> = Vec::new();
    let (across, one) = (colours(inner.w), with_gap(colours(inner.w)));
    // Beside the figure.
    for share in 5..=11 {
        let side = inner.w * share / 20;
        let beside = colours(side);
        let panel = |h: i32| Area {
            w: inner.w - side - gap,
            h,
            ..inner
        };
        let info = Area {
            x: inner.right() - side,
            w: side,
            ..inner
        };
        for columns in 1..=3 {
            let Some(high) = tables.height(side, columns) else {
                continue;
            };
            if high + with_gap(beside) <= inner.h {
                let top = inner.y + with_gap(high);
                found.push(Arrangement {
                    panel: panel(inner.h),
                    tables: Some((info, columns)),
                    swatches: Some(Area {
                        y: top,
                        h: inner.bottom() - top,
                        ..info
                    }),
                });
            }
            if high <= inner.h - one {
                found.push(Arrangement {
                    panel: panel(inner.h - one),
                    tables: Some((info, columns)),
                    swatches: Some(Area {
                        y: inner.bottom() - across,
                        h: across,
                        ..inner
                    }),
                });
            }
        }
        if tables.is_empty() && beside <= inner.h {
            found.push(Arrangement {
                panel: panel(inner.h),
                tables: None,
                swatches: Some(info),
            });
        }
    }
    // Below the figure, or tables alone, or colours alone, or nothing.
    for columns in 0..=4 {
        let tabled = match columns {
            0 => Some(0),
            _ => tables.height(inner.w, columns),
        };
        let Some(tabled) = tabled else { continue };
        for coloured in [across, 0] {
            let h = inner.h - with_gap(tabled) - with_gap(coloured);
            let below = inner.y + h + gap;
            found.push(Arrangement {
                panel: Area { h, ..inner },
                tables: (columns > 0).then_some((
                    Area {
                        y: below,
                        h: tabled,
                        ..inner
                    },
                    columns,
                )),
                swatches: (coloured > 0).then_some(Area {
                    y: below + with_gap(tabled),
                    h: coloured,
                    ..inner
                }),
            });
        }
    }
    let missing = |a: &Arrangement| {
        let tables = a.tables.is_none() && !tables.is_empty();
        let colours = a.swatches.is_none() && sheet.palette.is_some();
        i32::from(tables) + i32::from(colours)
    };
    let worth = |a: &Arrangement| {
        let least = inner.h.min(sizes.px(420.0)).min(inner.h * 2 / 5);
        if a.panel.h < least || a.panel.w < sizes.px(420.0).min(inner.w) {
            return f64::NEG_INFINITY;
        }
        // Another page only for a figure that would be less than half as large.
        stage(sheet, single, a.panel, false).to_page.a * libm::pow(0.45, f64::from(missing(a)))
    };
    let all = Arrangement {
        panel: inner,
        tables: None,
        swatches: None,
    };
    // Of two as large, the one that comes first.
    let mut best = (worth(&all), all);
    for one in found {
        let worth = worth(&one);
        if worth > best.0 * 1.02 {
            best = (worth, one);
        }
    }
    best.1
}

/// Adds swatches under the name of their palette.
fn put_swatches(single: &mut Single, area: Area, name: &str, all: &[Swatch]) {
    let (sizes, colours) = (single.sizes, single.colours);
    let (top, room) = (area.y + title(single), area.h - title(single));
    let style = sizes.name();
    let heading = text::shortened(&format!("palette {name}"), style, area.w as f32);
    single
        .page
        .write(&heading, style, colours.text, [area.x, area.y]);
    let swatches = Swatches::within(all, area.w, room, sizes);
    swatches.set(&mut single.page, [area.x, top], colours);
}

/// Adds the swatches on pages of their own.
fn swatch_pages(sheet: &ModelSheet, single: &mut Single) {
    let Some((name, all)) = &sheet.palette else {
        return;
    };
    let mut rest = &all[..];
    while !rest.is_empty() {
        let room = single.inner.h - title(single);
        let fits = |count: usize| {
            Swatches::new(&rest[..count], single.inner.w, single.sizes).height() <= room
        };
        let count = (1..=rest.len()).rev().find(|&count| fits(count));
        let (now, later) = rest.split_at(count.unwrap_or(1));
        single.turn();
        let inner = single.inner;
        put_swatches(single, inner, name, now);
        rest = later;
    }
}

/// Where canvas points go on the panel, and the columns for notes beside the figure.
struct Stage {
    to_page: Affine,
    columns: [Area; 2],
    /// From the panel's left side to the ruler.
    axis: i32,
}

/// Widths of a column of notes, shares of the panel, that are tried.
const COLUMNS: [i32; 4] = [16, 20, 25, 30];

/// With the narrowest columns that hold all notes, or none where they are listed elsewhere.
fn stage(sheet: &ModelSheet, single: &Single, panel: Area, listed: bool) -> Stage {
    let mut stages = COLUMNS
        .map(|share| staged(sheet, single, panel, share, listed))
        .into_iter();
    let first = stages
        .next()
        .unwrap_or_else(|| staged(sheet, single, panel, COLUMNS[0], listed));
    if listed || fits(&labels(sheet, single, &first, false), first.columns) {
        return first;
    }
    let found = stages.find(|stage| fits(&labels(sheet, single, stage, false), stage.columns));
    found.unwrap_or(first)
}

fn staged(sheet: &ModelSheet, single: &Single, panel: Area, share: i32, listed: bool) -> Stage {
    let sizes = single.sizes;
    let pad = sizes.px(34.0);
    let (ruler, axis) = match (sheet.stature(), sheet.heads) {
        (Some(_), Some(heads)) => {
            let wide = text::width(&number(heads, 2), sizes.fact());
            #[expect(clippy::cast_possible_truncation, reason = "a number")]
            let axis = sizes.px(112.0).max(wide.ceil() as i32 + sizes.px(60.0));
            (axis - sizes.px(34.0) + sizes.px(52.0), axis)
        }
        _ => (0, 0),
    };
    let column = match (sheet.notes.is_empty(), listed) {
        (true, _) => 0,
        (_, true) => sizes.px(60.0),
        _ => (panel.w * share / 100).min(sizes.px(400.0)),
    };
    let between = if column > 0 { sizes.px(36.0) } else { 0 };
    let [left, mut top, right, mut bottom] = sheet.window;
    if let Some(ground) = sheet.ground {
        bottom = bottom.max(ground);
        top = top.min(ground);
    }
    if let Some(crown) = sheet.crown {
        top = top.min(crown);
    }
    let x = panel.x + pad + ruler + column + between;
    let w = (panel.w - 2 * pad - ruler - 2 * (column + between)).max(1);
    let h = (panel.h - 2 * pad - sizes.px(14.0)).max(1);
    let scale = (f64::from(w) / (right - left).max(1e-6))
        .min(f64::from(h) / (bottom - top).max(1e-6))
        .max(1e-6);
    // Extra room goes to both sides of the figure, and the notes stay near it.
    let wide = (right - left) * scale;
    let spare = (f64::from(w) - wide) * 0.5;
    let e = f64::from(x) + spare - left * scale;
    let f = f64::from(panel.y + pad) + (f64::from(h) - (bottom - top) * scale) * 0.5 - top * scale;
    let to_page = Affine {
        a: scale,
        b: 0.0,
        c: 0.0,
        d: scale,
        e: libm::round(e),
        f,
    };
    #[expect(clippy::cast_possible_truncation, reason = "within a page")]
    let spare = (spare * 0.6) as i32;
    let y = panel.y + pad;
    let columns = [
        Area {
            x: panel.x + pad + ruler + spare,
            y,
            w: column,
            h,
        },
        Area {
            x: panel.right() - pad - column - spare,
            y,
            w: column,
            h,
        },
    ];
    Stage {
        to_page,
        columns,
        axis,
    }
}

/// The lines of the ruler, page pixels, with the heads they count; the last is the ground.
fn ruled(sheet: &ModelSheet, to_page: Affine) -> Vec<(f64, f64)> {
    let (Some([crown, ground, height]), Some(heads)) = (sheet.stature(), sheet.heads) else {
        let ground = sheet
            .ground
            .map(|y| (f64::INFINITY, to_page.apply([0.0, y])[1]));
        return ground.into_iter().collect();
    };
    let level = |y: f64| to_page.apply([0.0, y])[1];
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "at most 100"
    )]
    let whole = libm::ceil(heads - 1e-9) as u32;
    let lines = (0..whole).map(f64::from);
    lines
        .map(|head| (head, level(crown + height * head / heads)))
        .chain([(heads, level(ground))])
        .collect()
}

/// The notes in their columns, between the ruler's lines where there is room.
fn labels(sheet: &ModelSheet, single: &Single, stage: &Stage, listed: bool) -> Vec<PlacedCallout> {
    let notes: Vec<Callout> = sheet
        .notes
        .iter()
        .enumerate()
        .map(|(at, (text, point))| Callout {
            text: if listed {
                (at + 1).to_string()
            } else {
                text.clone()
            },
            at: stage.to_page.apply(*point),
        })
        .collect();
    let lines: Vec<f64> = ruled(sheet, stage.to_page)
        .iter()
        .map(|line| line.1)
        .collect();
    callouts::place(&notes, stage.columns, single.sizes.note(), &lines)
}

fn fits(labels: &[PlacedCallout], columns: [Area; 2]) -> bool {
    labels
        .iter()
        .all(|label| columns.iter().any(|column| column.holds(label.area)))
}

/// Whether a panel as large as can be holds all notes beside the figure.
fn callouts_fit(sheet: &ModelSheet, single: &Single) -> bool {
    let tables = Tables::new(rows(sheet), single.sizes);
    let panel = arrange(sheet, single, &tables).panel;
    let stage = stage(sheet, single, panel, false);
    fits(&labels(sheet, single, &stage, false), stage.columns)
}

/// The notes as numbered lines, on pages of their own.
fn notes(sheet: &ModelSheet, single: &mut Single) {
    let (sizes, style) = (single.sizes, single.sizes.note());
    let indent = sizes.px(60.0);
    let mut y = i32::MAX;
    for (at, (text, _)) in sheet.notes.iter().enumerate() {
        let room = (single.inner.w - indent).max(1) as f32;
        let mut number = Some((at + 1).to_string());
        for line in text::wrap(text, style, room, usize::MAX) {
            if y > single.inner.bottom() - style.leading() {
                single.turn();
                y = single.inner.y;
            }
            let x = single.inner.x;
            if let Some(number) = number.take() {
                single
                    .page
                    .write(&number, sizes.name(), single.colours.text, [x, y]);
            }
            let place = [x + indent, y];
            single.page.write(&line, style, single.colours.text, place);
            y += style.leading();
        }
        y += sizes.px(12.0);
    }
}

fn figure(sheet: &ModelSheet, single: &mut Single, panel: Area, listed: bool) {
    let stage = stage(sheet, single, panel, listed);
    let placed = labels(sheet, single, &stage, listed);
    let (sizes, colours) = (single.sizes, single.colours);
    let page = &mut single.page;
    page.fill(panel, colours.panel);
    let line = f64::from(sizes.hairline());
    let right = f64::from(panel.right());
    let level = |y: f64| stage.to_page.apply([0.0, y])[1];
    let long = |length: f32| f64::from(sizes.px(length));
    let lines = ruled(sheet, stage.to_page);
    let mut from = f64::from(panel.x);
    if let (Some([crown, ground, height]), Some(heads)) = (sheet.stature(), sheet.heads) {
        let axis = from + f64::from(stage.axis);
        from = axis - long(34.0);
        page.line(
            vec![[axis, level(crown)], [axis, level(ground)]],
            thin(colours.quiet, line),
        );
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "at most 100"
        )]
        let quarters = libm::floor(heads * 4.0 + 1e-9) as u32;
        for quarter in 0..=quarters {
            let y = level(crown + height * f64::from(quarter) * 0.25 / heads);
            let tick = long(match quarter % 4 {
                0 => 34.0,
                2 => 20.0,
                _ => 11.0,
            });
            page.line(vec![[axis - tick, y], [axis, y]], thin(colours.quiet, line));
        }
        let last = lines.len() - 1;
        let apart = f64::from(sizes.fact().leading());
        // Where heads are closer together than numbers can be, every second, third, ... has its own.
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "at least 1, and few"
        )]
        let every = libm::ceil(apart * heads / (lines[last].1 - lines[0].1) + 1e-9) as usize;
        for (at, &(head, y)) in lines.iter().enumerate() {
            if at < last {
                page.line(vec![[axis, y], [right, y]], thin(colours.ground, line));
            }
            // The last number but one would meet the one at the ground.
            if at == last || (at % every == 0 && lines[last].1 - y > apart) {
                let style = sizes.fact();
                #[expect(clippy::cast_possible_truncation, reason = "within a page")]
                let (end, top) = (
                    axis as i32 - sizes.px(44.0),
                    libm::round(y) as i32 - style.leading() / 2,
                );
                let words = number(head, if at == last { 2 } else { 0 });
                write_right(page, &words, style, colours.text, [end, top]);
            }
        }
    }
    if let Some(ground) = sheet.ground {
        let y = level(ground);
        page.line(vec![[from, y], [right, y]], thin(colours.text, line * 1.6));
    }
    page.items.push(Item::Figure(Placement::plain(
        sheet.figure,
        panel,
        stage.to_page,
    )));
    let crossed = |area: Area| {
        let (top, bottom) = (f64::from(area.y), f64::from(area.bottom()));
        lines.iter().any(|&(_, y)| y > top && y < bottom)
    };
    for callout in placed {
        // Where a line of the ruler must pass behind a label, it stops around it.
        if crossed(callout.area) {
            let [pad_x, pad_y] = [sizes.px(10.0), sizes.px(2.0)];
            let behind = Area {
                x: callout.area.x - pad_x,
                y: callout.area.y - pad_y,
                w: callout.area.w + 2 * pad_x,
                h: callout.area.h + 2 * pad_y,
            };
            page.fill(behind, colours.panel);
        }
        callouts::set(
            page,
            &callout,
            sizes.note(),
            [colours.text, colours.panel],
            line,
        );
    }
}
