//! The sheet that is read again, and room for what it would be without a mistake.

use crate::check::handed_in::Answers;
use crate::check::judge::follow_through::{Judge, MOST_WORK, Worked};
use crate::check::result::{Cause, Verdict};
use crate::draft::{Measures, work};
use crate::exercise::{OnSheet, StepId};
use crate::formula::{Base, Slot, Values};
use crate::length::Ruler;

/// Something is believed of all the sheet only where so many answers say so.
pub(super) const LINES: usize = 3;

/// A reading that was tried and found to fit.
#[derive(Debug)]
pub(super) struct Found {
    pub cause: Cause,
    pub or: Option<Cause>,
    pub charged: usize,
    /// How many wrong answers it puts right.
    pub gain: usize,
    pub likely: u8,
    /// How far those answers are off all the same, together.
    pub off: f64,
    /// Whether each of them is what the reading gives, to the nearest tick.
    pub is_near: bool,
    /// How round a number it takes something for: how often it can be halved in ticks.
    pub round: u32,
}

/// A sheet as it would be without a mistake. Made once, it serves for sheet after sheet.
#[derive(Debug, Clone)]
pub(in crate::check) struct Room {
    pub(super) givens: Measures,
    pub(super) answers: Answers,
    pub(super) worked: Worked,
    /// The example on the ruler of a sheet, once it was asked for.
    pub(super) example: Option<(Ruler, Option<Example>)>,
}

/// The exercise's own example.
#[derive(Debug, Clone)]
pub(super) struct Example {
    pub givens: Measures,
    /// Worked with what is suggested for every choice.
    pub worked: Measures,
}

impl Room {
    /// Room for sheets of an exercise.
    pub fn new(givens: &Measures, answers: &Answers, worked: &Worked) -> Room {
        Room { givens: givens.clone(), answers: answers.clone(), worked: worked.clone(), example: None }
    }
}

pub(super) struct Search<'s, 'e> {
    pub judge: &'s Judge<'e>,
    pub ruler: Ruler,
    pub givens: &'s Measures,
    pub answers: &'s Answers,
    pub before: &'s Worked,
    /// The wrong answers: step, row and cell.
    pub wrong: Vec<(StepId, usize, usize)>,
    pub room: &'s mut Room,
    /// What was tried and found to fit.
    pub found: Vec<Found>,
    /// How much there is to work out of the sheet once, and how much may be worked out still.
    weight: u64,
    left: u64,
}

impl<'s, 'e> Search<'s, 'e> {
    pub fn new(
        judge: &'s Judge<'e>,
        ruler: Ruler,
        givens: &'s Measures,
        answers: &'s Answers,
        before: &'s Worked,
        room: &'s mut Room,
    ) -> Search<'s, 'e> {
        let mut wrong = Vec::new();
        for step in judge.exercise.steps.keys() {
            for (row, cell) in answers.cells(step).enumerate() {
                if before.judged[cell].verdict.is_wrong() && answers.get(cell).is_some() {
                    wrong.push((step, row, cell));
                }
            }
        }
        let weight = judge.weight(givens, answers);
        Search { judge, ruler, givens, answers, before, wrong, room, found: Vec::new(), weight, left: MOST_WORK }
    }

    /// Whether the sheet may be worked once more. Where it may not, what is not found yet is not looked for.
    pub fn may_work(&mut self) -> bool {
        self.may_take(self.weight)
    }

    /// Whether so much more may be looked at.
    pub fn may_take(&mut self, work: u64) -> bool {
        let left = self.left.checked_sub(work);
        self.left = left.unwrap_or(0);
        left.is_some()
    }

    /// The answers that a sheet asks for, in its order: step and cell.
    pub fn asked(&self) -> Vec<(StepId, usize)> {
        let steps = self.judge.exercise.steps.iter_enumerated();
        let asked = steps.filter(|(_, step)| step.on_sheet == OnSheet::Asked);
        asked.flat_map(|(step, _)| self.answers.cells(step).map(move |cell| (step, cell))).collect()
    }

    /// What a step's row comes to by the rules, with one given put differently; `put` may say what a cell holds.
    pub fn leads_to(
        &mut self,
        given: Option<(Slot, usize, f64)>,
        (step, row): (StepId, usize),
        put: &dyn Fn(StepId, usize) -> Option<f64>,
    ) -> Option<f64> {
        if !self.may_work() {
            return None;
        }
        let measures = &mut self.room.givens;
        measures.copy(self.givens);
        if let Some((slot, row, value)) = given {
            measures.set(slot, row, value);
        }
        work(self.judge.exercise, measures, put).ok()?;
        measures.value(self.judge.exercise.steps[step].slot, row)
    }

    /// Whether what rests on something mostly went wrong, as it would if that was taken for something else: two answers at
    /// least are wrong, and no more are plainly right than are not.
    pub fn went_wrong(&mut self, slot: Slot) -> bool {
        if !self.may_take(self.answers.len() as u64) {
            return false;
        }
        let (mut wrong, mut right, mut not_right) = (0, 0, 0);
        let is_wrong = |cell: usize| self.before.judged[cell].verdict.is_wrong();
        let exercise = self.judge.exercise;
        let dependents = exercise.dependents(slot);
        // Any choice within its limits is right, and tells nothing; one beyond tells that they were taken for others.
        for (choice, step) in exercise.steps.iter_enumerated().filter(|(_, step)| step.is_choice()) {
            let is_dependent =
                |used: &Slot| *used == slot || dependents.iter().any(|at| exercise.steps[*at].slot == *used);
            if step.formulas().any(|formula| formula.uses().iter().any(is_dependent)) {
                let beyond = self.answers.cells(choice).filter(|cell| is_wrong(*cell)).count();
                wrong += beyond;
                not_right += usize::from(beyond > 0);
            }
        }
        for &step in dependents {
            if !self.is_length(step) {
                continue;
            }
            let mut is_right = true;
            for cell in self.answers.cells(step).filter(|cell| self.answers.get(*cell).is_some()) {
                let verdict = self.before.judged[cell].verdict;
                wrong += usize::from(is_wrong(cell));
                is_right &= verdict == Verdict::Right;
            }
            right += usize::from(is_right);
            not_right += usize::from(!is_right);
        }
        wrong >= 2 && right <= not_right
    }

    /// Whether a step is a length, so that its answers can be told from one another.
    pub fn is_length(&self, step: StepId) -> bool {
        self.judge.exercise.steps[step].kind.base == Base::Length
    }
}
