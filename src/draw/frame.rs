//! Pictures and what describes them.

use crate::geom::Affine;

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
///
/// A part owns a pixel when it is the last that covers at least half of it; a pixel that none
/// covers by half belongs to the first that touches it.
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
    /// The picture has no pixels.
    #[error("a picture of {width} x {height} px has no pixels")]
    Empty {
        /// Pixels asked for.
        width: u32,
        /// Pixels asked for.
        height: u32,
    },
    /// The picture is larger than the drawing code goes.
    #[error(
        "a picture of {width} x {height} px is over the limit of {limit} px a side or 1 GiB in all"
    )]
    TooLarge {
        /// Pixels asked for.
        width: u32,
        /// Pixels asked for.
        height: u32,
        /// Pixels allowed a side.
        limit: u32,
    },
}
