//! What to make for whom: the plan, the parallel run, its events, the files.
//!
//! A [`Plan`] says which poses of which views are made and what they are called; [`run`] does any
//! list of jobs on some threads and keeps their order; [`draw_pictures`], [`export_svgs`] and
//! [`draw_sheets`] are what a job can be. Nothing here prints: whoever calls hears [`Event`]s.

mod encode;
mod files;
mod filter;
mod owners;
mod pictures;
mod plan;
mod review;
mod review_of;
mod run;
mod sheets;

pub use encode::{Effort, png};
pub use files::{file_name, write_whole};
pub use filter::Filter;
pub use owners::{Owner, PartMap};
pub use pictures::{
    ExportStyle, Framing, PictureStyle, check_size, draw_pictures, export_svgs, picture_endings,
    puppets, rehearse,
};
pub use plan::{Choice, ChosenSweep, Job, Model, Only, Plan, Section, Subject, Views, clashes};
pub use review::ReviewFolder;
pub use review_of::{Compared, comparison_files, write_review};
pub use run::{Event, Failure, run, with_threads};
pub use sheets::{PlannedSheet, Rehearsal, Window, draw_sheets, plan_sheets};
