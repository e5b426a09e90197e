//! Faults found by use, each as the smallest show that has it.

mod art;
mod asked;
mod export;
mod names;
mod palettes;
mod places;
mod records;
mod show;
mod told;
