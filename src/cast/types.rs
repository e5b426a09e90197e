//! The validated cast: names are indices, defaults are values, art is loaded.

use std::path::PathBuf;

use indexmap::IndexMap;

use serde::Serialize;

use super::guides::Guides;
use super::poses::Pose;
use crate::art::{ArtId, Rgb};
use crate::diag::Span;
use crate::geom::Point;

pub use super::measure::{CheckLimits, Measure};

/// A part of one view, by declaration order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub struct PartId(pub u32);

/// A part name of a member; shared by all its views.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct NameId(pub u32);

impl PartId {
    /// From an index.
    #[must_use]
    pub fn of(at: usize) -> Self {
        Self(u32::try_from(at).unwrap_or(u32::MAX))
    }

    /// As an index.
    #[must_use]
    pub const fn at(self) -> usize {
        self.0 as usize
    }
}

impl NameId {
    /// From an index.
    #[must_use]
    pub fn of(at: usize) -> Self {
        Self(u32::try_from(at).unwrap_or(u32::MAX))
    }

    /// As an index.
    #[must_use]
    pub const fn at(self) -> usize {
        self.0 as usize
    }
}

/// A set of named colours.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Palette {
    /// `day`, `dusk`, ...
    pub name: String,
    /// Colour by swatch name, in declaration order. Every palette has every swatch of the
    /// member: those it leaves out are as drawn.
    pub swatches: IndexMap<String, Rgb>,
}

/// The swatch that an element's id `swatch-<id>` means, the longest of these names where several do: ids
/// are unique in a file, so `skin-2` means skin too.
pub fn swatch_of<'a>(id: &str, names: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    let means = |name: &&str| {
        let rest = id.strip_prefix(name);
        rest.is_some_and(|rest| rest.is_empty() || rest.starts_with(['-', '_', '.']))
    };
    names.filter(means).max_by_key(|name| name.len())
}

/// One member of the cast.
#[derive(Clone, Debug)]
pub struct Member {
    /// Display name, `[character] name`.
    pub name: String,
    /// The folder's name: what files and commands call this member.
    pub key: String,
    /// Folder that holds `rig.toml`.
    pub folder: PathBuf,
    /// Width and height of the art space, user units.
    pub canvas: Point,
    /// Its pictures grow where a figure leaves the canvas.
    pub grow: bool,
    /// Which side of the body names of parts call near.
    pub near: Option<Flank>,
    /// y of the floor.
    pub ground: Option<f64>,
    /// y of the top of the head.
    pub crown: Option<f64>,
    /// Figure height in heads.
    pub heads: Option<f64>,
    /// In life, from ground to crown.
    pub height: Option<Height>,
    /// How far a landmark may drift between views, as a share of the figure's height.
    pub drift: f64,
    /// The member's own pose lists, resolved against the folder.
    pub poses: Vec<PathBuf>,
    /// How its pictures are compared with the approved ones.
    pub compare: CompareSettings,
    /// The swatches as the art is drawn. May be empty.
    pub drawn: Palette,
    /// The first is the default. May be empty.
    pub palettes: Vec<Palette>,
    /// Names of parts over all views, in order of first declaration.
    pub names: Vec<String>,
    /// At least one.
    pub views: Vec<View>,
    /// What `layfig lint` finds and is meant.
    pub allowed: Vec<super::Allowed>,
    /// From what on it finds fault.
    pub lint: super::LintLimits,
    /// Named settings that poses take, in declaration order.
    pub expressions: IndexMap<String, Pose>,
}

/// From when on a new picture counts as changed, as far as a rig or a pose says.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct CompareSettings {
    /// CIEDE2000.
    pub colour: Option<f64>,
    /// How far an edge may move, pixels.
    pub edge: Option<f64>,
    /// How many pixels may change.
    pub pixels: Option<f64>,
    /// Pixels to the canvas unit of the approved pictures; only a rig says it.
    pub scale: Option<f64>,
}

/// A height in life.
#[derive(Clone, Debug, PartialEq)]
pub struct Height {
    /// As it is written: `168 cm`.
    pub text: String,
    /// The same in millimetres.
    pub millimetres: f64,
}

impl Member {
    /// The limits that a part is checked by.
    #[must_use]
    pub fn check_limits(&self, view: usize, part: PartId) -> &CheckLimits {
        let view = &self.views[view];
        let name = view.parts[part.at()].name;
        let own = view.check_parts.iter().find(|(n, _)| *n == name);
        own.map_or(&view.check, |(_, limits)| limits)
    }
}

