//! Who belongs to a class, from a table of any kind.

use super::files::{Files, read_text};
use super::spreadsheet::worksheets;
use super::told::shown;
use crate::class::{RosterColumns, Student, Wishes, read_roster, roster_columns, roster_wishes};
use crate::practice::MOST_SHEETS;
use crate::text::Fault;
use std::path::Path;

/// A roster as it was read.
#[derive(Debug, Clone, Default)]
pub(crate) struct Roster {
    pub students: Vec<Student>,
    /// Its other columns.
    pub columns: RosterColumns,
    /// What is wrong with rows whose students are not among them, as sentences.
    pub faults: Vec<String>,
}

/// Reads a roster: CSV, or the first sheet of a spreadsheet that has something in it.
///
/// # Errors
/// Every fault of one that is none, as a sentence.
pub(crate) fn roster(files: &dyn Files, file: &Path) -> Result<Roster, Vec<String>> {
    of_table(file, &table(files, file)?)
}

/// The same with what it says of each student's sheets; columns that are not known are told of.
///
/// # Errors
/// Every fault of one that is none, and of what it says of sheets, as a sentence.
pub(crate) fn roster_with_wishes(
    files: &dyn Files,
    file: &Path,
    say: &dyn Fn(&str),
) -> Result<(Roster, Vec<Wishes>), Vec<String>> {
    let text = table(files, file)?;
    let roster = of_table(file, &text)?;
    let wishes = roster_wishes(text.as_bytes(), &roster.students);
    let (wishes, said) = wishes.map_err(|faults| [roster.faults.clone(), told(file, &faults)].concat())?;
    said.iter().for_each(|says| say(&format!("{}: {says}", shown(file))));
    Ok((roster, wishes))
}

fn of_table(file: &Path, text: &str) -> Result<Roster, Vec<String>> {
    let read = read_roster(text.as_bytes(), MOST_SHEETS);
    let (students, faults) = read.map_err(|faults| told(file, &faults))?;
    Ok(Roster { students, columns: roster_columns(text.as_bytes()), faults: told(file, &faults) })
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
