//! Pictures in drawings: whether they can be drawn whole.

use std::io::Cursor;
use std::sync::{Arc, Mutex, PoisonError};

use usvg::{ImageHrefResolver, ImageKind, Options, Tree};

use super::reader::{Reader, image_kind};

/// What is wrong with the picture that an `image` refers to, as the end of a sentence. One outside the
/// member's folder is somebody else's to report.
pub(super) fn fault(href: &str, reader: &Reader) -> Option<&'static str> {
    if href.is_empty() {
        return Some("names no picture");
    }
    if !href.starts_with("data:") {
        let bytes = reader.bytes(href)?;
        return match bytes.len() {
            0 => Some("is empty"),
            _ => image_kind(bytes).map_or(Some("is no picture"), |kind| damage(&kind)),
        };
    }
    // Embedded data are read as for a drawing: by one that has nothing else.
    let found = Mutex::new(Some("is no picture"));
    let put = |what| *found.lock().unwrap_or_else(PoisonError::into_inner) = what;
    let usual = ImageHrefResolver::default_data_resolver();
    let options = Options {
        image_href_resolver: ImageHrefResolver {
            resolve_data: Box::new(move |mime, data: Arc<Vec<u8>>, options| {
                if data.is_empty() {
                    put(Some("is empty"));
                    return None;
                }
                let kind = usual(mime, data, options)?;
                put(damage(&kind));
                Some(kind)
            }),
            resolve_string: Box::new(|_, _| None),
        },
        ..Options::default()
    };
    let href = href
        .replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('"', "&quot;");
    let svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"1\" height=\"1\"><image width=\"1\" height=\"1\" href=\"{href}\"/></svg>"
    );
    let _ = Tree::from_str(&svg, &options);
    drop(options);
    found.into_inner().unwrap_or_else(PoisonError::into_inner)
}

fn damage(kind: &ImageKind) -> Option<&'static str> {
    let whole = match kind {
        ImageKind::PNG(bytes) => tiny_skia::Pixmap::decode_png(bytes).is_ok(),
        ImageKind::JPEG(bytes) => ends(bytes) && decodes_jpeg(bytes),
        ImageKind::GIF(bytes) => decodes_gif(bytes),
        ImageKind::WEBP(bytes) => decodes_webp(bytes).is_some(),
        ImageKind::SVG(_) => true,
    };
    (!whole).then_some("is damaged or cut short")
}

/// True where the last scan has an end (ISO/IEC 10918-1, B.1.1.3): in a scan no other byte follows FF but 0
/// and the restart markers, so that a file that is cut short has none.
fn ends(bytes: &[u8]) -> bool {
    let last = |marker: [u8; 2]| bytes.windows(2).rposition(|two| two == marker);
    last([0xff, 0xda]) < last([0xff, 0xd9])
}

fn decodes_jpeg(bytes: &[u8]) -> bool {
    zune_jpeg::JpegDecoder::new(Cursor::new(bytes))
        .decode()
        .is_ok()
}

fn decodes_gif(bytes: &[u8]) -> bool {
    let read = gif::DecodeOptions::new().read_info(bytes);
    read.is_ok_and(|mut gif| matches!(gif.read_next_frame(), Ok(Some(_))))
}

fn decodes_webp(bytes: &[u8]) -> Option<()> {
    let mut webp = image_webp::WebPDecoder::new(Cursor::new(bytes)).ok()?;
    let mut pixels = vec![0; webp.output_buffer_size()?];
    webp.read_image(&mut pixels).ok()
}
