//! The folder of a class: what its `class.toml` says where a command is run in it.

use super::inputs::{CLASS_FILE, read_policy};
use super::terminal::Failure;
use crate::class::{Policy, Student, read_roster};
use crate::exercise::Shelf;
use crate::files::{read_bytes, read_text, shown};
use crate::practice::MOST_SHEETS;
use crate::text::quoted;
use std::path::{Path, PathBuf};

/// The folder of the exercises of a class, if its `class.toml` names one. What else that file says is not read yet.
pub(super) fn exercises(class_file: &Path) -> Result<Option<PathBuf>, Failure> {
    let named = read_text(class_file).ok().and_then(|text| Policy::own_exercises(&text));
    let Some(named) = named else { return Ok(None) };
    let folder = class_file.with_file_name(&named);
    if folder.is_dir() {
        return Ok(Some(folder));
    }
    let (file, named) = (shown(class_file), quoted(&named));
    Err(format!(
        "{file}: folders.exercises is {named}, but there is no such folder beside it; make it, or take the line out"
    )
    .into())
}

/// What the class whose folder this is lays down; nothing, if it is no such folder.
pub(super) fn policy(shelf: &Shelf) -> Result<Option<Policy>, Failure> {
    let file = Path::new(CLASS_FILE);
    if file.is_file() { read_policy(file, shelf).map(Some) } else { Ok(None) }
}

/// The students of a roster.
pub(super) fn roster(file: &Path) -> Result<Vec<Student>, Failure> {
    let text = read_bytes(file)?;
    let path = shown(file);
    let tell = |fault: &crate::text::Fault| format!("{path}: {fault}");
    read_roster(&text, MOST_SHEETS).map_err(|faults| Failure(faults.iter().map(tell).collect()))
}
