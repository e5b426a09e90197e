//! Figures as pictures, for whoever wants no more than that.

use tiny_skia::PixmapRef;

use super::frame::{DrawError, OwnerMap, Viewport};
use super::paint::{Scratch, draw};
use crate::solve::Figure;

/// A picture: straight RGBA, 8 bits, sRGB.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    /// Pixels.
    pub width: u32,
    /// Pixels.
    pub height: u32,
    /// Row by row.
    pub rgba: Vec<u8>,
}

impl Picture {
    /// Of pixels with premultiplied alpha, as tiny-skia has them.
    #[must_use]
    pub fn of(pixels: PixmapRef<'_>) -> Self {
        Self {
            width: pixels.width(),
            height: pixels.height(),
            rgba: straight(pixels),
        }
    }

    /// The bytes of a row; none below the picture.
    #[must_use]
    pub fn row(&self, y: usize) -> &[u8] {
        let bytes = self.width as usize * 4;
        let row = self.rgba.chunks_exact(bytes.max(1)).nth(y);
        row.unwrap_or_default()
    }

    /// As PNG, the same bytes for the same pixels: what `layfig render` writes.
    ///
    /// # Errors
    ///
    /// When the bytes are not as many as the size asks for, or the picture has none.
    pub fn png(&self) -> Result<Vec<u8>, DrawError> {
        let size = [self.width, self.height];
        quick_png(size, &self.rgba, png::ColorType::Rgba)
            .map_err(|error| DrawError::Png(error.to_string()))
    }
}

/// Which part owns each pixel of a picture, by name.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Owners {
    /// By number.
    pub map: OwnerMap,
    /// The parts: number 1 of the map is the first of them.
    pub names: Vec<String>,
}

impl Owners {
    /// The part that owns a pixel; `None` outside all parts, and outside the picture.
    #[must_use]
    pub fn at(&self, x: u32, y: u32) -> Option<&str> {
        let inside = x < self.map.width && y < self.map.height;
        let at = y as usize * self.map.width as usize + x as usize;
        inside.then(|| self.owner(at)).flatten()
    }

    /// The same by the pixel's place, row by row.
    pub(crate) fn owner(&self, at: usize) -> Option<&str> {
        let number = usize::from(*self.map.owners.get(at)?);
        let name = self.names.get(number.checked_sub(1)?)?;
        Some(name)
    }

    /// For each pixel, row by row, whether a part owns it; `None` for a name that the view has not.
    #[must_use]
    pub fn of(&self, part: &str) -> Option<impl Iterator<Item = bool>> {
        let at = self.names.iter().position(|name| name == part)?;
        Some(
            self.map
                .owners
                .iter()
                .map(move |&n| usize::from(n) == at + 1),
        )
    }
}

impl Figure {
    /// The figure on its canvas, at this many pixels to the unit, transparent where nothing is.
    ///
    /// # Errors
    ///
    /// When the picture would have no pixels, or too many.
    pub fn render(&self, scale: f64) -> Result<Picture, DrawError> {
        let frame = self.frame(scale, false)?;
        Ok(Picture::of(frame.pixels.as_ref()))
    }

    /// Which part owns each pixel of the picture that [`render`](Self::render) makes.
    ///
    /// # Errors
    ///
    /// As for the picture.
    pub fn owners(&self, scale: f64) -> Result<Owners, DrawError> {
        Ok(self.picture_and_owners(scale)?.1)
    }

    pub(crate) fn picture_and_owners(&self, scale: f64) -> Result<(Picture, Owners), DrawError> {
        let frame = self.frame(scale, true)?;
        let picture = Picture::of(frame.pixels.as_ref());
        let (width, height) = (picture.width, picture.height);
        let none = || OwnerMap {
            width,
            height,
            owners: Vec::new(),
        };
        let names = self.part_names().into_iter().map(str::to_owned).collect();
        let map = frame.owners.unwrap_or_else(none);
        Ok((picture, Owners { map, names }))
    }

    fn frame(&self, scale: f64, owners: bool) -> Result<super::Frame, DrawError> {
        let viewport = Viewport::of_canvas(self.model().member.canvas, scale);
        draw(self, &viewport, None, owners, &mut Scratch::default())
    }
}

/// A PNG of 8 bits a channel, marked as sRGB.
pub(crate) fn encoder(
    bytes: &mut Vec<u8>,
    [width, height]: [u32; 2],
    colour: png::ColorType,
) -> png::Encoder<'_, &mut Vec<u8>> {
    let mut encoder = png::Encoder::new(bytes, width, height);
    encoder.set_color(colour);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_source_srgb(png::SrgbRenderingIntent::Perceptual);
    encoder
}

/// One that is soon written and soon read.
pub(crate) fn quick_png(
    size: [u32; 2],
    data: &[u8],
    colour: png::ColorType,
) -> Result<Vec<u8>, png::EncodingError> {
    let mut bytes = Vec::new();
    let mut encoder = encoder(&mut bytes, size, colour);
    // Paeth gives files 7 % smaller, which are four times as slow to read again; to try every filter
    // on every row, 12 % smaller, twice as slow both ways.
    encoder.set_deflate_compression(png::DeflateCompression::FdeflateUltraFast);
    encoder.set_filter(png::Filter::Up);
    let mut writer = encoder.write_header()?;
    writer.write_image_data(data)?;
    writer.finish()?;
    Ok(bytes)
}

/// The pixels with straight alpha, as they are in a file.
pub(crate) fn straight(pixels: PixmapRef<'_>) -> Vec<u8> {
    let mut out = pixels.data().to_vec();
    let (pixels, _) = out.as_chunks_mut::<4>();
    for some in pixels.chunks_mut(16) {
        // Where there is nothing, there is no colour either; and most of a picture is either nothing
        // or opaque.
        let (any, all) = some
            .iter()
            .fold((0, 255), |(any, all), p| (any | p[3], all & p[3]));
        if any == 0 || all == 255 {
            continue;
        }
        for [r, g, b, a] in some {
            if *a != 0 && *a != 255 {
                for c in [r, g, b] {
                    *c = divided(*c, *a);
                }
            }
        }
    }
    out
}

/// `colour / alpha`, both of 255, rounded to nearest.
fn divided(colour: u8, alpha: u8) -> u8 {
    let (c, a) = (u32::from(colour), u32::from(alpha));
    u8::try_from((c * 255 + a / 2) / a).unwrap_or(255)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_straight_colour_comes_back_from_every_alpha_to_the_nearest() {
        for a in 1..=255_u8 {
            for c in 0..=a {
                let exact = f64::from(c) * 255.0 / f64::from(a);
                assert!((f64::from(divided(c, a)) - exact).abs() <= 0.5, "{c}/{a}");
            }
        }
    }
}
