//! Figure in, standard SVG out.

use crate::art::Rgb;
use crate::solve::Figure;

/// A figure as a standalone SVG document of the canvas's size times `scale`.
#[must_use]
pub fn svg(figure: &Figure, title: &str, scale: f64, background: Option<Rgb>) -> String {
    let _ = (figure, title, scale, background);
    String::new()
}
