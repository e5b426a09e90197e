//! Art that only pixels can show: filters, images, masks, nested opacity, blending.

use std::collections::{BTreeMap, VecDeque};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use tiny_skia::{FillRule, Path, Pixmap, Stroke};
use usvg::{ImageKind, Node, Tree};

use super::Rgb;
use super::reader::Reader;
use crate::geom::{Affine, Point, bounds_of, join_to};

/// The most pixels of one raster layer: 1 GiB of them is a mistake, not a part.
const MOST_PIXELS: i64 = 1 << 28;

/// A subtree that resvg draws through the pose's transform, never resampled.
#[derive(Clone, Debug)]
pub struct RasterArt {
    tree: Arc<Tree>,
    text: Arc<str>,
    reader: Reader,
    /// Child numbers from the root.
    route: Vec<usize>,
    /// Plain outlines of what is in it, in canvas units: its silhouette.
    outlines: Vec<RasterOutline>,
    /// What was drawn last: most poses of a sweep leave most parts where they are.
    known: Arc<Mutex<VecDeque<Known>>>,
    touched: Arc<OnceLock<Option<[f64; 4]>>>,
}

/// Pixels to the unit at which raster art is looked at for where it shows, and the longest side of that.
const LOOK: f64 = 4.0;
const MOST_LOOK: f64 = 2048.0;

/// Bytes of drawn pixels that are kept of one piece of art.
const MOST_KNOWN: usize = 16 << 20;

/// A drawing that was made before.
#[derive(Debug)]
struct Known {
    to_pixels: Affine,
    size: [u32; 2],
    drawn: Arc<RasterLayer>,
}

/// One outline in a raster subtree.
#[derive(Clone, Debug)]
pub(crate) struct RasterOutline {
    pub path: Path,
    pub rule: FillRule,
    pub stroke: Option<Stroke>,
    pub to_canvas: Affine,
}

/// Drawn pixels and where they go.
#[derive(Debug)]
pub struct RasterLayer {
    /// Left, pixels.
    pub x: i32,
    /// Top, pixels.
    pub y: i32,
    /// sRGB, premultiplied.
    pub pixels: Pixmap,
}

impl RasterArt {
    pub(super) fn new(
        shown: &super::document::Shown,
        route: Vec<usize>,
        outlines: Vec<RasterOutline>,
    ) -> Self {
        Self {
            tree: Arc::clone(&shown.tree),
            text: Arc::clone(&shown.text),
            reader: shown.reader.clone(),
            route,
            outlines,
            known: Arc::default(),
            touched: Arc::default(),
        }
    }

    /// Gives everything that its pixels depend on to `put`: its file's text, its place in it, the
    /// images in it.
    pub fn put_into(&self, put: &mut impl FnMut(&[u8])) {
        put(self.text.as_bytes());
        for &step in &self.route {
            put(&(step as u64).to_le_bytes());
        }
        if let Some(node) = self.node() {
            put_images(node, put);
        }
    }

