//! How different two colours look.

use palette::color_difference::Ciede2000 as _;
use palette::{IntoColor as _, Lab, Srgb};

/// CIEDE2000 between two colours of CIE L*a*b*, D65.
#[must_use]
pub fn ciede2000(a: [f64; 3], b: [f64; 3]) -> f64 {
    let lab = |[l, a, b]: [f64; 3]| Lab::<palette::white_point::D65, f64>::new(l, a, b);
    lab(a).difference(lab(b))
}

/// sRGB, 8 bits, as CIE L*a*b*, D65.
#[must_use]
pub fn lab([r, g, b]: [u8; 3]) -> [f64; 3] {
    let lab: Lab<palette::white_point::D65, f64> = Srgb::new(r, g, b)
        .into_format::<f64>()
        .into_linear()
        .into_color();
    [lab.l, lab.a, lab.b]
}

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
fn laid_over([r, g, b, alpha]: [u8; 4], ground: u8) -> [u8; 3] {
    let alpha = u32::from(alpha);
    [r, g, b].map(|c| {
        let sum = u32::from(c) * alpha + u32::from(ground) * (255 - alpha);
        u8::try_from((sum + 127) / 255).unwrap_or(255)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// G. Sharma, W. Wu, E. N. Dalal, Color Research & Application 30(1), 2005, Table 1: all 34 pairs.
    #[test]
    fn all_published_pairs_come_out() {
        let table = include_str!("../../tests/reference/ciede2000.csv");
        let rows = table.lines().filter(|l| !l.starts_with('#')).skip(1);
        let mut count = 0;
        for row in rows {
            let v: Vec<f64> = row.split(',').map(|x| x.parse().unwrap()).collect();
            let (a, b) = ([v[1], v[2], v[3]], [v[4], v[5], v[6]]);
            assert!(
                (ciede2000(a, b) - v[7]).abs() < 1e-4,
                "{row}: {}",
                ciede2000(a, b)
            );
            assert!(
                (ciede2000(a, b) - v[8]).abs() < 1e-6,
                "{row}: {}",
                ciede2000(a, b)
            );
            assert!((ciede2000(b, a) - v[7]).abs() < 1e-4, "{row} turned round");
            count += 1;
        }
        assert_eq!(count, 34);
    }

    #[test]
    fn what_is_seen_counts_over_dark_and_light() {
        assert_eq!(pixel_difference([1, 2, 3, 255], [1, 2, 3, 255]), 0.0);
        // White that fades shows on black only, black on white only; both show.
        assert!(pixel_difference([255, 255, 255, 255], [0; 4]) > 90.0);
        assert!(pixel_difference([0, 0, 0, 255], [0; 4]) > 90.0);
    }
}
