//! Resolved pose in, figure out: depth order, the draw list.

mod area;
mod beyond;
mod chords;
mod detail;
mod draw_list;
mod ends;
mod error;
mod extent;
mod figure;
mod formed;
mod hosts;
mod layers;
mod model;
mod opening;
mod puppet;
mod regions;
mod rim;
mod zone;

pub use beyond::Outside;
pub use error::SolveError;
pub use figure::Figure;
pub use model::Puppet;
pub(crate) use {
    area::{Area, Term},
    detail::Detail,
    draw_list::{DrawList, Drawn},
    figure::{Cut, CutArea, CutRegion, Look},
    model::Model,
    regions::ArtRegions,
};
