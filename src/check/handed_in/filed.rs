//! An answer file, found by the names in it.

use super::answer_file::{Answer, AnswerSheet};
use super::reading::HandedIn;
use crate::draft::{Field, Named, Written};
use crate::exercise::{Exercise, StepId};
use crate::length::{Ruler, Unit};
use crate::text::{Fault, Shown, did_you_mean, harmless};
use typed_index_collections::TiVec;

/// An answer sheet whose givens all have known names.
pub(in crate::check) struct Filed<'s> {
    exercise: &'s Exercise,
    sheet: &'s AnswerSheet,
    givens: Named<'s>,
    answers: TiVec<StepId, Option<&'s Answer>>,
}

impl<'s> Filed<'s> {
    /// Finds givens and answers of an exercise.
    ///
    /// # Errors
    /// Faults in the givens' names, with their places.
    pub fn new(exercise: &'s Exercise, sheet: &'s AnswerSheet) -> Result<Filed<'s>, Vec<Fault>> {
        let givens = Named::new(exercise, &sheet.given)?;
        let answer = |name: &str| sheet.answers.iter().find(|answer| answer.step == name);
        let answers = exercise.steps.iter().map(|step| answer(&step.name)).collect();
        Ok(Filed { exercise, sheet, givens, answers })
    }

    /// Answers to steps that the exercise does not have, and values too many.
    pub fn faults(&self) -> Vec<Fault> {
        let exercise = self.exercise;
        let mut faults = self.sheet.faults.clone();
        let are_all_known = self.answers.iter().flatten().count() == self.sheet.answers.len();
        for answer in self.sheet.answers.iter().filter(|_| !are_all_known) {
            // A sheet with more has something wrong as a whole.
            if faults.len() < 50 && exercise.step(&answer.step).is_none() {
                let names = exercise.steps.iter().map(|step| step.name.as_str());
                let hint = did_you_mean(&answer.step, names, Shown::Key);
                let hint = hint.unwrap_or_else(|| "leave it out".to_owned());
                let message = format!("{} has no such step; {hint}", exercise.title);
                let key = format!("answer.{}", harmless(&answer.step, 40));
                faults.push(Fault { place: Some(answer.place), key, message });
            }
        }
        for (step, answer) in exercise.steps.iter().zip(&self.answers) {
            let rows = step.kind.list.map_or(1, |table| self.givens.rows()[table.0]);
            if let Some(answer) = answer.filter(|answer| answer.values.len() > rows) {
                let belongs = if rows == 1 { "belongs" } else { "belong" };
                let message = format!("{} values are given where {rows} {belongs}", answer.values.len());
                faults.push(Fault { place: Some(answer.place), key: format!("answer.{}", step.name), message });
            }
        }
        faults
    }
}

impl<'s> HandedIn for Filed<'s> {
    type Givens = Named<'s>;

    fn givens(&self) -> &Named<'s> {
        &self.givens
    }

    fn unit(&self) -> Option<Unit> {
        self.sheet.unit
    }

    fn ruler(&self) -> Option<Ruler> {
        self.sheet.ruler
    }

    fn is_set_by_code(&self) -> bool {
        self.sheet.assignment.is_some()
    }

    fn answer(&self, step: StepId, row: usize) -> Option<Field<'_>> {
        let value = self.answers[step]?.values.get(row)?;
        Field { text: &value.text, place: Some(value.place) }.filled()
    }
}
