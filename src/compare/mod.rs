//! New pictures against the approved ones: what changed, where, by how much, because of which edit.
//!
//! Three documents, all JSON, all typed here:
//!
//! - [`Manifest`] is `manifest.json` of an approved set (`rigs/<member>/approved/`): for each pose
//!   the digest of its pixels, where every part was, and the rig and the pose as they were
//!   ([`RigRecord`], [`PoseRecord`]). Pictures lie beside it as `pictures/<digest>.png`, owner maps
//!   as `owners/<digest>.png`, each named by the digest of the file's own bytes: so a damaged file
//!   is found, and a write that breaks off leaves the old set whole. The manifest is renamed into
//!   place last.
//! - [`Comparison`] is what one run finds for one member, written as
//!   `out/<member>/compare/comparison.json` together with the pictures that its
//!   [`PoseFiles`] name, by paths relative to that folder.
//! - [`Decisions`] is what a person says to a comparison, read by `layfig approve --decisions`. Each
//!   decision carries the digests of the two pictures that were looked at: where either is another
//!   by now, the decision is stale and is refused.
//!
//! Owner maps on disk are grey PNG, 8 bits, or 16 where there are more than 255 parts: 0 for no
//! part, else one more than the part's place in a list of names. In an approved set that list is
//! [`RigRecord::parts`]; in a comparison's folder it is [`Comparison::part_names`], for the
//! map before and the map after alike.
//!
//! A picture that grew with its figure says where the canvas is in it ([`ApprovedPose::origin`]): two are
//! compared with their canvases in one place, on a [`Ground`] that holds both, and the files of such a
//! comparison are all of that size.
//!
//! Of this only the approved set (`store.rs`) reads and writes files.

mod causes;
mod colour;
mod decisions;
mod digest;
mod edits;
mod format;
mod goals;
mod ground;
mod manifest;
mod paint;
mod parts;
mod pixels;
mod record;
pub(crate) mod recording;
mod result;
mod shot;
mod ssim;
#[cfg(feature = "cli")]
mod store;

pub use crate::draw::Picture;
pub use causes::{Found, found, ranked, unexplained};
pub use colour::pixel_difference;
pub use edits::{Edit, Reach, edits, limb_edits, pose_edits};
pub use format::FORMAT;
pub use ground::Ground;
pub use paint::difference;
pub use parts::{by_part, is_own};
pub use pixels::{FigureComparison, NotCompared, Pixel, PixelComparison, Tolerance, compare};
pub use shot::Shot;
#[cfg(feature = "cli")]
pub use store::{ApprovedSet, OpenSet};

pub use decisions::{Decision, Decisions, Verdict};
pub use digest::Digest;
pub use manifest::{ApprovedPose, Manifest, PartRecord, Rejection, Unreadable};
pub use record::{
    DrawingRecord, GarmentRecord, MaskRecord, PartOfRig, PoseEntryRecord, PoseRecord, RigRecord,
    SeamRecord, SettingRecord,
};
pub use result::{
    Cause, CauseKind, Change, ChangedRegion, Comparison, Counts, Figures, PartChange, PoseCause,
    PoseComparison, PoseFiles, SetState, State,
};

/// The version of this program and, behind the `+`, a digest of the sources that it was built from
/// (`src/sources.rs`): another program may draw differently.
pub const ENGINE: &str = concat!(env!("CARGO_PKG_VERSION"), "+", env!("LAYFIG_SOURCES"));
