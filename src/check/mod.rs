//! Marking: a student's answers against the rules, with follow-through, and why an answer is wrong.

mod answers;
mod candidates;
mod cause;
mod cells;
mod class;
mod coarse;
mod explain;
mod judge;
mod mark;
mod page;
mod points;
mod policy;
mod records;
mod report;
mod sentences;
mod template;
mod verdict;
mod whole_sheet;

pub use answers::{Answer, AnswerSheet, Value, read_answers};
pub use cause::Cause;
pub use class::{Chosen, ClassLine, ClassTally, ExerciseTally, Mistake, StepTally};
pub use explain::Explanation;
pub use judge::is_told_apart;
pub use mark::{MarkedCell, MarkedSheet, Marker, mark};
pub use page::{class_page, feedback_page};
pub use points::Points;
pub use policy::{ExercisePolicy, Policy};
pub use report::{Results, SheetReport, Show, StepReport, report_text, sheet_report};
pub use sentences::sentences;
pub use template::{answer_file, blank_file};
pub use verdict::Verdict;
