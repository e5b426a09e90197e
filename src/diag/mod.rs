//! Problems as values: where, what, and a hint. Nothing here prints.
//!
//! Every reader of this crate takes a `&mut Problems` and goes on after a mistake, so that
//! one run reports all of them. [`Sources`] keeps the text of every file read, so that a
//! [`Span`] can be turned into a line and column when a problem is rendered: for people
//! ([`human`]), as one line for editors and logs ([`short`]), or as JSON ([`json`]).
//!
//! ```
//! use layfig::diag::{Problem, Problems, Sources, Span, short, summary};
//!
//! let mut sources = Sources::default();
//! let source = sources.add("rig.toml", "[part.hand]\nparent = \"forarm\"\n");
//! let mut problems = Problems::default();
//! problems.push(
//!     Problem::error(Span { source, start: 21, end: 29 }, "unknown part \"forarm\"")
//!         .hint("did you mean \"forearm\"?"),
//! );
//! assert_eq!(
//!     short(&problems.list()[0], &sources),
//!     "rig.toml:2:10: error: unknown part \"forarm\" (hint: did you mean \"forearm\"?)",
//! );
//! assert_eq!(summary(&problems), "1 error");
//! ```

#[cfg(feature = "cli")]
mod human;
mod json;
mod nearest;
mod pattern;
mod position;
mod problem;
mod short;
mod sources;
mod summary;
mod words;
#[cfg(feature = "cli")]
mod wrapped;

#[cfg(feature = "cli")]
pub use human::{Look, human};
pub use json::json;
pub use nearest::nearest;
pub use pattern::glob;
pub use position::Position;
pub use problem::{Place, Problem, Problems, Severity};
pub use short::{short, short_with};
pub use sources::{Source, SourceId, Sources, Span};
pub use summary::summary;
pub use words::{clean, plain, quoted};
#[cfg(feature = "cli")]
pub use wrapped::wrapped;
