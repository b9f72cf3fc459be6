//! A table of answers: CSV with one row for each student, and what its columns mean.

use super::answers::{Answer, AnswerSheet, Value};
use super::records::{Fields, Record, Records, Splitter, delimiter_of, head_end};
use crate::draft::{Entry, Raw, RawRow};
use crate::exercise::{Exercise, GivenKind, Shelf, Step};
use crate::length::{Ruler, Unit};
use crate::text::{Fault, Place, harmless, is_hidden, nearest, quoted};
use std::collections::BTreeMap;

/// Most columns a table may have.
const MOST_COLUMNS: usize = 2_000;

/// What a column holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Column {
    Student,
    Id,
    Exercise,
    Version,
    Code,
    Unit,
    Ruler,
    /// A single given.
    Given(String),
    /// A cell of a table of givens: which table, which row from 0, which column; the row's name has the column `name`.
    Cell(String, usize, String),
    /// The answer to a step, in which row of a list.
    Answer(String, usize),
    /// Something else, which is not read.
    Other,
}

/// A table of answers by its head.
#[derive(Debug, Clone)]
pub struct Table {
    pub(super) delimiter: u8,
    /// How long its head is, in bytes.
    length: usize,
    /// The columns as the head has them, fit to be shown.
    names: Vec<String>,
    pub(super) columns: Vec<Column>,
    /// Where the columns are that every table may have, in the order of [`PLAIN`].
    plain: [Option<usize>; PLAIN.len()],
    /// The exercise that is asked for.
    asked: Option<String>,
}

/// Something about the columns of a table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ColumnNote {
    /// A sentence without a full stop.
    pub says: String,
    /// Whether answers are lost by it; otherwise it is merely good to know.
    pub is_fault: bool,
}

/// The columns that every table may have, whatever the exercise.
const PLAIN: [(&str, Column); 7] = [
    ("student", Column::Student),
    ("id", Column::Id),
    ("exercise", Column::Exercise),
    ("version", Column::Version),
    ("unit", Column::Unit),
    ("ruler", Column::Ruler),
    ("code", Column::Code),
];

/// Their places in [`PLAIN`].
pub(super) const STUDENT: usize = 0;
pub(super) const ID: usize = 1;
pub(super) const EXERCISE: usize = 2;
pub(super) const VERSION: usize = 3;
pub(super) const UNIT: usize = 4;
pub(super) const RULER: usize = 5;
pub(super) const CODE: usize = 6;

/// The columns of a table for an exercise, with room for so many rows in each table of givens: its head.
///
/// ```
/// use foldmark::{check::table_columns, exercise::Shelf};
/// let shelf = Shelf::shipped();
/// let columns = table_columns(shelf.get("flap-roll").unwrap(), 2);
/// assert_eq!(columns[..2], ["student", "id"]);
/// assert!(columns.contains(&"given.objects.2.length".to_owned()) && columns.contains(&"answer.slot.2".to_owned()));
/// ```
pub fn table_columns(exercise: &Exercise, rows: usize) -> Vec<String> {
    let mut names: Vec<String> = PLAIN.iter().map(|(name, _)| (*name).to_owned()).collect();
    let (tables, singles): (Vec<_>, Vec<_>) =
        exercise.givens.iter().partition(|given| matches!(given.kind, GivenKind::Table { .. }));
    names.extend(singles.iter().map(|given| format!("given.{}", given.name)));
    for given in tables {
        let GivenKind::Table { columns, rows: (_, most), .. } = &given.kind else { continue };
        for row in 1..=rows.min(*most) {
            let columns = std::iter::once("name").chain(columns.iter().map(|column| column.name.as_str()));
            names.extend(columns.map(|column| format!("given.{}.{row}.{column}", given.name)));
        }
    }
    for step in &exercise.steps {
        match table_of(exercise, step) {
            None => names.push(format!("answer.{}", step.name)),
            Some((_, most)) => names.extend((1..=rows.min(most)).map(|row| format!("answer.{}.{row}", step.name))),
        }
    }
    names
}

