//! What is in front of what.
//!
//! A part's depth is the sum of its own and its ancestors' relative depths and offsets; equal sums
//! go by declaration order. On top of that a pose may put a part, with all it carries, just
//! behind or just in front of another. Those statements are constraints on blocks of parts: a
//! block is a part and what it carries, less what carries a statement of its own. All of them are
//! solved together; a loop of constraints has no order and is reported.

use super::DepthRule;
use crate::cast::{PartId, Side};

/// Where a part wants to stand. Compared item by item; what is missing counts as zero, so that a
/// block behind a part sorts right before it, and one in front right after.
type Want = Vec<(i8, i64, i64)>;

/// Back to front, or the statements that contradict each other, as indices in a loop.
///
/// `depths` are absolute; `parents[i]` is the carrier of part `i`.
pub(crate) fn order(
    depths: &[f64],
    parents: &[Option<PartId>],
    sides: &[DepthRule],
) -> Result<Vec<PartId>, Vec<usize>> {
    let n = depths.len();
    let mut base: Vec<usize> = (0..n).collect();
    base.sort_by(|&a, &b| depths[a].total_cmp(&depths[b]).then(a.cmp(&b)));
    let id = |i: usize| PartId::of(i);
    if sides.is_empty() {
        return Ok(base.into_iter().map(id).collect());
    }
    let mut rank = vec![0_usize; n];
    for (r, &i) in base.iter().enumerate() {
        rank[i] = r;
    }

    // The head of a part's block: the nearest of itself and its ancestors with a statement.
    let stated: Vec<bool> = (0..n)
        .map(|i| sides.iter().any(|s| s.part.at() == i))
        .collect();
    let head = |start: usize| -> Option<usize> {
        let mut at = Some(start);
        while let Some(i) = at {
            if stated[i] {
                return Some(i);
            }
            at = parents[i].map(PartId::at);
        }
        None
    };
    let heads: Vec<Option<usize>> = (0..n).map(head).collect();

    // Edges `behind -> in front`, each with the statement it comes from (or none, for the order
    // inside a block).
    let mut edges: Vec<Vec<(usize, Option<usize>)>> = vec![Vec::new(); n];
    for (k, s) in sides.iter().enumerate() {
        for member in (0..n).filter(|&i| heads[i] == Some(s.part.at())) {
            match s.side {
                Side::Behind => edges[member].push((s.of.at(), Some(k))),
                Side::InFront => edges[s.of.at()].push((member, Some(k))),
            }
        }
    }
    let mut last_of: std::collections::BTreeMap<usize, usize> = std::collections::BTreeMap::new();
    for &i in &base {
        if let Some(h) = heads[i] {
            if let Some(&before) = last_of.get(&h) {
                edges[before].push((i, None));
            }
            last_of.insert(h, i);
        }
    }
    if let Some(statements) = find_loop(&edges) {
        return Err(statements);
    }

    let wants: Vec<Want> = (0..n).map(|i| want(i, &heads, &rank, sides)).collect();
    let mut waiting = vec![0_usize; n];
    for list in &edges {
        for &(to, _) in list {
            waiting[to] += 1;
        }
    }
    let mut ready: Vec<usize> = (0..n).filter(|&i| waiting[i] == 0).collect();
    let mut out = Vec::with_capacity(n);
    while !ready.is_empty() {
        let at = (0..ready.len()).min_by(|&a, &b| compare(&wants[ready[a]], &wants[ready[b]]));
        let i = ready.swap_remove(at.unwrap_or(0));
        out.push(id(i));
        for &(to, _) in &edges[i] {
            waiting[to] -= 1;
            if waiting[to] == 0 {
                ready.push(to);
            }
        }
    }
    Ok(out)
}

#[expect(clippy::cast_possible_wrap, reason = "part counts are small")]
fn want(start: usize, heads: &[Option<usize>], rank: &[usize], sides: &[DepthRule]) -> Want {
    let mut tail: Vec<(i8, i64, i64)> = Vec::new();
    let mut at = start;
    let mut met: Vec<usize> = Vec::new();
    while let Some(h) = heads[at] {
        if met.contains(&h) {
            // Two blocks that stand by each other: no place to start from but the base order.
            break;
        }
        met.push(h);
        // With a statement on each side, the block stands just behind the front one.
        let Some(s) = sides
            .iter()
            .filter(|s| s.part.at() == h)
            .min_by_key(|s| s.side)
        else {
            break;
        };
        let side = if s.side == Side::Behind { -1 } else { 1 };
        tail.push((side, rank[h] as i64, rank[at] as i64));
        at = s.of.at();
    }
    tail.push((0, rank[at] as i64 + 1, 0));
    tail.reverse();
    tail
}

fn compare(a: &Want, b: &Want) -> std::cmp::Ordering {
    let none = (0, 0, 0);
    (0..a.len().max(b.len()))
        .map(|k| a.get(k).unwrap_or(&none).cmp(b.get(k).unwrap_or(&none)))
        .find(|o| o.is_ne())
        .unwrap_or(std::cmp::Ordering::Equal)
}

