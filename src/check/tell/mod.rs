//! Telling what was found: sentences, reports, the gradebook, the class as a whole, pages.

mod causes;
mod changes;
mod class;
mod course;
mod gradebook;
mod page;
mod report;
mod sentences;
mod words;

pub use class::{Chosen, ClassLine, ClassTally, ExerciseTally, Keeps, Mistake, StepTally};
pub use course::{
    COURSE_BEGINS, Course, CourseCell, CourseColumn, CourseRow, CourseSet, CourseSheet, course_gradebook,
};
pub(super) use gradebook::GradebookLine;
pub use gradebook::{GRADEBOOK_BEGINS, csv_cell, gradebook_head, gradebook_line};
pub use page::{HandedInFile, Sign, class_page, course_page, feedback_page, feedback_pages, feedback_part, set_page};
pub use report::{ResultLine, Results, SheetReport, StepReport, report_text, sheet_report};
pub use sentences::{first_of_all, meant, question, sentences};
