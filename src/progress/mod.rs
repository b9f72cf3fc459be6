//! What students have mastered, step by step over the sets of a course, and what to set them next.

mod history;
mod next;
mod page;
mod tracing;

pub use history::{AnswerResult, CameBack, ClassHistory, History, Progress, SetResult, SheetResult, StepProgress, Try};
pub use next::{Next, give_out, shows};
pub use page::{progress_pages, progress_part};
pub use tracing::{Estimate, MASTERED, Surety, Tracing};
