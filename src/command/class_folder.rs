//! The folder of a class: what its `class.toml` says where a command is run in it.

use super::inputs::CLASS_FILE;
use super::terminal::{Failure, shown};
use crate::check::Policy;
use crate::exercise::Shelf;
use crate::lesson::{read_bytes, read_text};
use crate::practice::{MOST_SHEETS, Student, read_roster};
use std::path::{Path, PathBuf};

/// The folder of the exercises of a class, by its `class.toml`, if there is one.
pub(super) fn exercises(class_file: &Path) -> Option<PathBuf> {
    let folder = Policy::own_exercises(&read_text(class_file).ok()?)?;
    Some(class_file.with_file_name(folder)).filter(|folder| folder.is_dir())
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
    let text = read_bytes(file)?;
    let path = shown(file);
    let tell = |fault: &crate::exercise::Fault| format!("{path}: {fault}");
    read_roster(&text, MOST_SHEETS).map_err(|faults| Failure(faults.iter().map(tell).collect()))
}
