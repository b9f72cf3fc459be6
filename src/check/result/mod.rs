//! What marking comes to, as data: verdicts, causes, marked sheets. How they are found, and how they are told, is elsewhere.

mod cause;
mod marked;
mod verdict;

pub use cause::{Cause, Explanation, Pen};
pub use marked::{MarkedCell, MarkedSheet, OneCause, StepGrade};
pub(super) use marked::{charged, does_count};
pub(super) use verdict::Standing;
pub use verdict::Verdict;
