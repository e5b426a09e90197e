//! Poses over each other.

use crate::art::Rgb;
use crate::cast::Pose;
use crate::sheet::{Cell, Shown, Tint};

/// Poses over each other that can still be told apart.
pub(super) const OVERLAID: usize = 10;

/// Poses over each other in tints that go from cold to warm.
pub(super) fn overlay(
    name: String,
    poses: &[(&Pose, usize)],
    called: &dyn Fn(&Pose) -> String,
) -> Cell {
    let mut cell = Cell {
        name,
        ..Cell::default()
    };
    for (at, &(pose, job)) in poses.iter().enumerate() {
        let dark = along(at as f64 / (poses.len() - 1).max(1) as f64);
        let light = Rgb(dark.0.map(|v| 255 - (255 - v) / 6));
        cell.figures.push(Shown {
            figure: job,
            tint: Some(Tint { dark, light }),
            opacity: 0.5,
        });
        cell.key.push((dark, called(pose)));
    }
    cell
}

/// A colour of a scale from blue over green and amber to red.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped"
)]
fn along(t: f64) -> Rgb {
    const STOPS: [[f64; 3]; 4] = [
        [36.0, 80.0, 176.0],
        [22.0, 128.0, 98.0],
        [190.0, 122.0, 14.0],
        [176.0, 44.0, 40.0],
    ];
    let at = t.clamp(0.0, 1.0) * (STOPS.len() - 1) as f64;
    let from = (at as usize).min(STOPS.len() - 2);
    let share = at - from as f64;
    let mut rgb = [0; 3];
    for (k, v) in rgb.iter_mut().enumerate() {
        let mixed = STOPS[from][k] * (1.0 - share) + STOPS[from + 1][k] * share;
        *v = libm::round(mixed).clamp(0.0, 255.0) as u8;
    }
    Rgb(rgb)
}
