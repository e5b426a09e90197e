//! Layfig: a headless batch renderer and proofing tool for jointed 2D characters.

pub mod art;
#[cfg(feature = "cli")]
pub mod batch;
pub mod cast;
pub mod check;
#[cfg(feature = "cli")]
pub mod cli;
pub mod compare;
pub mod diag;
pub mod draw;
pub mod export;
pub mod files;
#[cfg(feature = "cli")]
pub mod fit;
pub mod geom;
pub mod lint;
#[cfg(feature = "cli")]
pub mod name;
#[cfg(feature = "cli")]
pub mod night;
mod parallel;
pub mod project;
#[cfg(feature = "cli")]
pub mod report;
#[cfg(feature = "sheets")]
pub mod sheet;
pub mod solve;
