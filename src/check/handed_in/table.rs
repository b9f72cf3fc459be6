//! A table of answers: CSV with one row for each student.

use super::columns::{Column, ColumnNote, Plain, strange_columns};
use super::commas::Commas;
use crate::exercise::{Exercise, Shelf};
use crate::text::{Fault, Fields, Place, Record, Records, Splitter, delimiter_of, harmless, head_end, quoted};

/// Most columns a table may have.
const MOST_COLUMNS: usize = 2_000;

/// A table of answers by its head.
#[derive(Debug, Clone)]
pub struct Table {
    delimiter: u8,
    /// How long its head is, in bytes.
    length: usize,
    /// The columns as the head has them, fit to be shown.
    names: Vec<String>,
    pub(super) columns: Vec<Column>,
    /// Where the columns are that every table may have, in the order of [`Plain::ALL`].
    plain: [Option<usize>; Plain::ALL.len()],
    /// The exercise that is asked for.
    asked: Option<String>,
    /// What the numbers in it say of their commas, as far as it was read at once.
    pub(super) commas: Commas,
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
    /// Why no row of it can be read.
    pub fn read(begins: &[u8], asked: Option<&Exercise>, shelf: &Shelf) -> Result<(Table, Vec<ColumnNote>), Fault> {
        let (head, rest) = begins.split_at(head_end(begins));
        let delimiter = delimiter_of(head);
        let mut splitter = Splitter::new(delimiter);
        let fields = splitter.split(head).map_err(|_| Fault::whole("its head is not UTF-8 text; save it as UTF-8"))?;
        if fields.len() > MOST_COLUMNS {
            return Err(Fault::whole(format!(
                "its head has {} columns; at most {MOST_COLUMNS} are read",
                fields.len()
            )));
        }
        let names: Vec<&str> = fields.iter().map(str::trim).collect();
        let columns: Vec<Column> = names.iter().map(|name| Column::read(name)).collect();
        let lacks = |column: Column| !columns.contains(&column);
        let print = "`foldmark blank EXERCISE --csv` prints a head with all columns";
        if lacks(Column::Plain(Plain::Student)) {
            return Err(Fault::whole(format!("its head has no column \"student\"; {print}")));
        }
        if asked.is_none() && lacks(Column::Plain(Plain::Exercise)) {
            let message = "its head has no column \"exercise\"; add one, or name the exercise with --exercise";
            return Err(Fault::whole(message));
        }
        if !columns.iter().any(|column| matches!(column, Column::Answer(..))) {
            return Err(Fault::whole(format!("its head has no answers, such as \"answer.flap\"; {print}")));
        }
        let before = |at: usize| columns[..at].iter().position(|column| *column == columns[at]);
        let mut known = (0..columns.len()).filter(|at| columns[*at] != Column::Other);
        if let Some((one, other)) = known.find_map(|at| Some((before(at)?, at))) {
            let (one, other) = (quoted(names[one]), quoted(names[other]));
            return Err(Fault::whole(format!("its head has two columns for the same: {one} and {other}")));
        }
        let plain = Plain::ALL.map(|(_, plain)| columns.iter().position(|column| *column == Column::Plain(plain)));
        let shown = names.iter().map(|name| harmless(name, 60).into_owned()).collect();
        let asked_name = asked.map(|exercise| exercise.name.clone());
        let mut table = Table {
            delimiter,
            length: head.len(),
            names: shown,
            columns,
            plain,
            asked: asked_name,
            commas: Commas::default(),
        };
        let mut splitter = Splitter::new(delimiter);
        let tells = |record: &Record| Commas::may_stand_in(record.text, delimiter);
        for record in Records::new(rest, delimiter).filter(tells) {
            // The number of a version and the like have no unit.
            let Ok(fields) = splitter.split(record.text) else { continue };
            for (column, field) in table.columns.iter().zip(fields.iter()) {
                if matches!(column, Column::Answer(..) | Column::Given(_) | Column::Cell(..)) {
                    table.commas.look_at(field);
                }
            }
        }
        // Most tables are for one exercise, that of the first row: the others need not be read then.
        let mut splitter = Splitter::new(delimiter);
        let first = Records::new(rest, delimiter).next().and_then(|row| splitter.split(row.text).ok());
        let likely = asked.or_else(|| shelf.get(table.exercise(first?)).ok());
        let notes = strange_columns(&names, &mut table.columns, asked, likely, shelf);
        Ok((table, notes))
    }

