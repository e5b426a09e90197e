//! What carries what: from how the drawing nests, else from what riggers call the parts, else from what covers what.

use super::overlap::{Overlaps, gap};
use super::part::{Decided, Part, Sure};
use super::trade::{Sort, about, along, stem, trade};
use super::words::Words;

/// Parts further apart than this share of the figure do not hold each other.
const APART: f64 = 0.02;
/// What is in one folder belongs together as much as this much more in common.
const FOLDER: f64 = 0.35;
/// What is of one side, likewise.
const SIDE: f64 = 0.25;
/// What lies next in the drawing, likewise.
const NEXT: f64 = 0.02;
/// What lies on a larger part belongs to it as much as this much more in common, for each time that it is twice as large,
const ON_LARGE: f64 = 0.02;
/// and at most so.
const MOST_LARGE: f64 = 0.14;
/// What lies on a body has so much of itself on it.
const LIES: f64 = 0.25;
/// What only lies on others does not carry them, likewise.
const FEATURE: f64 = 0.4;

/// Decides what carries each part; the root has nothing.
pub fn link(parts: &mut [Part], overlaps: &Overlaps, size: f64) {
    nested(parts);
    for k in 0..parts.len() {
        // What a name is about is nowhere else: it is that itself, of a figure with a name.
        if let Some(trade) = about(&parts[k].words)
            && !parts
                .iter()
                .any(|p| p.is(trade.name) && p.words.fits(&parts[k].words))
        {
            parts[k].trade = Some(trade);
        }
    }
    chains(parts, overlaps, size);
    named(parts, overlaps, size);
    let Some(root) = root(parts) else { return };
    parts[root].parent = None;
    grow(parts, overlaps, root, size);
    between(parts, overlaps);
}

fn is_worn(part: &Part) -> bool {
    part.trade.is_some_and(|t| t.sort == Sort::Garment)
}

/// A hand that is carried by a forearm on a rod between the two: by the rod.
fn between(parts: &mut [Part], overlaps: &Overlaps) {
    for k in 0..parts.len() {
        let Some(on) = parts[k]
            .parent
            .as_ref()
            .filter(|p| p.sure < Sure::Certain)
            .map(|p| p.value)
        else {
            continue;
        };
        let named = parts[k].trade.is_some_and(|t| t.sort == Sort::Limb);
        let rod = (0..parts.len()).find(|&j| {
            let part = &parts[j];
            j != k
                && named
                && part.trade.is_none()
                && about(&part.words).is_none()
                && part.shown.area < parts[on].shown.area
                && part.parent.as_ref().is_some_and(|p| p.value == on)
                && overlaps.area(j, on) > 0.0
                && overlaps.area(j, k) > overlaps.area(k, on)
                && part.words.side == parts[k].words.side
                && !carries(parts, k, j)
        });
        let upper = parts[on].parent.as_ref().map(|p| p.value);
        if let Some(upper) = upper
            && is_worn(&parts[k])
            && parts[k]
                .parent
                .as_ref()
                .is_some_and(|p| p.why.starts_with("it overlaps"))
            && parts[upper].words.side == parts[k].words.side
            && 2.0 * overlaps.area(k, upper) > overlaps.area(k, on)
        {
            let why = format!("it lies on {} and on {}", parts[upper].name, parts[on].name);
            parts[k].parent = Some(Decided::new(upper, Sure::Likely, why));
            continue;
        }
        // A drum with its crank on it, both on a column: not the drum on the crank.
        let grown = |k: usize| {
            parts[k]
                .parent
                .as_ref()
                .is_some_and(|p| p.why.starts_with("it overlaps"))
        };
        if let Some(upper) = upper
            && grown(k)
            && grown(on)
            && 2.0 * parts[on].shown.area < parts[k].shown.area
            && overlaps.area(k, upper) > 0.3 * parts[k].shown.area
        {
            let why = |name: &str| format!("it overlaps {name}, and is the smaller");
            parts[k].parent = Some(Decided::new(upper, Sure::Guess, why(&parts[upper].name)));
            parts[on].parent = Some(Decided::new(k, Sure::Guess, why(&parts[k].name)));
            continue;
        }
        if let Some(j) = rod {
            let why = format!("{} lies between it and {}", parts[j].name, parts[on].name);
            parts[k].parent = Some(Decided::new(j, Sure::Likely, why));
        }
    }
}

