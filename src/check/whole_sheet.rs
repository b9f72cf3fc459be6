//! Mistakes that change what the whole sheet is worked from: a sheet in the other unit, two answers exchanged, a given
//! misread, a slip in a step that has no answer. Each is tried by judging the sheet again with the change made, and
//! counts for every wrong answer that it puts right.

use super::candidates::{Candidate, units};
use super::cause::Cause;
use super::explain::{Evidence, Fit, Wrong};
use super::judge::{Answers, Judge, follows};
use super::verdict::Verdict;
use crate::draft::Measures;
use crate::exercise::{GivenKind, StepId, StepRule};
use crate::formula::{Base, Kind, Slot, Values};
use crate::length::{Length, Ruler, Unit};

/// A sheet as it would be without a mistake.
struct Change<'c> {
    cause: Cause,
    givens: &'c Measures,
    answers: &'c Answers,
    /// How many wrong answers have to come out right for the mistake to be believed.
    enough: usize,
    /// Steps that may come out wrong, though they were right: they rest on what is changed.
    spares: &'c dyn Fn(StepId) -> bool,
}

impl Evidence<'_, '_> {
    /// Adds the mistakes that account for several of the wrong answers.
    pub(super) fn whole_sheet(&self, wrong: &mut [Wrong]) {
        // One change costs a whole marking: only where something is left to explain, or may be explained better.
        let is_settled = match &wrong[..] {
            [only] => !only.fits.is_empty(),
            several => several.iter().all(|cell| cell.fits.iter().any(|fit| fit.accounts == several.len())),
        };
        if is_settled {
            return;
        }
        self.other_unit(wrong);
        self.exchanged(wrong);
        self.misread(wrong);
        self.earlier(wrong);
    }

    /// Adds a mistake to every wrong answer that comes out right once the change is made; nothing if the change
    /// spoils an answer that was right, or puts fewer right than are needed to believe it.
    fn try_change(&self, judge: &Judge, change: &Change, wrong: &mut [Wrong]) {
        let Ok(worked) = judge.work(change.givens, change.answers) else { return };
        let earns = |step: StepId, row: usize| judge.verdict(&worked, change.answers, step, row).verdict.earns();
        let righted: Vec<bool> = wrong.iter().map(|cell| earns(cell.asked.step, cell.asked.row)).collect();
        let accounts = righted.iter().filter(|righted| **righted).count();
        if accounts < change.enough {
            return;
        }
        for step in judge.exercise.steps.keys().filter(|step| !(change.spares)(*step)) {
            for (row, cell) in self.answers.cells(step).enumerate() {
                if self.judged[cell].verdict.earns() && !earns(step, row) {
                    return;
                }
            }
        }
        for (cell, _) in wrong.iter_mut().zip(righted).filter(|(_, righted)| *righted) {
            let candidate = Candidate { cause: change.cause, and: None, value: cell.answer };
            cell.fits.push(Fit { candidate, accounts });
        }
    }

    /// Every answer measured in one unit and handed in as another: nearly all that is wrong comes out right then, to
    /// what the other unit's ruler shows.
    fn other_unit(&self, wrong: &mut [Wrong]) {
        if wrong.len() < 3 {
            return;
        }
        let exercise = self.judge.exercise;
        for &(wrote, meant) in units(self.ruler) {
            let ratio = meant.length().as_nm_f64() / wrote.length().as_nm_f64();
            let shown = if meant.is_metric() { Ruler::MILLIMETRE } else { Ruler::EIGHTH }.tick().as_nm_f64();
            let mut answers = self.answers.clone();
            let mut judge = self.judge.clone();
            for (index, _) in exercise.steps.iter_enumerated().filter(|(_, step)| step.kind.base == Base::Length) {
                judge.widths[index] = judge.widths[index].max(shown);
                for (row, cell) in self.answers.cells(index).enumerate() {
                    answers.set(cell, self.answers.get(index, row).map(|answer| libm::round(answer * ratio)));
                }
            }
            let (cause, givens) = (Cause::Unit { wrote, meant }, self.givens);
            let enough = (wrong.len() * 2).div_ceil(3).max(3);
            // A choice that happens to be one in either unit is no proof.
            let spares = |step: StepId| exercise.steps[step].is_choice();
            self.try_change(&judge, &Change { cause, givens, answers: &answers, enough, spares: &spares }, wrong);
        }
    }