/// The table of givens that a list step has a value for each row of, and how many rows it may have.
pub(super) fn table_of<'e>(exercise: &'e Exercise, step: &Step) -> Option<(&'e str, usize)> {
    let wanted = step.kind.list?;
    exercise.givens.iter().find_map(|given| match &given.kind {
        GivenKind::Table { table, rows: (_, most), .. } if *table == wanted => Some((given.name.as_str(), *most)),
        _ => None,
    })
}

impl Column {
    /// What a name in the head stands for; `Other`, if it is spelled in no known way.
    fn read(name: &str) -> Column {
        if let Some((_, column)) = PLAIN.iter().find(|(plain, _)| name.eq_ignore_ascii_case(plain)) {
            return column.clone();
        }
        let parts: Vec<&str> = name.split('.').map(str::trim).collect();
        let row = |text: &str| text.parse::<usize>().ok().and_then(|row| row.checked_sub(1));
        match parts[..] {
            ["given", name] => Some(Column::Given(name.to_owned())),
            ["given", table, at, column] => row(at).map(|row| Column::Cell(table.to_owned(), row, column.to_owned())),
            ["answer", step] => Some(Column::Answer(step.to_owned(), 0)),
            ["answer", step, at] => row(at).map(|row| Column::Answer(step.to_owned(), row)),
            _ => None,
        }
        .unwrap_or(Column::Other)
    }

    /// Whether an exercise has it.
    fn fits(&self, exercise: &Exercise) -> bool {
        match self {
            Column::Given(name) => {
                exercise.given(name).is_some_and(|given| !matches!(given.kind, GivenKind::Table { .. }))
            }
            Column::Cell(table, row, name) => exercise.given(table).is_some_and(|given| match &given.kind {
                GivenKind::Table { columns, rows: (_, most), .. } => {
                    row < most && (name == "name" || columns.iter().any(|column| column.name == *name))
                }
                _ => false,
            }),
            Column::Answer(step, row) => {
                exercise.step(step).is_some_and(|step| *row < table_of(exercise, step).map_or(1, |(_, most)| most))
            }
            Column::Other => false,
            _ => true,
        }
    }

    /// Whether it is about an exercise.
    fn is_about_exercise(&self) -> bool {
        matches!(self, Column::Given(_) | Column::Cell(..) | Column::Answer(..))
    }
}

impl Table {
    /// Reads the head of a table, its first record, from a text that the table begins with. `asked` is the exercise that
    /// all rows are for, if that is known.
    ///
    /// ```
    /// use foldmark::{check::Table, exercise::Shelf};
    /// let shelf = Shelf::shipped();
    /// let (_, notes) = Table::read(b"student;exercise;answer.flap;answer.flop", None, &shelf).unwrap();
    /// assert_eq!(notes[0].says, "no exercise has a column \"answer.flop\", and it is not read; did you mean answer.flap?");
    /// ```
    ///
    /// # Errors
    /// Why no row of it can be read, in a sentence without a full stop.
    pub fn read(begins: &[u8], asked: Option<&Exercise>, shelf: &Shelf) -> Result<(Table, Vec<ColumnNote>), String> {
        let (head, rest) = begins.split_at(head_end(begins));
        let delimiter = delimiter_of(head);
        let mut splitter = Splitter::new(delimiter);
        let fields = splitter.split(head).map_err(|_| "its head is not UTF-8 text; save it as UTF-8".to_owned())?;
        if fields.len() > MOST_COLUMNS {
            return Err(format!("its head has {} columns; at most {MOST_COLUMNS} are read", fields.len()));
        }
        let names: Vec<&str> = fields.iter().map(str::trim).collect();
        let columns: Vec<Column> = names.iter().map(|name| Column::read(name)).collect();
        let lacks = |column: Column| !columns.contains(&column);
        let print = "`foldmark blank EXERCISE --csv` prints a head with all columns";
        if lacks(Column::Student) {
            return Err(format!("its head has no column \"student\"; {print}"));
        }
        if asked.is_none() && lacks(Column::Exercise) {
            return Err("its head has no column \"exercise\"; add one, or name the exercise with --exercise".to_owned());
        }
        if !columns.iter().any(|column| matches!(column, Column::Answer(..))) {
            return Err(format!("its head has no answers, such as \"answer.flap\"; {print}"));
        }
        let before = |at: usize| columns[..at].iter().position(|column| *column == columns[at]);
        let mut known = (0..columns.len()).filter(|at| columns[*at] != Column::Other);
        if let Some((one, other)) = known.find_map(|at| Some((before(at)?, at))) {
            let (one, other) = (quoted(names[one]), quoted(names[other]));
            return Err(format!("its head has two columns for the same: {one} and {other}"));
        }
        let plain = std::array::from_fn(|at| columns.iter().position(|column| *column == PLAIN[at].1));
        let shown = names.iter().map(|name| harmless(name, 60).into_owned()).collect();
        let asked_name = asked.map(|exercise| exercise.name.clone());
        let mut table = Table { delimiter, length: head.len(), names: shown, columns, plain, asked: asked_name };
        // Most tables are for one exercise, that of the first row: the others need not be read then.
        let mut splitter = Splitter::new(delimiter);
        let first = Records::new(rest, delimiter).next().and_then(|row| splitter.split(row.text).ok());
        let likely = asked.or_else(|| shelf.get(table.exercise(first?)).ok());
        let notes = strange_columns(&names, &mut table.columns, asked, likely, shelf);
        Ok((table, notes))
    }

