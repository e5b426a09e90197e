//! Faults found by use, each as the smallest show that has it.

mod records;
mod show;