    /// Gives what it looks like to `put`: its pixels at two to the unit, where they go around it, the
    /// images in it. Other parts of its file are none of it.
    pub(crate) fn put_look_into(&self, put: &mut impl FnMut(&[u8])) {
        const SCALE: f64 = 2.0;
        let drawn = self.corners().and_then(|corners| {
            let b = bounds_of(corners)?;
            let start = [libm::floor(b[0]), libm::floor(b[1])];
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a number of pixels, saturated; too many are not drawn"
            )]
            let side = |axis: usize| ((b[axis + 2] - start[axis]) * SCALE).max(1.0) as u32 + 1;
            let to_pixels =
                Affine::scale([SCALE, SCALE]).after(Affine::translate(start.map(|v| -v)));
            Some((start, self.draw(&to_pixels, side(0), side(1))?))
        });
        match drawn {
            Some((start, layer)) => {
                for v in start {
                    put(&v.to_le_bytes());
                }
                for v in [layer.pixels.width(), layer.pixels.height()] {
                    put(&v.to_le_bytes());
                }
                put(layer.pixels.data());
            }
            None => put(self.text.as_bytes()),
        }
        if let Some(node) = self.node() {
            put_images(node, put);
        }
    }

    /// The same where its place on the canvas is another; what it is drawn with is for the shape to say.
    pub(crate) fn moved(&self, by: &Affine) -> Self {
        let mut moved = self.clone();
        for outline in &mut moved.outlines {
            outline.to_canvas = by.after(outline.to_canvas);
        }
        moved
    }

    pub(crate) fn outlines(&self) -> &[RasterOutline] {
        &self.outlines
    }

    /// The same art in other colours: every `#rrggbb` of the map replaced in the file's text.
    /// Unchanged if no colour of the file is in the map.
    ///
    /// # Errors
    ///
    /// When the text with those colours is no drawing any more.
    pub fn recoloured(&self, colours: &BTreeMap<Rgb, Rgb>) -> Result<Self, usvg::Error> {
        let text = recolour(&self.text, colours);
        if *text == *self.text {
            return Ok(self.clone());
        }
        Ok(Self {
            tree: Arc::new(self.reader.parse(&text)?),
            text: text.into(),
            known: Arc::default(),
            ..self.clone()
        })
    }

    fn node(&self) -> Option<&Node> {
        let (last, way) = self.route.split_last()?;
        let mut group = self.tree.root();
        for &i in way {
            match group.children().get(i)? {
                Node::Group(g) => group = g,
                _ => return None,
            }
        }
        group.children().get(*last)
    }

    /// The corners of the box that the subtree may touch, in its parent's coordinates.
    #[must_use]
    pub fn corners(&self) -> Option<[Point; 4]> {
        let node = self.node()?;
        let b = node.abs_layer_bounding_box()?;
        let from_root = Affine::from_skia(parent_transform(node)).inverse()?;
        let corners = [
            [b.left(), b.top()],
            [b.right(), b.top()],
            [b.right(), b.bottom()],
            [b.left(), b.bottom()],
        ];
        Some(corners.map(|c| from_root.apply(c.map(f64::from))))
    }

    /// The box of what shows of it, in its own coordinates, to a quarter of a unit: the box of what it may
    /// touch has room for shadows and the like that may not come to anything. Found once.
    pub fn touched(&self) -> Option<[f64; 4]> {
        *self.touched.get_or_init(|| {
            let [l, t, r, b] = bounds_of(self.corners()?)?;
            let (wide, high) = (r - l, b - t);
            let scale = LOOK.min(MOST_LOOK / wide.max(high).max(1e-6));
            let to_pixels = Affine::scale([scale, scale]).after(Affine::translate([-l, -t]));
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "clamped"
            )]
            let side = |length: f64| libm::ceil(length * scale).clamp(1.0, MOST_LOOK) as u32;
            // One thread at a time: this picture and what its filters need are large, and needed once.
            static LARGE: Mutex<()> = Mutex::new(());
            let turn = LARGE.lock().unwrap_or_else(PoisonError::into_inner);
            let drawn = self.draw(&to_pixels, side(wide), side(high))?;
            drop(turn);
            let row = drawn.pixels.width().max(1) as usize;
            let shown = drawn.pixels.data().chunks_exact(4).enumerate();
            let mut b: Option<[f64; 4]> = None;
            for (at, _) in shown.filter(|(_, pixel)| pixel[3] != 0) {
                #[expect(clippy::cast_precision_loss, reason = "pixels of a picture")]
                let (x, y) = (
                    f64::from(drawn.x) + (at % row) as f64,
                    f64::from(drawn.y) + (at / row) as f64,
                );
                join_to(&mut b, [x, y, x + 1.0, y + 1.0]);
            }
            let b = b?;
            Some([
                b[0] / scale + l,
                b[1] / scale + t,
                b[2] / scale + l,
                b[3] / scale + t,
            ])
        })
    }

    /// As [`Self::draw`], or what that gave for exactly the same place before: the pixels are the same.
    #[must_use]
    pub fn drawn(&self, to_pixels: &Affine, width: u32, height: u32) -> Option<Arc<RasterLayer>> {
        let known = || self.known.lock().unwrap_or_else(PoisonError::into_inner);
        let size = [width, height];
        let found = known()
            .iter()
            .find(|k| k.to_pixels == *to_pixels && k.size == size)
            .map(|k| Arc::clone(&k.drawn));
        if found.is_some() {
            return found;
        }
        let drawn = Arc::new(self.draw(to_pixels, width, height)?);
        let bytes = |k: &Known| k.drawn.pixels.data().len();
        let mut known = known();
        known.push_back(Known {
            to_pixels: *to_pixels,
            size,
            drawn: Arc::clone(&drawn),
        });
        while known.iter().map(bytes).sum::<usize>() > MOST_KNOWN {
            known.pop_front();
        }
        Some(drawn)
    }

    /// Draws the subtree; `to_pixels` takes the coordinates around the subtree (its parent's) to
    /// pixels. Only what lies within `width` x `height` pixels is drawn. `None` when nothing is.
    #[must_use]
    #[expect(
        clippy::cast_possible_truncation,
        reason = "clamped to the picture first"
    )]
    pub fn draw(&self, to_pixels: &Affine, width: u32, height: u32) -> Option<RasterLayer> {
        let node = self.node()?;
        let b = node.abs_layer_bounding_box()?;
        let reach = bounds_of(self.corners()?.map(|corner| to_pixels.apply(corner)))?;
        let clamp = |v: f64, most: u32| v.clamp(-2.0, f64::from(most) + 2.0);
        let left = clamp(libm::floor(reach[0]) - 2.0, width) as i32;
        let top = clamp(libm::floor(reach[1]) - 2.0, height) as i32;
        let right = clamp(libm::ceil(reach[2]) + 2.0, width) as i32;
        let bottom = clamp(libm::ceil(reach[3]) + 2.0, height) as i32;
        let (w, h) = (
            u32::try_from(right - left).ok()?,
            u32::try_from(bottom - top).ok()?,
        );
        if i64::from(w) * i64::from(h) > MOST_PIXELS {
            return None;
        }
        let mut pixels = Pixmap::new(w, h)?;
        let shifted = Affine::translate([-f64::from(left), -f64::from(top)]).after(*to_pixels);
        // resvg moves a node's box to the origin; this puts it back.
        let shifted = shifted.after(Affine::translate([f64::from(b.x()), f64::from(b.y())]));
        resvg::render_node(node, shifted.to_skia(), &mut pixels.as_mut())?;
        Some(RasterLayer {
            x: left,
            y: top,
            pixels,
        })
    }
}

