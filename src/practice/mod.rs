//! Fresh problems: varied within what the author allows, no two alike, the same from the same seed.

mod choose;
mod code;
#[cfg(test)]
mod evenness;
mod fault;
mod findings;
mod key;
mod maker;
mod paper;
mod planting;
mod problem;
mod recall;
mod screen;
mod set;
mod sheet;
mod slips;
mod space;
mod spans;
mod table;
mod trial;
mod variety;

pub use code::{Code, CodeFault, Task};
pub use fault::{MOST_SHEETS, PracticeFault};
pub use key::key_page;
pub use maker::Maker;
pub use paper::{DOCUMENT_END, document, document_head};
pub use problem::Problem;
pub use recall::{coded, recall};
pub use screen::{Screen, key_on_screen, on_screen};
pub use set::set;
pub use sheet::{Sheets, coded_file, coded_file_of};
pub use table::{Sheet, answer_table, key_table};
pub use trial::{Findings, try_out};
