//! The folder of a class: what its `class.toml` says where a command is run in it, or below it.

use super::inputs::{read_policy, upward};
use super::terminal::{Failure, error};
use crate::class::{Policy, RosterColumns, Student, read_roster, roster_columns};
use crate::exercise::Shelf;
use crate::files::{read_text, shown, worksheets};
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

/// The class in whose folder this is, or in one below it: its folder, and what it lays down.
pub(super) fn here(shelf: &Shelf) -> Result<Option<(PathBuf, Policy)>, Failure> {
    let Some(file) = upward(Path::new("")) else { return Ok(None) };
    let folder = file.parent().unwrap_or(Path::new("")).to_owned();
    Ok(Some((folder, read_policy(&file, shelf)?)))
}

/// The students of a roster, its other columns, and how many of its rows are no student, which is told: CSV, or the first
/// sheet of a spreadsheet that has something in it.
pub(super) fn roster(file: &Path) -> Result<(Vec<Student>, RosterColumns, usize), Failure> {
    let is_spreadsheet = file.extension().is_some_and(|ending| ending == "xlsx" || ending == "ods");
    let text = match is_spreadsheet {
        true => worksheets(file)?.into_iter().next().map(|sheet| sheet.csv).unwrap_or_default(),
        false => read_text(file)?,
    };
    let path = shown(file);
    let tell = |fault: &crate::text::Fault| format!("{path}: {fault}");
    let students = read_roster(text.as_bytes(), MOST_SHEETS);
    let (students, faults) = students.map_err(|faults| Failure(faults.iter().map(tell).collect()))?;
    faults.iter().for_each(|fault| error(&tell(fault)));
    Ok((students, roster_columns(text.as_bytes()), faults.len()))
}
