//! Who belongs to a class, from a table of any kind.

use super::files::{Files, read_text};
use super::spreadsheet::worksheets;
use super::told::shown;
use crate::class::{RosterColumns, Student, read_roster, roster_columns};
use crate::practice::MOST_SHEETS;
use crate::text::Fault;
use std::path::Path;

/// The students of a roster, and its other columns: CSV, or the first sheet of a spreadsheet that has something in it.
///
/// # Errors
/// Every fault, as a sentence.
pub(crate) fn roster(files: &dyn Files, file: &Path) -> Result<(Vec<Student>, RosterColumns), Vec<String>> {
    let is_spreadsheet = file.extension().is_some_and(|ending| ending == "xlsx" || ending == "ods");
    let text = match is_spreadsheet {
        true => {
            worksheets(files, file).map(|sheets| sheets.into_iter().next().map(|sheet| sheet.csv).unwrap_or_default())
        }
        false => read_text(files, file),
    };
    let text = text.map_err(|told| vec![told.to_string()])?;
    let path = shown(file);
    let tell = |fault: &Fault| format!("{path}: {fault}");
    let students = read_roster(text.as_bytes(), MOST_SHEETS);
    let students = students.map_err(|faults| faults.iter().map(tell).collect::<Vec<String>>())?;
    Ok((students, roster_columns(text.as_bytes())))
}
