//! The format of the documents.

/// The format of all three documents; another number is not read.
pub const FORMAT: u32 = 1;
