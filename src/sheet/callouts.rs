//! Labels beside a figure with lines to what they speak of.

use super::layout::Area;
use super::page::{Page, Shape, Stroke};
use crate::art::Rgb;
use crate::text::{self, Style};

/// Something to be said of a point.
#[derive(Clone, Debug, PartialEq)]
pub struct Callout {
    /// What is said.
    pub text: String,
    /// Of which point, page pixels.
    pub at: [f64; 2],
}

/// A callout with its place.
#[derive(Clone, Debug, PartialEq)]
pub struct PlacedCallout {
    /// Lines of the label.
    pub lines: Vec<String>,
    /// The label.
    pub area: Area,
    /// From the label to the point.
    pub leader: [[f64; 2]; 2],
}

/// Puts boxes of these heights one below the other between `top` and `bottom`, in order, each as
/// near as may be to where its middle is wanted. Gives their tops. Where there is too little room,
/// the last stand below `bottom`.
#[must_use]
pub fn spread(wanted: &[i32], heights: &[i32], gap: i32, [top, bottom]: [i32; 2]) -> Vec<i32> {
    let mut tops: Vec<i32> = Vec::with_capacity(wanted.len());
    let mut free = top;
    for (middle, height) in wanted.iter().zip(heights) {
        let y = (middle - height / 2).max(free);
        tops.push(y);
        free = y + height + gap;
    }
    let mut limit = bottom;
    for (y, height) in tops.iter_mut().zip(heights).rev() {
        *y = (*y).min(limit - height);
        limit = *y - gap;
    }
    // Too many: from the top down, none over another.
    let mut free = top;
    for (y, height) in tops.iter_mut().zip(heights) {
        *y = (*y).max(free);
        free = *y + height + gap;
    }
    tops
}

/// As [`spread`], none over one of some level lines, where there is room for that.
#[must_use]
pub fn spread_between(
    wanted: &[i32],
    heights: &[i32],
    gap: i32,
    [top, bottom]: [i32; 2],
    lines: &[f64],
) -> Vec<i32> {
    let margin = f64::from(gap) * 0.25;
    let over = |y: i32, height: i32| {
        let (from, to) = (f64::from(y) - margin, f64::from(y + height) + margin);
        lines
            .iter()
            .copied()
            .find(|line| *line > from && *line < to)
    };
    // The nearest free place on one side of the one that is wanted.
    #[expect(clippy::cast_possible_truncation, reason = "within a page")]
    let slid = |mut y: i32, height: i32, down: bool| {
        while let Some(line) = over(y, height) {
            y = if down {
                libm::ceil(line + margin) as i32
            } else {
                libm::floor(line - margin) as i32 - height
            };
        }
        y
    };
    let mut tops: Vec<i32> = Vec::with_capacity(wanted.len());
    let mut free = top;
    for (middle, &height) in wanted.iter().zip(heights) {
        let y = (middle - height / 2).max(free);
        let (above, below) = (slid(y, height, false), slid(y, height, true));
        let y = if above >= free && y - above <= below - y {
            above
        } else {
            below
        };
        tops.push(y);
        free = y + height + gap;
    }
    let mut limit = bottom;
    for (y, &height) in tops.iter_mut().zip(heights).rev() {
        if *y + height > limit {
            *y = slid(limit - height, height, false);
        }
        limit = *y - gap;
    }
    match tops.first() {
        Some(&first) if first < top => spread(wanted, heights, gap, [top, bottom]),
        _ => tops,
    }
}

/// Places callouts in a column on each side. No label meets another, no line crosses a label that
/// stands in its column, and no two lines of one side cross. Labels keep off the level `lines` where
/// there is room.
#[must_use]
pub fn place(
    callouts: &[Callout],
    columns: [Area; 2],
    style: Style,
    lines: &[f64],
) -> Vec<PlacedCallout> {
    let mut order: Vec<&Callout> = callouts.iter().collect();
    order.sort_by(|a, b| a.at[0].total_cmp(&b.at[0]));
    let middle = f64::from(columns[0].right() + columns[1].x) * 0.5;
    let nearer = order.iter().filter(|c| c.at[0] < middle).count();
    // Not all on one side, however the points lie.
    let least = order.len() / 3;
    let split = nearer.clamp(least, order.len() - least);
    let (left, right) = order.split_at(split);
    let mut placed = side(left, columns[0], true, style, lines);
    placed.extend(side(right, columns[1], false, style, lines));
    placed
}

fn side(
    callouts: &[&Callout],
    column: Area,
    on_left: bool,
    style: Style,
    lines: &[f64],
) -> Vec<PlacedCallout> {
    let mut order: Vec<&Callout> = callouts.to_vec();
    order.sort_by(|a, b| a.at[1].total_cmp(&b.at[1]));
    // Each exchange of two crossing neighbours shortens the lines together, so this ends; the bound
    // is for ties.
    for _ in 0..order.len() * order.len() {
        let placed = stacked(&order, column, on_left, style, lines);
        let crossing = (1..placed.len()).find(|&k| {
            let (a, b) = (placed[k - 1].leader, placed[k].leader);
            cross(a, b)
        });
        match crossing {
            Some(k) => order.swap(k - 1, k),
            None => return placed,
        }
    }
    stacked(&order, column, on_left, style, lines)
}

