//! Marking: a student's answers against the rules, with follow-through, and why an answer is wrong.

mod answers;
mod explain;
mod mark;
mod report;
mod template;

pub use answers::{Answer, AnswerSheet, Value, read_answers};
pub use mark::{MarkedCell, MarkedSheet, Verdict, mark};
pub use report::{ClassTally, Show, StepReport, report_json, report_text, sentences};
pub use template::{answer_file, blank_file};
