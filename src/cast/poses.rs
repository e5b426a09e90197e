//! Validated pose lists.

use std::borrow::Cow;
use std::path::PathBuf;
use std::sync::Arc;

use serde::Serialize;

use super::paper::PageSetup;
use super::sheet_kind::SheetKind;
use super::{CompareSettings, Look, Member, NameId, Reach};
use crate::diag::Span;
use crate::geom::Point;

/// Which side of another part a pose puts a part on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Side {
    /// Just behind it.
    Behind,
    /// Just in front of it.
    InFront,
}

impl Side {
    /// The key of a pose that says it.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::Behind => "behind",
            Self::InFront => "in_front",
        }
    }
}

/// One value of a pose, and where it is written.
#[derive(Clone, Debug, PartialEq)]
pub struct PoseEntry<T> {
    /// The part.
    pub part: NameId,
    /// The value.
    pub value: T,
    /// The value's place in the pose list; `None` for one that code says.
    pub span: Option<Span>,
}

/// What an entry of a pose says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Said<'a> {
    /// A turn, a stretch, or an offset of depth.
    Number(f64),
    /// A move, factors, skews, or an aim.
    Pair(Point),
    /// A lean.
    Three([f64; 3]),
    /// That nothing is said.
    Nothing,
    /// The part that it is behind, or in front of.
    Part(NameId),
    /// A replacement by name.
    Drawing(&'a str),
    /// Where the end of a limb goes; nothing where it is let go.
    Reach(Option<&'a Reach>),
}

/// Named settings of the rig, inheritance resolved: for each table the inherited entries come
/// first, in order; an entry of the pose itself replaces the inherited one for the same part.
#[derive(Clone, Debug, Default)]
pub struct Pose {
    /// Unique in its list.
    pub name: String,
    /// Where it is declared; `None` for a pose made in code.
    pub span: Option<Span>,
    /// For the people who read the sheet.
    pub note: Option<String>,
    /// Degrees.
    pub turn: Vec<PoseEntry<f64>>,
    /// Units of the parent's frame.
    pub shift: Vec<PoseEntry<Point>>,
    /// Factors.
    pub scale: Vec<PoseEntry<Point>>,
    /// Degrees.
    pub skew: Vec<PoseEntry<Point>>,
    /// Lift and bearing of limbs in space, degrees; `None`: it is not aimed.
    pub aim: Vec<PoseEntry<Option<Point>>>,
    /// How far forward and to the left a part leans and how far to the left it is turned, degrees; `None`: it does not.
    pub lean: Vec<PoseEntry<Option<[f64; 3]>>>,
    /// Factors along their lines.
    pub stretch: Vec<PoseEntry<f64>>,
    /// Offsets of depths.
    pub depth: Vec<PoseEntry<f64>>,
    /// Constraints: this part and all it carries on that side of the other. One list for `behind`
    /// and `in_front`; a part may have one of each.
    pub sides: Vec<PoseEntry<(Side, NameId)>>,
    /// Replacement by name (`art` and `none` are reserved).
    pub replace: Vec<PoseEntry<String>>,
    /// Where ends of limbs go; nothing where an inherited reach is let go.
    pub reach: Vec<PoseEntry<Option<Reach>>>,
    /// Feet that stay; nothing where an inherited one is let go.
    pub plant: Vec<PoseEntry<Option<Reach>>>,
    /// Where the eyes turn, and where that is written; nothing inside where they no longer look as in `from`.
    pub look: Option<(Option<Look>, Option<Span>)>,
    /// Index into the member's palettes; 0 if not said.
    pub palette: usize,
    /// Flipped left to right about the canvas's middle.
    pub mirror: bool,
    /// Places of the member's expressions that it wears, each over those before it, with their shares. What they say is
    /// among what it says.
    pub expressions: Vec<(usize, f64)>,
    /// How its picture is compared with the approved one; not inherited.
    pub compare: CompareSettings,
    /// What single views see otherwise.
    pub views: Vec<InView>,
}

/// What a pose says of one view, over all else that it says.
#[derive(Clone, Debug, Default)]
pub struct InView {
    /// The view's name.
    pub view: String,
    /// Its settings; their palette and mirror mean nothing.
    pub pose: Pose,
    /// In place of the pose's own.
    pub palette: Option<usize>,
    /// In place of the pose's own.
    pub mirror: Option<bool>,
}

impl InView {
    fn fits(&self, member: &Member) -> bool {
        self.pose.fits(member) && self.palette.unwrap_or(0) < member.palettes.len().max(1)
    }
}

impl Pose {
    /// Whether all parts that it sets, and its palette, are among those of a member.
    #[must_use]
    pub fn fits(&self, member: &Member) -> bool {
        let known = |name: NameId| name.at() < member.names.len();
        let fits = |said: Said<'_>| match said {
            Said::Part(of) => known(of),
            Said::Reach(Some(reach)) => reach.names().all(known),
            _ => true,
        };
        let mut all = self.entries();
        let look = self.look.iter().filter_map(|(look, _)| look.as_ref());
        let mut looks = look.flat_map(Look::names);
        all.all(|(_, part, _, said)| known(part) && fits(said))
            && looks.all(known)
            && self.palette < member.palettes.len().max(1)
            && (self.expressions.iter()).all(|(at, _)| *at < member.expressions.len())
            && self.views.iter().all(|one| one.fits(member))
    }

    /// Whether nothing of it is to be solved: all is as it says.
    #[must_use]
    pub fn is_plain(&self) -> bool {
        let looks = matches!(self.look, Some((Some(_), _)));
        let limbs = self.plant.iter().chain(&self.reach);
        let turned = self.aim.iter().any(|said| said.value.is_some())
            || self.lean.iter().any(|said| said.value.is_some());
        !looks
            && !turned
            && limbs.into_iter().all(|said| said.value.is_none())
            && self.views.iter().all(|one| one.pose.is_plain())
    }

    /// The pose as one view sees it.
    #[must_use]
    pub fn in_view(&self, view: Option<&str>) -> Cow<'_, Self> {
        let here = self.views.iter().find(|one| Some(&*one.view) == view);
        match here {
            Some(here) => Cow::Owned(here.over(self)),
            None if self.views.is_empty() => Cow::Borrowed(self),
            None => Cow::Owned(Self {
                views: Vec::new(),
                ..self.clone()
            }),
        }
    }

    /// All its entries: the key of their table, the part, the place, the value.
    pub fn entries(&self) -> impl Iterator<Item = (&'static str, NameId, Option<Span>, Said<'_>)> {
        fn table<'a, T>(
            table: &'a [PoseEntry<T>],
            said: impl Fn(&'a T) -> (&'static str, Said<'a>),
        ) -> impl Iterator<Item = (&'static str, NameId, Option<Span>, Said<'a>)> {
            table.iter().map(move |entry| {
                let (key, value) = said(&entry.value);
                (key, entry.part, entry.span, value)
            })
        }
        table(&self.turn, |v| ("turn", Said::Number(*v)))
            .chain(table(&self.shift, |v| ("move", Said::Pair(*v))))
            .chain(table(&self.scale, |v| ("scale", Said::Pair(*v))))
            .chain(table(&self.skew, |v| ("skew", Said::Pair(*v))))
            .chain(table(&self.aim, |v| {
                ("aim", v.map_or(Said::Nothing, Said::Pair))
            }))
            .chain(table(&self.lean, |v| {
                ("lean", v.map_or(Said::Nothing, Said::Three))
            }))
            .chain(table(&self.stretch, |v| ("stretch", Said::Number(*v))))
            .chain(table(&self.depth, |v| ("depth", Said::Number(*v))))
            .chain(table(&self.sides, |v| (v.0.key(), Said::Part(v.1))))
            .chain(table(&self.replace, |v| ("replace", Said::Drawing(v))))
            .chain(table(&self.plant, |v| ("plant", Said::Reach(v.as_ref()))))
            .chain(table(&self.reach, |v| ("reach", Said::Reach(v.as_ref()))))
    }

    /// The rest pose, without a name.
    #[must_use]
    pub fn rest() -> Self {
        Self::default()
    }
}

