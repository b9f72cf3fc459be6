//! Readings in which something that is given was taken for something else.

use super::search::Tried;
use super::sheet::Search;
use crate::check::result::Cause;
use crate::exercise::{GivenKind, StepId, StepRule};
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
                GivenKind::Length { slot, range, .. } => {
                    self.misread_in(*slot, 0, (range.0.nm() as f64, range.1.nm() as f64));
                }
                GivenKind::Table { table, columns, .. } => {
                    for column in columns.iter().filter(|column| column.is_length) {
                        let range = (column.range.0 as f64, column.range.1 as f64);
                        (0..self.givens.rows(*table)).for_each(|row| self.misread_in(column.slot, row, range));
                    }
                }
                GivenKind::Number { .. } | GivenKind::Choice { .. } => {}
            }
        }
    }

    fn misread_in(&mut self, given: Slot, row: usize, (least, most): (f64, f64)) {
        let exercise = self.judge.exercise;
        let uses = |step: StepId| exercise.steps[step].formulas().any(|formula| formula.uses().contains(&given));
        let rests = |step: StepId| uses(step) || exercise.rests_on(step, &uses);
        let dependent = |&(step, ..): &(StepId, usize, usize)| {
            rests(step) && matches!(exercise.steps[step].rule, StepRule::Value(_)) && self.is_length(step)
        };
        let wrong: Vec<_> = self.wrong.iter().copied().filter(dependent).collect();
        let Some(value) = self.givens.value(given, row).filter(|_| wrong.len() >= SEVERAL) else { return };
        let tick = self.ruler.tick().as_nm_f64();
        let mut tried: Vec<Length> = Vec::new();
        for (step, at, cell) in wrong.into_iter().take(ASKED) {
            let Some(answer) = self.answers.get(cell) else { continue };
            let Some(solved) = self.solve(given, row, value, (step, at), answer) else { continue };
            // What someone reads for a given stands on a ruler.
            let Some(read_as) = Length::from_nm_f64(libm::round(solved / tick) * tick) else { continue };
            let is_other = (read_as.as_nm_f64() - value).abs() > tick / 2.0;
            if !is_other || !(least..=most).contains(&read_as.as_nm_f64()) || tried.contains(&read_as) {
                continue;
            }
            tried.push(read_as);
            let cause = Cause::Misread { given, row, read_as };
            self.try_cause(&Tried { cause, likely: 3, enough: SEVERAL, charged: None, spares: &|_| false });
        }
    }

    /// The value of a given with which a step's row comes to an answer; nothing, where it makes no difference.
    fn solve(&self, given: Slot, row: usize, value: f64, at: (StepId, usize), answer: f64) -> Option<f64> {
        let exercise = self.judge.exercise;
        let chosen = |step: StepId, row: usize| {
            exercise.steps[step].is_choice().then(|| self.answers.get(self.answers.cell(step, row))).flatten()
        };
        let with = |value: f64| {
            let mut changed = self.givens.clone();
            changed.set(given, row, value);
            self.leads_to(&changed, at, &chosen)
        };
        let step = self.ruler.tick().as_nm_f64() * 4.0;
        let (now, more) = (with(value)?, with(value + step)?);
        let slope = (more - now) / step;
        if slope.abs() < 1e-6 {
            return None;
        }
        let solved = value + (answer - now) / slope;
        // A rule may bend on the way: what was solved for has to lead there.
        let (solved, reached) = (solved, with(solved)?);
        ((reached - answer).abs() <= self.ruler.tick().as_nm_f64()).then_some(solved)
    }

    /// One row of a table taken for another, wherever it comes in.
    pub fn other_row(&mut self) {
        for given in &self.judge.exercise.givens {
            let GivenKind::Table { table, .. } = given.kind else { continue };
            let rows = self.givens.rows(table).min(MOST_ROWS);
            for (row, taken) in (0..rows).flat_map(|row| (0..rows).map(move |taken| (row, taken))) {
                if row != taken {
                    let cause = Cause::OtherRow { table, row, taken };
                    self.try_cause(&Tried { cause, likely: 4, enough: SEVERAL, charged: None, spares: &|_| false });
                }
            }
        }
    }

    /// Worked with the example's givens, or the usual ones, in place of one's own.
    pub fn example(&mut self) {
        if self.example_givens().is_some() {
            let cause = Cause::Example;
            self.try_cause(&Tried { cause, likely: 4, enough: 3, charged: None, spares: &|_| false });
        }
    }
}
