//! Figures that go beyond their canvas.

use super::finding::{Finding, around};
use super::limb::Rest;
use super::listed::ListedPose;
use crate::cast::Measure;
use crate::solve::{Figure, Outside};

/// Pixels to the unit that outlines are looked at for: the same whatever the size of a picture.
pub(crate) const FINE: f64 = 8.0;
/// What outlines flattened so may be off by, units.
pub(crate) const SLIP: f64 = 0.02;

/// What is found of a pose that goes beyond the canvas.
pub(super) fn check(rest: &Rest<'_>, listed: &ListedPose<'_>, figure: &Figure) -> Option<Finding> {
    let member = &rest.model().member;
    // The picture follows the figure there.
    if member.grow {
        return None;
    }
    let [width, height] = member.canvas;
    let parts = figure.beyond([0.0, 0.0, width, height], SLIP, FINE);
    let (out, (severity, limit)) = parts.iter().find_map(|out| {
        let judged = rest.judge(out.part, Measure::CutOff, out.most())?;
        Some((out, judged))
    })?;
    let (order, name) = (listed.name(), rest.name(out.part));
    let [l, t, r, b] = out.bounds;
    let radius = libm::hypot(r - l, b - t) / 2.0;
    Some(Finding {
        measure: Measure::CutOff,
        severity,
        message: format!(
            "pose {order} goes beyond the canvas, {}; {name} goes furthest",
            words(&parts)
        ),
        hint: format!("move {name} in, or give the character a larger canvas"),
        parts: vec![name],
        turns: Vec::new(),
        order: Some(order),
        value: out.most(),
        limit,
        span: listed.written.span,
        place: Some(around([(l + r) / 2.0, (t + b) / 2.0], radius.max(8.0))),
        pose: listed.pose.clone(),
    })
}

/// How far parts go out together, each side: `by 12.5 units at the left and 3 at the top`.
pub(crate) fn words(parts: &[Outside]) -> String {
    let mut all: Vec<String> = Vec::new();
    for (k, side) in ["left", "top", "right", "bottom"].into_iter().enumerate() {
        let by = parts.iter().map(|out| out.sides[k]).fold(0.0, f64::max);
        if by > 0.0 {
            let by = digits(by);
            let unit = match all.is_empty() {
                true if by == 1.0 => " unit",
                true => " units",
                false => "",
            };
            all.push(format!("{by}{unit} at the {side}"));
        }
    }
    format!("by {}", all.join(" and "))
}

/// One digit after the point; two where that would be nothing.
fn digits(v: f64) -> f64 {
    let places = if v < 0.1 { 100.0 } else { 10.0 };
    libm::round(v * places) / places
}
