//! What is measured on joints: how far hidden outlines come out, what daylight opens.

mod joint;
mod range;

pub use joint::{Gap, Hidden, Joint, Jut};
pub use range::{Curve, Sample, trace};
