//! Words for what a joint does over its limits: the same in every command.

use crate::check::{Range, Sample};

/// A value below this is not told, % of the limb's width.
const LEAST: f64 = 0.5;

/// The turns within which a joint is safe.
pub(super) fn safe(range: &Range) -> String {
    range.safe.map_or_else(|| "nowhere".to_owned(), span)
}

/// Two angles.
pub(super) fn span([a, b]: [f64; 2]) -> String {
    format!("{} to {}", tenths(a), tenths(b))
}

/// What is measured at worst, and at which turn.
pub(super) fn worst(sample: Sample) -> String {
    if sample.value < LEAST {
        "-".to_owned()
    } else {
        format!("{:.0} % at {}", sample.value, tenths(sample.angle))
    }
}

/// A turn, degrees.
pub(super) fn tenths(angle: f64) -> String {
    format!("{}", libm::round(angle * 10.0) / 10.0 + 0.0)
}
