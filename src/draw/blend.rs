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

/// One channel over another: `c alpha + d (255 - alpha)`, over 255, rounded to nearest. At most
/// 255 * 255 + 128 and then 254 more: within 16 bits.
#[inline]
const fn channel(c: u16, d: u8, alpha: u16) -> u8 {
    let t = c * alpha + d as u16 * (255 - alpha) + 128;
    ((t + (t >> 8)) >> 8) as u8
}

/// One colour over a stretch of pixels, an alpha for each.
#[inline]
pub(super) fn soft(pixels: &mut [[u8; 4]], rgb: Rgb, alphas: &[u8]) {
    let [r, g, b] = rgb.0;
    let colour = [r, g, b, 255].map(u16::from);
    // Four pixels are sixteen equal steps, which compilers turn into a few wide ones.
    let wide: [u16; 16] = std::array::from_fn(|i| colour[i % 4]);
    let (fours, rest) = pixels.as_chunks_mut::<4>();
    let (four_alphas, rest_alphas) = alphas.as_chunks::<4>();
    for (four, alphas) in fours.iter_mut().zip(four_alphas) {
        let spread: [u16; 16] = std::array::from_fn(|i| u16::from(alphas[i / 4]));
        let under = four.as_flattened_mut();
        for ((d, c), alpha) in under.iter_mut().zip(wide).zip(spread) {
            *d = channel(c, *d, alpha);
        }
    }
    for (px, &alpha) in rest.iter_mut().zip(rest_alphas) {
        for (d, c) in px.iter_mut().zip(colour) {
            *d = channel(c, *d, u16::from(alpha));
        }
    }
}

/// A premultiplied pixel, faded by a coverage, over another.
#[inline]
pub(super) fn pixel(under: &mut [u8; 4], over: [u8; 4], cover: u8) {
    let faded = over.map(|c| mul(c, cover));
    let keep = 255 - faded[3];
    for (d, s) in under.iter_mut().zip(faded) {
        *d = s.saturating_add(mul(*d, keep));
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
                let mut soft_px = [before; 5];
                solid(&mut px, Rgb([c, 255 - c, c / 3]), alpha);
                soft(&mut soft_px, Rgb([c, 255 - c, c / 3]), &[alpha; 5]);
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
