//! What has to be told of a file.

use crate::text::harmless;
use std::fmt;
use std::path::Path;

/// Something that has to be told of a file. Its `Display` is a whole sentence that begins with the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Told {
    /// How the file is called, made harmless.
    pub file: String,
    /// What there is to say, without a full stop.
    pub says: String,
}

/// Tells what is no fault.
pub(crate) type Say<'s> = &'s (dyn Fn(&str) + Sync);

impl Told {
    pub(crate) fn of(path: &Path, says: impl Into<String>) -> Told {
        Told { file: shown(path), says: says.into() }
    }
}

impl fmt::Display for Told {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.file, self.says)
    }
}

/// A path as it may be shown: a file's name is a stranger's text, too.
///
/// ```
/// use std::path::Path;
/// assert_eq!(foldmark::desk::shown(Path::new("a\u{1b}[2J.toml")), "a\\u{1b}[2J.toml");
/// ```
pub fn shown(path: &Path) -> String {
    harmless(&path.display().to_string(), 200).into_owned()
}