fn nested(parts: &mut [Part]) {
    let names: Vec<String> = parts.iter().map(|p| p.name.clone()).collect();
    for part in parts {
        if let Some(inside) = part.inside {
            let why = format!("it is drawn inside {}", names[inside]);
            part.parent = Some(Decided::new(inside, Sure::Certain, why));
        }
    }
}

/// Whether `by` is a part or carries it.
fn carries(parts: &[Part], by: usize, part: usize) -> bool {
    let up = |k: &usize| parts[*k].parent.as_ref().map(|p| p.value);
    std::iter::successors(Some(part), up)
        .take(parts.len() + 1)
        .any(|k| k == by)
}

fn touch(parts: &[Part], overlaps: &Overlaps, a: usize, b: usize, size: f64) -> bool {
    overlaps.area(a, b) > 0.0
        || gap(&parts[a].shown.silhouette, &parts[b].shown.silhouette) < APART * size
}

fn trade_free(part: &Part) -> bool {
    part.trade
        .is_none_or(|t| matches!(t.name, "tail" | "hair" | "horn" | "finger"))
}

/// Pieces of a tail, links of a chain.
fn chains(parts: &mut [Part], overlaps: &Overlaps, size: f64) {
    for k in 0..parts.len() {
        let Some(at) = along(&parts[k].words).filter(|_| parts[k].parent.is_none()) else {
            continue;
        };
        let own = &parts[k];
        // Legs 1, 2, 3 stand side by side; links and pieces of a tail go on from each other.
        let numbered = own.words.number.is_some() && stem(&own.words).len() == own.words.base.len();
        let before = (0..parts.len())
            .filter(|&j| {
                let other = &parts[j].words;
                j != k
                    && stem(other) == stem(&own.words)
                    && !stem(other).is_empty()
                    && (other.side, other.pair) == (own.words.side, own.words.pair)
                    && parts[j].trade == own.trade
                    && along(other).is_some_and(|a| a < at)
                    && (numbered || other.number == own.words.number)
                    && (trade_free(own) || !numbered)
            })
            .max_by_key(|&j| along(&parts[j].words));
        if let Some(j) = before
            && touch(parts, overlaps, j, k, size)
            && !carries(parts, k, j)
        {
            let why = format!(
                "it goes on from {} by its name, and they meet",
                parts[j].name
            );
            parts[k].parent = Some(Decided::new(j, Sure::Likely, why));
        }
    }
}

/// The part whose name a name begins with: of a `cap_band` the `cap`.
fn owner(parts: &[Part], k: usize) -> Option<usize> {
    let words = &parts[k].words;
    (0..parts.len())
        .filter(|&j| {
            let other = &parts[j].words;
            let rest = words.base.strip_prefix(other.base.as_slice());
            let rest = rest.filter(|rest| !rest.is_empty());
            let own = rest.is_some_and(|rest| {
                let rest = Words {
                    base: rest.to_vec(),
                    ..Words::default()
                };
                !stem(&rest).is_empty() && !matches!(rest.base[0].as_str(), "back" | "front")
            });
            // A `cuff_rolled` is a cuff as the other is, and no part of that.
            let same = parts[j].trade.is_some()
                && trade(words) == parts[j].trade
                && parts[j].trade.is_some_and(|t| t.sort == Sort::Garment);
            // An arm with a pincer is no part of that, though it is called a pincer arm.
            let turned = parts[k]
                .trade
                .zip(parts[j].trade)
                .is_some_and(|(own, of)| of.on.contains(&own.name));
            j != k && own && !same && !turned && words.fits(other) && other.number.is_none()
        })
        .max_by_key(|&j| parts[j].words.base.len())
}

