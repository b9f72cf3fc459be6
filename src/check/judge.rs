//! The verdict on one answer: against the true values, and with the student's own earlier answers put in.

use super::verdict::Verdict;
use crate::draft::{Measures, WorkFault, broken_limit, range, work};
use crate::exercise::{Exercise, Step, StepRule};
use crate::formula::{Base, Formula, Values};
use crate::length::{Length, Ruler, Tolerance};

/// The answers of a sheet as values, by step and row.
#[derive(Debug, Clone)]
pub(super) struct Answers {
    /// Where each step's cells begin; one more for the end.
    starts: Vec<usize>,
    values: Vec<Option<f64>>,
}

impl Answers {
    /// Room for every answer that is asked for.
    pub fn new(exercise: &Exercise, shape: &Measures) -> Answers {
        let mut starts = vec![0];
        for step in &exercise.steps {
            starts.push(starts.last().copied().unwrap_or(0) + shape.count(exercise, step.slot));
        }
        let values = vec![None; starts.last().copied().unwrap_or(0)];
        Answers { starts, values }
    }

    /// Which cell a row of a step is.
    pub fn cell(&self, step: usize, row: usize) -> usize {
        self.starts[step] + row
    }

    /// The cells of a step.
    pub fn cells(&self, step: usize) -> std::ops::Range<usize> {
        self.starts[step]..self.starts[step + 1]
    }

    /// How many cells there are.
    pub fn len(&self) -> usize {
        self.values.len()
    }

    /// An answer, if there is one.
    pub fn get(&self, step: usize, row: usize) -> Option<f64> {
        self.values[self.cell(step, row)]
    }

    /// Puts an answer in, or takes it out.
    pub fn set(&mut self, cell: usize, value: Option<f64>) {
        self.values[cell] = value;
    }

    fn has_all(&self, step: usize) -> bool {
        self.values[self.cells(step)].iter().all(Option::is_some)
    }
}

/// How far an answer may be off where the sheet and the class say nothing else: the step's own tolerance, else one
/// tick of the ruler; nothing for a number.
pub(super) fn usual_width(step: &Step, ruler: Ruler) -> f64 {
    match step.kind.base {
        Base::Length => step.tolerance.map_or(ruler.tick(), |tolerance| tolerance).as_nm_f64(),
        _ => 1e-6,
    }
}

/// Whether a slip's value is so far from the right one that marking can tell them apart.
pub fn is_told_apart(step: &Step, slip: f64, right: f64, ruler: Ruler) -> bool {
    (slip - right).abs() > usual_width(step, ruler)
}

/// Judges answers of one exercise.
#[derive(Debug, Clone)]
pub(super) struct Judge<'e> {
    pub exercise: &'e Exercise,
    /// How far each step's answer may be off.
    pub widths: Vec<f64>,
}

/// A sheet worked: what its answers are compared with.
#[derive(Debug, Clone)]
pub(super) struct Worked {
    /// With the true values, and the student's choices.
    pub truth: Measures,
    /// With every answer of the student's put in.
    pub own: Measures,
    pub rests: Rests,
}

/// What was found about one answer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Judged {
    pub verdict: Verdict,
    /// What follows from the true values; not a number where it rests on a choice that is missing.
    pub expected: f64,
    /// What follows from the student's own earlier answers.
    pub own: f64,
    /// Nobody could choose rightly: the limits leave nothing.
    pub is_impossible: bool,
}

pub(super) fn is_choice(step: &Step) -> bool {
    matches!(step.rule, StepRule::Within { .. })
}

