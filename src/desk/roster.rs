//! Who belongs to a class, from a table of any kind.

use super::files::{Files, read_text};
use super::spreadsheet::worksheets;
use super::told::shown;
use crate::class::{RosterColumns, Student, Wishes, read_roster, roster_columns, roster_wishes};
use crate::practice::MOST_SHEETS;
use crate::text::Fault;
use std::path::Path;

/// The students of a roster, and its other columns: CSV, or the first sheet of a spreadsheet that has something in it.
///
/// # Errors
/// Every fault, as a sentence.
pub(crate) fn roster(files: &dyn Files, file: &Path) -> Result<(Vec<Student>, RosterColumns), Vec<String>> {
    let text = table(files, file)?;
    let students = read_roster(text.as_bytes(), MOST_SHEETS).map_err(|faults| told(file, &faults))?;
    Ok((students, roster_columns(text.as_bytes())))
}

/// The students of a roster with what it says of their sheets; columns that are not known are told of.
///
/// # Errors
/// Every fault, as a sentence.
pub(crate) fn roster_with_wishes(
    files: &dyn Files,
    file: &Path,
    say: &dyn Fn(&str),
) -> Result<Vec<(Student, Wishes)>, Vec<String>> {
    let (students, _) = roster(files, file)?;
    let (wishes, said) = roster_wishes(table(files, file)?.as_bytes()).map_err(|faults| told(file, &faults))?;
    said.iter().for_each(|says| say(&format!("{}: {says}", shown(file))));
    let of = |student: &Student| wishes.iter().find(|(other, _)| other == student).map(|(_, wishes)| *wishes);
    Ok(students.into_iter().map(|student| (student.clone(), of(&student).unwrap_or_default())).collect())
}

fn told(file: &Path, faults: &[Fault]) -> Vec<String> {
    faults.iter().map(|fault| format!("{}: {fault}", shown(file))).collect()
}

fn table(files: &dyn Files, file: &Path) -> Result<String, Vec<String>> {
    let is_spreadsheet = file.extension().is_some_and(|ending| ending == "xlsx" || ending == "ods");
    let text = match is_spreadsheet {
        true => {
            worksheets(files, file).map(|sheets| sheets.into_iter().next().map(|sheet| sheet.csv).unwrap_or_default())
        }
        false => read_text(files, file),
    };
    text.map_err(|told| vec![told.to_string()])
}
