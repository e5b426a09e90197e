//! Source over what is there: premultiplied sRGB, 8 bit, rounded to nearest once.

use super::coverage::mul;
use crate::art::Rgb;

/// One colour, with alpha, over a stretch of pixels.
#[inline]
pub(super) fn solid(pixels: &mut [u8], rgb: Rgb, alpha: u8) {
    let [r, g, b] = rgb.0;
    if alpha == 255 {
        for px in pixels.chunks_exact_mut(4) {
            px.copy_from_slice(&[r, g, b, 255]);
        }
        return;
    }
    if alpha == 0 {
        return;
    }
    let keep = 255 - u32::from(alpha);
    let add = [r, g, b, 255].map(|c| u32::from(c) * u32::from(alpha) + 128);
    for px in pixels.chunks_exact_mut(4) {
        for (d, a) in px.iter_mut().zip(add) {
            let t = a + u32::from(*d) * keep;
            *d = ((t + (t >> 8)) >> 8) as u8;
        }
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
