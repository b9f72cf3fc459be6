//! The answers of a sheet as values.

use crate::draft::Measures;
use crate::exercise::{Exercise, StepId};
use crate::length::Unit;
use std::ops::Range;
use typed_index_collections::TiVec;

/// The answers of a sheet as values, by step and row.
#[derive(Debug, Clone)]
pub(in crate::check) struct Answers {
    /// The cells of each step, one for each row.
    cells: TiVec<StepId, Range<usize>>,
    values: Vec<Option<f64>>,
    /// The unit that each length was written in.
    units: Vec<Option<Unit>>,
}

impl Answers {
    /// Room for every answer that is asked for.
    pub fn new(exercise: &Exercise, shape: &Measures) -> Answers {
        let mut answers = Answers { cells: TiVec::new(), values: Vec::new(), units: Vec::new() };
        answers.reshape(exercise, shape);
        answers
    }

    /// Takes all answers out, for a sheet that may have other rows.
    pub fn reshape(&mut self, exercise: &Exercise, shape: &Measures) {
        let mut end = 0;
        self.cells.clear();
        self.cells.extend(exercise.steps.iter().map(|step| {
            let start = end;
            end += shape.count(exercise, step.slot);
            start..end
        }));
        self.values.clear();
        self.values.resize(end, None);
        self.units.clear();
        self.units.resize(end, None);
    }

    /// Takes over the answers of a sheet of the same exercise, without making room anew.
    pub fn copy(&mut self, other: &Answers) {
        self.cells.clone_from(&other.cells);
        self.values.clone_from(&other.values);
        self.units.clone_from(&other.units);
    }

    /// Which cell a row of a step is.
    pub fn cell(&self, step: StepId, row: usize) -> usize {
        self.cells[step].start + row
    }

    /// The cells of a step.
    pub fn cells(&self, step: StepId) -> Range<usize> {
        self.cells[step].clone()
    }

    /// How many cells there are.
    pub fn len(&self) -> usize {
        self.values.len()
    }

    /// The answer in a cell, if there is one.
    pub fn get(&self, cell: usize) -> Option<f64> {
        self.values[cell]
    }

    /// The unit that a length was written in.
    pub fn unit(&self, cell: usize) -> Option<Unit> {
        self.units[cell]
    }

    /// Puts an answer in as it was read.
    pub fn read(&mut self, cell: usize, value: f64, unit: Option<Unit>) {
        (self.values[cell], self.units[cell]) = (Some(value), unit);
    }

    /// Puts an answer in, or takes it out.
    pub fn set(&mut self, cell: usize, value: Option<f64>) {
        self.values[cell] = value;
    }

    /// Whether every answer is there.
    pub fn is_complete(&self) -> bool {
        self.values.iter().all(Option::is_some)
    }
}
