//! Figure in, frame out: coverage, masks, seams, trims, compositing.

mod blend;
#[cfg(feature = "cli")]
mod codec;
mod coverage;
mod fill;
pub(crate) mod frame;
mod gradient;
mod paint;
pub(crate) mod picture;
mod stroke;

#[cfg(feature = "cli")]
pub use codec::{Effort, grey_png, numbers_of, picture_of, png};
pub use frame::{DrawError, Frame, MOST_BYTES, MOST_SIDE, OwnerMap, Viewport};
#[cfg(feature = "sheets")]
pub(crate) use paint::fill;
pub use paint::{Scratch, draw, draw_onto};
pub use picture::{Owners, Picture};
