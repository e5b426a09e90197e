//! Poses over each other.

use crate::art::Rgb;
use crate::cast::Pose;
use crate::sheet::{Cell, Shown, Tint};

/// Steps of a sweep over each other that can still be told apart.
pub(super) const STEPS: usize = 10;
/// Poses of a list over each other that can still be told apart; they have less in common.
pub(super) const POSES: usize = 4;

/// Grey, for what the others are compared with.
const STILL: Tint = Tint {
    dark: Rgb([62, 64, 70]),
    light: Rgb([246, 244, 240]),
};

/// Poses over each other in tints that go from cold to warm. The one that turns least, where they are
/// steps of a `sweep`, lies over all others in grey, so that what does not move stays calm.
pub(super) fn overlay(
    name: String,
    poses: &[(&Pose, usize)],
    called: &dyn Fn(&Pose) -> String,
    sweep: bool,
) -> Cell {
    let mut cell = Cell {
        name,
        ..Cell::default()
    };
    let turned = |pose: &Pose| pose.turn.iter().map(|said| said.value.abs()).sum::<f64>();
    let still = (0..poses.len())
        .filter(|_| sweep)
        .min_by(|&a, &b| turned(poses[a].0).total_cmp(&turned(poses[b].0)));
    let mut over = None;
    for (at, &(pose, job)) in poses.iter().enumerate() {
        let dark = along(at as f64 / (poses.len() - 1).max(1) as f64);
        if still == Some(at) {
            over = Some(Shown {
                figure: job,
                tint: Some(STILL),
                opacity: 0.72,
            });
            cell.key.push((STILL.dark, called(pose)));
            continue;
        }
        let light = Rgb(dark.0.map(|v| 255 - (255 - v) / 6));
        cell.figures.push(Shown {
            figure: job,
            tint: Some(Tint { dark, light }),
            opacity: if sweep { 0.6 } else { 0.5 },
        });
        cell.key.push((dark, called(pose)));
    }
    cell.figures.extend(over);
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
