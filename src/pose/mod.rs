//! A pose with nothing left to look up: what solving, checks and digests read, whether a list says it or code makes it.

mod aim;
mod chain;
pub(crate) mod depth;
mod look;
mod note;
mod reach;
mod skeleton;
mod space;
mod steps;

pub use note::{Note, Told};
pub use steps::{Solved, solved};

use std::fmt::Write as _;

use crate::art::ArtId;
use crate::cast::{Drawing, NameId, PartId, Pose, PoseEntry, Setting, Side, View};

/// A pose of one view.
#[derive(Clone, Debug, PartialEq)]
pub struct ResolvedPose {
    /// One for each part of the view.
    pub parts: Vec<PartPose>,
    /// What the pose says of depth beside offsets, in its order.
    pub rules: Vec<DepthRule>,
    /// Index into the member's palettes; 0 for a member without any.
    pub palette: usize,
    /// Flipped left to right about the canvas's middle.
    pub mirror: bool,
}

/// A part in a pose.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PartPose {
    /// Relative to what carries it.
    pub setting: Setting,
    /// Added to its own depth.
    pub depth: f64,
    /// What it shows.
    pub drawing: Drawing,
}

/// `part`, with all that it carries, is on that `side` of `of`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DepthRule {
    /// What is put somewhere.
    pub part: PartId,
    /// Behind or in front.
    pub side: Side,
    /// Of what.
    pub of: PartId,
}

impl ResolvedPose {
    /// The view as it is drawn.
    #[must_use]
    pub fn rest(view: &View) -> Self {
        let rest = |drawing| PartPose {
            setting: Setting::REST,
            depth: 0.0,
            drawing,
        };
        Self {
            parts: view.parts.iter().map(|part| rest(part.art)).collect(),
            rules: Vec::new(),
            palette: 0,
            mirror: false,
        }
    }

    /// What a pose comes to in a view; what is to be told of that is left out.
    #[must_use]
    pub fn new(pose: &Pose, view: &View) -> Self {
        solved(pose, view).pose
    }

    /// What a pose says of a view's parts by itself, with nothing solved.
    fn plain(pose: &Pose, view: &View) -> Self {
        let mut all = Self::rest(view);
        let parts = &mut all.parts;
        each(view, &pose.turn, |part, &v| parts[part].setting.turn = v);
        each(view, &pose.shift, |part, &v| parts[part].setting.shift = v);
        each(view, &pose.scale, |part, &v| parts[part].setting.scale = v);
        each(view, &pose.skew, |part, &v| parts[part].setting.skew = v);
        each(view, &pose.stretch, |part, &v| {
            parts[part].setting.stretch = v;
        });
        each(view, &pose.depth, |part, &v| parts[part].depth += v);
        each(view, &pose.replace, |part, name| {
            parts[part].drawing = view.parts[part].drawing(name);
        });
        all.rules = rules(pose, view).map(|(_, rule)| rule).collect();
        all.palette = pose.palette;
        all.mirror = pose.mirror;
        all
    }

    /// The view as it is drawn, with the depths of this pose.
    #[must_use]
    pub fn depths(&self, view: &View) -> Self {
        let mut all = Self::rest(view);
        for (part, own) in all.parts.iter_mut().zip(&self.parts) {
            part.depth = own.depth;
        }
        all.rules.clone_from(&self.rules);
        all
    }

    /// All that differs from rest, and every drawing, in words and numbers: two poses of a view with the same words
    /// make the same figure. Drawings and the palette are called what the caller says.
    pub fn words<'a>(&self, drawing: impl Fn(ArtId) -> &'a str, palette: &str) -> String {
        let Self {
            parts,
            rules,
            palette: _,
            mirror,
        } = self;
        let mut words = format!("palette {palette}\nmirror {mirror}\n");
        let mut line = |part: usize, word: &str, numbers: &[f64], rest: f64| {
            if numbers.iter().any(|&v| v != rest) {
                let _ = write!(words, "{part} {word}");
                for v in numbers {
                    let _ = write!(words, " {v}");
                }
                words.push('\n');
            }
        };
        for (at, part) in parts.iter().enumerate() {
            let PartPose {
                setting:
                    Setting {
                        turn,
                        shift,
                        scale,
                        skew,
                        stretch,
                    },
                depth,
                drawing: _,
            } = part;
            line(at, "turn", &[*turn], 0.0);
            line(at, "move", shift, 0.0);
            line(at, "scale", scale, 1.0);
            line(at, "skew", skew, 0.0);
            line(at, "stretch", &[*stretch], 1.0);
            line(at, "depth", &[*depth], 0.0);
        }
        for (at, part) in parts.iter().enumerate() {
            if let Some(id) = part.drawing.art() {
                let _ = writeln!(words, "{at} shows {}", drawing(id));
            }
        }
        for DepthRule { part, side, of } in rules {
            let _ = writeln!(words, "{} {} {}", part.at(), side.key(), of.at());
        }
        words
    }
}

/// The depth rules of a pose in a view, each with the entry that says it. A view without one of the two parts has
/// nothing to put in order.
pub(crate) fn rules<'a>(
    pose: &'a Pose,
    view: &'a View,
) -> impl Iterator<Item = (&'a PoseEntry<(Side, NameId)>, DepthRule)> {
    pose.sides.iter().filter_map(|said| {
        let (side, of) = said.value;
        let (part, of) = (view.part(said.part)?, view.part(of)?);
        Some((said, DepthRule { part, side, of }))
    })
}

/// Goes through what a table says of parts that a view has.
fn each<T>(view: &View, table: &[PoseEntry<T>], mut take: impl FnMut(usize, &T)) {
    for said in table {
        if let Some(part) = view.part(said.part) {
            take(part.at(), &said.value);
        }
    }
}