    /// The rows of a piece of the table, each as an answer sheet or as what is wrong with it, and how many rows there are,
    /// empty ones among them. The first has the number `first`.
    pub fn sheets(&self, piece: &[u8], first: usize, shelf: &Shelf) -> (Vec<Result<AnswerSheet, Vec<Fault>>>, usize) {
        let mut splitter = Splitter::new(self.delimiter);
        let (mut sheets, mut rows) = (Vec::new(), 0);
        for record in Records::new(piece, self.delimiter) {
            sheets.extend(self.sheet(record, first + rows, &mut splitter, shelf));
            rows += 1;
        }
        (sheets, rows)
    }

    /// What stands between its fields.
    pub fn delimiter(&self) -> u8 {
        self.delimiter
    }

    /// How long its head is, in bytes, with the line end.
    pub fn head_length(&self) -> usize {
        self.length
    }

    /// The record as an answer sheet; nothing, for a line that is empty.
    ///
    /// # Errors
    /// Why it can't be read, each with the row and the column for a place.
    pub(super) fn sheet(
        &self,
        record: Record,
        row: usize,
        splitter: &mut Splitter,
        shelf: &Shelf,
    ) -> Option<Result<AnswerSheet, Vec<Fault>>> {
        if record.text.is_empty() {
            return None;
        }
        let whole = |message: String| Some(Err(vec![self.fault(row, None, message)]));
        if record.is_open {
            return whole("a quotation mark is opened in this row and never closed".to_owned());
        }
        let fields = match splitter.split(record.text) {
            Ok(fields) => fields,
            Err(column) => {
                let message = "this is not UTF-8 text; save the table as UTF-8".to_owned();
                return Some(Err(vec![self.fault(row, Some(column), message)]));
            }
        };
        if fields.iter().all(|field| field.trim().is_empty()) {
            return None;
        }
        if let Some(message) = self.misfit(fields) {
            return whole(message);
        }
        Some(SheetReader { table: self, fields, row, faults: Vec::new() }.read(shelf))
    }

    /// What is wrong with the number of fields, if anything is.
    pub(super) fn misfit(&self, fields: Fields) -> Option<String> {
        let (found, wanted) = (fields.len(), self.columns.len());
        if found < wanted {
            return Some(format!(
                "the row has {found} fields, and the head {wanted}; each column needs one, if an empty one"
            ));
        }
        if fields.iter().skip(wanted).any(|field| !field.trim().is_empty()) {
            let comma = if self.delimiter == b',' {
                "; a field with a comma in it, such as 31,8, has to stand between quotation marks"
            } else {
                ""
            };
            return Some(format!("the row has {found} fields, and the head {wanted}{comma}"));
        }
        None
    }

    /// The exercise that a row is for.
    pub(super) fn exercise<'f>(&'f self, fields: Fields<'f>) -> &'f str {
        match (self.text(fields, EXERCISE), &self.asked) {
            ("", Some(asked)) => asked,
            (stated, _) => stated,
        }
    }