#[expect(clippy::cast_possible_truncation, reason = "within a page")]
fn stacked(
    order: &[&Callout],
    column: Area,
    on_left: bool,
    style: Style,
    levels: &[f64],
) -> Vec<PlacedCallout> {
    let limit = column.w.max(1) as f32;
    let lines: Vec<Vec<String>> = order
        .iter()
        .map(|c| text::wrap(&c.text, style, limit, usize::MAX))
        .collect();
    let heights: Vec<i32> = lines
        .iter()
        .map(|lines| style.leading() * i32::try_from(lines.len()).unwrap_or(1))
        .collect();
    let wanted: Vec<i32> = order.iter().map(|c| c.at[1] as i32).collect();
    let gap = style.leading() * 3 / 4;
    let tops = spread_between(&wanted, &heights, gap, [column.y, column.bottom()], levels);
    order
        .iter()
        .zip(lines)
        .zip(tops.iter().zip(&heights))
        .map(|((callout, lines), (&y, &h))| {
            let wide = lines
                .iter()
                .map(|line| text::width(line, style).ceil() as i32)
                .max()
                .unwrap_or(0);
            let x = if on_left {
                column.right() - wide
            } else {
                column.x
            };
            let area = Area { x, y, w: wide, h };
            let away = f64::from(style.leading()) * 0.35;
            let from = if on_left {
                f64::from(column.right()) + away
            } else {
                f64::from(column.x) - away
            };
            let level = f64::from(y) + f64::from(h) * 0.5;
            PlacedCallout {
                lines,
                area,
                leader: [[from, level], callout.at],
            }
        })
        .collect()
}

/// True where two stretches cross.
#[must_use]
pub fn cross(one: [[f64; 2]; 2], other: [[f64; 2]; 2]) -> bool {
    let turn = |a: [f64; 2], b: [f64; 2], c: [f64; 2]| {
        (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
    };
    let [a, b] = one;
    let [c, d] = other;
    turn(a, b, c) * turn(a, b, d) < 0.0 && turn(c, d, a) * turn(c, d, b) < 0.0
}

/// Adds a callout to a page: its words, its line and a dot at the point.
pub fn set(
    page: &mut Page,
    callout: &PlacedCallout,
    style: Style,
    [colour, halo]: [Rgb; 2],
    width: f64,
) {
    // Over dark art and light art the line is seen by its light edge.
    for (colour, width) in [(halo, width * 3.0), (colour, width)] {
        let stroke = Stroke {
            colour,
            width,
            dash: None,
        };
        page.line(callout.leader.to_vec(), stroke);
    }
    let [x, y] = callout.leader[1];
    for (colour, radius) in [(halo, width * 4.6), (colour, width * 3.2)] {
        let points = (0..16)
            .map(|step| {
                let (sin, cos) = crate::geom::sin_cos_degrees(f64::from(step) * 22.5);
                [x + radius * cos, y + radius * sin]
            })
            .collect();
        page.items.push(super::page::Item::Shape(Shape {
            points,
            closed: true,
            fill: Some(colour),
            stroke: None,
        }));
    }
    let mut top = callout.area.y;
    for line in &callout.lines {
        page.write(line, style, colour, [callout.area.x, top]);
        top += style.leading();
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn labels_stand_between_lines_where_there_is_room() {
        let lines = [100.0, 200.0, 300.0];
        let tops = spread_between(&[110, 195, 290], &[40, 40, 80], 12, [0, 400], &lines);
        for (top, height) in tops.iter().zip([40, 40, 80]) {
            let crossed = lines
                .iter()
                .any(|&y| y > f64::from(*top) && y < f64::from(top + height));
            assert!(!crossed, "{tops:?}");
        }
        // No room between: as without lines.
        let crowded: Vec<f64> = (0..40).map(|at| f64::from(at) * 10.0).collect();
        let wanted = ([110, 195], [40, 40]);
        assert_eq!(
            spread_between(&wanted.0, &wanted.1, 12, [0, 240], &crowded),
            spread(&wanted.0, &wanted.1, 12, [0, 240])
        );
    }

    proptest! {
        #[test]
        fn labels_keep_apart_and_lines_cross_nothing(
            points in prop::collection::vec((320.0..680.0_f64, 0.0..900.0_f64), 0..9),
            words in prop::collection::vec("[a-z]{1,9}( [a-z]{1,9}){0,5}", 9),
            lines in prop::collection::vec(0.0..1400.0_f64, 0..9),
        ) {
            let callouts: Vec<Callout> = points
                .iter()
                .zip(&words)
                .map(|(&(x, y), text)| Callout { text: text.clone(), at: [x, y] })
                .collect();
            let left = Area { x: 0, y: 0, w: 300, h: 1400 };
            let right = Area { x: 700, ..left };
            let placed = place(&callouts, [left, right], Style::regular(20.0), &lines);
            prop_assert_eq!(placed.len(), callouts.len());
            for (k, one) in placed.iter().enumerate() {
                prop_assert!(left.holds(one.area) || right.holds(one.area), "{:?}", one.area);
                for other in &placed[k + 1..] {
                    prop_assert!(!one.area.meets(other.area));
                    let same = (one.area.x < 500) == (other.area.x < 500);
                    prop_assert!(!same || !cross(one.leader, other.leader));
                }
                let low = one.leader[0][0].min(one.leader[1][0]);
                let high = one.leader[0][0].max(one.leader[1][0]);
                prop_assert!(low > 300.0 && high < 700.0, "lines stay between the columns");
            }
        }
    }
}
