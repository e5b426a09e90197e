//! Work on several things at once, where the crate is built with threads.

/// What `work` makes of each item, in their order.
#[cfg(feature = "threads")]
pub(crate) fn each<T: Sync, R: Send>(items: &[T], work: impl Fn(&T) -> R + Sync + Send) -> Vec<R> {
    use rayon::prelude::*;
    // An item's work is long or nothing: one task for each.
    items.par_iter().with_max_len(1).map(work).collect()
}

/// What `work` makes of each item, in their order.
#[cfg(not(feature = "threads"))]
pub(crate) fn each<T, R>(items: &[T], work: impl Fn(&T) -> R) -> Vec<R> {
    items.iter().map(work).collect()
}
