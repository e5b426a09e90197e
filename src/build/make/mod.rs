//! How each sort of thing is made: pictures and documents of poses, sheets, checks, comparisons, the review page.

mod chart;
mod checks;
mod comparisons;
mod grow;
mod owners;
mod pictures;
mod review;
mod sheets;

pub use chart::strip_chart;
pub use checks::{Checked, check_views, finding_json, range_json};
pub use comparisons::{
    CompareStyle, ComparedPose, Comparisons, NotDrawn, Round, Sets, compare_members,
    comparison_folder, framings, known_identical, promote, write_comparison,
};
pub use grow::{CUT_OFF_HINT, Grown, grown_area};
pub use owners::{Owner, PartMap};
pub use pictures::{
    ExportStyle, Framing, MadePicture, PictureStyle, check_size, draw_picture, draw_pictures,
    export_svgs, picture_endings, puppets, rehearse,
};
pub use review::{Compared, comparison_files, write_review};
pub use sheets::{
    Laid, Pages, PlannedSheet, Rehearsal, Window, draw_sheets, lay_out_sheets, write_packs,
};
pub(crate) use sheets::{over_limits, targets_of};
