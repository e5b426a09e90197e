//! All tests of the library and the program, one program, so that they share the processors: `cargo test --test suite`
//! runs them, `cargo test --test suite joints::` those of one file.

mod approve;
mod approved;
mod broken_art;
mod broken_input;
mod cli;
mod cut_off;
mod digests;
mod draft;
mod explain;
mod export;
mod expressions;
mod fault_sweep;
mod fit;
mod garments;
mod hostile;
mod job_template;
mod joint_measures;
mod joints;
#[path = "support/keys.rs"]
mod key_files;
mod keys;
mod kinematics;
mod leaks;
mod less;
mod library;
#[path = "support/limbs.rs"]
mod limbs;
mod line_law;
mod line_law_pixels;
mod lint;
mod list_sheets;
mod messages;
mod migrate;
#[path = "support/mutants.rs"]
mod mutants;
mod night;
#[path = "support/nights.rs"]
mod nights;
mod per_view;
#[path = "support/planes.rs"]
mod planes;
mod planted_edits;
mod planted_faults;
mod planted_pose_faults;
mod posed_measures;
#[path = "support/raster_law.rs"]
mod raster_law;
mod reach;
mod reading;
mod readme;
mod review;
mod scheduler;
mod schema;
#[path = "support/shapes.rs"]
mod shapes;
mod sheet_kinds;
mod sheets;
mod slow_path;
mod small;
mod space;
mod stretch;
mod support;
mod terminal;
mod third_party_art;
mod watch;
