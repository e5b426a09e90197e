//! What carries what.

use crate::diag::quoted;

/// The parts that each part carries, found without recursion however long the chains are.
#[derive(Clone, Debug)]
pub(super) struct Tree {
    /// When a walk through the tree enters each part, and when it has left all that it carries.
    visits: Vec<[u32; 2]>,
}

impl Tree {
    /// From each part's parent; the links must not form loops.
    pub fn new(parents: &[Option<usize>]) -> Self {
        let mut children = vec![Vec::new(); parents.len()];
        let mut open = Vec::new();
        for (at, parent) in parents.iter().enumerate().rev() {
            match parent {
                Some(parent) => children[*parent].push(at),
                None => open.push(at),
            }
        }
        let mut visits = vec![[0, 0]; parents.len()];
        let mut clock = 0;
        let mut left = vec![false; parents.len()];
        while let Some(&at) = open.last() {
            if left[at] {
                open.pop();
                visits[at][1] = clock;
            } else {
                left[at] = true;
                clock += 1;
                visits[at][0] = clock;
                open.append(&mut children[at]);
            }
        }
        Self { visits }
    }

    /// True if `upper` carries `lower`, directly or not.
    pub fn carries(&self, upper: usize, lower: usize) -> bool {
        let ([enter, leave], [at, _]) = (self.visits[upper], self.visits[lower]);
        enter < at && at <= leave
    }
}

/// The loops among links of which each item has at most one, each from its first item on.
pub(super) fn loops(next: &[Option<usize>]) -> Vec<Vec<usize>> {
    // Which walk came by each item; walks that end, or run into an earlier one, close no loop.
    let mut walks: Vec<Option<usize>> = vec![None; next.len()];
    let mut found = Vec::new();
    for start in 0..next.len() {
        let mut here = Some(start);
        while let Some(at) = here {
            if walks[at].is_some() {
                break;
            }
            walks[at] = Some(start);
            here = next[at];
        }
        let Some(again) = here.filter(|&at| walks[at] == Some(start)) else {
            continue;
        };
        let mut ring = vec![again];
        let mut here = next[again];
        while let Some(at) = here.filter(|&at| at != again) {
            ring.push(at);
            here = next[at];
        }
        let first = (0..ring.len()).min_by_key(|&i| ring[i]).unwrap_or(0);
        ring.rotate_left(first);
        found.push(ring);
    }
    found
}

/// A loop in words: `a -> b -> a`; a long one is cut.
pub(super) fn in_words<'a>(names: &(impl ExactSizeIterator<Item = &'a str> + Clone)) -> String {
    const MOST: usize = 8;
    let first = names.clone().next().unwrap_or_default();
    let mut words: Vec<String> = names.clone().take(MOST).map(shown).collect();
    if names.len() > MOST {
        words.push(format!("... {} more ...", names.len() - MOST));
    }
    words.push(shown(first));
    words.join(" -> ")
}

fn shown(name: &str) -> String {
    let quoted = quoted(name);
    quoted[1..quoted.len() - 1].to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_part_carries_its_children_and_theirs() {
        // 0 <- 1 <- 2, 0 <- 3, 4
        let tree = Tree::new(&[None, Some(0), Some(1), Some(0), None]);
        let all = |upper: usize| {
            (0..5)
                .filter(|&lower| tree.carries(upper, lower))
                .collect::<Vec<_>>()
        };
        assert_eq!(all(0), [1, 2, 3]);
        assert_eq!(all(1), [2]);
        assert_eq!(all(3), [0; 0]);
        assert_eq!(all(4), [0; 0]);
    }

    #[test]
    fn children_may_be_declared_before_their_parents() {
        let tree = Tree::new(&[Some(2), None, Some(1)]);
        assert!(tree.carries(1, 0) && tree.carries(2, 0) && !tree.carries(0, 2));
    }

    #[test]
    fn a_chain_of_a_million_is_no_trouble() {
        let parents: Vec<_> = (0..1_000_000_usize).map(|n| n.checked_sub(1)).collect();
        assert!(Tree::new(&parents).carries(0, 999_999));
        assert!(loops(&parents).is_empty());
    }

    #[test]
    fn loops_are_found_once_from_their_first_item() {
        assert_eq!(loops(&[Some(0)]), [[0]]);
        assert_eq!(loops(&[Some(1), Some(0)]), [[0, 1]]);
        // Two items lead into a loop of three; another loop stands apart.
        let links = [
            Some(3),
            Some(0),
            None,
            Some(5),
            Some(3),
            Some(4),
            Some(7),
            Some(6),
        ];
        assert_eq!(loops(&links), [vec![3, 5, 4], vec![6, 7]]);
    }

    #[test]
    fn loops_read_like_a_way_around() {
        assert_eq!(in_words(&["a", "b"].into_iter()), "a -> b -> a");
        let many: Vec<String> = (0..10).map(|n| format!("p{n}")).collect();
        assert_eq!(
            in_words(&many.iter().map(String::as_str)),
            "p0 -> p1 -> p2 -> p3 -> p4 -> p5 -> p6 -> p7 -> ... 2 more ... -> p0"
        );
    }
}
