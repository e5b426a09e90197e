//! Figure in, frame out: coverage, masks, seams, trims, compositing.

mod blend;
mod coverage;
mod fill;
pub(crate) mod frame;
mod gradient;
mod paint;
pub(crate) mod picture;
mod stroke;

pub use frame::{DrawError, Frame, MOST_BYTES, MOST_SIDE, OwnerMap, Viewport};
pub use paint::{Scratch, draw, draw_onto};
pub use picture::{Owners, Picture};
