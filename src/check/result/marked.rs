//! A sheet, marked.

use super::cause::{Cause, Explanation};
use super::verdict::Verdict;
use crate::class::Points;
use crate::draft::Draft;
use crate::exercise::{Exercise, Given, GivenKind, OnSheet, StepId, usual_on};
use crate::formula::Values;
use crate::text::{Fault, Place};
use typed_index_collections::{TiSlice, TiVec};

/// One answer, marked: one step, and one row of it where the step is a list.
#[derive(Debug, Clone, PartialEq)]
pub struct MarkedCell {
    /// The step.
    pub step: StepId,
    /// Row, from 0.
    pub row: usize,
    /// What was found.
    pub verdict: Verdict,
    /// What the student wrote, made harmless; empty if nothing.
    pub written: String,
    /// The answer as read, in nanometres for a length.
    pub answer: Option<f64>,
    /// What follows from the true values; for a choice, the choice itself. Nothing where it rests on a choice that is
    /// missing.
    pub expected: Option<f64>,
    /// What follows from the student's own earlier answers, where that can be worked out.
    pub own: Option<f64>,
    /// Why it is wrong: nothing where no mistake fits, two where two fit equally well.
    pub explained: Vec<Explanation>,
    /// Why it could not be read, or why any choice would do; empty otherwise.
    pub remark: String,
    /// The choice that is missing or can't be read, and that the true value rests on: there is no true
    /// value to compare with then.
    pub rests_on: Option<StepId>,
    /// Where it stands in the file, if it does.
    pub place: Option<Place>,
}

impl MarkedCell {
    /// The one mistake that accounts for it, where exactly one does.
    pub fn cause(&self) -> Option<Cause> {
        match self.explained[..] {
            [Explanation { cause, and: None }] => Some(cause),
            _ => None,
        }
    }

    /// The names of the mistakes offered, the best explanation first.
    pub fn cause_names<'e>(&self, exercise: &'e Exercise) -> Vec<Vec<&'e str>> {
        let names = |explanation: &Explanation| explanation.causes().map(|cause| cause.name(exercise)).collect();
        self.explained.iter().map(names).collect()
    }
}

/// One thing that accounts for several wrong answers of a sheet: it is charged once.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OneCause {
    /// The answer that is charged with it, and explained by it: its place among the sheet's.
    pub cell: usize,
    /// How many answers it accounts for.
    pub accounts: usize,
}

/// A sheet, marked.
#[derive(Debug, Clone)]
pub struct MarkedSheet<'e> {
    /// The student's name, made harmless.
    pub student: String,
    /// What tells the student from others of the same name, made harmless; empty if the sheet has none.
    pub id: String,
    /// The code of the sheet, made harmless; empty if it has none.
    pub code: String,
    /// Whether slips were to be found in a finished draft, rather than one to be made.
    pub is_hunt: bool,
    /// Whether it was handed in late: that is known where files are.
    pub is_late: bool,
    /// The draft with the true values and the student's choices.
    pub truth: Draft<'e>,
    /// The draft with the student's own answers put in wherever they can be read.
    pub own: Draft<'e>,
    /// The answers in the order of the steps.
    pub cells: Vec<MarkedCell>,
    /// How far each step's answer may be off, in nanometres for a length.
    pub widths: TiVec<StepId, f64>,
    /// What each step is worth; nothing, where it does not count.
    pub worth: TiVec<StepId, Points>,
    /// Points earned.
    pub points: Points,
    /// Points to be had.
    pub out_of: Points,
    /// What is wrong with the file, apart from its answers: names that the exercise does not have.
    pub faults: Vec<Fault>,
    /// What accounts for several answers at once, if anything does.
    pub one_cause: Option<OneCause>,
    /// Things to be said once, such as an older version of the exercise; sentences without a full stop.
    pub remarks: Vec<String>,
}

