//! What a student is given, understood: every value typed, within its range, on a ruler.

use super::fields::{Field, Written};
use super::given_faults::{Faults, Key};
use super::measures::Measures;
use super::named::Named;
use super::raw::Raw;
use crate::exercise::{Choice, Exercise, Given, GivenId, GivenKind, Parts, usual_on};
use crate::formula::{Base, Slot, Values};
use crate::length::{Length, Rounding, Ruler, Unit};
use crate::text::{Fault, harmless, quoted};

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
        let written = Named::new(exercise, raw)?;
        let mut measures = Measures::new(exercise, written.rows(), ruler);
        Givens::read_into(&mut measures, exercise, &written, &|_| None, bare, ruler)?;
        Ok(Givens { ruler, row_names: Givens::row_names(exercise, &written), measures })
    }

    /// Understands givens as written, and puts them into measures of the exercise, of which all else is unset. Of a single
    /// given that is left out, `otherwise` may say what it is, as written; else it takes its usual value.
    ///
    /// # Errors
    /// Every given that is missing, unreadable or out of range.
    pub(crate) fn read_into<'w, W: Written>(
        measures: &mut Measures,
        exercise: &Exercise,
        written: &'w W,
        otherwise: &'w dyn Fn(GivenId) -> Option<&'w str>,
        bare: Option<Unit>,
        ruler: Ruler,
    ) -> Result<(), Vec<Fault>> {
        let mut reader = Reader { written, otherwise, bare, ruler, faults: Faults::default() };
        for given in &exercise.givens {
            reader.count(given);
        }
        std::mem::take(&mut reader.faults).none()?;
        measures.reshape(exercise, written.rows(), ruler);
        measures.clear();
        for (id, given) in exercise.givens.iter_enumerated() {
            reader.single(id, given, measures);
        }
        // Whether a column is needed may depend on the single givens, so tables come after them.
        for given in &exercise.givens {
            reader.table(given, measures);
        }
        reader.faults.none()
    }

    /// The name of each row of each table; a row without one is called by its number: "object 2".
    pub(crate) fn row_names(exercise: &Exercise, written: &impl Written) -> Vec<Vec<String>> {
        let tables = exercise.givens.iter().filter_map(|given| {
            let GivenKind::Table { table, each, .. } = &given.kind else { return None };
            let rows = 0..written.rows()[table.0];
            Some(rows.map(|row| row_name(written.name(*table, row).text, row, each, 60)).collect())
        });
        tables.collect()
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

fn row_name(written: &str, row: usize, each: &str, most: usize) -> String {
    match written.trim() {
        "" => format!("{each} {}", row + 1),
        name => harmless(name, most).into_owned(),
    }
}

struct Reader<'r, W> {
    written: &'r W,
    otherwise: &'r dyn Fn(GivenId) -> Option<&'r str>,
    bare: Option<Unit>,
    ruler: Ruler,
    faults: Faults,
}

impl<W: Written> Reader<'_, W> {
    fn count(&mut self, given: &Given) {
        let GivenKind::Table { table, .. } = &given.kind else { return };
        let rows = self.written.rows()[table.0];
        let first = (rows > 0).then(|| self.written.name(*table, 0).place).flatten();
        self.faults.count(given, rows, first.or(self.written.place()));
    }

    fn single(&mut self, id: GivenId, given: &Given, measures: &mut Measures) {
        let otherwise = || (self.otherwise)(id).map(|text| Field { text, place: None });
        let field = self.written.single(id).or_else(otherwise);
        let (key, title) = (Key::Single(&given.name), || given.title.clone());
        let (slot, value) = match &given.kind {
            GivenKind::Length { slot, range, usual, .. } => {
                let range = (range.0.nm(), range.1.nm());
                let value = match field {
                    Some(field) => self.length(field, key, &title, range),
                    None => usual_on(self.ruler, usual).map(Length::as_nm_f64),
                };
                (*slot, value)
            }
            GivenKind::Number { slot, parts, range, usual, .. } => {
                let value = match field {
                    Some(field) => self.number(field, key, &title, *parts, *range),
                    None => usual.map(|count| parts.value(count)),
                };
                (*slot, value)
            }
            GivenKind::Choice { slot, words, usual, .. } => {
                let index = match field {
                    Some(field) => self.word(field, key, words),
                    None => *usual,
                };
                (*slot, index.map(|index| index as f64))
            }
            GivenKind::Table { .. } => return,
        };
        if value.is_none() && field.is_none() && given.is_needed(measures) {
            let message = format!("{} is missing, and has no usual value", given.title);
            self.faults.note(self.written.place(), key, message);
        }
        measures.set(slot, 0, value);
    }

    fn table(&mut self, given: &Given, measures: &mut Measures) {
        let GivenKind::Table { table, columns, each, .. } = &given.kind else { return };
        for (at, column) in columns.iter().enumerate() {
            let needed = column.is_needed(measures);
            for row in 0..self.written.rows()[table.0] {
                let key = Key::Cell(&given.name, row, &column.name);
                let written = self.written;
                let name = || written.name(*table, row);
                let title = || format!("{} ({})", column.title, row_name(name().text, row, each, 40));
                let value = match written.cell(*table, row, at, column) {
                    Some(cell) if column.is_length => self.length(cell, key, &title, column.range),
                    Some(cell) => self.number(cell, key, &title, column.parts, column.range),
                    None => {
                        if needed {
                            self.faults.note(name().place, key, format!("{} is missing", title()));
                        }
                        None
                    }
                };
                measures.set(column.slot, row, value);
            }
        }
    }

    fn word(&mut self, field: Field, key: Key, words: &[Choice]) -> Option<usize> {
        let found = words.iter().position(|choice| choice.word == field.text.trim());
        if found.is_none() {
            let known: Vec<&str> = words.iter().map(|choice| choice.word.as_str()).collect();
            let message = format!("{} is not one of: {}", quoted(field.text), known.join(", "));
            self.faults.note(field.place, key, message);
        }
        found
    }

    fn length(&mut self, field: Field, key: Key, title: &dyn Fn() -> String, (least, most): (i64, i64)) -> Option<f64> {
        let length = match Length::read(field.text, self.bare) {
            Ok(length) => length,
            Err(error) => {
                self.faults.note(field.place, key, error.to_string());
                return None;
            }
        };
        if (least..=most).contains(&length.nm()) {
            return Some(length.as_nm_f64());
        }
        let range = self.range(Length::from_nm(least), Length::from_nm(most));
        let message = format!("{} is out of range; {} goes {range}", self.ruler.write(length), title());
        self.faults.note(field.place, key, message);
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
        field: Field,
        key: Key,
        title: &dyn Fn() -> String,
        parts: Parts,
        (least, most): (i64, i64),
    ) -> Option<f64> {
        let count = parts.read(field.text).filter(|count| (least..=most).contains(count));
        if count.is_none() {
            let (read, [least, most]) = (quoted(field.text), [least, most].map(|count| parts.write(count)));
            let message = format!("{read} was read, but {} has to be {parts} from {least} to {most}", title());
            self.faults.note(field.place, key, message);
        }
        count.map(|count| parts.value(count))
    }
}