impl Judge<'_> {
    /// How far a step's answer may be off.
    pub fn tolerance(&self, step: usize) -> Tolerance {
        Tolerance::of(Length::from_nm_f64(self.widths[step]).unwrap_or_default())
    }

    /// Works the exercise both ways.
    ///
    /// # Errors
    /// The first step that can't be worked out from the givens and the choices.
    pub fn work(&self, givens: &Measures, answers: &Answers) -> Result<Worked, WorkFault> {
        let exercise = self.exercise;
        let mut truth = givens.clone();
        work(exercise, &mut truth, &|step, row| {
            is_choice(&exercise.steps[step]).then(|| answers.get(step, row)).flatten()
        })?;
        Ok(Worked { truth, own: own_answers(exercise, givens, answers), rests: Rests::new(exercise, answers) })
    }

    /// What is found about a step's answer in one row.
    pub fn verdict(&self, worked: &Worked, answers: &Answers, index: usize, row: usize) -> Judged {
        let step = &self.exercise.steps[index];
        let (true_rest, own_rest) = (worked.rests.truth[index], worked.rests.own[index]);
        let expected = if true_rest.is_none() { worked.truth.value(step.slot, row) } else { f64::NAN };
        let answer = answers.get(index, row);
        let own = match &step.rule {
            StepRule::Value(formula) => follows(step, formula, &worked.own, row),
            StepRule::Within { .. } => answer.unwrap_or(f64::NAN),
        };
        let mut judged = Judged { verdict: Verdict::Missing, expected, own, is_impossible: false };
        let Some(answer) = answer else { return judged };
        let tolerance = self.tolerance(index);
        if is_choice(step)
            && true_rest.is_none()
            && let (Some(low), Some(high)) = range(step, &worked.truth, row)
            && low.value > high.value + self.widths[index]
        {
            // Nobody can choose rightly here, so nobody loses points by it.
            (judged.verdict, judged.is_impossible) = (Verdict::Right, true);
            return judged;
        }
        let (fits_truth, fits_own) = match &step.rule {
            StepRule::Value(_) => {
                let fits = |value: f64| (answer - value).abs() <= self.widths[index];
                (fits(expected), fits(own))
            }
            StepRule::Within { .. } => {
                let fits = |measures: &Measures| broken_limit(step, answer, measures, row, tolerance).is_none();
                (fits(&worked.truth), fits(&worked.own))
            }
        };
        judged.verdict = if fits_truth && true_rest.is_none() {
            Verdict::Right
        } else if fits_own && own_rest.is_none() {
            Verdict::RightFromOwn
        } else if true_rest.is_some() && own_rest.is_some() {
            Verdict::Missing
        } else if is_choice(step) {
            Verdict::OutsideRule
        } else {
            Verdict::NotRight
        };
        judged
    }
}

/// A formula's value as a step would keep it: a length in whole nanometres.
pub(super) fn follows(step: &Step, formula: &Formula, values: &impl Values, row: usize) -> f64 {
    let value = formula.evaluate(values, Some(row));
    match step.kind.base {
        Base::Length => Length::from_nm_f64(value).map_or(f64::NAN, Length::as_nm_f64),
        _ => value,
    }
}

/// Every measure as it follows from the student's own answers before it, with each answer itself in place
/// of what follows: what a slip's formula is worked with, too.
pub(super) fn own_answers(exercise: &Exercise, givens: &Measures, answers: &Answers) -> Measures {
    let mut measures = givens.clone();
    // A step that can't be worked out from wild answers stays unset, and so do those after it.
    let _ = work(exercise, &mut measures, &|step, row| answers.get(step, row));
    measures
}

/// Which steps rest on a choice that is missing or can't be read, directly or through others: by the true
/// values, and by the student's own answers. A choice that was made carries nothing on: what follows it is
/// worked from the choice itself.
#[derive(Debug, Clone)]
pub(super) struct Rests {
    pub truth: Vec<Option<usize>>,
    pub own: Vec<Option<usize>>,
    /// What each step carries on to those that use it.
    pub true_carry: Vec<Option<usize>>,
    /// The same, by the student's own answers.
    pub own_carry: Vec<Option<usize>>,
}

impl Rests {
    fn new(exercise: &Exercise, answers: &Answers) -> Rests {
        let nothing = || vec![None; exercise.steps.len()];
        let mut rests = Rests { truth: nothing(), own: nothing(), true_carry: nothing(), own_carry: nothing() };
        for &index in &exercise.order {
            let step = &exercise.steps[index];
            let is_answered = answers.has_all(index);
            rests.truth[index] = step.uses.iter().find_map(|used| rests.true_carry[*used]);
            rests.own[index] = step.uses.iter().find_map(|used| rests.own_carry[*used]);
            rests.true_carry[index] =
                if is_choice(step) { (!is_answered).then_some(index) } else { rests.truth[index] };
            rests.own_carry[index] = match (is_answered, is_choice(step)) {
                (true, _) => None,
                (false, true) => Some(index),
                (false, false) => rests.own[index],
            };
        }
        rests
    }
}
