//! Readings in which something that is given was taken for something else.

use super::search::Tried;
use super::sheet::{Example, Search};
use crate::check::result::Cause;
use crate::draft::{Givens, Measures, Raw, work};
use crate::exercise::{Exercise, GivenKind, StepId, StepRule};
use crate::formula::{Slot, Values};
use crate::length::Length;

/// So many wrong answers have to come out right for a given to have been misread.
const SEVERAL: usize = 2;

/// Of a longer table only so many rows are tried for one another.
const MOST_ROWS: usize = 8;

/// So many wrong answers are asked what the given would have to be; the others have to agree.
const ASKED: usize = 3;

impl Search<'_, '_> {
    /// A given misread or misremembered: what it would have to be is solved for from the answers that rest on it.
    pub fn misread(&mut self) {
        for given in &self.judge.exercise.givens {
            match &given.kind {
                GivenKind::Length { slot, .. } if self.went_wrong(*slot) => self.misread_in(*slot, 0),
                GivenKind::Table { table, columns, .. } => {
                    for column in columns.iter().filter(|column| column.is_length) {
                        if !self.went_wrong(column.slot) {
                            continue;
                        }
                        (0..self.givens.rows(*table)).for_each(|row| self.misread_in(column.slot, row));
                    }
                }
                GivenKind::Length { .. } | GivenKind::Number { .. } | GivenKind::Choice { .. } => {}
            }
        }
    }

    fn misread_in(&mut self, given: Slot, row: usize) {
        let Some(value) = self.givens.value(given, row) else { return };
        if !self.may_take(self.wrong.len() as u64) {
            return;
        }
        let exercise = self.judge.exercise;
        let dependents = exercise.dependents(given);
        let dependent = |&(step, ..): &(StepId, usize, usize)| {
            dependents.contains(&step)
                && matches!(exercise.steps[step].rule, StepRule::Value(_))
                && self.is_length(step)
        };
        let wrong: Vec<_> = self.wrong.iter().copied().filter(dependent).take(ASKED).collect();
        let tick = self.ruler.tick().as_nm_f64();
        let mut tried: Vec<Length> = Vec::new();
        for (step, at, cell) in wrong {
            let Some(answer) = self.answers.get(cell) else { continue };
            let Some(solved) = self.solve(given, row, value, (step, at), answer) else { continue };
            // What someone reads for a given stands on a ruler.
            let nearest = libm::round(solved / tick);
            // What was rounded since leaves room for a tick on either side.
            for ticks in [nearest, nearest - 1.0, nearest + 1.0] {
                let Some(read_as) = Length::from_nm_f64(ticks * tick).filter(|_| ticks > 0.0) else { continue };
                let is_other = (read_as.as_nm_f64() - value).abs() > tick / 2.0;
                if is_other && !tried.contains(&read_as) {
                    tried.push(read_as);
                    let cause = Cause::Misread { given, row, read_as };
                    self.try_cause(&Tried { cause, likely: 3, enough: SEVERAL, charged: None, spares: &|_| false });
                }
            }
        }
    }

    /// The value of a given with which a step's row comes to an answer; nothing, where it makes no difference.
    fn solve(&mut self, given: Slot, row: usize, value: f64, at: (StepId, usize), answer: f64) -> Option<f64> {
        let tick = self.ruler.tick().as_nm_f64();
        let mut with = |value: f64| self.leads_to((given, row, value), at);
        let step = tick * 4.0;
        // What is not the largest makes no difference until it is: then it is asked from where the answer lies.
        [value, answer].into_iter().find_map(|from| {
            let (now, more) = (with(from)?, with(from + step)?);
            let slope = (more - now) / step;
            if slope.abs() < 1e-6 {
                return None;
            }
            let solved = from + (answer - now) / slope;
            // A rule may bend on the way: what was solved for has to lead there.
            let (solved, reached) = (solved, with(solved)?);
            ((reached - answer).abs() <= tick).then_some(solved)
        })
    }

    /// One row of a table taken for another, wherever it comes in.
    pub fn other_row(&mut self) {
        let exercise = self.judge.exercise;
        for given in &exercise.givens {
            let GivenKind::Table { table, columns, .. } = &given.kind else { continue };
            let rows = self.givens.rows(*table).min(MOST_ROWS);
            let column = columns.iter().map(|column| column.slot).find(|slot| self.went_wrong(*slot));
            let Some(column) = column.filter(|_| rows > 1) else { continue };
            // Of what stands in rows, the row that is wrong has the answer of the other.
            let dependents = exercise.dependents(column);
            let is_of_rows = |&&(step, ..): &&(StepId, usize, usize)| {
                dependents.contains(&step) && exercise.steps[step].kind.list == Some(*table)
            };
            let wrong: Vec<(usize, f64, StepId)> = self
                .wrong
                .iter()
                .filter(is_of_rows)
                .filter_map(|&(step, row, cell)| Some((row, self.answers.get(cell)?, step)))
                .collect();
            for (row, taken) in (0..rows).flat_map(|row| (0..rows).map(move |taken| (row, taken))) {
                let is_like = |&(at, answer, step): &(usize, f64, StepId)| {
                    let other = self.before.truth.value(exercise.steps[step].slot, taken);
                    at == row && other.is_some_and(|other| (other - answer).abs() <= self.judge.widths[step])
                };
                if row != taken && self.may_take(wrong.len() as u64) && (wrong.is_empty() || wrong.iter().any(is_like))
                {
                    let cause = Cause::OtherRow { table: *table, row, taken };
                    self.try_cause(&Tried { cause, likely: 4, enough: SEVERAL, charged: None, spares: &|_| false });
                }
            }
        }
    }

    /// Worked with the example's givens, or the usual ones, in place of one's own.
    pub fn example(&mut self) {
        if self.wrong.len() < 3 {
            return;
        }
        let (exercise, ruler, givens) = (self.judge.exercise, self.ruler, self.givens);
        let read = || {
            let givens = Givens::read(exercise, &Raw::example(exercise), None, ruler).ok()?.measures;
            let mut worked = givens.clone();
            work(exercise, &mut worked, &|_, _| None).ok()?;
            Some(Example { givens, worked })
        };
        if self.room.example.as_ref().is_none_or(|(known, _)| *known != ruler) {
            self.room.example = Some((ruler, read()));
        }
        let Some((_, Some(example))) = &self.room.example else { return };
        let is_of_example = |&(step, row, cell): &(StepId, usize, usize)| {
            let value = example.worked.value(exercise.steps[step].slot, row);
            let is_near = |(value, answer): (f64, f64)| (value - answer).abs() <= self.judge.widths[step];
            value.zip(self.answers.get(cell)).is_some_and(is_near)
        };
        let could_be = example.givens != *givens && has_the_same_rows(&example.givens, givens, exercise);
        if could_be && self.wrong.iter().any(is_of_example) {
            let cause = Cause::Example;
            self.try_cause(&Tried { cause, likely: 4, enough: 3, charged: None, spares: &|_| false });
        }
    }
}

/// Whether a sheet could be worked with other givens by mistake.
fn has_the_same_rows(one: &Measures, other: &Measures, exercise: &Exercise) -> bool {
    exercise.givens.iter().all(|given| match &given.kind {
        GivenKind::Table { table, .. } => one.rows(*table) == other.rows(*table),
        GivenKind::Length { .. } | GivenKind::Number { .. } | GivenKind::Choice { .. } => true,
    })
}
