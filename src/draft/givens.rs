//! What a student is given, understood: every value typed, within its range, on a ruler.

use super::measures::Measures;
use super::raw::{Entry, Raw, RawRow};
use crate::exercise::{Column, Exercise, Given, GivenKind, usual_on};
use crate::formula::{Base, Slot, Values};
use crate::length::{Length, Rounding, Ruler, Unit};
use crate::text::{Fault, Place, Shown, did_you_mean, harmless, quoted};
use std::collections::BTreeSet;
use std::fmt;

/// The givens of one sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Givens {
    /// The ruler of the sheet.
    pub ruler: Ruler,
    /// The name of each row of each table.
    pub row_names: Vec<Vec<String>>,
    /// Every given in its cell; the steps are still unset.
    pub measures: Measures,
}

impl Givens {
    /// Understands givens as written. A bare number takes `bare`; what is missing takes its usual value.
    ///
    /// ```
    /// use foldmark::{draft::{Givens, Raw}, exercise::Shelf, length::Ruler};
    /// let shelf = Shelf::shipped();
    /// let roll = shelf.get("flap-roll").unwrap();
    /// let mut raw = Raw::example(roll);
    /// raw.add("allowance=3 in").unwrap();
    /// let faults = Givens::read(roll, &raw, None, Ruler::EIGHTH).unwrap_err();
    /// assert_eq!(faults[0].to_string(), "given.allowance: 3 in is out of range; Seam allowance goes from 1/8 in to 2 in");
    /// ```
    ///
    /// # Errors
    /// Every given that is unknown, missing, unreadable or out of range.
    pub fn read(exercise: &Exercise, raw: &Raw, bare: Option<Unit>, ruler: Ruler) -> Result<Givens, Vec<Fault>> {
        let mut reader = Reader { exercise, raw, bare, ruler, faults: Vec::new() };
        reader.unknown_keys();
        let rows = reader.rows();
        if !reader.faults.is_empty() {
            return Err(reader.faults);
        }
        let counts: Vec<usize> = rows.iter().map(|rows| rows.len()).collect();
        let mut measures = Measures::new(exercise, &counts, ruler);
        for given in &exercise.givens {
            reader.single(given, &mut measures);
        }
        // Whether a column is needed may depend on the single givens, so tables come after them.
        for given in &exercise.givens {
            if let GivenKind::Table { table, columns, each, .. } = &given.kind {
                for column in columns {
                    reader.column(given, column, each, &rows[table.0], &mut measures);
                }
            }
        }
        let row_names = exercise.givens.iter().filter_map(|given| {
            let GivenKind::Table { table, each, .. } = &given.kind else { return None };
            Some(names(&rows[table.0], each))
        });
        let givens = Givens { ruler, row_names: row_names.collect(), measures };
        if reader.faults.is_empty() { Ok(givens) } else { Err(reader.faults) }
    }

    /// A given as text: a length on the sheet's ruler where it falls on a tick, else exactly; a word; a number.
    /// `None` where it is not set.
    pub fn text(&self, exercise: &Exercise, slot: Slot, row: usize) -> Option<String> {
        let value = self.measures.value(slot, row)?;
        Some(match exercise.scope.kind(slot).base {
            Base::Length => self.ruler.write_exactly(self.measures.length(slot, row)?),
            Base::Word(set) => exercise.scope.words(set)[value as usize].clone(),
            Base::Number | Base::Area | Base::Truth => format!("{value}"),
        })
    }
}

/// The rows' names; a row without one is called by its number: "object 2".
fn names(rows: &[&RawRow], each: &str) -> Vec<String> {
    rows.iter().enumerate().map(|(index, row)| name(row, index, each, 60)).collect()
}

fn name(row: &RawRow, index: usize, each: &str, most: usize) -> String {
    match row.name.trim() {
        "" => format!("{each} {}", index + 1),
        name => harmless(name, most).into_owned(),
    }
}

/// Where a value belongs, written out only when there is something wrong with it.
#[derive(Clone, Copy)]
enum Key<'k> {
    Single(&'k str),
    Cell(&'k str, usize, &'k str),
}

