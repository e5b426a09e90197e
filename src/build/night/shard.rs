//! One night on several machines: the same split on each of them.

use std::collections::BTreeMap;

use super::plan::Night;

/// One of several shares of a night.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Shard {
    /// Which, from 1.
    pub number: usize,
    /// Of how many.
    pub of: usize,
}

impl Shard {
    /// The whole night.
    pub const WHOLE: Self = Self { number: 1, of: 1 };

    /// What its files are called.
    #[must_use]
    pub fn name(self) -> String {
        format!("{}of{}", self.number, self.of)
    }
}

/// Pieces to a share, at least: the more, the better shares balance, and the more views are prepared
/// more than once.
const PIECES: f64 = 4.0;

/// Gives each unit to a shard, from 0, so that all have about the same to do. It follows from the
/// units and their costs alone. Units of one view stay together as far as that allows: each shard
/// prepares the views that it draws.
#[must_use]
pub fn split(night: &Night, costs: &[f64], shards: usize) -> Vec<usize> {
    let total: f64 = costs.iter().sum();
    let most = (total / (shards as f64 * PIECES)).max(f64::MIN_POSITIVE);
    let mut models: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (at, unit) in night.units.iter().enumerate() {
        models.entry(night.model(unit)).or_default().push(at);
    }
    let mut pieces: Vec<(f64, Vec<usize>)> = Vec::new();
    for units in models.into_values() {
        let mut piece = (0.0, Vec::new());
        for at in units {
            if !piece.1.is_empty() && piece.0 + costs[at] > most {
                pieces.push(std::mem::take(&mut piece));
            }
            piece.0 += costs[at];
            piece.1.push(at);
        }
        pieces.push(piece);
    }
    // The heaviest first, each to the shard that has least to do so far.
    pieces.sort_by(|(a, x), (b, y)| b.total_cmp(a).then(x.cmp(y)));
    let mut loads = vec![0.0_f64; shards];
    let mut shares = vec![0; night.units.len()];
    for (cost, units) in pieces {
        let least = (0..shards)
            .min_by(|&a, &b| loads[a].total_cmp(&loads[b]).then(a.cmp(&b)))
            .unwrap_or(0);
        loads[least] += cost;
        for at in units {
            shares[at] = least;
        }
    }
    shares
}
