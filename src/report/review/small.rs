//! Pictures for the overview.

use tiny_skia::Pixmap;

/// No side is longer, pixels: the overview's cells on a screen with two pixels to the point.
const LONGEST: u32 = 440;

/// A picture made small enough for the overview: each pixel the mean of a square of pixels. `None` where
/// it is small enough as it is.
#[must_use]
pub fn thumbnail(large: &Pixmap) -> Option<Pixmap> {
    let by = large.width().max(large.height()).div_ceil(LONGEST);
    if by < 2 {
        return None;
    }
    let mut out = Pixmap::new(large.width().div_ceil(by), large.height().div_ceil(by))?;
    let (width, height) = (large.width(), large.height());
    let (columns, stride) = (out.width(), width as usize * 4);
    for (at, pixel) in (0_u32..).zip(out.data_mut().chunks_exact_mut(4)) {
        let (left, top) = (at % columns * by, at / columns * by);
        let (right, bottom) = ((left + by).min(width), (top + by).min(height));
        let mut sums = [0_u32; 4];
        for y in top..bottom {
            let row = &large.data()[y as usize * stride..][..stride];
            for colour in row[left as usize * 4..right as usize * 4].chunks_exact(4) {
                for (sum, &c) in sums.iter_mut().zip(colour) {
                    *sum += u32::from(c);
                }
            }
        }
        let count = (right - left) * (bottom - top);
        for (c, sum) in pixel.iter_mut().zip(sums) {
            *c = u8::try_from((sum + count / 2) / count).unwrap_or(u8::MAX);
        }
    }
    Some(out)
}

#[cfg(test)]
mod tests {
    use super::*;
    use tiny_skia::Color;

    #[test]
    fn small_pictures_are_left_alone_and_large_ones_keep_their_shape() {
        assert!(thumbnail(&Pixmap::new(440, 100).unwrap()).is_none());
        let small = thumbnail(&Pixmap::new(900, 1200).unwrap()).unwrap();
        assert_eq!((small.width(), small.height()), (300, 400));
        let edge = thumbnail(&Pixmap::new(881, 1).unwrap()).unwrap();
        assert_eq!((edge.width(), edge.height()), (294, 1));
    }

    #[test]
    fn a_flat_colour_stays_that_colour_to_the_last_column() {
        let mut large = Pixmap::new(1001, 7).unwrap();
        large.fill(Color::from_rgba8(200, 100, 50, 255));
        let small = thumbnail(&large).unwrap();
        for pixel in small.pixels() {
            assert_eq!(
                (pixel.red(), pixel.green(), pixel.blue(), pixel.alpha()),
                (200, 100, 50, 255)
            );
        }
    }
}