impl fmt::Display for Key<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Key::Single(name) => f.write_str(&harmless(name, 40)),
            Key::Cell(table, row, column) => write!(f, "{table}.{}.{}", row + 1, harmless(column, 40)),
        }
    }
}

struct Reader<'r> {
    exercise: &'r Exercise,
    raw: &'r Raw,
    bare: Option<Unit>,
    ruler: Ruler,
    faults: Vec<Fault>,
}

impl<'r> Reader<'r> {
    fn note(&mut self, place: Option<Place>, key: Key, message: String) {
        // A sheet with more has something wrong as a whole.
        if self.faults.len() == 50 {
            return;
        }
        self.faults.push(Fault { place, key: format!("given.{key}"), message });
    }

    fn unknown_keys(&mut self) {
        let known: Vec<&str> = self.exercise.givens.iter().map(|given| given.name.as_str()).collect();
        let raw = self.raw;
        let singles = raw.singles.iter().map(|entry| (entry.key.as_str(), entry.place, false));
        let tables = raw.tables.iter().map(|(key, rows)| (key.as_str(), rows.first().and_then(|row| row.place), true));
        let mut seen: BTreeSet<&str> = BTreeSet::new();
        for (key, place, is_table) in singles.chain(tables) {
            let shown = Key::Single(key);
            match self.exercise.given(key) {
                None => {
                    let hint = did_you_mean(key, known.iter().copied(), Shown::Key);
                    let hint = hint.unwrap_or_else(|| format!("it has: {}", known.join(", ")));
                    self.note(place, shown, format!("{} has no such given; {hint}", self.exercise.title));
                }
                Some(given) if matches!(given.kind, GivenKind::Table { .. }) != is_table => {
                    let wanted =
                        if is_table { "a single value, not a table" } else { "a table with a row for each kind" };
                    self.note(place, shown, format!("this has to be {wanted}"));
                }
                Some(_) if !seen.insert(key) => self.note(place, shown, "this is given more than once".to_owned()),
                Some(_) => {}
            }
        }
    }