impl MarkedSheet<'_> {
    /// Whether everything that counts is right, and nothing in the file was left unmarked.
    pub fn all_right(&self) -> bool {
        let counts = |cell: &&MarkedCell| self.counts(cell.step);
        let is_charged = charged(self.truth.exercise, &self.grades()).next().is_some();
        self.faults.is_empty() && !is_charged && self.cells.iter().filter(counts).all(|cell| cell.verdict.earns())
    }

    /// Whether everything given is the usual, where a student may have forgotten to write down their own.
    pub fn has_only_usual_givens(&self) -> bool {
        let Draft { exercise, givens, .. } = &self.truth;
        let is_usual = |given: &Given| match &given.kind {
            GivenKind::Length { slot, usual, .. } => {
                usual_on(givens.ruler, usual).is_some_and(|usual| givens.measures.length(*slot, 0) == Some(usual))
            }
            GivenKind::Number { slot, parts, usual, .. } => {
                usual.is_some_and(|usual| givens.measures.value(*slot, 0) == Some(parts.value(usual)))
            }
            GivenKind::Choice { slot, usual, .. } => usual.is_some() && givens.measures.word(*slot) == *usual,
            GivenKind::Table { .. } => false,
        };
        !exercise.givens.is_empty() && exercise.givens.iter().all(is_usual)
    }

    /// Whether a step counts in this class. A step that earns nothing by the exercise's own word counts, too.
    pub fn counts(&self, step: StepId) -> bool {
        does_count(self.truth.exercise, &self.worth, step)
    }

    /// Whether nobody asked for an answer, and there is none: nothing is to be said of it.
    pub fn is_left_out(&self, cell: &MarkedCell) -> bool {
        cell.verdict == Verdict::Missing && !self.counts(cell.step)
    }

    /// The wrong answer that costs its points at a step, where nobody asked for that answer itself.
    pub fn charged_with(&self, step: StepId) -> Option<StepId> {
        if self.is_hunt {
            return None;
        }
        charged(self.truth.exercise, &self.grades()).find(|(known, _)| *known == step).map(|(_, wrong)| wrong)
    }

    /// What has to be told of the file: names that the exercise does not have, and answers that can't be read.
    pub fn told(&self) -> Vec<Fault> {
        let unread = self.cells.iter().filter(|cell| cell.verdict == Verdict::Unreadable).map(|cell| Fault {
            place: cell.place,
            key: format!("answer.{}", self.truth.exercise.steps[cell.step].name),
            message: cell.remark.clone(),
        });
        self.faults.iter().cloned().chain(unread).collect()
    }

    /// What was found about each step as a whole.
    pub fn grades(&self) -> TiVec<StepId, StepGrade> {
        let new = |step: StepId| StepGrade { verdict: Verdict::Right, counts: self.counts(step) };
        let mut grades: TiVec<StepId, StepGrade> = self.worth.keys().map(new).collect();
        for cell in &self.cells {
            grades[cell.step].take_in(cell.verdict);
        }
        grades
    }

    /// Why a step is wrong: of a list the first of its rows that can be explained; nothing, where none can.
    pub fn explained(&self, step: StepId) -> &[Explanation] {
        let cells = self.cells.iter().filter(|cell| cell.step == step);
        cells.map(|cell| &cell.explained[..]).find(|explained| !explained.is_empty()).unwrap_or_default()
    }

    /// The worst verdict among a step's cells.
    pub fn verdict(&self, step: StepId) -> Verdict {
        let cells = self.cells.iter().filter(|cell| cell.step == step);
        cells.map(|cell| cell.verdict).max().unwrap_or(Verdict::Right)
    }
}

/// What was found about one step as a whole.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StepGrade {
    /// The worst verdict among its values.
    pub verdict: Verdict,
    /// Whether it counts in this class.
    pub counts: bool,
}

impl StepGrade {
    /// Takes in what was found about one of its values.
    pub(in crate::check) fn take_in(&mut self, verdict: Verdict) {
        self.verdict = self.verdict.max(verdict);
    }
}

/// Whether a step counts. One that earns nothing by the exercise's own word counts, too.
pub(in crate::check) fn does_count(exercise: &Exercise, worth: &TiSlice<StepId, Points>, step: StepId) -> bool {
    let is_asked = exercise.steps[step].on_sheet == OnSheet::Asked;
    is_asked && (worth[step] > Points::NONE || exercise.steps[step].points == 0 && exercise.asks(step))
}

/// By step the wrong answer that costs its points there: one that nobody asked for costs none of its own, and what is
/// worked from it is right from the student's own figure. So the mistake is charged where it first reaches what counts, once.
pub(in crate::check) fn charged(
    exercise: &Exercise,
    grades: &TiSlice<StepId, StepGrade>,
) -> impl Iterator<Item = (StepId, StepId)> {
    let mut open: Vec<StepId> = grades
        .iter_enumerated()
        .filter(|(_, grade)| !grade.counts && grade.verdict.is_wrong())
        .map(|(step, _)| step)
        .collect();
    grades.iter_enumerated().filter(|(_, grade)| grade.counts && grade.verdict == Verdict::RightFromOwn).filter_map(
        move |(step, _)| {
            let reached = *open.iter().find(|wrong| exercise.rests_on(step, &|used| used == **wrong))?;
            open.retain(|wrong| !exercise.rests_on(step, &|used| used == *wrong));
            Some((step, reached))
        },
    )
}
