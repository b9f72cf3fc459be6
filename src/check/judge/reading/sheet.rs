//! The sheet that is read again, and room for what it would be without a mistake.

use crate::check::handed_in::Answers;
use crate::check::judge::follow_through::{Judge, MOST_WORK, Worked};
use crate::check::result::{Cause, Verdict};
use crate::draft::{Measures, work_steps};
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
    /// How much there is to work out of a sheet with so many rows in each table.
    weight: Option<(Vec<usize>, u64)>,
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
        let (givens, answers, worked) = (givens.clone(), answers.clone(), worked.clone());
        Room { givens, answers, worked, example: None, weight: None }
    }

    fn weight(&mut self, judge: &Judge, givens: &Measures, answers: &Answers) -> u64 {
        match &mut self.weight {
            Some((rows, weight)) if rows == givens.shape() => *weight,
            known => known.insert((givens.shape().to_vec(), judge.weight(givens, answers))).1,
        }
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
        let weight = room.weight(judge, givens, answers);
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

    /// What a step's row comes to by the rules and the choices, with one given put differently.
    pub fn leads_to(&mut self, given: (Slot, usize, f64), at: (StepId, usize)) -> Option<f64> {
        let (exercise, answers) = (self.judge.exercise, self.answers);
        let chosen = |step: StepId, row: usize| {
            exercise.steps[step].is_choice().then(|| answers.get(answers.cell(step, row))).flatten()
        };
        // Where every choice is made, only what is worked from the given changes with it.
        let (from, steps) = match answers.is_complete() {
            true => (&self.before.truth, exercise.dependents(given.0)),
            false => (self.givens, &exercise.order[..]),
        };
        self.work(from, Some(given), steps, &chosen, at)
    }

    /// What a step's row comes to by its rule from the other answers, with the single answer to one step put differently.
    pub fn follows_from(&mut self, (step, value): (StepId, f64), at: (StepId, usize)) -> Option<f64> {
        let (exercise, answers) = (self.judge.exercise, self.answers);
        let put = |known: StepId, row: usize| match known {
            known if known == step => Some(value),
            known if known == at.0 => None,
            known => answers.get(answers.cell(known, row)),
        };
        // Where every answer is there, they are what the student's own figures are.
        match answers.is_complete() {
            true => self.work(&self.before.own, None, &[step, at.0], &put, at),
            false => self.work(self.givens, None, &exercise.order, &put, at),
        }
    }

    /// Works some steps from some measures, with one put differently; what a step's row comes to then.
    fn work(
        &mut self,
        from: &Measures,
        given: Option<(Slot, usize, f64)>,
        steps: &[StepId],
        put: &dyn Fn(StepId, usize) -> Option<f64>,
        (step, row): (StepId, usize),
    ) -> Option<f64> {
        if !self.may_work() {
            return None;
        }
        let measures = &mut self.room.givens;
        measures.copy(from);
        if let Some((slot, row, value)) = given {
            measures.set(slot, row, value);
        }
        work_steps(self.judge.exercise, steps, measures, put).ok()?;
        measures.value(self.judge.exercise.steps[step].slot, row)
    }

    /// Whether what rests on something mostly went wrong, as it would if that was taken for something else: two answers at
    /// least are wrong, and no more are plainly right than are not.
    pub fn went_wrong(&mut self, slot: Slot) -> bool {
        if !self.may_take(self.answers.len() as u64) {
            return false;
        }
        let exercise = self.judge.exercise;
        let (worked, limited) = (exercise.dependents(slot), exercise.limited(slot));
        let is_length = |step: &&StepId| self.is_length(**step);
        let rests = |(step, ..): &&(StepId, usize, usize)| {
            worked.contains(step) && self.is_length(*step) || limited.contains(step)
        };
        if self.wrong.iter().filter(rests).take(2).count() < 2 {
            return false;
        }
        // Any choice within its limits is right, and tells nothing; one beyond tells that they were taken for others.
        let is_wrong = |cell: usize| self.before.judged[cell].verdict.is_wrong();
        let is_beyond = |choice: &&StepId| self.answers.cells(**choice).any(is_wrong);
        let is_right = |step: &&StepId| {
            let mut cells = self.answers.cells(**step).filter(|cell| self.answers.get(*cell).is_some());
            cells.all(|cell| self.before.judged[cell].verdict == Verdict::Right)
        };
        let right = worked.iter().filter(is_length).filter(is_right).count();
        let of_them = worked.iter().filter(is_length).count();
        let not_right = of_them - right + limited.iter().filter(is_beyond).count();
        right <= not_right
    }

    /// Whether a step is a length, so that its answers can be told from one another.
    pub fn is_length(&self, step: StepId) -> bool {
        self.judge.exercise.steps[step].kind.base == Base::Length
    }
}
