//! How different two colours look.

use palette::color_difference::Ciede2000 as _;
use palette::white_point::D65;
use palette::{IntoColor as _, Lab, Srgb};

use super::types::Rgb;

/// CIEDE2000 between two colours of CIE L*a*b*, D65. About 1 is just seen side by side.
#[must_use]
pub fn ciede2000(a: [f64; 3], b: [f64; 3]) -> f64 {
    let lab = |[l, a, b]: [f64; 3]| Lab::<D65, f64>::new(l, a, b);
    lab(a).difference(lab(b))
}

/// A colour as CIE L*a*b*, D65.
#[must_use]
pub fn lab(Rgb(c): Rgb) -> [f64; 3] {
    let lab: Lab<D65, f64> = Srgb::from(c).into_format::<f64>().into_color();
    [lab.l, lab.a, lab.b]
}

/// CIEDE2000 between two colours.
#[must_use]
pub fn difference(a: Rgb, b: Rgb) -> f64 {
    ciede2000(lab(a), lab(b))
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
}
