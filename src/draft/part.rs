//! A part as it is drafted: what is drawn, and what was decided about it.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::layers::Piece;
use super::trade::{Trade, trade};
use super::words::Words;
use crate::art::{Fineness, Outline, PartArt, Rgb, Role, Source};
use crate::geom::{Affine, Point, Region, flatten, joined};
use crate::solve::ArtRegions;

/// How sure a decision is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Sure {
    /// A person should look.
    Guess,
    /// Probably.
    Likely,
    /// The drawing says so.
    Certain,
}

impl Sure {
    /// As it is told.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Guess => "a guess",
            Self::Likely => "likely",
            Self::Certain => "certain",
        }
    }
}

/// A decision with its reason.
#[derive(Clone, Debug, PartialEq)]
pub struct Decided<T> {
    /// What.
    pub value: T,
    /// How sure.
    pub sure: Sure,
    /// Why.
    pub why: String,
}

impl<T> Decided<T> {
    /// A decision.
    pub fn new(value: T, sure: Sure, why: impl Into<String>) -> Self {
        Self {
            value,
            sure,
            why: why.into(),
        }
    }
}

/// A drawing: a file and its elements, as a rig names them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Drawing {
    /// The file, from the rig's folder.
    pub file: String,
    /// Back to front.
    pub elements: Vec<String>,
}

/// How a rig says where a part turns.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Turns {
    /// At a point.
    #[default]
    At,
    /// At a mark in the drawing.
    Mark(String),
    /// Where another part turns.
    With(usize),
}

/// What is drawn of a part, on the canvas.
#[derive(Clone, Debug)]
pub struct Shown {
    /// Ink and paint.
    pub silhouette: Region,
    /// All solid paint.
    pub paint: Region,
    /// The ink along the paint's edge.
    pub outline: Region,
    /// The paint less that ink.
    pub inner: Region,
    /// Mean width of that ink, units.
    pub line: f64,
    /// The box of its lines and fills, without the width of lines.
    pub bare: [f64; 4],
    /// The box about all of it.
    pub bounds: [f64; 4],
    /// Square units.
    pub area: f64,
    /// Its shapes.
    pub art: Arc<PartArt>,
    /// What each shape covers.
    pub shapes: Vec<Region>,
}

/// A part.
#[derive(Clone, Debug)]
pub struct Part {
    /// As the rig calls it.
    pub name: String,
    /// As the drawing calls it; empty where it has no name.
    pub label: String,
    /// In words.
    pub words: Words,
    /// What its words say that it is.
    pub trade: Option<&'static Trade>,
    /// Its drawing.
    pub drawing: Drawing,
    /// What is drawn.
    pub shown: Shown,
    /// Other drawings, by name.
    pub replacements: Vec<(String, Drawing)>,
    /// The part that it is drawn in.
    pub inside: Option<usize>,
    /// The folders around it.
    pub around: Vec<usize>,
    /// What the artist clipped it to.
    pub clip: Option<Region>,
    /// That is said of a group around it, and a rig must say it with a mask.
    pub clipped_around: bool,
    /// The drawing program's centre of rotation.
    pub centre: Option<Point>,
    /// It lies in front of parts inside the part that it is of, and goes along with it.
    pub rigid: bool,
    /// Its group has an effect that its elements alone do not have.
    pub lost: bool,
    /// What carries it.
    pub parent: Option<Decided<usize>>,
    /// What it turns about.
    pub pivot: Decided<Point>,
    /// How the rig says that.
    pub turns: Turns,
    /// Least and greatest turn, and how the rig writes them.
    pub limits: Option<Decided<(String, [f64; 2])>>,
}

