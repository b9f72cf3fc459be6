//! Work that may be done side by side.

use std::sync::{Mutex, PoisonError};

/// Does so many pieces of work, each called by its number: one after the other in a page, side by side where there are
/// threads.
pub(crate) type Hands = fn(usize, &(dyn Fn(usize) + Sync));

/// What becomes of each item, in their order.
pub(super) fn each<T: Sync, R: Send>(hands: Hands, items: &[T], work: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let made: Vec<Mutex<Option<R>>> = items.iter().map(|_| Mutex::new(None)).collect();
    hands(items.len(), &|at| {
        let one = work(&items[at]);
        *made[at].lock().unwrap_or_else(PoisonError::into_inner) = Some(one);
    });
    made.into_iter().filter_map(|one| one.into_inner().unwrap_or_else(PoisonError::into_inner)).collect()
}
