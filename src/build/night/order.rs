//! The order in which units are done.

use std::collections::BTreeMap;

use super::plan::Night;

/// The order to do units in: views whose heaviest unit is heavy come first, and in each the heavy
/// first. So the last units are light ones, and few views are at work at a time.
#[must_use]
pub fn heavy_first(night: &Night, units: &[usize]) -> Vec<usize> {
    let mut heaviest: BTreeMap<usize, f64> = BTreeMap::new();
    for &at in units {
        let unit = &night.units[at];
        let most = heaviest.entry(night.model(unit)).or_insert(0.0);
        *most = most.max(unit.guess);
    }
    let mut order = units.to_vec();
    let rank = |at: usize| {
        let unit = &night.units[at];
        let model = night.model(unit);
        (heaviest[&model], model, unit.guess)
    };
    order.sort_by(|&a, &b| {
        let ((heavy_a, model_a, guess_a), (heavy_b, model_b, guess_b)) = (rank(a), rank(b));
        heavy_b
            .total_cmp(&heavy_a)
            .then(model_a.cmp(&model_b))
            .then(guess_b.total_cmp(&guess_a))
            .then(a.cmp(&b))
    });
    order
}
