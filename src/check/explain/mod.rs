//! Why answers are wrong.

mod candidates;
mod choose;
mod digits;
mod earlier;
mod evidence;
mod weight;

pub(super) use candidates::allowances;
pub(super) use choose::explain;
pub(super) use evidence::Evidence;
