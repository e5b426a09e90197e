//! Tables of measurements: sizes, heights and lengths of a model.

use super::layout::Area;
use super::model_content::ModelSheet;
use super::page::Page;
use super::table::{Single, fitted, number, share, spoken, write_right};
use super::theme::{Colours, Sizes};
use crate::text;

/// A row: what is measured; units, heads, share of the height, in life.
type Row = (String, [String; 4]);

/// What columns of numbers are.
const CAPTIONS: [&str; 4] = ["units", "heads", "of height", ""];

/// Measurements by sort.
pub(super) struct Measured {
    /// What the last column counts, where the height in life is known.
    unit: Option<String>,
    groups: Vec<(&'static str, Vec<Row>)>,
}

/// First the whole, then heights from the ground up, then lengths.
pub(super) fn rows(sheet: &ModelSheet) -> Measured {
    let stature = sheet.stature();
    let height = stature.map(|[_, _, height]| height);
    let life = sheet
        .height
        .as_ref()
        .and_then(|text| in_life(text))
        .zip(height);
    let row = |name: &str, units: f64| {
        let heads = height.zip(sheet.heads).map(|(h, heads)| units * heads / h);
        let said = |value: Option<String>| value.unwrap_or_default();
        (
            spoken(name),
            [
                number(units, 0),
                said(heads.map(|v| number(v, 2))),
                said(height.map(|h| share(units / h))),
                said(life.as_ref().map(|((tall, unit), h)| {
                    let digits = if unit == "m" || unit == "ft" { 2 } else { 0 };
                    let digits = if *tall < 20.0 { 2 } else { digits };
                    number(units * tall / h, digits)
                })),
            ],
        )
    };
    let mut whole = Vec::new();
    if let Some(height) = height {
        whole.push(row("crown to ground", height));
        if let Some(heads) = sheet.heads {
            whole.push(row("head", height / heads));
        }
    }
    let mut landmarks = sheet.landmarks.clone();
    for (name, y) in &mut landmarks {
        // What the rig says of the crown holds, whatever sticks out above it.
        if name == "crown" {
            *y = sheet.crown.unwrap_or(*y);
        }
    }
    landmarks.sort_by(|a, b| a.1.total_cmp(&b.1));
    let heights = match sheet.ground {
        Some(ground) => landmarks
            .iter()
            .map(|(name, y)| row(name, ground - y))
            .collect(),
        None => Vec::new(),
    };
    let lengths = sheet.measures.iter().map(|(n, v)| row(n, *v)).collect();
    let all = [
        ("size", whole),
        ("from the ground", heights),
        ("lengths", lengths),
    ];
    Measured {
        unit: life.map(|((_, unit), _)| unit),
        groups: all
            .into_iter()
            .filter(|(_, rows)| !rows.is_empty())
            .collect(),
    }
}

/// Number and unit of a height as it is written.
fn in_life(text: &str) -> Option<(f64, String)> {
    let at = text.find(char::is_alphabetic)?;
    let (value, unit) = text.split_at(at);
    Some((value.trim().parse().ok()?, unit.trim().to_owned()))
}

/// Tables, measured for a size of letters.
pub(super) struct Tables {
    measured: Measured,
    sizes: Sizes,
    /// Width of each column of numbers; 0 for one without any.
    numbers: [i32; 4],
    /// The widest name.
    name: i32,
}

/// Where the rows of one table are.
struct Placed<'a> {
    title: &'a str,
    rows: Vec<(Vec<String>, &'a [String; 4])>,
    height: i32,
}

impl Tables {
    pub fn new(measured: Measured, sizes: Sizes) -> Self {
        let style = sizes.note();
        #[expect(clippy::cast_possible_truncation, reason = "a line of text")]
        let wide = |words: &str, style| text::width(words, style).ceil() as i32;
        let rows = || measured.groups.iter().flat_map(|(_, rows)| rows);
        let mut numbers = [0; 4];
        for (at, column) in numbers.iter_mut().enumerate() {
            let most = rows()
                .map(|(_, row)| wide(&row[at], style))
                .max()
                .unwrap_or(0);
            if most > 0 {
                let caption = match &measured.unit {
                    Some(unit) if at == 3 => wide(unit, sizes.caption()),
                    _ => wide(CAPTIONS[at], sizes.caption()),
                };
                *column = most.max(caption) + sizes.px(22.0);
            }
        }
        let name = rows().map(|(name, _)| wide(name, style)).max().unwrap_or(0);
        let titles = measured.groups.iter();
        let name = titles
            .map(|(title, _)| wide(title, sizes.name()))
            .fold(name, i32::max);
        Self {
            measured,
            sizes,
            numbers,
            name,
        }
    }

    pub fn is_empty(&self) -> bool {
        self.measured.groups.is_empty()
    }

    fn gap(&self) -> i32 {
        self.sizes.px(44.0)
    }

    /// Width of a table, of several beside each other.
    fn table(&self, width: i32, columns: i32) -> i32 {
        (width - (columns - 1) * self.gap()) / columns
    }

    /// Height in so many columns, where they are wide enough and not more than there are tables.
    pub fn height(&self, width: i32, columns: i32) -> Option<i32> {
        let tables = i32::try_from(self.measured.groups.len()).unwrap_or(0);
        let wide = self.table(width, columns);
        let least = self.numbers.iter().sum::<i32>() + self.name.min(self.sizes.px(240.0));
        if columns > tables || wide < least {
            return None;
        }
        let stacks = self.stacks(wide, columns);
        stacks.iter().map(|stack| self.stacked(stack)).max()
    }

