//! What has to be told of a file that was handed in.

use crate::files::FileFault;
use std::fmt;

/// Something that has to be told of a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Told {
    pub file: String,
    pub says: String,
}

impl fmt::Display for Told {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.file, self.says)
    }
}

impl From<FileFault> for Told {
    fn from(fault: FileFault) -> Told {
        Told { file: fault.path, says: fault.message }
    }
}
