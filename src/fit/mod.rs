//! The pivot at which a joint holds best: the search, what it costs to be elsewhere, the edit.

mod joint;
mod picture;
mod search;
mod view;
mod write;

pub use joint::{Fitted, Worst, fit};
pub use picture::picture;
pub use search::minimise;
pub use view::{JointCheck, NotFitted, Proposal, moved, proposals};
pub use write::{NotWritten, with_pivot};
