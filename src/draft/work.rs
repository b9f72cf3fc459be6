//! Working an exercise: every step in an order in which each comes after those it uses.

use super::givens::Givens;
use super::measures::Measures;
use super::written::value_text;
use crate::exercise::{Exercise, Step, StepId, StepRule};
use crate::formula::{Base, Formula, Slot, Values};
use crate::length::{Length, Written};
use std::fmt;

/// A step that could not be worked out: it divides by nothing, takes the root of a negative value, or
/// comes out longer than [`Length::LIMIT`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WorkFault {
    /// The step.
    pub step: StepId,
    /// The step's title.
    pub title: String,
}

impl WorkFault {
    /// A step that could not be worked out.
    pub fn of(exercise: &Exercise, step: StepId) -> WorkFault {
        WorkFault { step, title: exercise.steps[step].title.clone() }
    }
}

impl fmt::Display for WorkFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} can't be worked out from these givens, or comes out longer than 100 m", self.title)
    }
}

impl std::error::Error for WorkFault {}

/// Works every step from the givens in `measures`. `choose` may give a step's value (by index and row),
/// as a student does within limits; where it gives none, the rule or the suggestion is used.
/// Allocates nothing unless it fails.
///
/// # Errors
/// The first step that can't be worked out.
pub fn work(
    exercise: &Exercise,
    measures: &mut Measures,
    choose: &dyn Fn(StepId, usize) -> Option<f64>,
) -> Result<(), WorkFault> {
    work_steps(exercise, &exercise.order, measures, choose)
}

/// The same for some of the steps, in the order of work.
pub(crate) fn work_steps(
    exercise: &Exercise,
    steps: &[StepId],
    measures: &mut Measures,
    choose: &dyn Fn(StepId, usize) -> Option<f64>,
) -> Result<(), WorkFault> {
    for &index in steps {
        let step = &exercise.steps[index];
        let formula = match &step.rule {
            StepRule::Value(formula) => formula,
            StepRule::Within { suggest, .. } => suggest,
        };
        for row in 0..measures.count(exercise, step.slot) {
            let value = choose(index, row).or_else(|| formula.evaluate(measures, Some(row)));
            let value = value.and_then(|value| whole(step, value)).ok_or_else(|| WorkFault::of(exercise, index))?;
            measures.set(step.slot, row, value);
        }
    }
    Ok(())
}

/// A value as a step keeps it: a length to a whole nanometre, a number as it is; `None` if it is none, or longer than
/// [`Length::LIMIT`].
pub fn whole(step: &Step, value: f64) -> Option<f64> {
    match step.kind.base {
        Base::Length => {
            Length::from_nm_f64(value).filter(|length| length.abs() <= Length::LIMIT).map(Length::as_nm_f64)
        }
        Base::Number | Base::Area | Base::Truth | Base::Word(_) => value.is_finite().then_some(value),
    }
}

/// An exercise worked for one set of givens.
///
/// ```
/// use foldmark::{draft::{Draft, Givens, Raw}, exercise::Shelf, length::Ruler};
/// let shelf = Shelf::shipped();
/// let roll = shelf.get("flap-roll").unwrap();
/// let givens = Givens::read(roll, &Raw::example(roll), None, Ruler::EIGHTH).unwrap();
/// let draft = Draft::new(roll, givens).unwrap();
/// assert_eq!(draft.text("fold_height", 0), "10 1/4 in");
/// ```
#[derive(Debug, Clone)]
pub struct Draft<'e> {
    /// The exercise.
    pub exercise: &'e Exercise,
    /// What it was worked from.
    pub givens: Givens,
    /// Givens and steps.
    pub measures: Measures,
}

impl<'e> Draft<'e> {
    /// Works the exercise with every choice as suggested.
    ///
    /// # Errors
    /// The first step that can't be worked out.
    pub fn new(exercise: &'e Exercise, givens: Givens) -> Result<Draft<'e>, WorkFault> {
        Draft::choosing(exercise, givens, &|_, _| None)
    }

    /// Works the exercise with choices of one's own; see [`work`].
    ///
    /// # Errors
    /// The first step that can't be worked out.
    pub fn choosing(
        exercise: &'e Exercise,
        givens: Givens,
        choose: &dyn Fn(StepId, usize) -> Option<f64>,
    ) -> Result<Draft<'e>, WorkFault> {
        let mut measures = givens.measures.clone();
        work(exercise, &mut measures, choose)?;
        Ok(Draft { exercise, givens, measures })
    }

    /// The value of a step by name, as a length; zero if there is no such step.
    pub fn length(&self, step: &str, row: usize) -> Length {
        let slot = self.exercise.scope.slot(step);
        slot.and_then(|slot| self.measures.length(slot, row)).unwrap_or_default()
    }

    /// A length on the draft's ruler.
    pub fn write(&self, length: Length) -> Written {
        self.givens.ruler.write(length)
    }

    /// The value of a measure by name, as it is written; empty if there is no such measure.
    pub fn text(&self, name: &str, row: usize) -> String {
        self.exercise.scope.slot(name).map(|slot| self.text_at(slot, row)).unwrap_or_default()
    }

    /// The value in a slot, as it is written.
    pub fn text_at(&self, slot: Slot, row: usize) -> String {
        let value = self.measures.value(slot, row);
        value_text(self.exercise.scope.kind(slot).base, value, self.givens.ruler)
    }

    /// Whether a condition holds for its measures; always, if there is none.
    pub(crate) fn holds(&self, condition: Option<&Formula>) -> bool {
        condition.is_none_or(|condition| condition.holds(&self.measures))
    }

    /// How many values a step has: one, or one for each row of its table.
    pub fn rows(&self, step: &Step) -> usize {
        self.measures.count(self.exercise, step.slot)
    }

    /// What one value of a step is called: the step's title, and of a list the row's name after it.
    pub fn label(&self, step: &Step, row: usize) -> String {
        match self.row_name(step, row) {
            "" => step.title.clone(),
            name => format!("{}, {name}", step.title),
        }
    }

    /// The name of a row of a step's table; empty for a single value.
    pub fn row_name(&self, step: &Step, row: usize) -> &str {
        let names = step.kind.list.and_then(|table| self.givens.row_names.get(table.0));
        names.and_then(|names| names.get(row)).map_or("", String::as_str)
    }
}