fn named(parts: &mut [Part], overlaps: &Overlaps, size: f64) {
    for k in 0..parts.len() {
        if parts[k].parent.is_some() {
            continue;
        }
        if let Some(j) = owner(parts, k).filter(|&j| !carries(parts, k, j)) {
            if !is_worn(&parts[j]) {
                let why = format!("its name says that it is of {}", parts[j].name);
                parts[k].parent = Some(Decided::new(j, Sure::Likely, why));
                continue;
            }
            // What is worn is drawn on its hosts and carries nothing: they share what carries them.
            let of = parts[j].trade;
            let wears = parts[j].parent.as_ref().map(|p| p.value);
            if let Some(on) = wears.or_else(|| of.and_then(|t| carrier(parts, overlaps, j, t.on))) {
                let why = format!(
                    "its name says that it is of {}, which {} wears",
                    parts[j].name, parts[on].name
                );
                parts[k].parent = Some(Decided::new(on, Sure::Likely, why));
                continue;
            }
        }
        if let Some(j) = subject(parts, overlaps, k) {
            let why = format!("its name is about {}, and it lies on it", parts[j].name);
            parts[k].parent = Some(Decided::new(j, Sure::Likely, why));
            continue;
        }
        let Some(trade) = parts[k].trade else {
            continue;
        };
        let body = |k: usize| {
            // A shell is a body where nothing is called so.
            let needs = trade.on.iter().any(|on| super::trade::BODY.contains(on));
            let largest = (0..parts.len())
                .max_by(|&a, &b| parts[a].shown.area.total_cmp(&parts[b].shown.area))?;
            let is_body = needs
                && parts[largest].trade.is_none()
                && largest != k
                && overlaps.area(k, largest) > 0.0;
            (is_body && !carries(parts, k, largest)).then_some(largest)
        };
        let carried = carrier(parts, overlaps, k, trade.on).or_else(|| body(k));
        let Some(j) = carried else {
            continue;
        };
        if let Some(on) = under(parts, overlaps, k, j) {
            let (own, far) = (&parts[on].name, &parts[j].name);
            let why = format!("it lies on {own}, and behind {far}");
            parts[k].parent = Some(Decided::new(on, Sure::Likely, why));
            continue;
        }
        let (sure, far) = if touch(parts, overlaps, j, k, size) {
            (Sure::Likely, "")
        } else {
            (Sure::Guess, ", but they do not meet")
        };
        let why = format!(
            "by its name a {} is carried by the {}{far}",
            trade.name, parts[j].name
        );
        parts[k].parent = Some(Decided::new(j, sure, why));
    }
}

/// What a feature lies on that is drawn behind what its name says: the collar of a column, not of the body over it.
fn under(parts: &[Part], overlaps: &Overlaps, k: usize, named: usize) -> Option<usize> {
    let hangs = |t: &super::trade::Trade| t.sort != Sort::Feature || t.name == "hair";
    if k > named || parts[k].trade.is_none_or(hangs) {
        return None;
    }
    let lies = |&j: &usize| {
        let limb = parts[j].trade.is_some_and(|t| t.sort == Sort::Limb);
        limb && overlaps.area(j, k) > overlaps.area(named, k).max(LIES * parts[k].shown.area)
    };
    let below = (0..k).filter(lies).filter(|&j| !carries(parts, k, j));
    below.max_by(|&a, &b| overlaps.area(a, k).total_cmp(&overlaps.area(b, k)))
}