    fn stacked(&self, stack: &[Placed<'_>]) -> i32 {
        let gaps = i32::try_from(stack.len().saturating_sub(1)).unwrap_or(0);
        stack.iter().map(|table| table.height).sum::<i32>() + gaps * self.between()
    }

    fn between(&self) -> i32 {
        self.sizes.px(36.0)
    }

    fn title(&self) -> i32 {
        self.sizes.name().leading() + self.sizes.px(8.0)
    }

    fn row(&self, lines: usize) -> i32 {
        let lines = i32::try_from(lines).unwrap_or(1).max(1);
        lines * self.sizes.note().leading() + self.sizes.px(8.0)
    }

    /// The tables, in order, in columns about as high as each other.
    fn stacks(&self, wide: i32, columns: i32) -> Vec<Vec<Placed<'_>>> {
        let room = (wide - self.numbers.iter().sum::<i32>()).max(1) as f32;
        let mut tables: Vec<Placed<'_>> = Vec::new();
        for (title, rows) in &self.measured.groups {
            let rows: Vec<_> = rows
                .iter()
                .map(|(name, row)| {
                    let style = self.sizes.note();
                    (fitted(name, style, room, usize::MAX), row)
                })
                .collect();
            let height = rows
                .iter()
                .map(|(name, _)| self.row(name.len()))
                .sum::<i32>();
            tables.push(Placed {
                title,
                rows,
                height: height + self.title(),
            });
        }
        let columns = usize::try_from(columns).unwrap_or(1).max(1);
        // Where each column begins: of all ways to split, the lowest.
        let count = tables.len();
        let mut best: (i32, Vec<usize>) = (i32::MAX, Vec::new());
        let mut split: Vec<usize> = (0..columns).collect();
        loop {
            let ends = split.iter().skip(1).copied().chain([count]);
            let high = split
                .iter()
                .zip(ends)
                .map(|(&from, to)| self.stacked(tables.get(from..to).unwrap_or_default()));
            let high = high.max().unwrap_or(0);
            if high < best.0 {
                best = (high, split.clone());
            }
            // The next way, the first column always beginning with the first table.
            let Some(at) = (1..columns)
                .rev()
                .find(|&at| split[at] + columns - at < count)
            else {
                break;
            };
            split[at] += 1;
            for later in at + 1..columns {
                split[later] = split[later - 1] + 1;
            }
        }
        let mut stacks: Vec<Vec<Placed<'_>>> = Vec::new();
        for (at, table) in tables.into_iter().enumerate() {
            match stacks.last_mut() {
                Some(stack) if !best.1.contains(&at) => stack.push(table),
                _ => stacks.push(vec![table]),
            }
        }
        stacks
    }

    /// Puts them on a page.
    pub fn set(&self, page: &mut Page, colours: Colours, area: Area, columns: i32) {
        let wide = self.table(area.w, columns);
        let mut x = area.x;
        for stack in self.stacks(wide, columns) {
            let mut y = area.y;
            for table in stack {
                self.begin(page, colours, table.title, [x, y, wide]);
                y += self.title();
                for (name, row) in table.rows {
                    self.put(page, colours, &name, row, [x, y, wide]);
                    y += self.row(name.len());
                }
                y += self.between();
            }
            x += wide + self.gap();
        }
    }

    /// On pages of their own, one below the other.
    pub fn pages(&self, single: &mut Single) {
        let inner = single.inner;
        let mut y = i32::MAX;
        for stack in self.stacks(inner.w, 1) {
            for table in stack {
                let mut begun = false;
                for (name, row) in table.rows {
                    let high = self.row(name.len());
                    let needed = high + if begun { 0 } else { self.title() };
                    if y > inner.bottom() - needed {
                        single.turn();
                        y = inner.y;
                        begun = false;
                    }
                    if !begun {
                        let place = [inner.x, y, inner.w];
                        self.begin(&mut single.page, single.colours, table.title, place);
                        y += self.title();
                        begun = true;
                    }
                    let place = [inner.x, y, inner.w];
                    self.put(&mut single.page, single.colours, &name, row, place);
                    y += high;
                }
                y += self.between();
            }
        }
    }

    /// Where the columns of numbers end.
    fn ends(&self, x: i32, wide: i32) -> [i32; 4] {
        let mut end = x + wide;
        let mut ends = [0; 4];
        for at in (0..4).rev() {
            ends[at] = end;
            end -= self.numbers[at];
        }
        ends
    }

    fn begin(&self, page: &mut Page, colours: Colours, title: &str, [x, y, wide]: [i32; 3]) {
        let sizes = self.sizes;
        page.write(title, sizes.name(), colours.text, [x, y]);
        let level = y + sizes.name().leading() - sizes.caption().leading();
        for (at, end) in self.ends(x, wide).into_iter().enumerate() {
            let caption = match &self.measured.unit {
                Some(unit) if at == 3 => unit,
                _ => CAPTIONS[at],
            };
            if self.numbers[at] > 0 {
                write_right(page, caption, sizes.caption(), colours.quiet, [end, level]);
            }
        }
    }

    fn put(
        &self,
        page: &mut Page,
        colours: Colours,
        name: &[String],
        row: &[String; 4],
        [x, y, wide]: [i32; 3],
    ) {
        let style = self.sizes.note();
        let rule = Area {
            x,
            y,
            w: wide,
            h: self.sizes.hairline(),
        };
        page.fill(rule, colours.rule);
        let top = y + self.sizes.px(4.0);
        for (at, line) in name.iter().enumerate() {
            let down = i32::try_from(at).unwrap_or(0) * style.leading();
            page.write(line, style, colours.text, [x, top + down]);
        }
        for (value, end) in row.iter().zip(self.ends(x, wide)) {
            if !value.is_empty() {
                write_right(page, value, style, colours.text, [end, top]);
            }
        }
    }
}
