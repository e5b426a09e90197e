//! Rig and pose in, figure out: kinematics, replacements, depth order.

mod depth;
mod detail;
mod figure;
mod kinematics;
mod puppet;

pub use figure::Figure;
pub(crate) use figure::{Cut, Layer};
pub use puppet::Puppet;
