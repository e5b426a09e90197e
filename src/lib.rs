//! Layfig: a headless batch renderer and proofing tool for jointed 2D characters.

pub mod art;
pub mod batch;
pub mod cast;
pub mod check;
pub mod cli;
pub mod compare;
pub mod diag;
pub mod draw;
pub mod export;
pub mod files;
pub mod fit;
pub mod geom;
pub mod lint;
pub mod name;
pub mod night;
pub mod report;
pub mod sheet;
pub mod solve;
