//! Givens as written, found by their names.

use super::fields::{Field, Written};
use super::given_faults::{Faults, Key};
use super::raw::{Entry, Raw, RawRow};
use crate::exercise::{Column, Exercise, GivenId, GivenKind};
use crate::formula::TableId;
use crate::text::{Fault, Place, Shown, did_you_mean};
use std::collections::BTreeSet;

/// Givens whose names are all known.
pub(crate) struct Named<'r> {
    exercise: &'r Exercise,
    raw: &'r Raw,
    /// The rows of each table that are filled in.
    tables: Vec<Vec<&'r RawRow>>,
    counts: Vec<usize>,
}

impl<'r> Named<'r> {
    /// Finds the givens of an exercise.
    ///
    /// # Errors
    /// Every name that the exercise does not have, or that stands there twice, and tables with too few or too many rows.
    pub(crate) fn new(exercise: &'r Exercise, raw: &'r Raw) -> Result<Named<'r>, Vec<Fault>> {
        let tables: Vec<Vec<&RawRow>> = tables(exercise, raw);
        let mut faults = Faults::default();
        unknown_keys(exercise, raw, &mut faults);
        unsound_rows(exercise, raw, &tables, &mut faults);
        let counts = tables.iter().map(Vec::len).collect();
        faults.none()?;
        Ok(Named { exercise, raw, tables, counts })
    }
}

impl Written for Named<'_> {
    fn place(&self) -> Option<Place> {
        self.raw.place
    }

    fn single(&self, given: GivenId) -> Option<Field<'_>> {
        entry(&self.raw.singles, &self.exercise.givens[given].name)
    }

    fn rows(&self) -> &[usize] {
        &self.counts
    }

    fn name(&self, table: TableId, row: usize) -> Field<'_> {
        let row = self.tables[table.0][row];
        Field { text: &row.name, place: row.place }
    }

    fn cell(&self, table: TableId, row: usize, _: usize, column: &Column) -> Option<Field<'_>> {
        entry(&self.tables[table.0][row].cells, &column.name)
    }
}

/// The entry of this name that is filled in.
fn entry<'r>(entries: &'r [Entry], name: &str) -> Option<Field<'r>> {
    let named = entries.iter().filter(|entry| entry.key == name);
    named.map(|entry| Field { text: &entry.text, place: entry.place }).find_map(Field::filled)
}

/// The rows of each table that somebody filled in: a part that is empty is one copied too many.
fn tables<'r>(exercise: &Exercise, raw: &'r Raw) -> Vec<Vec<&'r RawRow>> {
    let is_filled =
        |row: &&RawRow| !row.name.trim().is_empty() || row.cells.iter().any(|cell| !cell.text.trim().is_empty());
    let tables = exercise.givens.iter().filter(|given| matches!(given.kind, GivenKind::Table { .. }));
    let rows = tables.map(|given| raw.tables.iter().find(|(key, _)| *key == given.name));
    rows.map(|rows| rows.map_or_else(Vec::new, |(_, rows)| rows.iter().filter(is_filled).collect())).collect()
}

fn unknown_keys(exercise: &Exercise, raw: &Raw, faults: &mut Faults) {
    let known: Vec<&str> = exercise.givens.iter().map(|given| given.name.as_str()).collect();
    let singles = raw.singles.iter().map(|entry| (entry.key.as_str(), entry.place, false));
    let tables = raw.tables.iter().map(|(key, rows)| (key.as_str(), rows.first().and_then(|row| row.place), true));
    let mut seen: BTreeSet<&str> = BTreeSet::new();
    for (key, place, is_table) in singles.chain(tables) {
        let shown = Key::Single(key);
        match exercise.given(key) {
            None => {
                let hint = did_you_mean(key, known.iter().copied(), Shown::Key);
                let hint = hint.unwrap_or_else(|| format!("it has: {}", known.join(", ")));
                faults.note(place, shown, format!("{} has no such given; {hint}", exercise.title));
            }
            Some(given) if matches!(given.kind, GivenKind::Table { .. }) != is_table => {
                let wanted = if is_table { "a single value, not a table" } else { "a table with a row for each kind" };
                faults.note(place, shown, format!("this has to be {wanted}"));
            }
            Some(_) if !seen.insert(key) => faults.note(place, shown, "this is given more than once".to_owned()),
            Some(_) => {}
        }
    }
}

/// Tables with too few or too many rows, and cells that no column has.
fn unsound_rows(exercise: &Exercise, raw: &Raw, tables: &[Vec<&RawRow>], faults: &mut Faults) {
    for given in &exercise.givens {
        let GivenKind::Table { table, columns, .. } = &given.kind else { continue };
        let rows = &tables[table.0];
        // A single value where a table belongs is told already.
        if !raw.singles.iter().any(|entry| entry.key == given.name) {
            faults.count(given, rows.len(), rows.first().and_then(|row| row.place).or(raw.place));
        }
        for (index, row) in rows.iter().enumerate() {
            let mut seen: BTreeSet<&str> = BTreeSet::new();
            for cell in &row.cells {
                let key = Key::Cell(&given.name, index, &cell.key);
                if !seen.insert(&cell.key) {
                    faults.note(cell.place, key, "this is given more than once".to_owned());
                } else if !columns.iter().any(|column| column.name == cell.key) {
                    let known: Vec<&str> = columns.iter().map(|column| column.name.as_str()).collect();
                    let hint = did_you_mean(&cell.key, known.iter().copied(), Shown::Key);
                    let hint = hint.unwrap_or_else(|| format!("a row has: name, {}", known.join(", ")));
                    faults.note(cell.place, key, format!("there is no such column; {hint}"));
                }
            }
        }
    }
}
