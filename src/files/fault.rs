//! What is wrong with a file as a file.

use crate::text::harmless;
use std::fmt;
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

/// A path as it may be shown: a file's name is a stranger's text, too.
///
/// ```
/// use std::path::Path;
/// assert_eq!(foldmark::files::shown(Path::new("a\u{1b}[2J.toml")), "a\\u{1b}[2J.toml");
/// ```
pub fn shown(path: &Path) -> String {
    harmless(&path.display().to_string(), 200).into_owned()
}