/// One joint of a sweep.
#[derive(Clone, Debug, PartialEq)]
pub struct SweepAxis {
    /// Which part turns.
    pub part: NameId,
    /// The angles, degrees, in order; the last is always the end of the range.
    pub angles: Vec<f64>,
}

/// Joints taken through their range.
#[derive(Clone, Debug)]
pub struct Sweep {
    /// Unique in its list.
    pub name: String,
    /// Where it is declared.
    pub span: Span,
    /// For the people who read the sheet.
    pub note: Option<String>,
    /// One joint makes a row, two make a grid.
    pub axes: Vec<SweepAxis>,
    /// One pose for each combination of angles, the last axis fastest; names are
    /// `elbow_near@-10` or `elbow_near@-10,30`.
    pub poses: Vec<Pose>,
}

/// A file of poses, read for one member.
#[derive(Clone, Debug, Default)]
pub struct PoseList {
    /// The file's stem.
    pub key: String,
    /// The file.
    pub path: PathBuf,
    /// In declaration order, those of `[stress]` tables after the others: `bends@01`, `bends@02`, ...
    pub poses: Vec<Pose>,
    /// In declaration order.
    pub sweeps: Vec<Sweep>,
    /// The sheets that it asks for, in declaration order.
    pub sheets: Vec<ListSheet>,
    /// Poses and sweeps that have errors, or inherit from one that has.
    pub left_out: Vec<LeftOut>,
    /// Sheets that have errors, or of which nothing is left.
    pub sheets_left_out: Vec<String>,
}

