//! What several rooms read with: TOML and CSV with their places, faults that say where, text from strangers made harmless, and the
//! nearest known word.

mod csv;
mod fault;
mod harmless;
mod name;
mod nearest;
pub mod schema;
mod section;
mod toml;

pub(crate) use csv::{CsvRow, Fields, Record, Records, Splitter, csv_rows, delimiter_of, head_end, passed_over};
pub use csv::{whole_records, with_quotes_mended};
pub use fault::{Fault, Lines, Place};
pub use harmless::{harmless, quoted};
pub(crate) use harmless::{hidden_in, is_hidden, is_invisible};
pub use name::{composed, is_reserved, plain_name};
pub(crate) use nearest::{Shown, did_you_mean, nearest, or_did_you_mean};
pub use section::Section;
pub use toml::{Document, Text};
