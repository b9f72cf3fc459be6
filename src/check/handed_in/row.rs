//! A row of a table of answers.

use super::answer_file::{Answer, AnswerSheet, Value};
use super::columns::{Column, Plain, table_of};
use super::commas::settle;
use super::table::{Table, place};
use crate::draft::{Entry, Raw, RawRow};
use crate::exercise::{Exercise, Shelf};
use crate::length::{Ruler, Unit};
use crate::text::{Fault, Fields, Place, Records, Splitter, hidden_in, quoted};
use std::collections::BTreeMap;

/// A row of a table, with as many fields as the head.
#[derive(Clone, Copy)]
pub(in crate::check) struct Row<'t> {
    pub table: &'t Table,
    pub fields: Fields<'t>,
    /// Its number, as a spreadsheet counts or from the beginning of a piece.
    pub number: usize,
}

/// Whose a row is, and how it was measured.
pub(in crate::check) struct Head<'t> {
    pub student: &'t str,
    pub id: &'t str,
    pub version: Option<u32>,
    pub unit: Option<Unit>,
    pub ruler: Option<Ruler>,
    pub code: &'t str,
}

/// The rows of a piece of a table, each as an answer sheet or as what is wrong with it, and how many rows there are,
/// empty ones among them. The first has the number `first`.
pub fn table_sheets(
    table: &Table,
    piece: &[u8],
    first: usize,
    shelf: &Shelf,
) -> (Vec<Result<AnswerSheet, Vec<Fault>>>, usize) {
    let mut splitter = Splitter::new(table.delimiter());
    let (mut sheets, mut rows) = (Vec::new(), 0);
    for record in Records::new(piece, table.delimiter()) {
        let number = first + rows;
        rows += 1;
        let row = table.fields(record, number, &mut splitter).map(|it| it.map(|fields| Row { table, fields, number }));
        let row = row.filter(|row| !row.as_ref().is_ok_and(Row::is_still_empty));
        sheets.extend(row.map(|row| {
            let row = row?;
            let (head, exercise) = row.head(|name| shelf.get(name).map_err(|unknown| unknown.to_string()))?;
            Ok(row.sheet(&head, exercise))
        }));
    }
    (sheets, rows)
}

impl<'t> Row<'t> {
    /// The row as a whole, for a place.
    pub fn place(&self) -> Place {
        place(self.number, None)
    }

    /// Reads what every row says of itself, and finds its exercise.
    ///
    /// # Errors
    /// What is wrong, each with the row and the column for a place.
    pub fn head<E>(&self, find: impl FnOnce(&str) -> Result<E, String>) -> Result<(Head<'t>, E), Vec<Fault>> {
        let mut faults = Vec::new();
        let mut note = |plain: Plain, message: String| {
            let place = Some(self.table.plain_place(self.number, plain));
            faults.push(Fault { place, key: String::new(), message });
        };
        let name = self.table.exercise(self.fields);
        if let Some(asked) = self.table.asked_for(name) {
            note(Plain::Exercise, format!("this is for {}, and {asked} is asked for", quoted(name)));
        }
        let exercise = if name.is_empty() { Err("the exercise's name is missing".to_owned()) } else { find(name) };
        let exercise = exercise.map_err(|sentence| note(Plain::Exercise, sentence)).ok();
        let text = |plain: Plain| self.table.plain(self.fields, plain);
        let (student, id) = (text(Plain::Student), text(Plain::Id));
        if student.is_empty() {
            note(Plain::Student, "the student's name is missing".to_owned());
        }
        for (plain, text) in [(Plain::Student, student), (Plain::Id, id)] {
            if let Some(letter) = hidden_in(text).find(|letter| !letter.is_whitespace()) {
                let letter = letter.escape_unicode();
                note(plain, format!("there is an invisible character in it ({letter}); take it out"));
            }
        }
        let version =
            optional(text(Plain::Version), read_version).map_err(|it| note(Plain::Version, it)).ok().flatten();
        let unit = optional(text(Plain::Unit), read_unit).map_err(|it| note(Plain::Unit, it)).ok().flatten();
        let read_ruler = |text: &str| Ruler::read(text).map_err(|error| error.to_string());
        let ruler = optional(text(Plain::Ruler), read_ruler).map_err(|it| note(Plain::Ruler, it)).ok().flatten();
        match exercise {
            Some(exercise) if faults.is_empty() => {
                Ok((Head { student, id, version, unit, ruler, code: text(Plain::Code) }, exercise))
            }
            Some(_) | None => Err(faults),
        }
    }

