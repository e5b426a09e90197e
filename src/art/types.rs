//! What a part's drawing is once read.

use std::path::PathBuf;
use std::sync::Arc;

use crate::geom::Affine;

/// Between the names of elements that are one drawing.
pub(crate) const BETWEEN: &str = " + ";

/// An sRGB colour without alpha.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Rgb(pub [u8; 3]);

impl Rgb {
    /// Reads `#rrggbb` or `#rgb`, as CSS writes them.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let hex = text.strip_prefix('#')?;
        if !hex.bytes().all(|b| b.is_ascii_hexdigit()) {
            return None;
        }
        let digit = |i: usize| u8::from_str_radix(hex.get(i..=i)?, 16).ok();
        let pair = |i: usize| u8::from_str_radix(hex.get(i..i + 2)?, 16).ok();
        match hex.len() {
            3 => Some(Self([digit(0)? * 17, digit(1)? * 17, digit(2)? * 17])),
            6 => Some(Self([pair(0)?, pair(2)?, pair(4)?])),
            _ => None,
        }
    }
}

impl std::fmt::Display for Rgb {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let [r, g, b] = self.0;
        write!(f, "#{r:02x}{g:02x}{b:02x}")
    }
}

/// A loaded drawing, by its place in the [`Library`](super::Library).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ArtId(pub u32);

impl ArtId {
    /// As an index.
    #[must_use]
    pub const fn at(self) -> usize {
        self.0 as usize
    }
}

/// A part's drawing: shapes in document order.
#[derive(Clone, Debug)]
pub struct PartArt {
    /// The file it came from.
    pub file: PathBuf,
    /// The element's id.
    pub id: String,
    /// Back to front.
    pub shapes: Vec<Shape>,
}

/// Ink or paint.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Role {
    /// Outline art.
    Ink,
    /// Filled colour.
    Paint,
}

/// One fill, one stroke, or one thing that only pixels can show.
#[derive(Clone, Debug)]
pub struct Shape {
    /// Ink or paint.
    pub role: Role,
    /// The geometry, in the element's own coordinates.
    pub outline: Outline,
    /// From the element's coordinates to the canvas.
    pub to_canvas: Affine,
    /// Colour; unused by [`Outline::Raster`].
    pub source: Source,
    /// 0 to 1; fill or stroke opacity times that of lone-child groups.
    pub opacity: f32,
    /// Clip paths that apply, each in its own coordinates.
    pub clips: Vec<ClipShape>,
    /// True where the art asks for hard edges (`shape-rendering: crispEdges`).
    pub crisp: bool,
    /// The element's own id; may be empty.
    pub id: String,
}

/// Geometry of a shape.
#[derive(Clone, Debug)]
pub enum Outline {
    /// A filled path.
    Fill {
        /// Closed or not; open ends are joined.
        path: tiny_skia::Path,
        /// Winding or even-odd.
        rule: tiny_skia::FillRule,
    },
    /// A stroked path.
    Stroke {
        /// The line.
        path: tiny_skia::Path,
        /// Width, cap, join, dash.
        stroke: tiny_skia::Stroke,
        /// The dash lengths and offset that `stroke` was made with.
        dash: Option<(Vec<f32>, f32)>,
    },
    /// A subtree drawn by resvg.
    Raster(super::RasterArt),
}

/// A union of filled paths that art is seen through.
#[derive(Clone, Debug)]
pub struct ClipShape {
    /// Each with its fill rule and its transform to the canvas.
    pub paths: Vec<(tiny_skia::Path, tiny_skia::FillRule, Affine)>,
}

/// A colour of the art.
#[derive(Clone, Debug, PartialEq)]
pub struct Colour {
    /// As drawn.
    pub rgb: Rgb,
    /// From an element id `swatch-<name>`, or found by value when the rig is linked.
    pub swatch: Option<String>,
}

/// What a shape is filled with.
#[derive(Clone, Debug)]
pub enum Source {
    /// One colour.
    Solid(Colour),
    /// Along a line.
    Linear(Arc<Gradient>, [f32; 4]),
    /// From a circle (`fx fy fr`) to a circle (`cx cy r`).
    Radial(Arc<Gradient>, [f32; 6]),
}

impl Source {
    /// All its colours, of a gradient those of its stops.
    #[must_use]
    pub fn colours(&self) -> Vec<&Colour> {
        match self {
            Self::Solid(colour) => vec![colour],
            Self::Linear(gradient, _) | Self::Radial(gradient, _) => {
                gradient.stops.iter().map(|(_, colour, _)| colour).collect()
            }
        }
    }
}

/// The stops of a gradient and how it goes on.
#[derive(Clone, Debug)]
pub struct Gradient {
    /// Offset 0 to 1, colour, opacity 0 to 1.
    pub stops: Vec<(f32, Colour, f32)>,
    /// Beyond the ends.
    pub spread: tiny_skia::SpreadMode,
    /// From gradient space to the element's coordinates.
    pub transform: tiny_skia::Transform,
}
