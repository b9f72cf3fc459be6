//! Why answers are wrong.

mod candidates;
mod choose;
mod evidence;
mod whole_sheet;

pub(super) use candidates::allowances;
pub(super) use choose::explain;
pub(super) use evidence::Evidence;