    /// The row as an answer sheet. Answers to what is not given are left out and told of.
    pub fn sheet(&self, head: &Head, exercise: &Exercise) -> AnswerSheet {
        let (given, rows) = self.given();
        // The rows of a sheet with a code are known to the code alone.
        let (answers, mut faults) = self.answers(exercise, Some(&rows).filter(|_| head.code.is_empty()));
        faults.extend(self.table.lacks(self.fields).map(|message| Fault {
            place: Some(self.place()),
            key: String::new(),
            message,
        }));
        let mut sheet = AnswerSheet {
            exercise: self.table.exercise(self.fields).to_owned(),
            version: head.version,
            student: head.student.to_owned(),
            id: head.id.to_owned(),
            unit: head.unit,
            ruler: head.ruler,
            code: head.code.to_owned(),
            assignment: None,
            given,
            answers,
            remarks: Vec::new(),
            faults,
        };
        settle(&mut sheet, self.table.commas);
        sheet
    }

    /// Whether it is a row of a set's table that nobody filled in: nothing was handed in then.
    pub fn is_still_empty(&self) -> bool {
        let is_answer = |(column, ..): &(&Column, &str, Place)| matches!(column, Column::Answer(..));
        !self.table.plain(self.fields, Plain::Code).is_empty() && !self.filled().any(|field| is_answer(&field))
    }

    /// The fields that are filled in.
    fn filled(&self) -> impl Iterator<Item = (&'t Column, &'t str, Place)> + use<'t> {
        let (table, fields, row) = (self.table, self.fields, self.number);
        let all = table.columns.iter().enumerate();
        let all = all.map(move |(at, column)| (column, fields.get(at).trim(), place(row, Some(at))));
        all.filter(|(_, text, _)| !text.is_empty())
    }

    /// The givens, and for each of their tables the numbers of the rows that are filled in, in order.
    fn given(&self) -> (Raw, BTreeMap<&'t str, Vec<usize>>) {
        let mut raw = Raw { place: Some(place(self.number, None)), ..Raw::default() };
        let mut tables: BTreeMap<&str, BTreeMap<usize, RawRow>> = BTreeMap::new();
        for (column, text, place) in self.filled() {
            let entry = |key: &str| Entry { key: key.to_owned(), text: text.to_owned(), place: Some(place) };
            match column {
                Column::Given(name) => raw.singles.push(entry(name)),
                Column::Cell(table, at, name) => {
                    let row = tables.entry(table).or_default().entry(*at).or_default();
                    row.place.get_or_insert(place);
                    match name.as_str() {
                        "name" => row.name = text.to_owned(),
                        name => row.cells.push(entry(name)),
                    }
                }
                Column::Plain(_) | Column::Answer(..) | Column::Other => {}
            }
        }
        let rows = tables.iter().map(|(table, rows)| (*table, rows.keys().copied().collect())).collect();
        raw.tables = tables.into_iter().map(|(name, rows)| (name.to_owned(), rows.into_values().collect())).collect();
        (raw, rows)
    }

    /// The answers. The value of a list in row 2 goes with what is given in row 2, though row 1 be empty.
    fn answers(&self, exercise: &Exercise, rows: Option<&BTreeMap<&str, Vec<usize>>>) -> (Vec<Answer>, Vec<Fault>) {
        let (mut answers, mut faults): (Vec<Answer>, Vec<Fault>) = (Vec::new(), Vec::new());
        for (column, text, place) in self.filled() {
            let Column::Answer(name, row) = column else { continue };
            let table = exercise.step(name).and_then(|step| table_of(exercise, step)).map(|(table, _)| table);
            let at = match (table, rows) {
                (None, _) | (_, None) => Some(*row),
                (Some(table), Some(rows)) => {
                    rows.get(table).and_then(|rows| rows.iter().position(|known| known == row))
                }
            };
            let Some(at) = at else {
                let table = table.unwrap_or_default();
                let message = format!("there is an answer here, but given.{table}.{} is empty", row + 1);
                faults.push(Fault { place: Some(place), key: String::new(), message });
                continue;
            };
            let known = answers.iter().position(|answer| answer.step == *name);
            let answer = known.unwrap_or_else(|| {
                answers.push(Answer { step: name.clone(), place, values: Vec::new() });
                answers.len() - 1
            });
            let values = &mut answers[answer].values;
            let missing = Value { text: String::new(), place };
            values.resize(values.len().max(at + 1), missing);
            values[at] = Value { text: text.to_owned(), place };
        }
        (answers, faults)
    }
}

/// Reads a text that may be empty.
fn optional<T>(text: &str, read: impl Fn(&str) -> Result<T, String>) -> Result<Option<T>, String> {
    if text.is_empty() { Ok(None) } else { read(text).map(Some) }
}

fn read_version(text: &str) -> Result<u32, String> {
    let version = text.parse().ok().filter(|version| (1..=9_999).contains(version));
    version.ok_or_else(|| format!("{} is not a version; it is a whole number, such as 1", quoted(text)))
}

fn read_unit(text: &str) -> Result<Unit, String> {
    Unit::named(text).map_err(|fault| fault.to_string())
}
