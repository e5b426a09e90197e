//! The model sheet: one figure large at rest, measured, with its colours and what is to be known.

use super::callouts::{self, Callout};
use super::layout::Area;
use super::page::{Item, Placement};
use super::table::{Single, Swatch, Swatches, number, share, spoken, thin, write_right};
use super::text;
use super::{Document, Heading, Look};
use crate::geom::Affine;

/// What a model sheet shows.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ModelSheet {
    /// What it says of itself.
    pub heading: Heading,
    /// The place of its pose in the list of jobs.
    pub figure: usize,
    /// What the figure covers, canvas units: left, top, right, bottom.
    pub window: [f64; 4],
    /// y of the ground, where the rig says.
    pub ground: Option<f64>,
    /// y of the crown, where the rig says.
    pub crown: Option<f64>,
    /// Height in heads, where the rig says.
    pub heads: Option<f64>,
    /// Height in life, as it is written.
    pub height: Option<String>,
    /// Heights by name, canvas units.
    pub landmarks: Vec<(String, f64)>,
    /// Lengths by name, canvas units.
    pub measures: Vec<(String, f64)>,
    /// Notes and the points they are about, canvas units.
    pub notes: Vec<(String, [f64; 2])>,
    /// The palette's name and its colours.
    pub palette: Option<(String, Vec<Swatch>)>,
}

/// A row of the table of measurements: name, units, heads, share of the height.
type Row = [String; 4];

impl ModelSheet {
    /// Crown, ground and height, where both are known.
    fn stature(&self) -> Option<[f64; 3]> {
        let (crown, ground) = (self.crown?, self.ground?);
        (ground > crown).then_some([crown, ground, ground - crown])
    }

    fn row(&self, name: &str, units: f64) -> Row {
        let height = self.stature().map(|[_, _, height]| height);
        let heads = height.zip(self.heads).map(|(h, heads)| units * heads / h);
        [
            spoken(name),
            number(units, 0),
            heads.map_or(String::new(), |v| number(v, 2)),
            height.map_or(String::new(), |h| share(units / h)),
        ]
    }

    /// What is measured: first the whole, then heights from the ground up, then lengths.
    fn rows(&self) -> [Vec<Row>; 3] {
        let mut whole = Vec::new();
        if let Some([_, _, height]) = self.stature() {
            let mut row = self.row("crown to ground", height);
            row[3] = self.height.clone().unwrap_or_default();
            whole.push(row);
            if let Some(heads) = self.heads {
                whole.push(self.row("head", height / heads));
            }
        }
        let mut landmarks = self.landmarks.clone();
        landmarks.sort_by(|a, b| a.1.total_cmp(&b.1));
        let heights = match self.ground {
            Some(ground) => landmarks
                .iter()
                .map(|(name, y)| self.row(name, ground - y))
                .collect(),
            None => Vec::new(),
        };
        let lengths = self.measures.iter().map(|(n, v)| self.row(n, *v)).collect();
        [whole, heights, lengths]
    }
}

/// Lays a model sheet out on one page.
#[must_use]
pub fn model_sheet(sheet: &ModelSheet, look: &Look) -> Document {
    let mut single = Single::new(&sheet.heading, look, 1860.0);
    let sizes = single.sizes;
    let inner = single.inner;
    let gap = sizes.px(48.0);
    let landscape = inner.w * 10 > inner.h * 11;
    let (panel, info, chips) = if landscape {
        let side = sizes.px(620.0).min(inner.w * 2 / 5);
        let swatches = swatches(sheet, inner.w, &single);
        let strip = if swatches > 0 { swatches + gap } else { 0 };
        let h = (inner.h - strip).max(1);
        let panel = Area {
            w: inner.w - side - gap,
            h,
            ..inner
        };
        let info = Area {
            x: inner.right() - side,
            w: side,
            h,
            ..inner
        };
        (panel, info, [inner.x, inner.y + h + gap])
    } else {
        let table = table_height(sheet, &single);
        let swatches = swatches(sheet, inner.w, &single);
        let strip = if swatches > 0 { swatches + gap } else { 0 };
        let h = (inner.h - strip - table - gap).max(1);
        let panel = Area { h, ..inner };
        let info = Area {
            y: inner.y + h + gap,
            h: table,
            ..inner
        };
        (panel, info, [inner.x, inner.y + h + 2 * gap + table])
    };
    figure(sheet, &mut single, panel);
    table(sheet, &mut single, info);
    if let Some((name, all)) = &sheet.palette {
        let heading = sizes.name();
        let title = format!("palette {name}");
        single
            .page
            .write(&title, heading, single.colours.text, chips);
        let top = chips[1] + heading.leading() + sizes.px(14.0);
        Swatches::new(all, inner.w, sizes).set(&mut single.page, [chips[0], top], single.colours);
    }
    single.done(&sheet.heading)
}

/// Height of the strip of swatches with its title.
fn swatches(sheet: &ModelSheet, width: i32, single: &Single) -> i32 {
    let sizes = single.sizes;
    sheet.palette.as_ref().map_or(0, |(_, all)| {
        sizes.name().leading() + sizes.px(14.0) + Swatches::new(all, width, sizes).height()
    })
}

/// Where canvas points go on the panel, and the columns for notes beside the figure.
struct Stage {
    to_page: Affine,
    columns: [Area; 2],
}