/// The statements along some loop of edges, each once, in order.
fn find_loop(edges: &[Vec<(usize, Option<usize>)>]) -> Option<Vec<usize>> {
    // 0 new, 1 on the way, 2 done.
    let mut state = vec![0_u8; edges.len()];
    for start in 0..edges.len() {
        if state[start] != 0 {
            continue;
        }
        let mut way: Vec<(usize, usize)> = vec![(start, 0)];
        state[start] = 1;
        while let Some(top) = way.last_mut() {
            let (node, next) = *top;
            let Some(&(to, _)) = edges[node].get(next) else {
                state[node] = 2;
                way.pop();
                continue;
            };
            top.1 += 1;
            match state[to] {
                0 => {
                    state[to] = 1;
                    way.push((to, 0));
                }
                1 => {
                    let from = way.iter().position(|&(i, _)| i == to)?;
                    let mut statements: Vec<usize> = Vec::new();
                    for &(i, taken) in &way[from..] {
                        if let Some(k) = edges[i][taken - 1].1
                            && !statements.contains(&k)
                        {
                            statements.push(k);
                        }
                    }
                    return Some(statements);
                }
                _ => {}
            }
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ids(order: &[PartId]) -> Vec<u32> {
        order.iter().map(|p| p.0).collect()
    }

    fn behind(part: u32, of: u32) -> DepthRule {
        DepthRule {
            part: PartId(part),
            side: Side::Behind,
            of: PartId(of),
        }
    }

    fn in_front(part: u32, of: u32) -> DepthRule {
        DepthRule {
            part: PartId(part),
            side: Side::InFront,
            of: PartId(of),
        }
    }

    // 0 torso, 1 head (on 0), 2 upper arm (on 0), 3 forearm (on 2), 4 hand (on 3), 5 hat (on 1)
    const PARENTS: [Option<PartId>; 6] = [
        None,
        Some(PartId(0)),
        Some(PartId(0)),
        Some(PartId(2)),
        Some(PartId(3)),
        Some(PartId(1)),
    ];

    #[test]
    fn sums_of_depth_sort_and_ties_go_by_declaration() {
        let depths = [0.0, 1.0, 0.0, 2.0, 2.0, 1.0];
        assert_eq!(
            ids(&order(&depths, &PARENTS, &[]).unwrap()),
            [0, 2, 1, 5, 3, 4]
        );
    }

    #[test]
    fn a_block_goes_just_behind_with_all_it_carries() {
        let depths = [0.0, 1.0, 2.0, 2.0, 2.0, 1.0];
        let got = order(&depths, &PARENTS, &[behind(3, 0)]).unwrap();
        assert_eq!(ids(&got), [3, 4, 0, 1, 5, 2]);
    }

    #[test]
    fn a_statement_about_a_carried_part_takes_it_out_of_the_block() {
        let depths = [0.0, 1.0, 2.0, 2.0, 2.0, 1.0];
        let got = order(&depths, &PARENTS, &[behind(3, 0), in_front(4, 5)]).unwrap();
        assert_eq!(ids(&got), [3, 0, 1, 5, 4, 2]);
    }

    #[test]
    fn blocks_may_stand_by_each_other() {
        let depths = [0.0, 1.0, 2.0, 2.0, 2.0, 1.0];
        // The arm behind the hat, the head (with its hat) in front of the hand: both hold.
        let got = order(&depths, &PARENTS, &[behind(2, 5), in_front(1, 4)]).unwrap();
        assert_eq!(ids(&got), [0, 2, 3, 4, 1, 5]);
    }

    #[test]
    fn contradictions_name_their_loop() {
        let depths = [0.0; 6];
        let sides = [behind(2, 1), behind(1, 0), behind(5, 0), in_front(2, 0)];
        let mut met = order(&depths, &PARENTS, &sides).unwrap_err();
        met.sort_unstable();
        assert_eq!(met, [0, 1, 3]);
    }

    proptest::proptest! {
        // Whatever is said, an order found satisfies every statement and holds every part once.
        #[test]
        fn found_orders_hold(
            depths in proptest::collection::vec(-3_i32..3, 12),
            raw in proptest::collection::vec((0_u32..12, 0_u32..12, proptest::bool::ANY), 0..5),
        ) {
            let parents: Vec<Option<PartId>> =
                (0..12_u32).map(|i| (i > 0).then(|| PartId((i - 1) / 2))).collect();
            let carries = |a: usize, mut b: usize| loop {
                if a == b { return true; }
                match parents[b] { Some(p) => b = p.at(), None => return false }
            };
            let mut sides: Vec<DepthRule> = Vec::new();
            for (part, of, back) in raw {
                let side = if back { Side::Behind } else { Side::InFront };
                let new = !sides.iter().any(|s| s.part.0 == part && s.side == side);
                if new && !carries(part as usize, of as usize) {
                    sides.push(DepthRule { part: PartId(part), side, of: PartId(of) });
                }
            }
            let depths: Vec<f64> = depths.into_iter().map(f64::from).collect();
            if let Ok(got) = order(&depths, &parents, &sides) {
                let mut place = [usize::MAX; 12];
                for (at, p) in got.iter().enumerate() { place[p.at()] = at; }
                proptest::prop_assert!(place.iter().all(|&p| p < 12));
                for s in &sides {
                    let own = |i: usize| {
                        let mut at = i;
                        loop {
                            if sides.iter().any(|t| t.part.at() == at) { return at == s.part.at(); }
                            match parents[at] { Some(p) => at = p.at(), None => return false }
                        }
                    };
                    for i in (0..12).filter(|&i| own(i)) {
                        match s.side {
                            Side::Behind => proptest::prop_assert!(place[i] < place[s.of.at()]),
                            Side::InFront => proptest::prop_assert!(place[i] > place[s.of.at()]),
                        }
                    }
                }
            }
        }
    }
}
