//! The files people write, read and validated: names become indices once, here.
//!
//! [`load_member`] reads a rig with its views, [`load_poses`] a pose list for that member,
//! [`load_cast`] the list of members. Each reports every mistake of its files, with the place and
//! a hint. A rig with an error is no member; of lists and casts, what has no error is returned.

mod character;
mod check;
mod colours;
mod compare;
mod drawings;
mod expression;
mod field;
mod fields;
mod file;
mod garment;
mod guides;
mod inherit;
mod keys;
mod like;
mod limits;
mod link;
mod lint;
mod list_sheet;
mod mask;
mod measure;
mod member;
mod mirror;
mod names;
mod norms;
mod off_palette;
mod page_setup;
mod paper;
mod part;
mod pivot;
mod points;
mod pose;
mod pose_list;
mod poses;
mod reach;
mod recover;
mod reference;
mod report;
mod roster;
mod seam;
mod setting;
mod sheet_kind;
mod sheet_names;
mod space;
mod stress;
mod sweep;
mod syntax;
mod tables;
mod tip;
mod tree;
mod types;
mod value;
mod view;

use drawings::Drawings;
pub use guides::{Chart, Crop, Edge, Guides, Landmark, LandmarkPlace, Length, Note};
pub use keys::{FileKind, Form, Key, KeyPlace, Kind, TOPICS, Topic, Usual, find_keys};
pub use lint::{Allowed, LINT_CHECKS, LintLimits};
pub use member::{load_member, member_key};
pub use norms::{Checked, Norm, Source, norms, opposite};
pub use paper::{LONGEST_SIDE, PageSetup, Paper, SHORTEST_SIDE, Stock, Way};
pub use pose_list::load_poses;
pub use poses::{
    InView, LeftOut, ListSheet, Pose, PoseEntry, PoseList, Said, Side, Sweep, SweepAxis,
};
pub use reach::{ChainOf, ElementRef, Fold, Goal, Look, LookTo, Reach, Target, find_elements};
pub use roster::{Leads, leads_to, load_cast, rigs_in};
pub use sheet_kind::{SheetKind, SheetSpec};
pub use types::*;
pub(crate) use {
    expression::EXPRESSIONS,
    keys::{ANGLES, FACTORS, LENGTHS, SKEWS, STRETCHES, TURNED},
    part::RESERVED,
};