/// What a name is about that is no part's name itself: of a `boss_shoulder` the upper arm, of a `bolt_boom` the boom.
fn subject(parts: &[Part], overlaps: &Overlaps, k: usize) -> Option<usize> {
    let words = &parts[k].words;
    if parts[k].trade.is_some() {
        return None;
    }
    let about = about(words);
    (0..parts.len())
        .filter(|&j| {
            let other = &parts[j];
            let of_sort = about.is_some_and(|t| other.is(t.name));
            let of_name = words
                .base
                .windows(other.words.base.len())
                .skip(1)
                .any(|w| w == other.words.base);
            j != k
                && (of_sort || of_name)
                && words.fits(&other.words)
                && overlaps.area(j, k) > 0.0
                && !carries(parts, k, j)
        })
        .max_by(|&a, &b| {
            overlaps
                .area(k, a)
                .total_cmp(&overlaps.area(k, b))
                .then(a.cmp(&b))
        })
}

/// The part of the first sort that there is, of the same side and limb.
fn carrier(parts: &[Part], overlaps: &Overlaps, k: usize, on: &[&str]) -> Option<usize> {
    let words = &parts[k].words;
    let on_body = on == super::trade::BODY && parts[k].trade.is_some_and(|t| t.sort != Sort::Limb);
    if on_body {
        // A body in several pieces: what it lies on most.
        let bodies =
            (0..parts.len()).filter(|&j| j != k && on.iter().any(|sort| parts[j].is(sort)));
        let most = bodies
            .filter(|&j| overlaps.area(j, k) > 0.0 && !carries(parts, k, j))
            .max_by(|&a, &b| {
                overlaps
                    .area(k, a)
                    .total_cmp(&overlaps.area(k, b))
                    .then(b.cmp(&a))
            });
        let other = (0..parts.len())
            .filter(|&j| j != k && parts[j].trade.is_none_or(|t| t.sort == Sort::Limb));
        let more = other.map(|j| overlaps.area(j, k)).fold(0.0, f64::max);
        return most
            .filter(|&j| overlaps.share(parts, j, k) > LIES || more < 2.0 * overlaps.area(j, k));
    }
    on.iter().find_map(|sort| {
        (0..parts.len())
            .filter(|&j| {
                j != k && parts[j].is(sort) && words.fits(&parts[j].words) && !carries(parts, k, j)
            })
            .max_by(|&a, &b| {
                let rank = |j: usize| {
                    let other = &parts[j].words;
                    let same = usize::from(other.side == words.side)
                        + usize::from(other.number == words.number);
                    let folder = usize::from(parts[j].around == parts[k].around);
                    // A piece of a chain is carried by its end.
                    let end = along(other).unwrap_or(0);
                    (
                        same,
                        folder,
                        overlaps.area(k, j) > 0.0,
                        std::cmp::Reverse(end),
                    )
                };
                let by_rank = rank(a).cmp(&rank(b));
                by_rank
                    .then(overlaps.area(k, a).total_cmp(&overlaps.area(k, b)))
                    .then(b.cmp(&a))
            })
    })
}

/// What nothing carries: the body as riggers call it, else the largest.
fn root(parts: &[Part]) -> Option<usize> {
    let free = |k: &usize| parts[*k].parent.is_none() && !parts[*k].rigid;
    let all = || (0..parts.len()).filter(free);
    let body = ["pelvis", "base", "torso", "abdomen", "chest"];
    let named = body
        .iter()
        .find_map(|sort| all().find(|&k| parts[k].is(sort)));
    let largest = |a: &usize, b: &usize| {
        let size = |k: usize| {
            // What carries others already counts with them.
            let carried = (0..parts.len()).filter(|&j| carries(parts, k, j));
            carried.map(|j| parts[j].shown.area).sum::<f64>()
        };
        size(*a).total_cmp(&size(*b)).then(b.cmp(a))
    };
    named.or_else(|| all().max_by(largest))
}

