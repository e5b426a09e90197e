//! Source over what is there: premultiplied sRGB, 8 bit, rounded to nearest once.

use super::coverage::mul;
use crate::art::Rgb;

/// One colour, with alpha, over a stretch of pixels.
#[inline]
pub(super) fn solid(pixels: &mut [[u8; 4]], rgb: Rgb, alpha: u8) {
    let [r, g, b] = rgb.0;
    if alpha == 255 {
        pixels.fill([r, g, b, 255]);
        return;
    }
    let keep = 255 - u32::from(alpha);
    // Two channels to a word: a product and its rounding stay within 16 bits.
    let pair = |low: u8, high: u8| {
        (u32::from(low) | u32::from(high) << 16) * u32::from(alpha) + 0x0080_0080
    };
    let (add_rb, add_ga) = (pair(r, b), pair(g, 255));
    let share = |channels: u32, add: u32| {
        let t = channels * keep + add;
        (t + (t >> 8 & 0x00ff_00ff)) >> 8 & 0x00ff_00ff
    };
    for px in pixels {
        let v = u32::from_le_bytes(*px);
        let rb = share(v & 0x00ff_00ff, add_rb);
        let ga = share(v >> 8 & 0x00ff_00ff, add_ga);
        *px = (rb | ga << 8).to_le_bytes();
    }
}

/// Premultiplied pixels, faded by a coverage, over a stretch of pixels.
#[inline]
pub(super) fn pixels(under: &mut [u8], over: &[u8], cover: u8) {
    for (d, s) in under.chunks_exact_mut(4).zip(over.chunks_exact(4)) {
        let faded = [
            mul(s[0], cover),
            mul(s[1], cover),
            mul(s[2], cover),
            mul(s[3], cover),
        ];
        let keep = 255 - faded[3];
        for (d, s) in d.iter_mut().zip(faded) {
            *d = s.saturating_add(mul(*d, keep));
        }
    }
}

/// A colour part of the way to another.
#[inline]
pub(super) fn between(from: Rgb, to: Rgb, share: u8) -> Rgb {
    match share {
        0 => from,
        255 => to,
        _ => {
            let mut out = [0; 3];
            for ((o, f), t) in out.iter_mut().zip(from.0).zip(to.0) {
                let v =
                    u32::from(f) * (255 - u32::from(share)) + u32::from(t) * u32::from(share) + 128;
                *o = ((v + (v >> 8)) >> 8) as u8;
            }
            Rgb(out)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_rounding_for_every_colour_and_alpha() {
        for alpha in 0..=255_u8 {
            for (c, d) in (0..=255_u8)
                .step_by(5)
                .flat_map(|c| (0..=255_u8).step_by(3).map(move |d| (c, d)))
            {
                let before = [d, 255 - d, d / 2, d];
                let mut px = [before];
                solid(&mut px, Rgb([c, 255 - c, c / 3]), alpha);
                for (k, s) in [c, 255 - c, c / 3, 255].into_iter().enumerate() {
                    let exact = f64::from(s) * f64::from(alpha) / 255.0
                        + f64::from(before[k]) * (255.0 - f64::from(alpha)) / 255.0;
                    assert!(
                        (f64::from(px[0][k]) - exact).abs() <= 0.5 + 1e-9,
                        "{c} {d} {alpha}"
                    );
                }
            }
        }
    }
}