    /// Whether a row is for the exercise that is asked for.
    pub(super) fn is_asked(&self, fields: Fields) -> bool {
        self.asked.as_ref().is_none_or(|asked| asked == self.exercise(fields))
    }

    /// The field of one of the columns that every table may have, without white space around it; empty if there is no
    /// such column.
    pub(super) fn text<'f>(&self, fields: Fields<'f>, plain: usize) -> &'f str {
        self.plain[plain].map_or("", |column| trimmed(fields.get(column)))
    }

    /// The columns that an exercise does not have, and another may.
    pub(super) fn foreign(&self, exercise: &Exercise) -> Vec<usize> {
        let is_foreign = |column: &Column| column.is_about_exercise() && !column.fits(exercise);
        self.columns.iter().enumerate().filter(|(_, column)| is_foreign(column)).map(|(at, _)| at).collect()
    }

    pub(super) fn column(&self, wanted: &Column) -> Option<usize> {
        self.columns.iter().position(|column| column == wanted)
    }

    fn fault(&self, row: usize, column: Option<usize>, message: String) -> Fault {
        Fault { place: Some(place(row, column)), key: String::new(), message }
    }

    /// A fault of one of its rows: with the number of the row as a spreadsheet counts, and the column's name.
    pub fn tell(&self, fault: &Fault) -> String {
        let Some(Place { line: row, column }) = fault.place else { return fault.to_string() };
        let name = column.checked_sub(1).and_then(|column| self.names.get(column));
        match name.unwrap_or(&fault.key) {
            name if name.is_empty() => format!("row {row}: {}", fault.message),
            name => format!("row {row}, {name}: {}", fault.message),
        }
    }
}

/// Where a field stands: row and column from 1; column 0 is the row as a whole.
fn place(row: usize, column: Option<usize>) -> Place {
    Place { line: row, column: column.map_or(0, |column| column + 1) }
}

/// Finds the columns that no exercise in question has, and marks them as not read.
fn strange_columns(
    names: &[&str],
    columns: &mut [Column],
    asked: Option<&Exercise>,
    likely: Option<&Exercise>,
    shelf: &Shelf,
) -> Vec<ColumnNote> {
    let mut notes = Vec::new();
    // The shelf is searched only for a column that needs it: reading all exercises takes a while.
    let exercises = || -> Vec<&Exercise> { asked.map_or_else(|| shelf.iter().collect(), |asked| vec![asked]) };
    for (name, column) in names.iter().zip(columns) {
        let is_likely = likely.is_some_and(|exercise| column.fits(exercise));
        if name.is_empty() || is_likely || exercises().into_iter().any(|exercise| column.fits(exercise)) {
            continue;
        }
        let row = match column {
            Column::Cell(_, row, _) | Column::Answer(_, row) => *row + 1,
            _ => 1,
        };
        let known: Vec<String> = exercises().into_iter().flat_map(|exercise| table_columns(exercise, row)).collect();
        let near = nearest(name, known.iter().map(String::as_str));
        let is_fault = near.is_some() || column.is_about_exercise();
        let hint = near.map_or_else(String::new, |near| format!("; did you mean {near}?"));
        let whose = asked.map_or("no exercise has", |_| "this exercise does not have");
        let says = if is_fault {
            format!("{whose} a column {}, and it is not read{hint}", quoted(name))
        } else {
            format!("the column {} is not read", quoted(name))
        };
        notes.push(ColumnNote { says, is_fault });
        *column = Column::Other;
    }
    notes
}

/// A text without white space around it; nearly every one has none.
pub(super) fn trimmed(text: &str) -> &str {
    let is_bare = |byte: Option<&u8>| byte.is_none_or(u8::is_ascii_graphic);
    let bytes = text.as_bytes();
    if is_bare(bytes.first()) && is_bare(bytes.last()) { text } else { text.trim() }
}

/// Reads the version of an exercise.
pub(super) fn read_version(text: &str) -> Result<u32, String> {
    let version = text.parse().ok().filter(|version| (1..=9_999).contains(version));
    version.ok_or_else(|| format!("{} is not a version; it is a whole number, such as 1", quoted(text)))
}