/// The transform from a node's surroundings to the root.
fn put_images(node: &Node, put: &mut impl FnMut(&[u8])) {
    match node {
        Node::Image(image) => match image.kind() {
            ImageKind::JPEG(bytes)
            | ImageKind::PNG(bytes)
            | ImageKind::GIF(bytes)
            | ImageKind::WEBP(bytes) => put(bytes),
            ImageKind::SVG(_) => {}
        },
        Node::Group(group) => group
            .children()
            .iter()
            .for_each(|child| put_images(child, put)),
        Node::Path(_) | Node::Text(_) => {}
    }
    node.subroots(|root| {
        root.children()
            .iter()
            .for_each(|child| put_images(child, put));
    });
}

pub(super) fn parent_transform(node: &Node) -> tiny_skia::Transform {
    match node {
        Node::Group(g) => {
            let own = Affine::from_skia(g.transform());
            own.inverse().map_or(g.abs_transform(), |back| {
                Affine::from_skia(g.abs_transform()).after(back).to_skia()
            })
        }
        other => other.abs_transform(),
    }
}

/// Replaces colours written `#rrggbb` or `#rgb`; references such as `url(#abcdef)` and characters such as
/// `&#233;` are no colours.
fn recolour(text: &str, colours: &BTreeMap<Rgb, Rgb>) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(at) = rest.find('#') {
        let (before, from) = rest.split_at(at);
        out.push_str(before);
        let digits = from[1..].bytes().take_while(u8::is_ascii_hexdigit).count();
        let reference = ["url(", "href=\"", "href='", "&"]
            .iter()
            .any(|before| out.ends_with(before));
        let whole_word =
            !from[1 + digits..].starts_with(|c: char| c.is_alphanumeric() || c == '_' || c == '-');
        let found = (!reference && whole_word)
            .then(|| Rgb::parse(&from[..=digits]))
            .flatten()
            .and_then(|c| colours.get(&c));
        if let Some(new) = found {
            out.push_str(&new.to_string());
        } else {
            out.push_str(&from[..=digits]);
        }
        rest = &from[1 + digits..];
    }
    out.push_str(rest);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn art_is_drawn_anew_only_where_it_has_moved() {
        let text = r##"<svg xmlns="http://www.w3.org/2000/svg" width="20" height="20"><filter id="f"><feGaussianBlur stdDeviation="2"/></filter>
            <g id="a" filter="url(#f)"><rect x="5" y="5" width="8" height="8" fill="#c03020"/></g></svg>"##;
        let reader = Reader::default();
        let shown = super::super::document::Shown {
            tree: Arc::new(reader.parse(text).unwrap()),
            text: text.into(),
            to_user: Affine::IDENTITY,
            reader,
        };
        let art = RasterArt::new(&shown, vec![0], Vec::new());
        let at = |x: f64| Affine::translate([x, 0.0]);
        let first = art.drawn(&at(0.0), 40, 40).unwrap();
        let moved = art.drawn(&at(0.3), 40, 40).unwrap();
        assert!(Arc::ptr_eq(&first, &art.drawn(&at(0.0), 40, 40).unwrap()));
        assert!(!Arc::ptr_eq(&first, &art.drawn(&at(0.0), 40, 30).unwrap()));
        assert_ne!(first.pixels.data(), moved.pixels.data());
        let blue = art.recoloured(&BTreeMap::from([(
            Rgb([0xc0, 0x30, 0x20]),
            Rgb([0, 0, 255]),
        )]));
        let blue = blue.unwrap().drawn(&at(0.0), 40, 40).unwrap();
        assert_ne!(first.pixels.data(), blue.pixels.data());
    }

    #[test]
    fn recolour_changes_colours_and_not_references() {
        let from = [Rgb([0xaa, 0xbb, 0xcc]), Rgb([0x22, 0x33, 0x33])];
        let map = BTreeMap::from(from.map(|rgb| (rgb, Rgb([1, 2, 3]))));
        let text = r##"<path fill="#AABBCC" stroke="#abc" clip-path="url(#aabbcc)"/><use href="#aabbcc"/> #aabbccdd &#233;"##;
        let want = r##"<path fill="#010203" stroke="#010203" clip-path="url(#aabbcc)"/><use href="#aabbcc"/> #aabbccdd &#233;"##;
        assert_eq!(recolour(text, &map), want);
    }
}
