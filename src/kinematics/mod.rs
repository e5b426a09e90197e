//! How parts move and change their form: transforms of a tree, and maps of the plane that deform points and outlines.

mod form;
mod outline;
mod tree;

pub use form::{Form, Map, Stretch};
pub use outline::deformed;
pub use tree::{Placed, parents_first, placed, placed_of};