/// One angle of a member.
#[derive(Clone, Debug)]
pub struct View {
    /// `None` for a member that has only one and does not name it.
    pub name: Option<String>,
    /// Its drawing, relative to the member's folder.
    pub drawing: Option<PathBuf>,
    /// y of the floor.
    pub ground: Option<f64>,
    /// In declaration order.
    pub parts: Vec<Part>,
    /// In declaration order.
    pub seams: Vec<Seam>,
    /// In declaration order.
    pub masks: Vec<Mask>,
    /// In declaration order.
    pub garments: Vec<Garment>,
    /// Degrees that it shows the body turned from the viewer, to screen right; `None` where nobody says it.
    pub facing: Option<f64>,
    /// The least share of its drawn length that an aim leaves of a limb.
    pub shortest: f64,
    /// For its sheets.
    pub guides: Guides,
    /// What `layfig check` finds fault with.
    pub check: CheckLimits,
    /// The same for single parts.
    pub check_parts: Vec<(NameId, CheckLimits)>,
    /// For each name of the member, its part here.
    pub by_name: Vec<Option<PartId>>,
}

impl View {
    /// Its part of this name; `None` too for a name of another member.
    #[must_use]
    pub fn part(&self, name: NameId) -> Option<PartId> {
        self.by_name.get(name.at()).copied().flatten()
    }

    /// Where a part touches, at rest: the first of its points, else its pivot.
    #[must_use]
    pub fn touch(&self, part: PartId) -> Point {
        let part = &self.parts[part.at()];
        part.points.values().next().copied().unwrap_or(part.pivot)
    }

    /// All its parts.
    pub fn ids(&self) -> impl Iterator<Item = PartId> + use<> {
        (0..self.parts.len()).map(PartId::of)
    }

    /// A part, what carries it, what carries that, and so on.
    pub fn upwards(&self, part: PartId) -> impl Iterator<Item = PartId> {
        std::iter::successors(Some(part), |part| self.parts[part.at()].parent)
    }

    /// Whether `by` is a part or carries it.
    #[must_use]
    pub fn carries(&self, by: PartId, part: PartId) -> bool {
        self.upwards(part).any(|p| p == by)
    }

    /// Every drawing that it can show.
    pub fn drawings(&self) -> impl Iterator<Item = ArtId> {
        let parts = self.parts.iter();
        let parts = parts.flat_map(|part| part.replacements.values().chain([&part.art]));
        let parts = parts.filter_map(|drawing| drawing.art());
        let zones = self.seams.iter().filter_map(|seam| match seam.zone {
            Zone::Art(id) => Some(id),
            Zone::Auto | Zone::Radius(_) => None,
        });
        let patches = self.seams.iter().filter_map(|seam| seam.patch);
        parts.chain(zones).chain(patches)
    }
}

/// One of several drawings for a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Drawing {
    /// A loaded drawing.
    Art(ArtId),
    /// Nothing: a joint without art, or the reserved replacement `none`.
    Empty,
}

impl Drawing {
    /// The drawing, if there is one.
    #[must_use]
    pub const fn art(self) -> Option<ArtId> {
        match self {
            Self::Art(id) => Some(id),
            Self::Empty => None,
        }
    }
}

/// A piece of art that moves as one.
#[derive(Clone, Debug)]
pub struct Part {
    /// Its name in the member's list of names.
    pub name: NameId,
    /// Where it is declared.
    pub span: Span,
    /// The drawing that is shown unless a pose replaces it.
    pub art: Drawing,
    /// Replacements by name, declaration order. The reserved names `art` and `none` are not listed.
    pub replacements: IndexMap<String, Drawing>,
    /// The part that carries it.
    pub parent: Option<PartId>,
    /// The point it turns about, canvas units at rest.
    pub pivot: Point,
    /// Relative to the parent's.
    pub depth: f64,
    /// Least and greatest turn, degrees.
    pub limits: Option<[f64; 2]>,
    /// Where the art goes on the canvas, when it is not drawn in its place.
    pub place: Setting,
    /// Points of it by name, canvas units at rest; the first is where it touches.
    pub points: IndexMap<String, Point>,
    /// How far it goes when the figure looks, along x and y.
    pub look: Option<Point>,
    /// Where its line ends, as the rig says.
    pub tip: Option<Point>,
    /// Where its line, which begins at the pivot, ends; `None` where it has no length.
    pub end: Option<Point>,
    /// How it lies in space, and what of that shows.
    pub space: Space,
}

/// A side of the body.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Flank {
    /// The character's left.
    Left,
    /// The character's right.
    Right,
}

impl Flank {
    /// 1 for left, -1 for right.
    #[must_use]
    pub const fn sign(self) -> f64 {
        match self {
            Self::Left => 1.0,
            Self::Right => -1.0,
        }
    }
}