    /// Whether a first line is the head of a table, rather than the beginning of answers in another form: at least two of its
    /// fields are names of columns.
    ///
    /// ```
    /// use foldmark::check::Table;
    /// assert!(Table::is_head(b"student;Exercise;answer.flap"));
    /// assert!(!Table::is_head(b"exercise = \"flap-roll\"") && !Table::is_head(b"answer.slot = [\"1\", \"2\"]"));
    /// ```
    pub fn is_head(line: &[u8]) -> bool {
        let mut splitter = Splitter::new(delimiter_of(line));
        splitter.split(line).is_ok_and(|fields| {
            fields.iter().filter(|name| Column::read(name.trim()) != Column::Other).nth(1).is_some()
        })
    }

    /// What stands between its fields.
    pub fn delimiter(&self) -> u8 {
        self.delimiter
    }

    /// How long its head is, in bytes, with the line end.
    pub fn head_length(&self) -> usize {
        self.length
    }

    /// The fields of a record; nothing, for a line that is empty.
    ///
    /// # Errors
    /// Why they can't be read, with the row and the column for a place.
    pub(in crate::check) fn fields<'f>(
        &self,
        record: Record<'f>,
        row: usize,
        splitter: &'f mut Splitter,
    ) -> Option<Result<Fields<'f>, Vec<Fault>>> {
        if record.text.is_empty() {
            return None;
        }
        let fault = |column: Option<usize>, message: String| {
            Some(Err(vec![Fault { place: Some(place(row, column)), key: String::new(), message }]))
        };
        if record.is_open {
            return fault(None, "a quotation mark is opened in this row and never closed".to_owned());
        }
        let fields = match splitter.split(record.text) {
            Ok(fields) => fields,
            Err(column) => return fault(Some(column), "this is not UTF-8 text; save the table as UTF-8".to_owned()),
        };
        if fields.iter().all(|field| field.trim().is_empty()) {
            return None;
        }
        match self.misfit(fields) {
            Some(message) => fault(None, message),
            None => Some(Ok(fields)),
        }
    }

    /// That a row ends before the head does, if it does.
    pub(super) fn lacks(&self, fields: Fields) -> Option<String> {
        let (found, wanted) = (fields.len(), self.columns.len());
        (found < wanted).then(|| {
            format!("the row has {found} fields, and the head {wanted}; those at its end are taken to be empty")
        })
    }

    /// What is wrong with the number of fields, if there are too many.
    fn misfit(&self, fields: Fields) -> Option<String> {
        let (found, wanted) = (fields.len(), self.columns.len());
        if (wanted..found).any(|at| !fields.get(at).trim().is_empty()) {
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
        match (self.plain(fields, Plain::Exercise), &self.asked) {
            ("", Some(asked)) => asked,
            (stated, _) => stated,
        }
    }

    /// The exercise that is asked for, if a row is for another.
    pub(super) fn asked_for(&self, stated: &str) -> Option<&str> {
        self.asked.as_deref().filter(|asked| *asked != stated)
    }

    /// The field of one of the columns that every table may have, without white space around it; empty if there is no
    /// such column.
    pub(super) fn plain<'f>(&self, fields: Fields<'f>, plain: Plain) -> &'f str {
        fields.trimmed(self.plain[plain as usize])
    }

    /// Where such a field stands: row and column from 1.
    pub(super) fn plain_place(&self, row: usize, plain: Plain) -> Place {
        place(row, self.plain[plain as usize])
    }

    /// The columns that an exercise does not have, and another may.
    pub(super) fn foreign(&self, exercise: &Exercise) -> Vec<usize> {
        let is_foreign = |column: &Column| column.is_about_exercise() && !column.fits(exercise);
        self.columns.iter().enumerate().filter(|(_, column)| is_foreign(column)).map(|(at, _)| at).collect()
    }

    pub(super) fn column(&self, wanted: &Column) -> Option<usize> {
        self.columns.iter().position(|column| column == wanted)
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
pub(super) fn place(row: usize, column: Option<usize>) -> Place {
    Place { line: row, column: column.map_or(0, |column| column + 1) }
}
