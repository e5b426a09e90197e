//! What to make for whom: the plan, the parallel run, its events, the files.

mod files;
mod filter;
mod picture;
mod plan;
mod run;

pub use files::{file_name, folded, write_whole};
pub use filter::{Filter, glob, nearest};
pub use picture::{Effort, png};
pub use plan::{ChosenSweep, Choice, Job, Model, Only, Plan, Section, Subject, Views, clashes};
pub use run::{Event, Failure, Scratches, guarded, run, with_threads};
