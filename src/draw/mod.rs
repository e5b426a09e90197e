//! Figure in, frame out: coverage, masks, seams, trims, compositing.

mod blend;
mod coverage;
mod fill;
mod frame;
mod gradient;
mod paint;
mod stroke;

pub use frame::{DrawError, Frame, MOST_BYTES, MOST_SIDE, OwnerMap, Viewport};
pub use paint::{Scratch, draw, draw_onto};
