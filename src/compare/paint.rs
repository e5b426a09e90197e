//! The picture of a difference.

use super::pixels::{Pixel, PixelComparison};
use crate::draw::Picture;

const PAPER: [f64; 3] = [244.0, 242.0, 237.0];
const LITTLE: [f64; 3] = [240.0, 160.0, 40.0];
const MUCH: [f64; 3] = [190.0, 10.0, 60.0];
const CLOSE: [f64; 3] = [120.0, 170.0, 190.0];
const FRAME: [f64; 3] = [30.0, 80.0, 150.0];
/// The colour difference that is shown as much, CIEDE2000.
const STRONG: f64 = 40.0;
/// Between changed pixels and their frame, pixels.
const AIR: u32 = 3;

/// The new picture paled, changed pixels in colour over it (the stronger the more), pixels within the
/// tolerance in a quiet one, and a frame about each region. Opaque RGBA.
#[must_use]
pub fn difference(after: &Picture, found: &PixelComparison, frames: usize) -> Picture {
    let mut rgba = Vec::with_capacity(after.rgba.len());
    for (at, p) in after.rgba.chunks_exact(4).enumerate() {
        let alpha = f64::from(p[3]) / 255.0;
        let luma = 0.299 * f64::from(p[0]) + 0.587 * f64::from(p[1]) + 0.114 * f64::from(p[2]);
        let paled = PAPER.map(|paper| {
            let over = luma * alpha + paper * (1.0 - alpha);
            over * 0.3 + paper * 0.7
        });
        let colour = match found.pixels.get(at).copied().unwrap_or(Pixel::Same) {
            Pixel::Same => paled,
            Pixel::Close => mixed(paled, CLOSE, 0.6),
            Pixel::Changed => {
                let much = (f64::from(found.differences.get(at).copied().unwrap_or(0.0)) / STRONG)
                    .min(1.0);
                mixed(LITTLE, MUCH, much)
            }
        };
        rgba.extend(colour.map(byte));
        rgba.push(255);
    }
    let mut out = Picture {
        width: after.width,
        height: after.height,
        rgba,
    };
    for ([left, top, right, bottom], _) in found.regions.iter().take(frames) {
        let (l, t) = (left.saturating_sub(AIR), top.saturating_sub(AIR));
        let (r, b) = (
            (right + AIR).min(out.width) - 1,
            (bottom + AIR).min(out.height) - 1,
        );
        for x in l..=r {
            set(&mut out, x, t);
            set(&mut out, x, b);
        }
        for y in t..=b {
            set(&mut out, l, y);
            set(&mut out, r, y);
        }
    }
    out
}

fn set(picture: &mut Picture, x: u32, y: u32) {
    let at = (y as usize * picture.width as usize + x as usize) * 4;
    if let Some(rgb) = picture.rgba.get_mut(at..at + 3) {
        rgb.copy_from_slice(&FRAME.map(byte));
    }
}

fn mixed(a: [f64; 3], b: [f64; 3], much: f64) -> [f64; 3] {
    std::array::from_fn(|c| a[c] * (1.0 - much) + b[c] * much)
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to a byte"
)]
fn byte(v: f64) -> u8 {
    libm::round(v).clamp(0.0, 255.0) as u8
}
