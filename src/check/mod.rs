//! Marking: a student's answers against the rules, with follow-through, and why an answer is wrong.
//!
//! What was handed in is read ([`AnswerSheet`], [`Table`]), judged and explained ([`Marker`], [`Grader`]); what comes of it
//! is data ([`MarkedSheet`], [`Verdict`], [`Cause`]), which is then told, in sentences and on pages.

mod explain;
mod grader;
mod handed_in;
mod judge;
mod marker;
mod result;
mod tell;

pub use grader::{Graded, Grader, Recall};
pub use handed_in::{
    ANSWERS, Answer, AnswerSheet, Assignment, ColumnNote, Table, Value, answer_file, answer_file_of, answers_of_letter,
    blank_file, looks_like_another, read_answers, read_handed_in, table_columns, table_sheets, written_file,
};
pub use judge::{is_told_apart, with_slips};
pub use marker::{Marker, mark};
pub use result::{Cause, Explanation, MarkedCell, MarkedSheet, OneCause, Pen, StepGrade, Verdict};
pub use tell::{
    COURSE_BEGINS, Chosen, ClassLine, ClassTally, Course, CourseCell, CourseColumn, CourseRow, CourseSet, CourseSheet,
    ExerciseTally, GRADEBOOK_BEGINS, HandedInFile, Keeps, Mistake, ResultLine, Results, SheetReport, Sign, StepReport,
    StepTally, class_page, course_gradebook, course_page, csv_cell, feedback_page, feedback_pages, feedback_part,
    first_of_all, gradebook_head, gradebook_line, meant, question, report_text, sentences, set_page, sheet_report,
};
