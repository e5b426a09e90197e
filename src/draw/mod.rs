//! Figure in, frame out: coverage, masks, seams, trims, compositing.

use crate::art::Rgb;
use crate::geom::Affine;
use crate::solve::Figure;

/// Where a figure goes in a picture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Viewport {
    /// Pixels.
    pub width: u32,
    /// Pixels.
    pub height: u32,
    /// From canvas units to pixels.
    pub to_pixels: Affine,
}

/// Which part owns each pixel: 0 for none, else one more than the part's number.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OwnerMap {
    /// Pixels.
    pub width: u32,
    /// Pixels.
    pub height: u32,
    /// Row by row.
    pub owners: Vec<u16>,
}

/// A drawn figure.
#[derive(Clone, Debug, PartialEq)]
pub struct Frame {
    /// sRGB, premultiplied, 8 bit.
    pub pixels: tiny_skia::Pixmap,
    /// Only where it was asked for.
    pub owners: Option<OwnerMap>,
}

/// Why a figure could not be drawn.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum DrawError {
    /// The picture is larger than the drawing code goes.
    #[error("a picture of {width} x {height} px is over the limit of {limit} px a side")]
    TooLarge {
        /// Pixels asked for.
        width: u32,
        /// Pixels asked for.
        height: u32,
        /// Pixels allowed.
        limit: u32,
    },
}

/// Buffers kept from picture to picture; one per thread.
#[derive(Debug, Default)]
pub struct Scratch {}

/// Draws a figure into a new picture; transparent where `background` is `None`.
///
/// # Errors
///
/// When the picture would be too large.
pub fn draw(
    figure: &Figure,
    viewport: &Viewport,
    background: Option<Rgb>,
    owners: bool,
    scratch: &mut Scratch,
) -> Result<Frame, DrawError> {
    let _ = (figure, viewport, background, owners, scratch);
    Err(DrawError::TooLarge { width: 0, height: 0, limit: 0 })
}

/// Draws a figure over what `pixels` holds.
pub fn draw_onto(figure: &Figure, to_pixels: Affine, pixels: &mut tiny_skia::PixmapMut<'_>, scratch: &mut Scratch) {
    let _ = (figure, to_pixels, pixels, scratch);
}
