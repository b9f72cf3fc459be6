//! Marking: a student's answers against the rules, with follow-through, and why an answer is wrong.

mod answers;
mod class;
mod explain;
mod mark;
mod report;
mod sentences;
mod template;

pub use answers::{Answer, AnswerSheet, Value, read_answers};
pub use class::ClassTally;
pub use mark::{MarkedCell, MarkedSheet, Verdict, is_told_apart, mark};
pub use report::{Show, StepReport, report_json, report_text};
pub use sentences::sentences;
pub use template::{answer_file, blank_file};
