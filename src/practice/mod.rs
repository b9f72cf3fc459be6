//! Fresh problems: varied within what the author allows, no two alike, the same from the same seed.

mod choose;
mod code;
mod notes;
mod set;
mod sheet;
mod slips;
mod space;
mod trial;
mod variety;

pub use code::{Code, CodeFault, Task};
pub use set::{MOST_SHEETS, PracticeFault, Problem, set};
pub use sheet::{key_html, sheet_html};
pub use trial::{Findings, try_out};
