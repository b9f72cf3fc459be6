//! From the code on a sheet back to what it sets.

use super::code::Code;
use super::maker::Maker;
use super::problem::Problem;
use crate::check::{AnswerSheet, Assignment};
use crate::draft::{Draft, Entry, Raw, RawRow};
use crate::exercise::{Exercise, GivenKind, Shelf};
use crate::formula::Values;
use crate::text::Fault;

/// Looks up what a sheet's code sets, and puts it in: the givens, the ruler, the level, the slips to be found. A sheet
/// without a code is left as it is.
///
/// ```
/// use foldmark::check::{Marker, answer_file, read_answers};
/// use foldmark::class::Policy;
/// use foldmark::practice::{Maker, Task, coded_file, recall};
/// use foldmark::{exercise::Shelf, length::Ruler};
/// let shelf = Shelf::shipped();
/// let maker = Maker::new(shelf.get("flap-roll").unwrap(), 1, Task::Draft, Ruler::EIGHTH).unwrap();
/// let problem = &maker.set(1, 2026).unwrap()[0];
/// let mut sheet = read_answers(&coded_file(problem, "Tansy", true)).unwrap();
/// assert!(sheet.given.singles.is_empty());
/// recall(&mut sheet, &shelf).unwrap();
/// let marker = Marker::new(maker.exercise(), &Policy::default());
/// assert!(marker.mark(&sheet).unwrap().all_right());
/// ```
///
/// # Errors
/// Why the code can't be read, or what it was made for.
pub fn recall(sheet: &mut AnswerSheet, shelf: &Shelf) -> Result<(), Vec<Fault>> {
    let text = sheet.code.trim();
    if text.is_empty() {
        return Ok(());
    }
    let place = sheet.given.place;
    // That there is no such exercise is told where the sheet is marked.
    let Ok(exercise) = shelf.get(&sheet.exercise) else {
        return Code::read(text)
            .map(|_| ())
            .map_err(|it| vec![Fault { place, key: "code".to_owned(), message: it.to_string() }]);
    };
    let fault = |message: String| vec![Fault { place, key: "code".to_owned(), message }];
    let Problem { code, draft, slips, .. } = coded(text, exercise, shelf).map_err(fault)?;
    let had_givens = !sheet.given.singles.is_empty() || !sheet.given.tables.is_empty();
    sheet.given = Raw { place, ..raw(&draft) };
    sheet.ruler = Some(code.ruler);
    sheet.unit.get_or_insert(code.ruler.unit());
    sheet.assignment = Some(Assignment { level: code.level, slips, had_givens });
    Ok(())
}

/// The problem of a code. The shelf serves to tell which exercise a code is of that is none of this one.
///
/// # Errors
/// Why there is none, as a sentence without a full stop.
pub fn coded<'e>(text: &str, exercise: &'e Exercise, shelf: &Shelf) -> Result<Problem<'e>, String> {
    let code = Code::read(text).map_err(|fault| fault.to_string())?;
    if !code.is_for(&exercise.name, exercise.version) {
        return Err(of_another(&code, exercise, shelf));
    }
    let unknown =
        || format!("{text} is a code of this exercise, but no sheet has it; copy it from the head of the sheet");
    let maker = Maker::new(exercise, code.level, code.task, code.ruler).map_err(|_| unknown())?;
    maker.problem(code.seed).ok_or_else(unknown)
}

fn of_another(code: &Code, exercise: &Exercise, shelf: &Shelf) -> String {
    if let Some(other) = shelf.iter().find(|other| code.is_for(&other.name, other.version)) {
        return format!("this code is of a sheet for {}, and the file says {}", other.name, exercise.name);
    }
    format!(
        "this code is of another exercise, or of another version of {}, which has version {} now",
        exercise.name, exercise.version
    )
}

/// The givens of a draft as they would be written, exactly.
fn raw(draft: &Draft) -> Raw {
    let (exercise, givens) = (draft.exercise, &draft.givens);
    let mut raw = Raw::default();
    let entry = |key: &str, text: String| Entry { key: key.to_owned(), text, place: None };
    for given in &exercise.givens {
        match &given.kind {
            GivenKind::Length { slot, .. } | GivenKind::Number { slot, .. } | GivenKind::Choice { slot, .. } => {
                raw.singles.extend(givens.text(exercise, *slot, 0).map(|text| entry(&given.name, text)));
            }
            GivenKind::Table { table, columns, .. } => {
                let row = |row: usize| RawRow {
                    name: givens.row_names[table.0][row].clone(),
                    cells: columns
                        .iter()
                        .filter_map(|column| Some(entry(&column.name, givens.text(exercise, column.slot, row)?)))
                        .collect(),
                    place: None,
                };
                let rows = (0..draft.measures.rows(*table)).map(row).collect();
                raw.tables.push((given.name.clone(), rows));
            }
        }
    }
    raw
}
