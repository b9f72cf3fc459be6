//! Reading and writing files: every fault a sentence with the path, nothing half-written, nothing lost.

mod disk;
mod fault;
mod interrupt;
mod read;
mod refresh;
mod staged;

pub use crate::desk::shown;
pub use disk::Disk;
pub use fault::FileFault;
pub(crate) use fault::why;
pub(crate) use interrupt::when_interrupted;
pub(crate) use read::read_limited;
pub use read::{read_bytes, read_text};
pub(crate) use refresh::refresh;
pub(crate) use staged::{Growing, Staged, StagedFile, settle, settle_for};
