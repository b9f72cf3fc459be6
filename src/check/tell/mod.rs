//! Telling what was found: sentences, reports, the gradebook, the class as a whole, pages.

mod causes;
mod changes;
mod class;
mod gradebook;
mod page;
mod report;
mod sentences;
mod words;

pub use class::{Chosen, ClassLine, ClassTally, ExerciseTally, Mistake, StepTally};
pub(super) use gradebook::GradebookLine;
pub use gradebook::{GRADEBOOK_BEGINS, gradebook_head, gradebook_line};
pub use page::{Sign, class_page, feedback_page};
pub use report::{Results, SheetReport, StepReport, report_text, sheet_report};
pub use sentences::{first_of_all, meant, question, sentences};
