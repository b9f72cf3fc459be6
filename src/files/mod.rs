//! Reading and writing files: every fault a sentence with the path, nothing half-written, nothing lost.

mod encoding;
mod fault;
mod interrupt;
mod pieces;
mod read;
mod refresh;
mod spreadsheet;
mod staged;

pub(crate) use fault::why;
pub use fault::{FileFault, shown};
pub(crate) use interrupt::when_interrupted;
pub(crate) use pieces::Pieces;
pub use read::{read_bytes, read_text};
pub(crate) use read::{read_decoded, read_limited};
pub(crate) use refresh::refresh;
pub(crate) use spreadsheet::{Worksheet, worksheets};
pub(crate) use staged::{Growing, Staged, StagedFile, settle, settle_for};
