//! What a pose says of where limbs go and eyes look.

use std::path::PathBuf;

use crate::cast::{NameId, PartId, View};
use crate::diag::Span;
use crate::geom::Point;

/// Where something goes.
#[derive(Clone, Debug, PartialEq)]
pub enum Target {
    /// A part: the first of its points, else its pivot.
    Part(NameId),
    /// A point of a part.
    PointOf(NameId, String),
    /// An element of a drawing.
    Element(ElementRef),
    /// A point of the canvas.
    At(Point),
}

/// An element that a pose names.
#[derive(Clone, Debug, PartialEq)]
pub struct ElementRef {
    /// As it is written: `wear.svg#handle`, or `#handle`.
    pub text: String,
    /// Its file, relative to the member's folder; else the drawing of the view.
    pub file: Option<PathBuf>,
    /// Its id.
    pub id: String,
    /// Where it is named.
    pub span: Span,
    /// Where it is in each view that has it: the view, the part that shows it, its middle at rest.
    pub places: Vec<(Option<String>, NameId, Point)>,
}

/// What a limb's end goes to, and how.
#[derive(Clone, Debug, PartialEq)]
pub struct Reach {
    /// Where to.
    pub to: Goal,
    /// Added to it, units of what it moves with.
    pub offset: Point,
    /// Which point of the end touches; else the first that it has, else its pivot.
    pub by: Option<String>,
    /// What turns.
    pub chain: ChainOf,
    /// Where the middle joint goes.
    pub fold: Option<Fold>,
    /// The end keeps its angle on the page.
    pub keep_angle: bool,
    /// How long the limbs may become.
    pub stretch: f64,
}

/// Where a limb's end goes.
#[derive(Clone, Debug, PartialEq)]
pub enum Goal {
    /// To something.
    To(Target),
    /// It stays where it is at rest.
    Rest,
    /// It stands on the ground, where it is at rest from left to right.
    Ground,
}

/// Which parts turn.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ChainOf {
    /// The two limbs above the end.
    Limbs,
    /// So many parts above it.
    Count(usize),
    /// These.
    Parts(Vec<NameId>),
}

/// Where the middle joint of a chain goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fold {
    /// On the page, from the line between the chain's ends.
    Up,
    /// The same.
    Down,
    /// The same.
    Left,
    /// The same.
    Right,
    /// Not as the limb folds by itself.
    Other,
}

impl Fold {
    /// As poses write it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Up => "up",
            Self::Down => "down",
            Self::Left => "left",
            Self::Right => "right",
            Self::Other => "other",
        }
    }
}

/// Where the eyes turn.
#[derive(Clone, Debug, PartialEq)]
pub struct Look {
    /// Where to.
    pub to: LookTo,
    /// Parts that turn with them, each by this share of the angle.
    pub share: Vec<(NameId, f64)>,
}

/// Where the eyes turn.
#[derive(Clone, Debug, PartialEq)]
pub enum LookTo {
    /// To something, moved so far.
    Target(Target, Point),
    /// By degrees: to the character's left, and up.
    Turned(Point),
}

impl Target {
    /// The part that it names.
    #[must_use]
    pub const fn part(&self) -> Option<NameId> {
        match self {
            Self::Part(part) | Self::PointOf(part, _) => Some(*part),
            Self::Element(_) | Self::At(_) => None,
        }
    }
}

impl Look {
    /// All parts that it names.
    pub(in crate::cast) fn names(&self) -> impl Iterator<Item = NameId> {
        let to = match &self.to {
            LookTo::Target(target, _) => target.part(),
            LookTo::Turned(_) => None,
        };
        to.into_iter()
            .chain(self.share.iter().map(|(part, _)| *part))
    }
}

impl Reach {
    /// All parts that it names.
    pub(in crate::cast) fn names(&self) -> impl Iterator<Item = NameId> {
        let to = match &self.to {
            Goal::To(target) => target.part(),
            Goal::Rest | Goal::Ground => None,
        };
        let chain = match &self.chain {
            ChainOf::Parts(parts) => parts.as_slice(),
            ChainOf::Limbs | ChainOf::Count(_) => &[],
        };
        to.into_iter().chain(chain.iter().copied())
    }

    /// The parts of a view that turn so that `end` goes there, from the body outwards.
    #[must_use]
    pub fn chain(&self, view: &View, end: PartId) -> Vec<PartId> {
        let above = || view.upwards(end).skip(1);
        let drawn = |part: &PartId| view.parts[part.at()].is_drawn();
        let mut chain: Vec<PartId> = match &self.chain {
            ChainOf::Parts(names) => {
                let named = |part: &PartId| names.contains(&view.parts[part.at()].name);
                above().filter(named).collect()
            }
            ChainOf::Count(count) => above().filter(drawn).take(*count).collect(),
            ChainOf::Limbs => {
                let mut below = end;
                let mut limbs = Vec::new();
                for part in above().filter(drawn) {
                    if limbs.len() == 2 || is_body(view, part, below) {
                        break;
                    }
                    limbs.push(part);
                    below = part;
                }
                limbs
            }
        };
        chain.reverse();
        chain
    }
}

/// Whether a part carries other joints beside the one that leads down from it: it is no limb.
fn is_body(view: &View, part: PartId, below: PartId) -> bool {
    let joint = |id: PartId| {
        view.parts[id.at()].limits.is_some() || view.seams.iter().any(|seam| seam.child == id)
    };
    let mut ids = view.ids();
    ids.any(|id| id != part && joint(id) && view.carries(part, id) && !view.carries(below, id))
}
