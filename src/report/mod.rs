//! What a run tells people in pages that a browser opens: no server, no network.
//!
//! [`review`] is the page on which a director looks at what changed and decides. Everything here makes text
//! from values; whoever calls writes the files. [`reference_html`] tells all that rigs and pose lists can say.

mod reference;
pub mod review;

pub use reference::reference_html;
