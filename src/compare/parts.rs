//! By part: what became of each.

use std::collections::BTreeMap;

use super::pixels::Pixel;
use super::shot::{Shot, alike, distance, number};
use super::{Change, PartChange};
use crate::art::{Rgb, difference};
use crate::geom::Affine;

/// Moves below this are none, pixels.
const STILL: f64 = 0.01;

/// What comes near, pixels.
const NEAR: usize = 3;

/// What became of each part that owned or owns a changed pixel.
///
/// A pixel belongs to the part that covers most of it, so that the last sliver of a change may be a
/// neighbour's alone: where no part changed by itself, those that did and come near are added.
#[must_use]
pub fn by_part(before: &Shot<'_>, after: &Shot<'_>, pixels: &[Pixel]) -> Vec<PartChange> {
    let mut out = within(before, after, pixels, 0);
    if !out.iter().any(is_own) {
        let mut near = within(before, after, pixels, NEAR);
        near.retain(|p| is_own(p) && out.iter().all(|o| o.part != p.part));
        for part in &mut near {
            part.pixels = 0;
        }
        near.append(&mut out);
        out = near;
    }
    out
}

fn within(before: &Shot<'_>, after: &Shot<'_>, pixels: &[Pixel], near: usize) -> Vec<PartChange> {
    let width = before.pose.width.max(1) as usize;
    let height = pixels.len() / width;
    let mut counts: BTreeMap<&str, u64> = BTreeMap::new();
    let mut swaps: BTreeMap<(&str, &str), u64> = BTreeMap::new();
    for at in pixels
        .iter()
        .enumerate()
        .filter(|(_, p)| **p == Pixel::Changed)
        .flat_map(|(at, _)| {
            let (x, y) = (at % width, at / width);
            let rows = y.saturating_sub(near)..=(y + near).min(height - 1);
            rows.flat_map(move |y| {
                let columns = x.saturating_sub(near)..=(x + near).min(width - 1);
                columns.map(move |x| y * width + x)
            })
        })
    {
        let (then, now) = (before.owner(at), after.owner(at));
        if let Some(part) = then {
            *counts.entry(part).or_default() += 1;
        }
        if let Some(part) = now
            && then != now
        {
            *counts.entry(part).or_default() += 1;
        }
        if let (Some(then), Some(now)) = (then, now)
            && then != now
        {
            *swaps.entry((then, now)).or_default() += 1;
        }
    }
    let (ranks_then, ranks_now) = (before.ranks(), after.ranks());
    let mut out: Vec<PartChange> = Vec::new();
    for (&part, &count) in &counts {
        let mut changes = Vec::new();
        let (had, has) = (before.pixels(part), after.pixels(part));
        let (drew, draws) = (before.drawing(part), after.drawing(part));
        if had == 0 {
            changes.push(Change::Appeared);
        } else if has == 0 {
            changes.push(Change::Vanished);
        }
        if drew != draws {
            if had > 0 && has > 0 {
                changes.push(Change::Replaced {
                    from: drew.map(str::to_owned),
                    to: draws.map(str::to_owned),
                });
            }
        } else if let Some(drawing) = drew
            && before.rig.drawings.get(drawing).map(|d| &d.outlines)
                != after.rig.drawings.get(drawing).map(|d| &d.outlines)
        {
            changes.push(Change::Redrawn {
                drawing: drawing.to_owned(),
            });
        }
        changes.extend(moved(before, after, part));
        if drew == draws {
            changes.extend(recoloured(before, after, part));
        }
        // The neighbour with most changed pixels tells most about a change of order.
        let flips = swaps.iter().filter_map(|(&(then, now), &n)| {
            let other = match (then == part, now == part) {
                (true, _) => now,
                (_, true) => then,
                _ => return None,
            };
            let rank =
                |ranks: &BTreeMap<&str, usize>| Some(ranks.get(part)?.cmp(ranks.get(other)?));
            let (was, is) = (rank(&ranks_then)?, rank(&ranks_now)?);
            (was != is).then_some((n, other, is.is_gt()))
        });
        if let Some((_, other, in_front)) = flips.max_by_key(|(n, other, _)| (*n, *other)) {
            changes.push(Change::Reordered {
                other: other.to_owned(),
                in_front,
            });
        }
        if changes.is_empty() {
            changes.push(Change::Uncovered {
                pixels: i64::try_from(has).unwrap_or(0) - i64::try_from(had).unwrap_or(0),
            });
        }
        out.push(PartChange {
            part: part.to_owned(),
            text: words(&changes),
            changes,
            pixels: count,
            area: after.area(part).or_else(|| before.area(part)),
        });
    }
    // What a part carries along counts as its own.
    let mut weights: BTreeMap<String, u64> = BTreeMap::new();
    for change in &out {
        *weights.entry(change.part.clone()).or_default() += change.pixels;
        for one in &change.changes {
            if let Change::Moved { with: Some(by), .. } = one {
                *weights.entry(by.clone()).or_default() += change.pixels;
            }
        }
    }
    out.sort_by(|a, b| {
        let secondary = |c: &PartChange| !is_own(c);
        (secondary(a).cmp(&secondary(b)))
            .then(weights[&b.part].cmp(&weights[&a.part]))
            .then(a.part.cmp(&b.part))
    });
    out
}

