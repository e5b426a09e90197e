//! Rig and pose in, figure out: kinematics, replacements, depth order.

mod depth;
mod detail;
mod figure;
mod kinematics;
mod puppet;

pub use figure::Figure;
pub use puppet::Puppet;
pub(crate) use {
    detail::{ArtRegions, Detail},
    figure::{Cut, Layer, Trim},
    puppet::Model,
};
