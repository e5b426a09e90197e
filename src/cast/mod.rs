//! The files people write, read and validated: names become indices once, here.

mod types;

pub use types::*;
