//! The engine of every command that makes something: what to make for whom, the parallel run and its events.
//!
//! A [`Plan`] says which poses of which views are made and what they are called; [`run`] does any list of jobs
//! on some threads and keeps their order; `make` has one way for each sort of thing. A [`night`] makes all that a
//! cast asks for, and knows what it did before. Nothing here prints: whoever calls hears [`Event`]s.

mod asked;
mod choice;
mod filter;
mod make;
pub mod night;
mod plan;
mod run;
mod section;
mod shown;

pub use asked::SheetGroup;
pub use choice::{Choice, Only, Views, chosen_views};
pub use filter::{Filter, nearest};
pub use make::*;
pub use plan::{Job, Plan, clashes};
pub use run::{Event, Failure, guarded, on_threads, run, with_threads};
pub use section::{ChosenSweep, MemberView, Purpose, Section};
