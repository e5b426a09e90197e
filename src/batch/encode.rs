//! Pixels in, PNG bytes out.

use tiny_skia::PixmapRef;

use crate::compare::Picture;

/// How much time a picture's bytes are worth.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Effort {
    /// For pictures made by the hundred.
    Quick,
    /// For pictures that are sent around.
    Small,
}

/// A picture as PNG: straight alpha, 8 bits, marked as sRGB; without alpha where `opaque` says
/// that there is none. The same pixels give the same bytes.
///
/// # Errors
///
/// When the encoder finds the picture too large for the format.
pub fn png(
    pixels: PixmapRef<'_>,
    opaque: bool,
    effort: Effort,
) -> Result<Vec<u8>, png::EncodingError> {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, pixels.width(), pixels.height());
    encoder.set_color(if opaque {
        png::ColorType::Rgb
    } else {
        png::ColorType::Rgba
    });
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_source_srgb(png::SrgbRenderingIntent::Perceptual);
    match effort {
        // Paeth gives files 7 % smaller, which are four times as slow to read again; to try every filter
        // on every row, 12 % smaller, twice as slow both ways.
        Effort::Quick => {
            encoder.set_deflate_compression(png::DeflateCompression::FdeflateUltraFast);
            encoder.set_filter(png::Filter::Up);
        }
        // Flat art repeats itself: unfiltered it gives smaller files, given the time to look.
        Effort::Small => {
            encoder.set_deflate_compression(png::DeflateCompression::Level(6));
            encoder.set_filter(png::Filter::NoFilter);
        }
    }
    let mut writer = encoder.write_header()?;
    writer.write_image_data(&if opaque {
        without_alpha(pixels)
    } else {
        straight(pixels)
    })?;
    writer.finish()?;
    Ok(bytes)
}

/// A map of numbers as a grey PNG: 8 bits where all fit, else 16.
///
/// # Errors
///
/// When the encoder finds the map too large for the format.
pub fn grey_png(width: u32, height: u32, numbers: &[u16]) -> Result<Vec<u8>, png::EncodingError> {
    let small: Option<Vec<u8>> = numbers.iter().map(|&n| u8::try_from(n).ok()).collect();
    let wide = || numbers.iter().flat_map(|n| n.to_be_bytes()).collect();
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, width, height);
    encoder.set_color(png::ColorType::Grayscale);
    encoder.set_depth(if small.is_some() {
        png::BitDepth::Eight
    } else {
        png::BitDepth::Sixteen
    });
    encoder.set_deflate_compression(png::DeflateCompression::Level(6));
    encoder.set_filter(png::Filter::NoFilter);
    let mut writer = encoder.write_header()?;
    writer.write_image_data(&small.unwrap_or_else(wide))?;
    writer.finish()?;
    Ok(bytes)
}

/// Size, kind and bytes of a PNG.
fn read_png(bytes: &[u8]) -> Result<(png::OutputInfo, Vec<u8>), String> {
    let wrong = |e: png::DecodingError| e.to_string();
    let decoder = png::Decoder::new(std::io::Cursor::new(bytes));
    let mut reader = decoder.read_info().map_err(wrong)?;
    let size = reader.output_buffer_size().ok_or("it is too large")?;
    let mut out = vec![0; size];
    let info = reader.next_frame(&mut out).map_err(wrong)?;
    out.truncate(info.buffer_size());
    Ok((info, out))
}

/// A picture as [`png()`] writes it.
///
/// # Errors
///
/// In words, when it is no such picture.
pub fn picture_of(bytes: &[u8]) -> Result<Picture, String> {
    let (info, data) = read_png(bytes)?;
    let rgba = match (info.color_type, info.bit_depth) {
        (png::ColorType::Rgba, png::BitDepth::Eight) => data,
        (png::ColorType::Rgb, png::BitDepth::Eight) => data
            .chunks_exact(3)
            .flat_map(|p| [p[0], p[1], p[2], 255])
            .collect(),
        _ => return Err("it is no picture of 8 bits a channel".into()),
    };
    Ok(Picture {
        width: info.width,
        height: info.height,
        rgba,
    })
}

/// A map as [`grey_png`] writes it: width, height, numbers.
///
/// # Errors
///
/// In words, when it is no such map.
pub fn numbers_of(bytes: &[u8]) -> Result<(u32, u32, Vec<u16>), String> {
    let (info, data) = read_png(bytes)?;
    let numbers = match (info.color_type, info.bit_depth) {
        (png::ColorType::Grayscale, png::BitDepth::Eight) => {
            data.into_iter().map(u16::from).collect()
        }
        (png::ColorType::Grayscale, png::BitDepth::Sixteen) => data
            .chunks_exact(2)
            .map(|n| u16::from_be_bytes([n[0], n[1]]))
            .collect(),
        _ => return Err("it is no map in grey".into()),
    };
    Ok((info.width, info.height, numbers))
}

fn without_alpha(pixels: PixmapRef<'_>) -> Vec<u8> {
    let mut out = vec![0; pixels.data().len() / 4 * 3];
    for (to, from) in out.chunks_exact_mut(3).zip(pixels.data().chunks_exact(4)) {
        to.copy_from_slice(&from[..3]);
    }
    out
}

/// The pixels with straight alpha, as they are in a file.
pub(super) fn straight(pixels: PixmapRef<'_>) -> Vec<u8> {
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
    use tiny_skia::{Pixmap, PremultipliedColorU8};

    fn decoded(bytes: &[u8]) -> (png::ColorType, Vec<u8>, bool) {
        let mut reader = png::Decoder::new(std::io::Cursor::new(bytes))
            .read_info()
            .unwrap();
        let mut out = vec![0; reader.output_buffer_size().unwrap()];
        reader.next_frame(&mut out).unwrap();
        (reader.info().color_type, out, reader.info().srgb.is_some())
    }

    #[test]
    fn alpha_is_straight_in_the_file() {
        let mut pixels = Pixmap::new(3, 1).unwrap();
        pixels.pixels_mut()[0] = PremultipliedColorU8::from_rgba(64, 32, 0, 128).unwrap();
        pixels.pixels_mut()[1] = PremultipliedColorU8::from_rgba(1, 2, 3, 255).unwrap();
        for effort in [Effort::Quick, Effort::Small] {
            let (colour, data, srgb) = decoded(&png(pixels.as_ref(), false, effort).unwrap());
            assert_eq!(colour, png::ColorType::Rgba);
            assert_eq!(data, [128, 64, 0, 128, 1, 2, 3, 255, 0, 0, 0, 0]);
            assert!(srgb);
        }
    }

    #[test]
    fn opaque_pictures_have_no_alpha() {
        let mut pixels = Pixmap::new(1, 2).unwrap();
        pixels.fill(tiny_skia::Color::from_rgba8(9, 8, 7, 255));
        let (colour, data, _) = decoded(&png(pixels.as_ref(), true, Effort::Small).unwrap());
        assert_eq!(colour, png::ColorType::Rgb);
        assert_eq!(data, [9, 8, 7, 9, 8, 7]);
    }

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
