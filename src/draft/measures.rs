//! The values of all measures of an exercise: one cell for a single value, one for each row of a list.

use crate::exercise::Exercise;
use crate::formula::{Slot, TableId, Values};
use crate::length::{Length, Ruler};

/// The values a draft is worked with. Lengths are nanometres.
#[derive(Debug, Clone, PartialEq)]
pub struct Measures {
    /// For each slot, where its first cell is and whether it is a list.
    places: Vec<(usize, bool)>,
    rows: Vec<usize>,
    cells: Vec<Option<f64>>,
    tick: f64,
}

impl Measures {
    /// Room for every measure of the exercise, with so many rows in each of its tables; all unset.
    pub fn new(exercise: &Exercise, rows: &[usize], ruler: Ruler) -> Measures {
        let is_list = |slot| exercise.scope.kind(Slot(slot)).list.is_some();
        let places = (0..exercise.scope.len()).map(|slot| (0, is_list(slot))).collect();
        // No exercise has that many rows, so the first shape is a new one.
        let mut measures = Measures { places, rows: vec![usize::MAX], cells: Vec::new(), tick: 0.0 };
        measures.reshape(exercise, rows, ruler);
        measures
    }

    /// The same for other rows and another ruler, without making room anew. What was set before is still there.
    pub fn reshape(&mut self, exercise: &Exercise, rows: &[usize], ruler: Ruler) {
        self.tick = ruler.tick().as_nm_f64();
        if self.rows == rows {
            return;
        }
        let mut next = 0;
        for (slot, place) in self.places.iter_mut().enumerate() {
            place.0 = next;
            next += exercise.scope.kind(Slot(slot)).list.map_or(1, |table| rows.get(table.0).copied().unwrap_or(0));
        }
        self.rows.clear();
        self.rows.extend_from_slice(rows);
        self.cells.resize(next, None);
    }

    /// How many rows each table has.
    pub fn shape(&self) -> &[usize] {
        &self.rows
    }

    /// Unsets every value.
    pub fn clear(&mut self) {
        self.cells.fill(None);
    }

    /// Takes over the values of other measures of the same exercise, without making room anew.
    pub fn copy(&mut self, other: &Measures) {
        if self.rows != other.rows {
            self.places.clone_from(&other.places);
            self.rows.clone_from(&other.rows);
        }
        self.cells.clone_from(&other.cells);
        self.tick = other.tick;
    }

    #[inline]
    fn cell(&self, slot: Slot, row: usize) -> usize {
        let (first, is_list) = self.places[slot.0];
        if is_list { first + row } else { first }
    }

    /// Sets a value, or unsets it; a single value has row 0.
    pub fn set(&mut self, slot: Slot, row: usize, value: impl Into<Option<f64>>) {
        let cell = self.cell(slot, row);
        self.cells[cell] = value.into();
    }

    /// A length, if the cell holds one that can be measured.
    pub fn length(&self, slot: Slot, row: usize) -> Option<Length> {
        self.value(slot, row).and_then(Length::from_nm_f64)
    }

    /// Which of its words a choice is, if it is made.
    pub fn word(&self, slot: Slot) -> Option<usize> {
        self.value(slot, 0).map(|index| index as usize)
    }

    /// How many cells a slot has.
    pub fn count(&self, exercise: &Exercise, slot: Slot) -> usize {
        exercise.scope.kind(slot).list.map_or(1, |table| self.rows(table))
    }
}

impl Values for Measures {
    #[inline]
    fn value(&self, slot: Slot, row: usize) -> Option<f64> {
        self.cells[self.cell(slot, row)]
    }

    fn rows(&self, table: TableId) -> usize {
        self.rows[table.0]
    }

    fn tick(&self) -> f64 {
        self.tick
    }
}
