//! Colour difference by CIEDE2000.

use palette::color_difference::Ciede2000 as _;
use palette::white_point::D65;
use palette::{IntoColor as _, Lab, Srgb};

use crate::art::Rgb;

/// How different two colours look: CIEDE2000. About 1 is just seen side by side.
#[must_use]
pub fn difference(a: Rgb, b: Rgb) -> f64 {
    let lab = |Rgb(c): Rgb| -> Lab<D65, f64> {
        let colour: Srgb<f64> = Srgb::from(c).into_format();
        colour.into_color()
    };
    lab(a).difference(lab(b))
}

/// The same for two colours in CIELAB: L*, a*, b*.
#[must_use]
pub fn difference_of_lab(a: [f64; 3], b: [f64; 3]) -> f64 {
    let lab = |[l, a, b]: [f64; 3]| Lab::<D65, f64>::new(l, a, b);
    lab(a).difference(lab(b))
}
