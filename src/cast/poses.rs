//! Validated pose lists.

use std::path::PathBuf;

use serde::Serialize;

use super::paper::PageSetup;
use super::sheet_kind::SheetKind;
use super::{CompareSettings, Member, NameId, View};
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

/// One value of a pose, and where it is written.
#[derive(Clone, Debug, PartialEq)]
pub struct PoseEntry<T> {
    /// The part.
    pub part: NameId,
    /// The value.
    pub value: T,
    /// The value's place in the pose list.
    pub span: Span,
}

/// Named settings of the rig, inheritance resolved: for each table the inherited entries come
/// first, in order; an entry of the pose itself replaces the inherited one for the same part.
#[derive(Clone, Debug)]
pub struct Pose {
    /// Unique in its list.
    pub name: String,
    /// Where it is declared.
    pub span: Span,
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
    /// Offsets of depths.
    pub depth: Vec<PoseEntry<f64>>,
    /// Constraints: this part and all it carries on that side of the other. One list for `behind`
    /// and `in_front`; a part may have one of each.
    pub sides: Vec<PoseEntry<(Side, NameId)>>,
    /// Replacement by name (`art` and `none` are reserved).
    pub replace: Vec<PoseEntry<String>>,
    /// Index into the member's palettes; 0 if not said.
    pub palette: usize,
    /// Flipped left to right about the canvas's middle.
    pub mirror: bool,
    /// How its picture is compared with the approved one; not inherited.
    pub compare: CompareSettings,
}

impl Pose {
    /// Whether all parts that it sets, and its palette, are among those of a member.
    #[must_use]
    pub fn fits(&self, member: &Member) -> bool {
        let known = |name: NameId| name.at() < member.names.len();
        let sides = self.sides.iter();
        let mut sides = sides.map(|entry| known(entry.part) && known(entry.value.1));
        self.turn.iter().all(|entry| known(entry.part))
            && self.shift.iter().all(|entry| known(entry.part))
            && self.scale.iter().all(|entry| known(entry.part))
            && self.skew.iter().all(|entry| known(entry.part))
            && self.depth.iter().all(|entry| known(entry.part))
            && sides.all(|fits| fits)
            && self.replace.iter().all(|entry| known(entry.part))
            && self.palette < member.palettes.len().max(1)
    }

    /// The rest pose, without a name, declared at `span`.
    #[must_use]
    pub const fn rest(span: Span) -> Self {
        Self {
            name: String::new(),
            span,
            note: None,
            turn: Vec::new(),
            shift: Vec::new(),
            scale: Vec::new(),
            skew: Vec::new(),
            depth: Vec::new(),
            sides: Vec::new(),
            replace: Vec::new(),
            palette: 0,
            mirror: false,
            compare: CompareSettings::UNSAID,
        }
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
    /// Whether all that its poses and sweeps set is among what a member has.
    #[must_use]
    pub fn fits(&self, member: &Member) -> bool {
        let swept = self.sweeps.iter().flat_map(|sweep| &sweep.poses);
        self.poses.iter().chain(swept).all(|pose| pose.fits(member))
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

impl View {
    /// What a table of a pose says of parts that this view has, by place.
    pub fn entries<'a, T>(
        &self,
        table: &'a [PoseEntry<T>],
    ) -> impl Iterator<Item = (usize, &'a T)> {
        let by_name = |name: NameId| self.by_name[name.at()];
        let all = table.iter();
        all.filter_map(move |entry| Some((by_name(entry.part)?.at(), &entry.value)))
    }
}