/// How a part lies in space.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Space {
    /// The side of the body that it is on.
    pub side: Option<Flank>,
    /// Lift and bearing of its line as it is drawn in this view, degrees; without, a limb hangs.
    pub drawn: Option<Point>,
    /// How far to the left of the body's middle its pivot lies, units.
    pub left: f64,
    /// Replacements that show where an aim leaves such a share of its drawn length, least and most.
    pub foreshortened: Vec<(String, [f64; 2])>,
}

impl Part {
    /// True if it shows something, or may: a part without art or replacements only carries.
    #[must_use]
    pub fn is_drawn(&self) -> bool {
        self.art != Drawing::Empty || !self.replacements.is_empty()
    }

    /// The drawing of a name that a pose gives: a replacement, or one of the reserved names.
    #[must_use]
    pub fn drawing(&self, name: &str) -> Drawing {
        match name {
            "none" => Drawing::Empty,
            other => self.replacements.get(other).copied().unwrap_or(self.art),
        }
    }
}

/// A part's own transform: stretch, then scale, then skew, then turn about the pivot, then move.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Setting {
    /// Degrees, positive clockwise on screen.
    pub turn: f64,
    /// Units of the parent's frame.
    pub shift: Point,
    /// Along x and y; 1 is as drawn.
    pub scale: Point,
    /// Degrees along x and y.
    pub skew: Point,
    /// Along its line; 1 is as drawn. What it carries rides on the stretched place of its own pivot.
    pub stretch: f64,
}

impl Setting {
    /// As drawn.
    pub const REST: Self = Self {
        turn: 0.0,
        shift: [0.0, 0.0],
        scale: [1.0, 1.0],
        skew: [0.0, 0.0],
        stretch: 1.0,
    };
}

/// How far from the joint a seam opens inks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Zone {
    /// The disc about the joint's pivot that covers all outline hidden at rest.
    Auto,
    /// A disc of this radius about the joint's pivot.
    Radius(f64),
    /// A drawn shape: its paint.
    Art(ArtId),
}

/// Whose ink a seam opens.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Opens {
    /// Both.
    Both,
    /// Only the ink of the part that carries the other.
    Parent,
    /// Only the ink of the part that is carried.
    Child,
}

/// A join of two parts whose inks open into each other.
#[derive(Clone, Debug)]
pub struct Seam {
    /// Its name.
    pub name: String,
    /// Where it is declared.
    pub span: Span,
    /// The part nearer the root (or, between unrelated parts, the first named).
    pub parent: PartId,
    /// The part whose pivot is the joint's.
    pub child: PartId,
    /// Where inks open.
    pub zone: Zone,
    /// Whose ink opens.
    pub opens: Opens,
    /// Paint laid over.
    pub patch: Option<ArtId>,
}

/// Whether a mask shows the inside or the outside.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Keep {
    /// Only what lies inside the other parts.
    Inside,
    /// Only what lies outside them.
    Outside,
}

/// Shows a part only inside, or only outside, other parts.
#[derive(Clone, Debug)]
pub struct Mask {
    /// Its name.
    pub name: String,
    /// Where it is declared.
    pub span: Span,
    /// What is masked.
    pub part: PartId,
    /// Which side stays.
    pub keep: Keep,
    /// The parts whose silhouettes, together, are the mask.
    pub of: Vec<PartId>,
}

/// A colour named in a rig.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ColourName {
    /// A swatch of the palettes.
    Swatch(String),
    /// Itself.
    Plain(Rgb),
}

/// A part worn on other parts.
#[derive(Clone, Debug)]
pub struct Garment {
    /// Its name.
    pub name: String,
    /// Where it is declared.
    pub span: Span,
    /// The part that is worn.
    pub part: PartId,
    /// The parts that wear it.
    pub on: Vec<PartId>,
    /// Colour of the hosts' ink where the garment covers it.
    pub trim: Option<ColourName>,
}

/// The members of a show, as a cast file lists them.
#[derive(Clone, Debug)]
pub struct Cast {
    /// Display name, `[cast] name`; the file's stem if it is not given.
    pub name: String,
    /// The file.
    pub path: PathBuf,
    /// In declaration order.
    pub members: Vec<CastMember>,
    /// The names of the members whose entries have errors.
    pub left_out: Vec<String>,
}

/// A member of a cast, not yet read.
#[derive(Clone, Debug)]
pub struct CastMember {
    /// What the cast calls this member.
    pub key: String,
    /// Where it is declared.
    pub span: Span,
    /// Its `rig.toml`; it was there when the cast was read.
    pub rig: PathBuf,
}
