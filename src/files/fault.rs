//! What is wrong with a file as a file.

use crate::desk::{Told, shown};
use std::fmt;
use std::io::ErrorKind;
use std::path::Path;

/// That a file can't be read or written. Its `Display` is a whole sentence that begins with the path.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FileFault {
    /// The path, made harmless.
    pub path: String,
    /// What is wrong, without a full stop.
    pub message: String,
}

impl FileFault {
    pub(crate) fn of(path: &Path, message: impl Into<String>) -> FileFault {
        FileFault { path: shown(path), message: message.into() }
    }
}

impl fmt::Display for FileFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.path, self.message)
    }
}

impl std::error::Error for FileFault {}

/// What the system says, for someone who sews: without the number of the error, and in full words where it is one that
/// people meet.
pub(crate) fn why(error: &std::io::Error) -> String {
    #[cfg_attr(
        not(test),
        expect(clippy::wildcard_enum_match_arm, reason = "the system's kinds of error are many, and grow")
    )]
    match error.kind() {
        ErrorKind::NotFound => "it is not there".to_owned(),
        ErrorKind::PermissionDenied => "you may not do that there".to_owned(),
        ErrorKind::StorageFull => "the disk is full".to_owned(),
        ErrorKind::NotADirectory => "a part of this path is a file, not a folder".to_owned(),
        ErrorKind::AlreadyExists => "this is a file, not a folder".to_owned(),
        ErrorKind::ReadOnlyFilesystem => "what is on this disk can't be changed".to_owned(),
        _ => {
            let says = error.to_string();
            says.split(" (os error").next().unwrap_or_default().to_owned()
        }
    }
}

impl From<FileFault> for Told {
    fn from(fault: FileFault) -> Told {
        Told { file: fault.path, says: fault.message }
    }
}

impl From<Told> for FileFault {
    fn from(told: Told) -> FileFault {
        FileFault { path: told.file, message: told.says }
    }
}