/// A sheet that a list asks for.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ListSheet {
    /// Unique in its list.
    pub name: String,
    /// Where it is declared.
    #[serde(skip)]
    pub span: Span,
    /// What it is.
    pub kind: SheetKind,
    /// What it is called, in place of its name.
    pub title: Option<String>,
    /// For the people who read it.
    pub note: Option<String>,
    /// Places of the views; else those that are asked for, of a turnaround all.
    pub views: Option<Vec<usize>>,
    /// Places of the poses in the list, in the sheet's order; else all that suit the kind.
    pub poses: Option<Vec<usize>>,
    /// Places of the sweeps in the list, in the sheet's order; else all that suit the kind.
    pub sweeps: Option<Vec<usize>>,
    /// How many poses or sweeps it names that the list left out.
    pub lacks: usize,
    /// Names of charts; else all.
    pub charts: Option<Vec<String>>,
    /// The name of the crop that cells show.
    pub crop: Option<String>,
    /// Cells show the whole canvas.
    pub canvas: bool,
    /// In place of the poses' own.
    pub palette: Option<usize>,
    /// Cells tell where hands go, which feet stay and where the eyes turn.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub targets: bool,
    /// How its pages are set up.
    pub setup: PageSetup,
}

impl ListSheet {
    /// True for a sheet of all poses, or all sweeps, of its list: it stands for the usual one.
    #[must_use]
    pub fn is_of_all(&self, kind: SheetKind, view: usize) -> bool {
        let shows = self.views.as_ref().is_none_or(|all| all.contains(&view));
        self.kind == kind && shows && self.poses.is_none() && self.sweeps.is_none()
    }
}

impl PoseList {
    /// The list as one view sees it.
    #[must_use]
    pub fn in_view(self: &Arc<Self>, view: Option<&str>) -> Arc<Self> {
        if self.all().all(|pose| pose.views.is_empty()) {
            return Arc::clone(self);
        }
        let mut seen = (**self).clone();
        let swept = seen.sweeps.iter_mut().flat_map(|sweep| &mut sweep.poses);
        for pose in seen.poses.iter_mut().chain(swept) {
            *pose = pose.in_view(view).into_owned();
        }
        Arc::new(seen)
    }

    /// Its poses, then those of its sweeps.
    pub fn all(&self) -> impl Iterator<Item = &Pose> {
        let swept = self.sweeps.iter().flat_map(|sweep| &sweep.poses);
        self.poses.iter().chain(swept)
    }

    /// Whether all that its poses and sweeps set is among what a member has.
    #[must_use]
    pub fn fits(&self, member: &Member) -> bool {
        self.all().all(|pose| pose.fits(member))
    }
}

/// A pose or sweep that cannot be made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeftOut {
    /// What it is called.
    pub name: String,
    /// A sweep, not a pose.
    pub sweep: bool,
    /// The pose that it inherits from, where the errors are that one's.
    pub base: Option<String>,
}
