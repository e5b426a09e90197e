//! How different two colours look.

use crate::art::{Rgb, ciede2000, lab};

/// CIEDE2000 between two pixels of straight RGBA: the larger of what is seen over white and over
/// black.
#[must_use]
pub fn pixel_difference(a: [u8; 4], b: [u8; 4]) -> f64 {
    if a == b {
        return 0.0;
    }
    let over = |ground: u8| ciede2000(lab(laid_over(a, ground)), lab(laid_over(b, ground)));
    if a[3] == 255 && b[3] == 255 {
        return over(255);
    }
    over(255).max(over(0))
}

/// A pixel over a grey ground.
fn laid_over([r, g, b, alpha]: [u8; 4], ground: u8) -> Rgb {
    let alpha = u32::from(alpha);
    Rgb([r, g, b].map(|c| {
        let sum = u32::from(c) * alpha + u32::from(ground) * (255 - alpha);
        u8::try_from((sum + 127) / 255).unwrap_or(255)
    }))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_seen_counts_over_dark_and_light() {
        assert_eq!(pixel_difference([1, 2, 3, 255], [1, 2, 3, 255]), 0.0);
        // White that fades shows on black only, black on white only; both show.
        assert!(pixel_difference([255, 255, 255, 255], [0; 4]) > 90.0);
        assert!(pixel_difference([0, 0, 0, 255], [0; 4]) > 90.0);
    }
}