/// A row being read as an answer sheet.
struct SheetReader<'t> {
    table: &'t Table,
    fields: Fields<'t>,
    row: usize,
    faults: Vec<Fault>,
}

impl<'t> SheetReader<'t> {
    fn read(mut self, shelf: &Shelf) -> Result<AnswerSheet, Vec<Fault>> {
        let name = self.table.exercise(self.fields).to_owned();
        if let Some(asked) = self.table.asked.as_ref().filter(|asked| **asked != name) {
            self.note(EXERCISE, format!("this is for {}, and {asked} is asked for", quoted(&name)));
        }
        let exercise = match name.as_str() {
            "" => Err("the exercise's name is missing".to_owned()),
            name => shelf.get(name).map_err(|unknown| unknown.to_string()),
        };
        let exercise = exercise.map_err(|sentence| self.note(EXERCISE, sentence)).ok();
        let [student, id] = [STUDENT, ID].map(|plain| self.table.text(self.fields, plain).to_owned());
        if student.is_empty() {
            self.note(STUDENT, "the student's name is missing".to_owned());
        }
        for (plain, text) in [(STUDENT, &student), (ID, &id)] {
            if let Some(letter) = text.chars().find(|letter| is_hidden(*letter) && !letter.is_whitespace()) {
                let letter = letter.escape_unicode();
                self.note(plain, format!("there is an invisible character in it ({letter}); take it out"));
            }
        }
        let version = self.optional(VERSION, read_version);
        let unit = self.optional(UNIT, |text| Unit::named(text).map_err(|fault| fault.to_string()));
        let ruler = self.optional(RULER, |text| Ruler::read(text).map_err(|error| error.to_string()));
        let Some(exercise) = exercise.filter(|_| self.faults.is_empty()) else { return Err(self.faults) };
        let (given, rows) = self.given();
        let code = self.table.text(self.fields, CODE).to_owned();
        // The rows of a sheet with a code are known to the code alone.
        let answers = self.answers(exercise, Some(&rows).filter(|_| code.is_empty()));
        if !self.faults.is_empty() {
            return Err(self.faults);
        }
        Ok(AnswerSheet { exercise: name, version, student, id, unit, ruler, code, assignment: None, given, answers })
    }

    fn note(&mut self, plain: usize, message: String) {
        self.faults.push(self.table.fault(self.row, self.table.plain[plain], message));
    }

    /// A field that may be empty.
    fn optional<T>(&mut self, plain: usize, read: impl Fn(&str) -> Result<T, String>) -> Option<T> {
        let text = self.table.text(self.fields, plain);
        if text.is_empty() {
            return None;
        }
        read(text).map_err(|message| self.note(plain, message)).ok()
    }

    /// The fields that are filled in.
    fn filled(&self) -> impl Iterator<Item = (&'t Column, &'t str, Place)> + use<'t> {
        let (table, fields, row) = (self.table, self.fields, self.row);
        let all = table.columns.iter().enumerate();
        let all = all.map(move |(at, column)| (column, fields.get(at).trim(), place(row, Some(at))));
        all.filter(|(_, text, _)| !text.is_empty())
    }

    /// The givens, and for each of their tables the numbers of the rows that are filled in, in order.
    fn given(&self) -> (Raw, BTreeMap<&'t str, Vec<usize>>) {
        let mut raw = Raw { place: Some(place(self.row, None)), ..Raw::default() };
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
                _ => {}
            }
        }
        let rows = tables.iter().map(|(table, rows)| (*table, rows.keys().copied().collect())).collect();
        raw.tables = tables.into_iter().map(|(name, rows)| (name.to_owned(), rows.into_values().collect())).collect();
        (raw, rows)
    }

    /// The answers. The value of a list in row 2 goes with what is given in row 2, though row 1 be empty.
    fn answers(&mut self, exercise: &Exercise, rows: Option<&BTreeMap<&str, Vec<usize>>>) -> Vec<Answer> {
        let mut answers: Vec<Answer> = Vec::new();
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
                self.faults.push(Fault { place: Some(place), key: String::new(), message });
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
        answers
    }
}
