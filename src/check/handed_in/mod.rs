//! What was handed in: answer files and tables of answers, and their reading.

mod answer_file;
mod answers;
mod columns;
mod commas;
mod filed;
mod layout;
mod letter;
mod mended;
mod other_exercise;
mod reading;
mod row;
mod table;
mod template;

pub use answer_file::{ANSWERS, Answer, AnswerSheet, Assignment, Value, read_answers};
pub(super) use answers::Answers;
pub use columns::{ColumnNote, table_columns};
pub(super) use filed::Filed;
pub(super) use layout::{Filled, InPlace, Layout};
pub use letter::answers_of_letter;
pub use mended::read_handed_in;
pub use other_exercise::looks_like_another;
pub(super) use reading::{HandedIn, Unread, habits, read_answers_of};
pub use row::table_sheets;
pub(super) use row::{Head, Row};
pub use table::Table;
pub use template::{answer_file, answer_file_of, blank_file, written_file};
