//! Faults found by use, each as the smallest show that has it.

mod names;
mod records;
mod show;