/// True when the part changed by itself, and was not only carried, covered or uncovered.
#[must_use]
pub fn is_own(change: &PartChange) -> bool {
    change.changes.iter().any(|c| {
        !matches!(
            c,
            Change::Uncovered { .. } | Change::Moved { with: Some(_), .. }
        )
    })
}

fn moved(before: &Shot<'_>, after: &Shot<'_>, part: &str) -> Option<Change> {
    let (then, now) = (before.art_world(part), after.art_world(part));
    if alike(&then, &now) {
        return None;
    }
    let scale = after.pose.scale;
    // From the old picture to the new one, pixels; a part that was not seen is followed backwards.
    let (way, area, back) = match (before.area(part), after.area(part)) {
        (Some(area), _) => (now.after(then.inverse()?), area, false),
        (None, Some(area)) => (then.after(now.inverse()?), area, true),
        (None, None) => return None,
    };
    let [x, y] = after.pose.origin.map(f64::from);
    let [l, t, r, b] = area.map(f64::from);
    let [l, t, r, b] = [l - x, t - y, r - x, b - y].map(|v| v / scale);
    let gone = |p: [f64; 2]| {
        let q = way.apply(p);
        let d = [(q[0] - p[0]) * scale, (q[1] - p[1]) * scale];
        if back { d.map(|v| -v) } else { d }
    };
    let by = gone([(l + r) / 2.0, (t + b) / 2.0]);
    let corners = [[l, t], [r, t], [r, b], [l, b]];
    let most = corners
        .map(|p| distance(gone(p), [0.0, 0.0]))
        .into_iter()
        .fold(0.0, f64::max);
    if most < STILL {
        return None;
    }
    let angle = |m: &Affine| libm::atan2(m.b, m.a).to_degrees();
    let mut turned = angle(&now) - angle(&then);
    if turned > 180.0 {
        turned -= 360.0;
    } else if turned <= -180.0 {
        turned += 360.0;
    }
    if then.determinant() * now.determinant() < 0.0 {
        turned = 0.0;
    }
    let ratio = (now.determinant() / then.determinant()).abs();
    let scaled = libm::sqrt(ratio);
    Some(Change::Moved {
        by: by.map(rounded),
        most: rounded(most),
        turned: rounded(turned),
        scaled: rounded(scaled),
        with: carrier(before, after, part),
    })
}

/// Thousandths are enough, and the same on every machine.
fn rounded(v: f64) -> f64 {
    let r = libm::round(v * 1000.0) / 1000.0;
    if r == 0.0 { 0.0 } else { r }
}

