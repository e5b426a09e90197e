//! What to make for whom: the plan, the parallel run, its events, the files.
//!
//! A [`Plan`] says which poses of which views are made and what they are called; [`run`] does any
//! list of jobs on some threads and keeps their order; [`draw_pictures`], [`export_svgs`] and
//! [`draw_sheets`] are what a job can be. Nothing here prints: whoever calls hears [`Event`]s.

mod approved;
mod asked;
mod chart;
mod checks;
mod compare;
mod encode;
mod files;
mod filter;
mod grow;
mod kinds;
mod owners;
mod pictures;
mod plan;
mod review;
mod review_of;
mod run;
mod sheets;

pub use approved::{ApprovedSet, OpenSet};
pub use asked::{Laid, Pages, add_asked, one_sheet, plan_asked};
pub use chart::strip_chart;
pub use checks::{Checked, check_names, check_views, finding_json, range_json};
pub use compare::{
    CompareStyle, ComparedPose, NotDrawn, Round, compare_poses, comparison_folder, framings,
    gather, known_identical, promote, scale_of, show_undrawn, write_comparison,
};
pub use encode::{Effort, grey_png, numbers_of, picture_of, png};
pub use files::{file_name, plain, relative, sweep_out, write_whole};
pub use filter::{Filter, nearest};
pub use grow::{CUT_OFF_HINT, Grown, cut_off, grown_area};
pub use kinds::{MemberKind, add_kinds, plan_kinds};
pub use owners::{Owner, PartMap};
pub use pictures::{
    ExportStyle, Framing, PictureStyle, check_size, draw_pictures, export_svgs, picture,
    picture_endings, puppets, rehearse, try_out,
};
pub use plan::{
    Choice, ChosenSweep, Job, Model, Only, Plan, Purpose, Section, Subject, Views, clashes,
};
pub use review::ReviewFolder;
pub use review_of::{Compared, comparison_files, write_review};
pub use run::{Event, Failure, guarded, run, with_threads};
pub(crate) use sheets::over_limits;
pub use sheets::{
    Kind, PlannedSheet, Rehearsal, Wanted, Window, draw_sheets, is_asked, plan_sheets, write_packs,
};