    /// The rows of each table, in the order of the tables.
    fn rows(&mut self) -> Vec<Vec<&'r RawRow>> {
        let mut all = Vec::new();
        for given in &self.exercise.givens {
            let GivenKind::Table { rows: (least, most), each, columns, .. } = &given.kind else { continue };
            let found = self.raw.tables.iter().find(|(key, _)| *key == given.name);
            // A part that nobody filled in is one copied too many.
            let is_filled = |row: &&RawRow| {
                !row.name.trim().is_empty() || row.cells.iter().any(|cell| !cell.text.trim().is_empty())
            };
            let rows: Vec<&RawRow> = found.map(|(_, rows)| rows.iter().filter(is_filled).collect()).unwrap_or_default();
            // A single value where a table belongs is told already.
            let is_single = self.raw.singles.iter().any(|entry| entry.key == given.name);
            if !is_single && (rows.len() < *least || rows.len() > *most) {
                let place = rows.first().and_then(|row| row.place).or(self.raw.place);
                let wanted = match (least, most) {
                    (1, most) => format!("give at least one {each}, and at most {most} kinds"),
                    (least, most) => format!("give from {least} to {most} rows, one for each {each}"),
                };
                let found = match rows.len() {
                    0 => "there is none".to_owned(),
                    count => format!("there are {count} rows"),
                };
                self.note(place, Key::Single(&given.name), format!("{found}; {wanted}"));
            }
            for (index, row) in rows.iter().enumerate() {
                let mut seen: BTreeSet<&str> = BTreeSet::new();
                for cell in &row.cells {
                    let key = Key::Cell(&given.name, index, &cell.key);
                    if !seen.insert(&cell.key) {
                        self.note(cell.place, key, "this is given more than once".to_owned());
                    } else if !columns.iter().any(|column| column.name == cell.key) {
                        let known: Vec<&str> = columns.iter().map(|column| column.name.as_str()).collect();
                        let hint = did_you_mean(&cell.key, known.iter().copied(), Shown::Key);
                        let hint = hint.unwrap_or_else(|| format!("a row has: name, {}", known.join(", ")));
                        self.note(cell.place, key, format!("there is no such column; {hint}"));
                    }
                }
            }
            all.push(rows);
        }
        all
    }

    fn single(&mut self, given: &Given, measures: &mut Measures) {
        // An empty text is a blank that nobody filled in.
        let entry = self.raw.singles.iter().find(|entry| entry.key == given.name && !entry.text.trim().is_empty());
        let key = Key::Single(&given.name);
        let (slot, value) = match &given.kind {
            GivenKind::Length { slot, range, usual, .. } => {
                let usual = usual_on(self.ruler, usual).map(Length::as_nm_f64);
                let range = (range.0.nm(), range.1.nm());
                let read = entry.map(|entry| self.length(entry, key, &|| given.title.clone(), range));
                (*slot, read.unwrap_or(usual))
            }
            GivenKind::Number { slot, range, usual, .. } => {
                let read = entry.map(|entry| self.number(entry, key, &|| given.title.clone(), *range));
                (*slot, read.unwrap_or(usual.map(|number| number as f64)))
            }
            GivenKind::Choice { slot, words, usual, .. } => {
                let read = entry.map(|entry| {
                    let found = words.iter().position(|choice| choice.word == entry.text.trim());
                    if found.is_none() {
                        let known: Vec<&str> = words.iter().map(|choice| choice.word.as_str()).collect();
                        let message = format!("{} is not one of: {}", quoted(&entry.text), known.join(", "));
                        self.note(entry.place, key, message);
                    }
                    found.map(|index| index as f64)
                });
                (*slot, read.unwrap_or(usual.map(|index| index as f64)))
            }
            GivenKind::Table { .. } => return,
        };
        if value.is_none() && entry.is_none() && given.is_needed(measures) {
            self.note(self.raw.place, key, format!("{} is missing, and has no usual value", given.title));
        }
        measures.set(slot, 0, value);
    }

    fn column(&mut self, given: &Given, column: &Column, each: &str, rows: &[&'r RawRow], measures: &mut Measures) {
        let needed = column.is_needed(measures);
        for (index, row) in rows.iter().enumerate() {
            let key = Key::Cell(&given.name, index, &column.name);
            let cell = row.cells.iter().find(|cell| cell.key == column.name && !cell.text.trim().is_empty());
            let title = || format!("{} ({})", column.title, name(row, index, each, 40));
            let value = match cell {
                Some(cell) if column.is_length => self.length(cell, key, &title, column.range),
                Some(cell) => self.number(cell, key, &title, column.range),
                None => {
                    if needed {
                        self.note(row.place, key, format!("{} is missing", title()));
                    }
                    None
                }
            };
            measures.set(column.slot, index, value);
        }
    }

    fn length(
        &mut self,
        entry: &Entry,
        key: Key,
        title: &dyn Fn() -> String,
        (least, most): (i64, i64),
    ) -> Option<f64> {
        let length = match Length::read(&entry.text, self.bare) {
            Ok(length) => length,
            Err(error) => {
                self.note(entry.place, key, error.to_string());
                return None;
            }
        };
        if (least..=most).contains(&length.nm()) {
            return Some(length.as_nm_f64());
        }
        let range = self.range(Length::from_nm(least), Length::from_nm(most));
        let message = format!("{} is out of range; {} goes {range}", self.ruler.write(length), title());
        self.note(entry.place, key, message);
        None
    }

    /// A range on the sheet's ruler: of one that is stated in the other system, the ticks that lie within it.
    fn range(&self, least: Length, most: Length) -> String {
        let tick = self.ruler.tick();
        let (up, down) = (least.round_to(tick, Rounding::Up), most.round_to(tick, Rounding::Down));
        if up <= down {
            return format!("from {} to {}", self.ruler.write(up), self.ruler.write(down));
        }
        format!("from {} to {}", self.ruler.write_exactly(least), self.ruler.write_exactly(most))
    }

    fn number(
        &mut self,
        entry: &Entry,
        key: Key,
        title: &dyn Fn() -> String,
        (least, most): (i64, i64),
    ) -> Option<f64> {
        let number = entry.text.trim().parse::<i64>().ok().filter(|number| (least..=most).contains(number));
        if number.is_none() {
            let read = quoted(&entry.text);
            let message = format!("{read} was read, but {} has to be a whole number from {least} to {most}", title());
            self.note(entry.place, key, message);
        }
        number.map(|number| number as f64)
    }
}