/// The rest by what they cover: the strongest ties first, then outwards from the root.
fn grow(parts: &mut [Part], overlaps: &Overlaps, root: usize, size: f64) {
    let n = parts.len();
    let top = |parts: &[Part], k: usize| {
        let up = |k: &usize| parts[*k].parent.as_ref().map(|p| p.value);
        std::iter::successors(Some(k), up)
            .take(n + 1)
            .last()
            .unwrap_or(k)
    };
    let tree: Vec<usize> = (0..n).map(|k| top(parts, k)).collect();
    let is_top = |k: usize| tree[k] == k;
    let mut ties: Vec<(f64, usize, usize)> = Vec::new();
    for a in 0..n {
        for b in a + 1..n {
            if tree[a] != tree[b] && (is_top(a) || is_top(b)) {
                ties.push((tie(parts, overlaps, a, b, size), a, b));
            }
        }
    }
    ties.sort_by(|x, y| y.0.total_cmp(&x.0).then((x.1, x.2).cmp(&(y.1, y.2))));
    let mut set: Vec<usize> = tree.clone();
    let mut joined: Vec<(f64, usize, usize)> = Vec::new();
    for (by, a, b) in ties {
        let (x, y) = (set[tree[a]], set[tree[b]]);
        if x != y {
            set.iter_mut().filter(|s| **s == y).for_each(|s| *s = x);
            joined.push((by, a, b));
        }
    }
    let mut done = vec![false; n];
    done[tree[root]] = true;
    loop {
        let next = joined
            .iter()
            .position(|(_, a, b)| done[tree[*a]] != done[tree[*b]]);
        let Some(at) = next else { break };
        let (by, a, b) = joined.remove(at);
        let (on, new) = if done[tree[a]] { (a, b) } else { (b, a) };
        let new = tree[new];
        done[new] = true;
        let shared = overlaps.area(new, on) > 0.0;
        let (sure, why) = if !shared {
            (
                Sure::Guess,
                format!("{} is what lies nearest", parts[on].name),
            )
        } else if by > FOLDER + SIDE {
            (
                Sure::Likely,
                format!("it overlaps {} more than others", parts[on].name),
            )
        } else {
            (Sure::Guess, format!("it overlaps {}", parts[on].name))
        };
        parts[new].parent = Some(Decided::new(on, sure, why));
    }
}

/// How strongly two parts belong together.
fn tie(parts: &[Part], overlaps: &Overlaps, a: usize, b: usize, size: f64) -> f64 {
    let (p, q) = (&parts[a], &parts[b]);
    let share = overlaps.share(parts, a, b);
    let mut by = if share > 0.0 {
        // More than a joint needs says no more.
        share.min(0.6)
    } else {
        -1.0 - gap(&p.shown.silhouette, &q.shown.silhouette) / size
    };
    let depth = p
        .around
        .iter()
        .zip(&q.around)
        .take_while(|(x, y)| x == y)
        .count();
    if depth > 0 && depth == p.around.len().max(q.around.len()) {
        by += FOLDER;
    } else if depth > 0 {
        by += FOLDER / 2.0;
    }
    if p.words.side.is_some() && q.words.side.is_some() {
        by += if p.words.side == q.words.side {
            SIDE
        } else {
            -SIDE
        };
    }
    if a.abs_diff(b) == 1 {
        by += NEXT;
    }
    let lies = |part: &Part| {
        part.trade.is_some_and(|t| t.sort != Sort::Limb) || about(&part.words).is_some()
    };
    let (less, more) = if p.shown.area < q.shown.area {
        (p, q)
    } else {
        (q, p)
    };
    if lies(less) && (lies(more) || more.trade.is_none()) {
        by -= FEATURE;
    }
    if is_worn(p) || is_worn(q) {
        by -= FEATURE;
    }
    if share > 0.6 && !lies(less) {
        let times = more.shown.area / less.shown.area.max(f64::MIN_POSITIVE);
        let largest = parts.iter().map(|p| p.shown.area).fold(0.0, f64::max);
        let of_all = more.shown.area / largest.max(f64::MIN_POSITIVE);
        by += (ON_LARGE * libm::log2(times)).min(MOST_LARGE)
            + ON_LARGE * libm::log2(of_all).max(-5.0);
    }
    by
}