    fn exchanged(&self, wrong: &mut [Wrong]) {
        let steps = &self.judge.exercise.steps;
        let cells: Vec<(StepId, f64)> = wrong
            .iter()
            .filter(|cell| steps[cell.asked.step].kind == Kind::LENGTH)
            .map(|cell| (cell.asked.step, cell.answer))
            .collect();
        // In a sheet where nearly everything is wrong, something always fits.
        if cells.len() > 8 {
            return;
        }
        for (at, &(one, first)) in cells.iter().enumerate() {
            for &(other, second) in &cells[at + 1..] {
                let mut answers = self.answers.clone();
                answers.set(answers.cell(one, 0), Some(second));
                answers.set(answers.cell(other, 0), Some(first));
                let (cause, givens) = (Cause::Exchanged(one, other), self.givens);
                // Who went on from the exchanged figures is right by them, and wrong without.
                let spares = |step: StepId| self.judge.exercise.rests_on(step, &|used| used == one || used == other);
                self.try_change(
                    self.judge,
                    &Change { cause, givens, answers: &answers, enough: 2, spares: &spares },
                    wrong,
                );
            }
        }
    }

    fn misread(&self, wrong: &mut [Wrong]) {
        let exercise = self.judge.exercise;
        for given in &exercise.givens {
            match &given.kind {
                GivenKind::Length { slot, usual, .. } if self.may_be_misread(*slot) => {
                    let Some(value) = self.givens.value(*slot, 0) else { continue };
                    let usual: Vec<Length> = usual.iter().map(|stated| stated.length).collect();
                    for read_as in self.other_values(value, &usual) {
                        self.misread_as(*slot, 0, read_as, wrong);
                    }
                }
                GivenKind::Table { table, columns, .. } => {
                    for column in columns.iter().filter(|column| column.is_length && self.may_be_misread(column.slot)) {
                        for row in 0..self.givens.rows(*table) {
                            let Some(value) = self.givens.value(column.slot, row) else { continue };
                            for read_as in self.other_values(value, &[]) {
                                self.misread_as(column.slot, row, read_as, wrong);
                            }
                        }
                    }
                }
                _ => {}
            }
        }
    }

    /// Whether a given may have been misread: what is worked straight from it is wrong wherever it is answered.
    fn may_be_misread(&self, given: Slot) -> bool {
        let steps = &self.judge.exercise.steps;
        let mut is_anything_wrong = false;
        for (index, step) in steps.iter_enumerated() {
            let StepRule::Value(rule) = &step.rule else { continue };
            if rule.uses().contains(&given) {
                let verdicts = || self.judged[self.answers.cells(index)].iter().map(|judged| judged.verdict);
                if step.kind.list.is_none() && verdicts().any(|verdict| verdict == Verdict::Right) {
                    return false;
                }
                is_anything_wrong |= verdicts().any(Verdict::is_wrong);
            }
        }
        is_anything_wrong
    }

    fn misread_as(&self, given: Slot, row: usize, read_as: Length, wrong: &mut [Wrong]) {
        let mut givens = self.givens.clone();
        givens.set(given, row, read_as.as_nm_f64());
        let cause = Cause::Misread { given, row, read_as };
        let change = Change { cause, givens: &givens, answers: self.answers, enough: 2, spares: &|_| false };
        self.try_change(self.judge, &change, wrong);
    }

    /// What a length may have been read as: the fractions beside it, and the usual values.
    fn other_values(&self, value: f64, usual: &[Length]) -> Vec<Length> {
        let mut values: Vec<Length> = usual.to_vec();
        if !self.ruler.is_metric() {
            let eighth = Unit::Inch.length().nm() / 8;
            values.extend([-2, 2].into_iter().filter_map(|parts| {
                Length::from_nm_f64(value).map(|length| Length::from_nm(length.nm() + parts * eighth))
            }));
        }
        values.retain(|length| {
            length.nm() > 0 && (length.as_nm_f64() - value).abs() > self.ruler.tick().as_nm_f64() / 2.0
        });
        values
    }

    /// A slip in a step that has no answer shows in those that follow from it.
    fn earlier(&self, wrong: &mut [Wrong]) {
        let exercise = self.judge.exercise;
        for (index, slip) in exercise.slips.iter_enumerated() {
            let step = &exercise.steps[slip.step];
            let is_open = self.answers.cells(slip.step).len() == 1
                && self.answers.get(slip.step, 0).is_none()
                && self.worked.rests.own[slip.step].is_none()
                && !step.is_choice();
            if is_open && slip.when.as_ref().is_none_or(|when| when.holds(&self.worked.own)) {
                let mut answers = self.answers.clone();
                let value = follows(step, &slip.used, &self.worked.own, 0);
                answers.set(answers.cell(slip.step, 0), Some(value).filter(|value| value.is_finite()));
                let (cause, givens) = (Cause::Earlier(index), self.givens);
                let change = Change { cause, givens, answers: &answers, enough: 1, spares: &|_| false };
                self.try_change(self.judge, &change, wrong);
            }
        }
    }
}
