//! What all units of a run share.

use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};

use super::plan::{Night, Unit};
use super::store::Store;
use crate::solve::Puppet;

/// Where a night's files are.
#[derive(Clone, Copy, Debug)]
pub struct Places<'a> {
    /// For all that people and programs read.
    pub out: &'a Path,
    /// For what the next night needs to know.
    pub store: &'a Store,
    /// Nothing that is there is built on.
    pub again: bool,
}

/// Views prepared when their first unit is taken up, and dropped with their last.
pub(super) struct Puppets<'a> {
    night: &'a Night,
    slots: Vec<(AtomicUsize, Mutex<Option<Puppet>>)>,
}

impl<'a> Puppets<'a> {
    pub(super) fn new(night: &'a Night, units: &[usize]) -> Self {
        let slots: Vec<_> = night
            .plan
            .models
            .iter()
            .map(|_| (AtomicUsize::new(0), Mutex::new(None)))
            .collect();
        for model in units.iter().flat_map(|&at| shared(&night.units[at])) {
            slots[*model].0.fetch_add(1, Ordering::Relaxed);
        }
        Self { night, slots }
    }

    /// Of a model of the night, by place.
    pub(super) fn get(&self, model: usize) -> Puppet {
        let mut slot = self.slots[model]
            .1
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        slot.get_or_insert_with(|| self.apart(model)).clone()
    }

    /// The same, not kept for anybody else.
    pub(super) fn apart(&self, model: usize) -> Puppet {
        self.night.plan.models[model].puppet()
    }

    pub(super) fn done(&self, unit: &Unit) {
        for &model in shared(unit) {
            let (left, slot) = &self.slots[model];
            if left.fetch_sub(1, Ordering::AcqRel) == 1 {
                *slot.lock().unwrap_or_else(PoisonError::into_inner) = None;
            }
        }
    }
}

/// The views that a unit shares with others. One that shows the whole cast would keep all of them.
fn shared(unit: &Unit) -> &[usize] {
    if unit.member.is_some() {
        &unit.models
    } else {
        &[]
    }
}