fn stage(sheet: &ModelSheet, single: &Single, panel: Area) -> Stage {
    let sizes = single.sizes;
    let pad = sizes.px(34.0);
    let ruler = if sheet.stature().is_some() && sheet.heads.is_some() {
        sizes.px(130.0)
    } else {
        0
    };
    let column = if sheet.notes.is_empty() {
        0
    } else {
        (panel.w / 5).min(sizes.px(330.0))
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
    Stage { to_page, columns }
}

fn figure(sheet: &ModelSheet, single: &mut Single, panel: Area) {
    let stage = stage(sheet, single, panel);
    let (sizes, colours) = (single.sizes, single.colours);
    let page = &mut single.page;
    page.fill(panel, colours.panel);
    let line = f64::from(sizes.hairline());
    let (left, right) = (f64::from(panel.x), f64::from(panel.right()));
    let level = |y: f64| stage.to_page.apply([0.0, y])[1];
    if let (Some([crown, ground, height]), Some(heads)) = (sheet.stature(), sheet.heads) {
        let axis = left + f64::from(sizes.px(112.0));
        let at = |head: f64| level(crown + height * head / heads);
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
            let y = at(f64::from(quarter) * 0.25);
            let long = match quarter % 4 {
                0 => 34.0,
                2 => 20.0,
                _ => 11.0,
            };
            let tick = vec![[axis - f64::from(sizes.px(long)), y], [axis, y]];
            page.line(tick, thin(colours.quiet, line));
            if quarter % 4 == 0 {
                page.line(vec![[axis, y], [right, y]], thin(colours.rule, line));
                // The last number would meet the one at the ground.
                let whole = f64::from(quarter / 4);
                if whole == heads || level(ground) - y > f64::from(sizes.fact().leading()) {
                    ruled(page, sizes, colours.text, &number(whole, 0), [axis, y]);
                }
            }
        }
        let y = level(ground);
        page.line(
            vec![[axis - f64::from(sizes.px(34.0)), y], [axis, y]],
            thin(colours.quiet, line),
        );
        ruled(page, sizes, colours.text, &number(heads, 2), [axis, y]);
    }
    if let Some(ground) = sheet.ground {
        let y = level(ground);
        page.line(vec![[left, y], [right, y]], thin(colours.text, line * 1.6));
    }
    page.items.push(Item::Figure(Placement::plain(
        sheet.figure,
        panel,
        stage.to_page,
    )));
    let notes: Vec<Callout> = sheet
        .notes
        .iter()
        .map(|(text, at)| Callout {
            text: text.clone(),
            at: stage.to_page.apply(*at),
        })
        .collect();
    for callout in callouts::place(&notes, stage.columns, sizes.note()) {
        // The lines of the ruler pass behind labels.
        let [pad_x, pad_y] = [sizes.px(6.0), sizes.px(2.0)];
        let behind = Area {
            x: callout.area.x - pad_x,
            y: callout.area.y - pad_y,
            w: callout.area.w + 2 * pad_x,
            h: callout.area.h + 2 * pad_y,
        };
        page.fill(behind, colours.panel);
        callouts::set(
            page,
            &callout,
            sizes.note(),
            [colours.text, colours.panel],
            line,
        );
    }
}

/// A number of the ruler, left of its tick.
fn ruled(
    page: &mut super::Page,
    sizes: super::Sizes,
    colour: crate::art::Rgb,
    words: &str,
    [axis, y]: [f64; 2],
) {
    let style = sizes.fact();
    #[expect(clippy::cast_possible_truncation, reason = "within a page")]
    let (right, top) = (
        axis as i32 - sizes.px(44.0),
        libm::round(y) as i32 - style.leading() / 2,
    );
    write_right(page, words, style, colour, [right, top]);
}

fn columns(width: i32) -> [i32; 3] {
    [width * 62 / 100, width * 79 / 100, width]
}

fn table_height(sheet: &ModelSheet, single: &Single) -> i32 {
    let sizes = single.sizes;
    let row = sizes.note().leading() + sizes.px(12.0);
    let groups: Vec<_> = sheet.rows().into_iter().filter(|g| !g.is_empty()).collect();
    let rows: i32 = groups
        .iter()
        .map(|g| i32::try_from(g.len()).unwrap_or(0))
        .sum();
    let groups = i32::try_from(groups.len()).unwrap_or(0);
    if groups == 0 {
        return 0;
    }
    row * rows + groups * (sizes.name().leading() + sizes.px(48.0))
}

fn table(sheet: &ModelSheet, single: &mut Single, area: Area) {
    let (sizes, colours) = (single.sizes, single.colours);
    let page = &mut single.page;
    let style = sizes.note();
    let row_height = style.leading() + sizes.px(12.0);
    let ends = columns(area.w);
    let line = sizes.hairline();
    let mut y = area.y;
    let titles = ["size", "from the ground", "lengths"];
    for (title, rows) in titles.iter().zip(sheet.rows()) {
        if rows.is_empty() {
            continue;
        }
        page.write(title, sizes.name(), colours.text, [area.x, y]);
        let captions = ["units", "heads", "of height"];
        let level = y + sizes.name().leading() - sizes.caption().leading();
        for (caption, end) in captions.iter().zip(ends) {
            let last = *caption == "of height" && *title == "size";
            let caption = if last && sheet.height.is_some() {
                "in life"
            } else {
                caption
            };
            write_right(
                page,
                caption,
                sizes.caption(),
                colours.quiet,
                [area.x + end, level],
            );
        }
        y += sizes.name().leading() + sizes.px(8.0);
        for row in rows {
            let rule = Area {
                x: area.x,
                y,
                w: area.w,
                h: line,
            };
            page.fill(rule, colours.rule);
            let top = y + sizes.px(6.0);
            let room = (ends[0] * 3 / 4) as f32;
            let name = text::shortened(&row[0], style, room);
            page.write(&name, style, colours.text, [area.x, top]);
            for (value, end) in row[1..].iter().zip(ends).filter(|(v, _)| !v.is_empty()) {
                write_right(page, value, style, colours.text, [area.x + end, top]);
            }
            y += row_height;
        }
        y += sizes.px(40.0);
    }
}
