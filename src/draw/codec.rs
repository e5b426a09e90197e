//! Pixels in, PNG bytes out.

use flate2::{Compress, Compression, FlushCompress};
use rayon::prelude::*;
use tiny_skia::PixmapRef;

use super::Picture;
use super::picture::{encoder, quick_png, straight};

/// How much time a picture's bytes are worth.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Effort {
    /// For pictures made by the hundred.
    Quick,
    /// For pictures that are sent around.
    Small,
}

/// Bytes of a small picture's rows that are compressed by themselves, so that threads can share a page.
/// Where they end is no matter of threads, and costs 0.1 % of the file.
const PIECE: usize = 1 << 20;

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
    let (data, colour) = if opaque {
        (without_alpha(pixels), png::ColorType::Rgb)
    } else {
        (straight(pixels), png::ColorType::Rgba)
    };
    written([pixels.width(), pixels.height()], data, colour, effort)
}

fn written(
    [width, height]: [u32; 2],
    data: Vec<u8>,
    colour: png::ColorType,
    effort: Effort,
) -> Result<Vec<u8>, png::EncodingError> {
    if effort == Effort::Quick {
        return quick_png([width, height], &data, colour);
    }
    let mut bytes = Vec::new();
    let encoder = encoder(&mut bytes, [width, height], colour);
    // Flat art repeats itself: unfiltered it gives smaller files, given the time to look.
    let rows = unfiltered(&data, data.len() / height as usize);
    drop(data);
    let mut writer = encoder.write_header()?;
    writer.write_chunk(png::chunk::IDAT, &compressed(&rows)?)?;
    writer.finish()?;
    Ok(bytes)
}

/// Rows as PNG has them: each behind the number of its filter, here none.
fn unfiltered(data: &[u8], row: usize) -> Vec<u8> {
    let mut out = Vec::with_capacity(data.len() + data.len() / row);
    for row in data.chunks_exact(row) {
        out.push(0);
        out.extend_from_slice(row);
    }
    out
}

/// A zlib stream (RFC 1950) of pieces compressed side by side; each but the last ends at a byte.
fn compressed(data: &[u8]) -> std::io::Result<Vec<u8>> {
    let count = data.len().div_ceil(PIECE);
    let pieces = data
        .par_chunks(PIECE)
        .enumerate()
        .map(|(at, piece)| deflated(piece, at + 1 == count))
        .collect::<Result<Vec<_>, _>>()?;
    // Deflate with a window of 32 KiB, the usual effort, no dictionary.
    let mut out = vec![0x78, 0x9c];
    for piece in pieces {
        out.extend_from_slice(&piece);
    }
    out.extend_from_slice(&simd_adler32::adler32(&data).to_be_bytes());
    Ok(out)
}

fn deflated(data: &[u8], last: bool) -> std::io::Result<Vec<u8>> {
    let mut stream = Compress::new(Compression::new(6), false);
    let flush = if last {
        FlushCompress::Finish
    } else {
        FlushCompress::Sync
    };
    let mut out = Vec::with_capacity(data.len() / 16 + 1024);
    loop {
        #[expect(clippy::cast_possible_truncation, reason = "of a piece")]
        let rest = &data[stream.total_in() as usize..];
        let status = stream.compress_vec(rest, &mut out, flush)?;
        // Room that is left tells that nothing waits any more.
        let room = out.len() < out.capacity();
        if status == flate2::Status::StreamEnd
            || (!last && room && stream.total_in() == data.len() as u64)
        {
            return Ok(out);
        }
        out.reserve(data.len() / 16 + 1024);
    }
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
    fn pieces_make_one_stream() {
        // Noise and flat stretches, over more than two pieces and to the byte at their ends.
        let mut pixels = Pixmap::new(1024, 700).unwrap();
        let mut state = 1_u32;
        for (i, p) in pixels.data_mut().iter_mut().enumerate() {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            *p = if i % 4 == 3 || i / 40_000 % 2 == 0 {
                255
            } else {
                state.to_be_bytes()[0]
            };
        }
        let bytes = png(pixels.as_ref(), false, Effort::Small).unwrap();
        assert_eq!(decoded(&bytes).1, pixels.data());
        for length in [1, PIECE - 1, PIECE, PIECE + 1, 2 * PIECE] {
            let data = &pixels.data()[..length];
            let stream = compressed(data).unwrap();
            let mut back = Vec::new();
            let mut decoder = flate2::Decompress::new(true);
            back.reserve(length + 1);
            let status = decoder
                .decompress_vec(&stream, &mut back, flate2::FlushDecompress::Finish)
                .unwrap();
            assert_eq!(status, flate2::Status::StreamEnd);
            assert_eq!(back, data);
        }
    }
}
