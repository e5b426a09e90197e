//! What to make for whom: the plan, the parallel run, its events, the files.
//!
//! A [`Plan`] says which poses of which views are made and what they are called; [`run`] does any
//! list of jobs on some threads and keeps their order; [`draw_pictures`], [`export_svgs`] and
//! [`draw_sheets`] are what a job can be. Nothing here prints: whoever calls hears [`Event`]s.

mod approved;
mod asked;
mod chart;
mod checks;
mod choice;
mod compare;
mod encode;
mod files;
mod filter;
mod grow;
mod owners;
mod pictures;
mod plan;
mod review;
mod review_of;
mod run;
mod section;
mod sheets;
mod shown;

pub use approved::{ApprovedSet, OpenSet};
pub use asked::{SheetGroup, view_of};
pub use chart::strip_chart;
pub use checks::{Checked, check_names, check_views, finding_json, range_json};
pub use choice::{Choice, Only, Views, chosen_views};
pub use compare::{
    CompareStyle, ComparedPose, NotDrawn, Round, compare_poses, comparison_folder, framings,
    gather, known_identical, promote, scale_of, show_removed, write_comparison,
};
pub use encode::{Effort, grey_png, numbers_of, picture_of, png};
pub use files::{file_name, plain, relative, sweep_out, write_whole};
pub use filter::{Filter, nearest};
pub use grow::{CUT_OFF_HINT, Grown, cut_off, grown_area};
pub use owners::{Owner, PartMap};
pub use pictures::{
    ExportStyle, Framing, PictureStyle, check_size, draw_pictures, export_svgs, picture,
    picture_endings, puppets, rehearse, try_out,
};
pub use plan::{Job, Plan, clashes};
pub use review::ReviewFolder;
pub use review_of::{Compared, comparison_files, write_review};
pub use run::{Event, Failure, guarded, run, with_threads};
pub use section::{ChosenSweep, MemberView, Purpose, Section};
pub(crate) use sheets::over_limits;
pub use sheets::{
    Laid, Pages, PlannedSheet, Rehearsal, Window, draw_sheets, lay_out_sheets, write_packs,
};
