//! Judging answers that were read: the verdict on each, and what it rests on.

mod coarser_ruler;
mod follow_through;
mod planted_slips;
mod reading;
mod rests;
mod rules;
mod tolerance;
mod workbench;

pub(super) use follow_through::{Judge, Judged, MOST_WORK, RATIOS, Worked, follows};
pub(super) use planted_slips::Planted;
pub use planted_slips::with_slips;
pub(super) use reading::Reading;
pub(super) use rules::Rules;
pub(super) use tolerance::LAST_DECIMAL;
pub use tolerance::is_told_apart;
pub(super) use workbench::Workbench;
