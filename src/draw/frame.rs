//! Pictures and what describes them.

use crate::geom::{Affine, Point};

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

/// The longest side of a picture, pixels.
pub const MOST_SIDE: u32 = 32_767;
/// Bytes of the largest picture, at four a pixel.
pub const MOST_BYTES: u64 = 1 << 30;

impl Viewport {
    /// A canvas from its corner on, at this many pixels to the unit.
    #[must_use]
    pub fn of_canvas([width, height]: Point, scale: f64) -> Self {
        Self {
            width: side(width * scale),
            height: side(height * scale),
            to_pixels: Affine::scale([scale, scale]),
        }
    }

    /// What the picture shows, canvas units: left, top, right, bottom.
    #[must_use]
    pub fn shown(&self) -> [f64; 4] {
        let Affine { a, d, e, f, .. } = self.to_pixels;
        [
            -e / a,
            -f / d,
            (f64::from(self.width) - e) / a,
            (f64::from(self.height) - f) / d,
        ]
    }

    /// Whether a picture of this size can be drawn.
    ///
    /// # Errors
    ///
    /// When it would be empty or too large.
    pub fn check(&self) -> Result<(), DrawError> {
        let Self { width, height, .. } = *self;
        if width == 0 || height == 0 {
            return Err(DrawError::Empty { width, height });
        }
        let bytes = (u64::from(width) * u64::from(height)).saturating_mul(4);
        if width > MOST_SIDE || height > MOST_SIDE || bytes > MOST_BYTES {
            let limit = MOST_SIDE;
            return Err(DrawError::TooLarge {
                width,
                height,
                limit,
            });
        }
        Ok(())
    }
}

/// A length in whole pixels: rounded up, but for what is only a slip of arithmetic; none for what is no length.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to the range"
)]
pub(crate) fn side(length: f64) -> u32 {
    if length.is_nan() || length <= 0.0 {
        return 0;
    }
    libm::ceil(length - 1e-6).clamp(1.0, f64::from(u32::MAX)) as u32
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
    /// The picture cannot be written as PNG.
    #[error("the picture cannot be written as PNG: {0}")]
    Png(String),
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pictures_have_pixels_and_an_end() {
        let check = |width, height| {
            let to_pixels = Affine::IDENTITY;
            Viewport {
                width,
                height,
                to_pixels,
            }
            .check()
        };
        assert_eq!(check(1, 1), Ok(()));
        assert_eq!(check(32_767, 8192), Ok(()));
        assert_eq!(check(16_384, 16_384), Ok(()), "1 GiB");
        let (width, height) = (0, 5);
        assert_eq!(check(0, 5), Err(DrawError::Empty { width, height }));
        for (width, height) in [(32_768, 1), (1, 32_768), (16_384, 16_385)] {
            let limit = 32_767;
            let found = check(width, height);
            assert_eq!(
                found,
                Err(DrawError::TooLarge {
                    width,
                    height,
                    limit
                })
            );
        }
    }
}
