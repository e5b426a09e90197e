//! A whole cast in one planned run that knows what it did the last time.
//!
//! [`read`] reads the members side by side, [`Night::new`] makes units of work of all that they ask
//! for, each with a digest of what it depends on (`depends.rs`). A [`Store`] knows what units made
//! before; [`run`] does the rest, heavy first, and journals each unit when its files are in place.
//! [`close`] writes what the night came to: a page, JSON, JUnit, a line of history. Whatever stops a
//! night, the next run goes on from the journal.
//!
//! Shards are runs of a part of the units ([`split`]) that say what they did ([`save_shard`]); [`gather`] takes it
//! from all of them, and [`close`] ends the night as if one run had done it.

mod close;
mod depends;
mod depends_sheets;
mod digest;
mod findings;
mod history;
mod json_lines;
mod junit;
mod make;
mod order;
mod page;
mod plan;
mod reading;
mod review;
mod revision;
mod run;
mod scope;
mod shard;
mod shared;
mod store;
mod summary;
mod trends;
mod unit;
mod units;

pub use crate::compare::ENGINE;
pub use close::close;
pub use depends::{ViewDigest, drawings};
pub use digest::{Digest, Stamp, brief};
pub use history::{Entry, damaged, find, history};
pub use json_lines::Damage;
pub use junit::junit;
pub use order::heavy_first;
pub use plan::{Night, Style, Task, Unit};
pub use reading::{ReadMember, read};
pub use revision::{Tree, checkout};
pub use run::{Results, run};
pub use scope::{NotMerged, Scope, ScopeMember, ScopeUnit, ShardDone, gather, save_shard};
pub use shard::{Shard, split};
pub use shared::Places;
pub use store::{Digests, Guard, Journal, Known, Measured, Store, stat};
pub use summary::{Counts, MemberSummary, Since, State, Summary, UnitSummary, sum_up};
pub use unit::{Key, Kind, Level, Made, NightFinding, Record};