impl Shown {
    /// From a loaded drawing; `None` where nothing is seen.
    pub(super) fn new(art: Arc<PartArt>, fine: Fineness, shift: &Affine) -> Option<Self> {
        let regions = ArtRegions::new(&art, fine);
        let put = |region: &Region| region.transformed(shift);
        let silhouette = put(regions.silhouette(&art));
        let bounds = silhouette.bounds()?;
        let outline = put(regions.outline(&art));
        let around = outline.perimeter() / 2.0;
        let line = if around > 0.0 {
            outline.area() / around
        } else {
            0.0
        };
        let bare = art.shapes.iter().filter_map(|shape| {
            let (Outline::Fill { path, .. } | Outline::Stroke { path, .. }) = &shape.outline else {
                return None;
            };
            let contours = flatten(path, &shift.after(shape.to_canvas), fine.tolerance);
            crate::geom::bounds_of(contours.into_iter().flatten())
        });
        Some(Self {
            paint: put(regions.paint(&art)),
            inner: put(regions.inner(&art)),
            bare: bare.reduce(joined).unwrap_or(bounds),
            area: silhouette.area(),
            shapes: regions.shapes.iter().map(|r| put(r)).collect(),
            silhouette,
            outline,
            line,
            bounds,
            art,
        })
    }

    /// The plain colours of its paint or ink that show within a region, with their areas, largest first.
    #[must_use]
    pub fn colours(&self, role: Role, within: Option<&Region>) -> Vec<(Rgb, f64)> {
        let mut found: BTreeMap<Rgb, f64> = BTreeMap::new();
        let mut over = Region::empty();
        for (shape, region) in self.art.shapes.iter().zip(&self.shapes).rev() {
            if shape.role != role || shape.opacity < 0.5 {
                continue;
            }
            let seen = match within {
                Some(within) => region.intersection(within).difference(&over),
                None => region.difference(&over),
            };
            if let (Source::Solid(colour), false) =
                (&shape.source, matches!(shape.outline, Outline::Raster(_)))
            {
                *found.entry(colour.rgb).or_default() += seen.area();
            }
            over = over.union(region);
        }
        let mut all: Vec<(Rgb, f64)> = found.into_iter().filter(|(_, area)| *area > 0.0).collect();
        all.sort_by(|a, b| b.1.total_cmp(&a.1));
        all
    }

    /// The middle of its box.
    #[must_use]
    pub fn middle(&self) -> Point {
        [0, 1].map(|k| f64::midpoint(self.bounds[k], self.bounds[k + 2]))
    }

    /// Whether the boxes have so much in common, as a share of what both cover.
    #[must_use]
    pub fn in_place_of(&self, other: &Self) -> f64 {
        let size = |b: [f64; 4]| (b[2] - b[0]).max(0.0) * (b[3] - b[1]).max(0.0);
        let common = crate::geom::common(self.bounds, other.bounds).map_or(0.0, size);
        let all = size(self.bounds) + size(other.bounds) - common;
        if all > 0.0 { common / all } else { 0.0 }
    }

    /// What both cover, as a share of what either does.
    #[must_use]
    pub fn alike(&self, other: &Self) -> f64 {
        let common = self.silhouette.intersection(&other.silhouette).area();
        common / (self.area + other.area - common).max(f64::MIN_POSITIVE)
    }
}

impl Part {
    /// A piece of a drawing as a part about which nothing is decided.
    pub fn new(piece: &Piece, file: &str, shown: Shown) -> Self {
        Self {
            name: piece.words.name(),
            label: piece.label.clone(),
            trade: trade(&piece.words),
            words: piece.words.clone(),
            drawing: Drawing {
                file: file.to_owned(),
                elements: piece.art.clone(),
            },
            pivot: Decided::new(shown.middle(), Sure::Guess, "the middle of its drawing"),
            turns: Turns::At,
            shown,
            replacements: Vec::new(),
            inside: None,
            around: piece.around.clone(),
            clip: None,
            clipped_around: false,
            centre: piece.centre,
            rigid: false,
            lost: piece.effect,
            parent: None,
            limits: None,
        }
    }

    /// Whether its name says that it is this sort of part.
    #[must_use]
    pub fn is(&self, trade: &str) -> bool {
        self.trade.is_some_and(|t| t.name == trade)
    }
}
