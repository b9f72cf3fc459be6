//! The folder of a class: what its `class.toml` says where a command is run in it.

use super::inputs::CLASS_FILE;
use super::terminal::{Failure, shown};
use crate::check::Policy;
use crate::exercise::Shelf;
use crate::lesson::read_text;
use crate::practice::{MOST_SHEETS, Student, read_roster};
use std::fs;
use std::path::{Path, PathBuf};

/// The exercises of the class whose folder this is, if they have a folder. Found by that one key, since all else in the
/// file can only be understood with the exercises at hand.
pub(super) fn exercises() -> Option<PathBuf> {
    let text = read_text(Path::new(CLASS_FILE)).ok()?;
    let file: toml::Table = toml::from_str(&text).ok()?;
    let folder = PathBuf::from(file.get("folders")?.get("exercises")?.as_str()?);
    folder.is_dir().then_some(folder)
}

/// What the class whose folder this is lays down; nothing, if it is no such folder.
pub(super) fn policy(shelf: &Shelf) -> Result<Option<Policy>, Failure> {
    let file = Path::new(CLASS_FILE);
    if !file.is_file() {
        return Ok(None);
    }
    let read = Policy::read(&read_text(file)?, shelf);
    read.map(Some).map_err(|faults| Failure(faults.iter().map(|fault| format!("{CLASS_FILE}: {fault}")).collect()))
}

/// The students of a roster.
pub(super) fn roster(file: &Path) -> Result<Vec<Student>, Failure> {
    let path = shown(file);
    let text = fs::read(file).map_err(|error| Failure(vec![format!("{path}: the roster can't be read: {error}")]))?;
    let tell = |fault: &crate::exercise::Fault| format!("{path}: {fault}");
    read_roster(&text, MOST_SHEETS).map_err(|faults| Failure(faults.iter().map(tell).collect()))
}
