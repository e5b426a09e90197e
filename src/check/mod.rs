//! What is measured on joints, seams, masks and garments, and what is found wrong.
//!
//! [`Joint`] is plain geometry: two regions and a pivot. [`check`] takes a puppet's joints through their
//! limits, and through each depth order of its poses, and gives [`Findings`].

mod at_rest;
mod bare;
mod chain;
pub(crate) mod cut_off;
mod edge;
mod finding;
mod joint;
mod kink;
mod limb;
mod listed;
mod one;
mod patch;
mod posed;
mod poses;
mod range;
mod seams;
mod sides;
mod stretch;
mod trims;
mod turns;
mod twins;
mod unseamed;
mod view;
mod walk;
mod wear;

pub use finding::{Finding, Findings, Range};
pub use joint::{Cover, Covers, Gap, Hidden, Joint, Jut};
pub use kink::Kink;
pub use one::Joints;
pub use range::{Curve, Sample, trace};
pub use view::check;