/// The ancestor that moved by itself, where the part did not.
fn carrier(before: &Shot<'_>, after: &Shot<'_>, part: &str) -> Option<String> {
    let parent = |shot: &Shot<'_>, part: &str| shot.rig.parts.get(part)?.parent.clone();
    let place = |shot: &Shot<'_>| shot.rig.parts.get(part).and_then(|p| p.place);
    let still = |part: &str| {
        alike(&before.set(part), &after.set(part)) && parent(before, part) == parent(after, part)
    };
    if !still(part) || place(before) != place(after) {
        return None;
    }
    let mut carriers = after.rig.upwards(part).skip(1);
    carriers.find(|at| !still(at)).map(str::to_owned)
}

/// The first colour of the part that is another now; of several the one that differs most.
fn recoloured(before: &Shot<'_>, after: &Shot<'_>, part: &str) -> Option<Change> {
    let (then, now) = (before.colours(part), after.colours(part));
    if then.len() != now.len() {
        return None;
    }
    let mut worst: Option<(f64, Rgb, Rgb)> = None;
    for (a, b) in then.iter().zip(&now) {
        for (a, b) in a.split(' ').zip(b.split(' ')) {
            if a == b {
                continue;
            }
            if let (Some(a), Some(b)) = (Rgb::parse(a), Rgb::parse(b)) {
                let difference = difference(a, b);
                if worst.is_none_or(|(most, ..)| difference > most) {
                    worst = Some((difference, a, b));
                }
            }
        }
    }
    worst.map(|(difference, from, to)| Change::Recoloured {
        from: from.to_string(),
        to: to.to_string(),
        difference: rounded(difference),
    })
}

/// Changes for people.
fn words(changes: &[Change]) -> String {
    let one = |change: &Change| match change {
        Change::Moved {
            by,
            most,
            turned,
            scaled,
            with,
        } => {
            let mut text = way(*by, *most);
            if turned.abs() >= 0.05 {
                text = format!("{text}, turned {}°", number(*turned));
            }
            if (scaled - 1.0).abs() >= 0.002 {
                text = format!("{text}, scaled to {} %", number(scaled * 100.0));
            }
            match with {
                Some(with) => format!("{text}, with {with}"),
                None => text,
            }
        }
        Change::Recoloured {
            from,
            to,
            difference,
        } => format!("recoloured {from} to {to} (ΔE {})", number(*difference)),
        Change::Redrawn { drawing } => format!("redrawn ({drawing})"),
        Change::Replaced { from, to } => {
            let name = |d: &Option<String>| d.clone().unwrap_or_else(|| "nothing".to_owned());
            format!("shows {} in place of {}", name(to), name(from))
        }
        Change::Appeared => "appeared".to_owned(),
        Change::Vanished => "vanished".to_owned(),
        Change::Reordered { other, in_front } => {
            let side = if *in_front { "in front of" } else { "behind" };
            format!("now {side} {other}")
        }
        Change::Uncovered { pixels } => match pixels {
            0 => "cut elsewhere by its neighbours".to_owned(),
            1.. => format!("uncovered by {pixels} px"),
            _ => format!("covered by {} px", pixels.unsigned_abs()),
        },
    };
    changes.iter().map(one).collect::<Vec<_>>().join("; ")
}

/// `moved 3 px right and 2 px down`.
fn way([x, y]: [f64; 2], most: f64) -> String {
    let mut steps = Vec::new();
    if x.abs() >= 0.05 {
        let side = if x > 0.0 { "right" } else { "left" };
        steps.push(format!("{} px {side}", number(x.abs())));
    }
    if y.abs() >= 0.05 {
        let side = if y > 0.0 { "down" } else { "up" };
        steps.push(format!("{} px {side}", number(y.abs())));
    }
    if steps.is_empty() {
        format!("moved up to {} px", number(most))
    } else {
        format!("moved {}", steps.join(" and "))
    }
}
